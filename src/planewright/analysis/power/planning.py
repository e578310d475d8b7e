"""Minutes, reserve, timers and alarms: by charge, from the cautious end of what is known.

A timer counts charge; voltage under load is only an alarm. Rules marked judgement are ours; the warning that still
allows two go-rounds follows E. F. Hogge and others, Flight tests of a remaining flying time prediction system for small
electric aircraft in the presence of faults, NASA/PHM Society (abstract). The rest is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.power.model import PATTERN, RESERVE, PowerModel

Array = npt.NDArray[np.float64]
Number = Array | float

KNEE = 0.15
"""Part of the charge below which the voltage of a pack falls away. Common practice, no source."""
GO_ROUND_FULL, GO_ROUND_LEVEL, GO_ROUNDS = 15.0, 60.0, 2
FIRST_OF_CAUTIOUS, FIRST_OF_BENCH = 0.5, 0.45
"""First flight timer: half of the cautious time, or 0.45 of the time to 30 % reckoned from one bench run."""
LEAST_START = 0.95


@dataclass(frozen=True)
class Timers:
    """Times in s: ``level`` and ``pattern`` (N,) from full to 30 %; ``cautious`` from the 5 % charge and the 95 %
    current; ``first`` for the first flight; ``reserve`` part of the charge that the knee and two go-rounds take;
    ``alarm`` V at the terminals, predicted at 30 % and level current."""

    level: Array
    pattern: Array
    cautious: float
    first: float
    reserve: float
    alarm: float


def reserve_share(
    level_amps: Number, full_amps: Number, charge: Number, level_for: float = GO_ROUND_LEVEL
) -> Array:
    """Part of the usable ``charge`` (A s) to land with: the knee and two go-rounds of 15 s full and ``level_for`` s
    level each, at ``level_amps`` and ``full_amps``; shapes broadcast."""
    each = GO_ROUND_FULL * np.asarray(full_amps) + level_for * np.asarray(level_amps)
    return np.asarray(KNEE + GO_ROUNDS * each / charge)


def cautious_time(charge: Array, amps: Array, left: float = RESERVE, before: float = 0.0) -> float:
    """Time, s, to ``left`` of the charge, counted from the 5 % point of ``charge`` (A s, (N,)) and the 95 % point of
    ``amps`` (N,); ``before`` A s already taken. Draws that are no number do not count."""
    least, most = float(np.nanpercentile(charge, 5.0)), float(np.nanpercentile(amps, 95.0))
    return max((1.0 - left) * least - before, 0.0) / most


def time_to(charge: Number, amps: Number, left: float = RESERVE) -> Array:
    """Time, s, at a steady current from full to ``left`` of ``charge`` (A s)."""
    return np.asarray((1.0 - left) * np.asarray(charge) / np.asarray(amps))


def timers(
    model: PowerModel, states: States, speed: Number, thrust_needed: Number, plan: float | None
) -> Timers:
    """All times of a flight at ``speed`` (m/s) that needs ``thrust_needed`` (N); ``plan`` s as written, or None."""
    level = model.endurance(states, speed, thrust_needed, pattern=1.0)
    amps = model.level(states, speed, thrust_needed, 0.9)
    full = model.thrust(states, 0.0, 0.9).amps
    charge = model.pack.charge(states)
    cautious = cautious_time(charge, PATTERN * amps)
    low = model.level_state(states, speed, thrust_needed, RESERVE).volts
    alarm = float(np.nanmedian(low)) if np.isfinite(low).any() else float("nan")
    return Timers(
        level,
        level / PATTERN,
        cautious,
        min(plan if plan is not None else np.inf, FIRST_OF_CAUTIOUS * cautious),
        float(np.nanmedian(reserve_share(amps, full, charge))),
        alarm,
    )


def timer_from_flights(put_back: Array, flown: Array, charge: float, left: float = RESERVE) -> float | None:
    """Time, s, to ``left`` of ``charge`` (A s) from charge put back (A s) after flights of ``flown`` s, each (n,). The
    greatest of the rates counts; None before three flights: change nothing until then."""
    if len(put_back) < 3:
        return None
    return float((1.0 - left) * charge / np.max(np.asarray(put_back) / np.asarray(flown)))


def may_start(charge_left: float) -> bool:
    """Whether the pack is full enough to start: 95 % or more. Common practice, no source."""
    return charge_left >= LEAST_START
