"""Drag of everything that is not a lifting surface: a smooth build-up on reference areas.

Sources: S. F. Hoerner, Fluid-Dynamic Drag, 1965 (form factors and bluff pieces, from memory); friction by Prandtl
and Schlichting. Values marked below are judgement or from memory; the whole is multiplied by ``drag.cd0``, whose
median 1.15 stands for tape, gaps, steps and roughness, so nothing here may allow for those.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.polars import friction
from planewright.geometry import BodyShape, Geometry
from planewright.plane.model import Wheel

Array = npt.NDArray[np.float64]

SHARP_EDGES = 1.4
"""Flat sides meeting at sharp edges against a round body (band 1.2 to 1.6, from memory)."""
ROUND_SIDES = 1.2
"""A body of eight or more flat strips against a round one (low end of the same band)."""
BASE = 0.16
"""Drag of a blunt rear end on its own area (band 0.13 to 0.20, from memory)."""
WHEEL, WHEEL_WIDTH = 0.45, 0.35
"""Open wheel on its frontal area (band 0.25 to 0.5, from memory), and tyre width over diameter (judgement)."""
WIRE, STICK, BESIDE = 1.1, 1.75, 1.2
"""Round wire and flat stick on frontal area, and the neighbours' interference (from memory)."""
WIRE_SIZE = 0.004
HORN, HORN_AREA = 1.2, 1.0e-4
"""Control horn with its bare pushrod: coefficient, and frontal area m2 (judgement)."""
DUCT_LIPS = 0.075
"""Lips and cooling of ducted fans on the drag of body and nacelles (band 0.05 to 0.10, from memory)."""
JUNCTION = 0.05
"""What corners between surfaces and bodies add to the profile drag of wing, body and nacelles (band 0.03 to 0.10
for each pair; order of magnitude from full-scale tunnel work on wing roots, NACA TN 460, number from memory)."""


@dataclass(frozen=True)
class Piece:
    """One bluff or slender piece. ``area`` m2 times ``coefficient``, or with ``wetted`` m2, ``length`` m and
    ``factor``: friction at its own Reynolds number times the factor. ``group``: tail, body, nacelles, gear, horns."""

    group: str
    name: str
    area: float = 0.0
    coefficient: float = 0.0
    wetted: float = 0.0
    length: float = 0.0
    factor: float = 0.0

    def drag_area(self, per_length: Array) -> Array:
        """Drag area D/q, m2, at ``per_length`` = speed over kinematic viscosity, 1/m."""
        fixed = np.full_like(per_length, self.area * self.coefficient)
        if self.wetted <= 0:
            return fixed
        return np.asarray(fixed + friction(per_length * self.length) * self.factor * self.wetted)


def body_form(fineness: float) -> float:
    """Hoerner's factor of a streamlined body: 1 + 1.5 (d/l)^1.5 + 7 (d/l)^3; fineness l/d from 3 to 15."""
    slim = 1 / max(fineness, 1.0)
    return float(1 + 1.5 * slim**1.5 + 7 * slim**3)


def _body(shape: BodyShape, open_end: bool) -> tuple[Piece, ...]:
    """Friction with form and edges, and the blunt rear end (none on a duct that blows out there)."""
    group = "body" if shape.count == 1 and shape.body.y == 0 else "nacelles"
    depth = float(np.sqrt(4 * shape.frontal / np.pi))
    way = shape.body.build
    edges = SHARP_EDGES if way.way == "box" or way.sides < 8 else ROUND_SIDES
    factor = body_form(shape.length / depth) * edges * shape.count
    skin = Piece(group, shape.body.name, wetted=shape.wetted, length=shape.length, factor=factor)
    end = float(shape.stations[-1, 1] * shape.stations[-1, 2]) * shape.count
    return (skin,) if open_end else (skin, Piece(group, shape.body.name + ", rear end", end, BASE))


def leg_size(text: str) -> tuple[float, float]:
    """Width across the flow (m) and drag coefficient of a leg described as text, such as "4 mm wire"."""
    found = re.search(r"([\d.]+)\s*mm", text)
    width = float(found.group(1)) / 1000 if found else WIRE_SIZE
    return width, STICK if "stick" in text or "ply" in text else WIRE


def _wheel(wheel: Wheel, geometry: Geometry) -> tuple[Piece, ...]:
    """Tyre and leg; the leg runs from the axle to the underside of the nearest body."""
    count = 2 if wheel.y > 0 else 1
    tyre = count * WHEEL_WIDTH * wheel.diameter**2
    axle = wheel.z + wheel.diameter / 2
    width, coefficient = leg_size(wheel.leg)
    length = float(np.hypot(max(0.0, _underside(geometry, wheel) - axle), _inward(geometry, wheel)))
    return (
        Piece("gear", f"{wheel.name} wheel", tyre, WHEEL),
        Piece("gear", f"{wheel.name} leg", count * length * width, coefficient * BESIDE),
    )


def _underside(geometry: Geometry, wheel: Wheel) -> float:
    """z of the underside of the fuselage at the wheel's x, m (0 without one)."""
    shapes = [one for one in geometry.bodies if one.body.y == 0]
    if not shapes:
        return 0.0
    x, _, height, z = shapes[0].stations.T
    return float(np.interp(wheel.x, x, z - height / 2))


def _inward(geometry: Geometry, wheel: Wheel) -> float:
    """Distance across from the wheel to the fuselage side, m."""
    shapes = [one for one in geometry.bodies if one.body.y == 0]
    half = (
        float(np.interp(wheel.x, shapes[0].stations[:, 0], shapes[0].stations[:, 1])) / 2 if shapes else 0.0
    )
    return max(0.0, wheel.y - half)


def _edges(geometry: Geometry) -> tuple[Piece, ...]:
    """Square trailing edges of surfaces cut from sheet, which the measured plate (tapered behind) does not have."""
    sheets = [one for one in geometry.surfaces.values() if one.surface.build.way in ("sheet", "kinked")]
    result = []
    for shape in sheets:
        thick = float(np.mean(shape.thickness * shape.chord))
        length = shape.area / float(shape.chord.mean())
        group = "wing" if shape.surface.kind == "wing" else "tail"
        result.append(Piece(group, shape.surface.name + ", square edge", thick * length, BASE))
    return tuple(result)


def _horns(geometry: Geometry) -> tuple[Piece, ...]:
    """Horns and pushrods, one for each half of a control on a paired surface."""
    plane = geometry.plane
    count = 0
    for control in plane.controls:
        surface = plane.surface(control.on)
        count += 2 if surface is not None and surface.paired else 1
    return (Piece("horns", "horns and pushrods", count * HORN_AREA, HORN),) if count else ()


def pieces(geometry: Geometry) -> tuple[Piece, ...]:
    """All pieces of the smooth build-up except the lifting surfaces."""
    fans = any(engine.kind == "fan" for engine in geometry.plane.engines)
    result: list[Piece] = []
    for shape in geometry.bodies:
        result.extend(_body(shape, fans and shape.body.y > 0))
    for wheel in geometry.plane.wheels:
        result.extend(_wheel(wheel, geometry))
    return (*result, *_edges(geometry), *_horns(geometry))
