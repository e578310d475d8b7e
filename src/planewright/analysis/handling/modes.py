"""Natural motions about a trimmed state: quick and slow pitching, roll, spiral and the swing of nose and wing.

Linear equations of a rigid aeroplane in body axes, states u, w, q, theta and v, p, r, phi. Source: B. Etkin and L. D.
Reid, Dynamics of Flight, 3rd edition 1996, chapters 4 and 6 (equations); the arrangement with the derivative after
the rate of w as in R. K. Heffley and W. F. Jewell, NASA CR-2144, 1972.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import GRAVITY

Array = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]
Number = Array | float

NO_SWING = 1e-7


@dataclass(frozen=True)
class PitchTerms:
    """Dimensional derivatives in the plane of symmetry, each (N,) or a number: forces over mass, moments over Iy.

    ``xu``, ``zu``, ``mu`` per u; ``xw``, ``zw``, ``mw`` per w; ``xq``, ``zq``, ``mq`` per q; ``zw_dot``, ``mw_dot``
    per rate of w. ``u``, ``w``: trimmed velocity, m/s; ``theta``: attitude, rad.
    """

    u: Number
    w: Number
    theta: Number
    xu: Number
    xw: Number
    zu: Number
    zw: Number
    zq: Number
    mu: Number
    mw: Number
    mq: Number
    xq: Number = 0.0
    zw_dot: Number = 0.0
    mw_dot: Number = 0.0


@dataclass(frozen=True)
class SideTerms:
    """Dimensional derivatives out of the plane of symmetry, each (N,) or a number: ``y`` over mass, ``l`` over Ix,
    ``n`` over Iz, per v, p, r. ``roll_coupling`` Ixz/Ix, ``yaw_coupling`` Ixz/Iz. ``u``, ``w`` m/s; ``theta`` rad."""

    u: Number
    w: Number
    theta: Number
    yv: Number
    yp: Number
    yr: Number
    lv: Number
    lp: Number
    lr: Number
    nv: Number
    np: Number
    nr: Number
    roll_coupling: Number = 0.0
    yaw_coupling: Number = 0.0


@dataclass(frozen=True)
class Swing:
    """A motion of two roots. All (N,): ``frequency`` rad/s undamped, ``damping`` as a part of critical. Where the two
    roots are real and of unlike sign there is no swing but a divergence: ``frequency`` and ``damping`` are nan and
    ``worst`` (1/s, the larger real part) tells how fast."""

    frequency: Array
    damping: Array
    worst: Array

    @property
    def period(self) -> Array:
        """Time of one swing, s; nan where it does not swing."""
        inside = 1.0 - self.damping**2
        swings = inside > NO_SWING
        rate = self.frequency * np.sqrt(np.where(swings, inside, 1.0))
        return np.where(swings & (rate > NO_SWING), 2 * np.pi / np.where(rate > NO_SWING, rate, 1.0), np.nan)


@dataclass(frozen=True)
class PitchModes:
    """``short`` quick pitching, ``phugoid`` the slow exchange of height and speed; ``roots`` (N, 4) 1/s."""

    short: Swing
    phugoid: Swing
    roots: Complex


@dataclass(frozen=True)
class SideModes:
    """``dutch`` the swing of nose and wings together; ``roll`` and ``spiral`` (N,) 1/s, negative dies out, nan where
    the two have joined into one swing; ``roots`` (N, 4) 1/s."""

    dutch: Swing
    roll: Array
    spiral: Array
    roots: Complex


def _stack(rows: list[list[Number]]) -> Array:
    """Matrix (N, 4, 4) from entries that are numbers or (N,)."""
    flat = np.broadcast_arrays(*(np.atleast_1d(np.asarray(one, float)) for row in rows for one in row))
    return np.stack(flat, axis=-1).reshape(*flat[0].shape, len(rows), len(rows[0]))


def pitch_matrix(d: PitchTerms) -> Array:
    """Matrix (N, 4, 4) of d/dt [u, w, q, theta]."""
    cosine, sine = GRAVITY * np.cos(d.theta), GRAVITY * np.sin(d.theta)
    keep = 1.0 / (1.0 - np.asarray(d.zw_dot))
    rise = [d.zu * keep, d.zw * keep, (d.zq + np.asarray(d.u)) * keep, -sine * keep]
    turn = [one + d.mw_dot * part for one, part in zip((d.mu, d.mw, d.mq, 0.0), rise, strict=True)]
    return _stack([[d.xu, d.xw, d.xq - np.asarray(d.w), -cosine], [*rise], [*turn], [0.0, 0.0, 1.0, 0.0]])


def side_matrix(d: SideTerms) -> Array:
    """Matrix (N, 4, 4) of d/dt [v, p, r, phi]."""
    share = 1.0 / (1.0 - np.asarray(d.roll_coupling) * d.yaw_coupling)
    rolls, yaws = (d.lv, d.lp, d.lr), (d.nv, d.np, d.nr)
    p = [(one + d.roll_coupling * other) * share for one, other in zip(rolls, yaws, strict=True)]
    r = [(other + d.yaw_coupling * one) * share for one, other in zip(rolls, yaws, strict=True)]
    v = [d.yv, d.yp + np.asarray(d.w), d.yr - np.asarray(d.u), GRAVITY * np.cos(d.theta)]
    return _stack([v, [*p, 0.0], [*r, 0.0], [0.0, 1.0, np.tan(d.theta), 0.0]])


def swing_of(first: Complex, second: Complex) -> Swing:
    """The motion of two roots (N,), both real or conjugate."""
    product, total = (first * second).real, (first + second).real
    there = product > 0
    frequency = np.where(there, np.sqrt(np.where(there, product, 1.0)), np.nan)
    return Swing(frequency, -total / (2 * frequency), np.maximum(first.real, second.real))


def pitch_modes(terms: PitchTerms) -> PitchModes:
    """Quick and slow motion in pitch; the two roots of larger size are the quick one."""
    roots: Complex = np.asarray(np.linalg.eigvals(pitch_matrix(terms)), dtype=np.complex128)
    order = np.argsort(-np.abs(roots), axis=1, kind="stable")
    roots = np.take_along_axis(roots, order, axis=1)
    return PitchModes(swing_of(roots[:, 0], roots[:, 1]), swing_of(roots[:, 2], roots[:, 3]), roots)


def side_modes(terms: SideTerms) -> SideModes:
    """Roll, spiral and the swing: the pair with the larger imaginary part is the swing, the larger of the other two
    the roll. Where no pair swings, the swing is nan and its roots stand in ``roots``."""
    roots: Complex = np.asarray(np.linalg.eigvals(side_matrix(terms)), dtype=np.complex128)
    order = np.lexsort((-np.abs(roots), -np.round(np.abs(roots.imag), 9)), axis=1)
    roots = np.take_along_axis(roots, order, axis=1)
    swings = np.abs(roots[:, 0].imag) > NO_SWING
    dutch = swing_of(roots[:, 0], roots[:, 1])
    nothing = np.where(swings, 1.0, np.nan)
    apart = np.where(swings & (np.abs(roots[:, 2].imag) < NO_SWING), 1.0, np.nan)
    fast = np.where(np.abs(roots[:, 2]) >= np.abs(roots[:, 3]), roots[:, 2].real, roots[:, 3].real)
    slow = np.where(np.abs(roots[:, 2]) >= np.abs(roots[:, 3]), roots[:, 3].real, roots[:, 2].real)
    shown = Swing(dutch.frequency * nothing, dutch.damping * nothing, dutch.worst)
    return SideModes(shown, fast * apart, slow * apart, roots)


def phugoid_period(speed: Number) -> Array:
    """Lanchester's period of the slow motion, pi sqrt(2) V/g, s: heavy aeroplanes within 15 %; light models with
    much damping in pitch take far longer."""
    return np.asarray(np.pi * np.sqrt(2.0) * np.asarray(speed) / GRAVITY)


def time_to_double(root: Array) -> Array:
    """Time, s, in which a real root (1/s) doubles; negative: in which it halves."""
    return np.asarray(np.log(2.0) / root)
