"""Parts with few corners as tables of corner numbers: no pages to tape together and no running error."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from shapely import Polygon, get_coordinates

from planewright.draw import fonts
from planewright.draw import paper as sheets
from planewright.draw.marks import bevel_words, fold_words, lines
from planewright.draw.pack import shelves
from planewright.draw.paper import COLUMNS, LETTERING, MARGIN, Paper
from planewright.draw.pieces import scaled, warn_words, words
from planewright.draw.scene import Point, Scene, Shape, Text, bounds, boxes_meet, moved, polygon
from planewright.geometry.parts import Part

FINE = LETTERING
LINE = 4.9


MOST = 16
"""A part with more corners than this, holes counted, is not given by numbers."""


def corners(part: Part) -> tuple[Point, ...]:
    """Corners of the outline, then of the holes, with points within 0.05 mm of a straight edge left out, mm."""
    return tuple(point for ring in rings_of(part) for point in ring)


def rings_of(part: Part) -> tuple[tuple[Point, ...], ...]:
    """Outline and holes with points within 0.05 mm of a straight edge left out, mm."""
    found = []
    for one in part.rings:
        ring = get_coordinates(Polygon(one).simplify(0.05))[:-1]
        found.append(tuple((float(x), float(y)) for x, y in ring))
    return tuple(found)


def by_numbers(part: Part, most: int = MOST) -> bool:
    """True when a part is said well by its corners: few of them, and straight lines for all that stands on it."""
    runs = [one.points for one in part.folds] + [one.points for one in (*part.marks, *part.stations)]
    straight = all(len(one) == 2 for one in runs)
    slopes = all(len(one.inner) <= 3 for one in part.bevels)
    return (
        len(corners(part)) <= most and straight and slopes and len(part.ticks) <= 24 and len(part.glue) <= 2
    )


def fits_by_numbers(part: Part, paper: Paper) -> bool:
    """True when the table of a part fits one page."""
    width, height = sheets.size(paper)
    b = bounds(_corner_cell(part))
    return b[2] - b[0] <= width - 2 * MARGIN - 12.0 and b[3] - b[1] <= height - 2 * MARGIN - 30.0


def corner_pages(parts: Sequence[Part], paper: Paper, owner: str) -> tuple[Scene, ...]:
    """Parts as tables of corner numbers with a small picture: distances along and across from two straight edges of
    the board, tenths of a millimetre."""
    width, height = sheets.size(paper)
    cells = [_corner_cell(one) for one in parts]
    boxes = [bounds(one) for one in cells]
    head = 22.0
    room = width - 2 * MARGIN - 12.0, height - 2 * MARGIN - head - 8.0
    places = shelves([(b[2] - b[0], b[3] - b[1]) for b in boxes], *room, 8.0)
    count = 1 + max(one.page for one in places)
    pages = []
    for page in range(count):
        scene = Scene(width, height, (), f"corner numbers, page N{page + 1}", margin=MARGIN - 0.5)
        for one in (one for one in places if one.page == page):
            b = boxes[one.index]
            scene = scene.plus(moved(cells[one.index], MARGIN + 6 + one.x - b[0], MARGIN + 8 + one.y - b[1]))
        pages.append(scene.plus(_corner_head(scene, page, count, owner, warn_words(parts))))
    return tuple(pages)


def _corner_head(scene: Scene, page: int, count: int, owner: str, warn: str) -> tuple[Shape, ...]:
    top, right = scene.height - MARGIN, scene.width - MARGIN
    says = "Corner numbers: mm along and up from the lower left corner of the box round the part."
    return (
        Text((MARGIN + 6, top - 8), "Measured, not taped", 7.0, face="head", bold=True),
        sheets.fitted(Text((MARGIN + 6, top - 14), says, LETTERING), scene.width - 2 * MARGIN - 40),
        Text((MARGIN + 6, top - 19), warn, LETTERING, bold=True),
        Text((right - 2, top - 11), f"N{page + 1}", 13.0, "end", face="head", bold=True),
        Text((right - 2, top - 17), f"page {page + 1} of {count}", FINE, "end"),
        Text((MARGIN + 6, MARGIN + 1), f"{owner}; made by planewright", FINE),
        *(sheets.warning((MARGIN, MARGIN, right, top)) if warn else ()),
    )


def _corner_letters(points: Sequence[Point], sizes: Sequence[int]) -> list[Text]:
    """A letter off the board beside each corner; where two would meet, the later one stands further off.

    ``sizes``: how many of the points belong to the outline and to each hole.
    """
    found, ends = list[Text](), np.cumsum([0, *sizes])
    away_of = [
        _outward(np.array(points[a:b])) * (1 if k == 0 else -1) for k, (a, b) in enumerate(pairwise(ends))
    ]
    for letter, corner, away in zip(COLUMNS, points, np.concatenate(away_of), strict=False):
        ways = [_turn(turn) @ away for turn in (0.0, 0.6, -0.6, 1.2, -1.2)]
        tries = [np.array(corner) + far * way for far in (3.2, 6.4, 9.6) for way in ways]
        texts = [Text((float(x), float(y)), letter, FINE, "middle", "middle") for x, y in tries]
        apart = (one for one in texts if not any(boxes_meet(_box(one), _box(old), -0.3) for old in found))
        found.append(next(apart, texts[-1]))
    return found


def _outward(ring: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Direction away from the outline at each corner, half way between its two edges' outward normals, (n, 2)."""
    edge = np.roll(ring, -1, axis=0) - ring
    sense = (
        1.0
        if np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1]) > 0
        else -1.0
    )
    normal = sense * np.column_stack((edge[:, 1], -edge[:, 0])) / np.maximum(np.hypot(*edge.T), 1e-9)[:, None]
    both = normal + np.roll(normal, 1, axis=0)
    return np.asarray(both / np.maximum(np.hypot(*both.T), 1e-9)[:, None])


def _turn(angle: float) -> npt.NDArray[np.float64]:
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


def _box(text: Text) -> npt.NDArray[np.float64]:
    return np.array(text.points())


def _corner_cell(part: Part) -> tuple[Shape, ...]:
    """Picture with lettered corners and marks, title, words, table of corners, and where every line on it runs."""
    rings, (width, height) = rings_of(part), part.size
    scale = min(74.0 / width, 40.0 / max(height, 1.0))
    small = [[(x * scale, y * scale) for x, y in ring] for ring in rings]
    marks = [replace(one, width=0.25) for one in scaled(lines(part), scale)]
    letters = _corner_letters([point for ring in small for point in ring], [len(ring) for ring in small])
    shapes: list[Shape] = [*(polygon(ring, "wide") for ring in small), *marks, *letters]
    shapes.append(Text((0.0, -14.0), part.title, 4.6, face="head", bold=True))
    low = -14.0 - LINE
    for one in (piece for text in _lines(part) for piece in fonts.wrap(text, FINE, 82.0)):
        shapes.append(Text((0.0, low), one, FINE))
        low -= LINE
    points = [point for ring in rings for point in ring]
    rows = [(letter, f"{x:.1f}", f"{y:.1f}") for letter, (x, y) in zip(COLUMNS, points, strict=False)]
    for row in (("corner", "along", "up"), *rows, ("diagonal", f"{np.hypot(width, height):.1f}", "")):
        shapes += [Text((x, low), cell, FINE, "end") for x, cell in zip((18.0, 38.0, 57.0), row, strict=True)]
        low -= LINE
    for text in (piece for row in _line_rows(part) for piece in fonts.wrap(row, FINE, 82.0)):
        shapes.append(Text((0.0, low), text, FINE))
        low -= LINE
    return tuple(shapes)


def _lines(part: Part) -> list[str]:
    """Words of a part, then its face and its ends as they lie on the paper."""
    found = list(words(part)[:2])
    if part.face:
        found.append(part.face)
    if all(part.ends):
        found.append(f"{part.ends[0]} at the left, {part.ends[1]} at the right")
    return found


def _line_rows(part: Part) -> list[str]:
    """Every line on the part with the ends of it, "along, up" in mm, and every tick with its place."""
    found = [f"{one.words or 'line'}: {_run(one.points)}" for one in (*part.marks, *part.stations)]
    found += [f"{fold_words(one)}: {_run(one.points)}" for one in part.folds]
    found += [f"{one.words or bevel_words(one)}, from {_run(one.inner)}" for one in part.bevels]
    found += [f"glue {one.words}: {_run(one.ring)}" for one in part.glue]
    if part.ticks:
        found.append(
            "ticks: " + "; ".join(f"{one.label} {one.at[0]:.1f}, {one.at[1]:.1f}" for one in part.ticks)
        )
    return found


def _run(points: Sequence[Point]) -> str:
    return " to ".join(f"{x:.1f}, {y:.1f}" for x, y in points)
