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
from scipy.linalg import lu_factor, lu_solve

from planewright.analysis.air.flow import TINY, wash
from planewright.analysis.air.forms import TURN, Solution, onset
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


def wake_turn(grid: Grid, points: Array) -> Array:
    """d(wash)/d(beta) at points (n, 3) when the wake behind the trailing edges turns with the wind, (3, n, P)."""
    ends = []
    for point, tail in ((grid.start, grid.tail_start), (grid.end, grid.tail_end)):
        edge = np.column_stack((tail, point[:, 1], point[:, 2]))
        ends.append((_leg(points, edge, STEP) - _leg(points, edge, -STEP)) / (2 * STEP))
    return np.asarray(ends[1] - ends[0])


def _clear(grid: Grid, points: Array) -> Array:
    """Turn of the wake, own sheet and wakes that pass well clear; a wake that cuts a surface is left straight."""
    turn = wake_turn(grid, points)
    sheet = grid.sheet[grid.strip]
    same = sheet[:, None] == sheet[None, :]
    return np.where(same[None], turn, 0.0)


def beta_correction(solution: Solution, s: Array) -> Array:
    """What the turned wake adds to d(X, Y, Z, L, M, N)/d(beta) per unit density at ``s``, body axes, (6,).

    Arguments: s: the state without sideslip. Each surface's own wake is turned; the wash of one surface on
    another keeps its legs along the body. First order in sideslip.
    """
    grid = solution.grid
    tilt = grid.incidence[:, None]
    normal = grid.normal * np.cos(tilt) + np.array([1.0, 0.0, 0.0]) * np.sin(tilt)
    matrix = np.einsum("kij,ik->ij", wash(grid, grid.control), normal)
    strength = solution.gain @ s
    turned = np.einsum("kij,ik,j->i", _clear(grid, grid.control), normal, strength)
    change = lu_solve(lu_factor(matrix), -turned)
    at_force = wash(grid, grid.force)
    stream = onset(grid.force, solution.about) @ s[:6]
    flow = stream + at_force @ strength
    line = grid.end - grid.start
    force = (
        np.cross(flow.T, line) * change[:, None] + np.cross((at_force @ change).T, line) * strength[:, None]
    )
    arm = grid.force - solution.about
    total = np.concatenate((force.sum(axis=0), np.cross(arm, force).sum(axis=0)))
    return np.asarray(total * np.tile(TURN, 2))
