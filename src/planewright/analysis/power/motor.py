"""Electric motor of first order: a speed constant, a resistance and a current that only turns it.

w = k (E - I R), torque (I - I0)/k, with k in rad/s per volt. Widely printed; here checked against the
test example of a public course page (24 V, 256 rpm/V, 0.111 ohm, 3 A). Part throttle: the voltage at the
motor is the duty times that of the pack; the controller's own loss at part duty is a judgement.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

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


def best_amps(motor: Motor, volts: Number) -> Array:
    """Current of best efficiency, A: sqrt(I0 V/R)."""
    return np.asarray(np.sqrt(motor.idle * np.asarray(volts) / motor.resistance))


def pack_amps(motor_amps: Number, duty: Number) -> Array:
    """Current drawn from the pack, A, when the controller lets ``duty`` (0 to 1) of the voltage through.

    duty I (1 + 0.08 duty (1 - duty)): at half throttle the pack gives 0.51 of the motor's current.
    """
    return np.asarray(duty * np.asarray(motor_amps) * (1.0 + SWITCHING * duty * (1.0 - np.asarray(duty))))
