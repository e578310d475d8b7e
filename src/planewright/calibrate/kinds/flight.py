"""A flight as a trial: its record is read by the flight's own reduction; here it is kept and shown."""

from __future__ import annotations

from planewright.analysis.model import States
from planewright.calibrate.common import Sheet
from planewright.calibrate.predictions import nothing
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, compared, feed, read_columns
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]


def read(trial: Trial) -> Sheet:
    """Whatever columns it has."""
    return read_columns(trial)


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Flights are planned on the flight-day card, not here."""
    del bench, states
    return Plan("flight", of, (), 15.0, 3, notes=("flights are planned on the flight-day card",))


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Kept and shown; it moves nothing."""
    del bench
    return nothing(
        trial, "a flight trial is kept and shown; taking it in comes later, so it moves nothing yet"
    )


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """Nothing is compared."""
    return compared(trial, found, {})
