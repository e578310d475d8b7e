"""Flat pieces of bodies and nacelles: sides, floor, roof, strips of a shell, formers, corner sticks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise

import numpy as np
from shapely import Polygon

from planewright.geometry.bodies import cross_section
from planewright.geometry.parts.draft import Draft, rectangle, ring, thickness_of
from planewright.geometry.parts.model import MM, Array, Hand
from planewright.geometry.strips import lengthwise, level, unroll_inside_up
from planewright.plane.model import Body, Stock


def body_drafts(body: Body, stock: Mapping[str, Stock]) -> Iterator[Draft]:
    """Every flat piece of one body, right and middle."""
    if body.build.skin in stock:
        bends = stock[str(body.build.skin)].kind == "cardboard"
        shell = _wraps(body) if bends else _shell(body)
        yield from shell if body.build.way == "shell" else _box(body, stock)
    yield from _formers(body, stock)
    yield from _corner_sticks(body, stock)


def _pod(body: Body) -> str:
    return "POD" if body.y else "BODY"


def _corner_rows(body: Body) -> Array:
    """Corners of the cross-section along the body, (stations, corners, 3) m, about its own middle plane."""
    rings = []
    for one in body.stations:
        corners = cross_section(replace(body.build, corner_radius=0.0), one.width, one.height)
        rings.append(np.column_stack((np.full(len(corners), one.x), corners[:, 0], corners[:, 1] + one.z)))
    return np.array(rings)


def _box(body: Body, stock: Mapping[str, Stock]) -> Iterator[Draft]:
    rows, t = _corner_rows(body), thickness_of(stock[str(body.build.skin)])
    lower_right, upper_right, upper_left, lower_left = (rows[:, k] for k in range(4))
    inset = np.array([0.0, t, 0.0])
    note = "corner radius left out" if body.build.corner_radius else ""
    yield _panel(body, "side", "right", (lower_right, upper_right), np.array([0.0, 1.0, 0.0]), note)
    between = f"between the sides; {note}" if note else "between the sides"
    yield _panel(
        body, "floor", "none", (lower_left + inset, lower_right - inset), np.array([0.0, 0.0, -1.0]), between
    )
    yield _panel(
        body, "roof", "none", (upper_right - inset, upper_left + inset), np.array([0.0, 0.0, 1.0]), between
    )


def _panel(body: Body, name: str, hand: Hand, rows: tuple[Array, Array], outward: Array, note: str) -> Draft:
    strip = lengthwise(unroll_inside_up(rows[0] * MM, rows[1] * MM, outward))
    copies = 2 if body.paired else 1
    words = ("FRONT", "BACK")
    return Draft(
        _pod(body),
        name,
        hand,
        copies,
        str(body.build.skin),
        (ring(strip.outline),),
        (),
        0.0,
        "inside",
        words,
        note,
    )


def _shell(body: Body) -> Iterator[Draft]:
    """Strips along the body, one a side of its polygon, named from the floor round to the roof."""
    rows = _corner_rows(body)
    sides = rows.shape[1]
    for k in range(sides):
        first, second = rows[:, k], rows[:, (k + 1) % sides]
        outward = (first + second).mean(axis=0) / 2 - rows.mean(axis=(0, 1))
        outward[0] = 0.0
        if outward[1] < -1e-9:
            continue
        middle = abs(outward[1]) <= 1e-9
        name = (
            ("roof strip" if outward[2] > 0 else "floor strip")
            if middle
            else f"strip {k + 1} up from the floor"
        )
        yield _panel(body, name, "none" if middle else "right", (first, second), outward, "")


def _wraps(body: Body) -> Iterator[Draft]:
    """One bent sheet for each bay, opened along the middle of its floor."""
    rows = _corner_rows(body)
    under = (rows[:, :1] + rows[:, -1:]) / 2
    closed = np.concatenate((under, rows, under), axis=1)
    for k, (before, after) in enumerate(pairwise(closed)):
        strip = level(unroll_inside_up(before * MM, after * MM, np.array([0.0, 0.0, 1.0])))
        a, b = body.stations[k].x, body.stations[k + 1].x
        yield Draft(
            _pod(body),
            f"wrap, {a * MM:.0f} to {b * MM:.0f} mm",
            "none",
            2 if body.paired else 1,
            str(body.build.skin),
            (ring(strip.outline),),
            seen_from="inside",
            note="one layer, bent at each corner; joint in the middle of the floor",
        )


def _formers(body: Body, stock: Mapping[str, Stock]) -> Iterator[Draft]:
    material = body.build.former or (body.build.skin if body.build.former_pitch else None)
    if material not in stock or body.build.skin not in stock:
        return
    inset = thickness_of(stock[str(body.build.skin)]) * MM
    xs = [one.x for one in body.stations]
    pitch = body.build.former_pitch
    places = (
        xs if not pitch else sorted({round(float(x), 6) for x in np.arange(xs[0], xs[-1], pitch)} | {xs[-1]})
    )
    for x in places:
        width, height = (
            np.interp(x, xs, [getattr(one, k) for one in body.stations]) for k in ("width", "height")
        )
        if min(width, height) * MM <= 2 * inset:
            continue
        corners = cross_section(body.build, float(width), float(height)) * MM
        inner = Polygon(corners).buffer(-inset, join_style="mitre")
        if inner.is_empty or not isinstance(inner, Polygon):
            continue
        points = np.array(inner.exterior.coords[:-1])
        name = f"former at {x * MM:.0f} mm"
        yield Draft(
            _pod(body), name, "none", 2 if body.paired else 1, str(material), (ring(points),), ends=("", "")
        )


def _corner_sticks(body: Body, stock: Mapping[str, Stock]) -> Iterator[Draft]:
    if body.build.corners not in stock:
        return
    stick, rows = stock[str(body.build.corners)], _corner_rows(body)
    lengths = [
        float(np.linalg.norm(np.diff(rows[:, k], axis=0), axis=1).sum()) * MM for k in range(rows.shape[1])
    ]
    wide = (stick.section[1] if stick.section else 0.01) * MM
    copies = len(lengths) * (2 if body.paired else 1)
    yield Draft(
        _pod(body), "corner stick", "none", copies, str(body.build.corners), (rectangle(max(lengths), wide),),
        note="length of the longest corner",
    )  # fmt: skip
