"""The radio walked away from the aeroplane: how far it answers with the motors off and at half. A check, no factor.

Rows: distance_m, motors ("off" or "half"), heading of the aeroplane, answers (yes or no). It passes when, with the
motors off and at half, every row up to the distance that was said before answered and that distance was reached
(common practice, no source; the maker's own instructions for a range check come first).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.calibrate.common import Sheet, lacking, missing
from planewright.calibrate.kinds.controls import two_saw
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

YES = ("yes", "y", "1", "ok")
MOTORS = ("off", "half")
SAID = "reaches"


def read(trial: Trial) -> Sheet:
    """Columns distance_m, motors, answers, heading."""
    log = read_columns(trial, "distance_m")
    for name in ("motors", "answers"):
        if name not in log.table.columns:
            log.column(name)
    return log


def plan(bench: Bench, of: str, states: States) -> Plan:
    """No figure can be reckoned: the radio's maker says the distance; it is written as said before."""
    del bench
    note = "write the distance that the radio's maker names for a range check as said before: reaches"
    points = tuple(Point(f"answers, motors {one}", "1", np.ones(states.count), 0.0, "flag") for one in MOTORS)
    return Plan("range", of, points, 30.0, 2, notes=(note,))


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """The distance to which every row answered, by motors; ``passed`` against what was said before."""
    del bench
    log = read(trial)
    far, use = log.column("distance_m"), log.keep & (log.column("distance_m") > 0)
    if not np.any(use):
        raise lacking(
            trial, "distance_m", "Distances at which the radio was tried.", "Write one distance to a row."
        )
    said = next((one.low for one in trial.said_before if one.what == SAID and one.unit == "m"), None)
    reach = {name: _reach(log, far, use, name) for name in MOTORS}
    words = log.struck() + missing("the distance", log.rows[~(far > 0) & log.keep])
    words += tuple(f"motors {name}: not tried" for name, value in reach.items() if value is None)
    words += tuple(
        f"motors {name}: answered to {value:.0f} m" for name, value in reach.items() if value is not None
    )
    if said is None:
        words += ('no distance was said before (said_before.reaches = "30 m"): nothing to pass',)
    enough = said is not None and all(value is not None and value >= said for value in reach.values())
    seen = two_saw(trial)
    words += () if seen else ("nobody is named as the second: one holds the radio, one watches the surfaces",)
    least = [value for value in reach.values() if value is not None]
    facts = {"reaches_m": min(least)} if len(least) == len(MOTORS) else {}
    return Reduction(trial.id, findings=words, facts=facts, passed=bool(enough and seen), used=int(use.sum()))


def _reach(log: Sheet, far: Array, use: npt.NDArray[np.bool_], motors: str) -> float | None:
    """Greatest distance with no failure at or under it, m; None when never tried; 0 when it never answered."""
    called = np.array([motors in one.lower() for one in log.words("motors")])
    answers = np.array([one.strip().lower() in YES for one in log.words("answers")])
    mine = called & use
    if not np.any(mine):
        return None
    failed = float(np.min(far[mine & ~answers], initial=np.inf))
    return float(np.max(far[mine & answers & (far < failed)], initial=0.0))


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "reaches" (m): at least that far."""
    return compared(trial, found, {SAID: ("reaches_m", "m")})
