"""One Newton step of layers, wake and potential flow together, for a stack of points.

Momentum and lag (or growth) equation of each node give its theta and s as a row over all mass defects from its upstream
neighbour's row; marching from the stagnation point along both sides and down the wake leaves one square system of the
energy equations in the mass defects, one per point.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.closures import Constants, equilibrium, slip, turbulent_energy
from planewright.analysis.section.intervals import (
    Split,
    laminar,
    reached,
    transition,
    transition_place,
    turbulent,
)
from planewright.analysis.section.stack import LEAST_SPEED, Stack, edge_join, turned

Array = npt.NDArray[np.float64]
Index = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

HIEMENZ_LAMBDA, HIEMENZ_SHAPE = 0.0855, 2.216


@dataclass(frozen=True)
class Local:
    """Equations of all nodes: residuals (P, K, 3), slopes (P, K, 3, 8) to (theta, delta*, s, Ue) of the upstream node
    and of the node itself; of the first wake node to both edge nodes: ``edge`` (P, 3, 8)."""

    residual: Array
    slopes: Array
    edge: Array


def kinds(stack: Stack) -> tuple[Flags, Flags, Flags]:
    """Nodes at the end of a laminar, a turbulent and a transition interval, (P, K) each."""
    size = stack.bodies.surface
    inner = ~stack.first & (stack.node != size)
    before = np.take_along_axis(stack.turbulent, np.clip(stack.up, 0, stack.node[-1]), 1)
    lam = inner & ~stack.turbulent
    split = inner & stack.turbulent & ~before
    return lam, inner & stack.turbulent & before, split


def _set(flags: Flags) -> tuple[Index, Index]:
    """Points and nodes of set flags."""
    points, nodes = np.nonzero(flags)
    return points, nodes


def _numbered(flags: Flags) -> tuple[tuple[Index, Index], Index]:
    """Places of set flags, and for each place its number among them."""
    at = _set(flags)
    number: Index = np.zeros(flags.shape, dtype=np.intp)
    number[at] = np.arange(len(at[0]))
    return at, number


def split_of(stack: Stack, at: tuple[Index, Index]) -> Split:
    """Transition intervals that end at these nodes."""
    p, i = at
    up = stack.up[at]
    columns = (stack.theta, stack.displacement, stack.s, stack.speed)
    ends = np.stack([one[p, up] for one in columns] + [one[at] for one in columns])
    along = stack.bodies.along[stack.body[p]]
    row = np.arange(len(p))
    x1, x2 = along[row, up], along[row, i]
    trip = stack.trip[p, np.where(stack.upper[at], 0, 1)]
    gap = np.where(np.abs(x2 - x1) > 1e-9, x2 - x1, 1e-9)
    forced = np.where((trip - x1) / gap <= 1.0, (trip - x1) / gap, 2.0)
    return Split(ends, stack.dx[at], stack.reynolds[p], forced)


def local(stack: Stack, constants: Constants) -> Local:
    """All layer equations of a stack."""
    shape = stack.theta.shape
    residual, slopes = np.zeros((*shape, 3)), np.zeros((*shape, 3, 8))
    lam, turb, split = kinds(stack)
    nodes, number = _numbered(~stack.turbulent)
    at = _set(lam)
    up = number[at[0], stack.up[at]]
    residual[at], slopes[at] = laminar(stack.ends(nodes), up, number[at], stack.dx[at])
    nodes, number = _numbered(stack.turbulent)
    at = _set(turb)
    up = number[at[0], stack.up[at]]
    residual[at], slopes[at] = turbulent(stack.ends(nodes), up, number[at], stack.dx[at], constants)
    at = _set(split)
    if len(at[0]):
        residual[at], slopes[at], _ = transition(split_of(stack, at), constants)
    _start(stack, residual, slopes)
    return Local(residual, slopes, _edge(stack, residual, slopes, constants))


def _start(stack: Stack, residual: Array, slopes: Array) -> None:
    """Stagnation flow at both first nodes: only the length of the stagnation panel enters."""
    at = _set(stack.first)
    p, i = at
    other = stack.up[at]
    both = stack.speed[at] + stack.speed[p, other]
    theta, thick = stack.theta[at], stack.displacement[at]
    ratio = theta**2 * stack.reynolds[p] * both / stack.dx[at] / HIEMENZ_LAMBDA
    residual[at] = np.stack((ratio - 1, thick / theta / HIEMENZ_SHAPE - 1, stack.s[at]), -1)
    slopes[p, i, 0, 4] = 2 * ratio / theta
    slopes[p, i, 0, 7] = slopes[p, i, 0, 3] = ratio / both
    slopes[p, i, 1, 4] = -thick / theta**2 / HIEMENZ_SHAPE
    slopes[p, i, 1, 5] = 1 / theta / HIEMENZ_SHAPE
    slopes[p, i, 2, 6] = 1.0


def _edge(stack: Stack, residual: Array, slopes: Array, constants: Constants) -> Array:
    """Both layers join into the wake; returns slopes (P, 3, 8) to the edge nodes."""
    size = stack.bodies.surface
    columns = (stack.theta, stack.displacement, stack.s, stack.speed)
    values = np.stack([one[:, at] for at in (0, size - 1) for one in columns])
    many = np.repeat(values[:, None, :], 9, axis=1)
    step = 1e-6 * np.maximum(np.abs(values), 1e-9)
    many[np.arange(8), np.arange(1, 9)] += step
    wall = stack.turbulent[:, [0, size - 1]].T
    gap = stack.bodies.gap[stack.body]
    joined = edge_join(stack, many, wall, stack.reynolds, gap, constants)
    mine = np.stack([one[:, size] for one in columns[:3]])
    scale = 1 / np.stack([mine[0], mine[1], mine[2]])
    residual[:, size] = ((mine - joined[:, 0]) * scale).T
    for k in range(3):
        slopes[:, size, (0, 1, 2)[k], 4 + k] = scale[k]
    return np.stack([-((joined[:, k + 1] - joined[:, 0]) / step[k] * scale).T for k in range(8)], axis=-1)


# elimination -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Step:
    """Newton changes of theta, mass defect, s and edge speed, (P, K) each."""

    theta: Array
    mass: Array
    s: Array
    speed: Array


@dataclass(frozen=True)
class _Rows:
    """Coefficients of the local equations after delta* has been written in mass and speed: of upstream (theta, s),
    of own (theta, s), of upstream and own mass and speed, and the residual. (P, K, 3[, 2])."""

    up: Array
    own: Array
    mass_up: Array
    mass: Array
    speed_up: Array
    speed: Array
    rest: Array


def _rows(stack: Stack, here: Local) -> _Rows:
    up = np.clip(stack.up, 0, stack.node[-1])
    u, d = stack.speed[..., None], stack.displacement[..., None]
    u_up = np.take_along_axis(stack.speed, up, 1)[..., None]
    d_up = np.take_along_axis(stack.displacement, up, 1)[..., None]
    j = here.slopes
    mass_up, mass = j[..., 1] / u_up, j[..., 5] / u
    return _Rows(
        j[..., [0, 2]],
        j[..., [4, 6]],
        mass_up,
        mass,
        j[..., 3] - mass_up * d_up,
        j[..., 7] - mass * d,
        here.residual,
    )


def _combine(own: Array, up: Array) -> tuple[Array, Array]:
    """Inverse (.., 2, 2) of the own momentum and lag rows, and the matrix (.., 3, 2) from upstream (theta, s) to own
    (theta, s) and energy residual."""
    a = own[..., [0, 2], :]
    det = a[..., 0, 0] * a[..., 1, 1] - a[..., 0, 1] * a[..., 1, 0]
    inverse = np.empty_like(a)
    inverse[..., 0, 0], inverse[..., 1, 1] = a[..., 1, 1] / det, a[..., 0, 0] / det
    inverse[..., 0, 1], inverse[..., 1, 0] = -a[..., 0, 1] / det, -a[..., 1, 0] / det
    return inverse, _through(own, inverse, up)


def _through(own: Array, inverse: Array, what: Array) -> Array:
    """Local columns ``what`` (.., 3, c) carried to (theta, s, energy): (.., 3, c)."""
    two = -inverse @ what[..., [0, 2], :]
    energy = what[..., 1:2, :] + own[..., 1:2, :] @ two
    return np.concatenate((two, energy), axis=-2)


def newton_step(stack: Stack, here: Local) -> Step:
    """Solve the linear system of a stack; shapes as of :class:`Step`."""
    rows, size = _rows(stack, here), stack.bodies.surface
    inverse, through = _combine(rows.own, rows.up)
    columns = np.stack((rows.speed, rows.speed_up, rows.mass, rows.mass_up, rows.rest), axis=-1)
    carried = _through(rows.own, inverse, columns)
    speeds = _speed_rows(stack)
    sides = _Sides(stack, through, carried, speeds)
    wake = _wake_rows(stack, here, rows, inverse, through, carried, speeds, sides.edge)
    matrix = np.empty((stack.count, stack.bodies.whole, stack.bodies.whole + 1))
    matrix[:, size:] = wake[:, :, 2]
    sides.fill(matrix)
    change = np.ones((stack.count, stack.bodies.whole + 1))
    change[:, :-1] = -np.linalg.solve(matrix[..., :-1], matrix[..., -1:])[..., 0]
    found = np.empty((stack.count, stack.bodies.whole, 2))
    found[:, size:] = (wake[:, :, :2] @ change[:, None, :, None])[..., 0]
    sides.back(change, found)
    speed = (speeds @ change[..., None])[..., 0]
    return Step(found[..., 0], stack.mass_sign * change[:, :-1], found[..., 1], speed)


def _speed_rows(stack: Stack) -> Array:
    """Change of every edge speed as a row over all signed mass defects and the constant 1, (P, K, C)."""
    found = np.empty((stack.count, stack.bodies.whole, stack.bodies.whole + 1))
    np.multiply(stack.bodies.couple[stack.body], stack.sign[..., None], out=found[..., :-1])
    signed = (stack.mass_sign * stack.mass)[..., None]
    found[..., -1] = stack.sign * stack.base + (found[..., :-1] @ signed)[..., 0] - stack.speed
    return found


class _Sides:
    """Rows of theta, s and energy of both sides, marched from the stagnation point aft: ``rows`` (L, 2P, 3, C)."""

    def __init__(self, stack: Stack, through: Array, carried: Array, speeds: Array) -> None:
        size, self.count = stack.bodies.surface, stack.count
        longest = int(max(stack.nose.max() + 1, size - 1 - stack.nose.min()))
        k = np.arange(longest)[:, None]
        order = np.concatenate((stack.nose - k, stack.nose + 1 + k), axis=-1)
        self.valid = (order >= 0) & (order < size)
        self.order = order = np.clip(order, 0, size - 1)
        self.point = p = np.concatenate((np.arange(self.count),) * 2)
        up = np.clip(stack.up[p, order], 0, size - 1)
        c = carried[p, order]
        own = speeds[p, order]
        before = np.concatenate((speeds[p, up[0]][None], own[:-1]))
        self.rows = c[..., 0, None] * own[..., None, :]
        self.rows += c[..., 1, None] * before[..., None, :]
        step, side = np.arange(longest)[:, None], np.arange(2 * self.count)
        self.rows[step, side, :, order] += c[..., 2] * stack.mass_sign[p, order][..., None]
        self.rows[step, side, :, up] += c[..., 3] * stack.mass_sign[p, up][..., None]
        self.rows[..., -1] += c[..., 4]
        pass_on = through[p, order]
        for row in range(1, longest):
            self.rows[row] += pass_on[row] @ self.rows[row - 1, :, :2]
        last = self.valid.sum(axis=0) - 1
        self.edge = self.rows[last, side, :2].reshape(2, self.count, 2, -1)

    def fill(self, matrix: Array) -> None:
        """Put the energy rows in their places."""
        k, side = np.nonzero(self.valid)
        matrix[self.point[side], self.order[k, side]] = self.rows[k, side, 2]

    def back(self, change: Array, found: Array) -> None:
        """Changes of theta and s from those of the mass defects."""
        values = (self.rows[:, :, :2] @ change[self.point][None, :, :, None])[..., 0]
        k, side = np.nonzero(self.valid)
        found[self.point[side], self.order[k, side]] = values[k, side]


def _wake_rows(
    stack: Stack, here: Local, rows: _Rows, inverse: Array, through: Array, carried: Array, speeds: Array,
    edge: Array,
) -> Array:  # fmt: skip
    """Rows of the wake, from the edge aft, (P, M, 3, C)."""
    size = stack.bodies.surface
    c, own = carried[:, size:], speeds[:, size:]
    found = c[..., 0, None] * own[..., None, :]
    found[:, 1:] += c[:, 1:, :, 1, None] * own[:, :-1, None, :]
    node = np.arange(size, stack.bodies.whole)
    found[:, node - size, :, node] += np.moveaxis(c[..., 2], 0, 1)
    found[:, node[1:] - size, :, node[1:] - 1] += np.moveaxis(c[:, 1:, :, 3], 0, 1)
    found[..., -1] += c[..., 4]
    found[:, 0] = _joined_rows(stack, here, rows, inverse, speeds, edge)
    for k in range(1, len(node)):
        found[:, k] += through[:, size + k] @ found[:, k - 1, :2]
    return found


def _joined_rows(stack: Stack, here: Local, rows: _Rows, inverse: Array, speeds: Array, edge: Array) -> Array:
    """Rows (P, 3, C) of the first wake node, which takes both edge nodes' ``edge`` (2, P, 2, C)."""
    size = stack.bodies.surface
    found = rows.speed[:, size, :, None] * speeds[:, size, None, :]
    found[..., -1] += rows.rest[:, size]
    found[..., size] += rows.mass[:, size]
    for k, node in enumerate((0, size - 1)):
        j = here.edge[..., 4 * k : 4 * k + 4]
        u, d = stack.speed[:, node, None], stack.displacement[:, node, None]
        mass = j[..., 1] / u
        found += j[..., [0, 2]] @ edge[k] + (j[..., 3] - mass * d)[..., None] * speeds[:, node, None, :]
        found[..., node] += mass * stack.mass_sign[:, node, None]
    return _through(rows.own[:, size], inverse[:, size], found)


# limits and update -------------------------------------------------------------------------------------------------


def relative(stack: Stack, step: Step, constants: Constants) -> tuple[Array, Array, Array, Array]:
    """Relative changes of theta, delta*, s and edge speed, (P, K) each."""
    thick = step.mass / stack.speed - stack.displacement / stack.speed * step.speed
    wet = np.where(stack.turbulent, np.maximum(stack.s, 1e-3), 2 * constants.n_crit)
    return (
        step.theta / stack.theta,
        thick / stack.displacement,
        step.s / wet,
        step.speed / np.maximum(stack.speed, 0.15),
    )


_LIMITS = ((-0.4, 0.6), (-0.4, 0.6), (-0.5, 0.8), (-0.35, 0.5))


def allowed(changes: tuple[Array, ...], most: Array) -> Array:
    """One factor per point, at most ``most``, that keeps all relative changes within limits, (P,)."""
    factor = most
    for change, (low, high) in zip(changes, _LIMITS, strict=True):
        worst = np.maximum(change.max(axis=1) / high, change.min(axis=1) / low)
        factor = np.minimum(factor, 1 / np.maximum(worst, 1.0))
    return factor


def moved(stack: Stack, step: Step, factor: Array) -> Stack:
    """The state after a part of a step, clamped node by node, first nodes on their right side."""
    f = factor[:, None]
    theta = stack.theta + f * step.theta
    speed = stack.speed + f * step.speed
    mass = stack.mass + f * step.mass
    shear = stack.s + f * step.s
    s = np.where(stack.turbulent, np.clip(shear, 0.001, 0.6), np.maximum(shear, -1.0))
    safe = np.where(np.abs(speed) < LEAST_SPEED, np.where(speed < 0, -LEAST_SPEED, LEAST_SPEED), speed)
    thick = np.where(speed > 0, mass / safe, stack.displacement)
    dead = stack.bodies.dead[stack.body]
    old = (stack.displacement - dead) / stack.theta
    shape = np.maximum((thick - dead) / theta, np.maximum(1 + 0.35 * (old - 1), 1.01))
    ends = dataclasses.replace(stack, theta=theta, displacement=shape * theta + dead, s=s, speed=speed)
    return turned(ends)


# transition --------------------------------------------------------------------------------------------------------


def retransitioned(stack: Stack, iteration: Index, constants: Constants) -> Stack:
    """Decide anew which nodes are laminar.

    Transition moves up to the first laminar node at or beyond ``n_crit`` or past its trip, and down by at most three
    nodes while the growth carried to the first turbulent node stays below. To stop it swinging between two neighbours,
    a mismatch of 4 % is asked for after 12 iterations, 12 % after 18, and it is frozen after 26.
    """
    need = np.where(iteration > 18, 0.12, np.where(iteration > 12, 0.04, 0.0)) * constants.n_crit
    live = iteration <= 26
    turbulent, s = stack.turbulent.copy(), stack.s.copy()
    size = stack.bodies.surface
    past = _past_trip(stack)
    over = ((stack.s >= constants.n_crit + need[:, None]) | past) & ~turbulent & ~stack.first
    over &= live[:, None] & (stack.node < size)
    flip = _downstream(stack, over) & ~turbulent
    turbulent |= flip
    s = np.where(flip, _begun(stack), s)
    for _ in range(3):
        now = dataclasses.replace(stack, turbulent=turbulent, s=s)
        at = _set(kinds(now)[2])
        if not len(at[0]):
            break
        split = split_of(now, at)
        ahead = _carried(split)
        late = (ahead < constants.n_crit - need[at[0]]) & live[at[0]] & ~flip[at]
        late &= ~past[at] & (split.forced > 1)
        if not late.any():
            break
        p, i = at[0][late], at[1][late]
        turbulent[p, i], s[p, i] = False, ahead[late]
    return dataclasses.replace(stack, turbulent=turbulent, s=s)


def _carried(split: Split) -> Array:
    return reached(split.ends, np.ones(split.dx.shape), split.dx, split.reynolds)


def _past_trip(stack: Stack) -> Flags:
    """Surface nodes at or behind their side's trip."""
    along = np.full(stack.theta.shape, -1.0)
    along[:, : stack.bodies.surface] = stack.bodies.along[stack.body]
    trip = np.where(stack.upper, stack.trip[:, :1], stack.trip[:, 1:])
    off = stack.node - stack.nose[:, None]
    return np.asarray((along >= trip) & ((off < -3) | (off > 4)))


def _downstream(stack: Stack, flags: Flags) -> Flags:
    """Flags and all surface nodes downstream of them."""
    size = stack.bodies.surface
    found = np.zeros_like(flags)
    upper = flags & stack.upper
    lower = flags & ~stack.upper
    found[:, :size] = np.logical_or.accumulate(upper[:, size - 1 :: -1], axis=1)[:, ::-1]
    found[:, :size] &= stack.upper[:, :size]
    found[:, :size] |= np.logical_or.accumulate(lower[:, :size], axis=1)
    return found


def _begun(stack: Stack) -> Array:
    """Equilibrium shear stress of every node as if turbulent, .02 to .12."""
    h = np.maximum(stack.displacement / stack.theta, 1.05)
    hs = turbulent_energy(h, np.maximum(stack.speed * stack.theta * stack.reynolds[:, None], 1.0))
    return np.clip(equilibrium(h, hs, slip(h, hs)), 0.02, 0.12)


def transition_points(stack: Stack, constants: Constants) -> Array:
    """Chordwise place of transition, upper and lower (1 where the layer stays laminar), (P, 2)."""
    found = np.ones((stack.count, 2))
    at = _set(kinds(stack)[2])
    if len(at[0]):
        z = transition_place(split_of(stack, at), constants.n_crit)
        along = stack.bodies.along[stack.body[at[0]]]
        row = np.arange(len(z))
        x1, x2 = along[row, stack.up[at]], along[row, at[1]]
        found[at[0], np.where(stack.upper[at], 0, 1)] = x1 + z * (x2 - x1)
    return found
