"""A number as a stick: how long says how sure, how filled says how it is known. Numbers in, shapes out.

Ends are the 2.5 and 97.5 per cent points of the draws, the tall mark the median. Solid: what would remain if every
published and assumed input were exactly at its median; solid and striped: if every assumed input were; all: all.
Sizes are those of paper: stripes 1.2 mm apart and 0.5 mm wide, dashes 1 and 0.6 mm, outline 0.35 mm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planewright.draw import fonts
from planewright.draw.scene import INK, PAPER, Path, Shape, Text, box, flat, line, polygon, polyline, stripes
from planewright.study.model import Figure

HEIGHT = 4.2
OVER = 1.4
PITCH, STRIPE = 1.2, 0.5
DASH = (1.0, 0.6)
OUTLINE = 0.35
MARK = 0.7
HALO = 0.45
SHORT = 2.8


@dataclass(frozen=True)
class Band:
    """A median with three nested 95 % intervals: ``all`` inputs vary, ``known`` (measured and published) vary,
    ``measured`` alone vary."""

    middle: float
    all: tuple[float, float]
    known: tuple[float, float]
    measured: tuple[float, float]

    def nested(self) -> Band:
        """The band with each inner interval clipped to the next outer one."""
        known = clipped(self.known, self.all)
        return Band(self.middle, self.all, known, clipped(self.measured, known))


@dataclass(frozen=True)
class Scale:
    """Values ``low`` to ``high`` laid along the page from ``left`` to ``right`` (mm)."""

    low: float
    high: float
    left: float
    right: float

    def at(self, value: float) -> float:
        """Place of a value on the page, held inside the scale, mm."""
        return min(max(self.free(value), self.left), self.right)

    def free(self, value: float) -> float:
        """Place of a value on the page, also beyond the ends, mm."""
        return self.left + (value - self.low) / (self.high - self.low) * (self.right - self.left)

    def holds(self, value: float) -> bool:
        """True when the value lies on the scale."""
        return self.low <= value <= self.high


def clipped(inner: tuple[float, float], outer: tuple[float, float]) -> tuple[float, float]:
    """``inner`` held inside ``outer``."""
    low = min(max(inner[0], outer[0]), outer[1])
    return low, max(low, min(inner[1], outer[1]))


def band_of(figure: Figure) -> Band | None:
    """The band of a figure of the study; None for a drawn number or one without a band."""
    if figure.kind == "drawn" or figure.low is None or figure.high is None:
        return None
    point = (figure.value, figure.value)
    return Band(
        figure.value,
        (figure.low, figure.high),
        figure.measured_published or figure.measured_only or point,
        figure.measured_only or point,
    ).nested()


def scale_line(scale: Scale, y: float) -> Path:
    """The hairline of the whole scale on which a stick lies."""
    return line((scale.left, y), (scale.right, y), "grid", ink="#9a9a9a")


def stick(
    band: Band, scale: Scale, y: float, height: float = HEIGHT, show: Callable[[float], str] | None = None
) -> tuple[Shape, ...]:
    """A stick centred on height ``y`` of the page.

    Arguments:
        band: median and nested intervals in the unit of the scale.
        scale: where values lie on the page.
        height: of the stick, mm; the middle mark stands 1.4 mm taller on both sides.
        show: writes a value that lies beyond the scale beside the notch; without it only the notch is drawn.
    """
    nested = band.nested()
    low, high = scale.at(nested.all[0]), scale.at(nested.all[1])
    if high - low < 1.2:
        return mark(scale.at(nested.middle), y, height)
    parts = (
        _hollow(low, high, y, height),
        _striped(scale.at(nested.known[0]), scale.at(nested.known[1]), y, height),
        _solid(scale.at(nested.measured[0]), scale.at(nested.measured[1]), y, height),
        _notches(nested, scale, y, height, show),
        mark(scale.at(nested.middle), y, height, halo=HALO if high - low >= SHORT else 0.0),
    )
    return flat(*parts)


def mark(x: float, y: float, height: float = HEIGHT, halo: float = 0.0) -> tuple[Shape, ...]:
    """The upright mark of a middle, or of an exact number that has no stick."""
    tall = height / 2 + OVER
    return (line((x, y - tall), (x, y + tall), "stick", width=MARK, halo=halo),)


def _hollow(low: float, high: float, y: float, height: float) -> tuple[Shape, ...]:
    return (box(low, y - height / 2, high - low, height, "stick", dash=DASH, fill=PAPER),)


def _striped(low: float, high: float, y: float, height: float) -> tuple[Shape, ...]:
    if high - low < OUTLINE:
        return ()
    corners = ((low, y - height / 2), (high, y - height / 2), (high, y + height / 2), (low, y + height / 2))
    paper = polygon(corners, "fill", fill=PAPER)
    return (paper, *stripes(corners, PITCH, STRIPE), polygon(corners, "stick"))


def _solid(low: float, high: float, y: float, height: float) -> tuple[Shape, ...]:
    if high - low < OUTLINE:
        return ()
    return (box(low, y - height / 2, high - low, height, "stick", fill=INK),)


def _notches(
    band: Band, scale: Scale, y: float, height: float, show: Callable[[float], str] | None
) -> tuple[Shape, ...]:
    found: list[Shape] = []
    for value, end, into in ((band.all[0], scale.left, 1.0), (band.all[1], scale.right, -1.0)):
        if scale.holds(value):
            continue
        top, low, deep = y + height / 2 + 0.3, y - height / 2 - 0.3, end + into * 1.3
        found.append(polygon(((end, top), (deep, y), (end, low), (end - into * 0.5, y)), "fill", fill=PAPER))
        found.append(polyline(((end, top), (deep, y), (end, low)), "stick"))
        if show is not None:
            at = (end, y + height / 2 + 0.9)
            found.append(Text(at, show(value), fonts.points(9.75), "start" if into > 0 else "end"))
    return tuple(found)


def bracket(low: float, high: float, scale: Scale, y: float, height: float = HEIGHT) -> tuple[Shape, ...]:
    """A bracket under a stick: the band at another time (before, or expected after a test)."""
    a, b, top = scale.at(low), scale.at(high), y - height / 2 - 0.9
    return (polyline(((a, top), (a, top - 1.2), (b, top - 1.2), (b, top)), "stick"),)


def stub(
    kind: str, x: float = 0.0, y: float = 1.8, width: float = 6.0, height: float = 3.6
) -> tuple[Shape, ...]:
    """The small picture of a kind, centred on ``y``: measured solid, published striped, assumed hollow, drawn a cross.

    Raises ``KeyError`` for another kind.
    """
    if kind == "drawn":
        middle, arm = x + width / 2, height / 2
        return (
            line((middle - arm, y), (middle + arm, y), "stick"),
            line((middle, y - arm), (middle, y + arm), "stick"),
        )
    draw = {"assumed": _hollow, "published": _striped, "measured": _solid}[kind]
    return draw(x, x + width, y, height)


def words_for(shares: tuple[float, float, float]) -> str:
    """Where the doubt comes from, from shares of variance (assumed, published, measured): "nearly all measured" from
    90 per cent, "mostly assumed" from 60, else "part published, part assumed" naming the two largest."""
    named = sorted(zip(shares, ("assumed", "published", "measured"), strict=True), reverse=True)
    share, kind = named[0]
    if share >= 0.9:
        return f"nearly all {kind}"
    return f"mostly {kind}" if share >= 0.6 else f"part {kind}, part {named[1][1]}"
