"""Every flat piece of an aeroplane in first form: outlines true to scale, straight from the description.

First form: skins are unrolled in one layer over the outside; there are no folds, no allowances for the thickness of the
sheet at folds, no slots and no joggles, so these are outlines to plan sheets, weights and costs by, not to cut by.
Only right-hand and middle pieces are worked out; the left is the mirror of the finished right.
Lengths of ``Part`` are in mm, masses in kg, areas in m2, angles in rad.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

import numpy as np
from shapely import Polygon, get_coordinates, minimum_rotated_rectangle

from planewright.geometry.model import Geometry
from planewright.geometry.parts.draft import Draft, mirrored, moved, thickness_of
from planewright.geometry.parts.first_bodies import body_drafts
from planewright.geometry.parts.first_surfaces import surface_drafts
from planewright.geometry.parts.model import MM, Part, PartSet, Ring
from planewright.geometry.parts.numbering import numbered
from planewright.plane.model import Stock


def parts(geometry: Geometry, given: Mapping[str, str] | None = None) -> tuple[Part, ...]:
    """All flat pieces of the aeroplane in building order, numbered: the parts of :func:`part_set`."""
    return part_set(geometry, given).parts


def part_set(geometry: Geometry, given: Mapping[str, str] | None = None) -> PartSet:
    """All flat pieces of the aeroplane in building order, numbered, with their seams and what to decide first.

    Numbers run per word (WING, TAIL, FIN, BODY, POD), leaving out 13 to 19 and the round tens from 20 on; both hands
    share one number. Pieces whose material or size the description does not give are left out.

    Arguments:
        given: numbers given earlier by key, to be kept (see ``numbering.numbered``).
    """
    drafts = _merged(_drafts(geometry))
    known = numbered(((one.word, one.key) for one in drafts), given)
    made = [
        _part(one, known[one.key], geometry.plane.stock) for draft in drafts for one in _both_hands(draft)
    ]
    return PartSet(tuple(made))


def _both_hands(draft: Draft) -> tuple[Draft, ...]:
    return (draft, mirrored(draft)) if draft.hand == "right" else (draft,)


def _part(draft: Draft, number: str, stock: Mapping[str, Stock]) -> Part:
    material = stock[draft.stock]
    corner = np.array(draft.rings[0]).min(axis=0)
    laid = moved(draft, lambda points: points - corner)
    area = Polygon(laid.rings[0], laid.rings[1:]).area / MM**2
    return Part(
        number=number,
        name=laid.name,
        hand=laid.hand,
        copies=laid.copies,
        material=laid.stock,
        kind=material.kind,
        thickness=thickness_of(material) * MM,
        rings=laid.rings,
        area=area,
        mass_goal=_mass(material, area, laid.rings[0]),
        marks=laid.marks,
        stiff=laid.stiff,
        seen_from=laid.seen_from,
        ends=laid.ends,
        note=laid.note,
        sheet=sheet_fit(laid.rings[0], material),
        folds=laid.folds,
        bevels=laid.bevels,
        glue=laid.glue,
        stations=laid.stations,
        words=laid.words,
        facets=laid.facets,
        edges=laid.edges,
        key=laid.key,
        group=laid.group,
        whole=laid.whole,
        ready=laid.ready,
    )


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
    return _keyed(found.values())


def _keyed(drafts: Iterable[Draft]) -> list[Draft]:
    """Drafts with a key each: their own, or word and name where they have none; a second of one key is told apart."""
    seen = dict[str, int]()
    kept = []
    for one in drafts:
        key = one.key or f"{one.word.lower()}/{one.name.split(';')[0]}"
        seen[key] = seen.get(key, 0) + 1
        kept.append(replace(one, key=key if seen[key] == 1 else f"{key}#{seen[key]}"))
    return kept


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
