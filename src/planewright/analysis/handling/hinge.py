"""Hinge moments of controls and what they leave of a servo.

Ch = b1 alpha + b2 delta by thin-section theory on the flap chord, sealed gap, hinge at the flap's nose; the factor
``hinge.factor`` (real plain flaps have 0.5 to 0.7 of theory, unverified) multiplies it. Horns of servo and surface
are taken as equally long, so that both turn through the same angle (assumed).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel, Trim
from planewright.analysis.atmosphere import GRAVITY, SEA_LEVEL_DENSITY
from planewright.analysis.model import MassState, States
from planewright.geometry import Geometry, SurfaceShape
from planewright.plane.model import Control

Array = npt.NDArray[np.float64]

ABOVE_PLACARD = 1.2
"""How far above its placard a fast aeroplane may stray (judgement)."""


def hinge_slopes(part: float) -> tuple[float, float]:
    """b1 and b2: hinge moment coefficient per radian of incidence and of deflection.

    Arguments: part: flap chord over section chord, above 0, up to 1.
    Returns: (b1, b2), both negative: the moment lifts the trailing edge against the deflection.
    Source: H. Glauert, ARC R&M 1095, 1927; closed forms as in E. L. Houghton and P. W. Carpenter, Aerodynamics for
    Engineering Students, thin-aerofoil chapter. Upper bound: real hinge moments are smaller.
    Raises: ValueError outside its range.
    """
    if not 0 < part <= 1:
        raise ValueError("the flap chord must be a part of the section's chord, above 0 and up to 1")
    angle = float(np.arccos(2 * part - 1))
    rest, sine = np.pi - angle, float(np.sin(angle))
    fore = 1 - part
    b1 = -((0.5 - 2 * fore) * rest + 2 * fore * sine + float(np.sin(2 * angle)) / 4) / part**2
    b2 = (1 - np.cos(2 * angle)) - 2 * rest**2 * (1 - 2 * np.cos(angle)) + 4 * rest * sine
    return float(b1), float(-b2 / (4 * np.pi * part**2))


@dataclass(frozen=True)
class HingeRow:
    """One control at full travel. ``moment`` (N,): N m that one servo must hold; ``torque`` N m it has at its
    voltage; ``margin`` (N,): torque over moment; ``angle`` rad of full travel, ``speed`` m/s."""

    control: str
    servo: str
    moment: Array
    torque: float
    margin: Array
    angle: float
    speed: float


def chord_squared(shape: SurfaceShape, start: float, end: float, part: float) -> float:
    """Integral of the squared flap chord along one half of a surface from ``start`` to ``end`` (out, m), m3.

    Simpson's rule between kinks, exact for straight edges.
    """
    out = np.array([one.out for one in shape.surface.stations])
    places = np.unique(np.concatenate(([start, end], out[(out > start) & (out < end)])))
    chord = part * np.interp(places, out, shape.chord)
    middle = (chord[1:] + chord[:-1]) / 2
    return float((np.diff(places) * (chord[:-1] ** 2 + 4 * middle**2 + chord[1:] ** 2)).sum() / 6)


def hinge_speed(placard: float, top: float | None = None) -> float:
    """Speed at which servos are judged, m/s: the placard, or up to 1.2 of it when level flight can pass it.

    Arguments: placard: m/s. top: greatest level speed, m/s, or None when not known.
    One rule for every aeroplane (judgement): an aeroplane that cannot pass its placard in level flight is judged
    at it; one that can is judged at its top speed, but no higher than 1.2 placard.
    """
    return float(np.clip(placard if top is None else top, placard, ABOVE_PLACARD * placard))


def _row(
    control: Control, geometry: Geometry, states: States, speed: float, density: float, alpha: float
) -> HingeRow:
    """Margin of one control."""
    shape = geometry.surfaces[control.on]
    servo = geometry.plane.servos[control.servo]
    b1, b2 = hinge_slopes(control.chord)
    angle = max(control.up, control.down)
    halves = 2 if shape.surface.paired else 1
    size = chord_squared(shape, control.start, control.end, control.chord) * halves / max(control.count, 1)
    theory = 0.5 * density * speed**2 * size * (abs(b2) * angle + abs(b1 * alpha))
    moment = states.factor("hinge.factor") * theory
    return HingeRow(control.name, servo.name, moment, servo.torque, servo.torque / moment, angle, speed)


def servo_margins(
    states: States,
    geometry: Geometry,
    speed: float,
    density: float = SEA_LEVEL_DENSITY,
    alpha: float = 0.0,
) -> tuple[HingeRow, ...]:
    """Margin of every control whose servo and surface are known, at full travel, in file order.

    Arguments: speed: m/s, from :func:`hinge_speed`. density: kg/m3. alpha: incidence of the section that adds to
    the deflection, rad (0: the deflection alone).
    """
    plane = geometry.plane
    known = [one for one in plane.controls if one.on in geometry.surfaces and one.servo in plane.servos]
    return tuple(_row(one, geometry, states, speed, density, alpha) for one in known)


SLIP = np.deg2rad(10.0)
"""Sideslip at which a rudder may be pushed over (judgement)."""
PROVE = 1.5
"""Load on a linkage, over the greatest hinge moment, at which it is proved (factor 1.5 on limit load as of structure,
14 CFR 25.303 by analogy)."""


@dataclass(frozen=True)
class HingeRange:
    """The greatest hinge moment of one control over trimmed speeds, full travel and, for a rudder, sideslip.

    ``moment`` (N,) N m for one servo; ``margin`` (N,): its torque over that; ``speed`` (N,) m/s at which it occurs;
    ``arm`` m from hinge to trailing edge in the middle of the control and ``prove`` (N,) kg hung there that loads servo
    and linkage 1.5 times as much (on each half of a paired control at once)."""

    control: str
    servo: str
    torque: float
    moment: Array
    margin: Array
    speed: Array
    arm: float
    prove: Array


def _incidence(model: AirModel, states: States, control: Control, trim: Trim) -> Array:
    """Mean incidence of the section along a control from its lift, cl / 2 pi, rad, (N,)."""
    shape = model.geometry.surfaces[control.on]
    number = model.solution.grid.names.index(control.on)
    out = model.strips.part * shape.surface.half_span + shape.surface.stations[0].out
    mine = (model.strips.sheet == number) & (out >= control.start) & (out <= control.end)
    if not mine.any():
        return np.zeros(states.count)
    return np.asarray(model.strip_lift(states, trim.alpha, trim.elevator)[mine].mean(axis=0) / (2 * np.pi))


def hinge_range(
    model: AirModel,
    states: States,
    mass: MassState,
    speeds: Sequence[Array],
    density: float = SEA_LEVEL_DENSITY,
) -> tuple[HingeRange, ...]:
    """Greatest hinge moment of every control whose servo and surface are known, in file order.

    Arguments: speeds: (N,) m/s each, from the stall to the fastest. At each the aeroplane is trimmed; the control then
    goes to full travel either way while its section stays at its trimmed incidence (a rudder: 10 degrees of sideslip):
    |b2| travel + |b1| incidence, times ``hinge.factor``. Friction and the tape's own stiffness come on top.
    """
    plane = model.geometry.plane
    known = [one for one in plane.controls if one.on in model.geometry.surfaces and one.servo in plane.servos]
    trims = [(speed, model.trim(states, mass, speed, density)) for speed in speeds]
    return tuple(_range_of(model, states, one, trims, density) for one in known)


def _range_of(
    model: AirModel, states: States, control: Control, trims: Sequence[tuple[Array, Trim]], density: float
) -> HingeRange:
    """The greatest moment of one control."""
    shape = model.geometry.surfaces[control.on]
    servo = model.geometry.plane.servos[control.servo]
    b1, b2 = hinge_slopes(control.chord)
    travel = max(control.up, control.down)
    halves = 2 if shape.surface.paired else 1
    square = chord_squared(shape, control.start, control.end, control.chord)
    size = 0.5 * density * square * halves / max(control.count, 1) * states.factor("hinge.factor")
    moments = []
    for speed, trim in trims:
        angle = SLIP if shape.surface.kind == "fin" else _incidence(model, states, control, trim)
        moments.append(size * np.square(speed) * (abs(b2) * travel + abs(b1) * np.abs(angle)))
    table = np.array(moments)
    worst = table.argmax(axis=0)
    moment = table[worst, np.arange(states.count)]
    fast = np.array([np.broadcast_to(one, (states.count,)) for one, _ in trims])[
        worst, np.arange(states.count)
    ]
    out = np.array([one.out for one in shape.surface.stations])
    arm = control.chord * float(np.interp((control.start + control.end) / 2, out, shape.chord))
    prove = PROVE * moment * max(control.count, 1) / halves / (arm * GRAVITY)
    return HingeRange(control.name, servo.name, servo.torque, moment, servo.torque / moment, fast, arm, prove)
