"""Quantities as people write them.

Factors are checked against NIST Special Publication 811 (2008), Appendix B.8, figures as printed there to seven
figures (quoted from memory); those that are exact by definition are checked exactly.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.errors import InputError
from planewright.units import (
    DIMENSIONS,
    UNITS,
    read,
    read_each_way,
    read_pair,
    read_phrase,
    read_slide,
    read_travel,
    show,
    show_range,
)
from planewright.units.reading import suggest, unit_of

DEG = math.pi / 180


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("1.2 m", "length", 1.2),
        ("48 in", "length", 1.2192),
        ('48"', "length", 1.2192),
        ("6'", "length", 1.8288),
        ("4 ft 6 1/2 in", "length", 1.3843),
        ("4'6\"", "length", 1.3716),
        ("6 1/2 in", "length", 0.1651),
        ("6½ in", "length", 0.1651),
        ("1/4 in", "length", 0.00635),
        ("1m20cm", "length", 1.2),
        (".5 m", "length", 0.5),
        ("5. mm", "length", 0.005),
        ("360mm", "length", 0.36),
        ("  360   MM ", "length", 0.36),
        ("+12 mm", "length", 0.012),
        ("−2.5 mm", "length", -0.0025),
        ("0", "length", 0.0),
        ("-0", "angle", 0.0),
        ("5 lb 4 oz", "mass", 2.3813599425),
        ("2 lb 9.66 oz", "mass", 1.18104113338750),
        ("3.42 oz", "mass", 0.0969553690875),
        ("1.66 kg", "mass", 1.66),
        ("12 deg", "angle", 12 * DEG),
        ("12°", "angle", 12 * DEG),
        ("-2 deg", "angle", -2 * DEG),
        ("25 %", "fraction", 0.25),
        ("25%", "fraction", 0.25),
        ("2 min 30 s", "time", 150.0),
        ("1 h 5 min", "time", 3900.0),
        ("4000 mAh", "charge", 14400.0),
        ("5 Ah", "charge", 18000.0),
        ("440 rpm/V", "speed constant", 440 * 2 * math.pi / 60),
        ("80 mohm", "resistance", 0.08),
        ("80 mΩ", "resistance", 0.08),
        ("5.0 kg cm", "torque", 0.4903325),
        ("5 kgcm", "torque", 0.4903325),
        ("0.5 N m", "torque", 0.5),
        ("2.1 g/m", "line mass", 0.0021),
        ("270 g/m2", "areal mass", 0.27),
        ("270 g/m²", "areal mass", 0.27),
        ("450 kg/m3", "density", 450.0),
        ("20 °C", "temperature", 293.15),
        ("68 F", "temperature", 293.15),
        ("-40 °F", "temperature", 233.15),
        ("293.15 K", "temperature", 293.15),
        ("1012 hPa", "pressure", 101200.0),
        ("36 km/h", "speed", 10.0),
        ("10 kn", "speed", 5.144444444444445),
        ("20 mph", "speed", 8.9408),
        ("1000 gf", "force", 9.80665),
        ("5 V", "voltage", 5.0),
        ("40 A", "current", 40.0),
    ],
)
def test_reads_as_written(text: str, dimension: str, value: float) -> None:
    assert read(text, dimension) == pytest.approx(value, rel=1e-9, abs=1e-12)  # type: ignore[arg-type]


def test_exact_fractions_are_rounded_once() -> None:
    assert read("48 in", "length") == 1.2192
    assert read("4 ft 6 1/2 in", "length") == 1.3843
    assert read("5 lb 4 oz", "mass") == 2.3813599425


@pytest.mark.parametrize(
    ("text", "dimension", "value", "figures"),
    [
        ("1 lbf", "force", 4.448222, 7),
        ("1 psi", "pressure", 6894.757, 7),
        ("1 oz/yd2", "areal mass", 0.03390575, 7),
        ("1 oz/ft2", "areal mass", 0.3051517, 7),
        ("1 lb/ft2", "areal mass", 4.882428, 7),
        ("1 lb/ft3", "density", 16.01846, 7),
        ("1 oz in", "torque", 0.007061552, 7),
        ("1 in lb", "torque", 0.1129848, 7),
        ("1 ft lb", "torque", 1.355818, 7),
        ("1 kn", "speed", 0.5144444, 7),
        ("1 mph", "speed", 0.44704, 5),
        ("1 oz", "mass", 0.02834952, 7),
        ("1 mile", "length", 1609.344, 7),
    ],
)
def test_factors_agree_with_the_published_table(
    text: str, dimension: str, value: float, figures: int
) -> None:
    assert float(f"{read(text, dimension):.{figures}g}") == value  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "dimension", "part"),
    [
        ("360", "length", 'Write "360 mm" (or "0.36 m", or "14.2 in").'),
        ("1.2", "length", 'Write "1.2 m"'),
        ("147", "mass", 'Write "147 g"'),
        ("1,2 m", "length", 'Write "1.2 m".'),
        ("1,200 mm", "length", '"1200 mm"'),
        ("20 x 30 in", "length", "two figures"),
        ("260 mm to 220 mm", "length", "two figures"),
        ("12 g", "length", '"g" measures a mass'),
        ("8 lb", "force", 'Did you mean "8 lbf"?'),
        ("80 Mohm", "resistance", "not a unit"),
        ("12 furlongs", "length", "not a unit"),
        ("9**9**9 m", "length", "not a unit"),
        ("0/0in", "length", "divides by nought"),
        ("", "length", "empty"),
        ("about a metre", "length", "not a number"),
        ("1e5 m", "length", "not a unit"),
        ("nan m", "length", "not a number"),
        ("inf", "length", "not a number"),
        ("10² m", "length", "not a unit"),
        ("4 in 6 ft", "length", "more than one figure"),
        ("4 in 6 in", "length", "more than one figure"),
        ("20 C 5 C", "temperature", "more than one figure"),
        ("0", "temperature", "no unit"),
        ("999999999999999999999999 km", "length", "beyond anything built"),
        ("9" * 200 + " m", "length", "too long"),
        ("1 2 m", "length", "no unit"),
    ],
)
def test_refuses_with_advice(text: str, dimension: str, part: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text, dimension)  # type: ignore[arg-type]
    assert part in caught.value.faults[0].text()


def test_two_figures() -> None:
    assert read_pair("20 x 30 in", "length") == (0.508, 0.762)
    assert read_pair("3x6mm", "length") == (0.003, 0.006)
    assert read_pair("20 in × 500 mm", "length") == (0.508, 0.5)
    assert read_slide("260 mm to 220 mm", "length") == (0.26, 0.22)
    assert read_slide("260 to 220 mm", "length") == (0.26, 0.22)
    assert read_phrase("150 mm apart", "length", "apart") == 0.15
    assert read_phrase("12 % of board", "fraction", "of board") == 0.12
    assert read_each_way("25 deg each way") == pytest.approx(25 * DEG)
    assert read_travel("18 deg up, 12 deg down") == pytest.approx((18 * DEG, 12 * DEG))
    assert read_travel("12° down and 18° up") == pytest.approx((18 * DEG, 12 * DEG))


@pytest.mark.parametrize(
    "text", ["18 deg", "18 deg up", "18 deg up, 12 deg up", "18 up, 12 down", "-4 deg each way", ""]
)
def test_a_travel_without_a_direction_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_travel(text)


@pytest.mark.parametrize("text", ["20 in", "20 x 30 x 40 in", "20 x 30", "x", "20 in x 3 kg"])
def test_a_pair_of_anything_else_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_pair(text, "length")


def test_no_spelling_is_claimed_twice() -> None:
    for unit in UNITS:
        for spelling in (unit.symbol, *unit.spellings):
            assert unit_of(spelling) is unit, spelling


def test_every_dimension_has_a_unit() -> None:
    assert all(DIMENSIONS.values())


def test_show() -> None:
    thin = "\u202f"
    assert show(0.3351, "m") == f"335{thin}mm"
    assert show(-0.004, "m") == f"\u22124{thin}mm"
    assert show(43.8, "m") == f"43.8{thin}m"
    assert show(2 * DEG, "rad") == "2.0°"
    assert show(150, "s") == f"2.5{thin}min"
    assert show(4.062, "kg") == f"4.06{thin}kg"
    assert show(0.498, "kg") == f"498{thin}g"
    assert show(0.137, "%") == f"13.7{thin}%"
    assert show(4.062, "kg", "imperial") == f"8.96{thin}lb"
    assert show(0.6, "1") == "0.60"
    assert show(12345.0, "W") == f"12{thin}345{thin}W"
    assert show(-1e-9, "m") == f"0{thin}mm"
    assert show(math.nan, "m") == "–"
    assert (
        show(0.08535, "m", decimals=1) == f"85.3{thin}mm" or show(0.08535, "m", decimals=1) == f"85.4{thin}mm"
    )
    assert show_range(8.2, 9.1, "m/s") == f"8.2 to 9.1{thin}m/s"
    assert show_range(-1 * DEG, 7 * DEG, "rad", decimals=0) == "\u22121° to 7°"


@settings(deadline=None)
@given(st.text(max_size=90), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_is_read_or_refused(text: str, dimension: str) -> None:
    try:
        value = read(text, dimension)  # type: ignore[arg-type]
    except InputError as error:
        assert len(error.faults) == 1 and error.faults[0].read
    else:
        assert math.isfinite(value)


_BITS = st.sampled_from(
    ["1", "0", "22.5", "/", " ", "-", "m", "mm", "in", "ft", "kg", "g", "x", "to", ",", ".", "°", "C", "deg",
     "up", "down", "each way", "²", "½", "%", "of board", "apart", "N", "V", '"', "'", "e9"]
)  # fmt: skip


@settings(deadline=None)
@given(st.lists(_BITS, max_size=12).map("".join) | st.lists(_BITS, max_size=12).map(" ".join))
def test_texts_made_of_likely_pieces_are_read_or_refused(text: str) -> None:
    for reader in (
        lambda t: (read(t, "length"),),
        lambda t: (read(t, "temperature"),),
        lambda t: read_pair(t, "length"),
        lambda t: read_slide(t, "mass"),
        read_travel,
        lambda t: (read_phrase(t, "fraction", "of board"),),
    ):
        try:
            values = reader(text)
        except InputError:
            continue
        assert all(math.isfinite(value) for value in values)


@settings(deadline=None)
@given(
    st.integers(0, 10**6),
    st.integers(0, 3),
    st.sampled_from([u for u in UNITS if not u.turns and not u.offset]),
)
def test_what_is_written_comes_back(number: int, places: int, unit) -> None:  # type: ignore[no-untyped-def]
    exact = Fraction(number, 10**places)
    text = f"{number / 10**places:.{places}f} {unit.symbol}"
    if float(exact * unit.factor) <= 1e12:
        assert read(text, unit.dimension) == float(exact * unit.factor)
        assert read("-" + text, unit.dimension) == -float(exact * unit.factor)


@settings(deadline=None)
@given(st.integers(1, 99), st.integers(0, 11), st.integers(0, 15))
def test_feet_inches_and_sixteenths_add_exactly(feet: int, inches: int, sixteenths: int) -> None:
    text = f"{feet} ft {inches} {sixteenths}/16 in"
    assert read(text, "length") == float((12 * feet + inches + Fraction(sixteenths, 16)) * Fraction("0.0254"))


@settings(deadline=None)
@given(st.floats(-1e9, 1e9), st.sampled_from(["m", "kg", "m/s", "N", "rad", "s", "1", "K", "something"]))
def test_show_never_fails(value: float, unit: str) -> None:
    for system in ("metric", "imperial"):
        assert show(value, unit, system)  # type: ignore[arg-type]


@settings(deadline=None)
@given(st.decimals(min_value="0.01", max_value="9999", places=2), st.sampled_from(sorted(DIMENSIONS)))
def test_advice_is_itself_read_and_says_one_thing(number: Decimal, dimension: str) -> None:
    texts = re.findall(r'"([^"]+)"', suggest(Fraction(number), dimension))  # type: ignore[arg-type]
    values = [read(text, dimension) for text in texts]  # type: ignore[arg-type]
    assert values and values == pytest.approx([values[0]] * len(values), rel=0.006)
