"""From a description to its geometry: every surface and body, the overall size and the tail volumes."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.geometry.bodies import body_shape, cross_section
from planewright.geometry.model import BodyShape, Geometry, SurfaceShape
from planewright.geometry.surfaces import folded_shape, shape_of
from planewright.plane.model import Plane

Array = npt.NDArray[np.float64]


def derive(plane: Plane, folded: bool = False) -> Geometry:
    """Everything that follows from the description alone.

    Arguments:
        plane: the description; any number of surfaces and bodies, none at all included.
        folded: True turns hinged panels up by 90 deg, for transport and storage; areas stay those of flight.
    Returns:
        Geometry; ``reference`` is the largest wing's name, None without a wing.
    """
    make = folded_shape if folded else shape_of
    wing = plane.wing
    return Geometry(
        plane=plane,
        surfaces={one.name: make(one, plane.stock) for one in plane.surfaces},
        bodies=tuple(body_shape(one) for one in plane.bodies),
        reference=wing.name if wing else None,
    )


def tail_volumes(geometry: Geometry, x: float) -> tuple[float, float]:
    """Tail volume ratios about a moment point.

    Arguments:
        geometry: with a reference wing.
        x: moment point, usually the centre of gravity, m behind the nose tip.
    Returns:
        (horizontal, vertical): sum of S_t l_t over S c, and sum of S_f l_f over S b, with l from ``x`` to the quarter
        chord of the tail's mean chord. Zero where there is no such tail or no wing.
    Source: definitions in common use in textbooks of aeroplane stability (Perkins and Hage; Etkin), from memory.
    """
    wing = geometry.wing
    if wing is None:
        return 0.0, 0.0

    def moment(kind: str) -> float:
        tails = (one for one in geometry.surfaces.values() if one.surface.kind == kind)
        return sum(one.area * (one.centre_x - x) for one in tails)

    return moment("tailplane") / (wing.area * wing.mean_chord), moment("fin") / (wing.area * wing.span)


def overall(geometry: Geometry) -> tuple[float, float, float]:
    """Length, width and height over all, m, with wheels, without propeller discs.

    Of a geometry derived ``folded`` this is the size for the van and the door.
    """
    points = [_surface_points(one) for one in geometry.surfaces.values()]
    points += [_body_points(one) for one in geometry.bodies]
    points += [_wheel_points(geometry.plane)] if geometry.plane.wheels else []
    if not points:
        return 0.0, 0.0, 0.0
    size = np.ptp(np.vstack(points), axis=0)
    return float(size[0]), float(size[1]), float(size[2])


def _mirrored(points: Array) -> Array:
    return np.vstack((points, points * np.array([1.0, -1.0, 1.0])))


def _surface_points(shape: SurfaceShape) -> Array:
    half = (shape.thickness * shape.chord / 2)[:, None]
    middle = shape.leading + 0.3 * (shape.trailing - shape.leading)
    square = np.array([[0.0, 1.0, 0.0]]) if shape.surface.kind == "fin" else np.array([[0.0, 0.0, 1.0]])
    points = np.vstack((shape.leading, shape.trailing, middle + half * square, middle - half * square))
    return _mirrored(points) if shape.surface.paired else points


def _body_points(shape: BodyShape) -> Array:
    rings = []
    for x, width, height, z in shape.stations:
        ring = cross_section(shape.body.build, width, height)
        rings.append(np.column_stack((np.full(len(ring), x), ring[:, 0] + shape.body.y, ring[:, 1] + z)))
    points = np.vstack(rings)
    return _mirrored(points) if shape.body.paired else points


def _wheel_points(plane: Plane) -> Array:
    corners = [
        (one.x + side * one.diameter / 2, one.y, one.z + up)
        for one in plane.wheels
        for side in (-1, 1)
        for up in (0.0, one.diameter)
    ]
    return _mirrored(np.array(corners))
