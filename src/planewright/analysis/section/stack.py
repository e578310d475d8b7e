"""A stack of points (section, angle, Reynolds number) that are solved together: their state, start and topology."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.closures import Constants
from planewright.analysis.section.intervals import Ends, start_shear
from planewright.analysis.section.panels import WAKE_NODES, Potential

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Index = npt.NDArray[np.intp]

LEAST_SPEED = 1e-4
FREE = 2.0
"""Place of a trip that is not there."""


@dataclass(frozen=True)
class Bodies:
    """Sections with the same number of nodes N, K = N + M in all, as arrays over sections.

    ``couple`` (S, K, K); ``length`` (S, N-1); ``wake_length`` (S, M-1); ``dead`` (S, K); ``gap`` (S,);
    ``along`` (S, N) chordwise place of surface nodes.
    """

    each: tuple[Potential, ...]

    @property
    def surface(self) -> int:
        """Nodes on the surface, N."""
        return len(self.each[0].nodes.points)

    @property
    def whole(self) -> int:
        """Nodes in all, K."""
        return self.surface + WAKE_NODES

    @cached_property
    def couple(self) -> Array:
        return np.stack([one.couple for one in self.each])

    @cached_property
    def step(self) -> Array:
        """(S, 2, K): length of the panel before each node (index less one) and after it; the wake both ways."""
        found = np.ones((len(self.each), 2, self.whole))
        for row, one in zip(found, self.each, strict=True):
            row[0, 1 : self.surface] = one.length
            row[1, : self.surface - 1] = one.length
            row[0, self.surface + 1 :] = one.wake_length
        return found

    @cached_property
    def dead(self) -> Array:
        found = np.zeros((len(self.each), self.whole))
        for row, one in zip(found, self.each, strict=True):
            row[self.surface :] = one.dead
        return found

    @cached_property
    def gap(self) -> Array:
        return np.array([one.gap for one in self.each])

    @cached_property
    def along(self) -> Array:
        return np.stack([one.nodes.points[:, 0] for one in self.each])

    def undisturbed(self, body: Index, alpha: Array) -> Array:
        """Undisturbed signed speeds, (P, K)."""
        found = np.empty((len(body), self.whole))
        for k, one in enumerate(self.each):
            mine = body == k
            if mine.any():
                found[mine] = one.speeds(alpha[mine])
        return found


@dataclass(frozen=True)
class Stack:
    """State of P points. ``body`` (P,) index of the section; ``alpha``, ``reynolds`` (P,); ``trip`` (P, 2): chordwise
    places of forced transition, upper and lower (2: none); ``nose`` (P,): last node of the upper side;
    ``theta``, ``displacement``, ``s``, ``speed`` (P, K); ``turbulent`` (P, K); ``base`` (P, K) undisturbed signed
    speed. ``s`` is the amplification at laminar nodes, the root of the shear stress at the others.
    """

    bodies: Bodies
    body: Index
    alpha: Array
    reynolds: Array
    trip: Array
    nose: Index
    theta: Array
    displacement: Array
    s: Array
    speed: Array
    turbulent: Flags
    base: Array

    @property
    def count(self) -> int:
        return len(self.body)

    @cached_property
    def node(self) -> Index:
        return np.arange(self.bodies.whole)

    @cached_property
    def upper(self) -> Flags:
        """Nodes of the upper side, (P, K)."""
        return np.asarray(self.node <= self.nose[:, None])

    @cached_property
    def sign(self) -> Array:
        """+1 where the signed speed is the layer's, -1 on the lower side, (P, K)."""
        return np.where(self.upper | (self.node >= self.bodies.surface), 1.0, -1.0)

    @cached_property
    def mass_sign(self) -> Array:
        """Sign of the mass defect as the coupling matrix takes it, (P, K)."""
        return np.where(self.upper, -1.0, 1.0)

    @cached_property
    def up(self) -> Index:
        """Upstream neighbour of each node; for the two first nodes the other of them, (P, K)."""
        return np.where(self.upper, self.node + 1, self.node - 1)

    @cached_property
    def dx(self) -> Array:
        """Length of the interval upstream of each node, (P, K)."""
        step = self.bodies.step[self.body]
        return np.where(self.upper, step[:, 1], step[:, 0])

    @cached_property
    def first(self) -> Flags:
        """The two first nodes of each point, (P, K)."""
        off = self.node - self.nose[:, None]
        return np.asarray((off == 0) | (off == 1))

    @property
    def mass(self) -> Array:
        """Mass defect Ue delta*, (P, K)."""
        return self.speed * self.displacement

    def ends(self, at: tuple[Index, Index]) -> Ends:
        """Values at chosen nodes, flat."""
        points, nodes = at
        return Ends(
            self.theta[at],
            self.displacement[at],
            self.s[at],
            self.speed[at],
            self.reynolds[points],
            self.bodies.dead[self.body[points], nodes],
            nodes >= self.bodies.surface,
        )

    def take(self, which: Index | Flags) -> Stack:
        """Some of the points."""
        return Stack(self.bodies, *(getattr(self, one)[which] for one in _ARRAYS))

    def joined(self, other: Stack) -> Stack:
        """The points of both."""
        both = (np.concatenate((getattr(self, one), getattr(other, one))) for one in _ARRAYS)
        return Stack(self.bodies, *both)

    def at_angle(self, alpha: Array) -> Stack:
        """The same layers at other angles: the change of undisturbed speed is added to the edge speed."""
        base = self.bodies.undisturbed(self.body, alpha)
        speed = self.speed + self.sign * (base - self.base)
        return turned(dataclasses.replace(self, alpha=alpha, base=base, speed=speed))

    def at_reynolds(self, reynolds: Array) -> Stack:
        """The same layers made thinner or thicker for other Reynolds numbers."""
        factor = np.sqrt(self.reynolds / reynolds)[:, None]
        thick = self.displacement - self.bodies.dead[self.body]
        return dataclasses.replace(
            self,
            reynolds=reynolds,
            theta=self.theta * factor,
            displacement=thick * factor + self.bodies.dead[self.body],
        )

    def on_bodies(self, bodies: Bodies) -> Stack:
        """The same layers on other outlines with the same number of nodes (another flap angle)."""
        base = bodies.undisturbed(self.body, self.alpha)
        thick = self.displacement - self.bodies.dead[self.body] + bodies.dead[self.body]
        speed = self.speed + self.sign * (base - self.base)
        return turned(dataclasses.replace(self, bodies=bodies, base=base, speed=speed, displacement=thick))


_ARRAYS = tuple(field.name for field in dataclasses.fields(Stack) if field.name != "bodies")


def turned(stack: Stack, tries: int = 12) -> Stack:
    """Move first nodes whose speed has turned negative to the other side; they begin a laminar layer there."""
    nose, speed = stack.nose.copy(), stack.speed.copy()
    turbulent, s = stack.turbulent.copy(), stack.s.copy()
    row = np.arange(stack.count)
    for _ in range(tries):
        over = speed[row, nose] < 0
        under = ~over & (speed[row, nose + 1] < 0)
        over &= nose > 4
        under &= nose < stack.bodies.surface - 6
        if not (over | under).any():
            break
        at = np.where(over, nose, nose + 1)
        move = over | under
        p, q = row[move], at[move]
        speed[p, q] = -speed[p, q]
        turbulent[p, q], s[p, q] = False, 0.0
        nose = nose - over + under
    return dataclasses.replace(
        stack, nose=nose, speed=np.maximum(speed, LEAST_SPEED), turbulent=turbulent, s=s
    )


def _laminar_march(speed: Array, way: Array, reynolds: float) -> tuple[Array, Array, int]:
    """Thwaites theta and a shape from its parameter along one side, and the node of laminar separation."""
    middle = ((speed[1:] + speed[:-1]) / 2) ** 5 * np.diff(way)
    start = speed[0] ** 5 * way[0] / 6
    sum5 = np.append(start, start + np.cumsum(middle))
    theta = np.sqrt(0.45 / reynolds * sum5 / np.maximum(speed, 1e-3) ** 6)
    theta = np.minimum(theta, 0.02 * np.sqrt(1e5 / reynolds) * 2)
    slope = np.gradient(speed, way)
    parameter = theta**2 * slope * reynolds
    shape = np.clip(2.61 - 4.1 * parameter + 14 * parameter**3, 2.2, 3.6)
    past = np.flatnonzero(parameter < -0.09)
    return theta, shape, int(past[0]) if past.size else len(speed)


def crude(
    bodies: Bodies, body: Index, alpha: Array, reynolds: Array, trip: Array, constants: Constants
) -> Stack:
    """A first guess from the undisturbed flow alone: Thwaites up to separation, a plain turbulent layer after it, a
    wake of constant momentum whose shape falls towards 1."""
    base = bodies.undisturbed(body, alpha)
    size, whole = bodies.surface, bodies.whole
    shape = (len(body), whole)
    theta, thick, s = np.empty(shape), np.empty(shape), np.zeros(shape)
    speed, turbulent = np.abs(base), np.ones(shape, dtype=bool)
    nose = np.empty(len(body), dtype=np.intp)
    for p, k in enumerate(body):
        one = bodies.each[k]
        change = np.flatnonzero((base[p, : size - 1] > 0) & (base[p, 1:size] <= 0))
        middle = int(np.argmin(one.nodes.points[:, 0]))
        nose[p] = change[np.argmin(np.abs(change - middle))] if change.size else middle
        for order in (np.arange(nose[p], -1, -1), np.arange(nose[p] + 1, size)):
            u = np.maximum(speed[p, order], 1e-3)
            steps = one.length[np.minimum(order[1:], order[:-1])]
            first = one.length[nose[p]] * u[0] / (speed[p, nose[p]] + speed[p, nose[p] + 1] + 1e-9)
            way = np.append(max(first, 1e-6), steps).cumsum()
            t, h, last = _laminar_march(u, way, reynolds[p])
            last = min(last + 3, len(order))
            last = min(last, _first_past(one.nodes.points[order, 0], trip[p, int(order[-1] != 0)]))
            late = np.arange(len(order)) >= last
            h = np.where(late, 1.8, h)
            theta[p, order], thick[p, order] = t, t * h
            turbulent[p, order] = late
            s[p, order] = np.where(late, 0.05, 0.0)
        _crude_wake(p, one, theta, thick, s, speed)
    return Stack(
        bodies,
        body,
        alpha,
        reynolds,
        trip,
        nose,
        theta,
        thick,
        s,
        np.maximum(speed, LEAST_SPEED),
        turbulent,
        base,
    )


def _first_past(along: Array, trip: float) -> int:
    past = np.flatnonzero(along > trip)
    past = past[past > 2]
    return int(past[0]) if past.size else len(along)


def _crude_wake(p: int, one: Potential, theta: Array, thick: Array, s: Array, speed: Array) -> None:
    size = len(one.nodes.points)
    behind = np.append(0.0, np.cumsum(one.wake_length))
    total = theta[p, 0] + theta[p, size - 1]
    start = max((thick[p, 0] + thick[p, size - 1]) / total, 1.2)
    shape = 1 + (start - 1) / (1 + behind / 0.15)
    u = np.maximum(speed[p, size:], 0.1)
    log = np.append(0.0, np.cumsum(-(2 + (shape[1:] + shape[:-1]) / 2) * np.diff(np.log(u))))
    theta[p, size:] = total * np.exp(np.clip(log, -2.0, 2.0))
    thick[p, size:] = theta[p, size:] * shape + one.dead
    s[p, size:] = 0.05


def edge_join(
    stack: Stack, values: Array, wall_turbulent: Flags, reynolds: Array, gap: Array, constants: Constants
) -> Array:
    """First wake values (theta, delta*, s) from both edge nodes: ``values`` (8, ...) -> (3, ...)."""
    t = values[[0, 4]]
    s = []
    for k in (0, 4):
        begun = start_shear(values[k], values[k + 1], values[k + 3], reynolds, constants)
        s.append(np.where(wall_turbulent[k // 4], values[k + 2], begun))
    both = t[0] + t[1]
    return np.stack((both, values[1] + values[5] + gap, (t[0] * s[0] + t[1] * s[1]) / both))
