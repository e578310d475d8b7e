"""The wing that will fly, loaded to its limit load and no further: events "held", one for each mode."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.mass import mass_model
from planewright.analysis.model import States
from planewright.analysis.strength import elliptic_span_load, strength_model
from planewright.analysis.strength.bend import Hung, hung
from planewright.analysis.strength.loads import Along
from planewright.analysis.strength.model import StrengthModel
from planewright.calibrate.bend import SIDES
from planewright.calibrate.common import Sheet
from planewright.calibrate.predictions import proof as by_sections
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.errors import Fault, InputError
from planewright.knowledge import points
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]


def read(trial: Trial) -> Sheet:
    """Columns load_each_side_g, tip_left_mm, tip_right_mm."""
    return read_columns(trial, "load_each_side_g", *SIDES)


def limit_load(bench: Bench) -> tuple[StrengthModel, float, float]:
    """The wing's strength; sand (kg each side, laid elliptically) that bends its root as limit load does; N m of it.

    Raises InputError without a wing or when its strength cannot be reckoned.
    """
    shape = bench.geometry.wing
    if shape is None:
        raise InputError([Fault("aeroplane.toml", 0, "wing", "is missing.", "A wing to prove.", "")])
    masses = mass_model(bench.geometry, bench.ledger)
    middle = points(bench.prior)
    weight = float(masses.evaluate(middle).mass[0])
    model = strength_model(
        bench.geometry, elliptic_span_load(shape.span / 2), masses.wing_masses(middle), weight
    )
    root = float(model.moment_at(0.0)[0]) * model.limit
    if not root > 0:
        expected = "An aeroplane whose lift bends its wing up."
        raise InputError(
            [Fault("aeroplane.toml", 0, "wing", "bends down at its root.", expected, "What does it carry?")]
        )
    return model, root / hung(bench.plane, shape.surface).moment, root


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Limit load in sand on the wing that will fly: what it should sink, how likely it holds."""
    model, sand, root = limit_load(bench)
    surface = next(one for one in bench.plane.surfaces if one.name == of)
    bent = hung(bench.plane, surface)
    load = Along(model.half.y, *_under(bent, model, sand))
    margins = np.array(list(model.under(load, states).values()))
    holds = (margins.min(axis=0) > 1.0).astype(np.float64)
    readings = (
        Point("tip at limit load", "m", sand * bent.slope(states), 0.05),
        Point("holds limit load", "1", holds, 0.0, "flag"),
    )
    most = f"{sand:.2f} kg each side (root {root:.1f} N m): limit load, and no more on the wing that will fly"
    return Plan("proof", of, readings, 180.0, 4, 0.04, "flying", float(1.0 - holds.mean()), most)


def _under(bent: Hung, model: StrengthModel, sand: float) -> tuple[Array, Array]:
    case, half = bent.case, bent.half
    shear, moment = (np.interp(model.half.y, half.y, one[:, 0] * sand) for one in (case.shear, case.moment))
    return np.asarray(shear), np.asarray(moment)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Events of what held; a sentence when the load went above limit load."""
    found = by_sections(bench, trial)
    wing = bench.plane.wing
    if wing is None or trial.of != wing.name or "held_kg" not in found.facts:
        return found
    _, sand, _ = limit_load(bench)
    if found.facts["held_kg"] <= 1.02 * sand:
        return found
    over = found.facts["held_kg"] / sand
    words = (
        f"loaded to {over:.2f} times limit load on the wing that will fly: look it over before anything else"
    )
    return replace(found, findings=(*found.findings, words))


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "holds" (kg each side)."""
    return compared(trial, found, {"holds": ("held_kg", "kg")})
