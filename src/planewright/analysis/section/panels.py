"""Potential flow about a section: linear vorticity and constant sources on panels, in stream-function form.

The unknown vorticity at a node is the surface speed there (clockwise positive, so positive on the upper side), since
the air inside stands still. Sources, put on by the viscous layers, are constant on each panel of the surface and of a
straight wake. Everything is linear in the node values of the signed mass defect, so one square matrix per section
couples layers and potential flow.

Sources: J. Katz, A. Plotkin, Low-Speed Aerodynamics, ch. 11 (panel integrals); M. Drela, M. B. Giles, Viscous-inviscid
analysis of transonic and low Reynolds number airfoils, AIAA J. 25(10), 1987 (coupling). Integrals derived anew; checked
against exact Joukowski and Karman-Trefftz flows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.interpolate import CubicSpline
from scipy.linalg import lu_factor, lu_solve

from planewright.analysis.section.nodes import Nodes, arc

Array = npt.NDArray[np.float64]

WAKE_NODES, WAKE_LENGTH = 24, 1.2
DEAD_AIR = 2.5
"""Length of the dead air behind a blunt edge over its height."""
_TRACED = np.deg2rad(np.arange(-40.0, 40.5, 1.0))


@dataclass(frozen=True)
class Potential:
    """A section ready for any angle. N surface nodes, M wake nodes, K = N + M.

    ``nodes``; ``wake`` (M, 2); ``length`` (N-1,) panels; ``wake_length`` (M-1,); ``gap``: height of the blunt edge;
    ``dead`` (M,) height of the dead air at wake nodes; ``still`` (N, 2): node speeds for unit flow along x and along
    y; ``couple`` (K, K): change of surface and wake speed per signed mass defect; ``angles``, ``wake_speed``: the
    undisturbed wake speed as a spline over the angle; ``panel_matrix`` (N+1, N+1).
    """

    nodes: Nodes
    wake: Array
    length: Array
    wake_length: Array
    gap: float
    dead: Array
    still: Array
    couple: Array
    wake_speed: CubicSpline
    panel_matrix: Array

    def speeds(self, alpha: Array) -> Array:
        """Undisturbed signed speed at all nodes for angles (p,), rad: (p, K). Valid within 40 degrees."""
        surface = self.still @ np.vstack((np.cos(alpha), np.sin(alpha)))
        return np.hstack((surface.T, self.wake_speed(alpha)))


@dataclass(frozen=True)
class _Frame:
    """Field points in the axes of panels: x along, y to the inside, (points, panels); lengths (panels,)."""

    x: Array
    y: Array
    size: Array
    along: Array
    r1: Array
    r2: Array

    @property
    def x2(self) -> Array:
        return self.x - self.size


def _frame(start: Array, end: Array, points: Array) -> _Frame:
    along = end - start
    size = np.hypot(along[:, 0], along[:, 1])
    along = along / size[:, None]
    away = points[:, None, :] - start[None]
    x = (away * along).sum(-1)
    y = along[:, 0] * away[..., 1] - along[:, 1] * away[..., 0]
    y[np.abs(y) < 1e-13] = 0.0
    return _Frame(x, y, size, along, np.hypot(x, y), np.hypot(x - size, y))


def _log(r: Array) -> Array:
    return np.asarray(np.log(np.maximum(r, 1e-300)))


def _vortex_stream(f: _Frame) -> tuple[Array, Array]:
    """Stream function of unit node vorticity at either end of each panel."""
    t1, t2 = np.arctan2(f.y, f.x), np.arctan2(f.y, f.x2)
    log1, log2 = _log(f.r1), _log(f.r2)
    level = f.x * log1 - f.x2 * log2 - f.size + f.y * (t2 - t1)
    slope = f.x * level - ((f.r1**2 * log1 - f.r2**2 * log2) / 2 - (f.x**2 - f.x2**2) / 4)
    return (level - slope / f.size) / (2 * np.pi), slope / f.size / (2 * np.pi)


def _source_stream(f: _Frame, a1: Array, a2: Array) -> Array:
    """Stream function of unit sources; ``a1``, ``a2``: continuous direction from the ends to the points."""
    return np.asarray((f.x * a1 + f.y * _log(f.r1) - f.x2 * a2 - f.y * _log(f.r2)) / (2 * np.pi))


def _unwrapped(angle: Array, home: npt.NDArray[np.intp]) -> Array:
    """Angles (nodes, panels) made continuous along the nodes, starting from node ``home`` of each panel."""
    step = np.diff(angle, axis=0)
    step -= 2 * np.pi * np.round(step / (2 * np.pi))
    run = np.vstack((np.zeros(angle.shape[1]), np.cumsum(step, axis=0)))
    column = np.arange(angle.shape[1])
    return np.asarray(run - run[home, column] + angle[home, column])


def _inside_angles(f: _Frame, first: npt.NDArray[np.intp], last: npt.NDArray[np.intp]) -> tuple[Array, Array]:
    """Directions from both ends of surface panels, measured from the inner normal, continuous inside the body.

    ``first``, ``last``: node at which each panel starts and ends; the angle at a panel's own end counts for nothing
    and is set half way.
    """
    a1, a2 = np.arctan2(-f.x, f.y), np.arctan2(-f.x2, f.y)
    column = np.arange(f.size.size)
    a1[first, column], a2[last, column] = 0.0, 0.0
    a1[last, column], a2[first, column] = -np.pi / 2, np.pi / 2
    return _unwrapped(a1, first), _unwrapped(a2, last)


def _velocity(f: _Frame) -> tuple[Array, Array, Array]:
    """Velocity (points, panels, 2) of unit sources and of unit node vorticity at either end."""
    turn = np.arctan2(f.y, f.x2) - np.arctan2(f.y, f.x)
    turn -= 2 * np.pi * np.round(turn / (2 * np.pi))
    ratio = _log(f.r1) - _log(f.r2)
    up = (f.x * turn - f.y * ratio, f.x * ratio - f.size + f.y * turn)
    source = np.stack((ratio, turn), -1)
    second = np.stack((up[0], -up[1]), -1) / f.size[:, None]
    first = np.stack((turn, -ratio), -1) - second
    across = np.column_stack((-f.along[:, 1], f.along[:, 0]))

    def out(v: Array) -> Array:
        return np.asarray((v[..., :1] * f.along + v[..., 1:] * across) / (2 * np.pi))

    return out(source), out(first), out(second)


@dataclass(frozen=True)
class _Edge:
    """Trailing edge: unit bisector ``way`` pointing aft; source and vorticity of the base panel per unit edge speed."""

    way: Array
    source: float
    vortex: float
    gap: float


def _edge(points: Array) -> _Edge:
    upper, lower = points[0] - points[1], points[-1] - points[-2]
    way = upper / np.hypot(*upper) + lower / np.hypot(*lower)
    way = way / np.hypot(*way)
    base = points[0] - points[-1]
    t = base / np.hypot(*base)
    cross = way[0] * t[1] - way[1] * t[0]
    return _Edge(way, float(cross), float(-(way @ t)), abs(float(cross)) * float(np.hypot(*base)))


def _surface_matrix(points: Array, edge: _Edge) -> tuple[Array, Array]:
    """Panel matrix (N+1, N+1) for node speeds and inner stream function, and source columns (N, N-1)."""
    size = len(points)
    f = _frame(points[:-1], points[1:], points)
    first, second = _vortex_stream(f)
    matrix = np.zeros((size + 1, size + 1))
    matrix[:size, : size - 1] += first
    matrix[:size, 1:size] += second
    base = _frame(points[-1:], points[:1], points)
    both = _vortex_stream(base)
    own = edge.vortex * (both[0] + both[1])
    ends = np.array([size - 1]), np.array([0])
    a1, a2 = np.arctan2(-base.x, base.y), np.arctan2(-base.x2, base.y)
    a1[-1], a2[0], a1[0], a2[-1] = 0.0, 0.0, -np.pi / 2, np.pi / 2
    a1[:-1] = _unwrapped(a1[:-1], ends[1])
    a2[1:] = _unwrapped(a2[1:], ends[0] - 1)
    own = (own + edge.source * _source_stream(base, a1, a2))[:, 0]
    matrix[:size, 0] += own / 2
    matrix[:size, size - 1] -= own / 2
    matrix[:size, size] = -1.0
    matrix[size, 0] = matrix[size, size - 1] = 1.0
    panel = np.arange(size - 1)
    return matrix, _source_stream(f, *_inside_angles(f, panel, panel + 1))


def _wake_points(start: Array, way: Array, first: float) -> Array:
    """Wake nodes: first step as long as the edge panel, then growing evenly."""
    low, high = 1.0, 3.0
    steps = np.arange(WAKE_NODES - 1)
    for _ in range(60):
        ratio = (low + high) / 2
        total = first * float((ratio**steps).sum())
        low, high = (ratio, high) if total < WAKE_LENGTH else (low, ratio)
    return np.asarray(start + np.append(0.0, np.cumsum(first * low**steps))[:, None] * way)


def _to_nodes(length: Array) -> Array:
    """Matrix (M-1, M-1) from values at wake mid-points to wake nodes 1 to M-1, linear."""
    size = length.size
    matrix = np.zeros((size, size))
    for k in range(size - 1):
        part = length[k] / (length[k] + length[k + 1])
        matrix[k, k], matrix[k, k + 1] = 1 - part, part
    part = length[-1] / (length[-1] + length[-2])
    matrix[-1, -1], matrix[-1, -2] = 1 + part, -part
    return matrix


def _differences(length: Array) -> Array:
    """Sources of panels (n, n + 1) from node values of the signed mass defect."""
    matrix = np.zeros((length.size, length.size + 1))
    row = np.arange(length.size)
    matrix[row, row], matrix[row, row + 1] = -1 / length, 1 / length
    return matrix


def _field(points: Array, edge: _Edge, at: Array) -> tuple[Array, Array]:
    """Velocity at points outside: per node speed (p, N, 2) and per surface source (p, N-1, 2)."""
    source, first, second = _velocity(_frame(points[:-1], points[1:], at))
    by_node = np.zeros((len(at), len(points), 2))
    by_node[:, :-1] += first
    by_node[:, 1:] += second
    s, a, b = _velocity(_frame(points[-1:], points[:1], at))
    own = (edge.source * s + edge.vortex * (a + b))[:, 0]
    by_node[:, 0] += own / 2
    by_node[:, -1] -= own / 2
    return by_node, source


def potential(nodes: Nodes) -> Potential:
    """Matrices of a section: one factorisation serves all angles and Reynolds numbers.

    Arguments: nodes: see :func:`planewright.analysis.section.nodes.place`; the trailing edge must be open.
    """
    points = nodes.points
    size, edge = len(points), _edge(points)
    matrix, sources = _surface_matrix(points, edge)
    length = np.diff(arc(points))
    wake = _wake_points((points[0] + points[-1]) / 2, edge.way, float(length[0] + length[-1]) / 2)
    wake_length = np.diff(arc(wake))
    f = _frame(wake[:-1], wake[1:], points)
    wake_sources = _source_stream(f, np.arctan2(-f.y, -f.x), np.arctan2(-f.y, -f.x2))
    right = np.zeros((size + 1, 2 + (size - 1) + (WAKE_NODES - 1)))
    right[:size, 0], right[:size, 1] = -points[:, 1], points[:, 0]
    right[:size, 2:] = -np.hstack((sources, wake_sources))
    solved = lu_solve(lu_factor(matrix), right)[:size]
    couple = _coupling(points, edge, wake, length, wake_length, solved[:, 2:])
    still = solved[:, :2]
    return Potential(
        nodes,
        wake,
        length,
        wake_length,
        edge.gap,
        _dead(arc(wake), edge.gap),
        still,
        couple,
        CubicSpline(_TRACED, _traced(points, edge, still, wake)),
        matrix,
    )


def _dead(behind: Array, gap: float) -> Array:
    q = np.minimum(behind / (DEAD_AIR * gap), 1.0)
    return np.asarray(gap * (1 - q) ** 2 * (1 + 2 * q))


def _coupling(
    points: Array, edge: _Edge, wake: Array, length: Array, wake_length: Array, by_source: Array
) -> Array:
    """Change of all node speeds per signed mass defect at all nodes, (K, K)."""
    size, whole = len(points), len(points) + WAKE_NODES
    strength = np.zeros((size - 1 + WAKE_NODES - 1, whole))
    strength[: size - 1, :size] = _differences(length)
    strength[size - 1 :, size:] = _differences(wake_length)
    couple = np.zeros((whole, whole))
    couple[:size] = by_source @ strength
    middle = (wake[1:] + wake[:-1]) / 2
    by_node, surface = _field(points, edge, middle)
    own = _velocity(_frame(wake[:-1], wake[1:], middle))[0]
    along = (by_node @ edge.way) @ couple[:size]
    along += np.hstack((surface @ edge.way, own @ edge.way)) @ strength
    couple[size + 1 :] = _to_nodes(wake_length) @ along
    couple[size] = (couple[0] - couple[size - 1]) / 2
    return couple


def _traced(points: Array, edge: _Edge, still: Array, wake: Array) -> Array:
    """Speed on the streamline that leaves the edge, at the wake's spacing, for each traced angle: (angles, M)."""
    stream = np.stack((np.cos(_TRACED), np.sin(_TRACED)), -1)
    node = still @ stream.T

    def velocity(at: Array) -> Array:
        by_node, _ = _field(points, edge, at)
        return np.asarray(stream + np.einsum("pnk,np->pk", by_node, node))

    at = np.repeat(wake[:1], len(stream), axis=0)
    found = [np.abs(node[0] - node[-1]) / 2]
    way = np.repeat(edge.way[None], len(stream), axis=0)
    for step in np.hypot(*np.diff(wake, axis=0).T):
        half = velocity(at + step / 2 * way)
        way = half / np.hypot(half[:, 0], half[:, 1])[:, None]
        at = at + step * way
        v = velocity(at)
        found.append(np.hypot(v[:, 0], v[:, 1]))
        way = v / found[-1][:, None]
    return np.stack(found, axis=1)


def forces(potential: Potential, speed: Array, alpha: Array) -> tuple[Array, Array]:
    """cl and cm about the quarter chord from surface speeds (p, N) at angles (p,), pressures integrated.

    The base carries the mean pressure of both edges.
    """
    points = potential.nodes.points
    pressure = 1 - speed**2
    middle = (
        np.concatenate((pressure[:, 1:] + pressure[:, :-1], pressure[:, :1] + pressure[:, -1:]), axis=1) / 2
    )
    after = np.roll(points, -1, axis=0)
    step, at = after - points, (after + points) / 2
    x_force, y_force = -middle @ step[:, 1], middle @ step[:, 0]
    lift = y_force * np.cos(alpha) - x_force * np.sin(alpha)
    arm = (at[:, 0] - 0.25) * step[:, 0] + at[:, 1] * step[:, 1]
    return lift, -middle @ arm
