"""Hinge moments of controls and what they leave of a servo.

Ch = b1 alpha + b2 delta by thin-section theory on the flap chord, sealed gap, hinge at the flap's nose; the factor
``hinge.factor`` (real plain flaps have 0.5 to 0.7 of theory, unverified) multiplies it. Horns of servo and surface
are taken as equally long, so that both turn through the same angle (assumed).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY
from planewright.analysis.model import States
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
