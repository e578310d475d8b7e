"""A drawing as data: millimetres on paper, origin at the lower left, y upward. Frozen; nothing here writes files.

A scene is a flat list of shapes, each on a named layer that says what the line means. Line types are the basic
types of ISO 128-2:2020 (continuous, dashed, long-dashed dotted ...), in widths that survive a poor copier
(trial of our own: no line under 0.25 mm, letters at least 2.5 mm high, dots 0.6 mm). Meaning never rests on colour.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from math import cos, hypot, pi, radians, sin
from typing import Literal

import numpy as np

from planewright.draw import fonts
from planewright.draw.fonts import Face

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
Layer = Literal[
    "cut", "score", "score back", "groove", "bevel", "glue", "hidden", "centre", "neighbour", "mark", "text",
    "dimension", "thin", "wide", "frame", "stick", "fence", "grid", "fill", "overlay",
]  # fmt: skip


@dataclass(frozen=True)
class Pen:
    """How a layer is drawn: ``width`` mm, ``dash`` lengths of ink and gap in mm (empty: continuous)."""

    width: float
    dash: tuple[float, ...] = ()
    meaning: str = ""


PENS: dict[Layer, Pen] = {
    "cut": Pen(0.7, (), "cut right through"),
    "score": Pen(0.5, (6.0, 1.5), "fold toward you: score this face"),
    "score back": Pen(0.5, (6.0, 1.5, 0.75, 1.5, 0.75, 1.5), "fold away: score the other face"),
    "groove": Pen(0.25, (), "cut out a V of foam, leave the far paper"),
    "bevel": Pen(0.3, (), "slope: shave the foam, ticks point to the thin edge"),
    "glue": Pen(0.25, (), "glue here"),
    "hidden": Pen(0.3, (3.6, 0.9), "a stick or part lies here"),
    "centre": Pen(0.3, (7.2, 0.9, 0.3, 0.9), "station, middle line or hinge"),
    "neighbour": Pen(0.3, (7.2, 0.9, 0.3, 0.9, 0.3, 0.9), "neighbour part, for looking only"),
    "mark": Pen(0.3, (), "mark"),
    "text": Pen(0.3),
    "dimension": Pen(0.25, (), "dimension"),
    "thin": Pen(0.25),
    "wide": Pen(0.5),
    "frame": Pen(0.5),
    "stick": Pen(0.35),
    "fence": Pen(0.6),
    "grid": Pen(0.25),
    "fill": Pen(0.0),
    "overlay": Pen(0.3),
}
INK = "#000000"
PAPER = "#ffffff"


@dataclass(frozen=True)
class Path:
    """One or more rings or polylines. ``rings``: points in mm; ``closed``; ``fill`` a colour or "" (even-odd rule).

    ``width`` and ``dash`` override the layer's pen; ``halo`` is a margin of paper drawn under the line, mm.
    """

    rings: tuple[tuple[Point, ...], ...]
    layer: Layer = "thin"
    closed: bool = False
    fill: str = ""
    ink: str = INK
    width: float | None = None
    dash: tuple[float, ...] | None = None
    halo: float = 0.0

    @property
    def pen(self) -> Pen:
        """Width and dash really used."""
        own = PENS[self.layer]
        return Pen(
            own.width if self.width is None else self.width,
            own.dash if self.dash is None else self.dash,
            own.meaning,
        )

    def points(self) -> tuple[Point, ...]:
        """All points, for bounds."""
        return tuple(point for ring in self.rings for point in ring)


@dataclass(frozen=True)
class Circle:
    """A circle, ``centre`` and ``radius`` mm."""

    centre: Point
    radius: float
    layer: Layer = "thin"
    fill: str = ""
    ink: str = INK
    width: float | None = None
    dash: tuple[float, ...] | None = None
    halo: float = 0.0

    @property
    def pen(self) -> Pen:
        """Width and dash really used."""
        return Path((), self.layer, width=self.width, dash=self.dash).pen

    def points(self) -> tuple[Point, ...]:
        """Corners of the box round the circle."""
        (x, y), r = self.centre, self.radius
        return ((x - r, y - r), (x + r, y + r))


@dataclass(frozen=True)
class Arc:
    """An arc, anticlockwise from ``start`` to ``end`` (rad)."""

    centre: Point
    radius: float
    start: float
    end: float
    layer: Layer = "thin"
    ink: str = INK
    width: float | None = None
    dash: tuple[float, ...] | None = None

    @property
    def pen(self) -> Pen:
        """Width and dash really used."""
        return Path((), self.layer, width=self.width, dash=self.dash).pen

    def points(self) -> tuple[Point, ...]:
        """Points along the arc, at most 5 degrees apart."""
        count = max(2, int(abs(self.end - self.start) / radians(5)) + 2)
        angles = np.linspace(self.start, self.end, count)
        (x, y), r = self.centre, self.radius
        return tuple((float(x + r * cos(a)), float(y + r * sin(a))) for a in angles)


@dataclass(frozen=True)
class Text:
    """One line of text. ``at`` lies on the baseline (``level`` "base") or on the middle of the capitals ("middle").

    ``size``: em in mm; ``angle``: rad, anticlockwise. ``halo``: paper round the words, mm. ``outline`` > 0 draws
    hollow letters with that line width. ``over``: a word laid across a sheet on purpose; overlap is not counted.
    """

    at: Point
    words: str
    size: float
    anchor: Anchor = "start"
    level: Literal["base", "middle"] = "base"
    angle: float = 0.0
    face: Face = "text"
    bold: bool = False
    layer: Layer = "text"
    ink: str = INK
    halo: float = 0.0
    outline: float = 0.0
    over: bool = False

    @property
    def length(self) -> float:
        """Width of the line of text, mm."""
        return fonts.width(self.printable, self.size, self.face, self.bold)

    @property
    def printable(self) -> str:
        """The words with letters that the font lacks replaced by a question mark."""
        return fonts.printable(self.words, self.face, self.bold)

    @property
    def start(self) -> Point:
        """Left end of the baseline."""
        along = {"start": 0.0, "middle": -0.5, "end": -1.0}[self.anchor] * self.length
        drop = (
            -0.5 * fonts.metrics(self.face, self.bold).cap_height * self.size
            if self.level == "middle"
            else 0.0
        )
        c, s = cos(self.angle), sin(self.angle)
        return (self.at[0] + along * c - drop * s, self.at[1] + along * s + drop * c)

    def points(self) -> tuple[Point, ...]:
        """The four corners of the box round the letters, from the left end of its foot, anticlockwise."""
        metric = fonts.metrics(self.face, self.bold)
        low, high = -metric.descent * self.size, metric.ascent * self.size
        (x, y), c, s = self.start, cos(self.angle), sin(self.angle)
        corners = ((0.0, low), (self.length, low), (self.length, high), (0.0, high))
        return tuple((x + u * c - v * s, y + u * s + v * c) for u, v in corners)


Shape = Path | Circle | Arc | Text


@dataclass(frozen=True)
class Scene:
    """A sheet or a picture: ``width`` x ``height`` mm and its shapes in the order they are drawn."""

    width: float
    height: float
    shapes: tuple[Shape, ...] = ()
    title: str = ""
    margin: float = 0.0
    notes: tuple[str, ...] = field(default=())

    def plus(self, *more: Shape | Iterable[Shape]) -> Scene:
        """The scene with more shapes on top."""
        return replace(self, shapes=self.shapes + flat(*more))

    def texts(self) -> tuple[Text, ...]:
        """All texts that are not laid across the sheet on purpose."""
        return tuple(one for one in self.shapes if isinstance(one, Text) and not one.over)

    def overlaps(self, allow: float = 0.05) -> tuple[tuple[str, str], ...]:
        """Pairs of texts whose boxes overlap by more than ``allow`` mm in every direction."""
        texts = self.texts()
        boxes = [np.array(text.points()) for text in texts]
        return tuple(
            (texts[j].words, texts[i].words)
            for i, first in enumerate(boxes)
            for j in range(i)
            if boxes_meet(first, boxes[j], allow)
        )

    def outside(self, allow: float = 1e-6) -> tuple[str, ...]:
        """What leaves the sheet, or its margin: the words of a text, or the layer of a line."""
        low, high = self.margin - allow, (self.width - self.margin + allow, self.height - self.margin + allow)
        return tuple(
            one.words if isinstance(one, Text) else one.layer
            for one in self.shapes
            if any(x < low or y < low or x > high[0] or y > high[1] for x, y in one.points())
        )


def flat(*shapes: Shape | Iterable[Shape]) -> tuple[Shape, ...]:
    """One tuple of shapes from shapes and lists of shapes."""
    found: list[Shape] = []
    for one in shapes:
        found.extend([one] if isinstance(one, Path | Circle | Arc | Text) else one)
    return tuple(found)


def boxes_meet(first: np.ndarray, second: np.ndarray, allow: float) -> bool:
    """True when two rectangles, (4, 2) corners in turn, overlap by more than ``allow`` (separating axes)."""
    for box in (first, second):
        for edge in (box[1] - box[0], box[3] - box[0]):
            length = hypot(edge[0], edge[1])
            if length == 0:
                return False
            a, b = first @ edge / length, second @ edge / length
            if min(a.max(), b.max()) - max(a.min(), b.min()) <= allow:
                return False
    return True


def line(a: Point, b: Point, layer: Layer = "thin", **how: object) -> Path:
    """A straight line from ``a`` to ``b``."""
    return Path(((a, b),), layer, **how)  # type: ignore[arg-type]


def polyline(points: Sequence[Point], layer: Layer = "thin", **how: object) -> Path:
    """An open line through ``points``."""
    return Path((tuple(points),), layer, **how)  # type: ignore[arg-type]


def polygon(points: Sequence[Point], layer: Layer = "thin", **how: object) -> Path:
    """A closed ring through ``points``."""
    return Path((tuple(points),), layer, closed=True, **how)  # type: ignore[arg-type]


def box(x: float, y: float, width: float, height: float, layer: Layer = "thin", **how: object) -> Path:
    """A rectangle with its lower left corner at (``x``, ``y``)."""
    return polygon(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), layer, **how)


def moved(shapes: Iterable[Shape], dx: float, dy: float) -> tuple[Shape, ...]:
    """Shapes pushed by (``dx``, ``dy``) mm."""
    return tuple(_mapped(one, lambda p: (p[0] + dx, p[1] + dy)) for one in shapes)


def turned(shapes: Iterable[Shape], angle: float, about: Point = (0.0, 0.0)) -> tuple[Shape, ...]:
    """Shapes turned anticlockwise by ``angle`` (rad) about a point; texts turn with them."""
    c, s, (ox, oy) = cos(angle), sin(angle), about

    def turn(p: Point) -> Point:
        return (ox + (p[0] - ox) * c - (p[1] - oy) * s, oy + (p[0] - ox) * s + (p[1] - oy) * c)

    return tuple(_mapped(one, turn, angle) for one in shapes)


def _mapped(one: Shape, move, angle: float = 0.0) -> Shape:  # type: ignore[no-untyped-def]
    if isinstance(one, Path):
        return replace(one, rings=tuple(tuple(move(p) for p in ring) for ring in one.rings))
    if isinstance(one, Text):
        return replace(one, at=move(one.at), angle=one.angle + angle)
    if isinstance(one, Arc):
        return replace(one, centre=move(one.centre), start=one.start + angle, end=one.end + angle)
    return replace(one, centre=move(one.centre))


def bounds(shapes: Iterable[Shape]) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of some shapes, mm. Raises ``ValueError`` when there is none."""
    points = np.array([point for one in shapes for point in one.points()])
    if not len(points):
        raise ValueError("no shapes: nothing to measure")
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def picture(shapes: Iterable[Shape], pad: float = 0.0, title: str = "") -> Scene:
    """A scene just large enough for ``shapes``, moved to its origin, with ``pad`` mm round it."""
    every = tuple(shapes)
    left, low, right, high = bounds(every)
    return Scene(right - left + 2 * pad, high - low + 2 * pad, moved(every, pad - left, pad - low), title)


def hatch(points: Sequence[Point], pitch: float, angle: float = pi / 4, **how: object) -> tuple[Path, ...]:
    """Parallel lines at ``pitch`` mm and ``angle`` rad inside a polygon (also a hollow-sided one), anchored to the
    page so that neighbouring areas carry on in step."""
    ring = np.array(points)
    along, across = np.array([cos(angle), sin(angle)]), np.array([-sin(angle), cos(angle)])
    heights, reach = ring @ across, ring @ along
    first, last = int(np.ceil(heights.min() / pitch)), int(np.floor(heights.max() / pitch))
    levels = np.arange(first, last + 1) * pitch
    rise, run = np.roll(heights, -1) - heights, np.roll(reach, -1) - reach
    cut = (heights > levels[:, None]) != (np.roll(heights, -1) > levels[:, None])
    row, edge = np.nonzero(cut)
    at = reach[edge] + (levels[row] - heights[edge]) / rise[edge] * run[edge]
    order = np.lexsort((at, row))
    row, at = row[order][::2], at[order].reshape(-1, 2)
    kept = at[:, 1] - at[:, 0] > 1e-6
    level = levels[row[kept]][:, None] * across
    starts, ends = (at[kept, k][:, None] * along + level for k in (0, 1))
    return tuple(
        Path(((_pair(p), _pair(q)),), **how)  # type: ignore[arg-type]
        for p, q in zip(starts, ends, strict=True)
    )


def stripes(points: Sequence[Point], pitch: float, width: float, angle: float = pi / 4) -> tuple[Path, ...]:
    """Filled stripes of ``width`` at ``pitch`` mm inside a convex polygon, cut exactly at its edge."""
    ring, across = np.array(points), np.array([-sin(angle), cos(angle)])
    heights = ring @ across
    first, last = int(np.floor(heights.min() / pitch)), int(np.ceil(heights.max() / pitch))
    pieces = (
        _slab(ring, across, k * pitch - width / 2, k * pitch + width / 2) for k in range(first, last + 1)
    )
    return tuple(polygon([_pair(p) for p in piece], "fill", fill=INK) for piece in pieces if len(piece) > 2)


def _slab(ring: np.ndarray, across: np.ndarray, low: float, high: float) -> np.ndarray:
    """The part of a convex ring between two heights along ``across``."""
    for sign, level in ((1.0, low), (-1.0, -high)):
        heights = sign * (ring @ across) - level
        kept = []
        for i, h in enumerate(heights):
            after = (i + 1) % len(ring)
            if h >= 0:
                kept.append(ring[i])
            if h * heights[after] < 0:
                kept.append(ring[i] + h / (h - heights[after]) * (ring[after] - ring[i]))
        ring = np.array(kept)
        if not len(ring):
            break
    return ring


def _pair(point: np.ndarray) -> Point:
    return float(point[0]), float(point[1])
