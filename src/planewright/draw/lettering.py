"""Outlines of letters as rings, for large hollow words across a sheet. fontTools and shapely are loaded on use."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from planewright.draw import fonts
from planewright.draw.fonts import Face

Ring = tuple[tuple[float, float], ...]
CHORDS = (0.25, 0.5, 0.75, 1.0)


@cache
def outlines(words: str, face: Face = "head", bold: bool = True) -> tuple[Ring, ...]:
    """Rings of the letters of ``words`` on a baseline from (0, 0), em of 1, overlapping strokes of a letter joined.

    Curves are broken into four chords each. Raises ``KeyError`` for a letter that the font lacks.
    """
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    found = list[Ring]()
    with TTFont(fonts.path(face, bold), lazy=True) as font:
        em, start = font["head"].unitsPerEm, 0.0
        for letter in words:
            name = font.getBestCmap()[ord(letter)]
            found += [tuple((x / em + start, y / em) for x, y in ring) for ring in _letter(font, name)]
            start += fonts.width(letter, 1.0, face, bold)
    return tuple(found)


def _letter(font: Any, name: str) -> list[Ring]:
    """One glyph's rings in font units; strokes turn clockwise, holes anticlockwise (TrueType)."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen  # type: ignore[import-untyped]
    from shapely import Polygon, get_coordinates, get_parts, union_all

    glyphs = font.getGlyphSet()
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    rings = [Polygon(ring) for ring in _rings(pen.value)]
    holes = [one.buffer(0) for one in rings if one.exterior.is_ccw]
    solid = union_all([one.buffer(0) for one in rings if not one.exterior.is_ccw]).difference(
        union_all(holes)
    )
    edges = [edge for piece in get_parts(solid) if piece.area for edge in (piece.exterior, *piece.interiors)]
    return [tuple((float(x), float(y)) for x, y in get_coordinates(edge)[:-1]) for edge in edges]


def _rings(commands: Iterable[tuple[str, tuple[Any, ...]]]) -> list[list[tuple[float, float]]]:
    """Rings of points from a glyph's drawing commands."""
    from fontTools.pens.basePen import decomposeQuadraticSegment  # type: ignore[import-untyped]

    rings, ring = list[list[tuple[float, float]]](), list[tuple[float, float]]()
    for name, points in commands:
        if name == "moveTo":
            ring = [points[0]]
        elif name == "lineTo":
            ring.append(points[0])
        elif name == "qCurveTo":
            for control, end in decomposeQuadraticSegment(points):
                ring += _curve(ring[-1], control, end)
        elif len(ring) > 2:
            rings.append(ring)
    return rings


def _curve(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]
) -> list[tuple[float, float]]:
    """Points of a quadratic curve from ``a`` by the control point ``b`` to ``c``, without ``a``."""
    weights = [((1 - t) ** 2, 2 * t * (1 - t), t * t) for t in CHORDS]
    return [(u * a[0] + v * b[0] + w * c[0], u * a[1] + v * b[1] + w * c[1]) for u, v, w in weights]
