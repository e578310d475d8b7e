"""The field from above, north up: who stands where, what flies where, and the line nothing flies across.

Trees are circles with their height written; the path carries its 95-in-100 band; the line is a fence with its teeth
toward the people. Every place comes from the analysis of the field; nothing is worked out here but paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan2, cos, hypot, pi, sin

import numpy as np
import numpy.typing as npt
from shapely import Polygon, get_coordinates, get_parts, union_all

from planewright.analysis.field.plan import FieldPlan
from planewright.draw import fonts
from planewright.draw.paper import scale_bar
from planewright.draw.place import around, placed
from planewright.draw.scene import (
    Arc,
    Circle,
    Path,
    Point,
    Scene,
    Shape,
    Text,
    box,
    flat,
    line,
    moved,
    polygon,
    polyline,
    turned,
)
from planewright.draw.stick import Band, Scale, stick

Array = npt.NDArray[np.float64]
SIZE = fonts.points(9.75)
TREE, EDGE, STRIP, PATH = "#dddddd", "#555555", "#eeeeee", "#cfcfcf"
FOOT = 24.0
STEPS = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)


class Sheet:
    """From site axes (m) to the picture (mm): turned north up, scaled, moved. Plain numbers, no state that changes."""

    def __init__(self, plan: FieldPlan, width: float, height: float) -> None:
        north = plan.north if len(plan.north) else np.array([0.0, 1.0])
        self.turn = np.array([[north[1], -north[0]], [north[0], north[1]]])
        points = self._reach(plan) @ self.turn.T
        low, high = points.min(axis=0), points.max(axis=0)
        size = np.maximum(high - low, 1e-6)
        need = 1000.0 * max(size[0] / (width - 4.0), size[1] / (height - FOOT - 4.0))
        self.scale = _round_scale(need)
        """Denominator of the scale."""
        drawn = size * 1000.0 / self.scale
        self.width, self.height = width, float(FOOT + drawn[1] + 9.0)
        """Size of the picture really needed, mm."""
        self.shift = np.array([(width - drawn[0]) / 2, FOOT + 2.0]) - low * 1000.0 / self.scale

    @staticmethod
    def _reach(plan: FieldPlan) -> Array:
        lines = [plan.outline, plan.runway, *(pts for _, pts, _, _ in plan.trees), *plan.paths]
        points = np.vstack([one for one in lines if len(one)] or [np.zeros((1, 2))])
        tall = max((crown(height) for _, _, _, height in plan.trees), default=0.0)
        return np.vstack((points - tall, points + tall))

    def at(self, point: Array | Point) -> Point:
        """A point of the site on the picture, mm."""
        x, y = self.turn @ np.asarray(point, dtype=np.float64) * 1000.0 / self.scale + self.shift
        return float(x), float(y)

    def line(self, points: Array) -> tuple[Point, ...]:
        """A line of the site on the picture, mm."""
        return tuple(self.at(one) for one in points)

    def mm(self, metres: float) -> float:
        """A length on the picture."""
        return metres * 1000.0 / self.scale

    def angle(self, way: Array) -> float:
        """Direction of a vector of the site on the picture, rad."""
        x, y = self.turn @ way
        return atan2(float(y), float(x))


def _round_scale(need: float) -> float:
    power = 10.0 ** np.floor(np.log10(need))
    return float(next(power * k for k in (*STEPS, 10.0) if power * k >= need * (1 - 1e-9)))


def crown(height: float) -> float:
    """Radius with which a tree is drawn, m: a fifth of its height, 1.5 to 5 (for the picture only)."""
    return float(np.clip(0.2 * height, 1.5, 5.0))


def field_scene(
    plan: FieldPlan, width: float, height: float, run: Band | None = None, notes: Sequence[str] = ()
) -> Scene:
    """The field plan as one picture.

    Arguments:
        plan: places in the site's axes, m; of ``plan.paths`` the first is the middle, the next two the band.
        width, height: room for the picture, mm; the largest round scale that fits is taken, and the picture is only
            as high as it needs.
        run: take-off run with its nested intervals, m, laid as a stick on the runway.
        notes: short lines under the picture, at most three.
    """
    sheet = Sheet(plan, width, height)
    scene = Scene(width, sheet.height, (), "field plan")
    ground = flat(_ground(plan, sheet), _trees(plan, sheet), _band(plan, sheet))
    scene = scene.plus(ground, _path(plan, sheet), _line(plan, sheet), _cones(plan, sheet))
    scene = scene.plus(_run(plan, sheet, run), _views(plan, sheet), _people(plan, sheet))
    scene = scene.plus(_foot(sheet, notes), _compass(plan, sheet))
    return scene.plus(placed(scene, _words(plan, sheet), _obstacles(plan, sheet)))


def _ground(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    shapes: list[Shape] = []
    if len(plan.outline):
        shapes.append(polygon(sheet.line(plan.outline[:-1]), "wide"))
    shapes += [polygon(sheet.line(one[:-1]), "thin", dash=(2.0, 1.0)) for one in plan.kept]
    if len(plan.runway):
        shapes.append(polygon(sheet.line(plan.runway[:-1]), "thin", fill=STRIP))
    return tuple(shapes)


def _trees(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    return tuple(
        Circle(sheet.at(at), sheet.mm(radius), "thin", fill=TREE, ink=EDGE)
        for _, points, closed, height in plan.trees
        for at, radius in _along(np.vstack((points, points[:1])) if closed else points, crown(height))
    )


def _along(points: Array, radius: float) -> list[tuple[Array, float]]:
    """Circles along a line, a little less than touching, every third a little smaller."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    way = np.concatenate(([0.0], np.cumsum(steps)))
    count = max(2, int(way[-1] / (1.7 * radius)) + 1)
    places = np.linspace(0.0, way[-1], count)
    found = np.column_stack([np.interp(places, way, points[:, k]) for k in (0, 1)])
    return [(at, radius * (0.85 if k % 3 == 1 else 1.0)) for k, at in enumerate(found)]


def _band(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    """Where it flies, 95 in 100: everything between the least and the largest figure."""
    if len(plan.paths) < 3:
        return ()
    low, high = (np.array(sheet.line(one)) for one in plan.paths[1:3])
    quads = [Polygon((low[i], low[i + 1], high[i + 1], high[i])).buffer(0.02) for i in range(len(low) - 1)]
    whole = [one for one in get_parts(union_all(quads)) if isinstance(one, Polygon)]
    edges = [edge for one in whole for edge in (one.exterior, *one.interiors)]
    rings = tuple(tuple((float(x), float(y)) for x, y in get_coordinates(one)[:-1]) for one in edges)
    return (Path(rings, "fill", closed=True, fill=PATH),)


def _path(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    if not plan.paths:
        return ()
    points = sheet.line(plan.paths[0])
    count = len(points)
    heads = [
        _head(points[k], points[k + 1]) for k in (count // 8, 3 * count // 8, 5 * count // 8, 7 * count // 8)
    ]
    return (polyline(points, "wide", width=0.6), *heads)


def _head(a: Point, b: Point, size: float = 1.8) -> Shape:
    length = max(hypot(b[0] - a[0], b[1] - a[1]), 1e-9)
    ux, uy = (b[0] - a[0]) / length * size, (b[1] - a[1]) / length * size
    back = a[0] - ux, a[1] - uy
    wing = (back[0] - 0.6 * uy, back[1] + 0.6 * ux), (back[0] + 0.6 * uy, back[1] - 0.6 * ux)
    return polygon(((a[0] + ux, a[1] + uy), *wing), "fill", fill="#000000")


def _line(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    """The line nothing flies across, a fence with teeth toward the people."""
    if not len(plan.people_line):
        return ()
    a, b = sheet.line(plan.people_line)
    length, angle = hypot(b[0] - a[0], b[1] - a[1]), atan2(b[1] - a[1], b[0] - a[0])
    left = _left_of(a, b, _runway_middle(plan, sheet))
    way = -1.0 if left else 1.0
    count = max(2, round(length / 6.0))
    step = length / count
    teeth = [
        polygon(((x - 0.8, 0.0), (x, way * 1.5), (x + 0.8, 0.0)), "fill", fill="#000000")
        for x in (step * (k + 0.5) for k in range(count))
    ]
    return moved(turned((line((0, 0), (length, 0), "fence", halo=0.5), *teeth), angle), *a)


def _left_of(a: Point, b: Point, p: Point) -> bool:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > 0


def _runway_middle(plan: FieldPlan, sheet: Sheet) -> Point:
    return sheet.at(plan.runway[:-1].mean(axis=0)) if len(plan.runway) else sheet.at((0.0, 0.0))


def _cones(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    places = [sheet.at(at) for _, pair in plan.cones for at in pair]
    return tuple(
        polygon(((x - 1.1, y - 0.9), (x + 1.1, y - 0.9), (x, y + 1.3)), "thin", fill="#000000")
        for x, y in places
    )


def _run(plan: FieldPlan, sheet: Sheet, run: Band | None) -> tuple[Shape, ...]:
    """The take-off run as a stick on the runway, its zero where the run starts."""
    if run is None or not len(plan.run):
        return ()
    start, way = plan.run[0], plan.run[1] - plan.run[0]
    far = max(run.all[1], 1.0)
    bar = stick(run, Scale(0.0, far, 0.0, sheet.mm(far)), 0.0, 2.2)
    return moved(turned(bar, sheet.angle(way)), *sheet.at(start))


def _views(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    return flat(*(_camera(sheet.at(one.at), _looks(one.looks, one.at, plan), sheet) for one in plan.cameras))


def _looks(words: str, at: Point, plan: FieldPlan) -> Array:
    """Where a camera looks, from its words: along the runway, at the lift-off point, else at the planned figure."""
    if len(plan.run) and "lift" in words:
        target: Array = plan.run[1]
    elif len(plan.run) and "along" in words:
        target = np.asarray(at) + (plan.run[1] - plan.run[0])
    elif plan.paths:
        target = plan.paths[0].mean(axis=0)
    else:
        target = plan.runway[:-1].mean(axis=0) if len(plan.runway) else np.asarray(at) + np.array([0.0, 1.0])
    return np.asarray(target - np.asarray(at), dtype=np.float64)


def _camera(at: Point, way: Array, sheet: Sheet) -> tuple[Shape, ...]:
    angle, reach, half = sheet.angle(way), 12.0, pi / 12
    arc = Arc(at, reach, angle - half, angle + half, "thin", dash=(0.8, 0.8), ink=EDGE)
    edges = [line(at, arc.points()[k], "thin", dash=(0.8, 0.8), ink=EDGE) for k in (0, -1)]
    body = box(at[0] - 1.5, at[1] - 1.1, 3.0, 2.2, "thin", fill="#000000")
    return (arc, *edges, body, Circle(at, 0.6, "fill", fill="#ffffff"))


def _people(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    return tuple(Circle(sheet.at(one.at), 1.1, "thin", fill="#000000") for one, _ in plan.people)


def _foot(sheet: Sheet, notes: Sequence[str]) -> tuple[Shape, ...]:
    length = float(next(n for n in (200, 100, 50, 20, 10, 5, 2, 1) if sheet.mm(n) < 42.0))
    bar = scale_bar((4.0, 13.0), sheet.scale / 1000.0, length, "m")
    words = [Text((52.0, 14.0 - 4.8 * k), note, SIZE) for k, note in enumerate(notes[:3])]
    return flat(bar, words)


def _compass(plan: FieldPlan, sheet: Sheet) -> tuple[Shape, ...]:
    """North, wind and sun as arrows in a row at the right of the foot."""
    ways = [("north", plan.north), ("wind, planned", plan.wind), ("sun", plan.sun)]
    known = [(words, way) for words, way in ways if len(way)]
    x, y = sheet.width - 12.0 - 24.0 * (len(known) - 1), 12.5
    shapes: list[Shape] = []
    for words, way in known:
        shapes += _arrow((x, y), sheet.angle(way), 8.0)
        shapes.append(Text((x, y - 9.0), words, SIZE, "middle"))
        x += 24.0
    return tuple(shapes)


def _arrow(at: Point, angle: float, length: float) -> tuple[Shape, ...]:
    shaft = line((-length / 2, 0.0), (length / 2, 0.0), "wide")
    head = _head((length / 2, 0.0), (length / 2 + 1.0, 0.0), 2.0)
    return moved(turned((shaft, head), angle), *at)


def _obstacles(plan: FieldPlan, sheet: Sheet) -> list[Array]:
    """Boxes round people, cameras and cones, which words keep clear of."""
    places = [one.at for one, _ in plan.people] + [one.at for one in plan.cameras]
    points = [sheet.at(at) for at in places] + [sheet.at(at) for _, pair in plan.cones for at in pair]
    reach = np.array([[-1.6, -1.4], [1.6, -1.4], [1.6, 1.4], [-1.6, 1.4]])
    return [np.array(p) + reach for p in points]


def _words(plan: FieldPlan, sheet: Sheet) -> list[list[Text]]:
    """Names of everything with the places they may take, people first."""
    middle = sheet.at(plan.outline.mean(axis=0)) if len(plan.outline) else _runway_middle(plan, sheet)
    found = [around(sheet.at(one.at), _plain(one.name), SIZE, bold=True) for one, _ in plan.people]
    found += [around(sheet.at(one.at), _plain(one.name), SIZE, 3.0) for one in plan.cameras]
    found += [around(sheet.at(pair[k]), letter, SIZE, 2.2, True) for letter, pair in plan.cones for k in (1,)]
    found += [
        _tree_words(name, sheet.line(points), height, sheet, middle) for name, points, _, height in plan.trees
    ]
    if len(plan.runway):
        ends = sheet.line(plan.runway[:-1])
        right = max(ends, key=lambda p: p[0])
        length = float(max(np.hypot(*np.diff(plan.runway, axis=0).T)))
        found.append(around((right[0], right[1] - 3.0), f"runway {length:.0f} m", SIZE, 3.0))
    if len(plan.people_line):
        a, b = sheet.line(plan.people_line)
        text = "nothing flies across this line"
        spots = [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for t in (0.78, 0.22, 0.5)]
        found.append(
            [
                Text((x, y + off), text, SIZE, "middle", "middle", halo=0.4)
                for x, y in spots
                for off in (3.4, -4.6)
            ]
        )
    return found


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _tree_words(name: str, points: Sequence[Point], height: float, sheet: Sheet, middle: Point) -> list[Text]:
    """The name and height of a line of trees along its longest stretch, away from the ``middle`` of the field first."""
    a, b = max(pairwise(points), key=lambda ends: hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]))
    angle = atan2(b[1] - a[1], b[0] - a[0])
    angle = angle + pi if angle <= -pi / 2 + 0.1 else angle - pi if angle > pi / 2 + 0.1 else angle
    off = sheet.mm(crown(height)) + 2.6
    words = f"{_plain(name)} {height:g} m"
    off = off if _left_of(a, b, middle) != (cos(atan2(b[1] - a[1], b[0] - a[0]) - angle) > 0) else -off
    found = []
    for t, side in ((t, side) for t in (0.5, 0.25, 0.75) for side in (off, -off)):
        at = (a[0] + t * (b[0] - a[0]) - side * sin(angle), a[1] + t * (b[1] - a[1]) + side * cos(angle))
        found.append(Text(at, words, SIZE, "middle", "middle", angle, halo=0.4))
    return found
