"""Sheets of paper: sizes, frames, title strip, scales, and the words that warn.

Sizes: ISO 216 for A3 and A4, ANSI/ASME Y14.1 for Letter (8.5 x 11 in) and Tabloid (11 x 17 in). Filing margin 20 mm
and others 10 mm as in ISO 5457, title block of 180 mm with the fields of ISO 7200 (both clause numbers from memory).
Scales: those recommended by ISO 5455 (1:2, 1:5, 1:10 and their tenfolds), with the steps 1:15, 1:25 and 1:40 between.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, sin
from typing import Literal

from planewright.draw import fonts
from planewright.draw.lettering import outlines
from planewright.draw.scene import Path, Point, Scene, Shape, Text, box, flat, line

Paper = Literal["A4", "A3", "Letter", "Tabloid"]
PAPERS: dict[Paper, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
"""Portrait width and height, mm."""
SCALES = (1, 2, 5, 10, 15, 20, 25, 40, 50, 100, 200, 500, 1000, 2000, 5000)
FILING, EDGE = 20.0, 10.0
MARGIN = 10.0
"""Kept free round a template page, because few home printers reach the edge, mm."""
COLUMNS = "ABCDEFGHJKLMNPRSTUVWXYZ"
"""Letters without I, O and Q, which look like figures."""
STRIP = 22.0
FLOOR = fonts.points(9.75)
"""Least em of any word on paper, mm."""
WARNING = "OUTLINE, NOT FOR CUTTING"
LETTERING = 3.8
"""Em of lettering on drawings, mm: capitals 2.5 mm high, the least that a poor copy kept."""


@dataclass(frozen=True)
class Title:
    """Fields of the title strip: ``owner`` the aeroplane, ``title`` of the sheet, ``number`` of the drawing,
    ``letter`` of the configuration, ``date`` as text given by the caller, ``note`` one short line."""

    owner: str
    title: str
    number: str
    letter: str
    date: str
    note: str = "all sizes in mm"


def size(paper: Paper, landscape: bool = False) -> tuple[float, float]:
    """Width and height of a sheet, mm."""
    width, height = PAPERS[paper]
    return (height, width) if landscape else (width, height)


def room(paper: Paper, landscape: bool = False) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of the drawing space above the title strip, mm."""
    width, height = size(paper, landscape)
    return FILING, EDGE + STRIP, width - EDGE, height - EDGE


def scale_that_fits(wanted: float, available: float, scales: Sequence[int] = SCALES) -> int:
    """Denominator of the largest scale at which ``wanted`` mm fits into ``available`` mm.

    Raises ``ValueError`` when not even the smallest does.
    """
    for one in scales:
        if wanted / one <= available + 1e-9:
            return one
    raise ValueError(f"{wanted:.0f} mm do not fit into {available:.0f} mm at 1:{scales[-1]}")


def framed(
    paper: Paper,
    title: Title,
    sheet: tuple[int, int],
    scale: str,
    landscape: bool = False,
    warn: bool = False,
) -> Scene:
    """An empty sheet with frame and title strip.

    Arguments:
        sheet: number of this sheet and of all.
        scale: as written, such as "1:10".
        warn: True lays OUTLINE, NOT FOR CUTTING across it.
    """
    width, height = size(paper, landscape)
    frame = box(FILING, EDGE, width - FILING - EDGE, height - 2 * EDGE, "frame")
    strip = title_strip(title, (FILING, EDGE), width - FILING - EDGE, sheet, f"{paper}", scale)
    shapes = flat(frame, strip)
    if warn:
        shapes += warning((FILING, EDGE + STRIP, width - EDGE, height - EDGE))
    words = f"{title.owner}, {title.title}, sheet {sheet[0]} of {sheet[1]}"
    return Scene(width, height, shapes, words, margin=4.0)


def title_strip(
    title: Title, at: Point, width: float, sheet: tuple[int, int], paper: str, scale: str
) -> tuple[Shape, ...]:
    """The strip of fields along the foot of a sheet, its lower left corner ``at``, ``width`` mm wide, 22 mm high."""
    upper = (("aeroplane", title.owner, 0.26), ("title", title.title, 0.50), ("made by", "planewright", 0.24))
    lower = (
        ("drawing", title.number, 0.20),
        ("letter", title.letter, 0.10),
        ("sheet", f"{sheet[0]} of {sheet[1]}", 0.14),
        ("scale", scale, 0.14),
        ("paper", paper, 0.14),
        ("date", title.date, 0.28),
    )
    half = STRIP / 2
    rows = (_fields(upper, (at[0], at[1] + half), width, half), _fields(lower, at, width, half))
    return flat(box(at[0], at[1], width, STRIP, "frame"), *rows)


def _fields(
    fields: Sequence[tuple[str, str, float]], at: Point, width: float, height: float
) -> tuple[Shape, ...]:
    shapes: list[Shape] = [line(at, (at[0] + width, at[1]), "thin")]
    x = at[0]
    for name, value, share in fields:
        wide = share * width
        if x > at[0]:
            shapes.append(line((x, at[1]), (x, at[1] + height), "thin"))
        shapes.append(Text((x + 1.5, at[1] + height - 3.8), name, FLOOR))
        shapes.append(fitted(Text((x + 1.5, at[1] + 1.9), value, 4.2, bold=True), wide - 3.0))
        x += wide
    return tuple(shapes)


def fitted(text: Text, room: float, least: float = FLOOR) -> Text:
    """The text made smaller until it fits ``room`` mm; below ``least`` mm it is cut short with a full stop."""
    if text.length <= room:
        return text
    small = replace(text, size=max(least, text.size * room / text.length))
    words = text.words
    while len(words) > 1 and replace(small, words=f"{words}.").length > room and small.length > room:
        words = words[:-1]
    return small if words == text.words else replace(small, words=f"{words}.")


def warning(space: tuple[float, float, float, float], words: str = WARNING) -> tuple[Shape, ...]:
    """Large hollow words from corner to corner of a space (left, bottom, right, top), as large as fit."""
    left, low, right, high = space
    wide, tall = right - left, high - low
    angle = min(atan2(tall, wide), 0.9)
    length, rise = fonts.width(words, 1.0, "head", True), fonts.metrics("head", True).cap_height
    across, upward = length * cos(angle) + rise * sin(angle), length * sin(angle) + rise * cos(angle)
    em = 0.94 * min(wide / across, tall / upward)
    drop = 0.5 * em * rise
    middle = ((left + right) / 2 + drop * sin(angle), (low + high) / 2 - drop * cos(angle))
    return (lettering(Text(middle, words, em, "middle", angle=angle, face="head", bold=True)),)


def lettering(text: Text, ink: str = "#8a8a8a", line_width: float = 0.3) -> Path:
    """A text as hollow letters on the layer "overlay", which lies across a sheet on purpose."""
    (x, y), c, s = text.start, cos(text.angle) * text.size, sin(text.angle) * text.size
    rings = tuple(
        tuple((x + u * c - v * s, y + u * s + v * c) for u, v in ring)
        for ring in outlines(text.printable, text.face, text.bold)
    )
    return Path(rings, "overlay", closed=True, ink=ink, width=line_width)


def scale_bar(
    at: Point, scale: float, length: float, unit: str = "mm", step: float | None = None
) -> tuple[Shape, ...]:
    """A bar of ``length`` (in ``unit``) at 1:``scale`` with a tick at every ``step``; ``scale`` is units per mm."""
    step = step or length / 5
    count = round(length / step)
    x, y = at
    shapes: list[Shape] = [line((x, y), (x + length / scale, y), "mark")]
    for k in range(count + 1):
        tall = 2.2 if k in (0, count) else 1.2
        shapes.append(line((x + k * step / scale, y), (x + k * step / scale, y + tall), "mark"))
    shapes.append(Text((x, y - 3.6), "0", LETTERING, "middle"))
    shapes.append(Text((x + length / scale, y - 3.6), f"{length:g} {unit}", LETTERING, "middle"))
    return tuple(shapes)
