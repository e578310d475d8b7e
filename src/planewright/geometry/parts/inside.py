"""What stands inside a wing: ribs, spar webs and sticks, nose former. Heights are those left inside the skin.

Ribs stand in planes across the span, webs along it, square to the chord plane. Where a web passes a rib, both are
slotted half-way; a spar box cuts the rib in two.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from shapely import LineString, Polygon, affinity, box, get_coordinates
from shapely.geometry.base import BaseGeometry

from planewright.geometry.parts import thickness
from planewright.geometry.parts.draft import TURN_OVER, Draft, rectangle, ring, thickness_of
from planewright.geometry.parts.frame import Frame, SparLine
from planewright.geometry.parts.hinges import taken
from planewright.geometry.parts.loft import Loft, largest, pieces, span_at
from planewright.geometry.parts.model import MM, Array, Bevel, Mark, Ring, flat_points
from planewright.plane.model import Spar, Stock, Surface

RIM = 18.0
"""Rim kept round a lightening hole, mm (assumed)."""
LEAST_INSIDE = 1.5
"""A rib ends where less than this is left between the skins, mm."""


def stick_of(stock: Stock | None) -> tuple[float, float]:
    """Height and width of a stick that lies flat, mm."""
    if stock is None or stock.section is None:
        return 5.0, 10.0
    low, wide = sorted(stock.section)
    return low * MM, wide * MM


def boxed(frame: Frame) -> bool:
    """True where a spar is a box of two webs with the sticks between them: a folded wing."""
    return frame.surface.build.way == "folded"


def rib_places(surface: Surface) -> tuple[float, ...]:
    """Where ribs stand, m out: from the first station at the pitch, at each joint and at the end."""
    pitch = surface.build.rib_pitch
    first, last = surface.stations[0].out, surface.stations[-1].out
    if not pitch:
        return ()
    regular = {round(float(out), 6) for out in np.arange(first, last - pitch / 4, pitch)}
    kept = {out for out in regular if all(abs(out - joint.out) > pitch / 4 for joint in surface.joints)}
    return tuple(sorted(kept | {last} | {joint.out for joint in surface.joints}))


def root_ribs(frame: Frame, outs: Sequence[float]) -> Iterator[Draft]:
    """Ribs where the body's sides come, at ``outs`` mm, unless another stands there."""
    material, t = frame.surface.build.rib or frame.surface.build.skin or "", frame.rib_thickness()
    if material not in frame.stock:
        return
    for index, out in enumerate(outs):
        if any(abs(place * MM - out) < 3 * t for place in rib_places(frame.surface)):
            continue
        shapes = pieces(rib_shape(frame, panel_at(frame, out, 0), out, t), 120.0)
        for k, shape in enumerate(shapes):
            part = "" if len(shapes) == 1 else f"{('front', 'rear', 'third', 'fourth')[min(k, 3)]} part of "
            yield Draft(
                word=frame.word,
                name=f"{part}root rib, at the body side, at {out:.0f} mm",
                hand="none",
                copies=frame.pair,
                stock=material,
                rings=rings_of(shape),
                ends=("NOSE", "BACK"),
                note=TURN_OVER,
                key=f"{frame.surface.name}/root rib/{index}/{k}",
                group="rib",
                marks=_chord_mark(shape),
                whole=True,
                ready=True,
            )


def ribs(frame: Frame) -> Iterator[Draft]:
    """Ribs with their slots and notches, cut in two by a spar box; the same on both sides, turned over."""
    surface = frame.surface
    material, t = surface.build.rib or surface.build.skin or "", frame.rib_thickness()
    if material not in frame.stock:
        return
    first, last = surface.stations[0].out * MM, surface.stations[-1].out * MM
    for index, place in enumerate(rib_places(surface)):
        out = place * MM
        middle = surface.paired and out < 1e-6
        joint = frame.joint_at(out)
        sides = (-1, 1) if joint is not None else (0,)
        for side in sides:
            at = out + side * t / 2
            if side == 0 and not middle:
                at = min(max(out, first + t / 2), last - t / 2)
            loft = panel_at(frame, at, side)
            made = rib_shape(frame, loft, at, t)
            shapes = pieces(made, 120.0)
            words = ("front", "rear", "third", "fourth")
            for k, shape in enumerate(shapes):
                part = "" if len(shapes) == 1 else f"{words[min(k, 3)]} part of "
                where = {-1: ", inner side of the joint", 0: "", 1: ", outer side of the joint"}[side]
                yield Draft(
                    word=frame.word,
                    name=f"{part}rib{where} at {out:.0f} mm",
                    hand="none",
                    copies=1 if middle else frame.pair,
                    stock=material,
                    rings=rings_of(shape),
                    ends=("NOSE", "BACK"),
                    note=TURN_OVER if frame.pair == 2 and not middle else "",
                    key=f"{surface.name}/rib/{index}{('', '+', '-')[side]}/{k}",
                    group="rib",
                    marks=_chord_mark(shape),
                    whole=True,
                    ready=True,
                )


def _chord_mark(shape: Polygon) -> tuple[Mark, ...]:
    low, high = shape.bounds[0], shape.bounds[2]
    ends = [(x, sum(span_at(shape, x)) / 2) for x in (low + 1, high - 1)]
    return on_board(shape, (ends[0], ends[1]))


def on_board(shape: BaseGeometry, points: Ring) -> tuple[Mark, ...]:
    """A centre line where it runs on the board: not over slots and holes."""
    line = LineString(points).intersection(shape)
    found = [
        one for one in getattr(line, "geoms", [line]) if isinstance(one, LineString) and one.length > 4.0
    ]
    return tuple(Mark("centre", tuple((float(x), float(y)) for x, y in one.coords)) for one in found)


def panel_at(frame: Frame, out: float, side: int) -> Loft:
    """The panel that holds ``out``; at a joint the inner one for side -1, the outer one for side 1."""
    nudge = out + side * 0.01
    for loft in frame.lofts:
        if loft.outs[0] - 1e-6 <= nudge <= loft.outs[-1] + 1e-6:
            return loft
    return frame.lofts[-1]


def rib_shape(frame: Frame, loft: Loft, out: float, t: float) -> BaseGeometry:
    """A rib in its own plane, (aft, up) mm: the inside of the skins less slots, notches and holes."""
    inner = loft.inside(out)
    if inner.is_empty:
        return inner
    open_back = inner.buffer(-LEAST_INSIDE / 2, join_style="mitre").buffer(
        LEAST_INSIDE / 2, join_style="mitre", mitre_limit=3
    )
    shape: BaseGeometry = largest(open_back).intersection(inner)
    for line in _lines_over(frame, out):
        if shape.is_empty:
            return shape
        shape = shape.difference(_spar_cut(frame, line, shape, out, t))
    hinge = taken(frame, loft, out)
    if hinge is not None:
        shape = shape.difference(box(hinge[0], inner.bounds[1] - 1, hinge[1], inner.bounds[3] + 1))
    if frame.surface.build.way == "ribs":
        solid = largest(shape)
        for hole in pieces(solid.buffer(-RIM).buffer(0), 300.0):
            if hole.bounds[3] - hole.bounds[1] > 12.0:
                shape = shape.difference(hole.buffer(-4.0).buffer(4.0))
    return shape.simplify(0.02)


def _lines_over(frame: Frame, out: float) -> list[SparLine]:
    found = []
    for k in range(len(frame.lofts)):
        found += [one for one in frame.spar_lines(k) if one.start[1] - 1.0 <= out <= one.end[1] + 1.0]
    return found


def _spar_cut(frame: Frame, line: SparLine, rib: BaseGeometry, out: float, t: float) -> BaseGeometry:
    """What a spar takes out of a rib of thickness ``t``."""
    x, lean = line.x(out), abs(line.lean)
    high, wide = stick_of(frame.stock.get(line.spar.caps))
    web = thickness_of(frame.stock[line.spar.web]) * MM if line.spar.web in frame.stock else 0.0
    low, top = rib.bounds[1] - 5.0, rib.bounds[3] + 5.0
    if boxed(frame):
        half = thickness.slot_width(wide + 2 * web, t, lean) / 2
        return box(x - half, low, x + half, top)
    inside = span_at(largest(rib), x)
    half = thickness.slot_width(wide, t, lean) / 2
    play = thickness.CLEARANCE
    notches = box(x - half, inside[1] - high - play, x + half, top).union(
        box(x - half, low, x + half, inside[0] + high + play)
    )
    if web <= 0.0:
        return notches
    slot = thickness.slot_width(web, t, lean) / 2
    middle = sum(inside) / 2
    return notches.union(box(x - slot, low, x + slot, middle + play / 2))


def rings_of(shape: Polygon) -> tuple[Ring, ...]:
    """Outline and holes of a polygon as rings of plain numbers."""
    found = [shape.exterior, *shape.interiors]
    return tuple(ring(get_coordinates(one)[:-1]) for one in found)


def webs(frame: Frame, k: int) -> Iterator[Draft]:
    """Spar webs of panel ``k``: two with the sticks between them in a folded wing, else one between the sticks."""
    for n, line in enumerate(frame.spar_lines(k)):
        if line.spar.web not in frame.stock:
            continue
        t = thickness_of(frame.stock[line.spar.web]) * MM
        high, wide = stick_of(frame.stock.get(line.spar.caps))
        off = (wide + t) / 2
        around = ((-off, "front web"), (off, "rear web")) if boxed(frame) else ((0.0, "web"),)
        for shift, name in around:
            less = 0.0 if boxed(frame) else high
            yield _web(frame, line, (k, n), (shift, t, less), name)


def upright(line: SparLine, shift: float, t: float, less: float) -> tuple[Array, Array, Array]:
    """Heights inside the skins along an upright board beside a spar line.

    Arguments:
        shift: distance of its middle behind the line, square to it, mm. ``t``: its thickness. ``less``: taken off above
            and below, mm.
    Returns:
        (along, faces low, faces high): (n,) mm along the line, and (n, 2) heights at its front and rear face.
    """
    along = np.linspace(0.0, line.length, 13)
    u = np.array([np.sin(line.lean), np.cos(line.lean)])
    square = np.array([u[1], -u[0]])
    start = np.array(line.start)
    low, high = np.zeros((len(along), 2)), np.zeros((len(along), 2))
    first, last = line.loft.outs[0], line.loft.outs[-1]
    for i, s in enumerate(along):
        for j, face in enumerate((shift - t / 2, shift + t / 2)):
            x, out = start + s * u + face * square
            below, above = line.loft.depth(float(x), float(np.clip(out, first, last)))
            low[i, j], high[i, j] = below + less, max(above - less, below + less)
    return along, low, high


def _web(
    frame: Frame, line: SparLine, ids: tuple[int, int], at: tuple[float, float, float], name: str
) -> Draft:
    shift, t, less = at
    along, low, high = upright(line, shift, t, less)
    bottom, top = low.min(axis=1), high.max(axis=1)
    shape: BaseGeometry = Polygon(
        np.vstack((np.column_stack((along, bottom)), np.column_stack((along, top))[::-1]))
    ).simplify(0.02)
    if not boxed(frame):
        shape = shape.difference(_rib_slots(frame, line, t, along, (bottom, top)))
    rings, turn = laid(largest(shape))
    label = f"spar {name} at {line.spar.at:.0%} of the chord, {line.start[1]:.0f} to {line.end[1]:.0f} mm"
    k, n = ids
    return Draft(
        word=frame.word,
        name=label,
        hand=frame.hand,
        copies=1,
        stock=line.spar.web,
        rings=rings,
        stiff=0.0,
        seen_from="outside",
        ends=("INNER", "OUTER"),
        note=f"{'front' if 'rear' not in name else 'rear'} face up",
        key=f"{frame.surface.name}/{k + 1}/spar {n + 1} {name}",
        group="web",
        bevels=_top_slopes(along, low, high, turn, "rear" in name),
        stations=_web_stations(frame, line, along, (bottom, top), turn),
        ready=True,
    )


def laid(shape: Polygon) -> tuple[tuple[Ring, ...], float]:
    """A long polygon turned so that its lower edge is level; and the turn, rad."""
    low, high = shape.bounds[0], shape.bounds[2]
    ends = [sum(span_at(shape, x)) / 2 for x in (low + 0.5, high - 0.5)]
    angle = -float(np.arctan2(ends[1] - ends[0], high - low))
    return rings_of(affinity.rotate(shape, angle, origin=(0, 0), use_radians=True)), angle


def turned(points: Array, angle: float) -> Array:
    """Points (n, 2) turned about the origin, rad anticlockwise."""
    c, s = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


def _top_slopes(along: Array, low: Array, high: Array, angle: float, rear_up: bool) -> tuple[Bevel, ...]:
    """Slopes of the upper and lower edge where the faces of a web end at different heights."""
    found = []
    up = 1 if rear_up else 0
    for edges, sign in ((high, 1.0), (low, -1.0)):
        fall = sign * (edges[:, 1] - edges[:, 0])
        most = float(np.abs(fall).max())
        if most < 0.3:
            continue
        lower = np.argmin(sign * edges[len(edges) // 2])
        outer = (edges.max(axis=1) if sign > 0 else edges.min(axis=1)).copy()
        inner = edges.min(axis=1) if sign > 0 else edges.max(axis=1)
        rows = [turned(np.column_stack((along, one))[[0, -1]], angle) for one in (outer, inner)]
        words = f"slope to {most:.1f} lower on the {'face that lies up' if lower == up else 'other face'}"
        found.append(
            Bevel(
                flat_points(rows[0]),
                flat_points(rows[1]),
                0.0,
                float(np.pi / 2 - np.arctan2(most, 4.8)),
                bool(lower == up),
                words,
            )
        )
    return tuple(found)


def _web_stations(
    frame: Frame, line: SparLine, along: Array, edges: tuple[Array, Array], angle: float
) -> tuple[Mark, ...]:
    found = []
    for place in rib_places(frame.surface):
        out = place * MM
        if line.start[1] < out < line.end[1]:
            s = (out - line.start[1]) / np.cos(line.lean)
            low, high = (float(np.interp(s, along, edge)) for edge in edges)
            ends = np.array([[s, low], [s, high if boxed(frame) else (low + high) / 2]])
            found.append(Mark("station", flat_points(turned(ends, angle)), f"rib {out:.0f}"))
    return tuple(found)


def _rib_slots(
    frame: Frame, line: SparLine, t: float, along: Array, edges: tuple[Array, Array]
) -> BaseGeometry:
    """Slots from above, half the height, where ribs cross."""
    cuts: BaseGeometry = Polygon()
    rib = frame.rib_thickness()
    first, last = frame.surface.stations[0].out * MM, frame.surface.stations[-1].out * MM
    for place in rib_places(frame.surface):
        out = min(max(place * MM, first + rib / 2), last - rib / 2)
        if place < 1e-6 and frame.surface.paired:
            out = place * MM
        if not line.start[1] - rib <= out <= line.end[1] + rib:
            continue
        s, half = (out - line.start[1]) / np.cos(line.lean), thickness.slot_width(rib, t, line.lean) / 2
        low, high = (float(np.interp(s, along, edge)) for edge in edges)
        wide = half + (rib / 2 / np.cos(line.lean) if frame.joint_at(place * MM) is not None else 0.0)
        cuts = cuts.union(box(s - wide, (low + high) / 2 - thickness.CLEARANCE / 2, s + wide, high + 50.0))
    return cuts


def sticks(frame: Frame) -> Iterator[Draft]:
    """Spar sticks between joints, above and below, along the spar in space."""
    surface = frame.surface
    for n, spar in enumerate(surface.spars):
        if spar.caps not in frame.stock:
            continue
        cuts = [surface.stations[0].out, *(one.out for one in surface.joints if one.out < spar.to), spar.to]
        for k, (a, b) in enumerate(pairwise(cuts)):
            if b <= a:
                continue
            wide = stick_of(frame.stock[spar.caps])[1]
            length = stick_length(frame, spar.at, (a * MM, b * MM))
            yield Draft(
                word=frame.word,
                name=f"spar stick at {spar.at:.0%} of the chord, {a * MM:.0f} to {b * MM:.0f} mm",
                hand="none",
                copies=2 * frame.pair,
                stock=spar.caps,
                rings=(rectangle(length, wide),),
                note="top and bottom",
                key=f"{surface.name}/stick {n + 1}/{k + 1}",
                group="stick",
                ready=True,
            )


def stick_length(frame: Frame, at: float, span: tuple[float, float]) -> float:
    """Length in space of a line at a part of the chord between two places out, mm, bent where the panels change."""
    places = sorted({*span, *(float(o) for loft in frame.lofts for o in loft.outs if span[0] < o < span[1])})
    points = []
    for out in places:
        loft = panel_at(frame, out, -1 if out > span[0] else 1)
        low, high = loft.outer(loft.at(at, out), out)
        points.append((loft.at(at, out), out, (low + high) / 2))
    return float(np.linalg.norm(np.diff(np.array(points), axis=0), axis=1).sum())


def strips(frame: Frame, k: int) -> Iterator[Draft]:
    """Nose former of a folded panel, nose strip of a panel with two skins: an upright strip behind the nose."""
    loft = frame.lofts[k]
    inner, outer = float(loft.outs[0]), float(loft.outs[-1])
    part = 0.06 if frame.surface.build.way == "folded" else nose_part(loft)
    ends = ((loft.at(part, inner), inner), (loft.at(part, outer), outer))
    line = SparLine(Spar(part, "", str(frame.surface.build.skin), outer / MM), loft, *ends)
    t = frame.t
    along, low, high = upright(line, 0.0, t, 0.0)
    heights = high.max(axis=1) - low.min(axis=1)
    if heights.min() < 1.0:
        return
    shape = Polygon(
        np.vstack(
            (np.column_stack((along, low.min(axis=1))), np.column_stack((along, high.max(axis=1)))[::-1])
        )
    )
    rings, turn = laid(largest(shape.simplify(0.05)))
    name = "nose former" if frame.surface.build.way == "folded" else "nose strip"
    yield Draft(
        word=frame.word,
        name=f"{name}, {inner:.0f} to {outer:.0f} mm",
        hand=frame.hand,
        copies=1,
        stock=str(frame.surface.build.skin),
        rings=rings,
        stiff=0.0,
        seen_from="outside",
        ends=("INNER", "OUTER"),
        note="front face up; cut it where a rib stands",
        key=f"{frame.surface.name}/{k + 1}/{name}",
        group="nose",
        bevels=_top_slopes(along, low, high, turn, rear_up=False),
        ready=True,
    )


def nose_part(loft: Loft) -> float:
    """The foremost part of the chord where at least 8 mm are left between two skins at the outer end (at most 12 %)."""
    out = float(loft.outs[-1])
    for part in np.arange(0.01, 0.121, 0.005):
        low, high = loft.depth(loft.at(float(part), out), out)
        if high - low >= 8.0:
            return float(part)
    return 0.12
