"""Lengths of sticks cut from the sticks that are owned: the longest first, each from the first stick it fits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from planewright.geometry.parts import Part
from planewright.plane.model import Stock

SAW = 2.0
"""Lost at each cut, mm (common practice, no source)."""
SCARF = 12.0
"""Length of a scarf joint over the thickness of the stick (from memory, to be checked by a bend test)."""
MM = 1000.0


@dataclass(frozen=True)
class StickCut:
    """One piece from a stick: ``key`` of what it becomes, ``length`` mm."""

    key: str
    length: float


@dataclass(frozen=True)
class Stick:
    """One stick of ``material``, ``length`` mm, and the pieces cut from it in order; ``rest`` mm is left."""

    number: int
    material: str
    length: float
    cuts: tuple[StickCut, ...]

    @property
    def rest(self) -> float:
        """What is left of the stick, mm."""
        return self.length - sum(one.length for one in self.cuts) - SAW * len(self.cuts)


def stick_plan(parts: Iterable[Part], stock: Stock) -> tuple[Stick, ...]:
    """All pieces of one material on as few sticks as first fit, longest first, finds.

    A piece longer than a stick is made of equal lengths joined by scarfs of 12 times the thickness. Sticks whose
    length nobody wrote are cut one a piece.
    """
    pieces = [cut for part in parts for k in range(1, part.copies + 1) for cut in _lengths(part, k, stock)]
    pieces.sort(key=lambda one: (-one.length, one.key))
    if stock.length is None:
        return tuple(Stick(k, stock.name, one.length, (one,)) for k, one in enumerate(pieces, 1))
    whole, sticks = stock.length * MM, list[Stick]()
    for piece in pieces:
        at = next((k for k, one in enumerate(sticks) if one.rest >= piece.length - 1e-6), None)
        if at is None:
            sticks.append(Stick(len(sticks) + 1, stock.name, whole, (piece,)))
        else:
            one = sticks[at]
            sticks[at] = Stick(one.number, one.material, one.length, (*one.cuts, piece))
    return tuple(sticks)


def _lengths(part: Part, copy: int, stock: Stock) -> list[StickCut]:
    key = part.title if part.copies == 1 else f"{part.title}, {copy} of {part.copies}"
    length = max(part.size)
    whole = (stock.length or length / MM) * MM
    if length <= whole + 1e-6:
        return [StickCut(key, length)]
    scarf = SCARF * part.thickness
    count = max(2, ceil((length - scarf) / (whole - scarf))) if whole > scarf else 2
    each = (length + (count - 1) * scarf) / count
    return [StickCut(f"{key}, piece {k} of {count}", each) for k in range(1, count + 1)]
