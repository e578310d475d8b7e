"""Rectangles on pages, in rows: the tallest first, left to right, a new row when one is full (shelf packing).

Good enough for pages of small outlines; boards are nested elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Placed:
    """Item ``index`` with the lower left corner of its box at (``x``, ``y``) on ``page``, mm."""

    index: int
    page: int
    x: float
    y: float


def shelves(
    sizes: Sequence[tuple[float, float]], width: float, height: float, gap: float
) -> tuple[Placed, ...]:
    """Places for boxes of (width, height) mm on pages of the given space.

    Raises ``ValueError`` when a box is larger than the space.
    """
    too_large = [one for one in sizes if one[0] > width or one[1] > height]
    if too_large:
        raise ValueError(
            f"a box of {too_large[0][0]:.0f} x {too_large[0][1]:.0f} mm does not fit on the page"
        )
    order = sorted(range(len(sizes)), key=lambda k: (-sizes[k][1], -sizes[k][0], k))
    found, rows = list[Placed](), list[list[float]]()
    for index in order:
        wide, tall = sizes[index]
        row = next((one for one in rows if one[1] + wide <= width and one[3] >= tall), None)
        if row is None:
            row = _new_row(rows, tall, height, gap)
            rows.append(row)
        page, x, top, _ = row
        found.append(Placed(index, int(page), x, height - top - tall))
        row[1] += wide + gap
    return tuple(sorted(found, key=lambda one: one.index))


def _new_row(rows: Sequence[Sequence[float]], tall: float, height: float, gap: float) -> list[float]:
    """A row as [page, next x, distance of its top from the top of the page, its height]."""
    last = int(max((row[0] for row in rows), default=0))
    for page in range(last + 1):
        used = sum(row[3] + gap for row in rows if row[0] == page)
        if used + tall <= height:
            return [page, 0.0, used, tall]
    return [last + 1, 0.0, 0.0, tall]
