"""A saved layout taken over to the next revision: whatever still fits where it lay stays there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely import Polygon

from planewright.draw.nest.bounds import bound
from planewright.draw.nest.grid import Grid
from planewright.draw.nest.items import turns_on
from planewright.draw.nest.model import USUAL, Board, Item, Layout, Left, Placement, Rules, Telling, laid, put
from planewright.draw.nest.search import Bench, Buy, advice, fits_some, nest, silent

NUDGE = 4.0
"""A changed part may move so far and still count as lying at its place, mm (two pixels of the search grid)."""


def kept(
    items: Sequence[Item],
    before: Layout,
    boards: Sequence[Board],
    buy: Buy,
    rules: Rules = USUAL,
    tell: Telling = silent,
) -> Layout:
    """Lay items as ``before`` as far as they still fit.

    An unchanged part does not move. A changed one takes its old place if it fits there within 4 mm, else a free
    place on a board in use, else its board alone is laid anew, else a board is added. Boards printed or cut are
    frozen: what lies there stays. A part that changed since, or is gone, stays there as ``stale``, and the changed
    one is laid elsewhere.

    Arguments:
        boards: owned now, with their state; a board that is gone frees what lay on it.
    Returns: the layout; ``moved`` names what lies elsewhere than before, without changed parts at their place.
    """
    old = {one.key: one for one in before.placements}
    whole = [
        *boards,
        *(one for one in before.boards if one.name not in {b.name for b in boards} and not one.owned),
    ]
    work = Work(items, whole, buy, rules)
    work.take_over(old)
    for k, item in enumerate(waiting := work.waiting()):
        tell(k / max(1, len(waiting)), f"{before.material}: {item.key}")
        work.find(item, old.get(item.key))
    least = bound(
        [one for one in items if one.key not in {l.key for l in work.left}], [*whole, buy(1)], rules
    )
    tell(1.0, f"{before.material}: layout kept")
    every = [*work.stayed, *work.bench.placements]
    moved = tuple(one.key for one in every if one.key in old and not _same_place(one, old[one.key]))
    fresh = {(one.key, one.digest) for one in every}
    frozen = {one.name for one in whole if one.state != "free"}
    stale = tuple(
        one
        for one in (*before.placements, *before.stale)
        if one.board in frozen and (one.key, one.digest) not in fresh
    )
    full = [Left(key, "no board has room for it", "one more board") for key in work.bench.left]
    order = {one.key: k for k, one in enumerate(items)}
    placed = tuple(sorted(every, key=lambda one: order.get(one.key, -1)))
    used = {one.board for one in (*placed, *stale)}
    named = tuple(dict.fromkeys([*whole, *(g.board for g in work.bench.opened)]))
    all_boards = tuple(one for one in named if one.owned or one.name in used)
    return Layout(
        before.material, all_boards, placed, (*work.left, *full), least.boards, least.exact, 0, moved, stale
    )


def _same_place(one: Placement, other: Placement) -> bool:
    near = abs(one.x - other.x) <= NUDGE + 1e-6 and abs(one.y - other.y) <= NUDGE + 1e-6
    return one.board == other.board and one.turn_deg == other.turn_deg and near


@dataclass
class Work:
    """One taking-over under way."""

    items: Sequence[Item]
    boards: Sequence[Board]
    buy: Buy
    rules: Rules

    def __post_init__(self) -> None:
        free = [one for one in self.boards if one.state == "free"]
        self.stayed: list[Placement] = []
        names = [one.name for one in self.boards if one.state != "free"]
        self.bench = Bench(free, self.buy, self.rules, names)
        self.left = [
            advice(one, [*self.boards, self.buy(1)], self.rules)
            for one in self.items
            if not fits_some(one, [*self.boards, self.buy(1)], self.rules)
        ]

    def take_over(self, old: dict[str, Placement]) -> None:
        """Unchanged items, and everything on frozen boards, at their old places."""
        named = {one.name: one for one in self.boards}
        for item in self.items:
            place = old.get(item.key)
            if place is None or place.board not in named or place.digest != item.digest:
                continue
            board = named[place.board]
            shape = laid(item, place)
            if board.state != "free":
                self.stayed.append(place)
            elif self._clear(item, shape, place.turn_deg, grid := self._grid(board)):
                self.bench.take(item, grid, place.turn_deg, (place.x, place.y))
        self._drop_empty()

    def _grid(self, board: Board) -> Grid:
        for grid in self.bench.opened:
            if grid.board.name == board.name:
                return grid
        grid = Grid(board, self.rules)
        self.bench.opened.append(grid)
        if board in self.bench.waiting:
            self.bench.waiting.remove(board)
        return grid

    def _drop_empty(self) -> None:
        """Boards opened for nothing wait again."""
        carrying = {one.board for one in self.bench.placements}
        empty = [one for one in self.bench.opened if one.board.name not in carrying]
        self.bench.opened = [one for one in self.bench.opened if one.board.name in carrying]
        self.bench.waiting += [one.board for one in empty]

    def _clear(self, item: Item, shape: Polygon, turn: float, grid: Grid) -> bool:
        board, border = grid.board, self.rules.border - 1e-6
        left, low, right, high = shape.bounds
        if left < border or low < border or right > board.width - border or high > board.height - border:
            return False
        if any(one.distance(shape) < self.rules.gap - 1e-6 for one in grid.shapes):
            return False
        turns = (abs((turn - one + 180.0) % 360.0 - 180.0) for one in turns_on(item, board))
        return min(turns) < 1e-6

    def waiting(self) -> list[Item]:
        """Items without a place yet, largest first."""
        frozen = {one.key for one in self.stayed}
        placed = {one.key for one in self.bench.placements} | {one.key for one in self.left} | frozen
        return sorted(
            (one for one in self.items if one.key not in placed), key=lambda one: (-one.shape.area, one.key)
        )

    def find(self, item: Item, place: Placement | None) -> None:
        """The old place, a free place, its board laid anew, a new board."""
        if place is not None and self._nudged(item, place):
            return
        for grid in self.bench.opened:
            if self.bench.on(item, grid) is not None:
                return
        if place is not None and self._repacked(item, place.board):
            return
        self.bench.lay(item)

    def _nudged(self, item: Item, place: Placement) -> bool:
        grid = next((one for one in self.bench.opened if one.board.name == place.board), None)
        if grid is None:
            return False
        step = self.rules.pixel
        count = int(NUDGE // step)
        shifts = sorted(
            ((i * step, j * step) for i in range(-count, count + 1) for j in range(-count, count + 1)),
            key=lambda one: (one[0] ** 2 + one[1] ** 2, one),
        )
        for dx, dy in shifts:
            at = place.x + dx, place.y + dy
            if self._clear(item, put(item.shape, place.turn_deg, *at), place.turn_deg, grid):
                self.bench.take(item, grid, place.turn_deg, at)
                return True
        return False

    def _repacked(self, item: Item, name: str) -> bool:
        """Lay the items of one board anew together with ``item``; False (nothing changed) when they do not fit."""
        grid = next((one for one in self.bench.opened if one.board.name == name), None)
        if grid is None:
            return False
        named = {one.key: one for one in self.items}
        there = [named[one.key] for one in self.bench.placements if one.board == name]

        def none(_number: int) -> Board:
            return replace(grid.board, name="no more", width=1.0, height=1.0, owned=False)

        again = nest([*there, item], [grid.board], none, self.rules)
        if again.left or any(one.board != name for one in again.placements):
            return False
        keys = {one.key for one in there}
        self.bench.placements = [one for one in self.bench.placements if one.key not in keys]
        fresh = Grid(grid.board, self.rules)
        self.bench.opened[self.bench.opened.index(grid)] = fresh
        for one in again.placements:
            self.bench.take(named[one.key], fresh, one.turn_deg, (one.x, one.y))
        return True
