"""Dimensions in the manner of ISO 129-1: extension lines, dimension line with filled heads, whole millimetres without a
unit, read from the bottom or from the right. The value stands in a gap of its line; where there is no room for it, it
stands beside the line (a house choice; the standard sets values above the line).
"""

from __future__ import annotations

from dataclasses import replace
from math import pi

from planewright.draw.paper import LETTERING
from planewright.draw.scene import Point, Shape, Text, line, polygon

GAP, BEYOND = 1.0, 2.0
HEAD = 2.6


def across(a: Point, b: Point, y: float, words: str, size: float = LETTERING) -> tuple[Shape, ...]:
    """A level dimension at height ``y`` between the x of ``a`` and ``b``, with extension lines from both points."""
    (left, right) = (a, b) if a[0] <= b[0] else (b, a)
    shapes = [one for p in (left, right) if (one := _extension(p, (p[0], y))) is not None]
    return (*shapes, *_dimension_line((left[0], y), (right[0], y), words, size, 0.0))


def upward(a: Point, b: Point, x: float, words: str, size: float = LETTERING) -> tuple[Shape, ...]:
    """An upright dimension at ``x`` between the heights of ``a`` and ``b``; its value reads from the right."""
    (low, high) = (a, b) if a[1] <= b[1] else (b, a)
    shapes = [one for p in (low, high) if (one := _extension(p, (x, p[1]))) is not None]
    return (*shapes, *_dimension_line((x, low[1]), (x, high[1]), words, size, pi / 2))


def _extension(feature: Point, end: Point) -> Shape | None:
    dx, dy = end[0] - feature[0], end[1] - feature[1]
    length = abs(dx) + abs(dy)
    if length < 1.5:
        return None
    ux, uy = dx / length, dy / length
    start = (feature[0] + GAP * ux, feature[1] + GAP * uy)
    return line(start, (end[0] + BEYOND * ux, end[1] + BEYOND * uy), "dimension")


def _dimension_line(a: Point, b: Point, words: str, size: float, angle: float) -> tuple[Shape, ...]:
    """From ``a`` to ``b`` (level or upright, in reading order) with heads, and the value in a gap or beside."""
    length = abs(b[0] - a[0]) + abs(b[1] - a[1])
    if length < 0.5:
        return ()
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    text = Text(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), words, size, "middle", "middle", angle, halo=0.3)
    need = text.length + 2.0
    if length >= need + 2 * HEAD + 2.0:
        half = (length - need) / 2
        gap = ((a[0] + half * ux, a[1] + half * uy), (b[0] - half * ux, b[1] - half * uy))
        lines = (line(a, gap[0], "dimension"), line(gap[1], b, "dimension"))
        return (*lines, _head(a, (ux, uy)), _head(b, (-ux, -uy)), text)
    return _narrow(a, b, (ux, uy), text, length >= 3 * HEAD)


def _narrow(a: Point, b: Point, way: Point, text: Text, inside: bool) -> tuple[Shape, ...]:
    """Too short for its value: heads inside or outside, the value beyond the second end."""
    ux, uy = way
    tail = HEAD + 1.5 + (0.0 if inside else HEAD)
    far = (b[0] + tail * ux, b[1] + tail * uy)
    near = a if inside else (a[0] - 2 * HEAD * ux, a[1] - 2 * HEAD * uy)
    sign = 1.0 if inside else -1.0
    heads = (_head(a, (sign * ux, sign * uy)), _head(b, (-sign * ux, -sign * uy)))
    place = (far[0] + 0.8 * ux, far[1] + 0.8 * uy)
    return (line(near, far, "dimension"), *heads, replace(text, at=place, anchor="start"))


def _head(tip: Point, way: Point) -> Shape:
    """A filled arrow head with its tip at ``tip``, its body along ``way`` from it; 20 degrees wide."""
    x, y, (ux, uy) = tip[0], tip[1], way
    half = HEAD * 0.18
    back = (x + HEAD * ux, y + HEAD * uy)
    wings = ((back[0] - half * uy, back[1] + half * ux), (back[0] + half * uy, back[1] - half * ux))
    return polygon((tip, *wings), "dimension", fill="#000000", width=0.0)
