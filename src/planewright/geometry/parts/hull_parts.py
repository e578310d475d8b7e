"""Flat parts of bodies and nacelles: sides, floor, roof, corner strips, facets, wraps of card, formers, sticks.

The sides cover floor and roof, which are therefore two thicknesses narrower. Facets of a shell and rounded corners are
mitred: their edges slope by half the angle between them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

import numpy as np
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from planewright.geometry.parts import thickness
from planewright.geometry.parts.body_build import Build, body_build, placed
from planewright.geometry.parts.draft import Draft, rectangle, ring, thickness_of
from planewright.geometry.parts.fit import clipped
from planewright.geometry.parts.hull import Panel, runs
from planewright.geometry.parts.inside import RIM, on_board, rings_of, stick_of
from planewright.geometry.parts.loft import Loft, largest
from planewright.geometry.parts.model import (
    MM,
    Array,
    Bevel,
    Edge,
    Hand,
    Mark,
    flat_points,
)
from planewright.geometry.parts.skins import Sheet, edge, facets, folds, levelled
from planewright.geometry.parts.wraps import wraps
from planewright.geometry.strips import row_folds
from planewright.plane.model import Body, Stock


def body_parts(body: Body, stock: Mapping[str, Stock]) -> Iterator[Draft]:
    """Every flat part of one body, right and middle, in building order."""
    made = body_build(body, stock)
    if body.build.skin in stock:
        if body.build.way == "shell" and stock[str(body.build.skin)].kind == "cardboard":
            yield from wraps(made)
        else:
            for panel in made.hull.panels:
                yield from _panel(made, panel)
    yield from formers(made)
    yield from corner_sticks(made)


def _panel(made: Build, panel: Panel) -> Iterator[Draft]:
    loft = made.hull.loft(panel)
    cuts = runs(loft)
    for index, (a, b) in enumerate(cuts):
        piece = Loft(loft.rows[:, a : b + 1], loft.outs[a : b + 1], 0, loft.t)
        rows = piece.rows
        if np.linalg.norm(rows[-1] - rows[0], axis=1).max() < 2.0:
            continue
        name = (
            panel.name if len(cuts) == 1 else f"{panel.name}, {piece.outs[0]:.0f} to {piece.outs[-1]:.0f} mm"
        )
        yield panel_draft(made, panel, piece, name, index)


def panel_draft(made: Build, panel: Panel, loft: Loft, name: str, index: int) -> Draft:
    """One strip or run of strips along a body."""
    sheet = Sheet(loft, 0, len(loft.rows) - 1)
    boxed = made.body.build.way == "box"
    square = boxed and made.body.build.corner_radius <= 0
    inset = square and panel.name in ("floor", "roof")
    outline = _inset(made, sheet) if inset else sheet.outline
    note = "between the sides" if inset else ""
    hand: Hand = "right" if panel.handed else "none"
    draft = Draft(
        word=made.word,
        name=name,
        hand=hand,
        copies=made.pair,
        stock=str(made.body.build.skin),
        rings=(ring(outline),),
        stiff=0.0,
        seen_from="inside",
        ends=("FRONT", "BACK"),
        note=note,
        key=f"{made.body.name}/{panel.name}/{index}",
        group="panel",
        folds=folds(sheet),
        bevels=() if square else mitres(made, panel, sheet),
        stations=_stations(made, sheet),
        facets=placed(made, facets(sheet)),
        edges=_edges(made, panel, sheet),
        middle=made.body.y * MM,
        ready=True,
    )
    ends = [(sheet.flat[0, k] + sheet.flat[-1, k]) / 2 for k in (0, -1)]
    if inset:
        draft = clipped(draft, Polygon(outline))
    return levelled(draft, np.array([ends[0]]), np.array([ends[1]]))


def _inset(made: Build, sheet: Sheet) -> Array:
    """Outline of a floor or roof between the sides: each long edge moved in by what the side takes away."""
    side = made.hull.normals[0]
    bays = len(sheet.loft.outs) - 1
    first = int(np.argmin(np.abs(made.hull.xs - sheet.loft.outs[0])))
    takes = [thickness.set_back(made.hull.t, float(side[first + k, 0])) for k in range(bays)]
    at = np.array([takes[0], *[(a + b) / 2 for a, b in pairwise(takes)], takes[-1]])
    low, high = sheet.flat[0], sheet.flat[-1]
    across = high - low
    wide = np.maximum(np.linalg.norm(across, axis=1), 1e-9)
    at = np.minimum(at, 0.45 * wide)[:, None]
    unit = across / wide[:, None]
    return np.vstack((low + at * unit, (high - at * unit)[::-1]))


def _stations(made: Build, sheet: Sheet) -> tuple[Mark, ...]:
    """Lines across the sheet where formers stand."""
    low, high = sheet.loft.outs[0] - 1e-6, sheet.loft.outs[-1] + 1e-6
    return tuple(
        Mark("station", flat_points(sheet.across(x)), f"station {x:.0f}")
        for x in former_places(made)
        if low <= x <= high
    )


def _edges(made: Build, panel: Panel, sheet: Sheet) -> tuple[Edge, ...]:
    count = len(made.hull.rows)
    name, flat = made.body.name, sheet.flat
    found = []
    for row, k, other in ((panel.start, 0, 1), (panel.stop, -1, -2)):
        # a row on the left is the mirror of one on the right: both sides of the middle share the name
        along = sheet.rows[k] + made.shift
        found.append(
            edge(
                f"{name}/row {row % count}/{sheet.loft.outs[0]:.0f}",
                along,
                flat[k],
                sheet.loft.outs,
                flat[other] - flat[k],
            )
        )
    return tuple(found)


def mitres(made: Build, panel: Panel, sheet: Sheet) -> tuple[Bevel, ...]:
    """Slopes along both edges by half the angle to the neighbour, so that the edges meet on the whole thickness."""
    whole = np.concatenate((made.hull.rows, made.hull.rows, made.hull.rows))
    count, t = len(made.hull.rows), made.hull.t
    first = int(np.argmin(np.abs(made.hull.xs - sheet.loft.outs[0])))
    bays = slice(first, first + len(sheet.loft.outs))
    found = []
    for row, k, other in ((panel.start, 0, 1), (panel.stop, -1, -2)):
        j = row + count
        angles = row_folds(whole[j - 1 : j + 2, bays])[0]
        angle = float(np.median(angles))
        if angle < thickness.NO_FOLD:
            continue
        back = t * np.tan(angle / 2)
        line, away = sheet.flat[k], sheet.flat[other] - sheet.flat[k]
        unit = away / np.maximum(np.linalg.norm(away, axis=1, keepdims=True), 1e-9)
        words = f"slope {back:.0f} back" if back >= 1 else "slope a little"
        found.append(
            Bevel(
                flat_points(line),
                flat_points(line + back * unit),
                0.0,
                float(np.pi / 2 - angle / 2),
                True,
                words,
            )
        )
    return tuple(found)


def former_places(made: Build) -> list[float]:
    """Where formers stand, mm behind the nose: at the pitch, else at the stations."""
    body = made.body
    if body.build.former is None and not body.build.former_pitch:
        return []
    xs, pitch = [float(x) for x in made.hull.xs], body.build.former_pitch
    if not pitch:
        return xs
    return sorted({round(float(x), 3) for x in np.arange(xs[0], xs[-1], pitch * MM)} | {xs[-1]})


def formers(made: Build) -> Iterator[Draft]:
    """Formers at the smaller of their two faces, notched for the sticks, open in the middle; end plates closed."""
    body = made.body
    material = body.build.former or (body.build.skin if body.build.former_pitch else None)
    if material not in made.stock or body.build.skin not in made.stock:
        return
    t, xs = thickness_of(made.stock[str(material)]) * MM, made.hull.xs
    for index, place in enumerate(former_places(made)):
        x = float(np.clip(place, xs[0] + t / 2, xs[-1] - t / 2))
        shape = largest(made.hull.inside(x - t / 2).intersection(made.hull.inside(x + t / 2)))
        if shape.area < 100.0:
            continue
        solid = largest(shape.difference(_notches(made, x))) if body.build.corners in made.stock else shape
        end = place in (float(xs[0]), float(xs[-1]))
        opened = solid if end else solid.difference(_hole(shape))
        name = "end plate" if end else "former"
        yield Draft(
            word=made.word,
            name=f"{name} at {place:.0f} mm",
            hand="none",
            copies=made.pair,
            stock=str(material),
            rings=rings_of(largest(largest(opened).simplify(0.02))),
            marks=_centre(opened),
            key=f"{body.name}/former/{index}",
            group="former",
            note=_former_note(made, x, t),
            place=x,
            whole=True,
            ready=True,
        )


def _former_note(made: Build, x: float, t: float) -> str:
    k = int(np.clip(np.searchsorted(made.hull.xs, x) - 1, 0, len(made.hull.xs) - 2))
    slopes = made.hull.normals[:, k, 0]
    most = t * float(np.max(np.abs(slopes) / np.sqrt(np.maximum(1 - slopes**2, 1e-3))))
    return f"drawn at its smaller face; slope its edge by {most:.1f}" if most > 0.5 else ""


def _centre(shape: BaseGeometry) -> tuple[Mark, ...]:
    low, high = shape.bounds[1], shape.bounds[3]
    return on_board(shape, ((0.0, low), (0.0, high)))


def _hole(shape: Polygon) -> Polygon:
    inner = shape.buffer(-RIM, join_style="mitre")
    return largest(inner.buffer(-6.0).buffer(6.0)) if inner.area > 900.0 else Polygon()


def _notches(made: Build, x: float) -> BaseGeometry:
    """Room for a stick in each inner corner."""
    high, wide = stick_of(made.stock.get(str(made.body.build.corners)))
    corners = np.array(made.hull.inside(x).exterior.coords[:-1])
    size = max(high, wide) if made.body.build.way == "box" else high
    room: BaseGeometry = Polygon()
    for a, b, c in zip(np.roll(corners, 1, axis=0), corners, np.roll(corners, -1, axis=0), strict=True):
        one, two = a - b, c - b
        one, two = one / np.hypot(*one), two / np.hypot(*two)
        if abs(one @ two) > 0.99:
            continue
        if made.body.build.way == "box":
            room = room.union(
                Polygon(
                    [b - one - two, b + size * one - two, b + size * one + high * two, b - one + high * two]
                )
            )
        else:
            room = room.union(Point(*b).buffer(size + thickness.CLEARANCE, quad_segs=4))
    return room


def corner_sticks(made: Build) -> Iterator[Draft]:
    """Longerons along the inner corners, each as long as its corner."""
    body = made.body
    if body.build.corners not in made.stock:
        return
    wide = stick_of(made.stock[str(body.build.corners)])[1]
    count = len(made.hull.rows)
    rows = range(count) if body.build.corner_radius <= 0 else _rounded_corners(count)
    lengths: dict[float, int] = {}
    for k in rows:
        length = round(float(np.linalg.norm(np.diff(made.hull.rows[k], axis=0), axis=1).sum()), 1)
        lengths[length] = lengths.get(length, 0) + 1
    for index, (length, copies) in enumerate(lengths.items()):
        yield Draft(
            word=made.word,
            name="corner stick" if len(lengths) == 1 else f"corner stick {index + 1}",
            hand="none",
            copies=copies * made.pair,
            stock=str(body.build.corners),
            rings=(rectangle(length, wide),),
            note="measured along the outside corner",
            key=f"{body.name}/corner stick/{index}",
            group="stick",
            ready=True,
        )


def _rounded_corners(count: int) -> range:
    return range(0, count, max(count // 4, 1))
