"""A flat piece before it is numbered: outline, marks, hand, material. Lengths in mm on the piece."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
import numpy.typing as npt

from planewright.plane.model import Stock

Array = npt.NDArray[np.float64]
Hand = Literal["left", "right", "none"]
Meaning = Literal["hinge", "control cut", "spar", "rib", "joint"]
Ring = tuple[tuple[float, float], ...]
MM = 1000.0
TURN_OVER = "turn one over for the other side"


@dataclass(frozen=True)
class Mark:
    """A line on a part that is not its edge: what it means, its points (mm) and the words beside it."""

    meaning: Meaning
    points: Ring
    words: str = ""


@dataclass(frozen=True)
class Draft:
    """A piece before it is numbered: ``rings`` outline first then holes, mm; ``stock`` the name of its material."""

    word: str
    name: str
    hand: Hand
    copies: int
    stock: str
    rings: tuple[Ring, ...]
    marks: tuple[Mark, ...] = ()
    stiff: float | None = None
    face: str = ""
    ends: tuple[str, str] = ("", "")
    note: str = ""


def mirrored(part: Draft) -> Draft:
    """The left-hand piece of a right-hand one: outline and marks mirrored, words set anew."""
    rings = tuple(tuple((-x, y) for x, y in ring)[::-1] for ring in part.rings)
    marks = tuple(replace(one, points=tuple((-x, y) for x, y in one.points)) for one in part.marks)
    stiff = None if part.stiff is None else -part.stiff
    return replace(part, hand="left", rings=rings, marks=marks, stiff=stiff, ends=part.ends[::-1])


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
    return tuple((float(x), float(y)) for x, y in kept)
