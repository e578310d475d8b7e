"""Momentum theory: the most thrust that a power can give, with an open disc or out of a duct.

Sources: open disc: M. S. Selig, G. K. Ananda, Low Reynolds Number Propeller Performance Data: Wind Tunnel
Corrections for Motor Fixture Drag, AE 15-01, University of Illinois, 2015, equation 10. Duct whose jet fills
its nozzle at ambient pressure: from the balance of momentum and energy; no printed equation was read.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.errors import OutOfRange

Array = npt.NDArray[np.float64]
Number = Array | float

ROUNDS = 12


def disc_induced_speed(thrust: Number, area: float, density: float, speed: Number = 0.0) -> Array:
    """Speed, m/s, that an open disc adds to the air passing through it; the far wake has twice as much.

    Arguments: ``thrust`` N (not negative), ``area`` of the disc m2, ``density`` kg/m3, flight ``speed`` m/s.
    """
    flight = np.asarray(speed, dtype=np.float64)
    root = np.sqrt(flight**2 + 2.0 * np.asarray(thrust) / (density * area))
    return np.asarray(0.5 * (root - flight))


def disc_power(thrust: Number, area: float, density: float, speed: Number = 0.0) -> Array:
    """Least power, W, for ``thrust`` (N) from an open disc: T (V + v)."""
    return np.asarray(thrust * (speed + disc_induced_speed(thrust, area, density, speed)))


def disc_thrust(power: Number, area: float, density: float, speed: Number = 0.0) -> Array:
    """Greatest thrust, N, of an open disc from ``power`` (W) at flight ``speed`` (m/s); inverse of disc_power.

    Newton's method on T (V + v(T)) = P from the static answer, which lies above the root.
    """
    thrust = np.cbrt(2.0 * density * area * np.square(power)) + 0.0 * np.asarray(speed, dtype=np.float64)
    for _ in range(ROUNDS):
        induced = disc_induced_speed(thrust, area, density, speed)
        slope = speed + induced + thrust / (density * area) / (2.0 * (2.0 * induced + speed) + 1e-300)
        thrust = thrust - (thrust * (speed + induced) - power) / np.maximum(slope, 1e-300)
    return np.asarray(thrust)


def duct_thrust(power: Number, nozzle: float, density: float) -> Array:
    """Greatest static thrust, N, of a duct: (4 rho Ae P^2)^(1/3); ``power`` W in the jet, ``nozzle`` area m2."""
    return np.asarray(np.cbrt(4.0 * density * nozzle * np.square(power)))


def duct_power(thrust: Number, nozzle: float, density: float) -> Array:
    """Power in the jet, W, of a duct at rest giving ``thrust`` (N): T^1.5/sqrt(4 rho Ae)."""
    return np.asarray(np.power(thrust, 1.5) / np.sqrt(4.0 * density * nozzle))


def exit_speed(thrust: Number, nozzle: float, density: float) -> Array:
    """Speed of the jet, m/s, of a duct at rest giving ``thrust`` (N) through ``nozzle`` (m2)."""
    return np.asarray(np.sqrt(np.asarray(thrust) / (density * nozzle)))


def exit_speed_in_flight(static_exit: Number, speed: Number) -> Array:
    """Speed of the jet in flight, m/s, when the power given to the jet stays that of the bench.

    Root of Ve^3 - Ve V^2 = Ve0^3 by Newton's method from above; ``static_exit`` Ve0, flight ``speed`` V, m/s.
    Within 1 % of thrust of a fan model with losses and a rotor characteristic (trial of our own).
    """
    start, flight = np.asarray(static_exit, dtype=np.float64), np.asarray(speed, dtype=np.float64)
    if np.any(start < 0.0) or np.any(flight < 0.0):
        raise OutOfRange("exit or flight speed in m/s", float(min(start.min(), flight.min())), 0.0, np.inf)
    exit_ = start + flight
    for _ in range(ROUNDS):
        slope = 3.0 * exit_**2 - flight**2
        exit_ = exit_ - (exit_**3 - exit_ * flight**2 - start**3) / np.maximum(slope, 1e-12)
    return np.asarray(np.maximum(exit_, flight))


def duct_thrust_in_flight(static_thrust: Number, nozzle: float, density: float, speed: Number) -> Array:
    """Thrust, N, at flight ``speed`` (m/s) of a duct that gives ``static_thrust`` (N) on the bench.

    rho Ae Ve (Ve - V): the drag of taking the air aboard is inside and must not be counted on the airframe.
    """
    exit_ = exit_speed_in_flight(exit_speed(static_thrust, nozzle, density), speed)
    return np.asarray(density * nozzle * exit_ * (exit_ - speed))


def claim_shares(
    thrust: float, volts: float, amps: float, area: float, density: float, duct: bool
) -> tuple[float, float]:
    """(share of the ideal from the whole electrical power, share from 0.85 of it) that a seller's static thrust asks.

    ``area`` m2 of the nozzle of a duct, or of the disc of an open propeller. Above 1 the first is impossible; a second
    above 0.85 deserves a question: rotor and duct losses leave 0.60 to 0.81 (judgement).
    """
    nozzle = area if duct else 0.5 * area
    whole, shaft = (duct_thrust(share * volts * amps, nozzle, density) for share in (1.0, 0.85))
    return float(thrust / whole), float(thrust / shaft)
