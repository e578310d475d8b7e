"""Every flat piece of an aeroplane in first form: outlines true to scale, straight from the description.

First form: skins are unrolled in one layer over the outside; there are no folds, no allowances for the thickness of the
sheet at folds, no slots and no joggles, so these are outlines to plan sheets, weights and costs by, not to cut by.
Only right-hand and middle pieces are worked out; the left is the mirror of the finished right.
Lengths of ``Part`` are in mm, masses in kg, areas in m2, angles in rad.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import count as counting

import numpy as np
from shapely import Polygon, get_coordinates, minimum_rotated_rectangle

from planewright.geometry.body_pieces import body_drafts
from planewright.geometry.model import Geometry
from planewright.geometry.pieces import MM, Array, Draft, Hand, Mark, Ring, mirrored, thickness_of
from planewright.geometry.surface_pieces import section_rings, surface_drafts
from planewright.plane.model import Stock

__all__ = ["Hand", "Mark", "Part", "Ring", "cut_list", "numbers", "parts", "section_rings", "sheet_fit"]


@dataclass(frozen=True)
class Part:
    """One flat piece.

    ``number``: word and number as printed, such as "WING 4"; ``hand`` "left", "right" or "none"; ``copies`` to make.
    ``material``: name in the stock, its ``kind``, ``thickness`` mm. ``rings``: outline, then holes, closed without
    repeating the first point, mm; lower left corner of the outline's box at (0, 0). ``area`` m2 of one;
    ``mass_goal`` kg of one, None where the stock was not weighed. ``stiff``: angle of the stiff way of the board,
    rad from the x axis, None: free. ``ends``: words at its left and right end. ``sheet``: whether it fits.
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
    face: str = ""
    ends: tuple[str, str] = ("", "")
    note: str = ""
    sheet: str = ""

    @property
    def title(self) -> str:
        """Number with hand, as printed on the part: "WING 4 RIGHT"."""
        return self.number if self.hand == "none" else f"{self.number} {self.hand.upper()}"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the box round the outline, mm."""
        points = np.array(self.rings[0])
        width, height = np.ptp(points, axis=0)
        return float(width), float(height)


def parts(geometry: Geometry) -> tuple[Part, ...]:
    """All flat pieces of the aeroplane in building order, numbered.

    Numbers run per word (WING, TAIL, FIN, BODY, POD), leaving out 13 to 19 and the round tens from 20 on; both hands
    share one number. Pieces whose material or size the description does not give are left out.
    """
    numbered, used = [], dict[str, Iterator[int]]()
    for draft in _merged(_drafts(geometry)):
        tally = used.setdefault(draft.word, numbers())
        number = f"{draft.word} {next(tally)}"
        numbered += [_part(one, number, geometry.plane.stock) for one in _both_hands(draft)]
    return tuple(numbered)


def numbers() -> Iterator[int]:
    """1 to 12, 21 to 29, 31 to 39 and so on: numbers that are not mistaken for each other when called out."""
    return (n for n in counting(1) if n <= 12 or (n % 100 not in range(10, 20) and n % 10))


def _both_hands(draft: Draft) -> tuple[Draft, ...]:
    return (draft, mirrored(draft)) if draft.hand == "right" else (draft,)


def _part(draft: Draft, number: str, stock: Mapping[str, Stock]) -> Part:
    material = stock[draft.stock]
    corner = np.array(draft.rings[0]).min(axis=0)
    rings = tuple(_shifted(ring, corner) for ring in draft.rings)
    marks = tuple(replace(one, points=_shifted(one.points, corner)) for one in draft.marks)
    area = Polygon(rings[0], rings[1:]).area / MM**2
    return Part(
        number=number,
        name=draft.name,
        hand=draft.hand,
        copies=draft.copies,
        material=draft.stock,
        kind=material.kind,
        thickness=thickness_of(material) * MM,
        rings=rings,
        area=area,
        mass_goal=_mass(material, area, rings[0]),
        marks=marks,
        stiff=draft.stiff,
        face=draft.face,
        ends=draft.ends,
        note=draft.note,
        sheet=sheet_fit(rings[0], material),
    )


def _shifted(ring: Ring, corner: Array) -> Ring:
    return tuple((float(x - corner[0]), float(y - corner[1])) for x, y in ring)


def _mass(material: Stock, area: float, ring: Ring) -> float | None:
    if material.areal_mass is not None:
        return material.areal_mass * area
    if material.density is not None and material.section is not None:
        return material.density * material.section[0] * material.section[1] * _least_box(ring)[1] / MM
    return None


def _least_box(ring: Ring) -> tuple[float, float]:
    """Short and long side of the smallest rectangle round a ring, mm."""
    corners = get_coordinates(minimum_rotated_rectangle(Polygon(ring)))
    sides = np.hypot(*np.diff(corners[:3], axis=0).T)
    return float(sides.min()), float(sides.max())


def sheet_fit(ring: Ring, material: Stock) -> str:
    """Whether a piece comes out of one sheet or stick: "one sheet", "splice: 2 pieces" and so on, "" when unknown.

    A piece may lie in the smallest rectangle round it, turned by a quarter. The number of pieces is a least one.
    """
    short, long = _least_box(ring)
    if material.sheet is not None:
        low, high = (side * MM for side in sorted(material.sheet))
        if short <= low and long <= high:
            return "one sheet"
        ways = (np.ceil(long / high) * np.ceil(short / low), np.ceil(long / low) * np.ceil(short / high))
        return f"splice: {int(min(ways))} pieces"
    if material.length is not None:
        pieces = int(np.ceil(long / (material.length * MM) - 1e-9))
        return "one stick" if pieces <= 1 else f"splice: {pieces} pieces"
    return ""


def _merged(drafts: Iterable[Draft]) -> list[Draft]:
    """Pieces of one word, material and outline (to a tenth of a millimetre) taken together, copies added up."""
    found = dict[tuple[object, ...], Draft]()
    for one in drafts:
        shape = tuple(tuple((round(x, 1) + 0.0, round(y, 1) + 0.0) for x, y in ring) for ring in one.rings)
        key = (one.word, one.stock, one.hand, one.name.split(" at ")[0], shape)
        same = found.get(key)
        found[key] = one if same is None else _together(same, one)
    return list(found.values())


def _together(first: Draft, other: Draft) -> Draft:
    place = other.name.split(" at ")[-1]
    return replace(
        first,
        name=f"{first.name}; {place}",
        copies=first.copies + other.copies,
        note=first.note or other.note,
    )


def _drafts(geometry: Geometry) -> Iterator[Draft]:
    for shape in geometry.surfaces.values():
        yield from surface_drafts(geometry.plane, shape)
    for body in (one.body for one in geometry.bodies):
        yield from body_drafts(body, geometry.plane.stock)


def cut_list(found: Iterable[Part]) -> str:
    """The cut list as comma-separated text (RFC 4180), one line a part and hand; heads carry the unit."""
    head = "number,name,hand,copies,material,thickness_mm,length_mm,width_mm,area_cm2,mass_goal_g,sheet,note"
    return "\n".join([head, *(_row(one) for one in found)]) + "\n"


def _row(part: Part) -> str:
    width, height = part.size
    cells = (
        part.number,
        part.name,
        part.hand,
        str(part.copies),
        part.material,
        f"{part.thickness:.1f}",
        f"{max(width, height):.0f}",
        f"{min(width, height):.0f}",
        f"{part.area * 1e4:.1f}",
        "" if part.mass_goal is None else f"{part.mass_goal * 1000:.1f}",
        part.sheet,
        part.note,
    )
    return ",".join(f'"{cell}"' if "," in cell or '"' in cell else cell for cell in cells)
