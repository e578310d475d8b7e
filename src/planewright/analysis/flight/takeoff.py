"""Take-off run: speed by speed from rest to lift-off, for all draws at once.

The acceleration at each speed is (thrust - drag - friction x (weight - lift))/mass; the run is the integral of
V dV/a. Source of the force balance: J. D. Anderson, Aircraft Performance and Design, 1999, section 6.7, solved
here by quadrature instead of with mean values, because the thrust of a propeller falls fast with speed.
A pilot lifts off later than this: the run is the shortest that the forces allow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import GRAVITY
from planewright.errors import OutOfRange

Array = npt.NDArray[np.float64]
Number = Array | float

STEPS = 40
LIFT_OFF_RATIO = 1.15
"""Lift-off speed over stall speed. Common practice, no source."""


@dataclass(frozen=True)
class GroundRun:
    """A run from rest: ``distance`` m and ``time`` s to lift-off, both infinite where it never gets there;
    ``possible`` says where it does; ``slowest`` is the least acceleration on the way, m/s2. Shapes (N,)."""

    distance: Array
    time: Array
    possible: npt.NDArray[np.bool_]
    slowest: Array


def lift_off_speed(stall: Number, ratio: float = LIFT_OFF_RATIO) -> Array:
    """Speed at which the wheels leave the ground, m/s: ``ratio`` times the stall speed, shape (N,)."""
    return np.asarray(ratio * np.asarray(stall, dtype=np.float64))


def ground_effect(height: Number, span: float) -> tuple[Array, Array]:
    """Factors on (induced drag, lift slope) of a wing at ``height`` (m, of its mean quarter chord) above ground.

    Source: a fit to our own lattice with its mirror image (0.524, 0.717, 0.909 on induced drag and 1.249, 1.100,
    1.025 on the slope at height/span 0.1, 0.2, 0.5), within 0.011. Valid from height/span 0.05 up.
    """
    ratio = np.asarray(height, dtype=np.float64) / span
    if np.any(ratio < 0.05):
        raise OutOfRange("height over span", float(np.min(ratio)), 0.05, np.inf)
    image = np.exp(-4.0 * ratio**0.73)
    return 1.0 - image, 1.0 + 0.85 * image**1.65


def rolling_drag_coefficient(
    parasite: Number, induced_factor: Number, lift_coefficient: Number, induced_share: Number = 1.0
) -> Array:
    """Drag coefficient on the run: CD0 + k CL^2 with the induced part cut by ground effect, shape (N,).

    Arguments: ``parasite`` CD0, ``induced_factor`` k = 1/(pi e A) in free air, ``lift_coefficient`` while the
    wheels are on the ground, ``induced_share`` first factor of :func:`ground_effect`.
    """
    return np.asarray(parasite + induced_share * induced_factor * np.square(lift_coefficient))


def ground_run(
    thrust: Callable[[Array], Array],
    mass: Number,
    area: float,
    density: Number,
    lift_off: Number,
    lift_coefficient: Number,
    drag_coefficient: Number,
    friction: Number,
    slope: float = 0.0,
    steps: int = STEPS,
) -> GroundRun:
    """Run from rest to lift-off in still air.

    Arguments:
        thrust: callable, speed (N,) m/s -> total thrust (N,) N along the runway.
        mass: kg. area: m2. density: kg/m3. lift_off: speed, m/s, above 0.
        lift_coefficient, drag_coefficient: while rolling, on ``area``; numbers or (N,).
        friction: rolling coefficient (mown grass 0.05 to 0.10, dry concrete 0.02 to 0.03, published range).
        slope: rise of the runway, height over length; uphill positive.
        steps: number of speed steps; each uses the speed in its middle.
    Returns: :class:`GroundRun` with arrays (N,).
    """
    end = np.atleast_1d(np.asarray(lift_off, dtype=np.float64))
    if np.any(end <= 0.0):
        raise OutOfRange("lift-off speed in m/s", float(end.min()), 0.0, np.inf)
    pressure_area = 0.5 * np.asarray(density) * area
    weight = np.asarray(mass) * GRAVITY
    distance, time, slowest, width = 0.0 * end, 0.0 * end, np.full_like(end, np.inf), end / steps
    for step in range(steps):
        speed = (step + 0.5) * width
        lift, drag = (pressure_area * speed**2 * one for one in (lift_coefficient, drag_coefficient))
        rolling = friction * np.maximum(weight - lift, 0.0)
        gain = (thrust(speed) - drag - rolling - weight * slope) / mass
        slowest = np.minimum(slowest, gain)
        steady = np.where(gain > 0.0, gain, np.inf)
        distance, time = distance + speed * width / steady, time + width / steady
    possible = slowest > 0.0
    return GroundRun(
        np.where(possible, distance, np.inf), np.where(possible, time, np.inf), possible, np.asarray(slowest)
    )


def free_roll(speed: Number, friction: Number) -> Array:
    """Distance, m, that the aeroplane rolls from ``speed`` (m/s) with power cut: V^2/(2 mu g), no air drag.

    Cautious: drag shortens it. ``friction`` must be above zero.
    """
    if np.any(np.asarray(friction) <= 0.0):
        raise OutOfRange("rolling friction", float(np.min(friction)), 0.0, np.inf)
    return np.asarray(np.square(speed) / (2.0 * np.asarray(friction) * GRAVITY))
