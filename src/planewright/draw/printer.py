"""One printer and its paper: the check bars of a page, and the factors that a ruler gives for them."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, pi

from planewright.draw import paper as sheets
from planewright.draw.paper import LETTERING, MARGIN, Paper
from planewright.draw.scene import Shape, Text, line
from planewright.errors import OutOfRange

LIMIT = 0.03
FINE = LETTERING


@dataclass(frozen=True)
class Printer:
    """Factors of one printer across and up the page (asked over read), from its check bars; 1 when not yet read."""

    across: float = 1.0
    up: float = 1.0

    def words(self) -> str:
        """The factors as printed on each page."""
        if self.across == self.up == 1.0:
            return "printer not yet measured"
        return f"printer factors {self.across:.4f} across, {self.up:.4f} up"


UNCORRECTED = Printer()
"""A printer nobody has measured."""


def printer(paper: Paper, read_across: float, read_up: float) -> Printer:
    """Factors from what a ruler shows on the two bars of a page printed without factors, mm.

    Raises ``OutOfRange`` when a bar is more than 3 % off: then the page was fitted to the paper, not printed at
    actual size.
    """
    asked = bars(paper)
    found = []
    for want, read, way in zip(asked, (read_across, read_up), ("across", "up"), strict=True):
        if not abs(read / want - 1.0) <= LIMIT:
            what = f"The bar {way} of {want:.0f} mm (was the page fitted to the paper? print at actual size), in mm,"
            raise OutOfRange(what, read, want * (1 - LIMIT), want * (1 + LIMIT))
        found.append(want / read)
    return Printer(*found)


def usable(paper: Paper) -> tuple[float, float]:
    """Width and height a printer can mark on a portrait page, mm: 10 mm kept free all round."""
    width, height = sheets.size(paper)
    return width - 2 * MARGIN, height - 2 * MARGIN


def bars(paper: Paper) -> tuple[float, float]:
    """Length of the check bars across and up a page, whole tens of mm."""
    width, height = usable(paper)
    return 10.0 * floor((width - 20.0) / 10.0), 10.0 * floor((height - 37.0) / 10.0)


def check_bars(paper: Paper, factors: Printer = UNCORRECTED) -> tuple[Shape, ...]:
    """Two bars with a tick at every 10 mm, across and up, as long as the page allows; they print at the asked length
    on the printer the factors belong to. Their ends are the ends of the drawn line."""
    across, up = bars(paper)
    x, y = MARGIN + 16.0, MARGIN + 26.0
    left, low = MARGIN + 10.0, MARGIN + 18.0
    shapes: list[Shape] = [
        line((left, low), (left + across * factors.across, low), "mark"),
        line((x, y), (x, y + up * factors.up), "mark"),
    ]
    for k in range(int(across / 10) + 1):
        at, tall = left + 10 * k * factors.across, 3.4 if k % 5 == 0 else 1.8
        shapes.append(line((at, low), (at, low + tall), "mark"))
    for k in range(int(up / 10) + 1):
        at, tall = y + 10 * k * factors.up, 3.4 if k % 5 == 0 else 1.8
        shapes.append(line((x, at), (x + tall, at), "mark"))
    level = f"{across:.0f} mm across: measure this bar; print at actual size"
    upright = f"{up:.0f} mm up: measure this bar"
    shapes.append(Text((left + 0.5 * across, low - 4.8), level, LETTERING, "middle", halo=0.4))
    shapes.append(Text((x - 1.6, y + 0.30 * up), upright, LETTERING, "middle", angle=pi / 2, halo=0.4))
    return tuple(shapes)


def foot_line(paper: Paper, foot: tuple[str, str], factors: Printer) -> tuple[Shape, ...]:
    words = f"{foot[0]}; {factors.words()}; made by planewright"
    room = usable(paper)[0] - 34.0
    return (sheets.fitted(Text((MARGIN + 17.0, MARGIN + 8.8), words, FINE, halo=0.4), room),)
