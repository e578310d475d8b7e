"""One propulsion unit, reduced to thrust and current by flight speed and voltage at the motor.

Whatever turns is solved once on a grid of (speed, voltage) and looked up afterwards. Factors of knowledge come in
when a unit is asked: the grid itself carries no doubt.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Protocol

import numpy as np
import numpy.typing as npt
from scipy.optimize import elementwise

from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY
from planewright.analysis.power.fan import FanModel, fan_model
from planewright.analysis.power.ideal import duct_thrust
from planewright.analysis.power.motor import amps_at
from planewright.analysis.power.propeller import (
    STOPPED_DRAG,
    Coefficients,
    blade_area,
    blade_table,
    coefficients,
)
from planewright.errors import OutOfRange
from planewright.plane.model import Claim, Fan, Motor, Propeller

Array = npt.NDArray[np.float64]
Number = Array | float

TOP_SPEED = 45.0
SPEEDS = np.linspace(0.0, TOP_SPEED, 31)
VOLTAGES = 45
TRIALS = 14
CLAIM_SHARE = 0.85
"""Part of a seller's current that flows in the nacelle. Common practice, no source."""
SHAFT_SHARE = 0.85
"""Shaft power over electrical power of a fan: 80 to 90 % in a hobby note on ducted fans, 2007."""
USUAL_SHARE = 0.75
"""Thrust over ideal of a fan: rotor and duct losses give 0.60 to 0.81. Judgement; the median of the make's factor."""


class Unit(Protocol):
    """A propulsion unit. ``volts`` at the motor, ``speed`` m/s; all arrays broadcast to one shape."""

    def thrust(self, volts: Array, speed: Array, factor: Array, lapse: Array) -> Array:
        """Thrust, N: ``factor`` on its level, ``lapse`` on the loss from rest to ``speed``."""

    def amps(self, volts: Array, speed: Array) -> Array:
        """Motor current, A, before the factor on current."""

    def dead(self, speed: Array, brake: bool | None = None) -> Array:
        """Drag, N (positive), of the unit without power: held by a ``brake``, turned by the air (False), or
        whichever is more where the setting is not known (None)."""


@dataclass(frozen=True)
class Lookup:
    """Values (31, n) on the grid of speeds and ``volts`` (n,), joined straight: monotone where the values are."""

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
class Mapped:
    """What propeller and fan units share: ``force`` N, ``current`` A and ``shaft`` speed rad/s on the grid."""

    force: Lookup
    current: Lookup
    shaft: Lookup

    def thrust(self, volts: Array, speed: Array, factor: Array, lapse: Array) -> Array:
        """See :class:`Unit`."""
        rest = self.force.at(volts, 0.0 * np.asarray(speed))
        return np.asarray(factor * (rest - lapse * (rest - self.force.at(volts, speed))))

    def amps(self, volts: Array, speed: Array) -> Array:
        """See :class:`Unit`."""
        return self.current.at(volts, speed)

    def shaft_speed(self, volts: Array, speed: Array) -> Array:
        """Speed of the shaft, rad/s (a fan's: if its tips run at 160 m/s at the seller's voltage, judgement)."""
        return self.shaft.at(volts, speed)


@dataclass(frozen=True)
class PropellerUnit(Mapped):
    """Motor and propeller: ``blades`` m2, ``density`` kg/m3."""

    blades: float
    density: float

    def dead(self, speed: Array, brake: bool | None = None) -> Array:
        """See :class:`Unit`. Held still: 1.1 q on the blade area (judgement). Turned by the air: no current flows and
        the air's torque covers the idle current; below some 8 m/s it cannot, and the propeller stands."""
        held = 0.5 * self.density * np.square(speed) * STOPPED_DRAG * self.blades
        turned = -self.force.at(0.0 * np.asarray(speed), speed)
        return np.asarray(np.maximum(held, turned) if brake is None else held if brake else turned)


@dataclass(frozen=True)
class FanUnit(Mapped):
    """A ducted fan and its motor on the grid, at ideal thrust for the power its seller's current gives.

    ``ring`` swept area m2. ``model`` is the fan at the level a fan
    usually reaches; thrust and lapse are scaled up from it to the ideal, which the factor on the make brings down.
    """

    ring: float
    model: FanModel

    def dead(self, speed: Array, brake: bool | None = None) -> Array:
        """See :class:`Unit`. Dynamic pressure on the swept ring, judgement; a brake makes no difference."""
        return np.asarray(0.5 * self.model.density * np.square(speed) * self.ring)


@lru_cache(maxsize=32)
def fan_unit(fan: Fan, claim: Claim, density: float, most_volts: float) -> FanUnit:
    """A fan from its sizes and its seller's volts and amperes (both must be there), which hold at sea level."""
    if claim.volts is None or claim.amps is None:
        raise OutOfRange("seller's volts and amperes of a fan", 0.0, 1.0, np.inf)
    sea = SEA_LEVEL_DENSITY
    model = fan_model(fan, *usual_point(fan, claim.volts, claim.amps, sea), sea)
    return fan_on_grid(replace(model, density=density), most_volts)


def fan_on_grid(model: FanModel, most_volts: float) -> FanUnit:
    """The map of a fan model; thrust is scaled to the ideal by the share that fans usually reach."""
    volts = np.linspace(0.0, most_volts, VOLTAGES)
    speed, motor_volts = np.meshgrid(SPEEDS, volts, indexing="ij")
    thrust, amps, turns = model.at(motor_volts, speed)
    force, current, shaft = (Lookup(volts, one) for one in (thrust / USUAL_SHARE, amps, turns))
    return FanUnit(force, current, shaft, model.ring, model)


def usual_point(fan: Fan, volts: float, amps: float, density: float) -> tuple[float, float, float]:
    """(thrust N, volts, amps) a fan usually gives at its seller's voltage: 0.85 of the current, 0.85 of that power
    at the shaft, 0.75 of the ideal thrust for it."""
    amps = CLAIM_SHARE * amps
    ideal = duct_thrust(SHAFT_SHARE * amps * volts, np.pi / 4.0 * fan.nozzle**2, density)
    return float(USUAL_SHARE * ideal), volts, amps


@lru_cache(maxsize=32)
def propeller_unit(
    motor: Motor,
    propeller: Propeller,
    own: tuple[tuple[float, float, float], ...],
    density: float,
    most_volts: float,
    reckon: bool = False,
) -> tuple[PropellerUnit, str]:
    """(unit, words on where its coefficients come from): every point of the grid matched once.

    Arguments: ``motor``, ``propeller``; ``own`` rows of the builder (J, CT, CP); ``density`` kg/m3;
    ``most_volts`` the highest voltage asked later; ``reckon`` leaves tables aside. Windmilling is a point of the
    grid like any other: the current is then 0 and the torque that of the idle current against the air.
    """
    shape, words = coefficients(propeller, own)
    if reckon:
        shape, words = blade_table(propeller), "blade elements"
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
    trial = np.linspace(0.02, 1.0, TRIALS)[:, None] * top
    driven = surplus(trial, speed, volts)
    start = np.take_along_axis(trial, np.argmax(driven > 0.0, axis=0)[None], axis=0)[0]
    start = np.where(driven.max(axis=0) > 0.0, start, 0.5)
    found = elementwise.find_root(
        surplus, (start, top), args=(speed, volts), tolerances={"xrtol": 1e-6, "fatol": 1e-7}
    )
    return np.where(found.success, found.x, 0.5)
