"""All flat parts of an aeroplane: made, fitted to each other, numbered, laid out, with their seams.

Only right-hand and middle parts are worked out; the left is the mirror of the finished right.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from shapely import Polygon, get_coordinates, minimum_rotated_rectangle

from planewright.geometry.model import Geometry
from planewright.geometry.parts import inside
from planewright.geometry.parts.body_build import body_build
from planewright.geometry.parts.draft import Draft, mirrored, moved, thickness_of
from planewright.geometry.parts.fit import deck, fitted, former, with_saddles
from planewright.geometry.parts.fittings import body_fittings, surface_fittings
from planewright.geometry.parts.frame import Frame, frame
from planewright.geometry.parts.hull_parts import body_parts
from planewright.geometry.parts.jigs import balance_stand, jigs, slot_strips
from planewright.geometry.parts.model import MM, Advice, Edge, Part, PartSet, Ring
from planewright.geometry.parts.numbering import numbered
from planewright.geometry.parts.seams import with_seams
from planewright.geometry.parts.splices import spliced
from planewright.geometry.parts.surface_parts import kink_advice, nose_advice, surface_parts
from planewright.geometry.parts.wraps import fan_parts
from planewright.plane.model import Body, Stock


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
    drawing = _drawing(geometry)
    drafts = _merged(drawing.drafts)
    before = {whole_key(key): number for key, number in (given or {}).items()}
    known = numbered(((one.word, whole_key(one.key)) for one in drafts), before)
    made = [
        _part(one, known[whole_key(one.key)], geometry.plane.stock)
        for draft in drafts
        for one in _both_hands(draft)
    ]
    finished, seams = with_seams(made)
    return PartSet(finished, seams, tuple(drawing.advice))


def whole_key(key: str) -> str:
    """The key of a part that is spliced, from that of one of its pieces: they share a number."""
    return key.split("#", maxsplit=1)[0]


@dataclass(frozen=True)
class _Drawing:
    drafts: tuple[Draft, ...]
    advice: tuple[Advice, ...]


def _drawing(geometry: Geometry) -> _Drawing:
    frames = [frame(geometry.plane, shape) for shape in geometry.surfaces.values()]
    surfaces = {one.surface.name: list(surface_parts(one)) for one in frames}
    advice = [found for one in frames for found in _surface_advice(one)]
    bodies: list[Draft] = []
    for shape in geometry.bodies:
        drafts = list(body_parts(shape.body, geometry.plane.stock))
        drafts += fan_parts(body_build(shape.body, geometry.plane.stock), geometry.plane.engines)
        if not shape.body.y:
            for one in frames:
                if one.surface.kind == "wing":
                    drafts = _fit_body(drafts, surfaces[one.surface.name], one, shape.body)
        bodies += drafts
    drafts = [
        draft for one in frames for draft in (*surfaces[one.surface.name], *surface_fittings(one))
    ] + bodies
    drafts += [draft for shape in geometry.bodies for draft in body_fittings(geometry.plane, shape.body)]
    drafts += _jigs(geometry, frames)
    stock = geometry.plane.stock
    made = [spliced(one, stock[one.stock]) for one in drafts if one.stock in stock]
    advice += [found for one in made for found in one.advice]
    return _Drawing(tuple(draft for one in made for draft in one.drafts), tuple(advice))


def _jigs(geometry: Geometry, frames: list[Frame]) -> list[Draft]:
    found = [draft for one in frames for draft in jigs(one)]
    wing = next((one for one in frames if one.surface.name == geometry.reference), None)
    if wing is not None:
        found += balance_stand(wing, wing.t)
    used = {one.surface.build.skin for one in frames} | {one.body.build.skin for one in geometry.bodies}
    stock = {name: one for name, one in geometry.plane.stock.items() if name in used}
    return [*found, *slot_strips(stock)]


def _surface_advice(one: Frame) -> Iterable[Advice]:
    if one.surface.build.way == "folded" and one.surface.build.skin in one.stock:
        for k in range(len(one.lofts)):
            yield from nose_advice(one, k, f"{one.word}, skin {k + 1}")
    if one.surface.build.way == "kinked" and one.surface.build.skin in one.stock:
        yield from kink_advice(one)


def _fit_body(drafts: list[Draft], skins: list[Draft], wing: Frame, body: Body) -> list[Draft]:
    """The body's sides cut to the wing's root; the lines are drawn on the skins in place."""
    inner = [one for one in skins if one.group == "skin" and one.key.startswith(f"{wing.surface.name}/1/")]
    if not inner or float(wing.lofts[0].outs[0]) > 1.0:
        return drafts
    made, saddles = list[Draft](), list[tuple[str, Edge]]()
    for one in drafts:
        if one.group == "former":
            made += former(one, one.place, wing.lofts[0])
            continue
        if one.group == "panel" and one.hand == "none":
            made += deck(one, wing.lofts[0])
            continue
        if one.group != "panel":
            made.append(one)
            continue
        fit = fitted(one, inner, wing.surface.name)
        made += fit.body
        saddles += fit.saddles
    for k, skin in enumerate(skins):
        if skin in inner:
            skins[k] = with_saddles(skin, saddles)
    if saddles:
        place = np.mean([point[1] for _, edge in saddles for point in edge.row])
        skins += inside.root_ribs(wing, (round(float(place), 1),))
    return made


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
        piece=laid.piece,
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
        kept.append(replace(one, key=key if seen[key] == 1 else f"{key}~{seen[key]}"))
    return kept


def _together(first: Draft, other: Draft) -> Draft:
    place = other.name.split(" at ")[-1]
    return replace(
        first,
        name=f"{first.name}; {place}",
        copies=first.copies + other.copies,
        note=first.note or other.note,
    )
