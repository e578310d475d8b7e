"""The general arrangement: body from the left with every station from the nose, equipment in its place, half the wing
from above with every station from the centreline.

Places are given as running dimensions from one datum (ISO 129-1:2018, running and coordinate dimensioning; clause from
memory), so that no error adds up along a chain. Line types after ISO 128-2:2020, title strip after ISO 7200:2004.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import numpy as np

from planewright.draw import paper as sheets
from planewright.draw.paper import LETTERING, Paper, Title
from planewright.draw.place import around, placed
from planewright.draw.scene import Circle, Point, Scene, Shape, Text, bounds, box, flat, line, moved, polyline
from planewright.draw.views import balance_mark, hopeless, view
from planewright.geometry.model import Geometry, SurfaceShape
from planewright.plane.model import Plane

MM = 1000.0
KEY = 62.0
"""Kept free at the right for the list of what is carried, mm."""
APART = 4.6
"""Least distance between the figures of neighbouring stations, mm on paper."""


def arrangement(
    geometry: Geometry,
    paper: Paper,
    title: Title,
    balance: tuple[float, float, float] | None = None,
    sheet: tuple[int, int] = (1, 1),
) -> Scene:
    """The general arrangement on one sheet, landscape, at the largest standard scale that fits.

    Arguments:
        geometry: any number of surfaces and bodies.
        paper, title: as of the other drawings.
        balance: centre of gravity (x, y, z) m, drawn as a quartered circle; None leaves it out.
    Raises ``ValueError`` when there is nothing to draw or it is too large for every standard scale.
    """
    left, low, right, high = sheets.room(paper, landscape=True)
    for scale in (one for one in sheets.SCALES if not hopeless(geometry, one, paper)):
        side, words = _side(geometry, scale, balance)
        wing = _half_wing(geometry, scale)
        boxes = [bounds(one) for one in (side, wing) if one]
        wide, tall = max(b[2] - b[0] for b in boxes), sum(b[3] - b[1] for b in boxes)
        if wide <= right - left - KEY - 12.0 and tall + 18.0 * len(boxes) <= high - low:
            break
    else:
        raise ValueError("the aeroplane is too large for this paper at any standard scale")
    base = sheets.framed(paper, title, sheet, f"1:{scale}", landscape=True)
    spare = (high - low - tall) / (len(boxes) + 1)
    top = high - spare
    numbered = [(str(k), at) for k, (_, at) in enumerate(words, 1)]
    for shapes, names in ((side, numbered), (wing, [])):
        if not shapes:
            continue
        b = bounds(shapes)
        dx, dy = (left + right - KEY) / 2 - (b[0] + b[2]) / 2, top - b[3]
        base = base.plus(moved(shapes, dx, dy))
        wanted = [around((x + dx, y + dy), said, LETTERING, 1.8, True) for said, (x, y) in names]
        base = base.plus(placed(base, wanted))
        top -= b[3] - b[1] + spare
    base = base.plus(_key([said for said, _ in words], (right - KEY + 2.0, high - 8.0)))
    note = "Stations in mm from the nose tip and from the centreline."
    return base.plus(Text((left + 4.0, low + 3.0), note, LETTERING))


def _key(words: Sequence[str], at: Point) -> tuple[Shape, ...]:
    """The list of what is carried, downward from ``at``: number, name, place behind the nose."""
    shapes: list[Shape] = [Text(at, "carried, behind the nose", LETTERING, face="head", bold=True)]
    for k, said in enumerate(words, 1):
        y = at[1] - 5.2 * k
        name, _, place = said.rpartition(" ")
        shapes += [Text((at[0], y), f"{k}", LETTERING, bold=True), Text((at[0] + 6.0, y), name, LETTERING)]
        shapes.append(Text((at[0] + KEY - 6.0, y), place, LETTERING, "end"))
    return tuple(shapes)


def _side(
    geometry: Geometry, scale: float, balance: tuple[float, float, float] | None
) -> tuple[tuple[Shape, ...], list[tuple[str, Point]]]:
    """The aeroplane from the left, stations of its body below, equipment as boxes with their names."""
    picture = view(geometry, "side", scale, balance, dimensions=False)
    factor = MM / scale
    b = bounds(picture)
    xs = stations_of(geometry)
    datum = min([*xs, 0.0]) if xs else 0.0
    ordinates = running([(x - datum) * MM for x in xs], [x * factor for x in xs], b[1] - 6.0)
    shapes: list[Shape] = [*picture, *ordinates]
    names = []
    for words, (x, z), size in _carried(geometry.plane):
        at = x * factor, z * factor
        half = max(size * factor / 2, 0.9)
        shapes += [
            box(at[0] - half, at[1] - half * 0.6, 2 * half, 1.2 * half, "thin"),
            Circle(at, 0.4, "thin"),
        ]
        names.append((f"{words} {x * MM:.0f}", at))
    if balance is not None:
        at = balance[0] * factor, balance[2] * factor
        shapes += balance_mark(at, 2.2)
        names.append((f"balance point {balance[0] * MM:.0f}", at))
    return flat(shapes), names


def stations_of(geometry: Geometry) -> list[float]:
    """Places along the middle body that are dimensioned, m: its stations, wing and tail leading edges, wheels."""
    found = [float(x) for one in geometry.bodies if not one.body.y for x in one.stations[:, 0]]
    found += [float(shape.leading[0, 0]) for shape in geometry.surfaces.values()]
    found += [one.x for one in geometry.plane.wheels]
    return sorted({round(x, 3) for x in found})


def _carried(plane: Plane) -> list[tuple[str, tuple[float, float], float]]:
    """Battery, servos with a place of their own and equipment: words, (x, z) m, size m for the picture."""
    found = [
        (one.name.removeprefix("equipment."), (one.x, one.z), 0.04) for one in plane.equipment if one.y >= 0
    ]
    found += [
        (f"servo {name}", (one.x, one.z or 0.0), 0.04)
        for name, one in plane.servos.items()
        if one.x is not None
    ]
    if plane.battery is not None:
        found.append(("battery", (plane.battery.x, plane.battery.z), 0.14))
    return found


def _half_wing(geometry: Geometry, scale: float) -> tuple[Shape, ...]:
    """The right half of the wing from above, root at the left, nose up: ribs, spars, controls, stations below."""
    wing = geometry.wing
    if wing is None:
        return ()
    factor = MM / scale

    def put(out: float, part: float) -> Point:
        x, y = _on(wing, out, part)
        return y * factor, -x * factor

    surface = wing.surface
    outs = [one.out for one in surface.stations]
    edge = [put(out, 0.0) for out in outs] + [put(out, 1.0) for out in reversed(outs)]
    shapes: list[Shape] = [polyline([*edge, edge[0]], "wide")]
    shapes += [line(put(out, 0.0), put(out, 1.0), "centre") for out in _ribs(wing)]
    for spar in surface.spars:
        ends = [out for out in outs if out < min(spar.to, outs[-1])] + [min(spar.to, outs[-1])]
        shapes.append(polyline([put(out, spar.at) for out in ends], "hidden"))
    marks = {*outs, *(one.out for one in surface.joints)}
    for one in geometry.plane.controls:
        if one.on == surface.name:
            cuts = [
                put(one.start, 1.0),
                put(one.start, 1 - one.chord),
                put(one.end, 1 - one.chord),
                put(one.end, 1.0),
            ]
            shapes.append(polyline(cuts, "neighbour"))
            marks |= {one.start, one.end}
    ys = sorted({round(one, 3) for one in marks})
    shapes += running([y * MM for y in ys], [put(y, 0.0)[0] for y in ys], bounds(shapes)[1] - 6.0)
    b = bounds(shapes)
    return (
        *shapes,
        Text((b[0], b[3] + 4.0), "right half of the wing from above", 4.6, face="head", bold=True),
    )


def _ribs(wing: SurfaceShape) -> list[float]:
    pitch, last = wing.surface.build.rib_pitch, wing.surface.stations[-1].out
    return (
        []
        if not pitch
        else [float(k * pitch) for k in range(1, int(last / pitch) + 1) if k * pitch < last - 1e-6]
    )


def _on(wing: SurfaceShape, out: float, part: float) -> tuple[float, float]:
    """(x, y) m at a part of the chord, ``out`` along the surface."""
    outs = np.array([one.out for one in wing.surface.stations])
    lead, trail = (
        [float(np.interp(out, outs, edge[:, k])) for k in (0, 1)] for edge in (wing.leading, wing.trailing)
    )
    return lead[0] + part * (trail[0] - lead[0]), lead[1] + part * (trail[1] - lead[1])


def running(values: Sequence[float], places: Sequence[float], y: float) -> tuple[Shape, ...]:
    """Running dimensions: ticks on a line at height ``y`` from the first place, a figure at each, read from the right.

    Figures nearer than they are wide are set aside in order, each with a bent line to its tick.
    """
    if not places:
        return ()
    shapes: list[Shape] = [
        line((places[0], y), (places[-1], y), "dimension"),
        Circle((places[0], y), 1.0, "dimension"),
    ]
    spots = spread(places, APART)
    for value, at, spot in zip(values, places, spots, strict=True):
        shapes += [
            line((at, y + 3.0), (at, y - 1.5), "dimension"),
            line((at, y - 1.5), (spot, y - 5.0), "dimension"),
            Text((spot, y - 6.0), f"{value:.0f}", LETTERING, "end", "middle", pi / 2),
        ]
    return tuple(shapes)


def spread(places: Sequence[float], apart: float) -> list[float]:
    """Places moved as little as they need to stand ``apart`` from each other, in order."""
    found = list(map(float, places))
    for _ in range(60):
        moved_any = False
        for k in range(len(found) - 1):
            short = apart - (found[k + 1] - found[k])
            if short > 1e-6:
                found[k] -= short / 2
                found[k + 1] += short / 2
                moved_any = True
        if not moved_any:
            break
    return found
