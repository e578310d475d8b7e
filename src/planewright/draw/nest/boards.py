"""Boards as the description lists them: whole ones by count, and single ones with their own size, weight and damage."""

from __future__ import annotations

from dataclasses import replace

from planewright.draw.nest.model import Board, Ring
from planewright.plane.model import Pile, Stock

MM = 1000.0


def boards_of(stock: Stock) -> tuple[Board, ...]:
    """All boards of one material that are owned, off-cuts first (the smallest first), then whole ones.

    Raises ``ValueError`` when the stock is no sheet.
    """
    if stock.sheet is None:
        raise ValueError(f"{stock.name} is not a sheet")
    named = [board for k, one in enumerate(stock.pile, 1) for board in _piled(stock, one, k)]
    whole = [board for board in named if not board.offcut]
    whole += [_whole(stock, len(whole) + k) for k in range(1, (stock.count or 0) + 1)]
    numbered = [replace(board, name=f"{stock.name} {k}") for k, board in enumerate(whole, 1)]
    cuts = sorted((one for one in named if one.offcut), key=lambda one: one.width * one.height)
    return (*(replace(one, name=f"{stock.name} off-cut {k}") for k, one in enumerate(cuts, 1)), *numbered)


def to_buy(stock: Stock, number: int) -> Board:
    """The first, second ... whole board beyond those that are owned; its name follows on theirs."""
    owned = sum(not one.offcut for one in boards_of(stock))
    return replace(_whole(stock, owned + number), owned=False)


def _whole(stock: Stock, number: int) -> Board:
    assert stock.sheet is not None
    width, height = sorted((side * MM for side in stock.sheet), reverse=True)
    return Board(f"{stock.name} {number}", stock.name, width, height, stock.stiff or "none", mass=stock.mass)


def _piled(stock: Stock, pile: Pile, number: int) -> list[Board]:
    assert stock.sheet is not None
    width, height = sorted((side * MM for side in (pile.sheet or stock.sheet)), reverse=True)
    full = stock.sheet[0] * stock.sheet[1] * MM * MM
    damaged = tuple(_corner(one.at, one.size, width, height) for one in pile.damaged)
    mass = pile.mass
    if mass is None and stock.mass is not None:
        mass = stock.mass * width * height / full
    offcut = width * height < 0.98 * full
    stiff = pile.stiff or stock.stiff or "none"
    one = Board(f"{stock.name} {number}", stock.name, width, height, stiff, damaged, mass, True, offcut)
    return [one] * (pile.count or 1)


def _corner(at: str, size: tuple[float, float], width: float, height: float) -> Ring:
    across, up = size[0] * MM, size[1] * MM
    left = 0.0 if "left" in at else width - across
    low = 0.0 if "lower" in at else height - up
    return ((left, low), (left + across, low), (left + across, low + up), (left, low + up))
