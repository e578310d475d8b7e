"""A wing on a vehicle: lift curve, zero lift, greatest lift. The method stands in ``calibrate.vehicle``."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import wing_alone
from planewright.analysis.model import States
from planewright.calibrate.common import GRAVITY, Sheet
from planewright.calibrate.predictions import vehicle as by_lattice
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.calibrate.vehicle import DENSITY, OWN, RATIO, lift_curve, runs
from planewright.errors import Fault, InputError
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

SPEED, SCALE = 15.0, 0.5
ANGLES = (0.0, 4.0, 8.0, 12.0, 14.0, 16.0)
FLOW = 0.04
SPOKEN = re.compile(r"at ([0-9.]+) km/h and ([-0-9.]+) deg")
NEAR_ANGLE, NEAR_SPEED = 0.5, 0.1


def read(trial: Trial) -> Sheet:
    """Columns angle_deg, front_N, rear_N, with the zeros, pitot_Pa, speed_kmh, heading and note as logged."""
    return read_columns(trial, "angle_deg", "front_N", "rear_N")


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Lift of a half-size wing at 54 km/h, upright, by angle. Raises InputError without a wing."""
    shape = bench.geometry.surfaces.get(of)
    if shape is None:
        raise InputError([Fault("aeroplane.toml", 0, of, "is no surface.", "A wing.", "")])
    alone = wing_alone(shape, SCALE)
    slope, zero = alone.slope_of(states), alone.zero_lift_of(states)
    top = alone.maximum_lift(states, SPEED, DENSITY)
    size = 0.5 * DENSITY * SPEED**2 * alone.area
    form = [
        np.full(states.count, one)
        for one in (OWN["bend"][0], math.exp(OWN["knee"][0]), math.exp(OWN["fall"][0]))
    ]
    noise = math.hypot(RATIO, 0.02) / math.sqrt(2)
    at = [np.full(states.count, math.radians(a) + OWN["upwash"][0]) for a in ANGLES]
    lift = [size * np.maximum(lift_curve(one, slope, zero, top, *form), 1e-3) for one in at]
    points = tuple(Point(f"lift at {a:g} deg", "N", one, noise) for a, one in zip(ANGLES, lift, strict=True))
    heavy = float(np.percentile(points[-1].draws, 97.5)) / GRAVITY
    return Plan(
        "vehicle", of, points, 600.0, 3, FLOW, "piece", 0.0, f"cells that carry {2 * heavy:.0f} kg", NOTES
    )


NOTES = (
    "take at least three angles past the stall, both ways, and turn the wing upside down for three angles",
    "an air pressure probe beside the wing is what parts the wing's lift from the speed of the air",
)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows of lift and moment; the lift at the speed and angle that were spoken of before is kept as a fact."""
    found = by_lattice(bench, trial)
    value = _lift_as_said(trial) if found.blocks else None
    return found if value is None else replace(found, facts={**found.facts, "lift_N": value})


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "lift" (N) at a speed and an angle."""
    return compared(trial, found, {"lift": ("lift_N", "N")})


def _lift_as_said(trial: Trial) -> float | None:
    """Median lift of the upright runs near the speed and angle of the words "36 N to 48 N at 60 km/h and 10 deg"."""
    hit = next((SPOKEN.search(one.words) for one in trial.said_before if one.what == "lift"), None)
    if hit is None:
        return None
    log, _ = runs(read(trial))
    near = (np.abs(np.degrees(log.angle) - float(hit[2])) < NEAR_ANGLE) & (log.side > 0)
    near &= np.abs(log.speed * 3.6 / float(hit[1]) - 1.0) < NEAR_SPEED
    return float(np.median(log.lift[near])) if np.any(near) else None
