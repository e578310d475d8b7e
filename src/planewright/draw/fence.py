"""A limit as a fence, and all findings as sticks against one fence. Numbers in, shapes out.

A finding's row is (value - limit) over its scale, signed so that right is good: "short" to the left of the fence,
"to spare" to the right. Fences lie on top of the sticks with a halo, so that crossing is seen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from planewright.draw import fonts
from planewright.draw.scene import INK, PAPER, Scene, Shape, Text, flat, line, polygon, stripes
from planewright.draw.stick import Band, Scale, mark, scale_line, stick
from planewright.findings.model import Finding

Side = Literal["left", "right"]
WIDTH = 0.6
HALO = 0.6
TOOTH = 1.4
LOW, HIGH = -0.40, 0.90
ORDER = {"short": 0, "missing": 1, "conflict": 2, "crosses": 3, "clear": 4}
TEXT = fonts.points(9.75)
NO_STICK = {
    "clear": "shown",
    "missing": "nobody has shown it",
    "short": "shown not to hold",
    "conflict": "tests disagree",
}


@dataclass(frozen=True)
class Row:
    """One finding on the common scale. ``stick`` None: nothing to draw (missing evidence); ``exact``: a mark alone."""

    label: str
    state: str
    stick: Band | None = None
    exact: bool = False
    watch: bool = False

    @property
    def heavy(self) -> bool:
        """True when the row keeps the verdict from being clear."""
        return self.state != "clear" and not self.watch


def fence(
    x: float, low: float, high: float, forbidden: Side = "left", pitch: float = 4.0, halo: float = HALO
) -> tuple[Shape, ...]:
    """An upright fence at ``x`` from ``low`` to ``high`` (mm), teeth toward the ``forbidden`` side."""
    way = -1.0 if forbidden == "left" else 1.0
    count = max(2, round((high - low) / pitch))
    step = (high - low) / count
    post = line((x, low), (x, high), "fence", width=WIDTH, halo=halo)
    return (post, *(_tooth(x, low + (k + 0.5) * step, way) for k in range(count)))


def _tooth(x: float, y: float, way: float) -> Shape:
    return polygon(((x, y + TOOTH * 0.6), (x + way * TOOTH, y), (x, y - TOOTH * 0.6)), "fill", fill=INK)


def doubtful(low: float, high: float, scale: Scale, y: float, height: float) -> tuple[Shape, ...]:
    """The striped part of a limit that is itself uncertain; the fence stands at its inner edge."""
    a, b = scale.at(low), scale.at(high)
    corners = ((a, y - height / 2), (b, y - height / 2), (b, y + height / 2), (a, y + height / 2))
    return stripes(corners, 1.2, 0.3)


def rows_of(findings: Iterable[Finding], label: Callable[[Finding], str] | None = None) -> tuple[Row, ...]:
    """Findings as rows: short, missing, conflict, crosses, clear; within these by danger (1 first)."""
    ordered = sorted(findings, key=lambda one: (ORDER[one.state], one.danger, one.id))
    return tuple(_row(one, label(one) if label else one.sentence) for one in ordered)


def _row(finding: Finding, label: str) -> Row:
    watch, sticks = finding.kind == "watch", finding.stick
    if not sticks:
        if finding.margin is None:
            return Row(label, finding.state, watch=watch)
        point = (finding.margin, finding.margin)
        return Row(label, finding.state, Band(finding.margin, point, point, point), exact=True, watch=watch)
    every, known, measured = (*sticks, sticks[-1], sticks[-1])[:3]
    band = Band(every[1], (every[0], every[2]), (known[0], known[2]), (measured[0], measured[2]))
    return Row(label, finding.state, band.nested(), exact=every[0] == every[2], watch=watch)


def fence_list(rows: Sequence[Row], width: float = 173.0, row: float = 7.6, size: float = TEXT) -> Scene:
    """All rows against one fence, with their words, as one picture.

    Arguments:
        rows: in the order to be shown.
        width: of the picture, mm; ``row``: height of a row with one line of label, mm; ``size``: of the text, mm.
    """
    room = 0.50 * width
    labels = [fonts.wrap(one.label, size, room - 3, bold=one.heavy) for one in rows]
    heights = [row + (max(len(words), 1) - 1) * size * 1.2 for words in labels]
    top = size * 1.9
    total = sum(heights) + top
    scale = Scale(LOW, HIGH, room, width - 28.0)
    shapes: list[Shape] = [*_head(scale, total, size)]
    y = total - top
    for one, words, tall in zip(rows, labels, heights, strict=True):
        shapes.extend(_drawn_row(one, words, scale, (y, y - tall), width, size))
        y -= tall
    shapes.append(line((0, 0.2), (width, 0.2), "grid", ink="#9a9a9a"))
    if rows:
        shapes.extend(fence(scale.at(0.0), 0.4, total - top + 1.0, "left"))
    return Scene(width, total, tuple(shapes), "fence")


def _head(scale: Scale, total: float, size: float) -> tuple[Shape, ...]:
    x, y = scale.at(0.0), total - size * 0.9
    return (Text((x - 2.5, y), "short", size, "end"), Text((x + 2.5, y), "to spare", size))


def _drawn_row(
    one: Row, words: Sequence[str], scale: Scale, edges: tuple[float, float], width: float, size: float
) -> tuple[Shape, ...]:
    top, low = edges
    y = (top + low) / 2
    first = y + (len(words) - 1) * size * 0.6
    label = [
        Text((0, first - k * size * 1.2), text, size, level="middle", bold=one.heavy)
        for k, text in enumerate(words)
    ]
    state = f"watch: {one.state}" if one.watch and one.state != "clear" else one.state
    word = Text((width, y), state, size, "end", level="middle", bold=one.heavy)
    rule = line((0, top), (width, top), "grid", ink="#9a9a9a")
    return flat(rule, label, word, _stick_or_mark(one, scale, y))


def _stick_or_mark(one: Row, scale: Scale, y: float) -> tuple[Shape, ...]:
    if one.stick is None:
        return (
            scale_line(scale, y),
            Text((scale.at(0) + 3, y), NO_STICK.get(one.state, ""), TEXT * 0.9, level="middle", halo=0.4),
        )
    if one.exact:
        return mark(scale.at(one.stick.middle), y, 3.4)
    return stick(one.stick, scale, y, 3.4)


def state_picture(state: str, x: float = 0.0, y: float = 2.0) -> tuple[Shape, ...]:
    """A state as a small fence with a stick right of it, across it or left of it; 8 x 4 mm, fence at ``x`` + 4."""
    spans = {"clear": (1.0, 3.6), "crosses": (-1.6, 1.6), "short": (-3.6, -1.0)}
    post = fence(x + 4.0, y - 2.0, y + 2.0, "left", pitch=2.0, halo=0.25)
    if state not in spans:
        return post
    a, b = spans[state]
    bar = polygon(
        ((x + 4 + a, y - 0.7), (x + 4 + b, y - 0.7), (x + 4 + b, y + 0.7), (x + 4 + a, y + 0.7)),
        "stick",
        fill=PAPER,
    )
    return (bar, *post)


def strip(
    band: Band | None,
    limits: Sequence[tuple[float, Side]] = (),
    width: float = 50.0,
    height: float = 9.0,
    scale: tuple[float, float] | None = None,
) -> Scene:
    """The stick of one figure with its fences on a scale of its own, for a table of figures.

    Arguments:
        band: None draws the hairline alone.
        limits: value and forbidden side of each fence, in the band's unit.
        scale: ends of the scale in that unit; chosen round band and limits when None.
    """
    low, high = scale or scale_for(band, [value for value, _ in limits])
    room = Scale(low, high, 0.8, width - 0.8)
    middle = height / 2
    shapes: list[Shape] = [scale_line(room, middle)]
    if band is not None:
        shapes.extend(stick(band, room, middle, 3.4))
    for value, forbidden in limits:
        if room.holds(value):
            shapes.extend(fence(room.at(value), middle - 3.4, middle + 3.4, forbidden, pitch=3.4))
    return Scene(width, height, tuple(shapes), "stick")


def scale_for(band: Band | None, limits: Sequence[float] = ()) -> tuple[float, float]:
    """Ends of a scale that holds a band and its limits with a quarter of room at each side. Never of no length."""
    values = [*limits, *((*band.all, band.middle) if band is not None else ())] or [0.0, 1.0]
    low, high = min(values), max(values)
    room = 0.25 * (high - low) or 0.25 * abs(high) or 1.0
    return low - room, high + room
