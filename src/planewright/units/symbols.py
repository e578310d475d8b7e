"""The table of units: every spelling that is read, with its exact factor to SI.

Sources: the SI units are those of the SI Brochure (BIPM, 9th edition, 2019); the yard (0.9144 m), the pound
(0.453 592 37 kg) and what follows from them are exact by the international yard and pound agreement of 1959,
as in NIST Special Publication 811 (2008), Appendix B; standard gravity 9.806 65 m/s2 is that of the 3rd CGPM
(1901). All from memory except where arithmetic gives them; the round numbers are tested against each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import pi
from typing import Literal

Dimension = Literal[
    "length", "mass", "areal mass", "line mass", "density", "angle", "time", "speed", "fraction", "charge",
    "speed constant", "resistance", "torque", "force", "voltage", "current", "power", "temperature", "pressure",
    "area",
]  # fmt: skip


@dataclass(frozen=True)
class Unit:
    """One unit of one dimension.

    Arguments:
        symbol: how it is written in advice, such as ``"g/m2"``.
        dimension: what it measures.
        factor: exact factor to SI (of the angle units: to whole turns; of rpm/V: to turns per second and volt).
        spellings: further ways to write it that are read.
        offset: added after the factor (temperatures only), in SI.
        turns: True if the SI value is the factor times two pi (angles).
    """

    symbol: str
    dimension: Dimension
    factor: Fraction
    spellings: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)
    turns: bool = False

    def to_si(self, number: Fraction) -> float:
        """The number in SI, rounded once (angles: once more by the factor two pi). Raises OverflowError."""
        exact = number * self.factor + self.offset
        return float(exact) * (2 * pi) if self.turns else float(exact)


def _f(text: str) -> Fraction:
    return Fraction(text)


G = _f("9.80665")
INCH, FOOT, YARD, MILE = _f("0.0254"), _f("0.3048"), _f("0.9144"), _f("1609.344")
POUND = _f("0.45359237")
OUNCE = POUND / 16

UNITS: tuple[Unit, ...] = (
    Unit("mm", "length", _f("0.001"), ("millimetre", "millimetres", "millimeter", "millimeters")),
    Unit("cm", "length", _f("0.01"), ("centimetre", "centimetres", "centimeter", "centimeters")),
    Unit("m", "length", _f("1"), ("metre", "metres", "meter", "meters")),
    Unit("km", "length", _f("1000")),
    Unit("in", "length", INCH, ('"', "″", "''", "inch", "inches")),
    Unit("ft", "length", FOOT, ("'", "′", "foot", "feet")),
    Unit("yd", "length", YARD, ("yard", "yards")),
    Unit("mile", "length", MILE, ("miles",)),
    Unit("mg", "mass", _f("0.000001")),
    Unit("g", "mass", _f("0.001"), ("gram", "grams", "gramme", "grammes", "gr")),
    Unit("kg", "mass", _f("1"), ("kilo", "kilos", "kilogram", "kilograms")),
    Unit("oz", "mass", OUNCE, ("ounce", "ounces")),
    Unit("lb", "mass", POUND, ("lbs", "pound", "pounds")),
    Unit("g/m2", "areal mass", _f("0.001"), ("g/m^2", "gsm")),
    Unit("kg/m2", "areal mass", _f("1"), ("kg/m^2",)),
    Unit("g/dm2", "areal mass", _f("0.1"), ("g/dm^2",)),
    Unit("oz/yd2", "areal mass", OUNCE / YARD**2, ("oz/yd^2", "oz/sq yd")),
    Unit("oz/ft2", "areal mass", OUNCE / FOOT**2, ("oz/ft^2", "oz/sq ft")),
    Unit("lb/ft2", "areal mass", POUND / FOOT**2, ("lb/ft^2", "lb/sq ft")),
    Unit("g/m", "line mass", _f("0.001")),
    Unit("kg/m", "line mass", _f("1")),
    Unit("oz/yd", "line mass", OUNCE / YARD),
    Unit("oz/ft", "line mass", OUNCE / FOOT),
    Unit("kg/m3", "density", _f("1"), ("kg/m^3",)),
    Unit("g/cm3", "density", _f("1000"), ("g/cm^3", "g/cc")),
    Unit("lb/ft3", "density", POUND / FOOT**3, ("lb/ft^3", "lb/cu ft")),
    Unit("deg", "angle", Fraction(1, 360), ("°", "degree", "degrees"), turns=True),
    Unit("rad", "angle", _f("1"), ("radian", "radians")),
    Unit("s", "time", _f("1"), ("sec", "second", "seconds")),
    Unit("min", "time", _f("60"), ("minute", "minutes")),
    Unit("h", "time", _f("3600"), ("hour", "hours", "hr")),
    Unit("ms", "time", _f("0.001")),
    Unit("m/s", "speed", _f("1"), ("mps",)),
    Unit("km/h", "speed", Fraction(5, 18), ("kmh", "kph", "kmph")),
    Unit("mph", "speed", MILE / 3600),
    Unit("kn", "speed", Fraction(1852, 3600), ("kt", "kts", "knot", "knots")),
    Unit("ft/s", "speed", FOOT, ("fps",)),
    Unit("%", "fraction", _f("0.01"), ("percent", "per cent")),
    Unit("mAh", "charge", _f("3.6")),
    Unit("Ah", "charge", _f("3600")),
    Unit("rpm/V", "speed constant", Fraction(1, 60), ("rpm per V", "r/min/V"), turns=True),
    Unit("rad/s/V", "speed constant", _f("1")),
    Unit("mohm", "resistance", _f("0.001"), ("mΩ", "milliohm", "milliohms")),
    Unit("ohm", "resistance", _f("1"), ("Ω", "ohms")),
    Unit("kg cm", "torque", G / 100, ("kgf cm", "kg·cm", "kg*cm", "kg-cm", "kgf-cm")),
    Unit("g cm", "torque", G / 100000, ("gf cm",)),
    Unit("N m", "torque", _f("1"), ("N·m", "N*m", "Nm")),
    Unit("N cm", "torque", _f("0.01"), ("N·cm", "Ncm")),
    Unit("N mm", "torque", _f("0.001"), ("N·mm", "Nmm")),
    Unit("oz in", "torque", OUNCE * G * INCH, ("oz·in", "oz-in", "ozf in")),
    Unit("in lb", "torque", POUND * G * INCH, ("in·lb", "in-lb", "lb in")),
    Unit("ft lb", "torque", POUND * G * FOOT, ("ft·lb", "ft-lb", "lb ft")),
    Unit("N", "force", _f("1"), ("newton", "newtons")),
    Unit("mN", "force", _f("0.001")),
    Unit("kN", "force", _f("1000")),
    Unit("gf", "force", G / 1000),
    Unit("kgf", "force", G),
    Unit("ozf", "force", OUNCE * G),
    Unit("lbf", "force", POUND * G),
    Unit("V", "voltage", _f("1"), ("volt", "volts")),
    Unit("mV", "voltage", _f("0.001")),
    Unit("A", "current", _f("1"), ("amp", "amps", "ampere", "amperes")),
    Unit("mA", "current", _f("0.001")),
    Unit("W", "power", _f("1"), ("watt", "watts")),
    Unit("kW", "power", _f("1000")),
    Unit("C", "temperature", _f("1"), ("°C", "℃", "degC", "deg C", "celsius"), _f("273.15")),
    Unit("F", "temperature", Fraction(5, 9), ("°F", "℉", "degF", "deg F"), _f("273.15") - Fraction(160, 9)),
    Unit("K", "temperature", _f("1"), ("kelvin",)),
    Unit("hPa", "pressure", _f("100"), ("mbar", "mb")),
    Unit("Pa", "pressure", _f("1")),
    Unit("kPa", "pressure", _f("1000")),
    Unit("MPa", "pressure", _f("1000000"), ("N/mm2",)),
    Unit("GPa", "pressure", _f("1000000000")),
    Unit("psi", "pressure", POUND * G / INCH**2),
    Unit("bar", "pressure", _f("100000")),
    Unit("mm2", "area", _f("0.000001"), ("mm^2",)),
    Unit("cm2", "area", _f("0.0001"), ("cm^2",)),
    Unit("dm2", "area", _f("0.01"), ("dm^2",)),
    Unit("m2", "area", _f("1"), ("m^2",)),
    Unit("in2", "area", INCH**2, ("sq in", "in^2")),
    Unit("ft2", "area", FOOT**2, ("sq ft", "ft^2")),
)

_EXAMPLES: dict[Dimension, tuple[str, ...]] = {
    "length": ("mm", "m", "in"),
    "mass": ("g", "kg", "oz"),
    "areal mass": ("g/m2", "kg/m2", "oz/yd2"),
    "line mass": ("g/m", "oz/yd"),
    "density": ("kg/m3", "lb/ft3"),
    "angle": ("deg", "rad"),
    "time": ("s", "min"),
    "speed": ("m/s", "km/h", "mph"),
    "fraction": ("%",),
    "charge": ("mAh", "Ah"),
    "speed constant": ("rpm/V",),
    "resistance": ("mohm", "ohm"),
    "torque": ("kg cm", "N m", "oz in"),
    "force": ("N", "gf", "lbf"),
    "voltage": ("V",),
    "current": ("A",),
    "power": ("W",),
    "temperature": ("C", "F", "K"),
    "pressure": ("hPa", "Pa"),
    "area": ("cm2", "m2"),
}
DIMENSIONS: dict[Dimension, tuple[Unit, ...]] = {
    dimension: tuple(
        sorted(
            (unit for unit in UNITS if unit.dimension == dimension),
            key=lambda unit, order=order: order.index(unit.symbol) if unit.symbol in order else len(order),  # type: ignore[misc]
        )
    )
    for dimension, order in _EXAMPLES.items()
}
"""All units of each dimension, those a builder meets first in front (advice uses the first three)."""

EXAMPLES = _EXAMPLES
NOUN: dict[Dimension, str] = {
    "areal mass": "mass per area",
    "line mass": "mass per length",
    "speed constant": "motor speed per volt",
    "fraction": "percentage",
    "charge": "charge of a battery",
}


def noun(dimension: Dimension) -> str:
    """What a dimension is called in advice, with its article: "a length", "an angle"."""
    word = NOUN.get(dimension, dimension)
    return f"an {word}" if word[0] in "aeio" else f"a {word}"
