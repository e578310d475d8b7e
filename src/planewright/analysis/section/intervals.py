"""Equations of the layer between a node and its upstream neighbour, with their slopes to both ends.

Each interval has three equations (momentum, energy, and growth of disturbances or lag of the shear stress) in the
eight end values (theta, delta*, s, Ue) upstream and downstream. Slopes are forward differences of relative step 1e-6;
the costly closures are evaluated at nodes, once per disturbed value. Chord 1, free stream 1, viscosity 1/Re.

Laminar intervals are in conservative form (regular at Ue = 0), turbulent ones logarithmic with a weight that turns
from central to backward where the layer changes fast. The interval where n reaches ``n_crit`` is split.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.closures import (
    Constants,
    equilibrium,
    growth,
    laminar_dissipation,
    laminar_energy,
    laminar_friction,
    layer_height,
    slip,
    turbulent_dissipation,
    turbulent_energy,
    turbulent_friction,
)

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Index = npt.NDArray[np.intp]

STEP = 1e-6
THIN = 1.0 + 1e-4


@dataclass(frozen=True)
class Ends:
    """Values at nodes, arrays of one shape: ``theta``, ``displacement``, ``s``, ``speed``, ``reynolds`` of the chord,
    ``dead`` height of dead air (0 on the surface), ``wake`` flags."""

    theta: Array
    displacement: Array
    s: Array
    speed: Array
    reynolds: Array
    dead: Array
    wake: Flags

    def disturbed(self, values: int) -> Ends:
        """With a leading axis: as they are, then theta, displacement, speed (and s, when ``values`` is 5) moved."""

        def grown(one: Array, row: int) -> Array:
            many = np.repeat(one[None], values, axis=0)
            if row < values:
                many[row] *= 1 + STEP
            return many

        return Ends(
            grown(self.theta, 1),
            grown(self.displacement, 2),
            grown(self.s, 4),
            grown(self.speed, 3),
            self.reynolds,
            self.dead,
            self.wake,
        )


_COLUMN = (0, 0, 1, 3, 2)
"""Column among (theta, delta*, s, Ue) of each disturbed row."""


def _slopes(found: list[Array], values: int, first: list[Array], second: list[Array]) -> tuple[Array, Array]:
    """Residuals (n, 3) and slopes (n, 3, 8) from residuals of all disturbed rows."""
    rows = np.stack(found, axis=-1)
    size = rows.shape[1]
    slopes = np.zeros((size, 3, 8))
    for k in range(1, values):
        column = _COLUMN[k]
        slopes[:, :, column] = (rows[k] - rows[0]) / (STEP * first[column])[:, None]
        slopes[:, :, 4 + column] = (rows[values - 1 + k] - rows[0]) / (STEP * second[column])[:, None]
    return rows[0], slopes


def _combos(values: int) -> tuple[Index, Index]:
    """Disturbed row to take upstream and downstream: none, each upstream, each downstream."""
    each, still = np.arange(1, values), np.zeros(values - 1, dtype=np.intp)
    return np.concatenate(([0], each, still)), np.concatenate(([0], still, each))


# laminar -----------------------------------------------------------------------------------------------------------

Pack = tuple[Array, ...]


def laminar_pack(e: Ends) -> Pack:
    """What the laminar equations need of a node: theta, delta*, Ue, hs, re cf/2, 2 CD re, dn/dx."""
    h = np.maximum(e.displacement / e.theta, 1.05)
    hs = laminar_energy(h)
    rate = growth(h, np.maximum(e.speed * e.theta * e.reynolds, 1.0), e.theta)
    return (
        e.theta,
        e.displacement,
        e.speed,
        hs,
        laminar_friction(h),
        hs * laminar_dissipation(h),
        rate,
    )


def laminar_residuals(a: Pack, b: Pack, dx: Array, reynolds: Array) -> tuple[Array, Array]:
    """Momentum and energy equation between packs ``a`` (upstream) and ``b``."""
    t1, d1, u1, e1, f1, c1, _ = a
    t2, d2, u2, e2, f2, c2, _ = b
    square, cube = u1 * u1 + u1 * u2 + u2 * u2, u1**3 + u1 * u1 * u2 + u1 * u2 * u2 + u2**3
    middle = (t1 + t2) / 2
    momentum = u2 * u2 * t2 - u1 * u1 * t1 + (d1 * u1 + d2 * u2) / 2 * (u2 - u1)
    momentum -= (f1 / t1 + f2 / t2) / 2 / reynolds * (u1 + u2) / 2 * dx
    momentum /= middle * square / 3
    energy = e2 * t2 * u2**3 - e1 * t1 * u1**3 - (c1 / t1 + c2 / t2) / 2 / reynolds * square / 3 * dx
    energy /= middle * (e1 + e2) / 2 * cube / 4
    return momentum, energy - momentum


def laminar(e: Ends, up: Index, down: Index, dx: Array) -> tuple[Array, Array]:
    """Residuals (n, 3) and slopes (n, 3, 8) of laminar intervals.

    Arguments: e: laminar nodes (m,); up, down: places among them (n,); dx (n,).
    """
    pack = laminar_pack(e.disturbed(4))
    i, k = _combos(4)
    a = tuple(one[i[:, None], up] for one in pack)
    b = tuple(one[k[:, None], down] for one in pack)
    momentum, energy = laminar_residuals(a, b, dx, e.reynolds[down])
    rise = e.s[down] - e.s[up] - (a[6] + b[6]) / 2 * dx
    ends = [[x[at] for x in (e.theta, e.displacement, e.s, e.speed)] for at in (up, down)]
    residual, slopes = _slopes([momentum, energy, rise], 4, *ends)
    slopes[:, 2, 2], slopes[:, 2, 6] = -1.0, 1.0
    return residual, slopes


# turbulent ---------------------------------------------------------------------------------------------------------


def turbulent_pack(e: Ends) -> Pack:
    """What the turbulent equations need of a node: theta, full shape, Ue, s, hs, cf/2 over theta, dissipation less
    friction over theta, equilibrium shear, layer height, shape less one."""
    h = np.maximum((e.displacement - e.dead) / e.theta, THIN)
    re = np.maximum(e.speed * e.theta * e.reynolds, 1.0)
    hs = turbulent_energy(h, re)
    cf = np.where(e.wake, 0.0, turbulent_friction(h, re))
    us = slip(h, hs)
    lost = turbulent_dissipation(cf, us, e.s, e.wake) / hs - cf / 2
    height = layer_height(h, e.theta, e.displacement - e.dead)
    full = e.displacement / e.theta
    return (
        e.theta,
        full,
        e.speed,
        e.s,
        hs,
        cf / 2 / e.theta,
        lost / e.theta,
        equilibrium(h, hs, us),
        height,
        h - 1,
    )


def turbulent_residuals(a: Pack, b: Pack, dx: Array, lag: float) -> tuple[Array, Array, Array]:
    """The three equations between packs ``a`` (upstream) and ``b``."""
    w = 1 - 0.5 * np.exp(-(np.log(b[9] / a[9]) ** 2))

    def mean(k: int) -> Array:
        return np.asarray((1 - w) * a[k] + w * b[k])

    faster, full = np.log(b[2] / a[2]), mean(1)
    momentum = np.log(b[0] / a[0]) + (2 + full) * faster - mean(5) * dx
    energy = np.log(b[4] / a[4]) + (1 - full) * faster - mean(6) * dx
    shear = 2 * np.log(b[3] / a[3]) - lag * (mean(7) - mean(3)) * dx / mean(8)
    return momentum, energy, shear


def turbulent(e: Ends, up: Index, down: Index, dx: Array, constants: Constants) -> tuple[Array, Array]:
    """Residuals (n, 3) and slopes (n, 3, 8) of turbulent and wake intervals; arguments as for :func:`laminar`."""
    pack = turbulent_pack(e.disturbed(5))
    i, k = _combos(5)
    a = tuple(one[i[:, None], up] for one in pack)
    b = tuple(one[k[:, None], down] for one in pack)
    found = list(turbulent_residuals(a, b, dx, constants.lag))
    ends = [[x[at] for x in (e.theta, e.displacement, e.s, e.speed)] for at in (up, down)]
    return _slopes(found, 5, *ends)


# transition --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Split:
    """Intervals with transition: eight end values (8, n), ``dx``, ``reynolds``; ``forced`` (n,) part of the interval
    at which a trip stands (above 1: none)."""

    ends: Array
    dx: Array
    reynolds: Array
    forced: Array


def _laminar_growth(theta: Array, displacement: Array, speed: Array, reynolds: Array) -> Array:
    h = np.maximum(displacement / theta, 1.05)
    return growth(h, np.maximum(speed * theta * reynolds, 1.0), theta)


def _between(ends: Array, z: Array) -> tuple[Array, Array, Array]:
    return (
        ends[0] + z * (ends[4] - ends[0]),
        ends[1] + z * (ends[5] - ends[1]),
        ends[3] + z * (ends[7] - ends[3]),
    )


def reached(ends: Array, z: Array, dx: Array, reynolds: Array) -> Array:
    """Amplification at the part ``z`` of an interval."""
    first = _laminar_growth(ends[0], ends[1], ends[3], reynolds)
    return np.asarray(ends[2] + (first + _laminar_growth(*_between(ends, z), reynolds)) / 2 * z * dx)


def transition_place(split: Split, n_crit: float) -> Array:
    """Part of each interval at which the amplification is ``n_crit`` (or the trip stands), .001 to .999, (n,).

    False position with halving (Illinois), 7 steps, and one secant step more.
    """
    first = _laminar_growth(split.ends[0], split.ends[1], split.ends[3], split.reynolds)

    def over(z: Array) -> Array:
        rate = first + _laminar_growth(*_between(split.ends, z), split.reynolds)
        return np.asarray(split.ends[2] + rate / 2 * z * split.dx - n_crit)

    a, b = np.zeros(split.dx.shape), np.ones(split.dx.shape)
    f_a, f_b = over(a), over(b)
    free = (f_a < 0) & (f_b > 0)
    for _ in range(7):
        gap = np.where(f_b == f_a, 1.0, f_b - f_a)
        c = np.where(free, b - f_b * (b - a) / gap, 0.5)
        f_c = over(c)
        cross = f_c * f_b < 0
        a, f_a = np.where(cross, b, a), np.where(cross, f_b, f_a / 2)
        b, f_b = c, f_c
    z = np.where(free, b, np.where(split.ends[2] >= n_crit, 0.001, 0.999))
    return np.clip(np.minimum(z, split.forced), 0.001, 0.999)


def start_shear(
    theta: Array, displacement: Array, speed: Array, reynolds: Array, constants: Constants
) -> Array:
    """Square root of the shear stress with which a turbulent layer begins."""
    h = np.maximum(displacement / theta, 1.05)
    hs = turbulent_energy(h, np.maximum(speed * theta * reynolds, 1.0))
    return constants.c_tr * equilibrium(h, hs, slip(h, hs))


def _split_residuals(ends: Array, z: Array, split: Split, constants: Constants) -> list[Array]:
    """Laminar equations up to ``z`` and turbulent ones after it, added."""
    shape = z.shape
    still = np.zeros(shape)
    dry = np.zeros(shape, dtype=bool)
    re = np.broadcast_to(split.reynolds, shape)
    t, d, u = _between(ends, z)
    s = start_shear(t, d, u, re, constants)
    a = laminar_pack(Ends(ends[0], ends[1], still, ends[3], re, still, dry))
    m = laminar_pack(Ends(t, d, still, u, re, still, dry))
    run = z * split.dx
    full = (a[1] / a[0] + m[1] / m[0]) / 2
    faster = np.log(m[2] / a[2])
    rub = [one[4] / (one[0] ** 2 * one[2] * re) for one in (a, m)]
    lost = [one[5] / (one[3] * one[0] ** 2 * one[2] * re) for one in (a, m)]
    momentum = np.log(m[0] / a[0]) + (2 + full) * faster - (rub[0] + rub[1]) / 2 * run
    energy = np.log(m[3] / a[3]) + (1 - full) * faster - (lost[0] - rub[0] + lost[1] - rub[1]) / 2 * run
    start = turbulent_pack(Ends(t, d, s, u, re, still, dry))
    stop = turbulent_pack(Ends(ends[4], ends[5], ends[6], ends[7], re, still, dry))
    after = turbulent_residuals(start, stop, split.dx - run, constants.lag)
    return [momentum + after[0], energy + after[1], after[2]]


def transition(split: Split, constants: Constants) -> tuple[Array, Array, Array]:
    """Residuals (n, 3), slopes (n, 3, 8) and place z (n,) of intervals with transition.

    The place answers to every end value: one secant step from the undisturbed place.
    """
    z = transition_place(split, constants.n_crit)
    size = split.dx.size
    ends = np.repeat(split.ends[:, None, :], 9, axis=1)
    step = STEP * np.maximum(np.abs(split.ends), 1e-3 * (np.arange(8) % 4 == 2)[:, None] + 1e-12)
    ends[np.arange(8), np.arange(1, 9)] += step
    moved = np.repeat(z[None], 9, axis=0)
    small = 1e-5
    free = (z > 0.001) & (z < np.minimum(split.forced, 0.999))
    here = reached(ends, moved, split.dx, split.reynolds)
    ahead = reached(split.ends, z + small, split.dx, split.reynolds)
    slope = (ahead - here[0]) / small
    moved = moved - np.where(free & (slope > 1e-9), (here - here[0]) / np.maximum(slope, 1e-9), 0.0)
    found = np.stack(_split_residuals(ends, moved, split, constants), axis=-1)
    slopes = np.zeros((size, 3, 8))
    for k in range(8):
        slopes[:, :, k] = (found[k + 1] - found[0]) / step[k][:, None]
    return found[0], slopes, z
