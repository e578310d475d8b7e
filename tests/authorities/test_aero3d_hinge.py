"""Hinge moments against thin-section theory, and gear geometry against a published worked example."""

from __future__ import annotations

import numpy as np
import pytest

from planewright.analysis.handling import hinge_slopes, stand
from planewright.plane.model import Plane, Wheel


@pytest.mark.parametrize(
    ("part", "b1", "b2"),
    [(0.1, -0.345, -0.884), (0.2, -0.499, -0.923), (0.3, -0.627, -0.965), (0.5, -0.858, -1.066)],
)
def test_hinge_slopes(part: float, b1: float, b2: float) -> None:
    """H. Glauert, ARC R&M 1095, 1927 (exact loading integrated); closed form in Houghton and Carpenter,
    Aerodynamics for Engineering Students; 0.5 % or the last digit."""
    assert hinge_slopes(part) == pytest.approx((b1, b2), abs=0.0006)


def test_overturn_angle_of_a_published_gear() -> None:
    """A gear designer's worked example (an airliner): height 3.124 m, distance of the centre of gravity from the
    apex of the triangle 12.56 + 1.21 m, half angle at the apex 22.39 deg: overturn 30.77 deg; 0.02 deg."""
    reach = 12.56 + 1.21
    base = 14.5
    plane = Plane(
        "gear",
        "A",
        wheels=(
            Wheel("nose", 0.0, 0.0, -3.124, 1.0, 1.0),
            Wheel("main", base, base * np.tan(np.deg2rad(22.39)), -3.124, 1.0, 1.0),
        ),
    )
    got = stand(plane, np.array([[reach], [0.0], [0.0]]))
    assert got is not None
    assert np.rad2deg(got.overturn[0]) == pytest.approx(30.77, abs=0.02)


def test_static_wheel_loads_of_a_published_gear() -> None:
    """The same example: wheelbase 13.35 m; nose wheel to the aft centre of gravity 12.56 m: mains 1,628,717.7 N;
    to the forward one 11.28 m: nose 268,427.2 N; mass 176,469 kg, g 9.81; 0.01 %."""
    plane = Plane("gear", "A", wheels=(Wheel("nose", 0, 0, -3, 1, 1), Wheel("main", 13.35, 5, -3, 1, 1)))
    got = stand(plane, np.array([[12.56, 11.28], [0.0, 0.0], [0.0, 0.0]]))
    assert got is not None
    weight = 176469 * 9.81
    assert weight * (1 - got.single_load[0]) == pytest.approx(1628717.7, rel=1e-4)
    assert weight * got.single_load[1] == pytest.approx(268427.2, rel=1e-4)
