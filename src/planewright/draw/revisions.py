"""Two revisions of the parts: which changed and by how much, measured between their outlines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import degrees
from typing import Literal

import numpy as np
from shapely import Polygon, hausdorff_distance, segmentize
from shapely.affinity import translate

from planewright.draw.nest.items import digest_of
from planewright.draw.paper import COLUMNS
from planewright.geometry.parts import Part

Ring = tuple[tuple[float, float], ...]
SAME_MM = 0.005
"""Outlines nearer than this count as the same, mm: half the last digit that is kept."""


@dataclass(frozen=True)
class Known:
    """A part as it was when it was last laid: what its marks were, and its revision letter.

    ``folds``: width at both ends mm, angle deg, and what is done, for each fold. ``digest`` of everything drawn on it.
    """

    title: str
    key: str
    material: str
    thickness: float
    copies: int
    revision: str
    digest: str
    rings: tuple[Ring, ...]
    folds: tuple[tuple[float, float, float, str], ...] = ()
    ticks: int = 0


@dataclass(frozen=True)
class Change:
    """One part that differs. ``moved_mm``: how far its edge lies from where it was, at worst, both laid on each other
    as well as a corner allows; None for a new part and one that is gone. ``says``: all that differs, in words."""

    title: str
    what: Literal["new", "gone", "changed"]
    revision: str
    moved_mm: float | None
    says: str


def known(part: Part, revision: str) -> Known:
    """What is kept of a part, lengths to a hundredth of a millimetre."""
    rings = tuple(tuple((round(x, 2) + 0.0, round(y, 2) + 0.0) for x, y in ring) for ring in part.rings)
    folds = tuple(
        (round(one.width[0], 2), round(one.width[1], 2), round(degrees(one.angle), 2), one.how)
        for one in part.folds
    )
    thickness = round(part.thickness, 3)
    return Known(
        part.title, part.key, part.material, thickness, part.copies, revision, digest_of(part), rings, folds,
        len(part.ticks),
    )  # fmt: skip


def next_letter(letter: str) -> str:
    """The revision after one: B after A, AA after Z; I, O and Q are left out."""
    value = 0
    for one in letter:
        value = value * len(COLUMNS) + COLUMNS.index(one) + 1
    value += 1
    found = ""
    while value:
        value, rest = divmod(value - 1, len(COLUMNS))
        found = COLUMNS[rest] + found
    return found


def letters(parts: Iterable[Part], before: Mapping[str, Known]) -> dict[str, str]:
    """Revision letter of each part by title: kept while nothing on it changed, the next one when it did, A when new."""
    found = {}
    for part in parts:
        old = before.get(part.title)
        if old is None:
            found[part.title] = "A"
        else:
            found[part.title] = old.revision if old.digest == digest_of(part) else next_letter(old.revision)
    return found


def changes(parts: Sequence[Part], before: Mapping[str, Known]) -> tuple[Change, ...]:
    """Parts that are new, changed or gone, in building order; none when nothing was laid before."""
    if not before:
        return ()
    found, revision = list[Change](), letters(parts, before)
    for part in parts:
        old, now = before.get(part.title), known(part, revision[part.title])
        if old is None:
            found.append(Change(part.title, "new", "A", None, f"new: make {part.copies}"))
        elif old.digest != now.digest or old.copies != now.copies:
            moved = distance(old.rings, now.rings)
            found.append(Change(part.title, "changed", now.revision, moved, difference(old, now, moved)))
    titles = {one.title for one in parts}
    gone = (one for title, one in before.items() if title not in titles)
    return (*found, *(Change(one.title, "gone", one.revision, None, "no longer needed") for one in gone))


def distance(first: Sequence[Ring], second: Sequence[Ring]) -> float:
    """Largest distance between two sets of outlines, mm, one laid on the other by the best of the four corners of the
    boxes round them and their middles (Hausdorff distance over points at most 2 mm apart)."""
    a, b = (segmentize(Polygon(one[0], one[1:]), 2.0) for one in (first, second))
    ax, ay, bx, by = np.array([a.bounds[0::2], a.bounds[1::2], b.bounds[0::2], b.bounds[1::2]])
    shifts = [(ax[i] - bx[i], ay[j] - by[j]) for i in (0, 1) for j in (0, 1)]
    shifts.append((a.centroid.x - b.centroid.x, a.centroid.y - b.centroid.y))
    return float(min(hausdorff_distance(a, translate(b, dx, dy)) for dx, dy in shifts))


def difference(old: Known, now: Known, moved: float) -> str:
    """What differs between two revisions of a part, in words: thickness, outline, holes, folds, number to make."""
    said = []
    if old.material != now.material:
        said.append(f"{now.material} instead of {old.material}")
    if abs(old.thickness - now.thickness) > 1e-3:
        said.append(f"board {old.thickness:.1f} to {now.thickness:.1f} mm")
    if moved > SAME_MM:
        said.append(f"edge moved up to {moved:.1f} mm" if moved >= 0.05 else "edge moved less than 0.1 mm")
    if len(old.rings) != len(now.rings):
        said.append(f"{len(now.rings) - 1} holes instead of {len(old.rings) - 1}")
    said += _folds(old, now)
    if old.copies != now.copies:
        said.append(f"make {now.copies} instead of {old.copies}")
    return ", ".join(said) or "marks or words on it"


def _folds(old: Known, now: Known) -> list[str]:
    if len(old.folds) != len(now.folds):
        return [f"{len(now.folds)} folds instead of {len(old.folds)}"]
    pairs = list(zip(old.folds, now.folds, strict=True))
    said = []
    grooves = [max(abs(a[0] - b[0]), abs(a[1] - b[1])) for a, b in pairs]
    angles = [abs(a[2] - b[2]) for a, b in pairs]
    if grooves and max(grooves) > SAME_MM:
        said.append(f"grooves up to {max(grooves):.1f} mm wider or narrower")
    if angles and max(angles) >= 0.05:
        said.append(f"folds up to {max(angles):.1f} deg different")
    if any(a[3] != b[3] for a, b in pairs):
        said.append("folds cut another way")
    return said
