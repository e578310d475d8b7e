"""Signs, limits and exact cases of the flight formulas."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.analysis.flight import (
    airborne_distance,
    climb_gradient,
    distance_to_clear,
    free_roll,
    glide_ratio,
    ground_effect,
    ground_run,
    rate_of_climb,
    sink_rate,
    stall_speed,
    turn_radius,
    turn_stall_speed,
)
from planewright.errors import OutOfRange

G = 9.80665
numbers = st.floats(0.5, 20.0)


@settings(max_examples=40, deadline=None)
@given(mass=numbers, force=st.floats(1.0, 100.0), speed=numbers)
def test_run_under_a_constant_force_is_the_closed_form(mass: float, force: float, speed: float) -> None:
    """No air, no friction: s = m V^2/(2 F), t = m V/F, exactly."""
    run = ground_run(lambda v: np.full_like(v, force), mass, 1.0, 0.0, speed, 0.0, 0.0, 0.0)
    assert run.distance[0] == pytest.approx(mass * speed**2 / (2 * force), rel=1e-12)
    assert run.time[0] == pytest.approx(mass * speed / force, rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(fall=st.floats(0.0, 0.8))
def test_run_with_thrust_falling_in_the_square_of_speed(fall: float) -> None:
    """T = T0 - k V^2: s = m/(2 k) ln(T0/(T0 - k V^2)), the logarithmic closed form."""
    mass, start, speed = 4.0, 24.0, 10.0
    k = (fall + 1e-3) * start / speed**2
    run = ground_run(lambda v: start - k * v**2, mass, 1.0, 1.225, speed, 0.0, 0.0, 0.0)
    exact = mass / (2 * k) * np.log(start / (start - k * speed**2))
    assert run.distance[0] == pytest.approx(exact, rel=3e-3)
    fine = ground_run(lambda v: start - k * v**2, mass, 1.0, 1.225, speed, 0.0, 0.0, 0.0, steps=600)
    assert fine.distance[0] == pytest.approx(exact, rel=2e-5)


def run_of(**change: float) -> float:
    given = {
        "mass": 4.0,
        "density": 1.225,
        "lift_off": 9.6,
        "cl": 0.6,
        "cd": 0.06,
        "mu": 0.08,
        "thrust": 24.0,
    }
    given.update(change)
    run = ground_run(
        lambda v: given["thrust"] - 0.8 * v,
        given["mass"],
        0.86,
        given["density"],
        given["lift_off"],
        given["cl"],
        given["cd"],
        given["mu"],
        slope=given.get("slope", 0.0),
    )
    return float(run.distance[0])


@pytest.mark.parametrize(
    ("key", "value"), [("mass", 4.4), ("lift_off", 10.6), ("cd", 0.09), ("mu", 0.12), ("slope", 0.03)]
)
def test_run_grows_with(key: str, value: float) -> None:
    assert run_of(**{key: value}) > 1.01 * run_of()


def test_run_shrinks_with_thrust_and_with_lift_on_the_roll() -> None:
    assert run_of(thrust=26.0) < run_of()
    assert run_of(cl=0.9) < run_of()


def test_a_run_that_never_ends_says_so() -> None:
    run = ground_run(lambda v: 6.0 - v, 4.0, 0.86, 1.225, np.array([2.0, 9.6]), 0.0, 0.05, 0.08)
    assert run.possible[0] and np.isfinite(run.distance[0])
    assert np.isinf(run.distance[1]) and np.isinf(run.time[1]) and not run.possible[1]


def test_run_works_on_draws() -> None:
    mass = np.linspace(3.0, 6.0, 50)
    run = ground_run(lambda v: 24.0 - 0.8 * v, mass, 0.86, 1.225, np.full(50, 9.6), 0.6, 0.06, 0.08)
    assert run.distance.shape == (50,)
    assert np.all(np.diff(run.distance) > 0)


def test_ground_effect_fades_and_meets_the_mirror_lattice() -> None:
    drag, slope = ground_effect(np.array([0.1, 0.2, 0.5]), 1.0)
    assert drag == pytest.approx([0.524, 0.717, 0.909], abs=0.011)
    assert slope == pytest.approx([1.249, 1.100, 1.025], abs=0.02)
    far = ground_effect(10.0, 1.0)
    assert far[0] == pytest.approx(1.0, abs=1e-6) and far[1] == pytest.approx(1.0, abs=1e-6)
    with pytest.raises(OutOfRange):
        ground_effect(0.01, 1.0)


def test_climb_signs_and_conservation_of_energy() -> None:
    thrust, drag, mass, speed = np.array([4.0, 6.0, 13.0]), 6.0, 4.0, 12.5
    gradient, rate = climb_gradient(thrust, drag, mass), rate_of_climb(thrust, drag, mass, speed)
    assert gradient[0] < 0 < gradient[2] and gradient[1] == pytest.approx(0.0)
    assert rate * mass * G == pytest.approx((thrust - drag) * speed)
    assert np.sin(np.arctan(gradient)) == pytest.approx((thrust - drag) / (mass * G))


def test_distance_to_clear() -> None:
    got = distance_to_clear(25.0, np.array([0.21, 0.14, 0.0, -0.1]))
    assert got[:2] == pytest.approx([25 / 0.126, 25 / 0.084])
    assert np.isinf(got[2:]).all()


def test_glide_and_sink_agree() -> None:
    mass, speed, cl, cd = 4.0, 12.5, 0.48, 0.06
    drag = mass * G * cd / cl
    assert speed / sink_rate(drag, mass, speed) == pytest.approx(glide_ratio(cl, cd))


@settings(max_examples=40, deadline=None)
@given(speed=numbers, bank=st.floats(5.0, 70.0))
def test_radius_balances_forces(speed: float, bank: float) -> None:
    """Horizontal part of the lift is the centripetal force: n g sin(bank) = V^2/R."""
    angle = np.deg2rad(bank)
    assert G / np.cos(angle) * np.sin(angle) == pytest.approx(speed**2 / turn_radius(speed, angle))
    assert turn_radius(1.01 * speed, angle) > turn_radius(speed, angle)
    assert turn_radius(speed, 1.01 * angle) < turn_radius(speed, angle)
    assert turn_stall_speed(8.0, angle) > 8.0


def test_stall_scales_with_the_root_of_mass_and_inverse_root_of_lift() -> None:
    base = stall_speed(4.0, 0.86, 1.085, 1.225)
    assert stall_speed(16.0, 0.86, 1.085, 1.225) == pytest.approx(2 * base)
    assert stall_speed(4.0, 0.86, 4 * 1.085, 1.225) == pytest.approx(base / 2)
    with pytest.raises(OutOfRange):
        stall_speed(4.0, 0.86, np.array([1.0, 0.0]), 1.225)
    with pytest.raises(OutOfRange):
        turn_radius(12.0, 0.0)


def test_free_roll_gives_up_all_energy_to_friction() -> None:
    distance = free_roll(9.6, 0.08)
    assert 0.08 * G * distance == pytest.approx(9.6**2 / 2)


def test_airborne_distance_is_finite_and_grows() -> None:
    got = airborne_distance(8.35, np.array([0.0, 2.0, 5.0, 500.0]))
    assert got[0] == 0.0 and np.all(np.diff(got) > 0) and np.isfinite(got).all()
