"""A proof load: something held, which is a lower bound on this article, or it let go, which is an upper
one."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.calibrate.common import GRAVITY, Sheet, lacking, sheet
from planewright.calibrate.problem import Event, Reduction
from planewright.knowledge import Points
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]

LOAD = 0.04
CLOSED_MM = 1.0
Capacity = Callable[[Points], Array]


@dataclass(frozen=True)
class Hung:
    """Greatest moment that ``held`` and least that let ``go`` (None: it never did), N m; gap left at the
    end, mm."""

    held: float
    go: float | None
    gap: float | None


def hung_moments(trial: Trial, log: Sheet) -> Hung:
    """Moments of a hinge or joint with masses hung at a stated arm; a row without a gap reading let go."""
    load = trial.rig.get("load")
    if not isinstance(load, dict) or "hung" not in load:
        raise lacking(
            trial,
            "rig.load",
            "Where the load hangs.",
            'Write load = { hung = "250 mm outboard of the pin" }.',
        )
    mass = log.column("hung_g")
    gap = log.optional("latch_gap_mm")
    stood = np.isfinite(mass) & log.keep & (np.ones(len(mass), bool) if gap is None else np.isfinite(gap))
    gone = (mass > 0) & log.keep & ~stood
    moment = mass * GRAVITY * float(load["hung"])
    held = float(np.max(moment[stood], initial=0.0))
    go = float(np.min(moment[gone])) if np.any(gone) else None
    last = None if gap is None or not np.any(stood) else 1000.0 * float(gap[stood][-1])
    return Hung(held, go, last)


def reduce_proof(trial: Trial, capacity: Capacity | None = None) -> Reduction:
    """Events of a proof trial.

    Arguments:
        trial: kind "proof", column hung_g and, where a latch is watched, latch_gap_mm.
        capacity: states -> moment the part carries, N m, (K,); None when no drawing tells it.

    The moment that held is kept whether or not a prediction exists. Raises InputError for a missing arm or
    column.
    """
    log = sheet(trial, trial.readings)
    found = hung_moments(trial, log)
    split = f"{trial.id}:load"
    sound = found.go is None or found.go > found.held
    events = (
        held_events(trial.id, trial.of, capacity, found.held, found.go, split)
        if capacity is not None and sound
        else ()
    )
    facts = {"held_Nm": found.held} | ({} if found.go is None else {"let_go_Nm": found.go})
    return Reduction(
        trial.id,
        events=events,
        locals={split: (0.0, LOAD)} if events else {},
        findings=log.struck() + _words(found),
        facts=facts,
        held=found.held,
    )


def held_events(
    trial: str, name: str, capacity: Capacity, held: float, gone: float | None = None, split: str = ""
) -> tuple[Event, ...]:
    """Events "held at least" and, where it let go, "less than": events on ln of a capacity (N m)."""

    def load(at: Points) -> Array:
        return at.state(split) if split else np.zeros(at.count)

    def above(at: Points) -> Array:
        return np.asarray(np.log(capacity(at)) - math.log(held) - load(at))

    def below(at: Points) -> Array:
        return np.asarray(math.log(gone or 1.0) + load(at) - np.log(capacity(at)))

    events = (Event(trial, f"{name} held", 0.02, above),) if held > 0 else ()
    return events + ((Event(trial, f"{name} let go", 0.02, below),) if gone is not None else ())


def _words(found: Hung) -> tuple[str, ...]:
    if found.go is not None and found.go <= found.held:
        return (
            f"let go by {found.go:.2f} N m but held {found.held:.2f} N m: look at the rows; it moves nothing",
        )
    words: tuple[str, ...] = (f"held {found.held:.2f} N m",)
    if found.go is not None:
        words = (f"held {found.held:.2f} N m and let go by {found.go:.2f} N m",)
    if found.gap is not None and found.gap > CLOSED_MM:
        words += (f"a gap of {found.gap:.1f} mm stayed at the end",)
    return words
