"""What a trial should read, as sticks on a card: one row for each reading, with room for a guess by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence

from planewright.draw import fonts
from planewright.draw.scene import Scene, Shape, Text, line
from planewright.draw.stick import Band, Scale, scale_line, stick
from planewright.study.model import Expected
from planewright.units.showing import THIN, System, show_range

WIDTH, ROW, LEFT, RIGHT = 178.0, 13.0, 58.0, 124.0
TEXT = fonts.points(9.75)
MOST = 8
WIDER = 0.35


def range_words(one: Expected, system: System) -> str:
    """The band of a reading in the units of the page."""
    if one.form == "flag":
        return f"holds in {100 * one.middle:.0f} of 100"
    unit, scale = PER.get(one.unit, (one.unit, 1.0))
    if unit != one.unit:
        return f"{figures(one.low * scale)} to {figures(one.high * scale)} {unit}"
    size = max(abs(one.low), abs(one.high))
    decimals = 1 if unit == "m" and size < 0.02 else None
    return show_range(one.low, one.high, unit, system, decimals)


PER = {"m/N": ("mm per 100 g", 980.665), "mm/kg": ("mm per kg", 1.0), "C": ("mAh", 1 / 3.6)}
"""Units that only trials have, with the factor to what is read."""


def figures(value: float) -> str:
    """Three significant figures, never as a power of ten."""
    if value == 0 or not math.isfinite(value):
        return "0"
    places = max(2 - math.floor(math.log10(abs(value))), 0)
    return f"{value:.{places}f}"


def expected_scene(expects: Sequence[Expected], system: System) -> Scene | None:
    """Sticks of the readings, each on a scale of its own; None when there is nothing with a band."""
    rows = [one for one in {one.what: one for one in expects}.values() if one.form != "label"][:MOST]
    if not rows:
        return None
    shapes: list[Shape] = []
    for i, one in enumerate(rows):
        shapes += _row(one, ROW * (len(rows) - 1 - i) + ROW / 2 + 1.5, system)
    return Scene(WIDTH, ROW * len(rows) + 1.0, tuple(shapes), "what should be read")


def _row(one: Expected, y: float, system: System) -> list[Shape]:
    words = [
        Text((0.0, y - 1.2), one.what, TEXT),
        Text((RIGHT + 3.0, y - 1.2), range_words(one, system).replace(THIN, " "), TEXT),
    ]
    guess = line((LEFT, y - 5.2), (RIGHT, y - 5.2), "thin")
    if one.form == "flag" or one.high <= one.low:
        return [*words, guess]
    wide = WIDER * (one.high - one.low)
    scale = Scale(one.low - wide, one.high + wide, LEFT, RIGHT)
    point = (one.middle, one.middle)
    band = Band(one.middle, (one.low, one.high), point, point)
    return [*words, scale_line(scale, y), *stick(band, scale, y), guess]
