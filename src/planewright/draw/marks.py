"""Everything that stands on a part inside its outline: folds, grooves, slopes, glue, ticks, stations and their words.

Lines follow ISO 128-2:2020, with the two departures that ``scene`` states; meanings never rest on colour. Lengths in
mm on the part. Widths on a part are said in whole millimetres: on a poor copy a decimal point is lost (our own trial).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from math import atan2, degrees, hypot, pi

import numpy as np
import numpy.typing as npt

from planewright.draw.paper import LETTERING
from planewright.draw.scene import Circle, Layer, Path, Point, Shape, Text, hatch, line, polygon, polyline
from planewright.geometry.parts import Bevel, Fold, Glue, Part, Ring, Tick, Word

Array = npt.NDArray[np.float64]

MEANINGS: dict[str, Layer] = {
    "hinge": "centre",
    "control cut": "neighbour",
    "spar": "hidden",
    "rib": "centre",
    "joint": "mark",
    "station": "centre",
    "stick": "hidden",
    "centre": "centre",
    "neighbour": "neighbour",
}
FOLD_LAYERS: dict[str, Layer] = {
    "groove": "groove",
    "score": "score",
    "score behind": "score back",
    "slit behind": "score back",
    "crease": "score",
    "tape": "neighbour",
}
HATCH = 2.2
DOT, DOTS_APART = 0.6, 4.0
LONG_TICK, SHORT_TICK = 6.0, 3.5


def lines(part: Part) -> tuple[Shape, ...]:
    """All lines inside the outline in the order of the knife: scores and grooves, slopes, then what is only drawn."""
    found: list[Shape] = []
    for fold in part.folds:
        found += fold_lines(fold)
    for bevel in part.bevels:
        found += bevel_lines(bevel)
    for area in part.glue:
        found += glue_lines(area)
    found += [tick_line(one) for one in part.ticks]
    found += [Path((one.points,), MEANINGS[one.meaning]) for one in (*part.marks, *part.stations)]
    return tuple(found)


Keep = Callable[[Ring], Ring]
"""The part of a run of points that is seen: all of it, or what lies in one window; empty when nothing does."""


def whole(points: Ring) -> Ring:
    """All of a run of points."""
    return points


def labels(part: Part, keep: Keep = whole) -> tuple[tuple[Text, ...], ...]:
    """Words of all lines; for each the places it may take, best first.

    ``keep``: gives what is seen of each line, so that a line that runs over several pages is named on each.
    """
    runs = [(one.points, fold_words(one), 3.4 + _half(one)) for one in part.folds]
    runs += [(_middle(one), one.words or bevel_words(one), 0.0) for one in part.bevels]
    runs += [(one.points, one.words, 0.0) for one in (*part.marks, *part.stations) if one.words]
    seen = ((keep(points), words, off) for points, words, off in runs)
    found = [_along(points, words, off) for points, words, off in seen if len(points) > 1]
    found += [(_spot(one),) for one in part.words if keep((one.at,))]
    found += [(tick_word(one),) for one in part.ticks if keep((one.at,))]
    found += [_in_glue(one) for one in part.glue if one.words and keep((_centre(one.ring),))]
    return tuple(found)


# folds -------------------------------------------------------------------------------------------------------------


def fold_lines(fold: Fold) -> tuple[Shape, ...]:
    """One fold: its line, the hatched band of a groove, and the sign that says which way it folds."""
    layer = FOLD_LAYERS[fold.how]
    shapes: list[Shape] = []
    if fold.how == "groove" and max(fold.width) > 0.2:
        band = groove_band(fold)
        shapes += [polyline(band[:2], "groove"), polyline(band[2:], "groove")]
        shapes += hatch(band, HATCH, layer="groove")
        shapes.append(polyline(fold.points, "groove", width=0.5, dash=(6.0, 1.5)))
    else:
        shapes.append(polyline(fold.points, layer))
    return (*shapes, *_sign(fold))


def groove_band(fold: Fold) -> tuple[Point, Point, Point, Point]:
    """Corners of the band of foam that comes out, mm: along one edge, back along the other."""
    a, b = np.array(fold.points[0]), np.array(fold.points[-1])
    across = np.array([-(b - a)[1], (b - a)[0]]) / max(float(np.hypot(*(b - a))), 1e-9)
    first, last = fold.width[0] / 2 * across, fold.width[1] / 2 * across
    return _pair(a + first), _pair(b + last), _pair(b - last), _pair(a - first)


def _half(fold: Fold) -> float:
    return max(fold.width) / 2 if fold.how == "groove" else 0.0


def fold_words(fold: Fold) -> str:
    """What is done at a fold and how far it is folded: "V 9 wide, fold 88 deg toward you"."""
    way = "toward you" if fold.angle > 0 else "away"
    turn = f"fold {abs(degrees(fold.angle)):.0f} deg {way}"
    wide = [round(one) for one in fold.width]
    cut = {
        "groove": f"V {wide[0]} wide" if wide[0] == wide[1] else f"V {wide[0]} to {wide[1]} wide",
        "score": "score this face",
        "score behind": "score the other face",
        "slit behind": "slit the other face",
        "crease": "crease, do not cut",
        "tape": "tape",
    }[fold.how]
    said = f"{cut}, {turn}"
    return said if not fold.words or fold.words in said else f"{said}; {fold.words}"


def _sign(fold: Fold) -> tuple[Shape, ...]:
    """A circle on the line with a V in it: upright for a fold toward you, upside down for one away."""
    a, b = np.array(fold.points[0]), np.array(fold.points[-1])
    length = float(np.hypot(*(b - a)))
    if length < 60.0:
        return ()
    along = (b - a) / length
    along = -along if along[0] < -1e-9 or (abs(along[0]) <= 1e-9 and along[1] < 0) else along
    across = np.array([-along[1], along[0]])
    start = a if float((b - a) @ along) > 0 else b
    at = start + min(22.0, 0.2 * length) * along
    rise = 1.2 if fold.angle > 0 else -1.2
    points = [at - 1.3 * along + rise * across, at - rise * across, at + 1.3 * along + rise * across]
    ground = Circle(_pair(at), 2.6, "mark", fill="#ffffff")
    return ground, polyline([_pair(one) for one in points], "mark", width=0.4)


# slopes ------------------------------------------------------------------------------------------------------------


def bevel_lines(bevel: Bevel) -> tuple[Shape, ...]:
    """A thin line where the full thickness ends, with long and short ticks toward the thin edge."""
    shapes: list[Shape] = [polyline(bevel.inner, "bevel")]
    inner, edge = np.array(bevel.inner), np.array(bevel.edge)
    far = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(inner, axis=0).T))))
    count = max(2, int(far[-1] // 6.0))
    for k, at in enumerate(np.linspace(0.0, far[-1], count + 1)):
        start = np.array([np.interp(at, far, inner[:, i]) for i in (0, 1)])
        end = np.array([np.interp(at, far, edge[:, i]) for i in (0, 1)])
        reach = 1.0 if k % 2 == 0 else 0.5
        shapes.append(line(_pair(start), _pair(start + reach * (end - start)), "bevel", width=0.25))
    return tuple(shapes)


def bevel_words(bevel: Bevel) -> str:
    """How much is shaved: "shave to the paper, 12 wide" or "shave to 3, other face"."""
    wide = max(hypot(a[0] - b[0], a[1] - b[1]) for a, b in zip(bevel.edge, bevel.inner, strict=True))
    thin = "to the paper" if bevel.thin < 0.5 else f"to {bevel.thin:.0f}"
    return f"shave {thin}, {wide:.0f} wide" + ("" if bevel.up else ", other face")


def _middle(bevel: Bevel) -> tuple[Point, ...]:
    pairs = zip(bevel.edge, bevel.inner, strict=True)
    return tuple(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairs)


# glue, ticks, words ------------------------------------------------------------------------------------------------


def glue_lines(area: Glue) -> tuple[Shape, ...]:
    """Dots of 0.6 mm, 4 mm apart, in a thin rim."""
    rows = hatch(area.ring, DOTS_APART, 0.0, layer="glue", width=DOT, dash=(DOT, DOTS_APART - DOT))
    return (polygon(area.ring, "glue"), *rows)


def tick_line(tick: Tick) -> Path:
    """A witness tick from the edge inward."""
    reach = LONG_TICK if tick.long else SHORT_TICK
    return line(tick.at, (tick.at[0] - reach * tick.toward[0], tick.at[1] - reach * tick.toward[1]), "mark")


def tick_word(tick: Tick) -> Text:
    """Its letter and number beyond its inner end, read along the edge."""
    reach = (LONG_TICK if tick.long else SHORT_TICK) + 2.2
    at = tick.at[0] - reach * tick.toward[0], tick.at[1] - reach * tick.toward[1]
    return Text(
        at,
        tick.label,
        LETTERING,
        "middle",
        "middle",
        readable(atan2(tick.toward[1], tick.toward[0]) - pi / 2),
    )


def _spot(word: Word) -> Text:
    return Text(
        word.at, word.text, max(LETTERING, word.size), "middle", "middle", readable(word.angle), halo=0.4
    )


def _in_glue(area: Glue) -> tuple[Text, ...]:
    ring = np.array(area.ring)
    edge = ring - np.roll(ring, 1, axis=0)
    longest = edge[int(np.argmax(np.hypot(*edge.T)))]
    angle = readable(float(atan2(longest[1], longest[0])))
    return (Text(_centre(area.ring), area.words, LETTERING, "middle", "middle", angle, halo=0.6),)


def _centre(ring: Ring) -> Point:
    return _pair(np.array(ring).mean(axis=0))


def _along(points: Sequence[Point], words: str, off: float) -> tuple[Text, ...]:
    """Places for words along a line: at its middle, a third and two thirds, ``off`` mm beside it on either side."""
    run = np.array(points)
    far = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))))
    angle = readable(float(atan2(*(run[-1] - run[0])[::-1])))
    across = np.array([-np.sin(angle), np.cos(angle)])
    found = []
    for side in (1.0, -1.0) if off else (0.0,):
        for share in (0.5, 0.33, 0.67, 0.2, 0.8):
            at = np.array([np.interp(share * far[-1], far, run[:, i]) for i in (0, 1)]) + side * off * across
            found.append(Text(_pair(at), words, LETTERING, "middle", "middle", angle, halo=0.4))
    return tuple(found)


def readable(angle: float) -> float:
    """The angle, or the opposite one, at which words are read from the bottom or the right, rad."""
    angle = (angle + pi) % (2 * pi) - pi
    if angle <= -pi / 2 + 0.1:
        return angle + pi
    return angle - pi if angle > pi / 2 + 0.1 else angle


# moving a part -----------------------------------------------------------------------------------------------------


def moved_part(part: Part, turn: float, to: Point = (0.0, 0.0)) -> Part:
    """The part turned anticlockwise by ``turn`` rad, the lower left corner of its box then put at ``to``, mm.

    It is turned, never mirrored; words stay readable.
    """
    c, s = np.cos(turn), np.sin(turn)
    matrix = np.array([[c, s], [-s, c]])
    corner = (np.array(part.rings[0]) @ matrix).min(axis=0) - np.array(to)

    def move(points: Array) -> Array:
        return np.asarray(points @ matrix - corner)

    def ring(points: Iterable[Point]) -> tuple[Point, ...]:
        return tuple(_pair(one) for one in move(np.array(tuple(points))))

    return replace(
        part,
        rings=tuple(ring(one) for one in part.rings),
        marks=tuple(one.moved(move) for one in part.marks),
        stations=tuple(one.moved(move) for one in part.stations),
        folds=tuple(one.moved(move) for one in part.folds),
        bevels=tuple(one.moved(move) for one in part.bevels),
        glue=tuple(one.moved(move) for one in part.glue),
        ticks=tuple(one.moved(move) for one in part.ticks),
        words=tuple(one.moved(move) for one in part.words),
        facets=(),
        edges=(),
        stiff=None if part.stiff is None else part.stiff + turn,
        ends=part.ends if abs(turn) < 1e-9 else ("", ""),
    )


def _pair(point: Array) -> Point:
    return float(point[0]), float(point[1])


def meanings(parts: Iterable[Part]) -> Iterator[Layer]:
    """Layers that really occur on some parts, each once, in the order of the table of line types."""
    seen = {shape.layer for part in parts for shape in lines(part)} | {"cut"}
    order: tuple[Layer, ...] = (
        "cut", "score", "score back", "groove", "bevel", "glue", "hidden", "centre", "neighbour", "mark",
    )  # fmt: skip
    return (one for one in order if one in seen)
