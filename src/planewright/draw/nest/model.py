"""What is laid where: boards, items, placements, layouts. Lengths in mm, angles in rad, masses in kg."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from shapely import Polygon
from shapely.affinity import rotate, translate

Ring = tuple[tuple[float, float], ...]
State = Literal["free", "printed", "cut"]
Wish = Literal["heavy", "light", ""]
Telling = Callable[[float, str], None]
"""Called with the part done (0 to 1) and what is being tried; it may raise ``Cancelled`` to stop."""


@dataclass(frozen=True)
class Rules:
    """How parts are laid. Defaults are common practice, no source, but for the pixel (a trial of our own).

    ``gap`` between parts and ``border`` kept free along the edge of a board, mm; ``pixel`` of the search grid, mm;
    ``shuffles``: orders tried after the four fixed ones; ``seed`` of the shuffling.
    """

    gap: float = 3.0
    border: float = 5.0
    pixel: float = 4.0
    shuffles: int = 2
    seed: int = 1

    def __post_init__(self) -> None:
        """Raises ``ValueError`` for a gap or border below nought, a pixel outside 0.25 to 20, shuffles below nought."""
        if not (0 <= self.gap <= 100 and 0 <= self.border <= 200):
            raise ValueError("gap and border lie between 0 and 100, 0 and 200 mm")
        if not (0.25 <= self.pixel <= 20 and self.shuffles >= 0):
            raise ValueError("the pixel lies between 0.25 and 20 mm, shuffles are counted from nought")


USUAL = Rules()
"""The rules unless somebody asks for others."""


@dataclass(frozen=True)
class Board:
    """One board, its longer side across. ``name`` as printed ("board 3"), ``material`` the name in the stock.

    ``stiff``: along which side the board is stiff, "none": neither, or nobody tried. ``damaged``: areas that carry no
    part. ``mass`` kg of the whole board, None when not weighed. ``owned`` False: it would have to be bought.
    ``offcut``: smaller than a whole one.
    """

    name: str
    material: str
    width: float
    height: float
    stiff: Literal["long", "short", "none"] = "none"
    damaged: tuple[Ring, ...] = ()
    mass: float | None = None
    owned: bool = True
    offcut: bool = False
    state: State = "free"

    @property
    def areal_mass(self) -> float | None:
        """Mass per area, kg/m2, of the board as it was whole."""
        return None if self.mass is None else self.mass / (self.width * self.height * 1e-6)

    def room(self, border: float) -> tuple[float, float]:
        """Width and height inside the border."""
        return self.width - 2 * border, self.height - 2 * border


@dataclass(frozen=True)
class Item:
    """One piece to be laid: ``title`` of its part, ``copy`` of ``copies``, ``rings`` outline and holes.

    ``along``: direction on the piece that must lie along the stiff way of the board, rad; None: every quarter turn.
    ``wish``: a heavy board, a light one, or any. ``digest``: changes with whatever is cut or written on the part.
    ``pair``: items with one word here share a board where they can.
    """

    title: str
    copy: int
    copies: int
    rings: tuple[Ring, ...]
    digest: str
    along: float | None = None
    wish: Wish = ""
    pair: str = ""

    @property
    def key(self) -> str:
        """Name of this piece among all: "WING 3, 4 of 11"."""
        return self.title if self.copies == 1 else f"{self.title}, {self.copy} of {self.copies}"

    @cached_property
    def shape(self) -> Polygon:
        """The piece as a polygon, as it lies on its part."""
        return Polygon(self.rings[0], self.rings[1:])


@dataclass(frozen=True)
class Placement:
    """Where an item lies: on the board named, turned anticlockwise by ``turn_deg``, the lower left corner of the box
    round the turned piece at (``x``, ``y``) mm from the lower left corner of the board."""

    key: str
    board: str
    turn_deg: float
    x: float
    y: float
    digest: str


@dataclass(frozen=True)
class Left:
    """An item that lies on no board, and what would help."""

    key: str
    why: str
    would_work: str


@dataclass(frozen=True)
class Layout:
    """Items on boards of one material. ``boards``: those used first, in the order of use; ``tried``: orders tried;
    ``moved``: keys that lie elsewhere than before; ``bound``: boards that no layout can do without; ``stale``: what
    lies on printed or cut boards and is no longer wanted as it was."""

    material: str
    boards: tuple[Board, ...]
    placements: tuple[Placement, ...]
    left: tuple[Left, ...]
    bound: int
    bound_exact: float
    tried: int
    moved: tuple[str, ...] = ()
    stale: tuple[Placement, ...] = ()

    @property
    def used(self) -> tuple[Board, ...]:
        """Boards that carry something."""
        carrying = {one.board for one in (*self.placements, *self.stale)}
        return tuple(one for one in self.boards if one.name in carrying)

    def on(self, board: str) -> tuple[Placement, ...]:
        """What lies on one board."""
        return tuple(one for one in self.placements if one.board == board)


def laid(item: Item, place: Placement) -> Polygon:
    """The polygon of an item where it lies on its board."""
    return put(item.shape, place.turn_deg, place.x, place.y)


def put(shape: Polygon, turn_deg: float, x: float, y: float) -> Polygon:
    """A polygon turned about the origin, the lower left corner of its box then put at (``x``, ``y``)."""
    turned = rotate(shape, turn_deg, origin=(0.0, 0.0)) if turn_deg else shape
    return translate(turned, x - turned.bounds[0], y - turned.bounds[1])
