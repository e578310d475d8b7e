"""Flat pieces of wings, tailplanes and fins: skins, plates, ribs, spar webs and sticks, joiners.

Skins are unrolled over the outside in one layer. Ribs are sections less the skin's thickness all round.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise

import numpy as np
from shapely import Polygon, get_coordinates

from planewright.geometry import sections
from planewright.geometry.model import SurfaceShape
from planewright.geometry.parts.draft import TURN_OVER, Draft, rectangle, ring, thickness_of
from planewright.geometry.parts.model import MM, Array, Hand, Mark
from planewright.geometry.rings import POINTS, ring_at, section_rings
from planewright.geometry.strips import Strip, faces_up, level, unroll_inside_up
from planewright.plane.model import Control, Plane, Stock, Surface

_UPPER = ("top skin", "right skin")


def _word(surface: Surface) -> str:
    return {"wing": "WING", "tailplane": "TAIL", "fin": "FIN"}[surface.kind]


def surface_drafts(plane: Plane, shape: SurfaceShape) -> Iterator[Draft]:
    """Every flat piece of one surface, right and middle."""
    surface, stock = shape.surface, plane.stock
    if surface.build.skin in stock:
        if surface.build.way in ("sheet", "kinked"):
            yield _plate(plane, shape)
        else:
            yield from _skins(plane, shape)
            yield from _ribs(shape, stock)
    yield from _spars(shape, stock)
    yield from _joiners(shape, stock)


def breaks(surface: Surface) -> tuple[float, ...]:
    """Places where one skin ends and the next begins: stations and joints, m out."""
    first, last = surface.stations[0].out, surface.stations[-1].out
    places = {one.out for one in surface.stations} | {
        one.out for one in surface.joints if first < one.out < last
    }
    return tuple(sorted(places))


def _skins(plane: Plane, shape: SurfaceShape) -> Iterator[Draft]:
    surface, rings = shape.surface, section_rings(shape)
    middle = (POINTS + 1) // 2
    whole = surface.build.way == "folded"
    runs: tuple[tuple[int, int, str], ...] = (
        ((0, POINTS + 1, "skin"),)
        if whole
        else ((0, middle, "top skin"), (middle, POINTS + 1, "bottom skin"))
    )
    if surface.kind == "fin":
        runs = tuple((a, b, name.replace("top", "right").replace("bottom", "left")) for a, b, name in runs)
    for inner, outer in zip(breaks(surface)[:-1], breaks(surface)[1:], strict=True):
        ends = [ring_at(shape, out, rings) for out in (inner, outer)]
        for start, stop, name in runs:
            yield _skin(plane, shape, (inner, outer), [end[start:stop] for end in ends], name)


def _skin(
    plane: Plane, shape: SurfaceShape, span: tuple[float, float], rows: list[Array], name: str
) -> Draft:
    surface, (inner, outer) = shape.surface, span
    both = name == "skin"
    outward = np.array([-1.0, 0.0, 0.0]) if both else _outward(surface, name)
    strip = level(unroll_inside_up(rows[0] * MM, rows[1] * MM, outward))
    hand: Hand = "right" if surface.paired else "none"
    turned = not faces_up(rows[0], rows[1], outward)
    marks = _skin_marks(plane, shape, span, strip, (both, name), turned)
    where = "height" if surface.kind == "fin" else "out"
    return Draft(
        word=_word(surface),
        name=f"{name}, {inner * MM:.0f} to {outer * MM:.0f} mm {where}",
        hand=hand,
        copies=1,
        stock=str(surface.build.skin),
        rings=(ring(strip.outline),),
        marks=marks,
        stiff=0.0,
        seen_from="inside",
        ends=("TIP", "ROOT") if turned else ("ROOT", "TIP"),
        note="one layer round the nose, without fold allowance" if both else "",
    )


def _outward(surface: Surface, name: str) -> Array:
    sign = 1.0 if name in _UPPER else -1.0
    return sign * (np.array([0.0, 1.0, 0.0]) if surface.kind == "fin" else np.array([0.0, 0.0, 1.0]))


def _indices(part: float, run: tuple[bool, str]) -> tuple[float, ...]:
    """Where a part of the chord lies along a skin's rows: on both sides of a folded skin, else once."""
    x = sections.cosine((POINTS + 1) // 2)
    half = len(x)
    upper = float(np.interp(part, x, np.arange(half)))
    both, name = run
    top, bottom = half - 1 - upper, upper
    if both:
        return top, half + bottom
    return (top,) if name in _UPPER else (bottom,)


def _skin_marks(
    plane: Plane,
    shape: SurfaceShape,
    span: tuple[float, float],
    strip: Strip,
    run: tuple[bool, str],
    turned: bool,
) -> tuple[Mark, ...]:
    surface, (inner, outer) = shape.surface, span

    def put(out: float, index: float) -> tuple[float, float]:
        part = (out - inner) / (outer - inner)
        x, y = strip.at(index, 1 - part if turned else part)
        return float(x), float(y)

    found: list[Mark] = []
    for spar in surface.spars:
        end = min(spar.to, outer)
        if end > inner:
            found += [Mark("spar", (put(inner, i), put(end, i)), "spar") for i in _indices(spar.at, run)]
    for out in rib_places(surface):
        if inner < out < outer:
            last = len(strip.first) - 1.0
            found.append(Mark("rib", (put(out, 0.0), put(out, last)), f"rib {out * MM:.0f}"))
    for control in plane.controls:
        if control.on == surface.name and min(control.end, outer) > max(control.start, inner):
            found += _control_marks(control, span, run, put)
    return tuple(found)


def _control_marks(
    control: Control,
    span: tuple[float, float],
    run: tuple[bool, str],
    put: Callable[[float, float], tuple[float, float]],
) -> list[Mark]:
    """Hinge line and end cuts of a control where it lies on this skin."""
    ends = max(control.start, span[0]), min(control.end, span[1])
    edges = (0.0, float(POINTS)) if run[0] else ((0.0,) if run[1] in _UPPER else (float(POINTS // 2),))
    found = []
    for index, edge in zip(_indices(1 - control.chord, run), edges, strict=True):
        found.append(Mark("hinge", (put(ends[0], index), put(ends[1], index)), f"{control.name} hinge"))
        found += [
            Mark("control cut", (put(out, index), put(out, edge)))
            for out in ends
            if out in (control.start, control.end)
        ]
    return found


def _plate(plane: Plane, shape: SurfaceShape) -> Draft:
    surface = shape.surface
    way = _spread(shape)
    front, back = shape.leading[:, 0], shape.leading[:, 0] + shape.chord
    corners = np.vstack((np.column_stack((way, -front)), np.column_stack((way, -back))[::-1])) * MM
    outs = np.array([one.out for one in surface.stations])

    def put(out: float, part: float) -> tuple[float, float]:
        x, chord = np.interp(out, outs, front), np.interp(out, outs, shape.chord)
        return float(np.interp(out, outs, way)) * MM, -float(x + part * chord) * MM

    marks: list[Mark] = []
    for one in plane.controls:
        if one.on != surface.name:
            continue
        cuts = [out for out in (one.start, one.end) if outs[0] < out < outs[-1]]
        marks.append(
            Mark("hinge", (put(one.start, 1 - one.chord), put(one.end, 1 - one.chord)), f"{one.name} hinge")
        )
        marks += [Mark("control cut", (put(out, 1 - one.chord), put(out, 1.0)), "") for out in cuts]
    hand: Hand = "right" if surface.paired else "none"
    ends = ("FOOT", "TOP") if surface.kind == "fin" else ("ROOT", "TIP")
    note = f"scored at {surface.build.kink:.0%} of the chord" if surface.build.way == "kinked" else ""
    return Draft(
        _word(surface),
        "plate",
        hand,
        1,
        str(surface.build.skin),
        (ring(corners),),
        tuple(marks),
        0.0,
        "either",
        ends,
        note,
    )


def _spread(shape: SurfaceShape) -> Array:
    """Distance of each station along the surface, dihedral laid flat, m."""
    stations = shape.surface.stations
    steps = [np.hypot(b.out - a.out, b.up - a.up) for a, b in pairwise(stations)]
    return np.concatenate(([0.0], np.cumsum(steps)))


def rib_places(surface: Surface) -> tuple[float, ...]:
    """Where ribs stand, m out: from the first station at the pitch, at each joint and at the end."""
    pitch = surface.build.rib_pitch
    first, last = surface.stations[0].out, surface.stations[-1].out
    if not pitch:
        return ()
    regular = {round(float(out), 6) for out in np.arange(first, last - pitch / 4, pitch)}
    kept = {out for out in regular if all(abs(out - joint.out) > pitch / 4 for joint in surface.joints)}
    return tuple(sorted(kept | {last} | {joint.out for joint in surface.joints}))


def _ribs(shape: SurfaceShape, stock: Mapping[str, Stock]) -> Iterator[Draft]:
    surface, rings = shape.surface, section_rings(shape, 81)
    material = surface.build.rib or surface.build.skin or ""
    if material not in stock:
        return
    skin = _skin_thickness(surface, stock)
    for out in rib_places(surface):
        points = _in_its_plane(ring_at(shape, out, rings), surface.kind == "fin")
        inner = Polygon(points * MM).buffer(0).buffer(-skin * MM, join_style="mitre")
        if inner.is_empty or not isinstance(inner, Polygon):
            continue
        at_joint = any(joint.out == out for joint in surface.joints)
        each = (2 if surface.paired and out > 0 else 1) * (2 if at_joint else 1)
        note = TURN_OVER if surface.paired and out > 0 else ""
        name = f"rib at {out * MM:.0f} mm" + (" both sides of the joint" if at_joint else "")
        corners = get_coordinates(inner.simplify(0.02))[:-1]
        yield Draft(
            _word(surface),
            name,
            "none",
            each,
            material,
            (ring(corners),),
            (),
            None,
            "either",
            ("NOSE", "BACK"),
            note,
        )


def _in_its_plane(points: Array, fin: bool) -> Array:
    """Section points (n, 3) as drawn in the plane of the section, chord level, (n, 2)."""
    flat = points[:, [0, 1]] if fin else points[:, [0, 2]]
    nose, back = flat[len(flat) // 2], (flat[0] + flat[-1]) / 2
    u = (back - nose) / np.hypot(*(back - nose))
    return np.asarray((flat - nose) @ np.array([[u[0], -u[1]], [u[1], u[0]]]))


def _spars(shape: SurfaceShape, stock: Mapping[str, Stock]) -> Iterator[Draft]:
    surface = shape.surface
    places = breaks(surface)
    for spar in surface.spars:
        pieces = [(a, min(b, spar.to)) for a, b in pairwise(places) if spar.to > a + 1e-9]
        for a, b in pieces:
            if spar.web in stock:
                yield _web(shape, spar.at, spar.web, (a, b), stock)
        for a, b in _cap_runs(surface, spar.to):
            if spar.caps in stock:
                yield _cap(shape, spar.at, spar.caps, (a, b), stock[spar.caps])


def _cap_runs(surface: Surface, to: float) -> list[tuple[float, float]]:
    cuts = [surface.stations[0].out, *(one.out for one in surface.joints if one.out < to), to]
    return [(a, b) for a, b in pairwise(cuts) if b > a]


def _spar_line(shape: SurfaceShape, at: float, out: float) -> Array:
    outs = np.array([one.out for one in shape.surface.stations])
    edges = [[np.interp(out, outs, edge[:, k]) for k in range(3)] for edge in (shape.leading, shape.trailing)]
    return np.array(edges[0]) + at * (np.array(edges[1]) - np.array(edges[0]))


def _depth(shape: SurfaceShape, at: float, out: float) -> float:
    """Depth of the surface at a part of the chord, outside to outside, m."""
    outs = np.array([one.out for one in shape.surface.stations])
    depth = [
        chord * sections.depth_at(one.section, at, float(t) if one.section.kind == "flat" else None)
        for one, chord, t in zip(shape.surface.stations, shape.chord, shape.thickness, strict=True)
    ]
    return float(np.interp(out, outs, depth))


def _skin_thickness(surface: Surface, stock: Mapping[str, Stock]) -> float:
    skin = stock.get(surface.build.skin or "")
    return thickness_of(skin) if skin is not None else 0.0


def _web(
    shape: SurfaceShape, at: float, web: str, span: tuple[float, float], stock: Mapping[str, Stock]
) -> Draft:
    surface = shape.surface
    less = 2 * _skin_thickness(surface, stock)
    ends = [_spar_line(shape, at, out) for out in span]
    length = float(np.linalg.norm(ends[1] - ends[0])) * MM
    heights = [max(_depth(shape, at, out) - less, 1e-3) * MM for out in span]
    corners = np.array(
        [[0, -heights[0] / 2], [length, -heights[1] / 2], [length, heights[1] / 2], [0, heights[0] / 2]]
    )
    return Draft(
        _word(surface),
        f"spar web at {at:.0%} of the chord, {span[0] * MM:.0f} to {span[1] * MM:.0f} mm",
        "none",
        2 if surface.paired else 1,
        web,
        (ring(corners),),
        stiff=0.0,
        ends=("INNER", "OUTER"),
        note="depth less two skins",
    )


def _cap(shape: SurfaceShape, at: float, caps: str, span: tuple[float, float], stick: Stock) -> Draft:
    ends = [_spar_line(shape, at, out) for out in span]
    length = float(np.linalg.norm(ends[1] - ends[0])) * MM
    wide = (stick.section[1] if stick.section else 0.01) * MM
    name = f"spar stick at {at:.0%} of the chord, {span[0] * MM:.0f} to {span[1] * MM:.0f} mm"
    copies = 4 if shape.surface.paired else 2
    return Draft(
        _word(shape.surface), name, "none", copies, caps, (rectangle(length, wide),), note="top and bottom"
    )


def _joiners(shape: SurfaceShape, stock: Mapping[str, Stock]) -> Iterator[Draft]:
    surface = shape.surface
    for joint in surface.joints:
        if joint.joiner not in stock or not joint.reach or not surface.spars:
            continue
        less = 2 * _skin_thickness(surface, stock)
        height = max(_depth(shape, surface.spars[0].at, joint.out) - less, 1e-3) * MM
        name = f"joiner at {joint.out * MM:.0f} mm"
        copies = 2 if surface.paired else 1
        note = "reach taken as its whole length; shape to the spar by hand"
        yield Draft(
            _word(surface),
            name,
            "none",
            copies,
            str(joint.joiner),
            (rectangle(joint.reach * MM, height),),
            note=note,
        )
