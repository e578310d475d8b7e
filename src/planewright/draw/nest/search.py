"""Laying items on boards: four fixed orders, then a stated number of seeded shuffles; the best is kept.

Trials of our own (56 parts on boards of 508 x 762 mm): a bad order costs 0.6 of a board, so four are tried; turns of a
few degrees and places of most contact gave nothing; shuffling lowers what lies on the last board but seldom saves one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from planewright.draw.nest.bounds import MOST_BOARDS, bound
from planewright.draw.nest.grid import Grid, Stamp, stamp
from planewright.draw.nest.items import turns_on
from planewright.draw.nest.model import USUAL, Board, Item, Layout, Left, Placement, Rules, Telling, put

Buy = Callable[[int], Board]
"""Gives the first, second ... whole board beyond those that are owned."""


def silent(_done: float, _says: str) -> None:
    """Progress that nobody watches."""


def fits_some(item: Item, boards: Iterable[Board], rules: Rules) -> bool:
    """True when an item lies on one of the boards alone."""
    sizes = {(one.width, one.height, one.stiff): one for one in boards}
    for board in sizes.values():
        wide, tall = board.room(rules.border)
        for turn in turns_on(item, board):
            width, height = stamp(item.rings, turn, rules).size
            if width <= wide + 1e-9 and height <= tall + 1e-9:
                return True
    return False


@dataclass(frozen=True)
class Try:
    """One order laid out: which placements, what is left, and how good it is (less is better)."""

    placements: tuple[Placement, ...]
    left: tuple[str, ...]
    opened: tuple[Board, ...]
    last: tuple[str, ...]
    score: tuple[float, ...]

    @property
    def used(self) -> int:
        """Number of boards that carry something."""
        return len(self.opened)


def nest(
    items: Sequence[Item], boards: Sequence[Board], buy: Buy, rules: Rules = USUAL, tell: Telling = silent
) -> Layout:
    """Lay items of one material on boards.

    Arguments:
        items: pieces to lay; each is turned only as its stiff way allows and never flipped.
        boards: owned ones in the order in which they are taken (off-cuts first); printed and cut ones are left alone.
        buy: gives further whole boards when those do not suffice; they count as not owned.
        rules: gap, border, grid, number of shuffles, seed: the same give the same layout.
        tell: told after each order; it may raise ``Cancelled``.
    Returns: the layout; items that fit no board are in ``left`` with advice.
    """
    free = [one for one in boards if one.state == "free"]
    frozen = {one.name for one in boards if one.state != "free"}
    every = [*free, buy(1)]
    material = every[0].material
    fitting = [one for one in items if fits_some(one, every, rules)]
    left = tuple(advice(one, every, rules) for one in items if one not in fitting)
    least = bound(fitting, every, rules)
    orders = _orders(fitting)
    total = len(orders) + rules.shuffles
    best: Try | None = None
    tried = 0
    for k in range(total):
        if best is not None and (k >= len(orders) and best.used <= least.boards):
            break
        order = orders[k] if k < len(orders) else _shuffled(fitting, best, rules.seed, k)
        says = f"{material}: order {k + 1} of {total}" + (f", best {best.used}" if best else "")
        tell(k / total, says)
        one = _lay(order, free, buy, rules, frozen)
        tried += 1
        if best is None or one.score < best.score:
            best = one
    tell(1.0, f"{material}: {best.used if best else 0} boards, no layout needs fewer than {least.boards}")
    if best is None:
        return Layout(material, tuple(boards), (), left, 0, 0.0, tried)
    known = {one.name for one in boards}
    more = tuple(one for one in best.opened if one.name not in known)
    rank = {one.key: k for k, one in enumerate(items)}
    placed = tuple(sorted(best.placements, key=lambda one: rank[one.key]))
    full = tuple(Left(key, "no board has room for it", "one more board") for key in best.left)
    return Layout(material, (*boards, *more), placed, (*left, *full), least.boards, least.exact, tried)


def advice(item: Item, boards: Sequence[Board], rules: Rules) -> Left:
    """Why an item lies on no board, and what would work."""
    largest = max(boards, key=lambda one: one.width * one.height)
    room = largest.room(rules.border)
    sizes = [stamp(item.rings, turn, rules).size for turn in turns_on(item, largest)]
    width, height = min(
        sizes, key=lambda one: max(one[0] / room[0], one[1] / room[1]) if min(room) > 0 else one[0]
    )
    stiff = " with the stiff way of the board kept" if len(sizes) == 2 else ""
    why = (
        f"it is {width:.0f} × {height:.0f} mm{stiff}; "
        f"the largest board gives {room[0]:.0f} × {room[1]:.0f} mm inside its border"
    )
    need = width + 2 * rules.border, height + 2 * rules.border
    pieces = ceil(max(width / room[0], 1.0)) * ceil(max(height / room[1], 1.0)) if min(room) > 0 else 0
    words = f"a board of at least {need[0]:.0f} × {need[1]:.0f} mm"
    if stiff and width <= room[1] and height <= room[0]:
        words += ', or a board that is stiff neither way (stiff = "none"), on which it may be turned'
    elif pieces:
        words += f", or a joint: {max(pieces, 2)} pieces with straps"
    return Left(item.key, why, words)


def _orders(items: Sequence[Item]) -> list[list[Item]]:
    """Longest, largest area, longest outline, largest hull first; hand pairs and copies stay together."""
    measures: tuple[Callable[[Item], float], ...] = (
        lambda one: max(_sides(one)),
        lambda one: float(one.shape.area),
        lambda one: float(one.shape.length),
        lambda one: float(one.shape.convex_hull.area),
    )
    return [
        sorted(items, key=lambda one: (-round(measure(one), 6), one.pair, one.title, one.copy))
        for measure in measures
    ]


def _sides(item: Item) -> tuple[float, float]:
    left, low, right, high = item.shape.bounds
    return right - left, high - low


def _shuffled(items: Sequence[Item], best: Try | None, seed: int, turn: int) -> list[Item]:
    """An order near the best one: items of its last board come forward, the others change places by chance."""
    random = np.random.default_rng([seed, turn])
    place = {one.key: k for k, one in enumerate(best.placements)} if best else {}
    last = set(best.last) if best else set()
    width = 0.15 * len(items) * (0.5 + random.random())
    rank = {
        one.key: place.get(one.key, len(items)) * (random.random() if one.key in last else 1.0)
        + width * random.standard_normal()
        for one in items
    }
    return sorted(items, key=lambda one: rank[one.key])


def _lay(
    order: Sequence[Item], free: Sequence[Board], buy: Buy, rules: Rules, frozen: Iterable[str] = ()
) -> Try:
    """One order, each item on the first board in use that has a place for it, else on a new one."""
    bench = Bench(list(free), buy, rules, frozen)
    for item in order:
        bench.lay(item)
    whole = [one for one in bench.opened if not one.board.offcut]
    last = whole[-1].board.name if whole else ""
    names = tuple(one.key for one in bench.placements if one.board == last)
    by_key = {one.key: one for one in order}
    area = sum(by_key[name].shape.area for name in names)
    height = max((box[3] for box in whole[-1].boxes), default=0.0) if whole else 0.0
    bought = sum(not one.board.owned for one in bench.opened)
    score = (len(bench.left), len(whole), bought, area, height)
    boards = tuple(one.board for one in bench.opened)
    return Try(tuple(bench.placements), tuple(bench.left), boards, names, score)


class Bench:
    """Boards while one order is being laid. ``opened``: in the order in which they were first used."""

    def __init__(self, free: list[Board], buy: Buy, rules: Rules, names: Iterable[str] = ()) -> None:
        self.rules, self.buy = rules, buy
        self.opened: list[Grid] = []
        self.waiting = list(free)
        self.placements: list[Placement] = []
        self.left: list[str] = []
        self._names = {*names, *(one.name for one in free)}
        self._pairs: dict[str, Grid] = {}

    def lay(self, item: Item) -> Placement | None:
        """Find a place: beside its pair, on a board in use, on one that waits, on a new one."""
        beside = self._pairs.get(item.pair) if item.pair else None
        first = [beside] if beside is not None else []
        for grid in [*first, *(one for one in self._in_order(item) if one is not beside)]:
            if (found := self.on(item, grid)) is not None:
                return found
        return self._on_new(item)

    def _in_order(self, item: Item) -> list[Grid]:
        if not item.wish or len({one.board.areal_mass for one in self.opened}) < 2:
            return self.opened
        sign = -1.0 if item.wish == "heavy" else 1.0
        return sorted(self.opened, key=lambda one: sign * (one.board.areal_mass or 0.0))

    def _on_new(self, item: Item) -> Placement | None:
        for board in self._waiting_for(item):
            grid = Grid(board, self.rules)
            if (found := self.on(item, grid)) is not None:
                self.waiting.remove(board)
                self.opened.append(grid)
                return found
        fresh = (self.buy(k) for k in range(1, MOST_BOARDS))
        new = next((one for one in fresh if one.name not in self._names), None)
        if new is None:
            self.left.append(item.key)
            return None
        grid = Grid(new, self.rules)
        if (found := self.on(item, grid)) is not None:
            self._names.add(new.name)
            self.opened.append(grid)
            return found
        self.left.append(item.key)
        return None

    def _waiting_for(self, item: Item) -> list[Board]:
        """Off-cuts first; of the whole ones the heaviest or lightest as the item wishes. Equal boards once."""
        sign = {"heavy": -1.0, "light": 1.0, "": 0.0}[item.wish]
        ranked = sorted(self.waiting, key=lambda one: (not one.offcut, sign * (one.areal_mass or 0.0)))
        seen, found = set(), []
        for one in ranked:
            same = replace(one, name="")
            if same not in seen:
                seen.add(same)
                found.append(one)
        return found

    def on(self, item: Item, grid: Grid) -> Placement | None:
        """Put an item at its best free place on one board; None when there is none."""
        best: tuple[tuple[float, float], Stamp, tuple[float, float]] | None = None
        for one in stamps(item, grid.board, self.rules):
            at = grid.place(item.digest, one)
            if at is not None:
                rank = (round(at[1] + one.size[1], 3), round(at[0] + one.size[0], 3))
                if best is None or rank < best[0]:
                    best = rank, one, at
        if best is None:
            return None
        return self.take(item, grid, best[1].turn_deg, best[2])

    def take(self, item: Item, grid: Grid, turn: float, at: tuple[float, float]) -> Placement:
        """Put an item where it is known to fit."""
        grid.add(put(item.shape, turn, *at))
        placed = Placement(item.key, grid.board.name, turn, round(at[0], 6), round(at[1], 6), item.digest)
        self.placements.append(placed)
        if item.pair:
            self._pairs[item.pair] = grid
        return placed


def stamps(item: Item, board: Board, rules: Rules) -> list[Stamp]:
    """The different pictures of an item in the turns it may take on a board."""
    found: list[Stamp] = []
    for turn in turns_on(item, board):
        one = stamp(item.rings, turn, rules)
        same = (
            other.bits.shape == one.bits.shape and np.array_equal(other.bits, one.bits) for other in found
        )
        if not any(same):
            found.append(one)
    return found
