"""The planned figure over the field: its size, path, and distance from everything that stands or ends there.

An "eight" is two full circles side by side along x; an "oval" two half circles whose middles are two radii apart
along x, with straight legs. Both need four radii by two. Distances are exact (circles and a stadium about their
middle line), for all draws of the radius at once; margins are common practice unless the site widens them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from planewright.errors import OutOfRange
from planewright.site.model import Pattern, Point, Site, Stand, Trees

Array = npt.NDArray[np.float64]
Number = Array | float


@dataclass(frozen=True)
class Margin:
    """``distance`` (N,) m from ``what`` (negative: beyond it) against the distance ``wanted``, m."""

    what: str
    distance: Array
    wanted: float

    @property
    def spare(self) -> Array:
        """Distance less what is wanted, m, shape (N,)."""
        return self.distance - self.wanted

    @property
    def holds(self) -> npt.NDArray[np.bool_]:
        """Whether the wanted distance is kept, shape (N,)."""
        return np.asarray(self.spare >= 0.0)


@dataclass(frozen=True)
class PatternFit:
    """A figure on its field, for each radius. ``length`` (along x), ``width``, ``path_length`` m, (N,);
    ``margins`` to the outline and to people; ``trees``: name -> horizontal distance (N,) m (negative: over them)
    and ``height_spare``: name -> height of the figure above the trees and their margin, m."""

    radius: Array
    length: Array
    width: Array
    path_length: Array
    margins: tuple[Margin, ...]
    trees: dict[str, Array]
    height_spare: dict[str, float]

    @property
    def holds(self) -> npt.NDArray[np.bool_]:
        """Whether every margin is kept, shape (N,)."""
        return np.asarray(np.all([one.holds for one in self.margins], axis=0))

    @property
    def tightest(self) -> Margin:
        """The margin with the least median to spare."""
        return min(self.margins, key=lambda one: float(np.median(one.spare)))

    def margin(self, what: str) -> Margin:
        """The margin from ``what``; KeyError when there is none of that name."""
        found = next((one for one in self.margins if one.what == what), None)
        if found is None:
            raise KeyError(
                f"no margin from {what!r}; there are {', '.join(one.what for one in self.margins)}"
            )
        return found


def size(radius: Number) -> tuple[Array, Array]:
    """(length along x, width) of either figure, m: four radii by two."""
    one = np.asarray(radius, dtype=np.float64)
    return 4.0 * one, 2.0 * one


def path_length(pattern: Pattern, radius: Number) -> Array:
    """Length of one round, m: two circles, or one circle and two legs of two radii."""
    one = np.asarray(radius, dtype=np.float64)
    return 4.0 * np.pi * one if pattern.kind == "eight" else (2.0 * np.pi + 4.0) * one


def path(pattern: Pattern, radius: float, points: int = 145) -> Array:
    """Points along one round, shape (points, 2) m, closed; an eight crosses itself in its middle."""
    middle = np.asarray(pattern.centre, dtype=np.float64)
    turn = np.linspace(0.0, 2.0 * np.pi, points)
    if pattern.kind == "eight":
        first = turn <= np.pi
        angle = np.where(first, np.pi + 2.0 * turn, -2.0 * turn)
        side = np.where(first, radius, -radius)
        return middle + np.column_stack([side + radius * np.cos(angle), radius * np.sin(angle)])
    along = np.linspace(0.0, (2.0 * np.pi + 4.0), points)
    return middle + radius * np.array([_stadium(float(one)) for one in along])


def distance_to_point(pattern: Pattern, radius: Number, point: Point) -> Array:
    """Nearest distance of the path, seen from above, from a point, m; shape of ``radius``."""
    one = np.atleast_1d(np.asarray(radius, dtype=np.float64))
    spines = _spines(pattern, one)
    return np.asarray(
        np.min([np.abs(shapely.distance(k, shapely.Point(point)) - one) for k in spines], axis=0)
    )


def clearance(pattern: Pattern, radius: Number, shape: shapely.Geometry) -> Array:
    """Distance between the figure (filled) and a ``shape`` outside it, m; negative where they overlap, (N,)."""
    one = np.atleast_1d(np.asarray(radius, dtype=np.float64))
    return np.asarray(np.min([shapely.distance(k, shape) - one for k in _spines(pattern, one)], axis=0))


def inside_outline(site: Site, radius: Number) -> Array:
    """Distance of the figure from the outline of the field, m; negative where it goes over, (N,)."""
    pattern = _planned(site)
    one = np.atleast_1d(np.asarray(radius, dtype=np.float64))
    ground = shapely.Polygon(site.outline)
    kept = clearance(pattern, one, ground.exterior)
    within = np.all([shapely.within(k, ground) for k in _spines(pattern, one)], axis=0)
    return np.where(within, kept, -np.abs(kept) - 2.0 * one)


def fit_pattern(site: Site, radius: Number) -> PatternFit:
    """The planned figure of ``radius`` (m, number or (N,)) on its field. OutOfRange when nothing is planned."""
    pattern = _planned(site)
    one = np.atleast_1d(np.asarray(radius, dtype=np.float64))
    if np.any(one <= 0.0):
        raise OutOfRange("radius in m", float(one.min()), 0.0, np.inf)
    from_people = tuple(
        Margin(stand.name, distance_to_point(pattern, one, stand.at), wanted_from(site, stand))
        for stand in site.stands
        if not stand.camera
    )
    ends = (
        (Margin("outline", inside_outline(site, one), site.margins.outline),) if len(site.outline) > 2 else ()
    )
    trees = {trees.name: clearance(pattern, one, shape_of(trees)) for trees in site.trees}
    spare = {trees.name: pattern.height - trees.height - site.margins.over_trees for trees in site.trees}
    return PatternFit(one, *size(one), path_length(pattern, one), ends + from_people, trees, spare)


def room(site: Site, radius: float, direction: Array) -> float:
    """How far the figure may be carried along ``direction`` (2,) before a point of its path leaves the outline, m.

    Along the rays of 145 points of the path; 0 where it is already outside.
    """
    points = path(_planned(site), radius)
    ground = shapely.Polygon(site.outline)
    reach = 4.0 * ground.length
    rays = shapely.linestrings(np.stack([points, points + reach * np.asarray(direction)], axis=1))
    if not np.all(shapely.contains_xy(ground, points)):
        return 0.0
    crossings = shapely.intersection(rays, ground.exterior)
    return float(np.min(shapely.distance(shapely.points(points), crossings)))


def wanted_from(site: Site, stand: Stand) -> float:
    """Distance to keep from people at a stand, m: pilot and safety officer, spectators, everybody else."""
    kept = site.margins
    return {"pilot": kept.pilot, "safety": kept.pilot, "spectators": kept.people}.get(
        stand.name, kept.helpers
    )


def shape_of(trees: Trees) -> shapely.Geometry:
    """Trees as a shape of the geometry library: an area when closed, a line otherwise, a point when single."""
    points = np.asarray(trees.points, dtype=np.float64)
    if len(points) == 1:
        return shapely.Point(points[0])
    return shapely.Polygon(points) if trees.closed and len(points) > 2 else shapely.LineString(points)


def _spines(pattern: Pattern, radius: Array) -> list[npt.NDArray[np.object_]]:
    """What the figure is drawn about at a distance of one radius: two middles, or the line between them."""
    x, y = pattern.centre
    left, right = (np.column_stack([x + k * radius, np.full_like(radius, y)]) for k in (-1.0, 1.0))
    if pattern.kind == "eight":
        return [np.asarray(shapely.points(left)), np.asarray(shapely.points(right))]
    return [np.asarray(shapely.linestrings(np.stack([left, right], axis=1)))]


def _stadium(along: float) -> tuple[float, float]:
    """Point of an oval of radius 1 after a distance ``along`` from the start of its lower leg."""
    if along <= 2.0:
        return along - 1.0, -1.0
    if along <= 2.0 + np.pi:
        angle = along - 2.0 - np.pi / 2.0
        return 1.0 + float(np.cos(angle)), float(np.sin(angle))
    if along <= 4.0 + np.pi:
        return 1.0 - (along - 2.0 - np.pi), 1.0
    angle = along - 4.0 - np.pi + np.pi / 2.0
    return -1.0 + float(np.cos(angle)), float(np.sin(angle))


def _planned(site: Site) -> Pattern:
    if site.pattern is None:
        raise OutOfRange("planned figures on the field", 0, 1, 1)
    return site.pattern
