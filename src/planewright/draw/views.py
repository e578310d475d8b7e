"""The aeroplane from above, from its left side and from the front, to one scale, with its main dimensions.

From above the nose points up, from the side it points left. Each part is the silhouette of its loft between stations;
nearer parts are laid over farther ones, so lines behind a part do not show. What joins parts (fillets, fairings) is
not in the description and is not drawn. Line widths after ISO 128-2, dimensions after ISO 129-1.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
from shapely import MultiPoint, Polygon, union_all

from planewright.draw import paper as sheets
from planewright.draw.dimension import across, upward
from planewright.draw.paper import LETTERING, Paper, Title
from planewright.draw.scene import (
    PAPER,
    Circle,
    Path,
    Point,
    Scene,
    Shape,
    Text,
    bounds,
    flat,
    line,
    moved,
    polygon,
)
from planewright.geometry.bodies import cross_section
from planewright.geometry.model import BodyShape, Geometry, SurfaceShape
from planewright.geometry.rings import section_rings
from planewright.plane.model import Engine, Plane, Wheel

Array = npt.NDArray[np.float64]
View = Literal["above", "side", "front"]
TYRE = 0.28
"""Width of a tyre over its diameter, for the picture only (the description has no such number)."""

_TO_PAGE: dict[View, Array] = {
    "above": np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]]),
    "side": np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]),
    "front": np.array([[0.0, -1.0, 0.0], [0.0, 0.0, 1.0]]),
}
_TOWARD: dict[View, Array] = {
    "above": np.array([0.0, 0.0, 1.0]),
    "side": np.array([0.0, -1.0, 0.0]),
    "front": np.array([-1.0, 0.0, 0.0]),
}


@dataclass(frozen=True)
class Thing:
    """One part as seen: ``rings`` at its stations, each (m, 3) m; ``depth`` point decides what lies over what."""

    rings: tuple[Array, ...]
    depth: Array


def three_view(
    geometry: Geometry,
    paper: Paper,
    title: Title,
    sheet: tuple[int, int] = (1, 1),
    balance: tuple[float, float, float] | None = None,
) -> Scene:
    """The three-view drawing on one sheet, at the largest standard scale that fits.

    Arguments:
        geometry: any number of surfaces and bodies.
        paper: A4, A3, Letter or Tabloid; portrait or landscape is chosen.
        title: fields of the title strip.
        balance: centre of gravity (x, y, z) in m, drawn as a quartered circle; None leaves it out.
    Raises ``ValueError`` when there is nothing to draw.
    """
    choices = []
    for landscape in (False, True):
        for scale in (one for one in sheets.SCALES if not hopeless(geometry, one, paper)):
            views = [view(geometry, one, scale, balance) for one in ("above", "side", "front")]
            placed = _placed(views, _space(geometry, paper, landscape), landscape)
            if placed is not None:
                choices.append((scale, landscape, placed))
                break
    if not choices:
        raise ValueError("the aeroplane is too large for this paper at any standard scale")
    scale, landscape, placed = min(choices, key=lambda one: (one[0], one[1]))
    base = sheets.framed(paper, title, sheet, f"1:{scale}", landscape)
    return base.plus(placed, _foot(geometry, paper, landscape, scale, balance))


def hopeless(geometry: Geometry, scale: int, paper: Paper) -> bool:
    """True when the aeroplane alone is longer than the longer side of the paper: no view need be tried."""
    points = _extreme(geometry)
    return float(np.ptp(points[:, :2], axis=0).max()) * 1000.0 / scale > max(sheets.size(paper))


ROW = 4.8


def _space(geometry: Geometry, paper: Paper, landscape: bool) -> tuple[float, float, float, float]:
    left, low, right, high = sheets.room(paper, landscape)
    return left, low + max(18.0, ROW * (len(_table(geometry)) + 1.2)), right, high


def _foot(
    geometry: Geometry, paper: Paper, landscape: bool, scale: int, balance: tuple[float, float, float] | None
) -> tuple[Shape, ...]:
    """Scale bar, remarks and the table of stations above the title strip."""
    left, low, right, _ = sheets.room(paper, landscape)
    bar = sheets.scale_bar((left + 6, low + 6), scale, _bar_length(scale), "mm")
    remarks = ["All sizes in mm."]
    if balance is not None:
        remarks.append(f"Balance point {balance[0] * 1000:.0f} behind the nose tip.")
    words = [Text((left + 4, low + 12 + ROW * k), one, LETTERING) for k, one in enumerate(reversed(remarks))]
    return flat(bar, words, _drawn_table(_table(geometry), right - 4, low + 3))


def _bar_length(scale: float) -> float:
    """A round length that is 20 to 50 mm long on paper."""
    return next(
        length for length in (50.0, 100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 1e4, 1e5) if length >= 18.0 * scale
    )


def _table(geometry: Geometry) -> list[tuple[str, ...]]:
    """Stations of the wing as rows of text: out, chord, back, up, twist."""
    wing = geometry.wing
    if wing is None:
        return []
    rows = [
        (
            _mm(one.out),
            _mm(one.chord),
            _mm(one.back),
            _mm(one.up),
            f"{np.degrees(one.twist):.1f}".replace("-", "−"),
        )
        for one in wing.surface.stations
    ]
    return [("out", "chord", "back", "up", "twist, deg"), *rows]


def _drawn_table(rows: Sequence[Sequence[str]], right: float, low: float) -> tuple[Shape, ...]:
    if not rows:
        return ()
    ends = [right - 62, right - 47, right - 34, right - 22, right]
    high = low + ROW * (len(rows) - 1)
    shapes: list[Shape] = [Text((ends[0] - 10, high), "wing", LETTERING, "end", face="head", bold=True)]
    for k, row in enumerate(rows):
        y = high - ROW * k
        shapes += [Text((x, y), cell, LETTERING, "end") for x, cell in zip(ends, row, strict=True)]
    shapes.append(line((ends[0] - 9, high - 1.3), (right, high - 1.3), "thin"))
    return tuple(shapes)


def _placed(
    views: Sequence[tuple[Shape, ...]], space: tuple[float, float, float, float], landscape: bool
) -> tuple[Shape, ...] | None:
    """The views set on the sheet: one under another, or (landscape) side view to the right; None if they do not fit."""
    left, low, right, high = space
    pad = 6.0
    boxes = [bounds(one) for one in views]
    wide, tall = [b[2] - b[0] for b in boxes], [b[3] - b[1] for b in boxes]
    if landscape:
        spare = (right - left - max(wide[0], wide[2]) - wide[1]) / 3
        rest = (high - low - tall[0] - tall[2]) / 3
        if min(spare, rest) < pad or tall[1] > high - low:
            return None
        x = left + spare + max(wide[0], wide[2]) / 2
        y_front = low + rest
        aim = [
            (x, y_front + tall[2] + rest + tall[0] / 2),
            (right - spare - wide[1] / 2, y_front + tall[2] + rest + tall[0] / 2),
            (x, y_front + tall[2] / 2),
        ]
    else:
        rest = (high - low - sum(tall)) / 4
        if rest < pad or max(wide) > right - left - 2 * pad:
            return None
        x, y = (left + right) / 2, high - rest
        aim = []
        for height in (tall[0], tall[1], tall[2]):
            aim.append((x, y - height / 2))
            y -= height + rest
    shifts = [(x - (b[0] + b[2]) / 2, y - (b[1] + b[3]) / 2) for (x, y), b in zip(aim, boxes, strict=True)]
    return flat(*(moved(one, dx, dy) for one, (dx, dy) in zip(views, shifts, strict=True)))


def view(
    geometry: Geometry,
    which: View,
    scale: float,
    balance: tuple[float, float, float] | None = None,
    dimensions: bool = True,
) -> tuple[Shape, ...]:
    """One view as shapes in mm on paper at 1:``scale``, about the drawing's own origin (nose tip, body line)."""
    if not geometry.surfaces and not geometry.bodies:
        raise ValueError("nothing to draw: the file holds no surface and no body")
    to_page = _TO_PAGE[which] * 1000.0 / scale
    picture = flat(
        (_drawn(one, to_page) for one in _in_order(geometry, which)),
        _lines_on(geometry, which, to_page),
        _running_gear(geometry, which, to_page),
        _centre_line(geometry, which, to_page),
    )
    marks = _balance(balance, to_page, which) if balance is not None else ()
    sizes = _dimensions(geometry, which, to_page, bounds(picture)) if dimensions else ()
    return flat(picture, marks, sizes, _caption(which, flat(picture, sizes)) if dimensions else ())


def _caption(which: View, shapes: Sequence[Shape]) -> tuple[Shape, ...]:
    words = {"above": "from above", "side": "from the left", "front": "from the front"}[which]
    left, low, _, _ = bounds(shapes)
    return (Text((left, low - 5.5), words, 4.6, face="head", bold=True),)


def _in_order(geometry: Geometry, which: View) -> list[Thing]:
    things = [thing for one in geometry.surfaces.values() for thing in _surface_things(one)]
    things += [thing for one in geometry.bodies for thing in _body_things(one)]
    return sorted(things, key=lambda one: float(one.depth @ _TOWARD[which]))


def _surface_things(shape: SurfaceShape) -> list[Thing]:
    rings = tuple(ring for ring in section_rings(shape))
    return _pair(rings, shape.surface.paired)


def _body_things(shape: BodyShape) -> list[Thing]:
    rings = []
    for x, width, height, z in shape.stations:
        flat_ring = cross_section(shape.body.build, width, height)
        rings.append(
            np.column_stack((np.full(len(flat_ring), x), flat_ring[:, 0] + shape.body.y, flat_ring[:, 1] + z))
        )
    return _pair(tuple(rings), shape.body.paired)


def _pair(rings: tuple[Array, ...], paired: bool) -> list[Thing]:
    middle = np.vstack(rings).mean(axis=0)
    if not paired:
        return [Thing(rings, middle)]
    other = np.array([1.0, -1.0, 1.0])
    return [Thing(rings, middle), Thing(tuple(ring * other for ring in rings), middle * other)]


def silhouette(rings: Sequence[Array], to_page: Array) -> Polygon:
    """Outline of a loft of straight bays seen along one direction: hulls of neighbouring stations, joined."""
    flat_rings = [ring @ to_page.T for ring in rings]
    bays = [MultiPoint(np.vstack(pair)).convex_hull.buffer(1e-6) for pair in itertools.pairwise(flat_rings)]
    joined = union_all(bays)
    if isinstance(joined, Polygon):
        return joined
    return Polygon(np.asarray(joined.convex_hull.exterior.coords))  # type: ignore[attr-defined]


def _drawn(thing: Thing, to_page: Array) -> Shape:
    outline = silhouette(thing.rings, to_page)
    points = [(float(x), float(y)) for x, y in outline.exterior.simplify(0.01).coords[:-1]]
    return polygon(points, "wide", fill=PAPER)


def _at(shape: SurfaceShape, out: float, part: float) -> Array:
    """Point (3,) at ``part`` of the chord, ``out`` along the surface."""
    outs = np.array([one.out for one in shape.surface.stations])
    edges = [
        np.array([np.interp(out, outs, edge[:, k]) for k in range(3)])
        for edge in (shape.leading, shape.trailing)
    ]
    return np.asarray(edges[0] + part * (edges[1] - edges[0]))


def _hands(shape: SurfaceShape) -> tuple[Array, ...]:
    right = np.ones(3)
    return (right, np.array([1.0, -1.0, 1.0])) if shape.surface.paired else (right,)


def _lines_on(geometry: Geometry, which: View, to_page: Array) -> tuple[Shape, ...]:
    """Hinge lines, joints and spars on what faces the reader: lying surfaces from above, fins from the side."""
    shapes: list[Shape] = []
    for shape in geometry.surfaces.values():
        faces = (shape.surface.kind == "fin") == (which == "side")
        if which == "front" or not faces:
            continue
        for hand in _hands(shape):
            shapes.extend(_surface_lines(geometry.plane, shape, hand, to_page))
    return tuple(shapes)


def _surface_lines(plane: Plane, shape: SurfaceShape, hand: Array, to_page: Array) -> list[Shape]:
    def put(out: float, part: float) -> Point:
        x, y = to_page @ (_at(shape, out, part) * hand)
        return float(x), float(y)

    surface, found = shape.surface, []
    first, last = surface.stations[0].out, surface.stations[-1].out
    for one in plane.controls:
        if one.on == surface.name:
            cuts = (
                put(one.start, 1.0),
                put(one.start, 1 - one.chord),
                put(one.end, 1 - one.chord),
                put(one.end, 1.0),
            )
            found += [
                line(cuts[0], cuts[1], "thin"),
                line(cuts[1], cuts[2], "centre"),
                line(cuts[2], cuts[3], "thin"),
            ]
    found += [line(put(joint.out, 0.0), put(joint.out, 1.0), "thin", width=0.35) for joint in surface.joints]
    for spar in surface.spars:
        outs = [
            first,
            *(one.out for one in surface.stations if first < one.out < min(spar.to, last)),
            min(spar.to, last),
        ]
        found.append(Path((tuple(put(out, spar.at) for out in outs),), "hidden"))
    return list(found)


def _running_gear(geometry: Geometry, which: View, to_page: Array) -> tuple[Shape, ...]:
    plane = geometry.plane
    legs = [leg for one in plane.wheels for leg in _legs(geometry, one, which, to_page)]
    wheels = [w for one in plane.wheels for w in _wheels(one, which, to_page)]
    return flat(legs, wheels, *(_engine(one, which, to_page) for one in plane.engines))


def _legs(geometry: Geometry, wheel: Wheel, which: View, to_page: Array) -> list[Shape]:
    """A line from each axle to what carries it: straight up to the wing above, else to the body's lower edge."""
    if which == "above":
        return []
    axle, found = np.array([wheel.x, wheel.y, wheel.z + wheel.diameter / 2]), list[Shape]()
    root = _leg_root(geometry, wheel)
    if root is None or root[2] <= axle[2]:
        return []
    for side in (1.0, -1.0) if wheel.y else (1.0,):
        if which == "side" and side > 0 and wheel.y:
            continue
        ends = np.array([axle, root]) * np.array([1.0, side, 1.0]) @ to_page.T
        found.append(
            line((float(ends[0, 0]), float(ends[0, 1])), (float(ends[1, 0]), float(ends[1, 1])), "wide")
        )
    return found


def _leg_root(geometry: Geometry, wheel: Wheel) -> Array | None:
    wing, body = geometry.wing, next((one for one in geometry.bodies if not one.body.y), None)
    half, low = 0.0, None
    if body is not None:
        x, width, height, z = (body.stations[:, k] for k in range(4))
        half = float(np.interp(wheel.x, x, width)) / 2
        low = float(np.interp(wheel.x, x, z - height / 2))
    if wing is not None and half < wheel.y < wing.leading[-1, 1]:
        outs = wing.leading[:, 1]
        front, back = (float(np.interp(wheel.y, outs, edge[:, 0])) for edge in (wing.leading, wing.trailing))
        if front < wheel.x < back and (low is None or wheel.y > 1.5 * half):
            return np.array([wheel.x, wheel.y, float(np.interp(wheel.y, outs, wing.leading[:, 2]))])
    return None if low is None else np.array([wheel.x, min(wheel.y, half), low])


def _wheels(wheel: Wheel, which: View, to_page: Array) -> list[Shape]:
    sides = (wheel.y, -wheel.y) if wheel.y else (0.0,)
    return [shape for y in sides for shape in _wheel(wheel, y, which, to_page)]


def _wheel(wheel: Wheel, y: float, which: View, to_page: Array) -> list[Shape]:
    radius, scale = wheel.diameter / 2, float(np.abs(to_page).max())
    middle = np.array([wheel.x, y, wheel.z + radius])
    x, h = (float(v) for v in to_page @ middle)
    if which == "side":
        return (
            [] if y > 0 else [Circle((x, h), radius * scale, "wide", fill=PAPER), Circle((x, h), 0.8, "thin")]
        )
    half = wheel.diameter * TYRE / 2 * scale
    tall = radius * scale
    corners = ((x - half, h - tall), (x + half, h - tall), (x + half, h + tall), (x - half, h + tall))
    if which == "front":
        return [polygon(corners, "wide", fill=PAPER)]
    return [polygon(corners, "hidden", dash=(1.5, 0.6))]


def _engine(engine: Engine, which: View, to_page: Array) -> list[Shape]:
    middle = np.array([engine.x, engine.y, engine.z])
    x, y = (float(v) for v in to_page @ middle)
    scale = float(np.abs(to_page).max())
    disc = engine.propeller.diameter if engine.propeller else (engine.fan.mouth if engine.fan else 0.0)
    radius = disc / 2 * scale
    if not disc:
        return []
    if which == "front":
        return [Circle((x, y), radius, "centre" if engine.propeller else "thin"), Circle((x, y), 0.6, "thin")]
    if engine.fan or (which == "side" and engine.y > 0):
        return []
    way = np.array([0.0, 0.0, 1.0]) if which == "side" else np.array([0.0, 1.0, 0.0])
    dx, dy = to_page @ way * (disc / 2)
    return [line((x - dx, y - dy), (x + dx, y + dy), "wide")]


def _centre_line(geometry: Geometry, which: View, to_page: Array) -> tuple[Shape, ...]:
    points = _extreme(geometry)
    if which == "side":
        return ()
    low, high = points.min(axis=0), points.max(axis=0)
    ends = np.array([[low[0] - 0.03, 0, low[2] - 0.01], [high[0] + 0.03, 0, high[2] + 0.02]])
    (a, b), (c, d) = ends @ to_page.T
    return (line((float(a), float(b)), (float(c), float(d)), "centre"),)


def _extreme(geometry: Geometry) -> Array:
    """All ring points of the aeroplane and its tyres, (n, 3) m."""
    rings = [ring for which in _in_order(geometry, "above") for ring in which.rings]
    tyres = [
        np.array([[w.x, s * w.y, w.z], [w.x, s * w.y, w.z + w.diameter]])
        for w in geometry.plane.wheels
        for s in (1, -1)
    ]
    return np.vstack([*rings, *tyres]) if rings or tyres else np.zeros((1, 3))


def _balance(balance: tuple[float, float, float], to_page: Array, which: View) -> tuple[Shape, ...]:
    x, y = (float(v) for v in to_page @ np.array(balance))
    return balance_mark((x, y), 2.2)


def balance_mark(at: Point, radius: float) -> tuple[Shape, ...]:
    """The quartered circle of a balance point."""
    (x, y), turns = at, np.linspace(0, np.pi / 2, 9)
    quarters: list[Shape] = [Circle(at, radius, "mark", fill=PAPER)]
    for start in (0.0, np.pi):
        rim = [(x + radius * float(np.cos(start + t)), y + radius * float(np.sin(start + t))) for t in turns]
        quarters.append(polygon([at, *rim], "mark", fill="#000000"))
    return tuple(quarters)


def _mm(metres: float) -> str:
    return f"{metres * 1000:.0f}"


def _dimensions(
    geometry: Geometry, which: View, to_page: Array, box: tuple[float, float, float, float]
) -> tuple[Shape, ...]:
    make = {"above": _sizes_above, "side": _sizes_side, "front": _sizes_front}[which]
    return make(geometry, to_page, box)


def _page(to_page: Array, point: Array | tuple[float, float, float]) -> Point:
    x, y = to_page @ np.asarray(point)
    return float(x), float(y)


def _sizes_above(
    geometry: Geometry, to_page: Array, box: tuple[float, float, float, float]
) -> tuple[Shape, ...]:
    left, low, right, high = box
    shapes: list[Shape] = []
    wing = geometry.wing
    if wing is not None:
        tip = wing.leading[-1]
        a, b = _page(to_page, tip * np.array([1, -1, 1])), _page(to_page, tip)
        shapes += across(a, b, high + 8, _mm(wing.span))
        shapes += _chord_sizes(wing, to_page)
        tail = next((s for s in geometry.surfaces.values() if s.surface.kind == "tailplane"), None)
        if tail is not None:
            shapes += _tail_sizes(wing, tail, to_page, (left, low))
    points = _extreme(geometry)
    nose, end = points[:, 0].min(), points[:, 0].max()
    a, b = _page(to_page, (nose, 0.0, 0.0)), _page(to_page, (end, 0.0, 0.0))
    return (*shapes, *upward(a, b, right + 8, _mm(float(end - nose))))


def _chord_sizes(wing: SurfaceShape, to_page: Array) -> tuple[Shape, ...]:
    """Chord at the tip and, where there is room, at each break of the left half; the table has them all."""
    other = np.array([1.0, -1.0, 1.0])
    shapes: list[Shape] = []
    for k, chord in enumerate(wing.chord):
        a, b = (_page(to_page, edge[k] * other) for edge in (wing.leading, wing.trailing))
        last = k == len(wing.chord) - 1
        if last or (k and a[1] - b[1] > 20.0):
            shapes += upward(a, b, a[0] - 6 if last else a[0], _mm(float(chord)))
    return tuple(shapes)


def _tail_sizes(wing: SurfaceShape, tail: SurfaceShape, to_page: Array, corner: Point) -> tuple[Shape, ...]:
    """Tailplane span under it, and the tail arm between the quarter-chord points of both mean chords."""
    left, low = corner
    tip = tail.leading[-1]
    a, b = _page(to_page, tip * np.array([1, -1, 1])), _page(to_page, tip)
    span = across(a, b, low - 7, _mm(tail.span))
    quarter = [_page(to_page, (one.centre_x, -one.mean_chord_out, 0.0)) for one in (wing, tail)]
    place = left - 8 if tail.span > 0.5 * wing.span else _arm_place(tail, wing, to_page)
    arm = upward(quarter[0], quarter[1], place, _mm(tail.centre_x - wing.centre_x))
    return (*span, *arm)


def _arm_place(tail: SurfaceShape, wing: SurfaceShape, to_page: Array) -> float:
    """Between the tailplane's tip and the wing's tip, on the left."""
    a, b = (_page(to_page, one.leading[-1] * np.array([1, -1, 1]))[0] for one in (tail, wing))
    return a + 0.35 * (b - a)


def _sizes_side(
    geometry: Geometry, to_page: Array, box: tuple[float, float, float, float]
) -> tuple[Shape, ...]:
    _, low, right, high = box
    points = _extreme(geometry)
    bottom, top = points[points[:, 2].argmin()], points[points[:, 2].argmax()]
    shapes = list(
        upward(_page(to_page, bottom), _page(to_page, top), right + 8, _mm(float(top[2] - bottom[2])))
    )
    wheels = sorted(geometry.plane.wheels, key=lambda one: one.x)
    if len(wheels) > 1:
        a, b = wheels[0], wheels[-1]
        base = (_page(to_page, (a.x, a.y, a.z)), _page(to_page, (b.x, b.y, b.z)))
        shapes += across(base[0], base[1], low - 7, _mm(b.x - a.x))
    nose = _page(to_page, (points[:, 0].min(), 0.0, float(points[points[:, 0].argmin(), 2])))
    end = _page(to_page, (points[:, 0].max(), 0.0, float(points[points[:, 0].argmax(), 2])))
    shapes += across(nose, end, high + 8, _mm(float(np.ptp(points[:, 0]))))
    return tuple(shapes)


def _sizes_front(
    geometry: Geometry, to_page: Array, box: tuple[float, float, float, float]
) -> tuple[Shape, ...]:
    _, low, right, _ = box
    shapes: list[Shape] = []
    wide = [one for one in geometry.plane.wheels if one.y > 0]
    if wide:
        wheel = max(wide, key=lambda one: one.y)
        ends = [_page(to_page, (wheel.x, side * wheel.y, wheel.z)) for side in (1, -1)]
        shapes += across(ends[0], ends[1], low - 7, _mm(2 * wheel.y))
    wing = geometry.wing
    if wing is not None and abs(wing.leading[-1, 2] - wing.leading[0, 2]) > 5e-3:
        root, tip = _page(to_page, wing.leading[0]), _page(to_page, wing.leading[-1] * np.array([1, -1, 1]))
        rise = wing.leading[-1, 2] - wing.leading[0, 2]
        shapes += upward((tip[0], root[1]), tip, right + 8, _mm(float(rise)))
    return tuple(shapes)
