"""Rules that builders carry in their heads. Common practice of the trade, no source."""

from __future__ import annotations

import pytest

from planewright.analysis.atmosphere import GRAVITY, SEA_LEVEL_DENSITY
from planewright.analysis.flight.speeds import level_lift_coefficient
from planewright.units import read

POUNDS = 8
SQUARE_INCHES = 1200
INCH = read("1 in", "length")


def test_eight_pounds_on_twelve_hundred_square_inches_at_twenty_miles_an_hour() -> None:
    """Level flight needs a lift coefficient near 0.94 (common practice, no source)."""
    mass, speed = read(f"{POUNDS} lb", "mass"), read("20 mph", "speed")
    found = level_lift_coefficient(mass, SQUARE_INCHES * INCH**2, speed, SEA_LEVEL_DENSITY)
    assert float(found) == pytest.approx(0.94, abs=0.01)


def test_two_engines_of_a_thousand_grams_push_on_eight_pounds() -> None:
    """They push with about 0.55 of the weight (common practice, no source)."""
    weight = read(f"{POUNDS} lb", "mass") * GRAVITY
    assert 2 * read("1000 gf", "force") / weight == pytest.approx(0.55, abs=0.005)
