"""A body cut to fit the wing or tail that goes through it or sits on it.

The skin of the wing is a net of triangles, each flat in space and on the board alike. Cut by the plane of one face of
the body it gives the saddle line: the same points in space, on the body's face and on the skin, so both lines have the
same length whatever the sweep. The wing's outline is taken out of the face; where the wing sits outside the edge of a
side, the side is raised to it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import LineString, Point, Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from planewright.geometry.parts.draft import Draft
from planewright.geometry.parts.inside import rings_of
from planewright.geometry.parts.loft import Loft, pieces
from planewright.geometry.parts.model import Array, Bevel, Edge, Facet, Mark, Ring, flat_points, solid_points
from planewright.geometry.parts.skins import exact_line

PLAY = 0.5
"""Gap left round a wing that goes through a side, mm (assumed)."""
HIGHEST = 60.0
"""A side is raised to meet a wing that sits outside it by at most this, mm."""


@dataclass(frozen=True)
class Bay:
    """One flat face of a body between two stations: corners in space (4, 3) and flat (4, 2) going round."""

    solid: Array
    flat: Array

    @property
    def normal(self) -> Array:
        """Unit normal of its plane."""
        found = np.cross(self.solid[2] - self.solid[0], self.solid[3] - self.solid[1])
        return np.asarray(found / np.linalg.norm(found))

    def laid(self, points: Array) -> Array:
        """Points of the plane (m, 3) laid flat with the face, (m, 2)."""
        e1 = self.solid[1] - self.solid[0]
        e1 /= np.linalg.norm(e1)
        e2 = np.cross(self.normal, e1)
        f1 = self.flat[1] - self.flat[0]
        f1 /= np.linalg.norm(f1)
        f2 = np.array([-f1[1], f1[0]])
        d, corner = points - self.solid[0], self.solid[2] - self.solid[0]
        same = (corner @ e2) * ((self.flat[2] - self.flat[0]) @ f2)
        return np.asarray(self.flat[0] + (d @ e1)[:, None] * f1 + np.sign(same) * (d @ e2)[:, None] * f2)


@dataclass(frozen=True)
class Line:
    """A saddle line: the same points in space (n, 3), on the skin (n, 2) and on the body's face (n, 2)."""

    solid: Array
    skin: Array
    body: Array

    def between(self, start: float, end: float) -> Line:
        """The stretch between two distances along it."""
        way = _way(self.body)
        inner = (way > start + 1e-7) & (way < end - 1e-7)
        at = np.concatenate(([start], way[inner], [end]))
        return Line(
            *(
                np.column_stack([np.interp(at, way, v[:, k]) for k in range(v.shape[1])])
                for v in (self.solid, self.skin, self.body)
            )
        )


def _way(points: Array) -> Array:
    return np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))))


def bays(facet: Facet) -> Iterator[Bay]:
    """The faces of a strip between neighbouring stations; those that come to a point are left out."""
    rows = [np.array(one) for one in (facet.first, facet.second, facet.flat_first, facet.flat_second)]
    for k in range(len(rows[0]) - 1):
        solid = np.array([rows[0][k], rows[0][k + 1], rows[1][k + 1], rows[1][k]])
        if np.linalg.norm(np.cross(solid[2] - solid[0], solid[3] - solid[1])) > 1.0:
            yield Bay(solid, np.array([rows[2][k], rows[2][k + 1], rows[3][k + 1], rows[3][k]]))


def net(facets: Sequence[Facet]) -> tuple[Array, Array]:
    """The triangles that a skin was unrolled in: corners in space (m, 3, 3) and flat (m, 3, 2), in order round it."""
    solid, flat = [], []
    for facet in facets:
        for bay in _quads(facet):
            a0, a1, b1, b0 = bay[0]
            falls = np.linalg.norm(b1 - a0) <= np.linalg.norm(a1 - b0)
            for pick in ((0, 1, 2), (0, 2, 3)) if falls else ((0, 1, 3), (1, 2, 3)):
                solid.append(bay[0][list(pick)])
                flat.append(bay[1][list(pick)])
    return np.array(solid), np.array(flat)


def _quads(facet: Facet) -> Iterator[tuple[Array, Array]]:
    rows = [np.array(one) for one in (facet.first, facet.second, facet.flat_first, facet.flat_second)]
    for k in range(len(rows[0]) - 1):
        yield (
            np.array([rows[0][k], rows[0][k + 1], rows[1][k + 1], rows[1][k]]),
            np.array([rows[2][k], rows[2][k + 1], rows[3][k + 1], rows[3][k]]),
        )


def cut_by_plane(facets: Sequence[Facet], bay: Bay) -> Line | None:
    """The line in which the plane of a face cuts a skin, from its first row to its last; None where it misses it."""
    solid, flat = net(facets)
    away = (solid - bay.solid[0]) @ bay.normal
    found: list[tuple[Array, Array]] = []
    for corners, laid, d in zip(solid, flat, away, strict=True):
        ends = []
        for i, j in ((0, 1), (1, 2), (2, 0)):
            if (d[i] > 0) != (d[j] > 0):
                part = d[i] / (d[i] - d[j])
                ends.append(
                    (corners[i] + part * (corners[j] - corners[i]), laid[i] + part * (laid[j] - laid[i]))
                )
        if len(ends) == 2:
            found.append((np.array([ends[0][0], ends[1][0]]), np.array([ends[0][1], ends[1][1]])))
    if not found:
        return None
    return _chained(found, bay)


def _chained(found: list[tuple[Array, Array]], bay: Bay) -> Line:
    """Segments put in a row, end to end, begun at an end that only one segment has."""
    ends: dict[tuple[float, ...], list[int]] = {}
    for n, (solid, _) in enumerate(found):
        for point in solid:
            ends.setdefault(_key(point), []).append(n)
    at = next((key for key, used in ends.items() if len(used) == 1), next(iter(ends)))
    points, skin, left = list[Array](), list[Array](), set(range(len(found)))
    while here := [k for k in ends.get(at, []) if k in left]:
        left.discard(here[0])
        s, f = found[here[0]]
        one, two = (0, 1) if _key(s[0]) == at else (1, 0)
        if not points:
            points.append(s[one])
            skin.append(f[one])
        if np.linalg.norm(s[two] - points[-1]) > 1e-9:
            points.append(s[two])
            skin.append(f[two])
        at = _key(s[two])
    line = np.array(points)
    return Line(line, np.array(skin), bay.laid(line))


def _key(point: Array) -> tuple[float, ...]:
    return tuple(float(v) + 0.0 for v in np.round(point, 5))


@dataclass(frozen=True)
class Fit:
    """What fitting gives: the parts of the body (some in two), and the saddle lines for each skin, by its key."""

    body: tuple[Draft, ...]
    saddles: tuple[tuple[str, Edge], ...]


def fitted(body: Draft, skins: Sequence[Draft], name: str) -> Fit:
    """A side or facet of a body with the hole or saddle of a wing in it.

    Arguments:
        body: with facets in the aeroplane's axes.
        skins: the skins of the innermost panel, bottom first, with facets in the same axes.
        name: what comes there ("wing"), for words and seams.
    Returns:
        Fit; ``body`` alone and unchanged where the wing does not meet it.
    """
    shape: BaseGeometry = Polygon(body.rings[0], body.rings[1:]).buffer(0)
    saddles: list[tuple[str, Edge]] = []
    own: list[Edge] = []
    for facet in body.facets:
        for bay in bays(facet):
            lines = _lines(skins, bay)
            if lines is None:
                continue
            shape, kept = _taken(shape, bay, lines)
            for key, line in kept:
                seam = f"saddle {name}/{body.key}"
                own.append(_edge(seam, line, line.body))
                saddles.append((key, _edge(seam, line, line.skin)))
    if not own:
        return Fit((body,), ())
    words = f"cut to fit the {name}"
    note = "; ".join(one for one in (body.note, words) if one)
    marks = (*body.marks, *(Mark("neighbour", one.points, name) for one in own))
    made = split(replace(body, edges=(*body.edges, *own), marks=marks, note=note), shape)
    return Fit(made, tuple(saddles))


def _lines(skins: Sequence[Draft], bay: Bay) -> list[tuple[str, Line]] | None:
    """The line of each skin on the plane of a face; None where the wing does not reach it."""
    found = []
    low, high = bay.solid[:, 0].min(), bay.solid[:, 0].max()
    for skin in skins:
        line = cut_by_plane(skin.facets, bay)
        if line is None or len(line.solid) < 2:
            return None
        found.append((skin.key, line))
    xs = np.concatenate([line.solid[:, 0] for _, line in found])
    return None if xs.max() < low or xs.min() > high else found


def _taken(
    shape: BaseGeometry, bay: Bay, lines: list[tuple[str, Line]]
) -> tuple[BaseGeometry, list[tuple[str, Line]]]:
    """The part less the wing, raised to it where it sits outside the edge; and the lines that the part then meets."""
    face = Polygon(bay.flat).buffer(0)
    ring = np.vstack([line.body for _, line in lines])
    hole = Polygon(ring).buffer(0)
    strip = _between_rulings(bay)
    raised = _raised(face, hole, strip)
    reach = unary_union([face, raised]).buffer(0.01)
    if hole.intersection(reach).area < 1.0 and raised.is_empty:
        return shape, []
    grown = unary_union([shape, raised]).buffer(0.005).buffer(-0.005)
    cut = grown.difference(hole.buffer(PLAY, join_style="mitre").intersection(strip))
    if raised.is_empty is False:
        cut = unary_union([cut, raised.difference(hole)]).buffer(0.005).buffer(-0.005)
    border = reach.buffer(0.02)
    kept = []
    for key, line in lines:
        on = LineString(line.body).intersection(border)
        for piece in getattr(on, "geoms", [on]):
            if isinstance(piece, LineString) and piece.length > 15.0:
                ends = sorted(LineString(line.body).project(Point(piece.coords[k])) for k in (0, -1))
                cut_line = line.between(ends[0], ends[1])
                kept.append(
                    (
                        key,
                        replace(
                            cut_line,
                            skin=exact_line(cut_line.skin, cut_line.solid),
                            body=exact_line(cut_line.body, cut_line.solid),
                        ),
                    )
                )
    return cut, kept


def _between_rulings(bay: Bay) -> Polygon:
    """The face drawn on across its long edges as far as a wing may sit outside it."""
    a0, a1, b1, b0 = bay.flat
    corners = []
    for low, high in ((a0, b0), (a1, b1)):
        unit = (high - low) / max(float(np.hypot(*(high - low))), 1e-9)
        corners.append((low - HIGHEST * unit, high + HIGHEST * unit))
    return Polygon([corners[0][0], corners[1][0], corners[1][1], corners[0][1]]).buffer(0)


def _raised(face: Polygon, hole: Polygon, strip: Polygon) -> BaseGeometry:
    """What must be added between a long edge of the face and a wing that sits outside it (but no more than HIGHEST)."""
    outside = hole.intersection(strip).difference(face)
    if outside.is_empty or hole.intersection(face).area > 0.9 * hole.area:
        return Polygon()
    found = []
    corners = np.array(face.exterior.coords[:-1])
    middle = np.array(face.centroid.coords[0])
    for edge in ((0, 1), (2, 3)):
        if len(corners) < 4:
            break
        a, b = corners[edge[0]], corners[edge[1]]
        way = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
        off = np.array([-way[1], way[0]])
        off = off if off @ (middle - a) < 0 else -off
        ring = np.array(hole.exterior.coords[:-1])
        along, out = (ring - a) @ way, (ring - a) @ off
        if out.max() <= 0.0 or float(np.hypot(*(b - a))) < float(np.ptp(along)) * 0.3:
            continue
        below = Polygon([a, b, b + HIGHEST * off, a + HIGHEST * off])
        shade = _shade(ring, along, out, a, way, off)
        found.append(shade.intersection(below).difference(hole))
    return unary_union(found) if found else Polygon()


def _shade(ring: Array, along: Array, out: Array, a: Array, way: Array, off: Array) -> Polygon:
    """What lies between the edge and the near side of the wing's outline."""
    order = np.argsort(along)
    low, high = along[order[0]] + 1e-6, along[order[-1]] - 1e-6
    places = np.linspace(low, high, 160)
    outline = Polygon(np.column_stack((along, out))).buffer(0)
    near = []
    for s in places:
        cut = outline.intersection(LineString([(s, -1e4), (s, 1e4)]))
        near.append(cut.bounds[1] if not cut.is_empty else 0.0)
    heights = np.maximum(np.array(near), -1.0)
    top = a + places[:, None] * way + heights[:, None] * off
    foot = a + places[:, None] * way - 1.0 * off
    return Polygon(np.vstack((foot, top[::-1]))).buffer(0)


def _edge(seam: str, line: Line, points: Array) -> Edge:
    d = np.gradient(points, axis=0)
    into = np.column_stack((-d[:, 1], d[:, 0])) / np.maximum(np.linalg.norm(d, axis=1, keepdims=True), 1e-9)
    way = _way(line.solid)
    return Edge(
        seam, solid_points(line.solid), flat_points(points), tuple(float(s) for s in way), flat_points(into)
    )


def with_saddles(skin: Draft, saddles: Sequence[tuple[str, Edge]]) -> Draft:
    """A skin with the lines on it where the body's sides come."""
    own = tuple(one for key, one in saddles if key == skin.key)
    marks = tuple(Mark("neighbour", one.points, "body") for one in own)
    return replace(skin, edges=(*skin.edges, *own), marks=(*skin.marks, *marks))


def split(draft: Draft, shape: BaseGeometry) -> tuple[Draft, ...]:
    """The draft with a new shape; where that falls into pieces, one draft each, with what lies on it."""
    found = pieces(shape.simplify(0.01), 400.0)
    if not found:
        return ()
    if len(found) == 1:
        return (clipped(replace(draft, rings=rings_of(found[0])), found[0]),)
    made = []
    for n, one in enumerate(found):
        places = ("front", "middle", "rear") if len(found) == 3 else ("front", "rear")
        name = f"{draft.name}, {places[min(n, len(places) - 1)]} part"
        part = replace(draft, name=name, key=f"{draft.key}|{n + 1}", rings=rings_of(one))
        made.append(clipped(part, one))
    return tuple(made)


def clipped(draft: Draft, shape: Polygon) -> Draft:
    """The draft with marks, folds, glue and edges cut off at its outline."""
    room, near = shape.buffer(1.0), shape.buffer(12.0)

    def inside(ring: Ring) -> bool:
        return bool(room.intersects(LineString(ring)) and room.intersection(LineString(ring)).length > 5.0)

    def cut(ring: Ring) -> Ring:
        line = LineString(ring).intersection(shape.buffer(PLAY + 0.05))
        parts = [one for one in getattr(line, "geoms", [line]) if isinstance(one, LineString)]
        best = max(parts, key=lambda one: one.length, default=None)
        return ring if best is None or best.is_empty else tuple((float(x), float(y)) for x, y in best.coords)

    return replace(
        draft,
        marks=tuple(replace(one, points=cut(one.points)) for one in draft.marks if inside(one.points)),
        stations=tuple(replace(one, points=cut(one.points)) for one in draft.stations if inside(one.points)),
        folds=tuple(replace(one, points=cut(one.points)) for one in draft.folds if inside(one.points)),
        bevels=tuple(piece for one in draft.bevels for piece in _short(one, shape)),
        glue=tuple(one for one in draft.glue if room.intersects(Polygon(one.ring).buffer(0))),
        edges=tuple(one for one in draft.edges if near.intersects(LineString(one.points))),
        words=tuple(one for one in draft.words if shape.covers(Point(one.at))),
    )


def _short(bevel: Bevel, shape: Polygon) -> Iterator[Bevel]:
    """The stretches of a slope that run along the part."""
    edge, inner = np.array(bevel.edge), np.array(bevel.inner)
    line = LineString(edge)
    on = line.intersection(shape.buffer(0.5))
    runs = [one for one in getattr(on, "geoms", [on]) if isinstance(one, LineString) and one.length > 5.0]
    if len(edge) != len(inner) or (runs and max(one.length for one in runs) > 0.999 * line.length):
        yield bevel
        return
    way = _way(edge)
    for run in runs:
        ends = sorted(line.project(Point(run.coords[k])) for k in (0, -1))
        at = np.concatenate(([ends[0]], way[(way > ends[0]) & (way < ends[1])], [ends[1]]))
        rows = [np.column_stack([np.interp(at, way, row[:, k]) for k in range(2)]) for row in (edge, inner)]
        yield replace(bevel, edge=flat_points(rows[0]), inner=flat_points(rows[1]))


def deck(draft: Draft, wing: Loft, play: float = PLAY) -> tuple[Draft, ...]:
    """A floor, roof or strip in the middle of a body less what a wing takes out of it.

    The wing is read at places across; where its faces lie below and above the deck, the deck is open.
    """
    shape: BaseGeometry = Polygon(draft.rings[0], draft.rings[1:]).buffer(0)
    whole = shape.area
    for facet in draft.facets:
        for bay in bays(facet):
            ring = _open(bay, wing)
            if ring is not None:
                shape = shape.difference(Polygon(ring).buffer(play, join_style="mitre"))
    if shape.area > whole - 1.0:
        return (draft,)
    note = "; ".join(one for one in (draft.note, "open where the wing comes") if one)
    return split(replace(draft, note=note), shape)


def _open(bay: Bay, wing: Loft) -> Array | None:
    """Ring on the board where the wing passes through one face that lies across the body, or None."""
    low, high = bay.solid[:, 0].min(), bay.solid[:, 0].max()
    reach = float(np.abs(bay.solid[:, 1]).max())
    fore, aft = [], []
    for y in np.linspace(-reach, reach, 5):
        out = min(max(abs(float(y)), float(wing.outs[0])), float(wing.outs[-1]))
        nose, back = wing.edges(out)
        xs = (
            np.linspace(max(low, nose), min(high, back), 60)
            if min(high, back) > max(low, nose)
            else np.zeros(0)
        )
        inside = [x for x in xs if _through(bay, wing, float(x), float(y), out)]
        if inside:
            fore.append((inside[0], y))
            aft.append((inside[-1], y))
    if len(fore) < 3:
        return None
    plan = np.array([*fore, *aft[::-1]])
    heights = [_height(bay, float(x), float(y)) for x, y in plan]
    return bay.laid(np.column_stack((plan, heights)))


def _height(bay: Bay, x: float, y: float) -> float:
    n = bay.normal
    return float(bay.solid[0, 2] - (n[0] * (x - bay.solid[0, 0]) + n[1] * (y - bay.solid[0, 1])) / n[2])


def _through(bay: Bay, wing: Loft, x: float, y: float, out: float) -> bool:
    below, above = wing.outer(x, out)
    return below < _height(bay, x, y) < above


def former(draft: Draft, x: float, wing: Loft) -> tuple[Draft, ...]:
    """A former ``x`` mm behind the nose less what the wing takes out of it, in one piece or two.

    The draft's points are (right, up) in the body's own axes.
    """
    shape = Polygon(draft.rings[0], draft.rings[1:]).buffer(0)
    reach = max(abs(shape.bounds[0]), abs(shape.bounds[2])) + 5.0
    rows = []
    for y in np.linspace(0.0, reach, 7):
        out = min(max(float(y), float(wing.outs[0])), float(wing.outs[-1]))
        nose, back = wing.edges(out)
        if nose < x < back:
            rows.append((float(y), *wing.outer(x, out)))
    if len(rows) < 2:
        return (draft,)
    right = [(y, low) for y, low, _ in rows] + [(y, high) for y, _, high in rows[::-1]]
    hole = unary_union([Polygon(right).buffer(0), Polygon([(-y, z) for y, z in right]).buffer(0)]).buffer(
        PLAY
    )
    cut = shape.difference(hole)
    if cut.area > shape.area - 1.0:
        return (draft,)
    found = sorted(pieces(cut, 400.0), key=lambda one: one.bounds[1])
    names = ("",) if len(found) == 1 else (", below the wing", *(", above the wing" for _ in found[1:]))
    made = []
    for n, (one, name) in enumerate(zip(found, names, strict=True)):
        key = draft.key if len(found) == 1 else f"{draft.key}|{n + 1}"
        kept = replace(
            draft,
            name=f"{draft.name}{name}",
            key=key,
            rings=rings_of(one),
            note=draft.note or "cut to fit the wing",
        )
        made.append(clipped(kept, one))
    return tuple(made)
