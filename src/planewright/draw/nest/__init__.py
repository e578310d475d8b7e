"""Parts laid on the boards that are owned: a layout is data, kept from one revision to the next."""

from planewright.draw.nest.boards import boards_of
from planewright.draw.nest.bounds import Bound, bound
from planewright.draw.nest.check import Clash, clashes
from planewright.draw.nest.items import items_of
from planewright.draw.nest.keep import kept
from planewright.draw.nest.model import (
    Board,
    Item,
    Layout,
    Left,
    Placement,
    Rules,
    Telling,
)
from planewright.draw.nest.search import nest

__all__ = [
    "Board",
    "Bound",
    "Clash",
    "Item",
    "Layout",
    "Left",
    "Placement",
    "Rules",
    "Telling",
    "boards_of",
    "bound",
    "clashes",
    "items_of",
    "kept",
    "nest",
]
