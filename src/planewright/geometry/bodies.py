"""Bodies and nacelles from their stations: length, volume, wetted and frontal area.

Width and height run straight between stations. A box has a rectangular cross-section (with rounded corners where a
radius is given), a shell a polygon of as many equal sides as the builder says, standing on a flat, stretched to the
station's width and height. Volumes by the prismoidal rule, exact for such frusta (a textbook identity).
"""

from __future__ import annotations

import itertools

import numpy as np
import numpy.typing as npt

from planewright.geometry.model import BodyShape
from planewright.plane.model import Body, Build

Array = npt.NDArray[np.float64]


def polygon(sides: int) -> Array:
    """A polygon of ``sides`` equal sides standing on a flat, scaled to fit a square of 1, (sides, 2)."""
    angle = 2 * np.pi * (np.arange(sides) + 0.5) / sides - np.pi / 2
    points = np.column_stack((np.cos(angle), np.sin(angle)))
    return np.asarray(points / np.ptp(points, axis=0))


def cross_section(build: Build, width: float, height: float) -> Array:
    """Corners of a cross-section about its middle, (m, 2): (to the right, upward), anticlockwise, m.

    A box with a corner radius gets quarter circles of eight chords each (shrunk where the body is too small for them),
    a shell its polygon; so every cross-section of one body has the same number of corners.
    """
    if build.way == "shell":
        return np.asarray(polygon(max(build.sides, 3)) * np.array([width, height]))
    radius = min(build.corner_radius, width / 2, height / 2)
    corner = np.array([[1, -1], [1, 1], [-1, 1], [-1, -1]], dtype=np.float64)
    middle = corner * np.array([width / 2 - radius, height / 2 - radius])
    if build.corner_radius <= 0:
        return np.asarray(middle)
    turn = np.linspace(0, np.pi / 2, 9)[:, None] + np.array([-np.pi / 2, 0, np.pi / 2, np.pi])
    arcs = middle[None] + radius * np.stack((np.cos(turn), np.sin(turn)), axis=-1)
    return np.asarray(arcs.transpose(1, 0, 2).reshape(-1, 2))


def round_length(build: Build, width: float, height: float) -> float:
    """Way round a cross-section, m."""
    points = cross_section(build, width, height)
    step = np.roll(points, -1, axis=0) - points
    return float(np.sum(np.hypot(step[:, 0], step[:, 1])))


def inside(build: Build, width: float, height: float) -> float:
    """Area inside a cross-section, m2."""
    points = cross_section(build, width, height)
    after = np.roll(points, -1, axis=0)
    return float(abs(np.sum(points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]))) / 2


def facets(build: Build, before: Array, after: Array) -> tuple[Array, Array]:
    """Faces of one bay, each as two triangles: areas (2 m,) m2 and centres (2 m, 3) m in the body's own axes.

    ``before``, ``after``: station rows x, width, height, z.
    """
    rings = [_ring(build, row) for row in (before, after)]
    near, far = rings
    next_near, next_far = np.roll(near, -1, axis=0), np.roll(far, -1, axis=0)
    one, one_middle = _triangles(near, next_near, far)
    two, two_middle = _triangles(next_near, next_far, far)
    return np.concatenate((one, two)), np.vstack((one_middle, two_middle))


def _ring(build: Build, row: Array) -> Array:
    x, width, height, z = row
    points = cross_section(build, width, height)
    return np.column_stack((np.full(len(points), x), points[:, 0], points[:, 1] + z))


def _triangles(a: Array, b: Array, c: Array) -> tuple[Array, Array]:
    normal = np.cross(b - a, c - a)
    return np.asarray(np.linalg.norm(normal, axis=1) / 2), (a + b + c) / 3


def body_shape(body: Body) -> BodyShape:
    """Shape of one body or nacelle.

    ``wetted`` is the sum of its sides without the two ends; ``frontal`` the largest cross-section; ``count`` is 2
    for a pair.
    """
    rows = np.array([[one.x, one.width, one.height, one.z] for one in body.stations])
    volume = wetted = 0.0
    for before, after in itertools.pairwise(rows):
        middle = (before + after) / 2
        ends = [inside(body.build, row[1], row[2]) for row in (before, middle, after)]
        volume += (after[0] - before[0]) * (ends[0] + 4 * ends[1] + ends[2]) / 6
        wetted += float(np.sum(facets(body.build, before, after)[0]))
    return BodyShape(
        body=body,
        stations=rows,
        length=float(rows[-1, 0] - rows[0, 0]),
        volume=float(volume),
        wetted=wetted,
        frontal=max(inside(body.build, row[1], row[2]) for row in rows),
        count=2 if body.paired else 1,
    )
