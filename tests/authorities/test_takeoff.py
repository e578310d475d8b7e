"""Take-off of a jet aeroplane worked out in a textbook.

Source: J. D. Anderson, Aircraft Performance and Design, McGraw-Hill 1999, Example 6.6, page 366 (units as
printed: lb, ft, s). Ground run 2,242 ft with constant thrust, airborne distance to 35 ft 724 ft.
"""

from __future__ import annotations

import numpy as np
import pytest

from planewright.analysis.flight import (
    airborne_distance,
    ground_run,
    level_lift_coefficient,
    load_factor_in_turn,
    rolling_drag_coefficient,
    stall_speed,
    thrust_to_weight,
    turn_radius,
    turn_stall_speed,
    turn_time,
)

FOOT, POUND, SLUG = 0.3048, 4.4482216, 14.593903
WEIGHT, AREA, RHO = 73000.0 * POUND, 950.0 * FOOT**2, 0.002377 * SLUG / FOOT**3
ROLL_CL, MU, LIFT_OFF = 0.1, 0.04, 205.1 * FOOT


def drag_on_the_roll() -> float:
    """CD0 0.015 + 0.0177 of gear and flaps; k1 0.02; ground effect G 0.588 on CL^2/(pi e AR), e 0.9, AR 5.92."""
    ground = (16 * 5.6 / 75) ** 2 / (1 + (16 * 5.6 / 75) ** 2)
    assert ground == pytest.approx(0.588, abs=5e-4)
    per_square = 0.02 + ground / (np.pi * 0.9 * 5.92)
    return float(rolling_drag_coefficient(0.015 + 0.0177, per_square, ROLL_CL))


def test_ground_run_of_example_6_6() -> None:
    mass = WEIGHT / 9.80665
    thrust = np.array([(0.301 + MU) * WEIGHT])  # KT = T/W - mu = 0.301
    run = ground_run(
        lambda speed: thrust, mass, AREA, RHO, np.array([LIFT_OFF]), ROLL_CL, drag_on_the_roll(), MU
    )
    assert run.possible.all()
    assert run.distance[0] / FOOT == pytest.approx(2242.0, abs=5.0)
    with_rotation = run.distance[0] / FOOT + 3.0 * 205.1
    assert with_rotation == pytest.approx(2857.0, abs=6.0)


def test_the_factor_ka_of_the_example() -> None:
    """KA = -rho/(2 W/S) (CD - mu CL) = -4.525e-7 per ft."""
    factor = -0.002377 / (2 * 76.84) * (drag_on_the_roll() - MU * ROLL_CL)
    assert factor == pytest.approx(-4.525e-7, rel=5e-4)


def test_airborne_distance_to_35_feet() -> None:
    assert airborne_distance(186.4 * FOOT, 35 * FOOT) / FOOT == pytest.approx(724.0, abs=1.5)


@pytest.mark.parametrize(("bank", "factor"), [(15, 1.04), (30, 1.15), (45, 1.41), (60, 2.00), (70, 2.92)])
def test_load_factor_table(bank: int, factor: float) -> None:
    """Printed table of load factors in level turns (pilot training page; any handbook prints the same)."""
    assert load_factor_in_turn(np.deg2rad(bank)) == pytest.approx(factor, abs=0.006)


@pytest.mark.parametrize(("bank", "speed"), [(30, 54), (45, 59), (60, 71)])
def test_stall_in_turns_of_an_aeroplane_that_stalls_at_50_knots(bank: int, speed: int) -> None:
    """Same printed table."""
    assert turn_stall_speed(50.0, np.deg2rad(bank)) == pytest.approx(speed, abs=0.6)


@pytest.mark.parametrize(
    ("speed", "bank", "radius", "seconds"),
    [
        (15, 30, 39.7, 16.6),
        (15, 45, 22.9, 9.6),
        (20, 45, 40.8, None),
        (25, 60, 36.8, None),
        (12, 30, 25.4, None),
    ],
)
def test_turn_radius_by_hand(speed: float, bank: float, radius: float, seconds: float | None) -> None:
    """R = V^2/(g tan bank), worked by hand from the formula (Anderson 1999, section 6.9)."""
    assert turn_radius(speed, np.deg2rad(bank)) == pytest.approx(radius, abs=0.06)
    if seconds:
        assert turn_time(speed, np.deg2rad(bank)) == pytest.approx(seconds, abs=0.06)


def test_eight_pounds_at_twenty_miles_an_hour() -> None:
    """Common practice of the trade, no source: 8 lb on 1,200 square inches at 20 mph needs CL near 0.94."""
    got = level_lift_coefficient(8 * 0.45359237, 1200 * 0.0254**2, 20 * 0.44704, 1.225)
    assert got == pytest.approx(0.94, abs=0.01)
    assert stall_speed(8 * 0.45359237, 1200 * 0.0254**2, float(got), 1.225) == pytest.approx(20 * 0.44704)


def test_two_engines_of_a_thousand_grams_on_eight_pounds() -> None:
    """Common practice of the trade, no source: they push with about 0.55 of the weight."""
    assert thrust_to_weight(2 * 1.0 * 9.80665, 8 * 0.45359237) == pytest.approx(0.55, abs=0.005)
