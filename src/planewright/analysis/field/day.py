"""What speaks against flying on the planned day: wind, gusts, lee of trees, sun. Reasons, never a permission."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from planewright.analysis.field.pattern import path
from planewright.analysis.field.runway import take_off
from planewright.analysis.field.sun import LOW_SUN, Sun, sun_at
from planewright.analysis.field.wind import (
    LEE_PART,
    LEE_WIND,
    along_and_across,
    greatest_across,
    greatest_total,
    lee_of_trees,
)
from planewright.site.model import Site, Stand

Array = npt.NDArray[np.float64]
Number = Array | float


@dataclass(frozen=True)
class DayLimit:
    """One limit of the day: ``value`` against ``limit`` (arrays, in ``unit``), kept on the ``side`` "most" or "least";
    ``exceeded`` at the medians, which says "Not today"; and the ``reason`` in words."""

    id: str
    value: Array
    limit: Array
    side: Literal["most", "least"]
    unit: str
    exceeded: bool
    reason: str


@dataclass(frozen=True)
class Glare:
    """The sun as the pilot sees the path: ``sun``; ``apart`` rad, least difference in bearing between the sun and a
    point of the path; ``blinds``: sun up, lower than 30 deg and less than 30 deg apart."""

    sun: Sun
    apart: float
    blinds: bool


def day_limits(
    site: Site, stall: Number, radius: float, wind_shift: Number = 0.0, gust_factor: Number = 1.4
) -> tuple[DayLimit, ...]:
    """Every limit of the planned day that can be judged from what ``site.day`` states; empty when nothing is stated.

    Arguments: ``stall`` speed m/s and ``wind_shift`` m/s on the forecast, numbers or (N,); ``radius`` of the planned
    figure, m; ``gust_factor`` used only when no gust is stated (1.40: peak of 2 s over the mean of 10 min, Durst,
    in J. Appl. Meteor. Climatol. 48(3), 2009, p. 534).
    """
    limits: list[DayLimit] = []
    if site.day.wind is not None:
        wind = np.maximum(
            np.atleast_1d(np.asarray(site.day.wind + np.asarray(wind_shift), dtype=np.float64)), 0.0
        )
        limits += _wind_limits(site, stall, wind, gust_factor)
        limits += _lee_limits(site, radius, wind)
    glare = glare_of_day(site, radius)
    return (*limits, *(_sun_limits(glare) if glare else ()))


def moment(site: Site) -> dt.datetime | None:
    """The planned moment with the site's clock, or None when date or time is not stated."""
    if site.day.date is None or site.day.time is None:
        return None
    zone = dt.timezone(dt.timedelta(hours=site.utc_offset_h))
    return dt.datetime.combine(site.day.date, site.day.time, tzinfo=zone)


def glare_of_day(site: Site, radius: float) -> Glare | None:
    """The sun at the planned moment against the path, or None when moment or position is not stated."""
    when = moment(site)
    if when is None or site.latitude is None or site.longitude is None:
        return None
    return glare_at(site, radius, sun_at(when, site.latitude, site.longitude))


def glare_at(site: Site, radius: float, sun: Sun) -> Glare:
    """The ``sun`` against the path of ``radius`` (m) as the pilot sees it; without pilot or figure, pi apart."""
    pilot = next((one for one in site.stands if one.name == "pilot"), None)
    if pilot is None or site.pattern is None:
        return Glare(sun, float(np.pi), False)
    apart = _least_angle(site, pilot, path(site.pattern, radius, 721), sun.bearing)
    return Glare(sun, apart, bool(sun.is_up and sun.elevation < LOW_SUN and apart < LOW_SUN))


def _least_angle(site: Site, pilot: Stand, points: Array, bearing: float) -> float:
    """Least difference in bearing, rad, between the sun and a point of the path, seen by the pilot."""
    seen = points - np.asarray(pilot.at)
    bearings = site.x_bearing - np.arctan2(seen[:, 1], seen[:, 0])
    apart = np.abs((bearings - bearing + np.pi) % (2.0 * np.pi) - np.pi)
    return float(apart.min())


def _wind_limits(site: Site, stall: Number, wind: Array, gust_factor: Number) -> list[DayLimit]:
    limits = []
    if site.day.wind_from is not None and site.runway is not None:
        _, across = along_and_across(wind, site.day.wind_from, site.x_bearing, take_off(site).direction)
        text = "The wind across the runway is {:.1f} m/s; {:.1f} is the most."
        limits.append(_limit("wind_across", across, greatest_across(stall), text))
    gust = np.atleast_1d(wind * gust_factor if site.day.gust is None else np.maximum(wind, site.day.gust))
    text = "The wind with its gusts is {:.1f} m/s; {:.1f} is the most."
    limits.append(_limit("wind_total", gust, greatest_total(stall), text))
    return limits


def _lee_limits(site: Site, radius: float, wind: Array) -> list[DayLimit]:
    if site.day.wind_from is None:
        return []
    found = [
        one for one in lee_of_trees(site, site.day.wind_from, radius) if max(one.runway, one.path) > LEE_PART
    ]
    text = "Runway or path lies in the lee of the {}: wind {{:.1f}} m/s; {{:.1f}} is the most there."
    return [_limit(f"lee_{one.name}", wind, np.asarray(LEE_WIND), text.format(one.name)) for one in found]


def _sun_limits(glare: Glare) -> list[DayLimit]:
    height, apart = np.rad2deg(glare.sun.elevation), np.rad2deg(glare.apart)
    where = f"The sun stands {height:.0f} deg high, {apart:.0f} deg beside the path as the pilot sees it."
    value = np.atleast_1d(np.asarray(max(glare.sun.elevation, glare.apart)))
    limits = [DayLimit("sun", value, np.asarray(LOW_SUN), "least", "rad", glare.blinds, where)]
    if not glare.sun.is_up:
        limits.append(
            DayLimit(
                "dark",
                np.array([glare.sun.elevation]),
                np.zeros(()),
                "least",
                "rad",
                True,
                "The sun is not up.",
            )
        )
    return limits


def _limit(name: str, value: Array, limit: Array, text: str) -> DayLimit:
    middle, most = float(np.median(value)), float(np.median(limit))
    return DayLimit(name, value, limit, "most", "m/s", middle > most, text.format(middle, most))
