"""Geometry of the field plan: lines and places in the site's axes, m, ready to be drawn. No drawing here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from planewright.analysis.field.day import glare_of_day
from planewright.analysis.field.pattern import path, wanted_from
from planewright.analysis.field.runway import Cones, take_off
from planewright.analysis.field.wind import towards, velocity
from planewright.site.model import Site, Stand

Array = npt.NDArray[np.float64]

CONE_OFFSET = 2.0
"""Cones stand this far beside the edge of the runway, m. Judgement."""


@dataclass(frozen=True)
class FieldPlan:
    """Everything on the plan, in m and the site's axes; a line is an array (n, 2), what is not stated is empty.

    ``outline`` closed; ``kept`` closed lines of the outline less its margin; ``runway`` closed; ``trees``: name,
    line, closed, height; ``people``: stand and the distance to keep from it; ``cameras``; ``paths``: one closed
    line for each radius asked; ``cones``: letter and the two places of each; ``people_line``: through the pilot along
    the runway, behind which everybody stays; ``run``: start and lift-off; unit vectors ``north``, ``wind`` (the way
    the air goes) and ``sun`` (towards it).
    """

    outline: Array
    kept: tuple[Array, ...]
    runway: Array
    trees: tuple[tuple[str, Array, bool, float], ...]
    people: tuple[tuple[Stand, float], ...]
    cameras: tuple[Stand, ...]
    paths: tuple[Array, ...]
    cones: tuple[tuple[str, Array], ...]
    people_line: Array
    run: Array
    north: Array
    wind: Array
    sun: Array


def field_plan(
    site: Site, radii: tuple[float, ...] = (), gates: Cones | None = None, run: float | None = None
) -> FieldPlan:
    """The plan of a site with the planned figure at ``radii`` (m; middle first, then the band), its cones and the
    expected ``run`` (m)."""
    day = site.day
    blown = day.wind is not None and day.wind > 0 and day.wind_from is not None
    glare = glare_of_day(site, radii[0]) if radii else None
    return FieldPlan(
        outline=_closed(site.outline),
        kept=_kept(site),
        runway=_runway(site),
        trees=tuple((one.name, np.array(one.points, float), one.closed, one.height) for one in site.trees),
        people=tuple((one, wanted_from(site, one)) for one in site.stands if not one.camera),
        cameras=tuple(one for one in site.stands if one.camera),
        paths=tuple(path(site.pattern, one) for one in radii) if site.pattern else (),
        cones=_cones(site, gates) if gates else (),
        people_line=_people_line(site),
        run=_run(site, run) if run is not None else np.empty((0, 2)),
        north=towards(0.0, site.x_bearing),
        wind=velocity(1.0, day.wind_from or 0.0, site.x_bearing) if blown else np.empty(0),
        sun=towards(glare.sun.bearing, site.x_bearing) if glare else np.empty(0),
    )


def _closed(points: tuple[tuple[float, float], ...]) -> Array:
    return np.array([*points, points[0]], dtype=np.float64) if points else np.empty((0, 2))


def _kept(site: Site) -> tuple[Array, ...]:
    if len(site.outline) < 3:
        return ()
    inner = shapely.Polygon(site.outline).buffer(-site.margins.outline, join_style="mitre")
    parts = getattr(inner, "geoms", (inner,))
    return tuple(np.asarray(one.exterior.coords) for one in parts if not one.is_empty)


def _runway(site: Site) -> Array:
    if site.runway is None:
        return np.empty((0, 2))
    line = shapely.LineString([site.runway.start, site.runway.end])
    return np.asarray(line.buffer(site.runway.width / 2.0, cap_style="flat").exterior.coords)


def _cones(site: Site, gates: Cones) -> tuple[tuple[str, Array], ...]:
    plan = take_off(site)
    width = site.runway.width if site.runway else 0.0
    side = np.array([-plan.direction[1], plan.direction[0]]) * (width / 2.0 + CONE_OFFSET)
    places = {"A": gates.first, "B": gates.last}
    return tuple(
        (letter, plan.start + along * plan.direction + np.array([side, -side]))
        for letter, along in places.items()
    )


def _people_line(site: Site) -> Array:
    """Line through the pilot along the runway, cut at the outline, shape (2, 2); empty without pilot or runway."""
    pilot = next((one for one in site.stands if one.name == "pilot"), None)
    if pilot is None or site.runway is None or len(site.outline) < 3:
        return np.empty((0, 2))
    direction, at = take_off(site).direction, np.asarray(pilot.at)
    ground = shapely.Polygon(site.outline)
    reach = ground.length * direction
    cut = shapely.intersection(shapely.LineString([at - reach, at + reach]), ground)
    parts = [one for one in getattr(cut, "geoms", (cut,)) if one.distance(shapely.Point(at)) < 1e-6]
    return np.asarray(parts[0].coords) if parts else np.empty((0, 2))


def _run(site: Site, run: float) -> Array:
    plan = take_off(site)
    return np.array([plan.start, plan.start + run * plan.direction])
