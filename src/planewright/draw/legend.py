"""The first page of a set of templates: how to print, check and join the pages, and what each line means."""

from __future__ import annotations

from collections.abc import Sequence

from planewright.draw import fonts
from planewright.draw.marks import meanings
from planewright.draw.paper import LETTERING
from planewright.draw.pieces import warn_words
from planewright.draw.scene import Circle, Layer, Point, Shape, Text, box, flat, hatch, line, polyline
from planewright.geometry.parts import Part

STEP = 5.0
SAMPLE = 26.0
WORDS: dict[Layer, str] = {
    "cut": "edge of the part: cut right through",
    "score": "fold toward you: score this face (circle with a V)",
    "score back": "fold away: score the other face (circle with the V upside down)",
    "groove": "cut out a V of foam as wide as said, leave the far paper",
    "bevel": "slope: shave the foam, ticks point to the thin edge",
    "glue": "glue here",
    "hidden": "a spar or stick lies here",
    "centre": "place of a rib, station, middle line, hinge, or the string line",
    "neighbour": "end of a control surface, or the part beside it",
    "mark": "check bar, cross, tick: equal letters and numbers meet",
}
RULES = (
    "Print this page first, at actual size, never fitted to the paper. Keep every page upright.",
    "Measure both bars with a steel rule. If they are not right, give both readings and print again.",
    "Measure the bars of the second print as well: they confirm the factors.",
    "Pages of one part: the right and the upper strip lie under the neighbour; equal numbers of crosses meet.",
    "Draw a long straight line on the board first, lay the string line of every page on it, then match crosses.",
    "After taping, measure both diagonals of the box round the part: up to 2 mm apart is good enough.",
    "Parts lie inside face up. Turn them on the board, never flip them, unless the part says so.",
)
KNIFE = "Order of the knife: holes, scores and grooves, slopes, the outline last."
UNFINISHED = (
    "Where a part says OUTLINE, NOT FOR CUTTING no folds, no thickness and no joints are in it yet: use it to plan "
    "sheets and weights."
)


def legend(at: Point, room: float, counts: Sequence[str], parts: Sequence[Part] = ()) -> tuple[Shape, ...]:
    """Words and sample lines from ``at`` (upper left corner) downward, ``room`` mm wide.

    Arguments:
        counts: lines that say how many pages of which sort follow.
        parts: those that follow: only lines that occur on them are explained, besides those of the pages.
    """
    x, y = at
    warn = warn_words(parts)
    shapes: list[Shape] = [Text((x, y - 7), "How to use these pages", 7.5, face="head", bold=True)]
    shapes.append(Text((x, y - 14), warn, LETTERING, bold=True))
    y -= 21.0
    for number, rule in enumerate((*RULES, UNFINISHED if warn else KNIFE), start=1):
        shapes.append(Text((x, y), f"{number}", LETTERING, bold=True))
        for piece in fonts.wrap(rule, LETTERING, room - 7.0):
            shapes.append(Text((x + 7.0, y), piece, LETTERING))
            y -= STEP
        y -= 1.2
    y -= 4.0
    shapes.append(Text((x, y), "What each line means", 5.0, face="head", bold=True))
    used = dict.fromkeys([*meanings(parts), "hidden", "centre", "neighbour", "mark"])
    for layer in (one for one in WORDS if one in used):
        y -= STEP + 1.5
        shapes += sample((x, y + 1.2), layer)
        shapes.append(Text((x + SAMPLE + 5.0, y), WORDS[layer], LETTERING))
    shapes.append(Circle((x + SAMPLE / 2, y + 1.2), 2.4, "mark"))
    shapes.append(line((x + SAMPLE / 2, y - 2.0), (x + SAMPLE / 2, y + 4.4), "mark"))
    y -= STEP + 5.0
    for words in counts:
        shapes.append(Text((x, y), words, LETTERING))
        y -= STEP
    return tuple(shapes)


def sample(at: Point, layer: Layer) -> tuple[Shape, ...]:
    """A line of a layer, 26 mm long from ``at``, with what always goes with it."""
    (x, y), end = at, (at[0] + SAMPLE, at[1])
    if layer == "groove":
        band = ((x, y - 1.6), (end[0], y - 1.6), (end[0], y + 1.6), (x, y + 1.6))
        edges = (line(band[0], band[1], "groove"), line(band[3], band[2], "groove"))
        return flat(
            edges, hatch(band, 2.2, layer="groove"), line(at, end, "groove", width=0.5, dash=(6.0, 1.5))
        )
    if layer == "bevel":
        ticks = [
            line((x + 3 * k, y + 1), (x + 3 * k, y + (-2.2 if k % 2 == 0 else -0.6)), "bevel")
            for k in range(9)
        ]
        return flat(line((x, y + 1), (end[0], y + 1), "bevel"), ticks)
    if layer == "glue":
        rim = box(x, y - 2.0, SAMPLE, 4.0, "glue")
        return flat(rim, hatch(rim.rings[0], 2.0, 0.0, layer="glue", width=0.6, dash=(0.6, 2.0)))
    if layer in ("score", "score back"):
        rise = 1.2 if layer == "score" else -1.2
        middle = x + SAMPLE / 2
        sign = polyline(
            ((middle - 1.3, y + rise), (middle, y - rise), (middle + 1.3, y + rise)), "mark", width=0.4
        )
        return flat(line(at, end, layer), Circle((middle, y), 2.6, "mark", fill="#ffffff"), sign)
    return (line(at, end, layer),)
