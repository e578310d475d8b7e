"""A finished flat part, everything that is drawn on it, and the seams between parts.

Lengths are in mm on the part, angles in rad, masses in kg, areas in m2. A part lies as the board lies under the knife,
inside face up where it has an inside; the lower left corner of the box round its outline is (0, 0).
Points in space are mm in the drawing axes (x aft, y right, z up).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Point = tuple[float, float]
Point3 = tuple[float, float, float]
Ring = tuple[Point, ...]
Move = Callable[[Array], Array]
"""Moves points (n, 2) on a part; lengths are kept, a mirror image allowed."""

Hand = Literal["left", "right", "none"]
Meaning = Literal["hinge", "control cut", "spar", "rib", "joint", "station", "stick", "centre", "neighbour"]
Cutting = Literal["groove", "score", "score behind", "slit behind", "crease", "tape"]
Face = Literal["inside", "outside", "either"]
MM = 1000.0


def flat_points(points: Array) -> Ring:
    """Points (n, 2) as plain numbers."""
    return tuple((float(x), float(y)) for x, y in points)


def solid_points(points: Array) -> tuple[Point3, ...]:
    """Points (n, 3) as plain numbers."""
    return tuple((float(x), float(y), float(z)) for x, y, z in points)


def moved_ring(points: Ring, move: Move) -> Ring:
    """A run of points moved."""
    return flat_points(move(np.array(points, dtype=np.float64).reshape(-1, 2)))


def turned_by(angle: float, move: Move) -> float:
    """An angle on the part (rad from its x axis) after ``move``."""
    ends = move(np.array([[0.0, 0.0], [np.cos(angle), np.sin(angle)]]))
    return float(np.arctan2(*(ends[1] - ends[0])[::-1]))


@dataclass(frozen=True)
class Mark:
    """A line on a part that is not its edge: what it means, its points (mm) and the words beside it."""

    meaning: Meaning
    points: Ring
    words: str = ""

    def moved(self, move: Move) -> Mark:
        """The same mark elsewhere on the board."""
        return replace(self, points=moved_ring(self.points, move))


@dataclass(frozen=True)
class Fold:
    """A fold line.

    ``points``: two ends, mm. ``angle``: true angle between the planes on both sides, rad, positive when the board
    comes up toward whoever looks at the face that lies up. ``how``: "groove" (take a V of foam out of this face, the
    far paper stays), "score" (cut the near paper, crush), "score behind" (the same from the other face), "slit behind"
    (paper of this face stays), "crease" (no cut, card), "tape" (the joint of two parts). ``width`` of a groove in this
    face, mm, at both ends.
    """

    points: Ring
    angle: float
    how: Cutting
    width: tuple[float, float] = (0.0, 0.0)
    words: str = ""

    def moved(self, move: Move) -> Fold:
        """The same fold elsewhere; its sign stays, mirrored or not, because the same face lies up."""
        return replace(self, points=moved_ring(self.points, move))


@dataclass(frozen=True)
class Bevel:
    """Foam sloped away along an edge.

    ``edge``: where the board is thinnest; ``inner``: where the full thickness ends, as many points as ``edge``; mm.
    ``thin``: thickness left at the edge, mm (0: down to the far paper). ``up``: True when the foam goes from the face
    that lies up. ``angle`` of the slope to the face, rad.
    """

    edge: Ring
    inner: Ring
    thin: float
    angle: float
    up: bool = True
    words: str = ""

    def moved(self, move: Move) -> Bevel:
        """The same slope elsewhere on the board."""
        return replace(self, edge=moved_ring(self.edge, move), inner=moved_ring(self.inner, move))


@dataclass(frozen=True)
class Glue:
    """An area that another part is glued to: its ring, mm, and what comes there."""

    ring: Ring
    words: str = ""

    def moved(self, move: Move) -> Glue:
        """The same area elsewhere on the board."""
        return replace(self, ring=moved_ring(self.ring, move))


@dataclass(frozen=True)
class Tick:
    """A witness tick on an edge: it meets the tick with the same ``label`` on the other part.

    ``label``: letter of the seam and number along it, "A3". ``at`` mm on the part, ``toward`` a unit vector off the
    part. ``long`` at both ends and at each fifth. ``place``: the point in space, mm, the same for both ticks.
    """

    label: str
    at: Point
    toward: Point
    long: bool
    place: Point3

    def moved(self, move: Move) -> Tick:
        """The same tick elsewhere on the board (``place`` is that of the aeroplane and stays)."""
        ends = move(np.array([self.at, np.add(self.at, self.toward)]))
        return replace(self, at=flat_points(ends)[0], toward=flat_points(ends[1:] - ends[:1])[0])


@dataclass(frozen=True)
class Word:
    """A word that stands on the part, such as TOP, ROOT or "spar box lies here": middle ``at``, ``angle`` rad."""

    at: Point
    text: str
    angle: float = 0.0
    size: float = 3.5

    def moved(self, move: Move) -> Word:
        """The same word elsewhere, turned but never mirrored, and never upside down."""
        angle = turned_by(self.angle, move)
        if angle > np.pi / 2 + 0.1:
            angle -= np.pi
        elif angle <= -np.pi / 2 + 0.1:
            angle += np.pi
        return replace(self, at=moved_ring((self.at,), move)[0], angle=angle)


@dataclass(frozen=True)
class Facet:
    """A strip in space and the same strip laid flat: rows ``first`` and ``second`` of points that belong together.

    ``misfit``: how far the shared row of this strip and the next (its ``second``) are apart when laid together, mm.
    """

    first: tuple[Point3, ...]
    second: tuple[Point3, ...]
    flat_first: Ring
    flat_second: Ring
    misfit: float = 0.0

    def moved(self, move: Move) -> Facet:
        """The flat rows elsewhere on the board; the rows in space stay."""
        rows = (moved_ring(self.flat_first, move), moved_ring(self.flat_second, move))
        return replace(self, flat_first=rows[0], flat_second=rows[1])

    def mirrored(self, middle: float = 0.0) -> Facet:
        """The same strip on the other side of the plane y = middle, in space."""
        first, second = (
            tuple((x, 2 * middle - y, z) for x, y, z in row) for row in (self.first, self.second)
        )
        return replace(self, first=first, second=second)


@dataclass(frozen=True)
class Edge:
    """An edge that meets another part.

    ``seam`` names the joint: two edges of one name make a seam. ``row``: points in space, mm, the same on both parts;
    ``points``: where they lie on the part, mm; ``stations``: place of each along the aeroplane, mm, rising: ticks stand
    at whole hundreds of it. ``into``: a unit vector per point from the edge into the part, along which a tick moves
    when the board is cut short of the shared line.
    """

    seam: str
    row: tuple[Point3, ...]
    points: Ring
    stations: tuple[float, ...] = ()
    into: Ring = ()

    def moved(self, move: Move) -> Edge:
        """The edge elsewhere on the board; its place in space stays."""
        base = move(np.zeros((1, 2)))
        into = flat_points(move(np.array(self.into).reshape(-1, 2)) - base) if self.into else ()
        return replace(self, points=moved_ring(self.points, move), into=into)

    def mirrored(self, middle: float = 0.0) -> Edge:
        """The same edge on the other side of the plane y = middle, in space."""
        return replace(self, row=tuple((x, 2 * middle - y, z) for x, y, z in self.row))


@dataclass(frozen=True)
class Part:
    """One flat piece, finished.

    ``number``: word and number as printed, such as "WING 4", kept for good; ``hand`` "left", "right" or "none";
    ``copies`` to make; ``key``: what it is in the description, the same as long as the thing exists
    ("wing/skin/0-620"). ``material``: name in the stock, its ``kind``, ``thickness`` mm as measured. ``rings``:
    outline, then holes, closed without repeating the first point. ``area`` m2 of one; ``mass_goal`` kg of one, None
    where the stock was not weighed. ``stiff``: angle of the stiff way of the board, rad from the x axis, None: free.
    ``seen_from``: the face that lies up. ``ends``: words at its left and right end. ``sheet``: whether it fits.
    ``facets``: the strips it was unrolled from. ``whole``: True for a part that must not be spliced.
    ``piece``: which of how many pieces, for a part that is spliced.
    ``ready``: False while folds or thickness are not worked out for it: an outline, not for cutting.
    """

    number: str
    name: str
    hand: Hand
    copies: int
    material: str
    kind: str
    thickness: float
    rings: tuple[Ring, ...]
    area: float
    mass_goal: float | None
    marks: tuple[Mark, ...] = ()
    stiff: float | None = None
    seen_from: Face = "either"
    ends: tuple[str, str] = ("", "")
    note: str = ""
    sheet: str = ""
    folds: tuple[Fold, ...] = ()
    bevels: tuple[Bevel, ...] = ()
    glue: tuple[Glue, ...] = ()
    ticks: tuple[Tick, ...] = ()
    stations: tuple[Mark, ...] = ()
    words: tuple[Word, ...] = ()
    facets: tuple[Facet, ...] = ()
    edges: tuple[Edge, ...] = ()
    key: str = ""
    group: str = ""
    whole: bool = False
    ready: bool = False
    piece: tuple[int, int] = (1, 1)

    @property
    def title(self) -> str:
        """Number with hand and piece, as printed on the part: "WING 4 RIGHT", "BODY 1 LEFT piece 2 of 3"."""
        hand = "" if self.hand == "none" else f" {self.hand.upper()}"
        piece = "" if self.piece[1] == 1 else f" piece {self.piece[0]} of {self.piece[1]}"
        return f"{self.number}{hand}{piece}"

    @property
    def face(self) -> str:
        """What the part says of the face that lies up."""
        return "" if self.seen_from == "either" else f"{self.seen_from.upper()} FACE UP"

    @property
    def holes(self) -> tuple[Ring, ...]:
        """Rings cut out of the inside."""
        return self.rings[1:]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the box round the outline, mm."""
        width, height = np.ptp(np.array(self.rings[0]), axis=0)
        return float(width), float(height)


@dataclass(frozen=True)
class SeamSide:
    """One side of a seam: the part's ``title`` and the edge's ``points`` on it, in the order of the seam's ``row``."""

    title: str
    points: Ring

    @property
    def length(self) -> float:
        """Length along the edge, mm."""
        return float(np.hypot(*np.diff(np.array(self.points), axis=0).T).sum())


@dataclass(frozen=True)
class Seam:
    """Where two parts meet: ``letter`` on the ticks, ``name`` of the joint, the shared ``row`` in space, both sides.

    A part may meet itself: then both sides carry its title. ``misfit``: how far both edges, laid flat on each other,
    are apart at worst, mm (bending out of the flat is not counted). ``ticks``: label and place in space of each tick.
    """

    letter: str
    name: str
    row: tuple[Point3, ...]
    sides: tuple[SeamSide, SeamSide]
    misfit: float
    ticks: tuple[tuple[str, Point3], ...] = ()


@dataclass(frozen=True)
class Advice:
    """Something to decide before cutting: ``title`` of the part or "", what was found, what would work.

    ``kind``: a short name of the rule; ``value`` against ``limit`` in ``unit``; ``stop``: True when the part cannot be
    made as it stands.
    """

    kind: str
    title: str
    found: str
    would_work: str
    value: float
    limit: float
    unit: str = "mm"
    stop: bool = False


@dataclass(frozen=True)
class PartSet:
    """All parts of one aeroplane in building order, the seams between them, and what to decide before cutting."""

    parts: tuple[Part, ...]
    seams: tuple[Seam, ...] = ()
    advice: tuple[Advice, ...] = ()
