"""The air: standard atmosphere up to 11 km, and density from a thermometer and a barometer.

Source: ISO 2533:1975, Standard Atmosphere (equal to the U.S. Standard Atmosphere, 1976, in this range);
viscosity by Sutherland's formula with the constants of the same standard. Dry air: humidity lowers the
density by about 0.4 % at 20 C and 50 %, which is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from planewright.errors import OutOfRange

GRAVITY = 9.80665
"""Standard acceleration of gravity, m/s2 (ISO 2533)."""
GAS_CONSTANT = 287.05287
"""Specific gas constant of dry air, J/(kg K) (ISO 2533)."""
SEA_LEVEL_DENSITY = 1.225
"""Density at sea level in the standard atmosphere, kg/m3 (ISO 2533)."""
SEA_LEVEL_TEMPERATURE, SEA_LEVEL_PRESSURE, LAPSE_RATE = 288.15, 101325.0, 0.0065
EARTH_RADIUS = 6356766.0
LOWEST, HIGHEST = -2001.0, 11000.0


@dataclass(frozen=True)
class Air:
    """State of the air: ``temperature`` K, ``pressure`` Pa, ``density`` kg/m3, ``viscosity`` Pa s (dynamic)."""

    temperature: float
    pressure: float
    density: float
    viscosity: float


def standard(height: float, *, geometric: bool = False) -> Air:
    """Standard atmosphere at a height.

    Arguments:
        height: geopotential height, m, from -2001 to 11000; above sea level.
        geometric: True when ``height`` is measured along a ruler; it is turned into geopotential height first.
    Raises:
        OutOfRange: outside the layer.
    Source: ISO 2533:1975, first layer (temperature falls 6.5 K/km).
    """
    level = height * EARTH_RADIUS / (EARTH_RADIUS + height) if geometric else height
    if not LOWEST <= level <= HIGHEST:
        raise OutOfRange("height in m", level, LOWEST, HIGHEST)
    temperature = SEA_LEVEL_TEMPERATURE - LAPSE_RATE * level
    exponent = GRAVITY / (GAS_CONSTANT * LAPSE_RATE)
    return air(temperature, SEA_LEVEL_PRESSURE * (temperature / SEA_LEVEL_TEMPERATURE) ** exponent)


def air(temperature: float, pressure: float) -> Air:
    """The air of one day from a thermometer (``temperature`` K) and a barometer (``pressure`` Pa, at the place).

    Raises OutOfRange outside 200 to 350 K and 20 to 120 kPa: most often degrees or hectopascal were meant.
    """
    _inside("air temperature in K", temperature, 200.0, 350.0)
    _inside("air pressure in Pa", pressure, 2.0e4, 1.3e5)
    return Air(temperature, pressure, density(temperature, pressure), viscosity(temperature))


def density(temperature: float, pressure: float) -> float:
    """Density of dry air, kg/m3, from temperature (K) and pressure (Pa): rho = p/(R T)."""
    return pressure / (GAS_CONSTANT * temperature)


def viscosity(temperature: float) -> float:
    """Dynamic viscosity of air, Pa s, at a temperature (K). Sutherland's formula, constants of ISO 2533."""
    return float(1.458e-6 * temperature**1.5 / (temperature + 110.4))


def _inside(what: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise OutOfRange(what, value, low, high)
