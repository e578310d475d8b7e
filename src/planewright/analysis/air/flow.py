"""Velocities that horseshoe vortices of unit strength induce, in components.

Source: law of Biot and Savart for straight segments; the semi-infinite leg in the form that keeps its digits far
downstream, (d x r)(1 + r.d/|r|) / (4 pi |d x r|^2). Drawing axes, m; velocities in 1/m per unit circulation.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.lattice import Grid

Array = npt.NDArray[np.float64]

TINY = 1e-20
CHUNK = 256
HEIGHT = 0.25
CORE = 0.5


def _legs(dy: Array, dz: Array, dx: Array, r: Array, core: float) -> tuple[Array, Array]:
    """y and z velocity, times 4 pi, of a leg that starts at a point and runs to +x; arguments: point to field."""
    off = dy * dy + dz * dz + core * core
    gain = np.where(off > TINY, (1 + dx / r) / np.maximum(off, TINY), 0.0)
    return -dz * gain, dy * gain


def _block(points: Array, start: Array, end: Array, core: float) -> Array:
    """Velocity at points (n, 3) from horseshoes (P, 3), shape (3, n, P)."""
    ax, ay, az = (points[:, k, None] - start[None, :, k] for k in range(3))
    bx, by, bz = (points[:, k, None] - end[None, :, k] for k in range(3))
    ra = np.sqrt(ax * ax + ay * ay + az * az + TINY)
    rb = np.sqrt(bx * bx + by * by + bz * bz + TINY)
    cx, cy, cz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
    square = cx * cx + cy * cy + cz * cz
    line = end - start
    along = (
        line[:, 0] * (ax / ra - bx / rb) + line[:, 1] * (ay / ra - by / rb) + line[:, 2] * (az / ra - bz / rb)
    )
    scale = (line**2).sum(axis=1)
    gain = np.where(square > 1e-24 * scale * scale, along / np.maximum(square, TINY), 0.0)
    out = np.stack((cx * gain, cy * gain, cz * gain))
    y_end, z_end = _legs(by, bz, bx, rb, core)
    y_start, z_start = _legs(ay, az, ax, ra, core)
    out[1] += y_end - y_start
    out[2] += z_end - z_start
    return out / (4 * np.pi)


def induced(points: Array, start: Array, end: Array, core: float = 0.0, ground: float | None = None) -> Array:
    """Velocity at points from unit horseshoes whose legs run to +x.

    Arguments:
        points: (n, 3) m. start, end: (P, 3) m, ends of the bound vortices.
        core: radius within which the legs are softened, m.
        ground: z of a runway plane, m, or None; its image horseshoes have the opposite sign.
    Returns: (3, n, P), 1/m.
    """
    out = np.empty((3, points.shape[0], start.shape[0]))
    for first in range(0, points.shape[0], CHUNK):
        rows = slice(first, first + CHUNK)
        out[:, rows] = _block(points[rows], start, end, core)
        if ground is not None:
            low, high = start.copy(), end.copy()
            low[:, 2], high[:, 2] = 2 * ground - low[:, 2], 2 * ground - high[:, 2]
            out[:, rows] -= _block(points[rows], low, high, core)
    return out


def sheet_height(grid: Grid, number: int, y: Array) -> Array:
    """z of the wake of one sheet at lateral places y, m (nan outside its span)."""
    mine = grid.sheet == number
    at = np.argsort(grid.middle[mine, 1])
    edge = (np.abs(grid.middle[mine, 1]) + 0.5 * grid.width[mine]).max()
    height = np.interp(y, grid.middle[mine, 1][at], grid.middle[mine, 2][at])
    return np.where(np.abs(y) <= edge, height, np.nan)


def lift_clear(grid: Grid, points: Array, target: int, source: int) -> float:
    """How far all points of one sheet are raised before another sheet's wash is taken there, m.

    A tail nearer to a wing's wake than a quarter of the wing's widest strip sees the gaps between the legs, not
    the sheet. It is moved to that height as a whole. Source: trial of our own; 0 when nothing is to be moved.
    """
    wing = grid.sheet == source
    span = np.ptp(grid.middle[wing, 1])
    if span < np.ptp(grid.middle[wing, 2]):
        return 0.0
    tail = grid.sheet == target
    flat = np.ptp(grid.middle[tail, 2]) < np.ptp(grid.middle[tail, 1])
    behind = points[:, 0].mean() > grid.middle[wing, 0].mean() + grid.chord[wing].mean()
    if not (flat and behind):
        return 0.0
    gap = points[:, 2] - sheet_height(grid, source, points[:, 1])
    gap = gap[np.isfinite(gap)]
    if not gap.size:
        return 0.0
    sign = 1.0 if gap.mean() >= 0 else -1.0
    within = np.abs(grid.middle[wing, 1]) <= np.abs(points[:, 1]).max()
    wanted = HEIGHT * float(grid.width[wing][within].max() if within.any() else grid.width[wing].max())
    return float(sign * max(0.0, wanted - (sign * gap).min()))


def wash(grid: Grid, where: Array, ground: float | None = None) -> Array:
    """Velocity at one point of each panel (``where`` (P, 3)) from all horseshoes, shape (3, P, P), 1/m.

    Keeps the rule of :func:`lift_clear` between sheets, and softens the wing's legs at a fin that cuts its wake
    by half the wing's inner strip (judgement: the fin is drawn on the line where two legs meet). Of an aeroplane
    that is alike left and right only the right half is worked out, the rest is its mirror image.
    """
    out = np.empty((3, grid.panels, grid.panels))
    of_panel = grid.sheet[grid.strip]
    wanted = ~grid.left[grid.strip] if grid.even else np.ones(grid.panels, dtype=bool)
    for source in range(len(grid.names)):
        mine = np.flatnonzero(of_panel == source)
        for target in range(len(grid.names)):
            here = np.flatnonzero((of_panel == target) & wanted)
            points, core = where[here], 0.0
            if source != target:
                points = points + np.array([0.0, 0.0, lift_clear(grid, points, target, source)])
                core = _core(grid, target, source)
            out[:, here[:, None], mine] = induced(points, grid.start[mine], grid.end[mine], core, ground)
    if grid.even:
        rest = np.flatnonzero(grid.left[grid.strip])
        flip = np.array([1.0, -1.0, 1.0])[:, None, None] * grid.turned
        out[:, rest] = (out[:, grid.twin[rest]] * flip)[:, :, grid.twin]
    return out


def _core(grid: Grid, target: int, source: int) -> float:
    """Core radius for the legs of a level sheet at a standing one well behind it, m; else 0."""
    one, other = grid.sheet == target, grid.sheet == source
    stands = np.ptp(grid.middle[one, 2]) > np.ptp(grid.middle[one, 1])
    level = np.ptp(grid.middle[other, 1]) > np.ptp(grid.middle[other, 2])
    far = grid.middle[one, 0].mean() - grid.middle[other, 0].mean() > 1.5 * grid.chord[other].mean()
    return CORE * float(grid.width[other][0]) if stands and level and far else 0.0


def far_wash(grid: Grid, ground: float | None = None) -> Array:
    """Normal wash of the far wake at each strip's trace per unit strip circulation, shape (S, S), 1/m.

    Trefftz plane: the legs' traces are the strip edges, the wash is taken at the control stations.
    """
    first = np.searchsorted(grid.strip, np.arange(grid.width.size))
    a, b, at = grid.start[first], grid.end[first], grid.middle
    normal = grid.normal[first]
    out = _plane(at, b, normal) - _plane(at, a, normal)
    if ground is not None:
        flip = np.array([1.0, 1.0, -1.0])
        shift = np.array([0.0, 0.0, 2 * ground])
        out -= _plane(at, b * flip + shift, normal) - _plane(at, a * flip + shift, normal)
    return np.asarray(out)


def _plane(at: Array, vortex: Array, normal: Array) -> Array:
    """Normal velocity at points (n, 3) of unit vortices along x through (S, 3), two-dimensional, (n, S)."""
    dy = at[:, 1, None] - vortex[None, :, 1]
    dz = at[:, 2, None] - vortex[None, :, 2]
    square = np.maximum(dy * dy + dz * dz, TINY)
    return np.asarray((normal[:, 1, None] * -dz + normal[:, 2, None] * dy) / (2 * np.pi * square))
