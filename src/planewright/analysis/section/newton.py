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

from planewright.analysis.section.closures import Constants
from planewright.analysis.section.intervals import (
    Ends,
    Split,
    laminar,
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


def _numbered(flags: Flags) -> tuple[tuple[Index, Index], Index]:
    """Places of set flags, and for each place its number among them."""
    at = np.nonzero(flags)
    number = np.zeros(flags.shape, dtype=np.intp)
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
    for flags, ends, work in (
        (~stack.turbulent, lam, lambda *a: laminar(*a)),
        (stack.turbulent, turb, lambda *a: turbulent(*a, constants)),
    ):
        nodes, number = _numbered(flags)
        at = np.nonzero(ends)
        up = number[at[0], stack.up[at]]
        residual[at], slopes[at] = work(stack.ends(nodes), up, number[at], stack.dx[at])
    at = np.nonzero(split)
    if len(at[0]):
        residual[at], slopes[at], _ = transition(split_of(stack, at), constants)
    _start(stack, residual, slopes)
    return Local(residual, slopes, _edge(stack, residual, slopes, constants))


def _start(stack: Stack, residual: Array, slopes: Array) -> None:
    """Stagnation flow at both first nodes: only the length of the stagnation panel enters."""
    at = np.nonzero(stack.first)
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
    columns = np.stack(
        (rows.speed, rows.speed_up, rows.mass, rows.mass_up, rows.rest), axis=-1
    )  # (P, K, 3, 5)
    carried = _through(rows.own, inverse, columns)
    now = stack.bodies.couple[stack.body]
    signed_mass = stack.mass_sign * stack.mass
    miss = (
        stack.sign * (stack.base + np.einsum("pij,pj->pi", now, signed_mass)) - stack.speed
    )  # change of speed wanted before the mass moves
    matrix = np.zeros((stack.count, stack.bodies.whole, stack.bodies.whole + 1))
    sides = _march_sides(stack, through, carried, now, miss, matrix)
    _march_wake(stack, here, rows, inverse, through, carried, now, miss, sides, matrix)
    change = -np.linalg.solve(matrix[..., :-1], matrix[..., -1:])[..., 0]
    speed = stack.sign * np.einsum("pij,pj->pi", now, change) + miss
    mass = stack.mass_sign * change
    theta, s = _back(stack, here, rows, inverse, through, carried, mass, speed, size)
    return Step(theta, mass, s, speed)


def _order(stack: Stack) -> tuple[Index, Flags]:
    """Nodes of both sides from the stagnation point aft: (L, P, 2), and which of them exist."""
    size = stack.bodies.surface
    longest = int(max(stack.nose.max() + 1, size - 1 - stack.nose.min()))
    k = np.arange(longest)[:, None]
    order = np.stack((stack.nose - k, stack.nose + 1 + k), axis=-1)
    valid = (order >= 0) & (order < size)
    return np.clip(order, 0, size - 1), valid


def _add(out: Array, at: Index, what: Array) -> None:
    """Add columns ``what`` (n, 3) at places ``at`` (n,) of rows ``out`` (n, 3, C)."""
    out[np.arange(len(at)), :, at] += what


def _march_sides(
    stack: Stack, through: Array, carried: Array, now: Array, miss: Array, matrix: Array
) -> Array:
    """Rows of both sides; fills the energy rows of ``matrix``; returns the rows (P, 2, 2, C) of both edge nodes."""
    order, valid = _order(stack)
    count, whole = stack.count, stack.bodies.whole
    p = np.repeat(np.arange(count), 2)
    edge = np.zeros((count * 2, 2, whole + 1))
    block = np.zeros((count * 2, 4, whole + 1))
    for k in range(len(order)):
        i = order[k].ravel()
        if k == 0:
            block[:, 3, :-1] = (stack.sign[p, stack.up[p, i], None]) * now[p, stack.up[p, i]]
            block[:, 3, -1] = miss[p, stack.up[p, i]]
        else:
            block[:, 3] = block[:, 2]
        block[:, 2, :-1] = now[p, i]
        block[:, 2, :-1] *= stack.sign[p, i, None]
        block[:, 2, -1] = miss[p, i]
        c = carried[p, i]
        out = np.concatenate((through[p, i], c[..., :2]), axis=-1) @ block
        _add(out, i, c[..., 2] * stack.mass_sign[p, i, None])
        up = stack.up[p, i]
        _add(out, up, c[..., 3] * stack.mass_sign[p, up, None])
        out[..., -1] += c[..., 4]
        block[:, :2] = out[:, :2]
        use = valid[k].ravel()
        matrix[p[use], i[use]] = out[use, 2]
        last = use & ((i == 0) | (i == stack.bodies.surface - 1))
        edge[last] = out[last, :2]
    return edge.reshape(count, 2, 2, whole + 1)


def _march_wake(
    stack: Stack, here: Local, rows: _Rows, inverse: Array, through: Array, carried: Array, now: Array,
    miss: Array, edge: Array, matrix: Array,
) -> None:  # fmt: skip
    """Rows of the wake, from the edge aft."""
    size, whole = stack.bodies.surface, stack.bodies.whole
    p = np.arange(stack.count)
    block = np.zeros((stack.count, 4, whole + 1))
    out = _joined_rows(stack, here, rows, inverse, now, miss, edge)
    matrix[:, size] = out[:, 2]
    block[:, :2] = out[:, :2]
    block[:, 2, :-1], block[:, 2, -1] = now[:, size], miss[:, size]
    for i in range(size + 1, whole):
        block[:, 3] = block[:, 2]
        block[:, 2, :-1], block[:, 2, -1] = now[:, i], miss[:, i]
        c = carried[:, i]
        out = np.concatenate((through[:, i], c[..., :2]), axis=-1) @ block
        out[p, :, i] += c[..., 2]
        out[p, :, i - 1] += c[..., 3]
        out[..., -1] += c[..., 4]
        block[:, :2] = out[:, :2]
        matrix[:, i] = out[:, 2]


def _edge_columns(stack: Stack, here: Local) -> tuple[Array, Array, Array]:
    """Slopes of the joining equations to (theta, s), mass and speed of both edge nodes: (P, 2, 3, 2), (P, 2, 3) x 2."""
    ends = [0, stack.bodies.surface - 1]
    j = np.stack((here.edge[..., :4], here.edge[..., 4:]), axis=1)
    u, d = stack.speed[:, ends, None], stack.displacement[:, ends, None]
    mass = j[..., 1] / u
    return j[..., [0, 2]], mass, j[..., 3] - mass * d


def _joined_rows(
    stack: Stack, here: Local, rows: _Rows, inverse: Array, now: Array, miss: Array, edge: Array
) -> Array:
    """Rows (P, 3, C) of the first wake node."""
    size = stack.bodies.surface
    both, mass, speed = _edge_columns(stack, here)
    local_rows = np.zeros((stack.count, 3, stack.bodies.whole + 1))
    for k, node in enumerate((0, size - 1)):
        local_rows += both[:, k] @ edge[:, k]
        local_rows[..., :-1] += (speed[:, k] * stack.sign[:, node, None])[..., None] * now[:, node, None, :]
        local_rows[..., -1] += speed[:, k] * miss[:, node, None]
        local_rows[..., node] += mass[:, k] * stack.mass_sign[:, node, None]
    local_rows[..., :-1] += rows.speed[:, size, :, None] * now[:, size, None, :]
    local_rows[..., -1] += rows.speed[:, size] * miss[:, size, None] + rows.rest[:, size]
    local_rows[..., size] += rows.mass[:, size]
    return _through(rows.own[:, size], inverse[:, size], local_rows)


def _back(
    stack: Stack, here: Local, rows: _Rows, inverse: Array, through: Array, carried: Array, mass: Array,
    speed: Array, size: int,
) -> tuple[Array, Array]:  # fmt: skip
    """Changes of theta and s from those of mass and speed."""
    up = np.clip(stack.up, 0, stack.node[-1])
    moved = np.stack(
        (
            speed,
            np.take_along_axis(speed, up, 1),
            mass,
            np.take_along_axis(mass, up, 1),
            np.ones_like(mass),
        ),
        axis=-1,
    )
    part = (carried[..., :2, :] @ moved[..., None])[..., 0]
    found = np.zeros((*mass.shape, 2))
    order, valid = _order(stack)
    p = np.arange(stack.count)[:, None]
    before = np.zeros((stack.count, 2, 2))
    for k in range(len(order)):
        i = order[k]
        before = (through[p, i, :2] @ before[..., None])[..., 0] + part[p, i]
        found[p[:, 0], i[:, 0]] = np.where(valid[k, :, :1], before[:, 0], found[p[:, 0], i[:, 0]])
        found[p[:, 0], i[:, 1]] = np.where(valid[k, :, 1:], before[:, 1], found[p[:, 0], i[:, 1]])
    both, edge_mass, edge_speed = _edge_columns(stack, here)
    ends = [0, size - 1]
    joined = (both @ found[:, ends][..., None])[..., 0].sum(1)
    joined += (edge_mass * mass[:, ends, None] + edge_speed * speed[:, ends, None]).sum(1)
    joined += rows.mass[:, size] * mass[:, size, None] + rows.speed[:, size] * speed[:, size, None]
    joined += rows.rest[:, size]
    step = -(inverse[:, size] @ joined[:, [0, 2], None])[..., 0]
    found[:, size] = step
    for i in range(size + 1, stack.bodies.whole):
        step = (through[:, i, :2] @ step[..., None])[..., 0] + part[:, i]
        found[:, i] = step
    return found[..., 0], found[..., 1]


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
        at = np.nonzero(kinds(now)[2])
        if not len(at[0]):
            break
        split = split_of(now, at)
        ahead = _carried(split)
        late = (
            (ahead < constants.n_crit - need[at[0]])
            & live[at[0]]
            & ~flip[at]
            & ~_downstream_of_flip(stack, flip)[at]
        )
        late &= ~past[at] & (split.forced > 1)
        if not late.any():
            break
        p, i = at[0][late], at[1][late]
        turbulent[p, i], s[p, i] = False, ahead[late]
    return dataclasses.replace(stack, turbulent=turbulent, s=s)


def _carried(split: Split) -> Array:
    from planewright.analysis.section.intervals import reached

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


def _downstream_of_flip(stack: Stack, flip: Flags) -> Flags:
    return _downstream(stack, flip)


def _begun(stack: Stack) -> Array:
    """Equilibrium shear stress of every node as if turbulent, .02 to .12."""
    from planewright.analysis.section.closures import equilibrium, slip, turbulent_energy

    h = np.maximum(stack.displacement / stack.theta, 1.05)
    hs = turbulent_energy(h, np.maximum(stack.speed * stack.theta * stack.reynolds[:, None], 1.0))
    return np.clip(equilibrium(h, hs, slip(h, hs)), 0.02, 0.12)


def transition_points(stack: Stack, constants: Constants) -> Array:
    """Chordwise place of transition, upper and lower (1 where the layer stays laminar), (P, 2)."""
    found = np.ones((stack.count, 2))
    at = np.nonzero(kinds(stack)[2])
    if len(at[0]):
        z = transition_place(split_of(stack, at), constants.n_crit)
        along = stack.bodies.along[stack.body[at[0]]]
        row = np.arange(len(z))
        x1, x2 = along[row, stack.up[at]], along[row, at[1]]
        found[at[0], np.where(stack.upper[at], 0, 1)] = x1 + z * (x2 - x1)
    return found


__all__ = ["Ends", "Local", "Step", "allowed", "local", "moved", "newton_step", "relative", "retransitioned"]
