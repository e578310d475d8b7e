"""Wheel loads on scales, each repeated: mass and centre of gravity against the bookkeeping of masses.

Predicted loads follow from mass and x of the centre of gravity by the lever between the wheels; each scale
has a gain and each contact point an error of its own. Growth and glue of parts not yet weighed are told
only in their sum; the unmodelled part of the centre of gravity is told for this configuration letter alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
import numpy.typing as npt

from planewright.calibrate.common import Sheet, lacking, missing, sheet
from planewright.calibrate.problem import Block, Reduction, once
from planewright.knowledge import Points
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]

SCALE_GAIN = 0.004
CONTACT = 0.002
READING = 0.002
OTHER_LETTER = 0.05
LEVEL = np.radians(1.0)


@dataclass(frozen=True)
class Weighed:
    """What the bookkeeping says of the aeroplane as it stood on the scales: ``predict``: states -> mass kg,
    x m, each (K,); ``letter``: whether it is still the same configuration."""

    predict: Callable[[Points], tuple[Array, Array]]
    letter: bool = True


@dataclass(frozen=True)
class Loads:
    """Loads of one wheel group: readings kg (n,), their rows, place m aft of the nose tip."""

    name: str
    rows: npt.NDArray[np.int64]
    kg: Array
    x: float


def wheel_loads(trial: Trial, log: Sheet, wheels: dict[str, float]) -> tuple[Loads, Loads]:
    """The single wheel (nose or tail) and the pair of mains."""
    single = "nose" if "nose_g" in log.table.columns else "tail"
    for name in (single, "mains"):
        if name not in wheels:
            raise lacking(
                trial, f"rig.{name}", "Where that wheel stands.", f'Write {name} = "150 mm" under [rig].'
            )
    one, pair = log.column(f"{single}_g"), log.column("right_g") + log.column("left_g")
    use = (one > 0) & (pair > 0) & log.keep
    if not np.any(use):
        raise lacking(
            trial, "readings", "Loads of all wheels, three times.", "Lift it off and set it down each time."
        )
    return (
        Loads(single, log.rows[use], one[use], wheels[single]),
        Loads("mains", log.rows[use], pair[use], wheels["mains"]),
    )


def reduce_balance(trial: Trial, weighed: Weighed, wheels: dict[str, float]) -> Reduction:
    """Rows of wheel loads.

    Arguments:
        trial: kind "balance", columns nose_g (or tail_g), right_g, left_g, pitch_deg.
        weighed: the bookkeeping.
        wheels: places, m aft of the nose tip, by "nose" or "tail" and "mains".

    Raises InputError for missing columns or places. Fewer than three repeats double the sigma: an odd one
    among two cannot be told.
    """
    log = sheet(trial, trial.readings)
    single, mains = wheel_loads(trial, log, wheels)
    names = {part: f"{trial.id}:{part}" for part in ("single", "mains", "contact", "letter")}
    own = {
        names["single"]: (0.0, SCALE_GAIN),
        names["mains"]: (0.0, SCALE_GAIN),
        names["contact"]: (0.0, CONTACT),
    }
    if not weighed.letter:
        own[names["letter"]] = (0.0, OTHER_LETTER)
    reading = float(trial.sigma.get("reading", READING)) * (1.0 if len(single.kg) >= 3 else 2.0)

    def loads(at: Points) -> tuple[Array, Array]:
        mass, x = weighed.predict(at)
        x = x + at.state(names["contact"]) + (0.0 if weighed.letter else at.state(names["letter"]))
        share = (mains.x - x) / (mains.x - single.x)
        return mass * share * np.exp(at.state(names["single"])), mass * (1 - share) * np.exp(
            at.state(names["mains"])
        )

    both = once(loads)

    def rows(which: int, count: int, at: Points) -> Array:
        return np.repeat(both(at)[which][None, :], count, axis=0)

    blocks = tuple(
        Block(
            trial.id,
            one.name,
            tuple(map(int, one.rows)),
            one.kg,
            np.full(len(one.kg), reading),
            partial(rows, i, len(one.kg)),
        )
        for i, one in enumerate((single, mains))
    )
    return Reduction(
        trial.id,
        blocks,
        locals=own,
        findings=_said(log, weighed, len(single.kg)),
        facts=_facts(log, single, mains),
    )


def _facts(log: Sheet, single: Loads, mains: Loads) -> dict[str, float]:
    mass = single.kg + mains.kg
    x = (single.kg * single.x + mains.kg * mains.x) / mass
    return {"mass_kg": float(np.median(mass)), "cg_x_m": float(np.median(x)), "rows": float(len(log.table))}


def _said(log: Sheet, weighed: Weighed, repeats: int) -> tuple[str, ...]:
    words = log.struck() + missing(
        "a wheel", log.rows[~np.isfinite(log.column("right_g") + log.column("left_g"))]
    )
    if repeats < 3:
        words += (
            f"{repeats} reading(s) only: three are needed to tell an odd one; taken with twice the doubt",
        )
    pitch = log.optional("pitch_deg")
    if pitch is not None and np.any(np.abs(pitch) > LEVEL):
        row = int(np.nanargmax(np.abs(pitch))) + 1
        words += (
            f"row {row}: more than a degree off level, which moves the reading of the centre of gravity",
        )
    if not weighed.letter:
        words += ("taken at another configuration letter: it says nothing of the centre of gravity now",)
    return words
