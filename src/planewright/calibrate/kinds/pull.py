"""The aeroplane pulled over the ground with a hook scale: rolling friction of the wheels at this place."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.analysis.mass import mass_model
from planewright.analysis.model import States
from planewright.calibrate.common import GRAVITY, Sheet, lacking, missing
from planewright.calibrate.kinds.rolling import MU, friction, one_way_words, unknowns, ways, weight_kg
from planewright.calibrate.kinds.stock import instrument
from planewright.calibrate.problem import Block, Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.knowledge import Points
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

HOOK, UNEVEN, LEAST_N = 0.02, 0.08, 0.05


def read(trial: Trial) -> Sheet:
    """Columns heading and pull_N, or pull_g of a scale that reads grams."""
    log = read_columns(trial)
    log.column("pull_g" if "pull_g" in log.table.columns else "pull_N")
    return log


def newtons(log: Sheet) -> Array:
    """The pulls in N."""
    grams = log.optional("pull_g")
    return log.column("pull_N") if grams is None else grams * GRAVITY


def plan(bench: Bench, of: str, states: States) -> Plan:
    """The pull at walking pace, three times each way."""
    mass = mass_model(bench.geometry, bench.ledger).evaluate(states).mass
    pull = mass * GRAVITY * states.factor(MU)
    noise = float(np.hypot(UNEVEN, 0.10))
    points = tuple(
        Point(f"pull {way} {i}", "N", pull, noise, said="pull") for way in ("out", "back") for i in (1, 2, 3)
    )
    return Plan("pull", of, points, 30.0, 2, HOOK)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows of ln(pull over weight). Raises InputError when no pull can be used."""
    log = read(trial)
    pull, way = newtons(log), ways(log)
    use = (pull > LEAST_N) & log.keep
    if not np.any(use):
        raise lacking(
            trial, "pull_N", "Pulls in N, three times each way.", "Read the steady pull at walking pace."
        )
    hook, mass = f"{instrument(trial, 'hook', 'hook scale')}.gain", weight_kg(bench)
    own = unknowns(trial) | {hook: (0.0, HOOK)}

    def predict(at: Points) -> Array:
        force = np.maximum(friction(trial, way[use], at), 1e-4) * mass(at) * GRAVITY
        return np.asarray(np.log(force) + at.state(hook))

    few = 1.0 if use.sum() >= 3 else 2.0
    rows = tuple(map(int, log.rows[use]))
    block = Block(trial.id, "pull", rows, np.log(pull[use]), np.full(int(use.sum()), UNEVEN * few), predict)
    words = (
        log.struck() + missing("the pull", log.rows[~(pull > LEAST_N) & log.keep]) + one_way_words(way[use])
    )
    if few > 1:
        words += ("fewer than three pulls: an odd one cannot be told; taken with twice the doubt",)
    return Reduction(
        trial.id, (block,), locals=own, findings=words, facts={"pull_N": float(np.median(pull[use]))}
    )


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "pull" (N)."""
    return compared(trial, found, {"pull": ("pull_N", "N")})
