"""The aeroplane on wheel scales. Method: ``calibrate.balance``."""

from __future__ import annotations

from planewright.analysis.mass import mass_model
from planewright.analysis.model import States
from planewright.calibrate.balance import CONTACT, READING, SCALE_GAIN
from planewright.calibrate.common import Sheet
from planewright.calibrate.predictions import balance as by_bookkeeping
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]


def read(trial: Trial) -> Sheet:
    """Columns nose_g or tail_g, right_g, left_g, and pitch_deg."""
    return read_columns(trial, "right_g", "left_g")


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Mass and balance point, and what each wheel should show. Raises InputError when there are no two wheels."""
    wheels = {one.name: one.x for one in bench.plane.wheels}
    single = next((name for name in ("nose", "tail") if name in wheels), None)
    state = mass_model(bench.geometry, bench.ledger).evaluate(states)
    whole = (
        Point("mass", "kg", state.mass, SCALE_GAIN, said="mass"),
        Point("balance point", "m", state.cg[0], CONTACT, "shift", "balance_point"),
    )
    if single is None or "main" not in wheels:
        note = "the file has no nose or tail wheel with mains: weigh it on two supports and write where they stood"
        return Plan("balance", of, whole, 20.0, 2, notes=(note,))
    share = (wheels["main"] - state.cg[0]) / (wheels["main"] - wheels[single])
    loads = (
        Point(f"{single} wheel", "kg", state.mass * share, READING / 0.4),
        Point("main wheels together", "kg", state.mass * (1 - share), READING / 2),
    )
    return Plan("balance", of, (*whole, *loads), 20.0, 2)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows of wheel loads."""
    return by_bookkeeping(bench, trial)


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "mass" (kg) and "balance_point" (m behind the nose tip)."""
    return compared(trial, found, {"mass": ("mass_kg", "kg"), "balance_point": ("cg_x_m", "m")})
