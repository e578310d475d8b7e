"""One engine stopped: how slow the rudder still holds the aeroplane straight.

Balance of yawing moments at no sideslip and no bank: rudder at full travel against thrust at its arm and the drag
of the stopped engine. Sideslip and 5 deg of bank would help a little: left out, on the cautious side.
Source: definition of minimum control speed in any course of stability and control; 14 CFR 23.149 in words.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel
from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY
from planewright.analysis.model import States
from planewright.plane.model import Engine

Array = npt.NDArray[np.float64]

BLADE, BLADE_WIDTH, SHUT_DUCT = 1.1, 0.07, 0.8
"""Stopped blades on their area, blade width over diameter, and a stopped fan on its annulus (judgement)."""
SLOWEST, FASTEST, HALVINGS = 1.0, 45.0, 30


@dataclass(frozen=True)
class Yaw:
    """``speed`` (N,): m/s below which full rudder no longer holds; ``held`` (N,): False where not even 45 m/s
    does (speed is then 45); ``angle`` (N,): rudder, rad, at the speed asked for (nan when none was)."""

    speed: Array
    held: npt.NDArray[np.bool_]
    angle: Array


def stopped_drag_area(engine: Engine) -> float:
    """Drag area of a stopped engine, m2: bare blades, or the blocked annulus of a fan (judgement, +-50 %)."""
    if engine.fan is not None:
        return SHUT_DUCT * np.pi / 4 * (engine.fan.inside**2 - engine.fan.hub**2)
    if engine.propeller is None:
        return 0.0
    size = engine.propeller.diameter
    width = engine.propeller.width or BLADE_WIDTH * size
    return BLADE * engine.propeller.blades * width * 0.8 * size / 2


def rudder_power(model: AirModel, states: States, x: Array) -> Array:
    """Yawing moment coefficient per radian of rudder about ``x`` (m), magnitude, (N,).

    Lattice of fin, tail and wing, times ``sec.slope`` and ``ctl.effect``. Zero without a rudder.
    """
    names = [one.name for one in model.geometry.plane.controls if one.kind == "rudder"]
    table = model.derivatives()
    arm = (np.asarray(x) - model.about_x) / model.reference.span
    power = sum((table["N"][name] + table["Y"][name] * arm for name in names), start=np.zeros(states.count))
    return np.abs(power) * states.factor("sec.slope") * states.factor("ctl.effect")


def rudder_travel(model: AirModel) -> float:
    """Least full travel of the rudders to either side, rad; 0 without one."""
    travels = [min(one.up, one.down) for one in model.geometry.plane.controls if one.kind == "rudder"]
    return min(travels, default=0.0)


def one_stopped(
    model: AirModel,
    states: States,
    x: Array,
    thrust: Callable[[Array], Array],
    arm: float,
    drag_area: float = 0.0,
    density: float = SEA_LEVEL_DENSITY,
    at: float | None = None,
) -> Yaw:
    """Lowest speed at which full rudder balances the engine that still runs.

    Arguments:
        x: centre of gravity, m, (N,). thrust: of the running engine at a speed, (N,) m/s -> (N,) N.
        arm: distance of the engines from the centreline, m. drag_area: of the stopped one, m2.
        at: a speed, m/s, for which the rudder angle is wanted.
    Method: bisection between 1 and 45 m/s; the rudder's moment grows with V^2, thrust falls with V.
    """
    size = model.reference.area * model.reference.span * rudder_power(model, states, x)

    def needed(speed: Array) -> Array:
        dynamic = 0.5 * density * speed**2
        moment = arm * (thrust(speed) + drag_area * dynamic)
        return np.asarray(moment / np.maximum(dynamic * size, 1e-12))

    full = rudder_travel(model)
    low, high = np.full(states.count, SLOWEST), np.full(states.count, FASTEST)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        short = needed(middle) > full
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    angle = needed(np.full(states.count, at)) if at is not None else np.full(states.count, np.nan)
    return Yaw(high, needed(np.full(states.count, FASTEST)) <= full, angle)


def steady_angle(
    model: AirModel, states: States, x: Array, moment: Array, speed: float, density: float = SEA_LEVEL_DENSITY
) -> Array:
    """Rudder angle, rad, that balances a steady yawing moment (N m, nose right positive) at a speed, (N,).

    Positive: trailing edge left (nose left). For thrusts that differ left and right, moment = sum of thrust times
    distance to the left engine less right.
    """
    size = 0.5 * density * speed**2 * model.reference.area * model.reference.span
    return np.asarray(moment / (size * rudder_power(model, states, x)))
