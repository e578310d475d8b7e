"""Sideslip with the wake along the stream: a repair of the lattice whose legs run along the body.

With legs along the body's x a flat wing's rolling moment in sideslip comes out too large (Cl_beta/CL about -0.127
instead of -0.087 at aspect ratio 6). The wake behind the trailing edge is turned in yaw to first order, with the
matrix already solved: Gamma_beta = Gamma_v - K^-1 (dK/dbeta) Gamma_0. Source: trial of our own against a full
rebuild with turned legs (0.9 % apart); published approximate rules (Weissinger, from memory) lie near -0.12 per CL,
so a band of 0.04 CL belongs to every result.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.linalg import lu_solve

from planewright.analysis.air.flow import TINY
from planewright.analysis.air.forms import TURN, Solution, forces, gather, onset
from planewright.analysis.air.lattice import Grid

Array = npt.NDArray[np.float64]

STEP = 1e-3


def _leg(points: Array, tail: Array, yaw: float) -> Array:
    """Velocity (3, n, P) of unit legs that start at ``tail`` (P, 3) and run downstream at a yaw angle."""
    d = np.array([np.cos(yaw), -np.sin(yaw), 0.0])
    rx, ry, rz = (points[:, k, None] - tail[None, :, k] for k in range(3))
    r = np.sqrt(rx * rx + ry * ry + rz * rz + TINY)
    along = rx * d[0] + ry * d[1]
    cx, cy, cz = d[1] * rz, -d[0] * rz, d[0] * ry - d[1] * rx
    square = cx * cx + cy * cy + cz * cz
    gain = np.where(square > TINY, (1 + along / r) / np.maximum(square, TINY), 0.0) / (4 * np.pi)
    return np.stack((cx * gain, cy * gain, cz * gain))


def wake_turn(grid: Grid, points: Array, panels: npt.NDArray[np.int64]) -> Array:
    """d(wash)/d(beta) at points (n, 3) when the wake behind some panels (p,) turns with the wind, (3, n, p)."""
    ends = []
    for point, tail in (
        (grid.start[panels], grid.tail_start[panels]),
        (grid.end[panels], grid.tail_end[panels]),
    ):
        edge = np.column_stack((tail, point[:, 1], point[:, 2]))
        ends.append((_leg(points, edge, STEP) - _leg(points, edge, -STEP)) / (2 * STEP))
    return np.asarray(ends[1] - ends[0])


def _own_turn(grid: Grid) -> Array:
    """Turn of each surface's own wake at its control points, normal to the surface, (P, P), 1/m; 0 between surfaces:
    a wake that cuts or passes another surface is left straight."""
    tilt = grid.incidence[:, None]
    normal = grid.normal * np.cos(tilt) + np.array([1.0, 0.0, 0.0]) * np.sin(tilt)
    sheet = grid.sheet[grid.strip]
    out = np.zeros((grid.panels, grid.panels))
    for number in range(len(grid.names)):
        mine = np.flatnonzero(sheet == number)
        turn = wake_turn(grid, grid.control[mine], mine)
        out[np.ix_(mine, mine)] = np.einsum("kij,ik->ij", turn, normal[mine])
    return out


def beta_forms(solution: Solution) -> Array:
    """What the turned wake adds to the loads as forms: d(X, Y, Z, L, M, N)/d(beta) = s' Q s per unit density, body
    axes, (6, m, m). Worked out once for a lattice, good at every state without sideslip. First order in sideslip."""
    grid, gain = solution.grid, solution.gain
    change = lu_solve(solution.factors, -(_own_turn(grid) @ gain), check_finite=False)
    wash_of = solution.at_force @ np.concatenate((gain, change), axis=1)
    size = gain.shape[1]
    flow, extra = wash_of[:, :, :size].copy(), wash_of[:, :, size:]
    flow[:, :, :6] += onset(grid.force, solution.about)
    line, arm = grid.end - grid.start, grid.force - solution.about
    total = gather(change, forces(flow, line), arm) + gather(gain, forces(extra, line), arm)
    return np.asarray(total * np.tile(TURN, 2)[:, None, None])


def beta_correction(solution: Solution, s: Array) -> Array:
    """What the turned wake adds to d(X, Y, Z, L, M, N)/d(beta) per unit density at ``s``, body axes, (6,).

    Arguments: s: the state without sideslip. Each surface's own wake is turned; the wash of one surface on
    another keeps its legs along the body. First order in sideslip.
    """
    return np.asarray(np.einsum("i,kij,j->k", s, solution.beta_forms, s))
