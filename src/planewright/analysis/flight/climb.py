"""Climb and glide: steady, in still air, from thrust and drag at one speed.

Source of the airborne distance: J. D. Anderson, Aircraft Performance and Design, 1999, section 6.7
(pull-up on a circle of radius 6.96 Vs^2/g, from 1.15 times the stall speed at 0.9 of the greatest lift).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import GRAVITY

Array = npt.NDArray[np.float64]
Number = Array | float

CLIMB_SHARE = 0.6
"""Part of the steady climb gradient that is counted on when trees must be cleared. Common practice, no source."""
PULL_UP = 1.15**2 / (0.9 * 1.15**2 - 1.0)


def thrust_to_weight(thrust: Number, mass: Number) -> Array:
    """Thrust (N) over the weight of ``mass`` (kg), shape (N,)."""
    return np.asarray(np.asarray(thrust) / (np.asarray(mass) * GRAVITY))


def climb_gradient(thrust: Number, drag: Number, mass: Number) -> Array:
    """Height gained over distance along the ground: tan(asin((T - D)/W)), shape (N,). Negative when sinking.

    Arguments: ``thrust``, ``drag`` N at the climbing speed, ``mass`` kg. The excess is cut at 0.99 of the weight.
    """
    sine = np.clip((np.asarray(thrust) - drag) / (np.asarray(mass) * GRAVITY), -0.99, 0.99)
    return np.asarray(sine / np.sqrt(1.0 - sine**2))


def rate_of_climb(thrust: Number, drag: Number, mass: Number, speed: Number) -> Array:
    """Steady rate of climb, m/s: V (T - D)/W, shape (N,)."""
    return np.asarray(speed * (np.asarray(thrust) - drag) / (np.asarray(mass) * GRAVITY))


def top_speed(
    thrust: Callable[[Array], Array],
    drag: Callable[[Array], Array],
    slow: Number,
    fast: float,
    steps: int = 60,
) -> Array:
    """Greatest speed, m/s, (N,), between ``slow`` and ``fast`` at which thrust still carries the drag.

    ``thrust``, ``drag``: callables, speed (N,) -> N. ``fast`` where it still does there; nan where it never does.
    Straight lines between ``steps`` speeds: within 0.01 m/s for smooth curves.
    """
    start = np.atleast_1d(np.asarray(slow, dtype=np.float64))
    best, before = np.full(start.shape, np.nan), np.full(start.shape, np.nan)
    for part in np.linspace(0.0, 1.0, steps + 1):
        speed = start + part * (fast - start)
        spare = thrust(speed) - drag(speed)
        step = (fast - start) / steps
        crossed = (before >= 0.0) & (spare < 0.0)
        fall = np.where(crossed, before - spare, 1.0)
        best = np.where(crossed, speed - step * np.where(crossed, -spare, 0.0) / fall, best)
        best = np.where(spare >= 0.0, speed, best)
        before = spare
    return best


def glide_ratio(lift_coefficient: Number, drag_coefficient: Number) -> Array:
    """Distance over height lost without power, CL/CD, shape (N,)."""
    return np.asarray(np.asarray(lift_coefficient) / drag_coefficient)


def sink_rate(drag: Number, mass: Number, speed: Number) -> Array:
    """Rate of sink without power, m/s: V D/W for shallow glides, shape (N,)."""
    return -rate_of_climb(0.0, drag, mass, speed)


def distance_to_clear(height: Number, gradient: Number, share: float = CLIMB_SHARE) -> Array:
    """Distance along the ground, m, to gain ``height`` (m, trees and margin) at ``share`` of the ``gradient``.

    Infinite where the gradient is not above zero. Shape (N,).
    """
    counted = share * np.asarray(gradient, dtype=np.float64)
    climbs = counted > 0.0
    return np.where(climbs, height / np.where(climbs, counted, 1.0), np.inf)


def airborne_distance(stall: Number, height: Number) -> Array:
    """Distance along the ground, m, from lift-off to ``height`` (m) while pulling up on a circle.

    ``stall`` in m/s. Holds while the circle's top is above ``height``; beyond, the quarter circle is returned.
    """
    radius = PULL_UP * np.square(stall) / GRAVITY
    cosine = np.clip(1.0 - np.asarray(height) / radius, 0.0, 1.0)
    return np.asarray(radius * np.sqrt(1.0 - cosine**2))
