"""Speeds and turns: closed forms of steady flight in still air.

Source of the turn relations: J. D. Anderson, Aircraft Performance and Design, McGraw-Hill 1999, chapter 6.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import GRAVITY
from planewright.errors import OutOfRange

Array = npt.NDArray[np.float64]
Number = Array | float

STEEPEST_BANK = np.deg2rad(75.0)


def dynamic_pressure(speed: Number, density: Number) -> Array:
    """Dynamic pressure, Pa, at ``speed`` (m/s) in air of ``density`` (kg/m3)."""
    return np.asarray(0.5 * density * np.square(speed), dtype=np.float64)


def stall_speed(mass: Number, area: float, maximum_lift: Number, density: Number) -> Array:
    """Speed below which the wing cannot carry the weight in level flight, m/s.

    Arguments: ``mass`` kg, ``area`` of the wing m2, ``maximum_lift`` coefficient of the aeroplane, ``density``
    kg/m3; shapes (N,) or numbers. All must be above zero (OutOfRange otherwise).
    """
    _positive("maximum lift coefficient", maximum_lift)
    _positive("wing area in m2", area)
    return np.asarray(np.sqrt(2.0 * np.asarray(mass) * GRAVITY / (density * area * np.asarray(maximum_lift))))


def level_lift_coefficient(mass: Number, area: float, speed: Number, density: Number) -> Array:
    """Lift coefficient that carries ``mass`` (kg) on ``area`` (m2) at ``speed`` (m/s), level, shape (N,)."""
    _positive("speed in m/s", speed)
    return np.asarray(np.asarray(mass) * GRAVITY / (dynamic_pressure(speed, density) * area))


def load_factor_in_turn(bank: Number) -> Array:
    """Load factor of a level turn at ``bank`` (rad), 1/cos(bank). OutOfRange beyond 75 deg."""
    if np.any(np.abs(bank) > STEEPEST_BANK):
        raise OutOfRange("bank in rad", float(np.max(np.abs(bank))), 0.0, float(STEEPEST_BANK))
    return np.asarray(1.0 / np.cos(bank))


def turn_radius(speed: Number, bank: Number) -> Array:
    """Radius of a level turn, m: V^2/(g tan bank). ``bank`` in rad, above 0 and at most 75 deg."""
    _positive("bank in rad", bank)
    load_factor_in_turn(bank)
    return np.asarray(np.square(speed) / (GRAVITY * np.tan(bank)))


def turn_time(speed: Number, bank: Number) -> Array:
    """Time of one full circle of a level turn, s."""
    return np.asarray(2.0 * np.pi * turn_radius(speed, bank) / speed)


def turn_stall_speed(stall: Number, bank: Number) -> Array:
    """Stall speed in a level turn, m/s: the straight one times the root of the load factor."""
    return np.asarray(stall * np.sqrt(load_factor_in_turn(bank)))


def _positive(what: str, value: Number) -> None:
    lowest = float(np.min(value))
    if not lowest > 0.0:
        raise OutOfRange(what, lowest, 0.0, np.inf)
