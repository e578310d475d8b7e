"""How few boards any layout needs: by area, and by pieces of which no two can share a board.

Both are true bounds. By area: pieces grown by half the gap do not overlap and lie on boards grown by as much. By pairs:
two pieces are drawn on a grid as the pixels well inside them, 0.71 pixel less than half the gap; whatever layout there
is, moved to the grid, keeps those apart. So when no shift on the grid keeps them apart inside the board (made one pixel
larger), they cannot share one, and pieces that exclude each other by twos need a board each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
import numpy.typing as npt
from scipy.fft import irfft2, next_fast_len, rfft2
from shapely import Polygon, unary_union
from shapely import box as rectangle
from shapely.affinity import rotate, translate

from planewright.draw.nest.grid import filled, rings_of
from planewright.draw.nest.items import turns_on
from planewright.draw.nest.model import Board, Item, Rules

MOST_BOARDS = 200
LARGE = 0.15
"""Pieces above this part of a board are tried by twos."""


@dataclass(frozen=True)
class Bound:
    """What no layout can do without: ``boards`` whole number, ``exact`` by area in boards of the largest size,
    ``apart`` pieces of which no two can share a board."""

    boards: int
    exact: float
    apart: int


def bound(items: Sequence[Item], boards: Sequence[Board], rules: Rules) -> Bound:
    """The least number of boards. They are taken largest first; the largest is repeated when they do not suffice."""
    need = sum(one.shape.buffer(rules.gap / 2, quad_segs=8).area for one in items)
    rooms = sorted((_room(one, rules) for one in boards), reverse=True)
    if not items or not rooms or rooms[0] <= 0:
        return Bound(0, 0.0, 0)
    exact, count = need / rooms[0], 0
    while need > 1e-9 and count < MOST_BOARDS:
        need -= rooms[count] if count < len(rooms) and rooms[count] > 0 else rooms[0]
        count += 1
    largest = max(boards, key=lambda one: (one.width * one.height, not one.damaged))
    apart = _apart(items, largest, rules)
    return Bound(max(count, apart), exact, apart)


def _room(board: Board, rules: Rules) -> float:
    grow = rules.border - rules.gap / 2
    inner = rectangle(grow, grow, max(board.width - grow, grow), max(board.height - grow, grow))
    spoilt = unary_union([Polygon(one).buffer(rules.gap / 2) for one in board.damaged])
    return float(inner.difference(spoilt).area)


def _apart(items: Sequence[Item], board: Board, rules: Rules) -> int:
    """How many pieces exclude each other by twos on one board (found greedily, so at least so many)."""
    large = [one for one in items if one.shape.area > LARGE * board.width * board.height]
    large.sort(key=lambda one: (-one.shape.area, one.key))
    known = dict[tuple[str, str], bool]()

    def excludes(a: Item, b: Item) -> bool:
        key = (min(a.digest, b.digest), max(a.digest, b.digest))
        if key not in known:
            known[key] = not share(a, b, board, rules)
        return known[key]

    best = 0
    for start in range(min(len(large), 4)):
        chosen = [large[start]] if large else []
        for one in large:
            if one is not large[start] and all(excludes(one, other) for other in chosen):
                chosen.append(one)
        best = max(best, len(chosen))
    return best


def share(first: Item, second: Item, board: Board, rules: Rules) -> bool:
    """False when two pieces cannot lie on one undamaged board; True when they can, or when the grid cannot tell."""
    turns = {(round((b - a) % 360.0, 6), a) for a in turns_on(first, board) for b in turns_on(second, board)}
    seen = set[tuple[float, float]]()
    for between, a in sorted(turns):
        way = a % 180.0
        if (between, way) in seen:
            continue
        seen.add((between, way))
        if _share_so(_core(first, a, rules), _core(second, a + between, rules), board, rules):
            return True
    return False


def _core(item: Item, turn: float, rules: Rules) -> tuple[npt.NDArray[np.bool_], tuple[float, float]]:
    """Pixels well inside a piece in one turn, and the box round the whole piece, mm."""
    shape = rotate(item.shape, turn, origin=(0.0, 0.0))
    shape = translate(shape, -shape.bounds[0], -shape.bounds[1])
    core = shape.buffer(rules.gap / 2 - 0.7072 * rules.pixel)
    across, up = (ceil(side / rules.pixel) + 4 for side in shape.bounds[2:])
    parts = [core] if isinstance(core, Polygon) else list(getattr(core, "geoms", ()))
    shift = 2 * rules.pixel
    bits = np.zeros((up, across), dtype=np.bool_)
    for one in parts:
        if not one.is_empty:
            bits |= filled([ring + shift for ring in rings_of(one)], across, up, rules.pixel)
    return bits, (shape.bounds[2], shape.bounds[3])


def _share_so(
    first: tuple[npt.NDArray[np.bool_], tuple[float, float]],
    second: tuple[npt.NDArray[np.bool_], tuple[float, float]],
    board: Board,
    rules: Rules,
) -> bool:
    """True when some shift of the second against the first keeps both apart and inside the board."""
    (a, size_a), (b, size_b) = first, second
    up, across = a.shape[0] + b.shape[0] - 1, a.shape[1] + b.shape[1] - 1
    full = next_fast_len(up, True), next_fast_len(across, True)
    wave = rfft2(a.astype(np.float32), full) * rfft2(b[::-1, ::-1].astype(np.float32), full)
    hits = irfft2(wave, full)[:up, :across]
    room = [side + rules.pixel for side in board.room(rules.border)]
    dy = (np.arange(up) - (b.shape[0] - 1))[:, None] * rules.pixel
    dx = (np.arange(across) - (b.shape[1] - 1))[None, :] * rules.pixel
    wide = np.maximum(size_a[0], dx + size_b[0]) - np.minimum(0.0, dx)
    tall = np.maximum(size_a[1], dy + size_b[1]) - np.minimum(0.0, dy)
    beside = (
        min(size_a[0] + size_b[0] + rules.gap - room[0], size_a[1] + size_b[1] + rules.gap - room[1]) <= 0
    )
    return bool(beside or np.any((hits < 0.5) & (wide <= room[0]) & (tall <= room[1])))
