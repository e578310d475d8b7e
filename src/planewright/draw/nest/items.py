"""Parts as items to be laid: one a copy, how each may be turned, and which board it wishes for."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from math import degrees, pi

from planewright.draw.nest.model import Board, Item, Wish
from planewright.geometry.parts import Part

STICKS = ("pine stick",)
HEAVY_SHARE = 0.35
"""Of the parts that wish for a heavy board: how much of the wing, from the root, and of the body, from the nose."""


def items_of(parts: Iterable[Part]) -> dict[str, tuple[Item, ...]]:
    """Items by material, sheet parts only, in building order."""
    found: dict[str, list[Item]] = {}
    for part in parts:
        if part.kind in STICKS:
            continue
        digest = digest_of(part)
        found.setdefault(part.material, []).extend(
            Item(part.title, k, part.copies, part.rings, digest, part.stiff, wish_of(part), part.number)
            for k in range(1, part.copies + 1)
        )
    return {name: tuple(items) for name, items in found.items()}


def turns_on(item: Item, board: Board) -> tuple[float, ...]:
    """Turns of an item on a board, degrees anticlockwise: quarter turns where either is free, else two."""
    if item.along is None or board.stiff == "none":
        return (0.0, 90.0, 180.0, 270.0)
    way = 0.0 if board.stiff == "long" else pi / 2
    turn = round(degrees(way - item.along) % 180.0, 9) % 180.0
    return (turn, turn + 180.0)


def wish_of(part: Part) -> Wish:
    """Heavy boards to the nose and the wing root, light ones to the tail and the tips (common practice, no source)."""
    word = part.number.split(" ")[0]
    return "light" if word in ("TAIL", "FIN") else "heavy" if word in ("BODY", "POD", "GEAR") else ""


def digest_of(part: Part) -> str:
    """Twelve letters that change when anything that is cut, folded or written on the part does.

    Lengths count to a hundredth of a millimetre, angles to a ten-thousandth; the sheet it fits and its mass do not.
    """
    said = {
        one.name: _plain(getattr(part, one.name))
        for one in fields(part)
        if one.name not in ("number", "mass_goal", "area", "sheet", "note", "facets", "edges", "key", "group")
    }
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()[:12]


def _plain(value: object) -> object:
    if isinstance(value, bool) or value is None or isinstance(value, str | int):
        return value
    if isinstance(value, float):
        return round(value, 2) + 0.0
    if is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value) if one.name != "place"}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return str(value)
