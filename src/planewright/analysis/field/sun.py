"""Where the sun stands: elevation and bearing by the usual low-order solar formulas.

Source: J. Meeus, Astronomical Algorithms, 2nd edition 1998, chapter 25 (low accuracy, 0.01 deg) with the mean
sidereal time of chapter 12 and the refraction of Saemundsson (chapter 16); the same that public solar
calculators of weather services use. Constants from memory, held by a printed example to 0.01 deg (geometric).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from planewright.errors import OutOfRange

LOW_SUN = np.deg2rad(30.0)
"""Below this elevation, and nearer than this in bearing to the path, the sun blinds. Judgement."""
J2000 = dt.datetime(2000, 1, 1, 12, tzinfo=dt.UTC)


@dataclass(frozen=True)
class Sun:
    """``elevation`` above the horizon with refraction and true ``bearing`` clockwise from north, rad."""

    elevation: float
    bearing: float

    @property
    def is_up(self) -> bool:
        """Whether the middle of the sun stands above the horizon."""
        return self.elevation > 0.0


def sun_at(moment: dt.datetime, latitude: float, longitude: float) -> Sun:
    """The sun at a moment and place.

    Arguments: ``moment`` with its own time zone; ``latitude`` (north positive) and ``longitude`` (east positive), rad.
    Raises OutOfRange for a latitude beyond a pole and ValueError for a moment without a time zone.
    """
    if abs(latitude) > np.pi / 2:
        raise OutOfRange("latitude in rad", latitude, -np.pi / 2, np.pi / 2)
    if moment.tzinfo is None:
        raise ValueError("The moment has no time zone; give the clock of the field, such as UTC-1.")
    days = (moment - J2000).total_seconds() / 86400.0
    right_ascension, declination = apparent_place(days / 36525.0)
    hour = np.deg2rad((280.46061837 + 360.98564736629 * days) % 360.0) + longitude - right_ascension
    sine = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(hour)
    south = np.arctan2(np.sin(hour), np.cos(hour) * np.sin(latitude) - np.tan(declination) * np.cos(latitude))
    return Sun(_refracted(float(np.arcsin(np.clip(sine, -1.0, 1.0)))), float((south + np.pi) % (2 * np.pi)))


def apparent_place(century: float) -> tuple[float, float]:
    """(right ascension, declination) of the sun, rad, at ``century`` Julian centuries after J2000."""
    mean = 280.46646 + 36000.76983 * century + 0.0003032 * century**2
    anomaly = np.deg2rad(357.52911 + 35999.05029 * century - 0.0001537 * century**2)
    centre = (
        (1.914602 - 0.004817 * century) * np.sin(anomaly)
        + (0.019993 - 0.000101 * century) * np.sin(2 * anomaly)
        + 0.000289 * np.sin(3 * anomaly)
    )
    node = np.deg2rad(125.04 - 1934.136 * century)
    along = np.deg2rad(mean + centre - 0.00569 - 0.00478 * np.sin(node))
    tilt = np.deg2rad(23.439291 - 0.0130042 * century + 0.00256 * np.cos(node))
    return float(np.arctan2(np.cos(tilt) * np.sin(along), np.cos(along))), float(
        np.arcsin(np.sin(tilt) * np.sin(along))
    )


def _refracted(elevation: float) -> float:
    """Apparent elevation, rad, at 1010 hPa and 10 C; far below the horizon it is left alone."""
    degrees = float(np.rad2deg(elevation))
    if degrees < -1.0:
        return elevation
    minutes = 1.02 / np.tan(np.deg2rad(degrees + 10.3 / (degrees + 5.11)))
    return elevation + float(np.deg2rad(minutes / 60.0))
