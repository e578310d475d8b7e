"""Whether motors and propellers can be what the file says: speed per volt, pitch, room for the blades.

Ranges are those of motors and propellers for models (common practice, no source), wide enough to let anything
unusual through; what lies outside is a slip of the pen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from planewright.plane.model import Engine, Plane

RPM_PER_VOLT = (30.0, 20000.0)
PITCH_OVER_DIAMETER = (0.15, 2.0)
SOUND = 340.0
CELL_VOLTS = 4.18


@dataclass(frozen=True)
class DriveFault:
    """One fault: the ``part`` ("engine.left.motor") and ``key``, what was read, expected and advised."""

    part: str
    key: str
    read: str
    expected: str
    advice: str


def drive_faults(plane: Plane) -> Iterator[DriveFault]:
    """Every fault of the engines, one after another."""
    for engine in plane.engines:
        yield from _motor(engine)
        yield from _pitch(engine)
        yield from _room(engine, plane)
        yield from _tips(engine, plane)


def _motor(engine: Engine) -> Iterator[DriveFault]:
    motor = engine.motor
    if motor is None:
        return
    rpm = motor.speed_constant * 30.0 / math.pi
    low, high = RPM_PER_VOLT
    if not low <= rpm <= high:
        yield DriveFault(
            f"{engine.name}.motor",
            "speed_constant",
            f"is {rpm:.0f} rpm/V.",
            f"Motors for models turn {low:.0f} to {high:.0f} rpm for each volt.",
            "Read the label again: it is the speed without a propeller, for one volt.",
        )


def _pitch(engine: Engine) -> Iterator[DriveFault]:
    propeller = engine.propeller
    if propeller is None:
        return
    ratio = propeller.pitch / propeller.diameter
    low, high = PITCH_OVER_DIAMETER
    if not low <= ratio <= high:
        yield DriveFault(
            f"{engine.name}.propeller",
            "size",
            f"has a pitch of {ratio:.2g} of its diameter.",
            f"Propellers have {low:g} to {high:g}.",
            'Write the diameter first, then the pitch, in one unit: size = "12 x 6 in".',
        )


def _room(engine: Engine, plane: Plane) -> Iterator[DriveFault]:
    """Blades of a pair reach each other over the middle, or an engine beside the body reaches into it."""
    propeller = engine.propeller
    if propeller is None or engine.y == 0.0:
        return
    radius, aside = propeller.diameter / 2, abs(engine.y)
    inside = [0.0]
    for body in plane.bodies:
        if not body.paired and body.y == 0.0:
            inside += [
                one.width / 2 for one in body.stations if abs(one.x - engine.x) < 0.5 * propeller.diameter
            ]
    if aside - radius < max(inside):
        yield DriveFault(
            f"{engine.name}.propeller",
            "size",
            f"reaches {1000 * radius:.0f} mm from its shaft, which is {1000 * aside:.0f} mm from the middle.",
            f"There is room for {2000 * (aside - max(inside)):.0f} mm of diameter beside the body.",
            "Take a smaller one, or move the engines out.",
        )


def _tips(engine: Engine, plane: Plane) -> Iterator[DriveFault]:
    """Even half of the unloaded speed would take the tips beyond the speed of sound."""
    motor, propeller, battery = engine.motor, engine.propeller, plane.battery
    if motor is None or propeller is None or battery is None:
        return
    tip = 0.5 * propeller.diameter * 0.5 * motor.speed_constant * battery.cells * CELL_VOLTS
    if tip > SOUND and motor.speed_constant * 30.0 / math.pi <= RPM_PER_VOLT[1]:
        yield DriveFault(
            f"{engine.name}.motor",
            "speed_constant",
            f"with {battery.cells} cells takes the propeller's tips to {tip:.0f} m/s at half its unloaded speed.",
            f"Tips stay below the speed of sound, {SOUND:.0f} m/s; propellers below half of it.",
            "Check the speed per volt, the cells and the propeller's size: they do not go together.",
        )
