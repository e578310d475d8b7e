"""Place of the sun against the worked example of a national laboratory.

Source: I. Reda and A. Andreas, Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302,
revised 2008, Appendix A.5: 17 October 2003, 12:30:30 at UTC-7, 39.742476 N, 105.1786 W.
"""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from planewright.analysis.field.sun import apparent_place, sun_at

ZONE = dt.timezone(dt.timedelta(hours=-7))
MOMENT = dt.datetime(2003, 10, 17, 12, 30, 30, tzinfo=ZONE)
PLACE = (np.deg2rad(39.742476), np.deg2rad(-105.1786))


def test_elevation_and_azimuth() -> None:
    """Zenith 50.111622, azimuth 194.340241 deg; refraction there is of 820 hPa, ours of 1010: 0.004 deg apart."""
    sun = sun_at(MOMENT, *PLACE)
    assert np.rad2deg(sun.elevation) == pytest.approx(90 - 50.111622, abs=0.02)
    assert np.rad2deg(sun.bearing) == pytest.approx(194.340241, abs=0.02)


def test_right_ascension_and_declination() -> None:
    """Apparent right ascension 202.227408, declination -9.31434 deg (topocentric differs by 0.003)."""
    century = (2452930.312847 + 67 / 86400 - 2451545.0) / 36525
    ascension, declination = np.rad2deg(apparent_place(century))
    assert ascension % 360 == pytest.approx(202.227408, abs=0.01)
    assert declination == pytest.approx(-9.31434, abs=0.01)


@pytest.mark.parametrize(("day", "clock", "rising"), [(17, (6, 12, 43), True), (16, (17, 20, 19), False)])
def test_sunrise_and_sunset(day: int, clock: tuple[int, int, int], rising: bool) -> None:
    """Printed for the UTC day: sunrise 06:12:43 and sunset 17:20:19 (00:20 UTC: still the 16th by the local clock).

    Then the upper rim touches the horizon: the middle stands 16' below it, refraction included.
    """
    sun = sun_at(dt.datetime(2003, 10, day, *clock, tzinfo=ZONE), *PLACE)
    assert np.rad2deg(sun.elevation) == pytest.approx(-16 / 60, abs=0.1)
    assert (sun.bearing < np.pi) is rising


def test_whole_days() -> None:
    """Highest at the solstice at 90 - latitude + tilt (23.44 deg); due south; under the horizon at midnight."""
    noon = [
        sun_at(dt.datetime(2026, 6, 21, 12, minute, tzinfo=dt.UTC), np.deg2rad(48.0), 0.0)
        for minute in range(10)
    ]
    best = max(noon, key=lambda one: one.elevation)
    assert np.rad2deg(best.elevation) == pytest.approx(90 - 48 + 23.44, abs=0.03)
    assert np.rad2deg(best.bearing) == pytest.approx(180.0, abs=1.5)
    assert not sun_at(dt.datetime(2026, 6, 21, 0, 0, tzinfo=dt.UTC), np.deg2rad(48.0), 0.0).is_up


def test_a_moment_without_a_clock_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        sun_at(dt.datetime(2026, 6, 21, 12), 0.8, 0.0)
