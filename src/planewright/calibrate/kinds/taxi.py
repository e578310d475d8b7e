"""Runs on the ground: rolling out with the power off tells the friction; whether it tracks is seen.

From speed v with the power off it stops in
    s = m / (2 k) ln(1 + k v^2 / (mu W)),   k = half rho times the drag area
which is m v dv/ds = -(mu W + k v^2) integrated. The drag area is an unknown of form, 0.05 m2 give or take 40 %, for
aeroplanes of the size this tool is made for (judgement); slope and wind go out with runs both ways.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from planewright.analysis.mass import mass_model
from planewright.analysis.model import States
from planewright.calibrate.common import GRAVITY, Sheet, lacking, missing
from planewright.calibrate.kinds.rolling import MU, friction, one_way_words, unknowns, ways, weight_kg
from planewright.calibrate.problem import Block, Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.knowledge import Points
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

DRAG_AREA = (math.log(0.05), 0.4)
SPEED, STOP = 0.05, 0.05
DENSITY = 1.225
SPEEDS = (2.0, 4.0, 6.0)


def read(trial: Trial) -> Sheet:
    """Columns heading, speed_mps where the power was cut, stop_m rolled until it stood, off_line_m."""
    return read_columns(trial, "speed_mps", "stop_m")


def stop_distance(speed: Array, mass: Array, mu: Array, k: Array) -> Array:
    """Metres rolled from ``speed`` with the power off; shapes broadcast."""
    return np.asarray(mass / (2.0 * k) * np.log1p(k * speed**2 / (mu * mass * GRAVITY)))


def plan(bench: Bench, of: str, states: States) -> Plan:
    """How far it rolls from a walk, a run and a fast run."""
    mass = mass_model(bench.geometry, bench.ledger).evaluate(states).mass
    k = np.full(states.count, 0.5 * DENSITY * math.exp(DRAG_AREA[0]))
    noise = math.hypot(2 * SPEED, STOP, 0.10)
    points = tuple(
        Point(
            f"rolls from {v:.0f} m/s",
            "m",
            stop_distance(np.full(states.count, v), mass, states.factor(MU), k),
            noise,
        )
        for v in SPEEDS
    )
    return Plan("taxi", of, points, 45.0, 3, 0.0)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows of ln(distance). Raises InputError when no run can be used."""
    log = read(trial)
    speed, stop, way = log.column("speed_mps"), log.column("stop_m"), ways(log)
    use = (speed > 0.5) & (stop > 0.1) & log.keep
    if not np.any(use):
        raise lacking(
            trial,
            "stop_m",
            "Runs with speed and distance to a stand.",
            "Cut the power at a mark on the ground.",
        )
    drag, mass, area = f"{trial.id}:drag", weight_kg(bench), 0.5 * DENSITY

    def predict(at: Points) -> Array:
        k = area * np.exp(at.state(drag))
        mu = np.maximum(friction(trial, way[use], at), 1e-3)
        return np.log(stop_distance(speed[use][:, None], mass(at), mu, k))

    few = 1.0 if use.sum() >= 3 else 2.0
    sigma = np.full(int(use.sum()), math.hypot(2 * SPEED, STOP) * few)
    block = Block(trial.id, "stop", tuple(map(int, log.rows[use])), np.log(stop[use]), sigma, predict)
    off = log.optional("off_line_m")
    facts = {"stop_m": float(np.median(stop[use]))}
    if off is not None and np.any(np.isfinite(off)):
        facts["off_line_m"] = float(np.nanmax(np.abs(off)))
    words = log.struck() + missing("speed or distance", log.rows[~use & log.keep]) + one_way_words(way[use])
    if few > 1:
        words += ("fewer than three runs: an odd one cannot be told; taken with twice the doubt",)
    return Reduction(
        trial.id, (block,), locals=unknowns(trial) | {drag: DRAG_AREA}, findings=words, facts=facts
    )


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "stops_in" and "off_line" (m)."""
    return compared(trial, found, {"stops_in": ("stop_m", "m"), "off_line": ("off_line_m", "m")})
