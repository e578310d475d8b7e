"""Where the balance point may lie: margins, stick fixed and free, and the limits forward and aft.

Aft, the static margin. Forward, whatever the elevator can still do: hold the stall in free air, hold it just above the
runway, and lift the nose wheel at take-off. Sources: B. Etkin and L. D. Reid, Dynamics of Flight, 1996, chapter 2
(stick fixed and free); moments about the wheels (statics).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel
from planewright.analysis.atmosphere import GRAVITY, SEA_LEVEL_DENSITY
from planewright.analysis.handling.derivatives import downwash_slope
from planewright.analysis.handling.hinge import hinge_slopes
from planewright.analysis.handling.motion import thrust_arm
from planewright.analysis.model import MassState, States
from planewright.plane.model import Plane, Wheel

Array = npt.NDArray[np.float64]

HALVINGS, FASTEST_SHARE = 30, 2.0


@dataclass(frozen=True)
class Rotation:
    """``speed`` (N,) m/s at which full elevator lifts the nose wheel; ``lifts``: False where it does not even at twice
    the lift-off speed (``speed`` is then that). ``fore`` (N,) m: balance point ahead of which it does not lift at the
    lift-off speed. ``nose_load`` (N,): part of the weight on the nose wheel at rest with full thrust."""

    speed: Array
    lifts: npt.NDArray[np.bool_]
    fore: Array
    nose_load: Array


def stick_free_margin(model: AirModel, states: States, mass: MassState) -> Array:
    """Static margin with the elevator floating, part of the mean chord, (N,).

    The elevator trails by b1/b2 of the tail's own angle, (1 - downwash) of alpha: thin-section hinge moments at its
    chord, no friction, no weight. With the servo switched on the elevator does not float: this is the margin that a
    stripped servo or a loose linkage would leave.
    """
    wash, own, _ = downwash_slope(model)
    plane = model.geometry.plane
    chords = [one.chord for one in plane.controls if one.name in model.elevator]
    if not chords or own == 0:
        return model.static_margin(states, mass)
    b1, b2 = hinge_slopes(float(np.mean(chords)))
    float_slope = -(b1 / b2) * (1 - wash)
    arm = (mass.cg[0] - model.about_x) / model.reference.chord - states.shift("np.shift")
    gain = states.factor("sec.slope") * states.factor("ctl.effect")
    lift = gain * model.lift[3]
    moment = gain * model.pitch[3] + lift * arm
    slope = model.slope(states) + lift * float_slope
    fixed = -model.slope(states) * model.static_margin(states, mass)
    return np.asarray(-(fixed + moment * float_slope) / slope)


def aft_limit(model: AirModel, states: States, margin: float) -> Array:
    """x of the balance point, m, at which the static margin falls to ``margin``, (N,)."""
    return np.asarray(model.neutral_point_x(states) - margin * model.reference.chord)


def fore_limit(
    model: AirModel,
    states: States,
    lift: Array,
    speed: Array,
    density: float = SEA_LEVEL_DENSITY,
    turn: float = 0.0,
) -> Array:
    """x of the balance point, m, ahead of which full up elevator does not hold ``lift`` (coefficient), gliding, (N,).

    Exact for the linear air: at a lift the elevator is linear in the balance point. Use :func:`near_ground` for the
    flare. ``turn``: how much further the elevator stands at this lift than linear air says, rad (section curves past
    their straight part). -inf without an elevator that works.
    """
    chord = model.reference.chord
    places = [np.full(states.count, model.about_x + step) for step in (0.0, chord)]
    here, back = (model.trim_at(states, x, lift, speed, density, 0.0).elevator for x in places)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = model.about_x + chord * (model.elevator_limits[0] - turn - here) / (back - here)
    return np.where(np.isfinite(found), found, -np.inf)


def _wheels(plane: Plane) -> tuple[Wheel, Wheel] | None:
    nose = [one for one in plane.wheels if one.name == "nose"]
    mains = [one for one in plane.wheels if one.name == "main" and one.y > 0]
    return (nose[0], mains[0]) if nose and mains and mains[0].x > nose[0].x else None


def ground_attitude(plane: Plane) -> float:
    """Angle of the body line to the ground, rad, nose up positive, standing on nose wheel and mains; 0 otherwise."""
    wheels = _wheels(plane)
    if wheels is None:
        return 0.0
    return float(np.arctan2(wheels[1].z - wheels[0].z, wheels[1].x - wheels[0].x))


def rotation(
    ground: AirModel,
    states: States,
    mass: MassState,
    lift_off: Array,
    thrust: Callable[[Array], Array],
    friction: Array,
    density: float = SEA_LEVEL_DENSITY,
) -> Rotation | None:
    """Lifting the nose wheel with full up elevator, rolling on nose wheel and mains.

    Arguments: ground: the air over the runway (:func:`near_ground`). lift_off: speed m/s, (N,). thrust: speed (N,) ->
    N (N,). friction: rolling coefficient (N,).
    Moments about the balance point with the nose wheel just unloaded: air, line of thrust, the mains' load behind it
    and their friction below it. None without a nose wheel ahead of mains, or without an elevator.
    """
    plane = ground.geometry.plane
    wheels = _wheels(plane)
    if wheels is None or not ground.elevator:
        return None
    nose, main = wheels
    weight, arm = mass.mass * GRAVITY, thrust_arm(plane, mass.cg)
    back, height = main.x - mass.cg[0], mass.cg[2] - main.z
    state = ground.at_angle(
        states, mass, ground_attitude(plane), lift_off, density, ground.elevator_limits[0]
    )
    size = 0.5 * density * ground.reference.area

    def loads(speed: Array) -> tuple[Array, Array, Array]:
        up = size * speed**2 * state.lift
        turn = size * ground.reference.chord * speed**2 * state.moment
        return np.minimum(up, weight), turn + thrust(speed) * arm, weight - np.minimum(up, weight)

    low, high = np.zeros(states.count), FASTEST_SHARE * lift_off
    end = loads(high)
    lifts = end[1] >= end[2] * (back + friction * height)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        _, turn, stands = loads(middle)
        short = turn < stands * (back + friction * height)
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    up, turn, stands = loads(lift_off)
    fore = (stands * (main.x + friction * height) + up * mass.cg[0] - turn) / weight
    base = main.x - nose.x
    push = thrust(np.zeros(states.count))
    load = (back + friction * height - push * arm / weight) / base
    return Rotation(high, np.asarray(lifts), np.asarray(fore), np.asarray(load))
