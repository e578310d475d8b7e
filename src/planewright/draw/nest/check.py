"""The exact test of a layout by polygons, apart from the grid it was found with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations

from shapely import Polygon
from shapely import box as rectangle

from planewright.draw.nest.model import Item, Layout, Rules, laid


@dataclass(frozen=True)
class Clash:
    """Something wrong with a layout: which item, what it meets, and the distance left, mm (below nought: outside)."""

    key: str
    meets: str
    distance: float


def clashes(layout: Layout, items: Iterable[Item], rules: Rules, allow: float = 1e-6) -> tuple[Clash, ...]:
    """Every pair nearer than the gap, every item over the border or a damaged place, every turn that breaks the stiff
    way. Empty when the layout is right. ``allow``: distances are trusted to this, mm."""
    named = {one.key: one for one in items}
    found: list[Clash] = []
    for board in layout.used:
        shapes = {one.key: laid(named[one.key], one) for one in layout.on(board.name)}
        for key, shape in shapes.items():
            left, low, right, high = shape.bounds
            edge = min(left, low, board.width - right, board.height - high)
            if edge < rules.border - allow:
                found.append(Clash(key, "edge of the board", edge))
            for ring in board.damaged:
                distance = shape.distance(Polygon(ring))
                if distance < rules.gap - allow:
                    found.append(Clash(key, "damaged place", distance))
        found += _pairs(shapes, rules.gap - allow)
        found += _turns(layout, named, board.name)
    return tuple(found)


def _pairs(shapes: Mapping[str, Polygon], gap: float) -> list[Clash]:
    found = []
    for (one, first), (two, second) in combinations(shapes.items(), 2):
        a, b = first.bounds, second.bounds
        if a[0] - b[2] > gap or b[0] - a[2] > gap or a[1] - b[3] > gap or b[1] - a[3] > gap:
            continue
        if (distance := first.distance(second)) < gap:
            found.append(Clash(one, two, distance))
    return found


def _turns(layout: Layout, named: Mapping[str, Item], board: str) -> list[Clash]:
    from planewright.draw.nest.items import turns_on

    own = next(one for one in layout.boards if one.name == board)
    found = []
    for one in layout.on(board):
        turns = turns_on(named[one.key], own)
        if min(abs((one.turn_deg - turn + 180.0) % 360.0 - 180.0) for turn in turns) > 1e-6:
            found.append(Clash(one.key, "stiff way of the board", 0.0))
    return found


def inside(board_size: tuple[float, float], border: float) -> Polygon:
    """The part of a board inside its border."""
    return rectangle(border, border, board_size[0] - border, board_size[1] - border)
