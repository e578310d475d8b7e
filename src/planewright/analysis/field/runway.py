"""Runway: share used by the run, the two cones where the run is judged, and the way out over the trees.

Cone A stands at the run expected on the day, rounded up to 5 m: slower than 0.7 of the lift-off speed there means
cut. Cone B is the last place to be off: beyond it the aeroplane could no longer roll out before the end. Both are
judgement of our own after the usual halfway rule of pilots (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from planewright.analysis.field.pattern import shape_of
from planewright.analysis.flight import distance_to_clear, free_roll
from planewright.errors import OutOfRange
from planewright.site.model import Runway, Site

Array = npt.NDArray[np.float64]
Number = Array | float

GATE_SHARE = 0.7
GRID = 5.0
FARTHEST = 3000.0


@dataclass(frozen=True)
class TakeOff:
    """Where the run goes: ``start`` (2,), unit ``direction`` (2,), ``length`` m of runway ahead of the start."""

    start: Array
    direction: Array
    length: float


@dataclass(frozen=True)
class Cones:
    """``first``, ``last``: distances of cones A and B from the start, m. ``gate_speed`` (N,): slower at A means cut.
    ``roll_needed`` (N,): free roll from lift-off speed; ``roll_left``: runway beyond B; m. ``holds`` (N,)."""

    first: float
    last: float
    gate_speed: Array
    roll_needed: Array
    roll_left: float

    @property
    def holds(self) -> npt.NDArray[np.bool_]:
        """Whether the aeroplane stops before the end of the runway from cone B, and B lies beyond A, (N,)."""
        return np.asarray((self.roll_needed <= self.roll_left) & (self.last > self.first))


@dataclass(frozen=True)
class OverTrees:
    """Clearing one line of trees: ``ahead`` of the runway or to its side, ``available`` m to it (from cone B when
    ahead, square from the runway when not), ``height`` m to gain (trees and margin), ``needed`` (N,) m of climb."""

    name: str
    ahead: bool
    available: float
    height: float
    needed: Array

    @property
    def spare(self) -> Array:
        """Distance available less needed, m, (N,)."""
        return self.available - self.needed


def take_off(site: Site) -> TakeOff:
    """Start, direction and runway ahead of the planned take-off. OutOfRange when the site has no runway."""
    runway = _runway(site)
    ends = np.array([runway.start, runway.end], dtype=np.float64)
    direction = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    sign = 1.0 if site.take_off_towards == "x" else -1.0
    if direction @ np.array([sign, 0.0]) < 0.0:
        direction, ends = -direction, ends[::-1]
    start = np.asarray(site.take_off_from, dtype=np.float64) if site.take_off_from else ends[0]
    return TakeOff(start, direction, float((ends[1] - start) @ direction))


def run_share(site: Site, run: Number) -> Array:
    """Part of the runway ahead that a take-off ``run`` (m) uses, (N,); compare with ``site.margins.run_share``."""
    return np.asarray(np.asarray(run, dtype=np.float64) / take_off(site).length)


def cones(site: Site, run: Number, lift_off: Number, friction: Number) -> Cones:
    """Places of the two cones and what holds there.

    Arguments: ``run`` m expected on the day, ``lift_off`` speed m/s, rolling ``friction``; numbers or (N,). Places
    come from the medians, so that a draw does not move a cone.
    """
    length = take_off(site).length
    needed = free_roll(np.asarray(lift_off, dtype=np.float64), friction)
    first = float(GRID * np.ceil(np.median(run) / GRID - 1e-9))
    farthest = length - float(np.median(needed)) - 2.0 * GRID
    last = float(GRID * np.floor(min(3.0 * first, farthest) / GRID + 1e-9))
    speed = GATE_SHARE * np.atleast_1d(np.asarray(lift_off, dtype=np.float64))
    return Cones(first, last, speed, np.atleast_1d(needed), length - last)


def over_trees(site: Site, gradient: Number, safely_off: float) -> tuple[OverTrees, ...]:
    """What it takes to climb over each line of trees at 0.6 of the ``gradient`` (number or (N,)).

    ``safely_off``: distance from the start where the climb begins, m (cone B). Trees that the straight way out, as
    wide as the runway, meets within 3 km are "ahead"; the others are measured square from the runway.
    """
    ahead = straight_ahead(site, safely_off)
    runway = _runway(site)
    line = shapely.LineString([runway.start, runway.end])
    found = []
    for trees in site.trees:
        height = trees.height + site.margins.over_trees
        met = trees.name in ahead
        available = ahead[trees.name] if met else float(shapely.distance(line, shape_of(trees)))
        needed = np.atleast_1d(distance_to_clear(height, gradient))
        found.append(OverTrees(trees.name, met, available, height, needed))
    return tuple(found)


def straight_ahead(site: Site, safely_off: float) -> dict[str, float]:
    """Distance, m, straight on from ``safely_off`` m after the start to each line of trees in the way, by name."""
    plan, runway = take_off(site), _runway(site)
    side = np.array([-plan.direction[1], plan.direction[0]]) * runway.width / 2.0
    begin = plan.start + safely_off * plan.direction
    end = begin + FARTHEST * plan.direction
    corridor = shapely.Polygon([begin + side, end + side, end - side, begin - side])
    gate = shapely.LineString([begin + side, begin - side])
    met = {trees.name: shapely.intersection(corridor, shape_of(trees)) for trees in site.trees}
    return {name: float(shapely.distance(gate, one)) for name, one in met.items() if not one.is_empty}


def to_outline(site: Site, safely_off: float) -> float:
    """Distance, m, straight on from ``safely_off`` m after the start to the outline of the field."""
    plan = take_off(site)
    begin = plan.start + safely_off * plan.direction
    ray = shapely.LineString([begin, begin + FARTHEST * plan.direction])
    return float(
        shapely.distance(
            shapely.Point(begin), shapely.intersection(ray, shapely.Polygon(site.outline).exterior)
        )
    )


def _runway(site: Site) -> Runway:
    if site.runway is None:
        raise OutOfRange("runways on the field", 0, 1, 1)
    return site.runway
