"""Wind over the field: along and across, drift, limits, and the lee of trees.

Limits are common practice of the trade without a source, beside the 0.2 of the stall speed across the runway
that 14 CFR 23.233(a) (2014 text) asks full-size aeroplanes to show.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from planewright.analysis.field.pattern import path, shape_of
from planewright.site.model import Site, Trees

Array = npt.NDArray[np.float64]
Number = Array | float

ACROSS_SHARE = 0.2
"""Greatest wind across the runway over stall speed (14 CFR 23.233(a), 2014, asks at least this of aeroplanes)."""
TOTAL_SHARE = 0.35
"""Greatest wind with gusts over stall speed. Common practice, no source."""
LEE_HEIGHTS = 10.0
"""Air is disturbed this many tree heights downwind. Rule of planning after measurements behind tree belts."""
LEE_WIND = 1.0
"""In the lee of trees nobody flies in more wind than this, m/s. Common practice, no source."""
LEE_PART = 0.5
"""The lee counts when it covers more than this part of runway or path. Judgement."""


@dataclass(frozen=True)
class Lee:
    """Part (0 to 1) of the ``runway``, the ``path`` and the whole ``field`` within ten heights downwind of
    the trees called ``name``."""

    name: str
    runway: float
    path: float
    field: float


def towards(bearing: float, x_bearing: float) -> Array:
    """Unit vector (2,) in the site's axes that points to a true ``bearing`` (rad); y lies to the left of x."""
    turn = bearing - x_bearing
    return np.array([np.cos(turn), -np.sin(turn)])


def velocity(wind: Number, wind_from: float, x_bearing: float) -> Array:
    """Velocity of the air in the site's axes, shape (2,) or (2, N), m/s; ``wind_from``: bearing it comes FROM."""
    return np.multiply.outer(towards(wind_from + np.pi, x_bearing), np.asarray(wind, dtype=np.float64))


def along_and_across(
    wind: Number, wind_from: float, x_bearing: float, direction: Array
) -> tuple[Array, Array]:
    """(head wind, wind across) for a take-off in ``direction`` (2,): head wind positive; across unsigned, m/s."""
    air = velocity(wind, wind_from, x_bearing)
    head = -np.tensordot(direction, air, axes=1)
    return np.asarray(head), np.asarray(np.abs(direction[0] * air[1] - direction[1] * air[0]))


def drift(wind: Number, time: Number) -> Array:
    """Distance, m, that an uncorrected figure of ``time`` s is carried by the ``wind`` (m/s)."""
    return np.asarray(np.asarray(wind) * time)


def greatest_across(stall: Number) -> Array:
    """Greatest wind across the runway, m/s, for a ``stall`` speed in m/s."""
    return np.asarray(ACROSS_SHARE * np.asarray(stall))


def greatest_total(stall: Number) -> Array:
    """Greatest wind with its gusts, m/s, for a ``stall`` speed in m/s."""
    return np.asarray(TOTAL_SHARE * np.asarray(stall))


def lee_of_trees(site: Site, wind_from: float, radius: float | None = None) -> tuple[Lee, ...]:
    """How much of the field lies in the lee of each line of trees when the wind comes from ``wind_from`` (rad).

    ``radius`` (m): that of the planned figure; without it, or without a figure, its part is 0.
    """
    upwind = towards(wind_from, site.x_bearing)
    runway = np.linspace(site.runway.start, site.runway.end, 49) if site.runway else np.empty((0, 2))
    figure = path(site.pattern, radius) if site.pattern and radius else np.empty((0, 2))
    field = _grid(site)
    return tuple(
        Lee(trees.name, *(_sheltered(one, trees, upwind) for one in (runway, figure, field)))
        for trees in site.trees
    )


def _sheltered(points: Array, trees: Trees, upwind: Array) -> float:
    if len(points) == 0:
        return 0.0
    rays = shapely.linestrings(np.stack([points, points + LEE_HEIGHTS * trees.height * upwind], axis=1))
    return float(np.mean(shapely.intersects(rays, shape_of(trees))))


def _grid(site: Site) -> Array:
    """About 900 points spread evenly inside the outline, shape (n, 2)."""
    if len(site.outline) < 3:
        return np.empty((0, 2))
    low, high = np.min(site.outline, axis=0), np.max(site.outline, axis=0)
    parts = (np.arange(30) + 0.5) / 30
    x, y = (one.ravel() for one in np.meshgrid(*(low[k] + parts * (high[k] - low[k]) for k in (0, 1))))
    inside = shapely.contains_xy(shapely.Polygon(site.outline), x, y)
    return np.asarray(np.column_stack([x, y])[inside], dtype=np.float64)
