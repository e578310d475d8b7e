"""A body as strips along it: corner points at every station, panels and rounded corners of a box, facets of a shell.

Corners run round the body from the lower right, upward on the right, over the roof and down on the left, so that each
strip grows aft and unrolls inside face up. mm, in the body's own axes (y from its own middle plane); ``shift`` moves
points to the aeroplane's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from shapely import Polygon, union_all

from planewright.geometry.bodies import polygon
from planewright.geometry.parts import thickness
from planewright.geometry.parts.loft import Loft, _bands, largest
from planewright.geometry.parts.model import MM, Array
from planewright.geometry.strips import chain, facet_normals
from planewright.plane.model import Body

SPLIT_AT = 1.0
"""A corner strip is cut at a station where it misfits by more than this, mm; from half of it on it is a note."""


@dataclass(frozen=True)
class Panel:
    """A run of strips that is one part: rows ``start`` to ``stop`` of the hull (past the last comes row 0)."""

    name: str
    start: int
    stop: int
    handed: bool


@dataclass(frozen=True)
class Hull:
    """A body of sheet ``t`` thick. ``xs`` (n,) stations; ``rows`` (m, n, 3) corners."""

    body: Body
    xs: Array
    rows: Array
    t: float
    panels: tuple[Panel, ...]

    @property
    def round_rows(self) -> Array:
        """The rows, the first one again at the end."""
        return np.concatenate((self.rows, self.rows[:1]))

    def loft(self, panel: Panel) -> Loft:
        """The rows of one panel as a loft along the body."""
        whole = np.concatenate((self.rows, self.rows))
        return Loft(whole[panel.start : panel.stop + 1], self.xs, 0, self.t)

    def ring(self, x: float) -> Array:
        """Corners at ``x``, (m, 2): (right, up)."""
        k, part = self._bay(x)
        return np.asarray(((1 - part) * self.rows[:, k] + part * self.rows[:, k + 1])[:, 1:])

    def _bay(self, x: float) -> tuple[int, float]:
        k = min(max(int(np.searchsorted(self.xs, x, side="right")) - 1, 0), len(self.xs) - 2)
        return k, float((x - self.xs[k]) / (self.xs[k + 1] - self.xs[k]))

    @cached_property
    def normals(self) -> Array:
        """Outward unit normals, (m, n - 1, 3)."""
        return facet_normals(self.round_rows)

    def inside(self, x: float, extra: float = 0.0) -> Polygon:
        """What is left inside the skin at ``x``, (right, up) mm: the outside less t / cos(slope) of each face."""
        k, _ = self._bay(x)
        flat = self.ring(x)
        closed = np.vstack((flat, flat[:1]))[::-1]
        across = self.normals[::-1, k, 0]
        wide = (self.t + extra) / np.sqrt(np.maximum(1 - across**2, 1e-3))
        return largest(Polygon(flat).buffer(0).difference(union_all(_bands(closed, wide))))


def hull(body: Body, t: float) -> Hull:
    """The strips of a body of sheet ``t`` mm thick, as its build says."""
    xs = np.array([one.x for one in body.stations]) * MM
    corners = [_corners(body, one.width * MM, one.height * MM) for one in body.stations]
    rows = np.array(
        [
            np.column_stack((np.full(len(ring), x), ring[:, 0], ring[:, 1] + one.z * MM))
            for x, ring, one in zip(xs, corners, body.stations, strict=True)
        ]
    ).transpose(1, 0, 2)
    return Hull(body, xs, rows, t, tuple(_panels(body)))


def _corners(body: Body, width: float, height: float) -> Array:
    build = body.build
    if build.way == "shell":
        return np.asarray(_from_lower_right(polygon(max(build.sides, 3)) * np.array([width, height])))
    radius = min(build.corner_radius * MM, width / 2, height / 2)
    quarter = np.array([[1, -1], [1, 1], [-1, 1], [-1, -1]], dtype=np.float64)
    middle = quarter * np.array([width / 2 - radius, height / 2 - radius])
    if build.corner_radius <= 0:
        return np.asarray(middle)
    facets = corner_facets(body)
    turn = np.linspace(0, np.pi / 2, facets + 1)[:, None] + np.array([-np.pi / 2, 0, np.pi / 2, np.pi])
    arcs = middle[None] + radius * np.stack((np.cos(turn), np.sin(turn)), axis=-1)
    return np.asarray(arcs.transpose(1, 0, 2).reshape(-1, 2))


def _from_lower_right(ring: Array) -> Array:
    """The ring begun at the first corner right of the middle of its lowest side."""
    low = [k for k in range(len(ring)) if ring[k, 1] <= ring[:, 1].min() + 1e-9]
    start = max(low, key=lambda k: ring[k, 0])
    return np.roll(ring, -start, axis=0)


def corner_facets(body: Body) -> int:
    """Facets of each rounded corner of a box."""
    return thickness.corner_facets(body.build.corner_radius * MM, np.pi / 2)


def _panels(body: Body) -> Iterator[Panel]:
    if body.build.way == "shell":
        sides = max(body.build.sides, 3)
        for k in range((sides + 1) // 2):
            middle = (sides % 2 == 0 and k == sides // 2 - 1) or False
            yield (
                Panel(f"strip {k + 1} up from the floor", k, k + 1, True)
                if not middle
                else Panel("roof strip", k, k + 1, False)
            )
        yield Panel("floor strip", sides - 1, sides, False)
        return
    if body.build.corner_radius <= 0:
        yield Panel("side", 0, 1, True)
        yield Panel("roof", 1, 2, False)
        yield Panel("floor", 3, 4, False)
        return
    n = corner_facets(body)
    step = n + 1
    yield Panel("lower corner strip", 0, n, True)
    yield Panel("side", n, step, True)
    yield Panel("upper corner strip", step, step + n, True)
    yield Panel("roof", step + n, 2 * step, False)
    yield Panel("floor", 4 * step - 1, 4 * step, False)


def runs(loft: Loft) -> tuple[tuple[int, int], ...]:
    """Stations from which to which a strip runs in one piece: cut where its inner rows would misfit too much."""
    last = len(loft.outs) - 1
    return _runs(loft.rows, 0, last)


def _runs(rows: Array, start: int, stop: int) -> tuple[tuple[int, int], ...]:
    made = chain(rows[:, start : stop + 1])
    if stop - start < 2 or max(made.misfits, default=0.0) <= SPLIT_AT:
        return ((start, stop),)
    worst = start + 1 + int(np.argmax(np.abs(made.defects).sum(axis=0)))
    return (*_runs(rows, start, worst), *_runs(rows, worst, stop))
