"""A flat piece before it is numbered: outline, marks, hand, material. Lengths in mm on the piece."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from planewright.geometry.parts.model import (
    Array,
    Bevel,
    Edge,
    Face,
    Facet,
    Fold,
    Glue,
    Hand,
    Mark,
    Move,
    Ring,
    Word,
    flat_points,
    moved_ring,
    turned_by,
)
from planewright.plane.model import Stock

TURN_OVER = "turn one over for the other side"


@dataclass(frozen=True)
class Draft:
    """A piece before it is numbered: ``rings`` outline first then holes, mm; ``stock`` the name of its material.

    ``key``: what it is in the description; copies that come out alike keep the key of the first. The other fields are
    those of the finished part. ``middle``: the plane y = middle (mm) across which its other hand lies; ``place``:
    where it stands along the aeroplane, mm. ``thick``: thickness of its board, mm, once it is known; ``keep``:
    stretches along it that must not be cut for a splice, mm from its left end.
    """

    word: str
    name: str
    hand: Hand
    copies: int
    stock: str
    rings: tuple[Ring, ...]
    marks: tuple[Mark, ...] = ()
    stiff: float | None = None
    seen_from: Face = "either"
    ends: tuple[str, str] = ("", "")
    note: str = ""
    key: str = ""
    group: str = ""
    folds: tuple[Fold, ...] = ()
    bevels: tuple[Bevel, ...] = ()
    glue: tuple[Glue, ...] = ()
    stations: tuple[Mark, ...] = ()
    words: tuple[Word, ...] = ()
    facets: tuple[Facet, ...] = ()
    edges: tuple[Edge, ...] = ()
    whole: bool = False
    ready: bool = False
    middle: float = 0.0
    place: float = 0.0
    piece: tuple[int, int] = (1, 1)
    thick: float = 0.0
    keep: tuple[tuple[float, float], ...] = ()


def moved(draft: Draft, move: Move) -> Draft:
    """The piece elsewhere on the board, everything on it taken along. ``move`` keeps lengths."""
    return replace(
        draft,
        rings=tuple(moved_ring(one, move) for one in draft.rings),
        marks=tuple(one.moved(move) for one in draft.marks),
        stiff=None if draft.stiff is None else turned_by(draft.stiff, move),
        folds=tuple(one.moved(move) for one in draft.folds),
        bevels=tuple(one.moved(move) for one in draft.bevels),
        glue=tuple(one.moved(move) for one in draft.glue),
        stations=tuple(one.moved(move) for one in draft.stations),
        words=tuple(one.moved(move) for one in draft.words),
        facets=tuple(one.moved(move) for one in draft.facets),
        edges=tuple(one.moved(move) for one in draft.edges),
    )


def mirrored(draft: Draft) -> Draft:
    """The left-hand piece of a right-hand one: everything mirrored across the board, words set anew.

    The same face lies up on both, so folds keep their signs. Places in space go to the other side.
    """
    flipped = moved(draft, lambda points: points * np.array([-1.0, 1.0]))
    return replace(
        flipped,
        hand="left",
        rings=tuple(ring[::-1] for ring in flipped.rings),
        ends=draft.ends[::-1],
        facets=tuple(one.mirrored(draft.middle) for one in flipped.facets),
        edges=tuple(one.mirrored(draft.middle) for one in flipped.edges),
    )


def thickness_of(material: Stock) -> float:
    """Thickness of a sheet, or the first side of a stick, m (5 mm where nobody wrote one)."""
    if material.thickness:
        return material.thickness
    return material.section[0] if material.section else 0.005


def rectangle(length: float, wide: float) -> Ring:
    """A rectangle from the origin, mm."""
    return ((0.0, 0.0), (length, 0.0), (length, wide), (0.0, wide))


def ring(points: Array) -> Ring:
    """Points (n, 2) as a ring of plain numbers, neighbours closer than a hundredth of a millimetre taken as one."""
    kept = [points[0]]
    kept += [b for a, b in pairwise(points) if np.hypot(*(b - a)) > 0.01]
    if len(kept) > 1 and np.hypot(*(kept[-1] - kept[0])) <= 0.01:
        kept.pop()
    return flat_points(np.array(kept))
