"""A chart of the study as a picture in millimetres: horizontal hairlines only, labels in place, sticks on the axis.

Bands show how they are known: a flat tint when measured, stripes when published, a dashed edge when assumed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np
import numpy.typing as npt
from shapely import LineString, Polygon, get_coordinates, get_parts, intersection
from shapely import box as rectangle

from planewright.draw import fonts
from planewright.draw.fence import fence
from planewright.draw.place import placed
from planewright.draw.scene import (
    Circle,
    Path,
    Point,
    Scene,
    Shape,
    Text,
    flat,
    hatch,
    line,
    polygon,
)
from planewright.draw.stick import Band, Scale, stick
from planewright.study.chart import Axis, Chart, Mark, Series

Array = npt.NDArray[np.float64]
SIZE = fonts.points(9.75)
CURVE = 0.6
TINT = "#dcdcdc"
HAIR = "#b4b4b4"


@dataclass(frozen=True)
class Frame:
    """Where values lie: the plot's box on the picture (mm) and the ends of both axes (in their units)."""

    left: float
    low: float
    right: float
    high: float
    x: tuple[float, float]
    y: tuple[float, float]

    def at(self, x: float, y: float) -> Point:
        """Place of a value on the picture, mm."""
        across = (x - self.x[0]) / (self.x[1] - self.x[0])
        up = (y - self.y[0]) / (self.y[1] - self.y[0])
        return self.left + across * (self.right - self.left), self.low + up * (self.high - self.low)

    @property
    def box(self) -> Polygon:
        """The plot's box."""
        return rectangle(self.left, self.low, self.right, self.high)


def chart_scene(chart: Chart, width: float, height: float) -> Scene:
    """The chart as one picture of ``width`` x ``height`` mm, without its title; its notes stand under it.

    Axis ends are those of the chart, else they are fitted to data and bands and rounded to ticks.
    """
    notes = [piece for note in chart.notes for piece in fonts.wrap(note, SIZE, width)]
    foot = 14.5 + (3.0 if chart.stick else 0.0) + 4.6 * len(notes)
    x, y = _ends(chart.x, _values(chart, 0)), _ends(chart.y, _values(chart, 1))
    left = 3.0 + max(fonts.width(_figure(v, y), SIZE) for v in ticks(*y))
    label_room = max((fonts.width(one.words, SIZE) for one in chart.series if _is_line(one)), default=0.0)
    frame = Frame(left, foot, width - min(label_room + 3.0, 0.34 * width) - 2.0, height - 8.0, x, y)
    scene = Scene(width, height, (), chart.title)
    scene = scene.plus(_axes(chart, frame), *(_band(one, frame) for one in chart.series))
    scene = scene.plus(
        *(_curve(one, frame) for one in chart.series), *(_mark(one, frame) for one in chart.marks)
    )
    scene = scene.plus(_drops(chart, frame), _stick(chart, frame))
    scene = scene.plus(
        Text((0.0, 4.6 * (len(notes) - 1 - k) + 1.2), one, SIZE) for k, one in enumerate(notes)
    )
    scene = scene.plus(placed(scene, _mark_words(chart.marks, frame)))
    scene = scene.plus(placed(scene, _line_words(chart.series, frame)))
    return scene.plus(placed(scene, _point_words(chart.series, frame), _dots(chart.series, frame)))


def ticks(low: float, high: float, about: int = 6) -> tuple[float, ...]:
    """Round values (steps of 1, 2, 2.5 or 5 times a power of ten) from ``low`` to ``high``, about so many."""
    raw = (high - low) / about
    power = 10.0 ** floor(log10(raw))
    step = next(power * k for k in (1.0, 2.0, 2.5, 5.0, 10.0) if power * k >= raw * (1 - 1e-9))
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return tuple(step * k for k in range(first, last + 1))


def _figure(value: float, ends: tuple[float, float]) -> str:
    step = ticks(*ends)[1] - ticks(*ends)[0] if len(ticks(*ends)) > 1 else 1.0
    places = max(0, -floor(log10(step) + 1e-9))
    places += 1 if abs(round(step * 10**places) - step * 10**places) > 1e-6 else 0
    return f"{value + 0.0:.{places}f}".replace("-", "−")


def _is_line(series: Series) -> bool:
    return series.look in ("line", "dashed")


def _values(chart: Chart, axis: int) -> Array:
    found: list[float] = []
    for one in chart.series:
        found += one.x if axis == 0 else (*one.y, *one.low, *one.high)
    if axis == 0:
        found += [mark.x for mark in chart.marks]
        found += chart.stick.all if chart.stick else ()
    values = np.array(found, dtype=np.float64)
    return values[np.isfinite(values)]


def _ends(axis: Axis, values: Array) -> tuple[float, float]:
    low = float(values.min()) if len(values) else 0.0
    high = float(values.max()) if len(values) else 1.0
    low = min(low, 0.0) if axis.zero else low
    high = max(high, 0.0) if axis.zero else high
    low, high = (axis.low if axis.low is not None else low), (axis.high if axis.high is not None else high)
    if high <= low:
        low, high = low - 0.5 * (abs(low) or 1.0), low + 0.5 * (abs(low) or 1.0)
    step = ticks(low, high)[1] - ticks(low, high)[0] if len(ticks(low, high)) > 1 else high - low
    low = low if axis.low is not None else step * floor(low / step + 1e-9)
    return low, (high if axis.high is not None else step * ceil(high / step - 1e-9))


def _axes(chart: Chart, frame: Frame) -> tuple[Shape, ...]:
    shapes: list[Shape] = []
    for value in ticks(*frame.y):
        at = frame.at(frame.x[0], value)
        shapes.append(line(at, (frame.right, at[1]), "grid", ink=HAIR))
        shapes.append(Text((frame.left - 2.0, at[1]), _figure(value, frame.y), SIZE, "end", "middle"))
    shapes.append(line((frame.left, frame.low), (frame.right, frame.low), "thin", width=0.35))
    under = frame.low - (4.2 if chart.stick else 0.0)
    for value in ticks(*frame.x):
        x, _ = frame.at(value, frame.y[0])
        shapes.append(line((x, frame.low), (x, frame.low - 1.4), "thin"))
        shapes.append(Text((x, under - 4.8), _figure(value, frame.x), SIZE, "middle"))
    title = f"{chart.y.words}, {chart.y.unit}" if chart.y.unit else chart.y.words
    foot = f"{chart.x.words}, {chart.x.unit}" if chart.x.unit else chart.x.words
    shapes.append(Text((0.0, frame.high + 4.0), title, SIZE))
    shapes.append(Text((frame.right, under - 9.6), foot, SIZE, "end"))
    return tuple(shapes)


def _points(series: Series, frame: Frame, y: Sequence[float] | None = None) -> list[Point]:
    pairs = zip(series.x, series.y if y is None else y, strict=True)
    return [frame.at(a, b) for a, b in pairs if np.isfinite(a) and np.isfinite(b)]


def _band(series: Series, frame: Frame) -> tuple[Shape, ...]:
    """The band about a line, after the kind of what it rests on; clipped to the plot."""
    low, high = (_points(series, frame, edge) if edge else [] for edge in (series.low, series.high))
    if len(low) < 2 or len(low) != len(high):
        return ()
    shapes: list[Shape] = []
    area = Polygon([*low, *reversed(high)]).buffer(0)
    for piece in get_parts(intersection(area, frame.box)):
        if isinstance(piece, Polygon) and piece.area > 1e-6 and series.kind != "assumed":
            ring = [(float(x), float(y)) for x, y in get_coordinates(piece.exterior)[:-1]]
            solid = series.kind == "measured"
            shapes += (
                [polygon(ring, "fill", fill=TINT)] if solid else hatch(ring, 1.6, layer="grid", ink="#8a8a8a")
            )
    for edge in (low, high):
        shapes += _clipped(edge, frame, Path((), "thin", dash=(1.0, 0.6), ink="#555555"))
    return tuple(shapes)


def _clipped(points: Sequence[Point], frame: Frame, like: Path) -> list[Path]:
    if len(points) < 2:
        return []
    pieces = get_parts(intersection(LineString(points), frame.box))
    rings = [
        tuple((float(x), float(y)) for x, y in get_coordinates(one)) for one in pieces if one.length > 1e-6
    ]
    return [Path((ring,), like.layer, ink=like.ink, width=like.width, dash=like.dash) for ring in rings]


def _curve(series: Series, frame: Frame) -> tuple[Shape, ...]:
    points = _points(series, frame)
    if _is_line(series):
        dash = (3.0, 1.4) if series.look == "dashed" else ()
        return tuple(_clipped(points, frame, Path((), "wide", width=CURVE, dash=dash)))
    marks = flat(*(_POINTS[series.look](x, y) for x, y in points))
    stems = series.look == "dots" and frame.y[0] == 0.0 and bool(series.notes)
    return flat([line((x, frame.low), (x, y), "thin") for x, y in points] if stems else (), marks)


def _triangle(way: float, fill: str) -> Callable[[float, float], tuple[Shape, ...]]:
    def draw(x: float, y: float) -> tuple[Shape, ...]:
        return (
            polygon(
                ((x - way * 1.0, y + 1.2), (x + way * 1.3, y), (x - way * 1.0, y - 1.2)), "thin", fill=fill
            ),
        )

    return draw


def _square(x: float, y: float) -> tuple[Shape, ...]:
    return (
        polygon(((x - 1, y - 1), (x + 1, y - 1), (x + 1, y + 1), (x - 1, y + 1)), "thin", fill="#000000"),
    )


def _crossed(x: float, y: float) -> tuple[Shape, ...]:
    return line((x - 1.2, y - 1.2), (x + 1.2, y + 1.2), "mark"), line(
        (x - 1.2, y + 1.2), (x + 1.2, y - 1.2), "mark"
    )


_POINTS: dict[str, Callable[[float, float], tuple[Shape, ...]]] = {
    "out": _triangle(1.0, "#000000"),
    "back": _triangle(-1.0, "#ffffff"),
    "dots": lambda x, y: (Circle((x, y), 1.0, "thin", fill="#000000"),),
    "squares": _square,
    "aside": _crossed,
}


def _mark(mark: Mark, frame: Frame) -> tuple[Shape, ...]:
    x, _ = frame.at(mark.x, frame.y[0])
    if not frame.left - 1e-6 <= x <= frame.right + 1e-6:
        return ()
    if mark.fence:
        return fence(x, frame.low, frame.high, mark.bad, pitch=8.0)
    return (line((x, frame.low), (x, frame.high), "thin", dash=(0.6, 1.0)),)


def _stick(chart: Chart, frame: Frame) -> tuple[Shape, ...]:
    """The stick lying on the x axis."""
    one = chart.stick
    if one is None:
        return ()
    scale = Scale(frame.x[0], frame.x[1], frame.left, frame.right)
    return stick(Band(one.middle, one.all, one.measured_published, one.measured), scale, frame.low, 3.2)


def _drops(chart: Chart, frame: Frame) -> tuple[Shape, ...]:
    """Three lines from the second line of the chart down to the ends and the middle of the stick."""
    lines = [one for one in chart.series if _is_line(one)]
    if chart.stick is None or len(lines) < 2 or len(lines[1].x) < 2:
        return ()
    shapes = []
    for value in (chart.stick.all[0], chart.stick.middle, chart.stick.all[1]):
        x, y = frame.at(value, float(np.interp(value, lines[1].x, lines[1].y)))
        if frame.left <= x <= frame.right and y > frame.low:
            shapes.append(line((x, frame.low), (x, min(y, frame.high)), "thin"))
    return tuple(shapes)


# words in place ----------------------------------------------------------------------------------------------------


def _line_words(series: Iterable[Series], frame: Frame) -> list[list[Text]]:
    """For each line its name at its right end, with places above and below to fall back on."""
    found = []
    for one in series:
        ends = _clipped(_points(one, frame), frame, Path(())) if _is_line(one) else []
        if ends and one.words:
            x, y = ends[-1].rings[0][-1]
            steps = (0.0, 4.4, -4.4, 8.8, -8.8, 13.2, -13.2)
            found.append(
                [Text((x + 1.5, y + step), one.words, SIZE, level="middle", halo=0.3) for step in steps]
            )
    return found


def _mark_words(marks: Iterable[Mark], frame: Frame) -> list[list[Text]]:
    found = []
    for one in marks:
        x, _ = frame.at(one.x, frame.y[0])
        if one.words and frame.left - 1e-6 <= x <= frame.right + 1e-6:
            heights = (frame.high - 3.0, frame.high - 8.0, frame.high - 13.0)
            right = [Text((x + 2.0, y), one.words, SIZE, halo=0.4) for y in heights]
            left = [Text((x - 2.0, y), one.words, SIZE, "end", halo=0.4) for y in heights]
            found.append(right + left)
    return found


def _dots(series: Iterable[Series], frame: Frame) -> list[Array]:
    """Boxes round the points, which words keep clear of."""
    points = [p for one in series if not _is_line(one) for p in _points(one, frame)]
    reach = np.array([[-1.1, -1.1], [1.1, -1.1], [1.1, 1.1], [-1.1, 1.1]])
    return [np.array(p) + reach for p in points]


def _point_words(series: Iterable[Series], frame: Frame) -> list[list[Text]]:
    """Notes beside points, the highest points first; those without room are left out."""
    pairs = [
        (frame.at(x, y), note)
        for one in series
        if not _is_line(one)
        for x, y, note in zip(one.x, one.y, one.notes, strict=False)
        if note and np.isfinite(x) and np.isfinite(y)
    ]
    pairs.sort(key=lambda pair: -pair[0][1])
    return [
        [
            Text((x + 1.8, y + 0.8), note, SIZE, halo=0.3),
            Text((x - 1.8, y + 0.8), note, SIZE, "end", halo=0.3),
            Text((x, y + 2.2), note, SIZE, "middle", halo=0.3),
        ]
        for (x, y), note in pairs
    ]
