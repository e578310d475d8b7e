"""Electric motor of first order: a speed constant, a resistance and a current that only turns it.

w = k (E - I R), torque (I - I0)/k, with k in rad/s per volt. Widely printed; here checked against the
test example of a public course page (24 V, 256 rpm/V, 0.111 ohm, 3 A). Part throttle: the voltage at the
motor is the duty times that of the pack; the controller's own loss at part duty is a judgement.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planewright.errors import OutOfRange
from planewright.plane.model import Motor

Array = npt.NDArray[np.float64]
Number = Array | float

SWITCHING = 0.08
"""Extra pack current at part throttle, times duty (1 - duty). Judgement: no published figure could be read."""


def speed_at(motor: Motor, volts: Number, amps: Number) -> Array:
    """Shaft speed, rad/s, at ``volts`` on the motor and ``amps`` through it."""
    return np.asarray(motor.speed_constant * (volts - np.asarray(amps) * motor.resistance))


def torque_at(motor: Motor, amps: Number) -> Array:
    """Shaft torque, N m. The idle current makes none: torque_at(motor, motor.idle) is 0."""
    return np.asarray((np.asarray(amps) - motor.idle) / motor.speed_constant)


def amps_at(motor: Motor, volts: Number, speed: Number) -> Array:
    """Current, A, at ``volts`` and shaft ``speed`` (rad/s); never below 0: controllers do not push back."""
    return np.asarray(np.maximum((volts - np.asarray(speed) / motor.speed_constant) / motor.resistance, 0.0))


def efficiency(motor: Motor, volts: Number, amps: Number) -> Array:
    """Shaft power over electrical power at the motor."""
    return np.asarray(torque_at(motor, amps) * speed_at(motor, volts, amps) / (volts * np.asarray(amps)))


MAGNET_PER_KELVIN, COPPER_PER_KELVIN = 0.0006, 0.0039
"""Rise of the speed constant (magnets weaken: 0.0005 to 0.0011, from memory) and of the resistance of copper."""
HEAT_CAPACITY_PACK, HEAT_CAPACITY_MOTOR = 1000.0, 450.0
"""J/(kg K): a lithium-polymer pack (from memory); copper and iron of a motor (from memory)."""


def warm(motor: Motor, celsius: float) -> Motor:
    """The motor at a winding temperature of ``celsius`` (-20 to 150) instead of the 20 degrees it is stated at."""
    if not -20.0 <= celsius <= 150.0:
        raise OutOfRange("temperature of the motor in C", celsius, -20.0, 150.0)
    above = celsius - 20.0
    return replace(
        motor,
        speed_constant=motor.speed_constant * (1.0 + MAGNET_PER_KELVIN * above),
        resistance=motor.resistance * (1.0 + COPPER_PER_KELVIN * above),
    )


@dataclass(frozen=True)
class Losses:
    """Where a motor's power goes, W: ``copper`` heats the winding, ``iron`` what the idle current takes, ``shaft``."""

    copper: Array
    iron: Array
    shaft: Array


def losses(motor: Motor, volts: Number, amps: Number) -> Losses:
    """Power in a motor at ``volts`` and ``amps``; the three add up to volts times amps. At part load iron leads."""
    amps = np.asarray(amps, dtype=np.float64)
    inner = volts - amps * motor.resistance
    return Losses(amps**2 * motor.resistance, motor.idle * inner, (amps - motor.idle) * inner)


def idle_line(low: tuple[float, float], high: tuple[float, float]) -> tuple[float, float]:
    """(a, b) of idle current a + b w from two no-load runs, each (shaft speed rad/s, current A)."""
    if low[0] == high[0]:
        raise OutOfRange("shaft speed of the second no-load run", high[0], 0.0, np.inf)
    slope = (high[1] - low[1]) / (high[0] - low[0])
    return low[1] - slope * low[0], slope


def heating(watts: Number, mass: float, capacity: float) -> Array:
    """Temperature rise, K/min, without any cooling: power over mass (kg) and heat capacity (J/(kg K))."""
    return np.asarray(60.0 * np.asarray(watts) / (mass * capacity))


def best_amps(motor: Motor, volts: Number) -> Array:
    """Current of best efficiency, A: sqrt(I0 V/R)."""
    return np.asarray(np.sqrt(motor.idle * np.asarray(volts) / motor.resistance))


def pack_amps(motor_amps: Number, duty: Number) -> Array:
    """Current drawn from the pack, A, when the controller lets ``duty`` (0 to 1) of the voltage through.

    duty I (1 + 0.08 duty (1 - duty)): at half throttle the pack gives 0.51 of the motor's current.
    """
    return np.asarray(duty * np.asarray(motor_amps) * (1.0 + SWITCHING * duty * (1.0 - np.asarray(duty))))
