"""One propulsion unit, reduced to thrust and current by flight speed and voltage at the motor.

A propeller with its motor is solved once on a grid of (speed, voltage) and looked up afterwards; a fan has
closed forms. Factors of knowledge come in when a unit is asked: the grid itself carries no doubt.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np
import numpy.typing as npt
from scipy.optimize import elementwise

from planewright.analysis.power.ideal import duct_thrust, duct_thrust_in_flight
from planewright.analysis.power.motor import amps_at
from planewright.analysis.power.propeller import STOPPED_DRAG, Coefficients, blade_area, coefficients
from planewright.errors import OutOfRange
from planewright.plane.model import Claim, Fan, Motor, Propeller

Array = npt.NDArray[np.float64]
Number = Array | float

TOP_SPEED = 45.0
SPEEDS = np.linspace(0.0, TOP_SPEED, 91)
VOLTAGES = 64
CLAIM_SHARE = 0.85
"""Part of a seller's current that flows in the nacelle. Common practice, no source."""
SHAFT_SHARE = 0.85
"""Shaft power over electrical power of a fan: 80 to 90 % in a hobby note on ducted fans, 2007."""
FAN_IDLE_SHARE, FAN_LOAD_POWER = 0.05, 1.9
"""A fan's current by voltage: a part that only turns the motor and one that grows with the power 1.9. Near full
voltage current then goes by the power 1.81 and thrust by 1.93, as in a trial of our own with a fan model."""


class Unit(Protocol):
    """A propulsion unit. ``volts`` at the motor, ``speed`` m/s; all arrays broadcast to one shape."""

    def thrust(self, volts: Array, speed: Array, factor: Array, lapse: Array) -> Array:
        """Thrust, N: ``factor`` on its level, ``lapse`` on the loss from rest to ``speed``."""

    def amps(self, volts: Array, speed: Array) -> Array:
        """Motor current, A, before the factor on current."""

    def dead(self, speed: Array) -> Array:
        """Drag, N (positive), of the unit when it is stopped or turned by the air, whichever is more."""


@dataclass(frozen=True)
class Lookup:
    """Values (91, n) on the grid of speeds and ``volts`` (n,), joined straight: monotone where the values are."""

    volts: Array
    values: Array

    def at(self, volts: Array, speed: Array) -> Array:
        """Values at ``volts`` and ``speed``, broadcast; OutOfRange outside 0 to 45 m/s or the voltages."""
        check_range(speed, volts, float(self.volts[-1]))
        row = np.asarray(speed) / SPEEDS[1]
        column = np.asarray(volts) / self.volts[1]
        i = np.minimum(row.astype(np.intp), len(SPEEDS) - 2)
        j = np.minimum(column.astype(np.intp), len(self.volts) - 2)
        a, b, v = row - i, column - j, self.values
        low = v[i, j] * (1.0 - b) + v[i, j + 1] * b
        high = v[i + 1, j] * (1.0 - b) + v[i + 1, j + 1] * b
        return np.asarray(low * (1.0 - a) + high * a)


def check_range(speed: Number, volts: Number, most: float) -> None:
    """Raise OutOfRange when a speed or a voltage lies outside the grid."""
    slow, fast, few, many = np.min(speed), np.max(speed), np.min(volts), np.max(volts)
    if not (slow >= 0.0 and fast <= TOP_SPEED):
        raise OutOfRange("flight speed in m/s", float(slow if slow < 0 else fast), 0.0, TOP_SPEED)
    if not (few >= 0.0 and many <= most * (1 + 1e-12)):
        raise OutOfRange("voltage at the motor", float(few if few < 0 else many), 0.0, most)


@dataclass(frozen=True)
class PropellerUnit:
    """Motor and propeller: ``force`` N and ``current`` A on the grid, ``blades`` m2, ``density`` kg/m3."""

    force: Lookup
    current: Lookup
    shaft: Lookup
    blades: float
    density: float

    def thrust(self, volts: Array, speed: Array, factor: Array, lapse: Array) -> Array:
        """See :class:`Unit`."""
        rest = self.force.at(volts, 0.0 * np.asarray(speed))
        return np.asarray(factor * (rest - lapse * (rest - self.force.at(volts, speed))))

    def amps(self, volts: Array, speed: Array) -> Array:
        """See :class:`Unit`."""
        return self.current.at(volts, speed)

    def shaft_speed(self, volts: Array, speed: Array) -> Array:
        """Speed of the shaft, rad/s."""
        return self.shaft.at(volts, speed)

    def dead(self, speed: Array) -> Array:
        """See :class:`Unit`. Turned by the air, or held still: the greater, since a brake is not described."""
        held = 0.5 * self.density * np.square(speed) * STOPPED_DRAG * self.blades
        return np.asarray(np.maximum(held, -self.force.at(0.0 * np.asarray(speed), speed)))


@dataclass(frozen=True)
class FanUnit:
    """A ducted fan: ``claim_volts`` and ``claim_amps`` of its seller, ``nozzle`` and ``ring`` areas m2."""

    claim_volts: float
    claim_amps: float
    nozzle: float
    ring: float
    density: float
    most_volts: float

    def static_thrust(self, volts: Number) -> Array:
        """Ideal thrust at rest, N, from the shaft power at ``volts``, shape of ``volts``."""
        claimed = SHAFT_SHARE * CLAIM_SHARE * self.claim_amps * self.claim_volts
        ratio = np.asarray(volts) / self.claim_volts
        return duct_thrust(claimed * ratio ** (1.0 + FAN_LOAD_POWER), self.nozzle, self.density)

    def thrust(self, volts: Array, speed: Array, factor: Array, lapse: Array) -> Array:
        """See :class:`Unit`. The lapse is that of a constant power in the jet."""
        check_range(speed, volts, self.most_volts)
        rest = factor * self.static_thrust(volts)
        return np.asarray(
            rest - lapse * (rest - duct_thrust_in_flight(rest, self.nozzle, self.density, speed))
        )

    def amps(self, volts: Array, speed: Array) -> Array:
        """See :class:`Unit`. Within 1 % the same at all flight speeds (trial of our own)."""
        ratio = np.asarray(volts) / self.claim_volts
        share = (
            FAN_IDLE_SHARE * np.minimum(20.0 * ratio, 1.0) + (1.0 - FAN_IDLE_SHARE) * ratio**FAN_LOAD_POWER
        )
        return np.asarray(CLAIM_SHARE * self.claim_amps * share + 0.0 * speed)

    def dead(self, speed: Array) -> Array:
        """See :class:`Unit`. Dynamic pressure on the swept ring, judgement."""
        return np.asarray(0.5 * self.density * np.square(speed) * self.ring)


def fan_unit(fan: Fan, claim: Claim, density: float, most_volts: float) -> FanUnit:
    """A fan from its sizes and its seller's volts and amperes (both must be there)."""
    if claim.volts is None or claim.amps is None:
        raise OutOfRange("seller's volts and amperes of a fan", 0.0, 1.0, np.inf)
    ring = np.pi / 4.0 * (fan.inside**2 - fan.hub**2)
    return FanUnit(claim.volts, claim.amps, np.pi / 4.0 * fan.nozzle**2, ring, density, most_volts)


@lru_cache(maxsize=32)
def propeller_unit(
    motor: Motor,
    propeller: Propeller,
    own: tuple[tuple[float, float, float], ...],
    density: float,
    most_volts: float,
) -> tuple[PropellerUnit, str]:
    """(unit, words on where its coefficients come from): every point of the grid matched once.

    Arguments: ``motor``, ``propeller``; ``own`` rows of the builder (J, CT, CP); ``density`` kg/m3;
    ``most_volts`` the highest voltage asked later. Windmilling is a point of the grid like any other: the
    current is then 0 and the torque that of the idle current against the air.
    """
    shape, words = coefficients(propeller, own)
    volts = np.linspace(0.0, most_volts, VOLTAGES)
    speed, motor_volts = (one.ravel() for one in np.meshgrid(SPEEDS, volts, indexing="ij"))
    turns = _shaft_speeds(motor, propeller, shape, density, speed, motor_volts)
    thrust, _ = forces(propeller, shape, density, turns, speed)
    area = blade_area(propeller)
    thrust = np.where(turns > 1.0, thrust, -0.5 * density * speed**2 * STOPPED_DRAG * area)
    grid = (len(SPEEDS), VOLTAGES)
    amps = amps_at(motor, motor_volts, turns)
    force, current, shaft = (Lookup(volts, one.reshape(grid)) for one in (thrust, amps, turns))
    return PropellerUnit(force, current, shaft, area, density), words


def forces(
    propeller: Propeller, shape: Coefficients, density: float, turns: Array, speed: Array
) -> tuple[Array, Array]:
    """(thrust N, shaft torque N m) at ``turns`` (rad/s, above 0) and flight ``speed`` (m/s)."""
    per_second = turns / (2.0 * np.pi)
    thrust, power = shape.at(speed / (per_second * propeller.diameter), 60.0 * per_second)
    scale = density * per_second**2 * propeller.diameter**4
    return scale * thrust, scale * propeller.diameter * power / (2.0 * np.pi)


def _shaft_speeds(
    motor: Motor, propeller: Propeller, shape: Coefficients, density: float, speed: Array, volts: Array
) -> Array:
    """Shaft speed, rad/s, where motor and air torque agree; 0.5 where the unit stands. Shape (n,)."""

    def surplus(turns: Array, speed: Array, volts: Array) -> Array:
        torque = (amps_at(motor, volts, turns) - motor.idle) / motor.speed_constant
        return np.asarray(torque - forces(propeller, shape, density, turns, speed)[1])

    top = 1.2 * motor.speed_constant * volts + 12.0 * speed / propeller.diameter + 50.0
    trial = np.linspace(0.02, 1.0, 50)[:, None] * top
    driven = surplus(trial, speed, volts)
    start = np.take_along_axis(trial, np.argmax(driven > 0.0, axis=0)[None], axis=0)[0]
    start = np.where(driven.max(axis=0) > 0.0, start, 0.5)
    found = elementwise.find_root(surplus, (start, top), args=(speed, volts))
    return np.where(found.success, found.x, 0.5)
