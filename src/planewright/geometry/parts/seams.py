"""Seams: which edges of which parts meet, their letters, and the witness ticks on both sides.

Two edges meet when they run through the same points in space. Ticks sit at the same point in space on both parts, never
at equal distances along the cut: a letter for the seam and a number along it, at every 100 mm of station, at both ends,
each fifth one longer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import count as counting

import numpy as np
from shapely import LinearRing, LineString, Point, Polygon

from planewright.geometry.parts.model import (
    Array,
    Edge,
    Part,
    Point3,
    Seam,
    SeamSide,
    Tick,
    flat_points,
    solid_points,
)

NEAR = 1e-3
"""Edges whose points agree within this meet, mm."""
STEP = 100.0
LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
REACH = 12.0


@dataclass(frozen=True)
class _Side:
    part: int
    edge: int


def letters() -> Iterator[str]:
    """A, B, C and on without I, O and Q, then AA, AB and on."""
    for k in counting():
        name, n = "", k + 1
        while n:
            n, rest = divmod(n - 1, len(LETTERS))
            name = LETTERS[rest] + name
        yield name


def with_seams(parts: Iterable[Part]) -> tuple[tuple[Part, ...], tuple[Seam, ...]]:
    """The parts with their ticks, and the seams between them.

    A seam and its mirror image on the other side of the aeroplane share a letter.
    """
    parts = tuple(parts)
    found = sorted(_pairs(parts), key=lambda pair: (pair[0].part, pair[0].edge))
    names, given = letters(), dict[frozenset[tuple[str, str, int]], str]()
    seams, ticks = [], {k: list[Tick]() for k in range(len(parts))}
    for one, two in found:
        ids = frozenset(
            (_whole(parts[side.part]), parts[side.part].edges[side.edge].seam, side.edge)
            for side in (one, two)
        )
        letter = given.get(ids) or given.setdefault(ids, next(names))
        seam, marks = _seam(parts, (one, two), letter)
        seams.append(seam)
        for side, found_ticks in zip((one, two), marks, strict=True):
            ticks[side.part] += found_ticks
    made = tuple(replace(part, ticks=_once(ticks[k])) for k, part in enumerate(parts))
    return made, tuple(seams)


def _whole(part: Part) -> str:
    """What a part was before it fell into pieces: its key without the number of the piece."""
    return re.split(r"[|#]", part.key)[0]


def _once(ticks: list[Tick]) -> tuple[Tick, ...]:
    """Ticks without those that stand twice, where an edge meets a part that is in two pieces."""
    found = dict[tuple[object, ...], Tick]()
    for one in ticks:
        found.setdefault((one.label, round(one.at[0], 2), round(one.at[1], 2)), one)
    return tuple(found.values())


def _pairs(parts: tuple[Part, ...]) -> list[tuple[_Side, _Side]]:
    families = dict[tuple[str, int], list[tuple[_Side, Array]]]()
    for p, part in enumerate(parts):
        for e, edge in enumerate(part.edges):
            family = (edge.seam.split("/")[0], len(edge.row))
            families.setdefault(family, []).append((_Side(p, e), np.array(edge.row)))
    found, used = [], dict[tuple[str, str, int], tuple[str, str, int]]()

    def name(side: _Side) -> tuple[str, str, int]:
        part = parts[side.part]
        return _whole(part), part.hand, side.edge

    for sides in families.values():
        for i, (one, row) in enumerate(sides):
            for two, other in sides[i + 1 :]:
                a, b = name(one), name(two)
                own = a[:2] == b[:2] and one.part != two.part
                if own or used.get(a, b) != b or used.get(b, a) != a or np.abs(row - other).max() >= NEAR:
                    continue
                found.append((one, two))
                used[a], used[b] = b, a
    return found


def _seam(
    parts: tuple[Part, ...], pair: tuple[_Side, _Side], letter: str
) -> tuple[Seam, tuple[list[Tick], list[Tick]]]:
    edges = [parts[side.part].edges[side.edge] for side in pair]
    lengths = [_along(np.array(edge.points)) for edge in edges]
    stations = tick_stations(np.array(edges[0].stations))
    places = _at(edges[0], np.array(edges[0].row), stations)
    labels = [f"{letter}{k}" for k in range(len(stations))]
    marks = tuple(
        _ticks(parts[side.part], edge, stations, labels) for side, edge in zip(pair, edges, strict=True)
    )
    seam = Seam(
        letter=letter,
        name=edges[0].seam,
        row=edges[0].row,
        sides=(
            SeamSide(parts[pair[0].part].title, edges[0].points),
            SeamSide(parts[pair[1].part].title, edges[1].points),
        ),
        misfit=float(np.abs(lengths[0] - lengths[1]).max()),
        ticks=tuple(zip(labels, solid_points(places), strict=True)),
    )
    return seam, (marks[0], marks[1])


def _along(points: Array) -> Array:
    return np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))))


def tick_stations(stations: Array) -> Array:
    """Where ticks stand: both ends and every whole hundred between that keeps 15 mm from them."""
    low, high = float(stations.min()), float(stations.max())
    inner = np.arange(np.ceil(low / STEP) * STEP, high, STEP)
    inner = inner[(inner > low + 15.0) & (inner < high - 15.0)]
    return np.concatenate(([low], inner, [high]))


def _at(edge: Edge, values: Array, stations: Array) -> Array:
    known = np.array(edge.stations)
    return np.column_stack([np.interp(stations, known, values[:, k]) for k in range(values.shape[1])])


def _ticks(part: Part, edge: Edge, stations: Array, labels: list[str]) -> list[Tick]:
    points = _at(edge, np.array(edge.points), stations)
    places = solid_points(_at(edge, np.array(edge.row), stations))
    into = _at(edge, np.array(edge.into), stations)
    ring = LinearRing(part.rings[0])
    found = []
    for k, (point, away, place, label) in enumerate(zip(points, into, places, labels, strict=True)):
        at = _on_outline(ring, point, away)
        if at is None:
            continue
        ends = k in (0, len(labels) - 1)
        toward = -away / max(float(np.hypot(*away)), 1e-9)
        found.append(
            Tick(label, flat_points(at[None])[0], flat_points(toward[None])[0], ends or k % 5 == 0, place)
        )
    return found


def _on_outline(ring: LinearRing, point: Array, into: Array) -> Array | None:
    """The point moved along ``into`` onto the cut edge; as it stands where it lies there, or inside the part, already;
    None where this piece of the part has no such place."""
    if ring.distance(Point(point)) < 0.6:
        return point
    if Polygon(ring).covers(Point(point)):
        return point
    ray = LineString([point - 2.0 * into, point + REACH * into])
    hits = ray.intersection(ring)
    if hits.is_empty:
        return None
    near = min(
        (np.array(one.coords[0]) for one in getattr(hits, "geoms", [hits])),
        key=lambda q: np.hypot(*(q - point)),
    )
    return np.asarray(near)


def seam_rows(seams: Iterable[Seam]) -> dict[str, tuple[Point3, ...]]:
    """Letter to the shared row of each seam."""
    return {one.letter: one.row for one in seams}
