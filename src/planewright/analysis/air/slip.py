"""The stream behind propellers and fans on wing and tail: one more parameter of the lattice, no new matrix.

Momentum theory of the actuator disc (Rankine and Froude; any course on propellers): induced velocity at the disc
w = (-V + sqrt(V^2 + 2 T/(rho A)))/2; at a distance x behind it the stream is faster by w (1 + x/sqrt(x^2 + R^2)) (a
cylinder of ring vortices) and narrower by continuity. Strips inside it meet that extra velocity. A lattice without the
stream's own edge gains 0.94 to 1.0 of what strips alone would (trial of our own), with the edge less: band 0.6 to 1.0
(judgement), middle :data:`GAIN`. Swirl is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.linalg import lu_solve

from planewright.analysis.air.forms import (
    TURN,
    Reference,
    Solution,
    derivatives,
    forces,
    gather,
    onset,
)
from planewright.analysis.air.lattice import Grid
from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY

Array = npt.NDArray[np.float64]

GAIN, GAIN_BAND = 0.8, (0.6, 1.0)
"""Part of the stream's effect on strips that is kept (middle and band: judgement)."""
NAME = "slip"


@dataclass(frozen=True)
class Disc:
    """A propeller's or fan's stream: ``x``, ``y``, ``z`` m of its middle, ``radius`` m, ``thrust`` N."""

    x: float
    y: float
    z: float
    radius: float
    thrust: float


def induced_velocity(thrust: float, radius: float, speed: float, density: float) -> float:
    """Induced velocity w at the disc, m/s. ``thrust`` N, not negative; ``speed`` m/s."""
    area = np.pi * radius**2
    return float((-speed + np.sqrt(speed**2 + 2 * max(thrust, 0.0) / (density * area))) / 2)


def stream_at(disc: Disc, behind: Array, speed: float, density: float) -> tuple[Array, Array]:
    """Velocity rise, m/s, and radius of the stream, m, at distances ``behind`` the disc, m (n,); 0 and the disc's own
    radius ahead of it."""
    w = induced_velocity(disc.thrust, disc.radius, speed, density)
    rise = np.where(behind > 0, w * (1 + behind / np.hypot(behind, disc.radius)), 0.0)
    flow = speed + np.where(behind > 0, rise, w)
    return rise, disc.radius * np.sqrt((speed + w) / flow)


def immersion(grid: Grid, discs: Sequence[Disc], speed: float, density: float) -> Array:
    """Extra speed over the aeroplane's that each strip meets, averaged over its width, (S,): dv/V times the part of the
    strip inside the stream. The streams run along the body; where two meet their rises add."""
    out = np.zeros(grid.width.size)
    first = np.searchsorted(grid.strip, np.arange(grid.width.size))
    a, b = grid.start[first], grid.end[first]
    for disc in discs:
        rise, radius = stream_at(disc, grid.middle[:, 0] - disc.x, speed, density)
        out += rise / speed * _inside(a, b, disc, radius)
    return out


def _inside(a: Array, b: Array, disc: Disc, radius: Array) -> Array:
    """Part of each line a-b (S, 3), seen along x, that lies in a circle about the disc's middle, (S,)."""
    line = (b - a)[:, 1:]
    off = a[:, 1:] - np.array([disc.y, disc.z])
    square = (line**2).sum(axis=1)
    half = (line * off).sum(axis=1)
    rest = half**2 - square * ((off**2).sum(axis=1) - radius**2)
    root = np.sqrt(np.maximum(rest, 0.0))
    low, high = np.clip((-half - root) / square, 0, 1), np.clip((-half + root) / square, 0, 1)
    return np.where(rest > 0, high - low, 0.0)


def with_slip(solution: Solution, rise: Array, share: float = GAIN) -> Solution:
    """The same lattice with one more parameter, "slip": extra flow along x on each strip, ``rise`` (S,) times the value
    of the parameter, which is meant to be ``share`` times the speed along the body.

    Arguments: rise: of :func:`immersion`. share: part of the stream's effect that is kept; controls and turned surfaces
    meet the faster flow with it too, so that their force grows with its square.
    Back-substitution in the factors that are there; all loads stay exact quadratic forms.
    """
    grid, about = solution.grid, solution.about
    extra = rise[grid.strip]
    nose = np.sin(grid.incidence)
    turned = np.column_stack([extra * nose, *(share * extra * one for one in grid.columns.values())])
    more = lu_solve(solution.factors, -turned, check_finite=False)
    gain = np.column_stack((solution.gain, more[:, 0]))
    gain[:, 6:-1] += more[:, 1:]
    size = gain.shape[1]
    strip_gain = np.zeros((grid.width.size, size))
    np.add.at(strip_gain, grid.strip, gain)
    bound = solution.at_force @ gain
    bound[:, :, :6] += onset(grid.force, about)
    bound[0, :, -1] += extra
    total = gather(gain, forces(bound, grid.end - grid.start), grid.force - about)
    for begin, tail, sign in ((grid.start, grid.tail_start, -1.0), (grid.end, grid.tail_end, 1.0)):
        run = tail - begin[:, 0]
        middle = begin + np.column_stack((run / 2, 0 * run, 0 * run))
        flow = np.zeros((3, grid.panels, size))
        flow[:, :, :6] = onset(middle, about)
        line = np.column_stack((sign * run, 0 * run, 0 * run))
        total += gather(gain, forces(flow, line), middle - about)
    half = -0.5 * strip_gain.T @ solution.far @ strip_gain
    return replace(
        solution,
        names=(*solution.names, NAME),
        gain=gain,
        strip_gain=strip_gain,
        forms=np.asarray(total * np.tile(TURN, 2)[:, None, None]),
        drag_form=(half + half.T) / 2,
    )


@dataclass(frozen=True)
class Powered:
    """What the streams do at one state: ``neutral_shift`` m, how much further aft the neutral point lies (negative:
    forward); ``elevator`` factor on its moment per radian (1 without one); ``lift`` factor on the lift slope;
    ``faster``: greatest rise of speed on any strip over the speed. Each (low, middle, high) over the band of
    :data:`GAIN`."""

    neutral_shift: tuple[float, float, float]
    elevator: tuple[float, float, float]
    lift: tuple[float, float, float]
    faster: float


def powered(
    solution: Solution,
    reference: Reference,
    discs: Sequence[Disc],
    elevator: Sequence[str],
    speed: float,
    alpha: float = 0.0,
    density: float = SEA_LEVEL_DENSITY,
) -> Powered:
    """Balance and elevator with the propellers' streams on wing and tail against without.

    Arguments: solution, reference: of the aeroplane. discs: the streams. elevator: names of its controls. speed m/s.
    alpha rad. Left out: swirl, the propellers' own normal force, the stream's own edge (its effect is the band).
    """
    rise = immersion(solution.grid, discs, speed, density)

    def at(share: float) -> tuple[float, float, float]:
        one = with_slip(solution, rise, share)
        s = one.state(alpha)
        s[-1] = share * s[0]
        d = derivatives(one, s, reference)
        power = sum(d["M"][name] for name in elevator)
        return d["M"]["alpha"] / d["Z"]["alpha"], power, d["Z"]["alpha"]

    still = at(0.0)
    rows = [at(share) for share in (GAIN_BAND[0], GAIN, GAIN_BAND[1])]
    shift = [reference.chord * (one[0] - still[0]) for one in rows]
    strength = [one[1] / still[1] if still[1] else 1.0 for one in rows]
    lift = [one[2] / still[2] for one in rows]
    return Powered(_three(shift), _three(strength), _three(lift), float(rise.max(initial=0.0)))


def _three(values: Sequence[float]) -> tuple[float, float, float]:
    """Low, middle, high."""
    return min(values[0], values[2]), float(values[1]), max(values[0], values[2])
