"""Wires by voltage drop, and the supply of receiver and servos.

Copper resistance: FAA AC 43.13-1B Change 1 (2001), table 11-9, page 11-23 (ohm per 1000 ft at 20 C). Two published
lists of permitted currents differ by 3 to 1 (the same table: bundles at 70 C; and a chassis-wiring list of the
Handbook of Electronic Tables and Formulas); both are shown, and the drop decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planewright.errors import OutOfRange
from planewright.plane.model import Servo

FOOT = 0.3048
OHM_PER_1000_FEET = {18: 6.23, 16: 4.81, 14: 2.525, 12: 2.02, 10: 0.9989, 8: 0.70}
"""14 and 10 from the handbook list (solid copper), the others from the table of AC 43.13-1B (stranded, at most)."""
BUNDLE_AMPS = {18: 9.0, 16: 11.0, 12: 19.0, 8: 57.0}
"""AC 43.13-1B table 11-9, 150 C insulation: 33 or more wires in a bundle, 70 C outside. Very severe."""
CHASSIS_AMPS = {14: 32.0, 12: 41.0, 10: 55.0, 8: 73.0}
"""Handbook of Electronic Tables and Formulas, chassis wiring: a single wire in the open."""
PLUG = 0.35e-3
"""Resistance of a plug and socket, ohm: 0.2 to 0.5 milliohm, judgement."""
MOST_DROP = 0.02


def wire_resistance(gauge: int, length: float, plugs: int = 1) -> float:
    """Resistance there and back, ohm, of two wires of ``gauge`` (18, 16, 14, 12, 10, 8), ``length`` m each way."""
    if gauge not in OHM_PER_1000_FEET:
        raise OutOfRange("wire gauge", float(gauge), 8.0, 18.0)
    return 2.0 * length * OHM_PER_1000_FEET[gauge] / (1000.0 * FOOT) + plugs * PLUG


@dataclass(frozen=True)
class Wire:
    """A choice of wire: ``gauge``, ``drop`` V, ``share`` of the pack's voltage, and both published currents, A."""

    gauge: int
    drop: float
    share: float
    bundle: float | None
    chassis: float | None


def wire_for(amps: float, length: float, volts: float, most: float = MOST_DROP) -> Wire:
    """The thinnest wire that drops at most ``most`` of ``volts`` at ``amps`` over ``length`` m each way; the thickest
    one listed when none does (its share then says so)."""
    for gauge in sorted(OHM_PER_1000_FEET, reverse=True):
        drop = amps * wire_resistance(gauge, length)
        if drop <= most * volts:
            break
    return Wire(gauge, drop, drop / volts, BUNDLE_AMPS.get(gauge), CHASSIS_AMPS.get(gauge))


SERVO_EFFICIENCY = (0.85, 0.60)
SERVO_SPEED = float(np.deg2rad(60.0)) / 0.13
"""Speed of a servo without load, rad/s: 0.13 s for 60 degrees, judgement where the maker's is not written."""
RECEIVER_AMPS = 0.2
LOWEST_VOLTS = 4.2
"""Voltage at the receiver below which it may stop answering. Judgement."""


def stall_current(servo: Servo, speed: float = SERVO_SPEED) -> tuple[float, float]:
    """(least, most) current, A, of a servo held fast: torque times its speed without load over voltage and an
    efficiency of 0.85 to 0.60 (judgement). At every start it takes that for some 20 ms (from memory)."""
    power = servo.torque * speed / servo.voltage
    return power / SERVO_EFFICIENCY[0], power / SERVO_EFFICIENCY[1]


@dataclass(frozen=True)
class SupplyNeed:
    """What receiver and servos may draw, A: ``steady`` for minutes, ``peak`` for a second, ``brief`` for a blink
    (all servos held fast: must not dip below 4.2 V), each at the upper stall current; ``stalls`` sum (least, most)."""

    steady: float
    peak: float
    brief: float
    stalls: tuple[float, float]


def supply_need(servos: Sequence[Servo]) -> SupplyNeed:
    """Steady: a quarter of all stall currents and 0.2 A for the receiver; peak: the two largest held fast and half of
    the rest; brief: all of them. Judgement; the stir test decides."""
    each = sorted((stall_current(one) for one in servos), key=lambda one: one[1], reverse=True)
    upper = [one[1] for one in each]
    total = (sum(one[0] for one in each), sum(upper))
    peak = sum(upper[:2]) + 0.5 * sum(upper[2:]) + RECEIVER_AMPS
    return SupplyNeed(0.25 * total[1] + RECEIVER_AMPS, peak, total[1] + RECEIVER_AMPS, total)


def regulator_passes(need: SupplyNeed, steady: float, peak: float) -> bool:
    """Whether a regulator of ``steady`` and ``peak`` amperes carries the need."""
    return steady >= need.steady and peak >= need.peak


def linear_heat(pack_volts: float, amps: float, volts: float = 5.0) -> float:
    """Heat, W, in a linear regulator: from six cells 17 W at 1 A, more than it can shed. Take a switching one."""
    return (pack_volts - volts) * amps


STIR_TEST = (
    "Stir test: motors at half power, both sticks stirring fully for ten seconds, cold pack; the lowest voltage at the "
    "receiver stays above 4.8 V, and never dips below 4.2 V."
)
