"""The first page of a set of templates: how to print, check and join the pages, and what each line means."""

from __future__ import annotations

from collections.abc import Sequence

from planewright.draw import fonts
from planewright.draw.paper import LETTERING, WARNING
from planewright.draw.scene import Circle, Layer, Point, Shape, Text, line

STEP = 5.0
LINES: tuple[tuple[Layer, str], ...] = (
    ("cut", "edge of the part"),
    ("hidden", "a spar or stick lies here"),
    ("centre", "place of a rib, a hinge, or the string line"),
    ("neighbour", "end of a control surface"),
    ("mark", "check bar, cross"),
)
RULES = (
    "Print this page first, at actual size, never fitted to the paper. Keep every page upright.",
    "Measure both bars with a steel rule. If they are not right, give both readings and print again.",
    "Measure the bars of the second print as well: they confirm the factors.",
    "Pages of one part: the right and the upper strip lie under the neighbour; equal numbers of crosses meet.",
    "Draw a long straight line on the board first, lay the string line of every page on it, then match crosses.",
    "After taping, measure both diagonals of the box round the part: up to 2 mm apart is good enough.",
    "Parts lie inside face up. Turn them on the board, never flip them, unless the part says so.",
    "No folds, no thickness and no joints are in these outlines yet: use them to plan sheets and weights.",
)


def legend(at: Point, room: float, counts: Sequence[str]) -> tuple[Shape, ...]:
    """Words and sample lines from ``at`` (upper left corner) downward, ``room`` mm wide.

    Arguments:
        counts: lines that say how many pages of which sort follow.
    """
    x, y = at
    shapes: list[Shape] = [Text((x, y - 7), "How to use these pages", 7.5, face="head", bold=True)]
    shapes.append(Text((x, y - 14), WARNING, LETTERING, bold=True))
    y -= 21.0
    for number, rule in enumerate(RULES, start=1):
        shapes.append(Text((x, y), f"{number}", LETTERING, bold=True))
        for piece in fonts.wrap(rule, LETTERING, room - 7.0):
            shapes.append(Text((x + 7.0, y), piece, LETTERING))
            y -= STEP
        y -= 1.2
    y -= 4.0
    shapes.append(Text((x, y), "What each line means", 5.0, face="head", bold=True))
    for layer, words in LINES:
        y -= STEP + 1.5
        shapes.append(line((x, y + 1.2), (x + 26.0, y + 1.2), layer))
        shapes.append(Text((x + 31.0, y), words, LETTERING))
    shapes.append(Circle((x + 13.0, y + 1.2), 2.4, "mark"))
    shapes.append(line((x + 13.0, y - 2.0), (x + 13.0, y + 4.4), "mark"))
    y -= STEP + 5.0
    for words in counts:
        shapes.append(Text((x, y), words, LETTERING))
        y -= STEP
    return tuple(shapes)
