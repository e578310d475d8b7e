"""Standard atmosphere against printed tables.

Sources: ICAO, Manual of the ICAO Standard Atmosphere, Doc 7488 (row at 5 km geopotential), equal to ISO
2533:1975; U.S. Standard Atmosphere, 1976 (rows at geometric heights); both as quoted in the tests and tables
of an open fluid-properties library. Ratios at heights in feet: a printed table of the standard atmosphere.
"""

from __future__ import annotations

import numpy as np
import pytest

from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY, air, density, standard, viscosity
from planewright.errors import OutOfRange

GEOMETRIC = [
    # height m, temperature K, pressure Pa, density kg/m3 (U.S. Standard Atmosphere, 1976)
    (-2000.0, 301.15, 127780.0, 1.4782),
    (0.0, 288.15, 101325.0, 1.2250),
    (2000.0, 275.15, 79501.0, 1.0066),
    (4000.0, 262.17, 61660.0, 0.81935),
]


@pytest.mark.parametrize(("height", "temperature", "pressure", "rho"), GEOMETRIC)
def test_rows_of_1976(height: float, temperature: float, pressure: float, rho: float) -> None:
    got = standard(height, geometric=True)
    assert got.temperature == pytest.approx(temperature, abs=0.006)
    assert got.pressure == pytest.approx(pressure, abs=10.0 if height < 0 else 1.0)
    assert got.density == pytest.approx(rho, abs=6e-5)


def test_five_kilometres_geopotential() -> None:
    got = standard(5000.0)
    assert got.temperature == pytest.approx(255.65, abs=1e-9)
    assert got.pressure == pytest.approx(54019.9, abs=0.1)
    assert got.density == pytest.approx(0.73612, abs=1e-5)


def test_five_kilometres_geometric_with_viscosity() -> None:
    got = standard(5000.0, geometric=True)
    assert got.pressure == pytest.approx(54048.286, abs=0.5)
    assert got.density == pytest.approx(0.73642842, abs=5e-6)
    assert got.viscosity == pytest.approx(1.6282481e-5, rel=2e-6)


@pytest.mark.parametrize(("height", "mu"), [(0.0, 1.7894e-5), (2000.0, 1.7260e-5)])
def test_viscosity(height: float, mu: float) -> None:
    assert standard(height, geometric=True).viscosity == pytest.approx(mu, abs=1e-9)


@pytest.mark.parametrize(
    ("feet", "pressure", "rho"),
    [(500, 0.9821, 0.9855), (1000, 0.9644, 0.9711), (5000, 0.8320, 0.8617), (10000, 0.6877, 0.7385)],
)
def test_ratios_in_feet(feet: int, pressure: float, rho: float) -> None:
    got, ground = standard(0.3048 * feet), standard(0.0)
    assert got.pressure / ground.pressure == pytest.approx(pressure, abs=1e-4)
    assert got.density / ground.density == pytest.approx(rho, abs=1e-4)


def test_a_day_by_thermometer_and_barometer() -> None:
    """13 C at 1012 hPa gives 1.232 and 14 C at 1011 hPa 1.226 kg/m3 (p = rho R T, R of ISO 2533)."""
    assert air(286.15, 101200.0).density == pytest.approx(1.232, abs=5e-4)
    assert air(287.15, 101100.0).density == pytest.approx(1.2265, abs=5e-4)
    assert density(288.15, 101325.0) == pytest.approx(SEA_LEVEL_DENSITY, abs=1e-5)


def test_ten_degrees_warmer_is_about_3_4_percent_thinner() -> None:
    """And 25 hPa less pressure about 2.5 % thinner (from p = rho R T)."""
    assert air(298.15, 101325.0).density / SEA_LEVEL_DENSITY == pytest.approx(1 - 0.034, abs=0.001)
    assert air(288.15, 98825.0).density / SEA_LEVEL_DENSITY == pytest.approx(1 - 0.025, abs=0.001)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: standard(12000.0),
        lambda: standard(-2500.0),
        lambda: air(15.0, 101325.0),
        lambda: air(288.15, 1013.25),
    ],
)
def test_outside_the_source_is_refused(ask) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange):
        ask()


def test_falls_with_height_and_viscosity_with_temperature() -> None:
    rows = [standard(height) for height in np.linspace(-1900.0, 10900.0, 60)]
    for name in ("temperature", "pressure", "density", "viscosity"):
        assert np.all(np.diff([getattr(row, name) for row in rows]) < 0)
    assert viscosity(300.0) > viscosity(280.0)
