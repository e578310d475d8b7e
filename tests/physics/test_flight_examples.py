"""Flight figures of the two invented examples, from their stated mass, lift and drag and the power model.

Middle values worked out beforehand by a trial of our own; tolerances as stated there.
"""

from __future__ import annotations

import numpy as np
import pytest
from test_power import FANS, TWIN, States

from planewright.analysis.flight import (
    airborne_distance,
    climb_gradient,
    dynamic_pressure,
    ground_effect,
    ground_run,
    level_lift_coefficient,
    lift_off_speed,
    rate_of_climb,
    rolling_drag_coefficient,
    stall_speed,
    top_speed,
    turn_radius,
    turn_stall_speed,
)
from planewright.analysis.power import power_model

RHO = 1.225
DEG = np.pi / 180


class Example:
    """Mass, wing, drag CD0 + k CL^2 of one example."""

    def __init__(
        self, mass: float, area: float, span: float, clmax: float, cd: float, induced: float, cl: float
    ):
        self.mass, self.area, self.span, self.clmax = mass, area, span, clmax
        self.k, self.cd0 = induced / cl**2, cd - induced

    def drag(self, speed: float) -> float:
        cl = float(level_lift_coefficient(self.mass, self.area, speed, RHO))
        return float(dynamic_pressure(speed, RHO) * self.area * (self.cd0 + self.k * cl**2))

    def stall(self) -> float:
        return float(stall_speed(self.mass, self.area, self.clmax, RHO))


GRASS = Example(4.062, 0.861, 2.6, 1.085, 0.0606, 0.0102, 0.483)
YARD = Example(5.400, 1.016, 2.9, 1.034, 0.054, 0.0100, 0.467)


@pytest.fixture(scope="module")
def bench() -> States:
    """Factors that make both fans give what their bench runs gave: 16.4 and 14.4 N, 43 and 39.5 A at 23.4 V."""
    fans = power_model(FANS, RHO)
    left, right = (fans.static(States(), f"engine.{side}", 23.4) for side in ("left", "right"))
    return States(
        eng_make_L=float(16.4 / left[0][0]),
        eng_make_R=float(14.4 / right[0][0]),
        eng_current_L=float(43.0 / left[1][0]),
        eng_current_R=float(39.5 / right[1][0]),
    )


@pytest.mark.parametrize(
    ("one", "stall", "speed", "cl", "drag", "off"),
    [(GRASS, 8.35, 12.5, 0.483, 5.0, 9.6), (YARD, 9.07, 13.5, 0.467, 6.1, 10.4)],
)
def test_speeds_and_drag(
    one: Example, stall: float, speed: float, cl: float, drag: float, off: float
) -> None:
    assert one.stall() == pytest.approx(stall, abs=0.02)
    assert level_lift_coefficient(one.mass, one.area, speed, RHO) == pytest.approx(cl, rel=0.02)
    assert one.drag(speed) == pytest.approx(drag, rel=0.02)
    assert lift_off_speed(one.stall()) == pytest.approx(off, abs=0.05)


@pytest.mark.parametrize(
    ("speed", "bank", "radius"),
    [
        (12.5, 15, 59.4),
        (12.5, 20, 43.8),
        (12.5, 25, 34.2),
        (13.5, 15, 69.3),
        (13.5, 20, 51.0),
        (13.5, 25, 39.8),
    ],
)
def test_turn_radii(speed: float, bank: float, radius: float) -> None:
    assert turn_radius(speed, bank * DEG) == pytest.approx(radius, rel=0.01)


def test_stall_speeds_in_turns() -> None:
    got = [turn_stall_speed(GRASS.stall(), bank * DEG) for bank in (15, 20, 25)]
    assert got == pytest.approx([8.5, 8.6, 8.8], abs=0.06)


def test_climb_of_the_propeller_twin() -> None:
    """21 and 14 % at 12.5 m/s, 90 and 30 % of the pack (tolerance 3 points); 2.6 and 1.7 m/s."""
    model, drag = power_model(TWIN, RHO), GRASS.drag(12.5)
    for charge, percent, rate in ((0.9, 21, 2.6), (0.3, 14, 1.7)):
        thrust = model.thrust(States(), 12.5, charge).total
        assert 100 * climb_gradient(thrust, drag, GRASS.mass) == pytest.approx(percent, abs=3)
        assert rate_of_climb(thrust, drag, GRASS.mass, 12.5) == pytest.approx(rate, abs=0.4)


def test_climb_of_the_fan_twin(bench: States) -> None:
    """35 and 27 % at 13.5 m/s (tolerance 4 points)."""
    model, drag = power_model(FANS, RHO), YARD.drag(13.5)
    for charge, percent in ((0.9, 35), (0.3, 27)):
        thrust = model.thrust(bench, 13.5, charge).total
        assert 100 * climb_gradient(thrust, drag, YARD.mass) == pytest.approx(percent, abs=4)


def run(one: Example, thrust, friction: float) -> float:  # type: ignore[no-untyped-def]
    """Run to 1.15 of the stall speed with the wing a quarter of a metre up, CL 0.45 on the wheels."""
    induced, _ = ground_effect(0.38, one.span)
    drag = rolling_drag_coefficient(one.cd0, one.k, 0.45, induced)
    off = lift_off_speed(one.stall())
    return float(ground_run(thrust, one.mass, one.area, RHO, off, 0.45, drag, friction).distance[0])


def test_run_of_the_propeller_twin() -> None:
    """On grass 0.08: 12.5 m at 90 %, 15.9 m at 30 % of the pack (25 %); more mass, longer run."""
    model = power_model(TWIN, RHO)
    for charge, metres in ((0.9, 12.5), (0.3, 15.9)):
        assert run(GRASS, model.curve(States(), 12.0, charge), 0.08) == pytest.approx(metres, rel=0.25)
    heavy = Example(1.35 * 4.062, 0.861, 2.6, 1.085, 0.0606, 0.0102, 0.483)
    assert heavy.stall() == pytest.approx(9.7, abs=0.05)
    assert run(heavy, model.curve(States(), 12.0, 0.9), 0.08) == pytest.approx(27, rel=0.25)


def test_run_of_the_fan_twin(bench: States) -> None:
    """On concrete 0.03: 12.3 m at 90 %, 14.9 m at 30 % of the pack (25 %)."""
    model = power_model(FANS, RHO)
    for charge, metres in ((0.9, 12.3), (0.3, 14.9)):
        assert run(YARD, model.curve(bench, 12.0, charge), 0.03) == pytest.approx(metres, rel=0.25)


def test_climb_with_one_engine_stopped(bench: States) -> None:
    """7.6 % at 10.9 m/s; 11.6 % at 11.8 m/s (tolerance 3 points)."""
    grass = power_model(TWIN, RHO).one_stopped(States(), "engine.right", 10.9, 0.9).total
    assert 100 * climb_gradient(grass, GRASS.drag(10.9), GRASS.mass) == pytest.approx(7.6, abs=3)
    yard = power_model(FANS, RHO).one_stopped(bench, "engine.left", 11.8, 0.9).total
    assert 100 * climb_gradient(yard, YARD.drag(11.8), YARD.mass) == pytest.approx(11.6, abs=3)


def test_level_top_speeds(bench: States) -> None:
    """About 17 m/s with propellers, 26 with fans (10 %)."""

    def drag_of(one: Example):  # type: ignore[no-untyped-def]
        return lambda speed: np.array([one.drag(float(speed[0]))])

    grass = top_speed(power_model(TWIN, RHO).curve(States(), 25.0, 0.9), drag_of(GRASS), 9.0, 25.0)
    yard = top_speed(power_model(FANS, RHO).curve(bench, 35.0, 0.9), drag_of(YARD), 10.0, 35.0)
    assert grass[0] == pytest.approx(17.0, rel=0.10) and yard[0] == pytest.approx(26.0, rel=0.10)


def test_quick_curve_meets_the_matched_points(bench: States) -> None:
    for plane, states in ((TWIN, States()), (FANS, bench)):
        model = power_model(plane, RHO)
        curve, still = model.curve(states, 20.0, 0.8), model.thrust(states, 0.0, 0.8).total[0]
        for speed in np.linspace(0.0, 20.0, 23):
            exact = model.thrust(states, float(speed), 0.8).total
            assert curve(np.array([speed])) == pytest.approx(exact, abs=0.003 * still)
        one = model.curve(states, 20.0, 0.8, stopped="engine.left")(np.array([10.0]))
        exact = model.one_stopped(states, "engine.left", 10.0, 0.8).total
        assert one == pytest.approx(exact, abs=0.003 * still)


def test_top_speed_limits() -> None:
    speeds = top_speed(lambda v: 10.0 - v, lambda v: 0.0 * v + np.array([4.0, -5.0, 20.0]), np.zeros(3), 12.0)
    assert speeds[0] == pytest.approx(6.0) and speeds[1] == pytest.approx(12.0) and np.isnan(speeds[2])


def test_airborne_distance_grows_with_height() -> None:
    assert airborne_distance(GRASS.stall(), 2.0) < airborne_distance(GRASS.stall(), 5.0)
