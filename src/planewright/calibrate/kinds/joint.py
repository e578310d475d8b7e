"""A joint loaded by a hung mass: what held, what let go. Method: ``calibrate.proof``."""

from __future__ import annotations

import numpy as np

from planewright.analysis.model import States
from planewright.calibrate.common import GRAVITY, Sheet
from planewright.calibrate.kinds.proof import limit_load
from planewright.calibrate.predictions import proof as by_drawing
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.errors import Fault, InputError
from planewright.knowledge import FLYING_WING
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]

ARM = 0.25


def read(trial: Trial) -> Sheet:
    """Columns hung_g and, where a latch is watched, latch_gap_mm."""
    return read_columns(trial, "hung_g")


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Mass to hang 250 mm outboard for limit load, and for all factors. Raises InputError for an unknown joint."""
    model, _, _ = limit_load(bench)
    name = of.rpartition(".")[2]
    need = model.joint_needs().get(name)
    if need is None:
        raise InputError([Fault("aeroplane.toml", 0, of, "is no joint of the wing.", "A joint.", "")])
    limit, ultimate = (moment / (GRAVITY * ARM) for moment in (need.hung_limit, need.hung_ultimate))
    drawn = next((one for one in model.joiners if one.joint.name == name), None)
    most = f"{ultimate:.2f} kg at {1000 * ARM:.0f} mm ({need.hung_ultimate:.2f} N m); limit load is {limit:.2f} kg"
    if drawn is None:
        note = "no drawing tells what a hinge and its latch hold: the trial alone does"
        point = Point("holds all factors", "1", np.full(states.count, np.nan), 0.0, "flag")
        return Plan("joint", of, (point,), 60.0, 2, 0.04, "piece", 0.0, most, (note, SPARE))
    holds = drawn.moment * states.factor("joint.factor") * states.factor("article.joint", FLYING_WING)
    flag = (holds > need.hung_ultimate).astype(np.float64)
    return Plan(
        "joint",
        of,
        (Point("lets go above", "N m", holds, 0.04), Point("holds all factors", "1", flag, 0.0, "flag")),
        60.0,
        2,
        0.04,
        "piece",
        float(1.0 - flag.mean()),
        most,
        (SPARE,),
    )


SPARE = (
    "above limit load only on a joint made the same way for the trial, or on one that is replaced afterwards"
)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """The moment that held, and events where a drawing tells the joint's strength."""
    return by_drawing(bench, trial)


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "holds" (N m): at least that much."""
    return compared(trial, found, {"holds": ("held_Nm", "N m")})
