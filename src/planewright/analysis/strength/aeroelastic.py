"""Stiffness against air: twist under load, divergence, what aileron is left, and bending with torsion.

A half wing as a straight cantilever of strips: what it twists, ``stiffness``, and what bends it. The numbers compare
seams, engine places and balances with one another. They are no limit speeds: see :data:`HONEST`.

Sources: divergence and aileron reversal of a cantilever by strip theory, as in T. H. G. Megson, Aircraft Structures
for engineering students; unsteady strips after T. Theodorsen, NACA Report 496 (1935); uniform cantilever of M. Goland,
J. Appl. Mech. 12 (1945) A197-A208. SI throughout.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.linalg import eig
from scipy.special import hankel2

Array = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complexfloating[Any, Any]]

HONEST = (
    "These speeds compare one way of building with another; none is a limit. They leave out aileron flutter with slop "
    "and soft servos, tail flutter, bending of the body, engine mounts, loose seams and flutter near the stall. 14 CFR "
    "23.629(d)(2) keeps simple rules to aeroplanes without large masses along the span: an engine on the wing lies "
    "outside it."
)
KEPT = 0.5
FIRST, LAST, STEPS, TURNS = 4.0, 200.0, 64, 4


@dataclass(frozen=True)
class Beam:
    """A half wing in strips, root to tip, arrays (n,).

    ``width``, ``chord`` m; ``axis``: elastic axis behind the front edge, m; ``bending`` EI and ``torsion`` GJ, N m2;
    ``mass`` kg/m; ``static``: mass times how far it lies behind the axis, kg; ``inertia`` about the axis, kg m.
    """

    width: Array
    chord: Array
    axis: Array
    bending: Array
    torsion: Array
    mass: Array
    static: Array
    inertia: Array

    @property
    def y(self) -> Array:
        """Middles of the strips from the root, m."""
        return np.asarray(np.cumsum(self.width) - self.width / 2)

    @property
    def length(self) -> float:
        """Root to tip, m."""
        return float(self.width.sum())

    @property
    def arm(self) -> Array:
        """How far the quarter chord lies ahead of the axis, m."""
        return self.axis - self.chord / 4


@dataclass(frozen=True)
class Aileron:
    """``covers`` (n,): share of each strip's width; ``lift``: dcl/ddelta over the section's own slope; ``moment``:
    dcm/ddelta about the quarter chord, per rad; ``slope`` of the section, per rad."""

    covers: Array
    lift: float
    moment: float


def twist_matrices(beam: Beam, slope: float) -> tuple[Array, Array]:
    """Stiffness and aerodynamic matrices (n, n) of the twists at the outer ends of the strips: K t = q A t.

    Straight twist between ends (consistent elements); ``slope``: lift slope per rad.
    """
    n = len(beam.width)
    stiff, air = np.zeros((n + 1, n + 1)), np.zeros((n + 1, n + 1))
    spring = np.array([[1.0, -1.0], [-1.0, 1.0]])
    share = np.array([[2.0, 1.0], [1.0, 2.0]]) / 6
    for i in range(n):
        at = slice(i, i + 2)
        stiff[at, at] += beam.torsion[i] / beam.width[i] * spring
        air[at, at] += slope * beam.chord[i] * beam.arm[i] * beam.width[i] * share
    return stiff[1:, 1:], air[1:, 1:]


def divergence_pressure(beam: Beam, slope: float) -> float:
    """Dynamic pressure, Pa, at which the wing twists off; inf when the air untwists it at every speed."""
    stiff, air = twist_matrices(beam, slope)
    values = np.linalg.eigvals(np.linalg.solve(stiff, air)).real
    most = float(np.max(values))
    return 1 / most if most > 1e-12 else float("inf")


def speed_of(pressure: float, density: float) -> float:
    """Speed of a dynamic pressure, m/s."""
    return float(np.sqrt(2 * pressure / density))


def twist_under(beam: Beam, slope: float, pressure: float, torque: Array) -> Array:
    """Twist (n,) at the outer ends of the strips, rad, nose up, under ``torque`` (n,) N m per metre about the axis,
    with what the air adds. ``pressure`` must lie below that of divergence."""
    stiff, air = twist_matrices(beam, slope)
    load = np.zeros(len(beam.width) + 1)
    load[:-1] += torque * beam.width / 2
    load[1:] += torque * beam.width / 2
    return np.asarray(np.linalg.solve(stiff - pressure * air, load[1:]))


def roll_kept(beam: Beam, slope: float, aileron: Aileron, pressure: float) -> float:
    """Rolling moment of the ailerons over that of a stiff wing (1: all of it, 0: reversed)."""
    per = slope * aileron.lift * aileron.covers
    torque = pressure * beam.chord * (beam.arm * per + beam.chord * aileron.moment * aileron.covers)
    twist = twist_under(beam, slope, pressure, torque)
    middle = (np.concatenate(([0.0], twist[:-1])) + twist) / 2
    stiff = float(np.sum(beam.chord * beam.width * beam.y * per))
    return float(np.sum(beam.chord * beam.width * beam.y * (per + slope * middle))) / stiff


def reversal_speed(beam: Beam, slope: float, aileron: Aileron, density: float, kept: float = KEPT) -> float:
    """Speed, m/s, at which the ailerons keep ``kept`` of their roll; that of divergence where none is lower."""
    end = divergence_pressure(beam, slope)
    high = min(end, 0.5 * density * 300.0**2) * (1 - 1e-9)
    if roll_kept(beam, slope, aileron, high * 0.999) > kept:
        return speed_of(high, density)
    low = 0.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if roll_kept(beam, slope, aileron, middle) > kept else (low, middle)
    return speed_of(low, density)


def flexibility_rule(beam: Beam) -> float:
    """Speed, m/s, of the published rule F = sum theta c^2 dy <= 200/V^2 (theta per torque at the tip, rad per ft lb;
    ft; mph): R. Rosenbaum, Simplified flutter prevention criteria, Airframe and Equipment Engineering Report 45 (the
    form from memory). Meant for balanced ailerons and no large masses along the span."""
    foot, pound_foot, mile_per_hour = 0.3048, 1.3558179, 0.44704
    twist = np.cumsum(beam.width / beam.torsion) - beam.width / beam.torsion / 2
    flexibility = float(np.sum(twist * pound_foot * (beam.chord / foot) ** 2 * beam.width / foot))
    return float(np.sqrt(200.0 / flexibility)) * mile_per_hour


# Bending with torsion


def theodorsen(k: Array) -> Complex:
    """C(k) = H1/(H1 + i H0) of the second kind; 1 at k = 0. NACA Report 496."""
    safe = np.maximum(k, 1e-6)
    one, two = hankel2(1, safe), hankel2(0, safe)
    return np.asarray(np.where(k < 1e-5, 1.0, one / (one + 1j * two)))


def shapes(beam: Beam) -> tuple[Array, Array, Array, Array]:
    """Two bending shapes and their curvatures, two torsion shapes and their slopes, (2, n) each at the strips: those
    of a uniform cantilever."""
    t = beam.y / beam.length
    bend, curve = [], []
    for root in (1.8751040687, 4.6940911330):
        ratio = (np.sinh(root) - np.sin(root)) / (np.cosh(root) + np.cos(root))
        z = root * t
        bend.append((np.cosh(z) - np.cos(z) - ratio * (np.sinh(z) - np.sin(z))) / 2)
        more = np.cosh(z) + np.cos(z) - ratio * (np.sinh(z) + np.sin(z))
        curve.append(more * (root / beam.length) ** 2 / 2)
    turn = [np.sin((i - 0.5) * np.pi * t) for i in (1, 2)]
    slope = [(i - 0.5) * np.pi / beam.length * np.cos((i - 0.5) * np.pi * t) for i in (1, 2)]
    return np.array(bend), np.array(curve), np.array(turn), np.array(slope)


def _joined(upper: Array, cross: Array, lower: Array) -> Array:
    return np.block([[upper, cross], [cross.T, lower]])


@dataclass(frozen=True)
class Modal:
    """Mass and stiffness (4, 4) of two bending (down positive) and two torsion shapes (nose up), with the shapes."""

    beam: Beam
    mass: Array
    stiffness: Array
    bend: Array
    turn: Array


def modal(beam: Beam) -> Modal:
    """The modal matrices of a beam."""
    bend, curve, turn, slope = shapes(beam)
    w = beam.width
    mass = _joined(
        (bend * beam.mass * w) @ bend.T, (bend * beam.static * w) @ turn.T, (turn * beam.inertia * w) @ turn.T
    )
    none = np.zeros((2, 2))
    stiffness = _joined((curve * beam.bending * w) @ curve.T, none, (slope * beam.torsion * w) @ slope.T)
    return Modal(beam, mass, stiffness, bend, turn)


def _block(one: Modal, bb: Complex, bt: Complex, tb: Complex, tt: Complex) -> Complex:
    """Modal matrices (f, 4, 4) of strip coefficients (f, n): bending on bending, of twist on bending, and so on."""
    bend, turn, w = one.bend, one.turn, one.beam.width
    upper = np.concatenate(((bend * w * bb[:, None]) @ bend.T, (bend * w * bt[:, None]) @ turn.T), axis=2)
    lower = np.concatenate(((turn * w * tb[:, None]) @ bend.T, (turn * w * tt[:, None]) @ turn.T), axis=2)
    return np.concatenate((upper, lower), axis=1)


def air_matrices(one: Modal, density: float, speed: float, omega: Array) -> tuple[Complex, Complex, Complex]:
    """Mass, damping and stiffness (f, 4, 4) that the air adds at frequencies ``omega`` (f,) rad/s; strips after
    Theodorsen, bending down and twist nose up positive."""
    b = one.beam.chord / 2
    a = one.beam.axis / b - 1.0
    lag = theodorsen(omega[:, None] * b / max(speed, 1e-9))
    apparent = (np.pi * density * b**2)[None, :] + 0j
    circling = 2 * np.pi * density * speed * b * lag
    arm, rear, none = b * (a + 0.5), b * (0.5 - a), np.zeros_like(circling)
    mass = _block(one, apparent, -apparent * b * a, -apparent * b * a, apparent * b**2 * (0.125 + a**2))
    damping = _block(
        one,
        circling,
        apparent * speed + circling * rear,
        -circling * arm,
        apparent * speed * rear - circling * arm * rear,
    )
    return mass, damping, _block(one, none, circling * speed, none, -circling * arm * speed)


def roots(one: Modal, density: float, speed: float, omega: Array) -> Complex:
    """Roots s (f, 8) at ``speed`` with the air's lag taken at each of ``omega`` (f,)."""
    mass, damping, stiffness = air_matrices(one, density, speed, omega)
    inverse = np.linalg.inv(one.mass + mass)
    state = np.zeros((len(omega), 8, 8), dtype=np.complex128)
    state[:, :4, 4:] = np.eye(4)
    state[:, 4:, :4] = -inverse @ (one.stiffness + stiffness)
    state[:, 4:, 4:] = -inverse @ damping
    return np.asarray(np.linalg.eigvals(state))


@dataclass(frozen=True)
class Unsteady:
    """Least speed, m/s, at which a motion grows, its frequency rad/s (0: it twists off without swinging); inf when
    none was found up to ``upto``."""

    speed: float
    omega: float
    upto: float


def still_frequencies(one: Modal) -> Array:
    """Frequencies without air, rad/s, (4,) growing."""
    return np.asarray(np.sqrt(np.sort(np.abs(eig(one.stiffness, one.mass)[0].real))))


def settled(one: Modal, density: float, speed: float, start: Complex) -> Complex:
    """Of each motion the root that, its own frequency taken for the lag, lies nearest to where it was (p-k
    iteration); (f,)."""
    value = start
    for _ in range(TURNS):
        found = roots(one, density, speed, np.abs(value.imag))
        apart = np.where(found.imag >= 0, np.abs(found - value[:, None]), np.inf)
        value = found[np.arange(len(value)), np.argmin(apart, axis=1)]
    return value


def unsteady_speed(
    beam: Beam, density: float, first: float = FIRST, last: float = LAST, steps: int = STEPS
) -> Unsteady:
    """Scan speeds up; follow each motion; the first that grows, straight between the steps. Real roots are not
    followed: the divergence of the same strips (slope 2 pi) is put beside and the lesser reported."""
    one = modal(beam)
    twisting = speed_of(divergence_pressure(beam, 2 * np.pi), density)
    speeds = np.geomspace(first, last, steps)
    followed = 1j * still_frequencies(one)
    before = followed
    for i, speed in enumerate(speeds):
        if speed >= twisting:
            break
        followed = settled(one, density, float(speed), followed)
        grows = np.flatnonzero((followed.real > 1e-6) & (followed.imag > 1e-3))
        if len(grows):
            k = int(grows[0])
            low = before[k].real if i else 0.0
            share = -low / (followed[k].real - low) if followed[k].real > low and low < 0 else 1.0
            at = float(speeds[i - 1] + share * (speed - speeds[i - 1])) if i else float(speed)
            return Unsteady(min(at, twisting), abs(followed[k].imag) if at < twisting else 0.0, last)
        before = followed
    return Unsteady(twisting if twisting <= last else float("inf"), 0.0, last)


def moved(beam: Beam, behind: float) -> Beam:
    """The beam with its own mass moved ``behind`` parts of the chord further aft (its spread about itself kept)."""
    shift = behind * beam.chord
    centre = beam.static / np.maximum(beam.mass, 1e-12)
    inertia = beam.inertia + beam.mass * ((centre + shift) ** 2 - centre**2)
    return replace(beam, static=beam.static + beam.mass * shift, inertia=inertia)
