"""Momentum theory, motors and measured propellers against outside figures.

Sources, by test: Selig and Ananda, AE 15-01, University of Illinois 2015 (open disc, equation 10); a hobby note
on ducted fans, 2007 (18 N read off for 800 W at the shaft and a 60 mm exit); a public course page on propulsion
(motor constants 256 rpm/V, 0.111 ohm, 3 A); Brandt and others, UIUC Propeller Database, volumes 1 to 3; Deters,
Ananda and Selig, AIAA 2014-2151 (definitions of CT and CP).
"""

from __future__ import annotations

import numpy as np
import pytest

from planewright.analysis.power.ideal import (
    disc_induced_speed,
    disc_power,
    disc_thrust,
    duct_power,
    duct_thrust,
    exit_speed,
)
from planewright.analysis.power.motor import best_amps, efficiency, speed_at, torque_at
from planewright.analysis.power.propeller import (
    OwnFit,
    coefficients,
    measured_coefficient,
    measured_tables,
)
from planewright.analysis.power.units import forces
from planewright.plane.model import Motor, Propeller

RHO = 1.225
DISC = np.pi / 4 * 0.3**2
INCH = 0.0254


def test_open_disc_at_rest() -> None:
    """20 N from 0.300 m: worked by hand from equation 10 at V = 0."""
    induced = disc_induced_speed(20.0, DISC, RHO)
    assert induced == pytest.approx(10.7465, abs=1e-4)
    assert 2 * induced == pytest.approx(21.4929, abs=1e-4)
    assert disc_power(20.0, DISC, RHO) == pytest.approx(214.929, abs=1e-3)


def test_open_disc_in_flight() -> None:
    """The same at 12 m/s; and the pressure in the slipstream over that outside."""
    induced = disc_induced_speed(20.0, DISC, RHO, 12.0)
    assert induced == pytest.approx(6.30799, abs=1e-5)
    assert 12.0 + 2 * induced == pytest.approx(24.6160, abs=1e-4)
    assert disc_power(20.0, DISC, RHO, 12.0) == pytest.approx(366.160, abs=1e-3)
    assert (1 + 2 * induced / 12.0) ** 2 == pytest.approx(4.20796, abs=1e-5)


def test_thrust_from_200_watts() -> None:
    """Closed inverse as printed with an open actuator-disc text: 19.0628 to 8.9612 N at 0 to 20 m/s."""
    got = disc_thrust(200.0, DISC, RHO, np.array([0.0, 5.0, 10.0, 15.0, 20.0]))
    assert got == pytest.approx([19.0628, 16.0639, 13.2634, 10.8648, 8.9612], abs=1e-4)


def test_full_size_disc() -> None:
    """4000 N at 120 m/s, 2.5 m, 1.226 kg/m3 (worked by hand): inflow 0.02257 of V, 490.83 kW, efficiency 0.97793."""
    area = np.pi / 4 * 2.5**2
    assert disc_induced_speed(4000.0, area, 1.226, 120.0) / 120 == pytest.approx(0.02257, abs=1e-5)
    assert disc_power(4000.0, area, 1.226, 120.0) / 1000 == pytest.approx(490.83, abs=0.01)
    assert 4000 * 120 / disc_power(4000.0, area, 1.226, 120.0) == pytest.approx(0.97793, abs=1e-5)


def test_ducted_fan_read_off() -> None:
    """800 W at the shaft, 60 mm exit: 20.70 N ideal; the published 18 N lies below it and above 80 % of it."""
    ideal = duct_thrust(800.0, np.pi / 4 * 0.06**2, RHO)
    assert ideal == pytest.approx(20.698, abs=1e-3)
    assert 0.8 * ideal < 18.0 < ideal


@pytest.mark.parametrize(
    ("share", "speed", "power"), [(1.0, 56.639, 707.99), (0.85, 61.433, 767.92), (0.5, 80.099, 1001.24)]
)
def test_duct_of_90_mm(share: float, speed: float, power: float) -> None:
    """25 N; nozzle 1, 0.85, 0.5 of the disc (an open propeller has 0.5). Worked by hand from the same balance."""
    nozzle = share * np.pi / 4 * 0.09**2
    assert exit_speed(25.0, nozzle, RHO) == pytest.approx(speed, abs=1e-3)
    assert duct_power(25.0, nozzle, RHO) == pytest.approx(power, abs=1e-2)
    assert duct_thrust(power, nozzle, RHO) == pytest.approx(25.0, abs=1e-3)


MOTOR = Motor(0.1, 256 * np.pi / 30, 0.111, 3.0)


def test_motor_at_24_volts_and_20_amperes() -> None:
    """Constants as published on the course page; figures worked by hand."""
    assert speed_at(MOTOR, 24.0, 20.0) * 30 / np.pi == pytest.approx(5575.7, abs=0.1)
    assert torque_at(MOTOR, 20.0) == pytest.approx(0.63413, abs=1e-5)
    power = torque_at(MOTOR, 20.0) * speed_at(MOTOR, 24.0, 20.0)
    assert power == pytest.approx(370.26, abs=0.01)
    assert efficiency(MOTOR, 24.0, 20.0) == pytest.approx(0.77138, abs=1e-5)


def test_motor_at_its_best() -> None:
    """Best current sqrt(I0 V/R) and best efficiency (1 - sqrt(I0 R/V))^2."""
    best = best_amps(MOTOR, 24.0)
    assert best == pytest.approx(25.469, abs=1e-3)
    assert efficiency(MOTOR, 24.0, best) == pytest.approx(0.77829, abs=1e-5)
    assert torque_at(MOTOR, MOTOR.idle) == 0.0


def test_speed_of_a_measured_motor() -> None:
    """920 rpm/V, 0.11 ohm, 15.2 A at 11.1 V (a public measurement script): 8674 rpm by the model."""
    assert speed_at(Motor(0.06, 920 * np.pi / 30, 0.11, 0.5), 11.1, 15.2) * 30 / np.pi == pytest.approx(
        8674, abs=1
    )


def test_thrust_coefficient_by_definition() -> None:
    """20 N at 100 rev/s, 0.3048 m, 1.200 kg/m3 is CT 0.193103: revolutions per second, not radians."""
    propeller = Propeller(0.3048, 0.1524)
    shape = OwnFit.of([(0.0, 0.193103, 0.05), (0.5, 0.193103, 0.05)], propeller)
    thrust, torque = forces(propeller, shape, 1.2, np.array([200 * np.pi]), np.array([0.0]))
    assert thrust[0] == pytest.approx(20.0, abs=1e-3)
    assert torque[0] * 200 * np.pi == pytest.approx(0.05 * 1.2 * 100**3 * 0.3048**5, rel=1e-9)


def test_uncertainty_of_a_thrust_coefficient() -> None:
    """20 N +-0.15, 100 +-0.2 turns a second, 0.3048 +-0.0002 m, 1.200 +-0.006 kg/m3: CT .193103, u 1.020 % (worked by
    hand from independent inputs)."""
    value, relative = measured_coefficient((20.0, 0.15), (100.0, 0.2), (0.3048, 0.0002), (1.2, 0.006))
    assert value == pytest.approx(0.193103, abs=5e-7)
    assert 100 * relative == pytest.approx(1.020, abs=5e-4)


STATIC = [
    # maker, size in inches, rpm, CT, CP, thrust N, shaft power W; values of the database, linear in rpm
    ("a", 10, 5, 5000, 0.0964, 0.0369, 3.412, 27.64),
    ("b", 10, 4.7, 5000, 0.1229, 0.0497, 4.353, 37.23),
    ("d", 12, 6, 5000, 0.0900, 0.0294, 6.605, 54.91),
    ("d", 13, 8, 5000, 0.0961, 0.0359, 9.714, 100.02),
    ("e", 9, 5, 5000, 0.1015, 0.0392, 2.358, 17.35),
]


@pytest.mark.parametrize(("maker", "diameter", "pitch", "rpm", "ct", "cp", "newton", "watt"), STATIC)
def test_static_runs_of_the_database(
    maker: str, diameter: float, pitch: float, rpm: float, ct: float, cp: float, newton: float, watt: float
) -> None:
    """Fitted tables meet the measured static values within 3 % in thrust and 4 % in power."""
    propeller = Propeller(diameter * INCH, pitch * INCH)
    shape, words = coefficients(propeller)
    assert f"{maker} {diameter:g}x{pitch:g}" in words
    turns = np.array([rpm * np.pi / 30])
    thrust, torque = forces(propeller, shape, RHO, turns, np.array([0.0]))
    got_ct, got_cp = shape.at(np.array([0.0]), np.array([float(rpm)]))
    assert got_ct[0] == pytest.approx(ct, rel=0.03) and got_cp[0] == pytest.approx(cp, rel=0.04)
    assert thrust[0] == pytest.approx(newton, rel=0.03)
    assert torque[0] * turns[0] == pytest.approx(watt, rel=0.04)


@pytest.mark.parametrize("table", measured_tables(), ids=lambda one: one.name)
def test_every_row_of_the_database_in_wind(table) -> None:  # type: ignore[no-untyped-def]
    """The fit of each table against all its rows in wind: within 7.5 % of the static value, median 1.7 %."""
    from planewright.analysis.power.propeller import TableFit

    fit = TableFit.of(table, Propeller(table.diameter, table.pitch))
    thrust, power = fit.at(table.advance, table.rpm)
    wind = table.advance > 0
    for got, given in ((thrust, table.thrust), (power, table.power)):
        off = np.abs(got - given)[wind & (table.rpm > 0.45 * table.rpm.max())] / given[~wind].max()
        assert off.max() < 0.075 and np.median(off) < 0.017


def test_zero_thrust_comes_above_the_nominal_pitch() -> None:
    """Database, both 11 x 7: pitch/diameter 0.636, zero thrust between J 0.74 and 0.80."""
    shape, words = coefficients(Propeller(11 * INCH, 7 * INCH))
    assert "a 11x7 and c 11x7" in words
    advance = np.linspace(0.6, 0.9, 301)
    thrust, _ = shape.at(advance, np.full(301, 5000.0))
    zero = advance[np.argmax(thrust < 0)]
    assert 0.74 < zero < 0.80


def test_regression_knows_the_seven_to_its_stated_accuracy() -> None:
    """Static CT and CP of each database propeller from size alone: median 10 %, worst 25 and 45 %."""
    from planewright.analysis.power.propeller import Regression

    ratios = []
    for table in measured_tables():
        still = table.advance == 0
        row = np.argmax(table.rpm * still)
        got = Regression(Propeller(table.diameter, table.pitch)).at(np.zeros(1), table.rpm[[row]])
        ratios.append((got[0][0] / table.thrust[row], got[1][0] / table.power[row]))
    off = np.abs(np.array(ratios) - 1)
    assert np.all(off < [0.25, 0.45])
    assert np.all(np.median(off, axis=0) < 0.10)


def test_static_coefficients_are_per_revolution() -> None:
    """CT of every measured propeller at rest lies between 0.07 and 0.14 (rpm taken as rad/s would be 40 times off)."""
    for table in measured_tables():
        still = table.advance == 0
        assert np.all((table.thrust[still] > 0.07) & (table.thrust[still] < 0.14))
        given = table.advance * table.thrust / table.power
        assert given.max() < 0.85  # efficiency of a small propeller
