"""A static run of one engine on the bench. Method: ``calibrate.thrust`` and ``calibrate.thrust_rows``."""

from __future__ import annotations

import math

from planewright.analysis.model import States
from planewright.analysis.power import power_model
from planewright.calibrate.common import Sheet
from planewright.calibrate.predictions import CELL_VOLTS
from planewright.calibrate.predictions import thrust as by_power
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.calibrate.thrust_rows import BENCH, FRICTION, LEVER, PACK_FORM
from planewright.errors import Fault, InputError
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]


def read(trial: Trial) -> Sheet:
    """Columns second, throttle_pct, cell_g, volts, amps; a second table hung_g, cell_g, direction."""
    return read_columns(trial, "second", "throttle_pct", "cell_g", "volts", "amps")


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Push and current at full lever on a full pack. Raises InputError without engine or battery."""
    pack = bench.plane.battery
    if pack is None or of not in {one.name for one in bench.plane.engines}:
        expected = "An engine and a battery."
        raise InputError([Fault("aeroplane.toml", 0, of, "cannot be run.", expected, "Write both there.")])
    volts = CELL_VOLTS * pack.cells
    push, amps = power_model(bench.plane, 1.225).static(states, of, volts)
    noise = math.hypot(FRICTION, BENCH)
    points = (
        Point(f"push at {volts:.1f} V", "N", push, noise, said="thrust"),
        Point(f"current at {volts:.1f} V", "A", amps, math.hypot(BENCH, 0.015), said="current"),
        Point("resistance of the pack", "1", states.factor("pack.R", pack.serial), PACK_FORM),
    )
    return Plan("thrust", of, points, 90.0, 3, LEVER)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows on thrust, current and resistance; damage is a break of thrust against voltage."""
    return by_power(bench, trial)


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "thrust" (N) and "current" (A)."""
    return compared(trial, found, {"thrust": ("thrust_N", "N"), "current": ("amps", "A")})
