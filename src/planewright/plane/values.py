"""Reading one value of a description by the kind its key has; whatever cannot be read is an InputError."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

from planewright.errors import InputError
from planewright.plane.model import Claim, Section
from planewright.plane.names import canonical, listed, nearest
from planewright.plane.schema import SAMPLES, SECTIONS, Key
from planewright.units import Dimension, misread, read, read_pair, read_phrase, read_travel, suggest
from planewright.units.pairs import read_one_or_slide
from planewright.units.reading import quoted
from planewright.units.symbols import noun

MOST_TEXT = 200
MOST_LISTED = 200


def shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and abs(value) > 10**15:
        return "a huge number"
    return str(value)


def wanted(key: Key) -> str:
    if key.dimension is None or key.kind in ("travel", "pair"):
        return _ASKED.get(key.kind, "Something else is wanted here.")
    return f"{'An' if key.word[0] in 'aeio' else 'A'} {key.word} is {noun(key.dimension)}."


_ASKED: dict[str, str] = {
    "text": "A text in quotation marks is wanted.",
    "steering": "A text in quotation marks is wanted.",
    "count": "A count is a whole number without a unit.",
    "number": "A number without a unit is wanted.",
    "choice": "One of the words below is wanted.",
    "name": "A name in quotation marks is wanted.",
    "pair": "Two figures of one kind are wanted, in quotation marks.",
    "travel": "A travel is an angle with its direction.",
    "section": 'A section is a name in quotation marks, or { file = "mine.csv" }.',
    "claim": "A claim is a text with its figures.",
    "fractions": "A list of percentages is wanted.",
    "table": "A table is wanted.",
    "list": "A list of tables is wanted.",
    "named": "A table of names is wanted.",
    "file": "The name of a file is wanted.",
}
_SAMPLES: dict[str, str] = {
    "length": "360 mm", "mass": "147 g", "angle": "2 deg", "fraction": "25 %", "speed": "12.5 m/s", "time": "3 min",
    "charge": "4000 mAh", "speed constant": "440 rpm/V", "resistance": "80 mohm", "torque": "5 kg cm",
    "voltage": "5 V", "current": "40 A",
}  # fmt: skip
_EXAMPLES: dict[str, str] = {
    "ends": "260 mm to 220 mm", "pair": "20 x 30 in", "travel": "18 deg up, 12 deg down", "apart": "150 mm apart",
    "share": "12 % of board", "text": "tape", "name": "board", "section": "Clark Y", "file": "mine.csv",
    "claim": "20 N at 24 V and 48 A", "mass of stock": "147 g",
}  # fmt: skip


def example(key: Key) -> str:
    """A value for the key as it might be written."""
    if key.choices:
        return f'"{key.choices[0]}"'
    if key.kind in ("count", "number"):
        return key.default or SAMPLES.get(key.name, "2")
    sample = key.sample or (SAMPLES.get(key.name, "") if key.kind in ("quantity", "apart") else "")
    if sample:
        return f'"{sample}"'
    if key.kind in _EXAMPLES:
        return f'"{_EXAMPLES[key.kind]}"'
    if key.kind == "fractions":
        return '["10 %", "40 %"]'
    return f'"{_SAMPLES.get(key.dimension, "...")}"' if key.dimension else "{ ... }"


def _refuse(key: Key, value: object, why: str = "") -> InputError:
    return misread(f"reads {shown(value)}{why}.", wanted(key), f"Write {key.name} = {example(key)}.")


def _finite_number(key: Key, value: object) -> float:
    if not isinstance(value, int | float) or value is True or value is False:
        raise _refuse(key, value)
    if isinstance(value, float) and not math.isfinite(value):
        raise _refuse(key, value, ", which is not a number anything can measure")
    if abs(value) > 1e12:
        raise _refuse(key, value, ", which is beyond anything built")
    return float(value)


def _text_of(key: Key, value: object) -> str:
    """The text of a quantity; a bare number is a missing unit, except nought."""
    if isinstance(value, str):
        return value
    number = _finite_number(key, value)
    if number == 0:
        return "0"
    if key.dimension is None:
        raise _refuse(key, value)
    raise misread(
        f'reads "{value}", which has no unit.', wanted(key), suggest(Fraction(str(value)), key.dimension)
    )


_MOST: dict[str, float] = {
    "length": 100.0, "mass": 1000.0, "speed": 340.0, "time": 1e5, "angle": math.pi / 2, "charge": 4e6,
    "speed constant": 1e4, "resistance": 1e3, "torque": 1e4, "force": 1e5, "voltage": 1e3, "current": 1e4,
    "areal mass": 1e3, "line mass": 1e3,
}  # fmt: skip
"""Beyond these (SI) a figure is a slip of the pen. Generous: what is merely unusual is asked about later."""
_LEAST = 1e-6
"""Below this (SI) a figure that must be more than nought is a slip of the pen too: no sheet is a micrometre thick."""


def _bounds(key: Key, value: float, text: str) -> float:
    if abs(value) > _MOST.get(key.dimension or "", math.inf) * (1 + 1e-9):
        raise misread(
            f"reads {quoted(text)}, which is beyond anything built.", wanted(key), "Write the number again."
        )
    if key.sign == "positive" and 0 < value < _LEAST:
        raise misread(
            f"reads {quoted(text)}, which is smaller than anything built.",
            wanted(key),
            "Write the number again.",
        )
    if key.sign == "positive" and value <= 0:
        size = "nought" if value == 0 else "negative"
        raise misread(
            f"reads {quoted(text)}, which is {size}.",
            f"{wanted(key)} It is more than nought.",
            "Measure it again.",
        )
    if key.sign == "not negative" and value < 0:
        raise misread(
            f"reads {quoted(text)}, which is negative.",
            wanted(key),
            f'Did you mean "{text.strip().lstrip("-−–").strip()}"?',
        )
    if key.most is not None and value > key.most:
        limit = {"fraction": f"over {100 * key.most:g} %", "angle": "beyond a steep bank"}.get(
            key.dimension or "", f"over {key.most:g}"
        )
        raise misread(f"reads {quoted(text)}, which is {limit}.", wanted(key), "Write the number again.")
    return value


def _quantity(key: Key, value: object) -> float:
    text = _text_of(key, value)
    assert key.dimension is not None
    return _bounds(key, read(text, key.dimension, key.word), text)


def _ends(key: Key, value: object) -> tuple[float, float]:
    text = _text_of(key, value)
    assert key.dimension is not None
    first, second = read_one_or_slide(text, key.dimension, key.word)
    return _bounds(key, first, text), _bounds(key, second, text)


def _pair(key: Key, value: object) -> tuple[float, float]:
    text = _text_of(key, value)
    assert key.dimension is not None
    first, second = read_pair(text, key.dimension, key.word)
    return _bounds(key, first, text), _bounds(key, second, text)


def _travel(key: Key, value: object) -> tuple[float, float]:
    text = value if isinstance(value, str) else f"{_finite_number(key, value):g}"
    up, down = read_travel(text)
    return _bounds(key, up, text), _bounds(key, down, text)


def _apart(key: Key, value: object) -> float:
    text = _text_of(key, value)
    assert key.dimension is not None
    return _bounds(key, read_phrase(text, key.dimension, "apart", "pitch"), text)


def _share(key: Key, value: object) -> float:
    text = _text_of(key, value)
    return _bounds(key, read_phrase(text, "fraction", "of board", key.word), text)


def _mass_of_stock(key: Key, value: object) -> tuple[str, float]:
    """(dimension, SI value): a mass, a mass per length, or a mass per area."""
    mass = replace(key, dimension="mass", noun="mass", sign="positive")
    text = _text_of(mass, value)
    others: tuple[Dimension, ...] = ("line mass", "areal mass")
    for dimension in others:
        try:
            return dimension, _bounds(mass, read(text, dimension, "mass"), text)
        except InputError:
            continue
    return "mass", _bounds(mass, read(text, "mass", "mass"), text)


def _text(key: Key, value: object) -> str:
    if not isinstance(value, str):
        raise _refuse(key, value)
    if not value.strip():
        raise _refuse(key, value, ", which is empty")
    if len(value) > MOST_TEXT:
        raise _refuse(key, value, f", which is longer than {MOST_TEXT} letters")
    return value.strip()


def _steering(key: Key, value: object) -> str:
    """Words ("with rudder"), or a travel, which must then be one."""
    text = _text(key, value)
    if text[0].isdigit():
        read_travel(text)
    return text


def _name(key: Key, value: object) -> str:
    return canonical(_text(key, value))


def _choice(key: Key, value: object) -> str:
    word = _text(key, value)
    for one in key.choices:
        if canonical(one) == canonical(word):
            return one
    near = nearest(word, key.choices)
    raise misread(
        f"reads {quoted(word)}.",
        f"The words for it are: {listed(key.choices)}.",
        f'Did you mean "{near}"?' if near else "Write one of these.",
    )


def _count(key: Key, value: object) -> int:
    number = _finite_number(key, value)
    if number != int(number):
        raise _refuse(key, value)
    if not 1 <= number <= 10_000:
        raise _refuse(
            key, value, ", which is no count of things" if number < 1 else ", which is beyond anything built"
        )
    return int(number)


def _number(key: Key, value: object) -> float:
    return _bounds(key, _finite_number(key, value), str(value))


_NACA = re.compile(r"naca[\s_-]*([0-9]+)", re.IGNORECASE)


def _section(key: Key, value: object) -> Section | str:
    """A Section, or the name of a file of points (read by the builder, who knows the folder)."""
    if isinstance(value, dict):
        if set(map(canonical, value)) != {"file"} or not isinstance(next(iter(value.values())), str):
            raise _refuse(key, value)
        return str(next(iter(value.values())))
    word = _text(key, value)
    if canonical(word) == "flat":
        return Section("flat", "flat")
    if hit := _NACA.fullmatch(word):
        return _naca(word, hit[1])
    for one in SECTIONS:
        if canonical(one) == canonical(word):
            return Section("named", one)
    near = nearest(word, (*SECTIONS, "flat", "NACA"))
    raise misread(
        f"names {quoted(word)}. There is no section of that name here.",
        f'Sections are: {listed(SECTIONS)}, "NACA" and four figures, "flat", or {{ file = "mine.csv" }}.',
        f'Did you mean "{near}"?' if near else "Write one of these.",
    )


def _naca(word: str, figures: str) -> Section:
    expected = '"NACA" and four figures: camber and its place in parts of the chord, then the thickness in hundredths.'
    if len(figures) != 4:
        raise misread(
            f"reads {quoted(word)}, which has {len(figures)} figures.",
            expected,
            'Write for example "NACA 2415".',
        )
    camber, place, thickness = int(figures[0]), int(figures[1]), int(figures[2:])
    if thickness == 0 or (camber > 0) != (place > 0):
        raise misread(
            f"reads {quoted(word)}, which is no section.", expected, 'Write for example "NACA 2415".'
        )
    return Section("naca", f"NACA {figures}")


_CLAIMED: tuple[tuple[str, Dimension], ...] = (("volts", "voltage"), ("amps", "current"), ("thrust", "force"))
_CLAIM = re.compile(r"(.+?)(?:\s+at\s+(.+?))?(?:\s+and\s+(.+))?", re.IGNORECASE)


def _claim(key: Key, value: object) -> Claim:
    text = _text(key, value)
    hit = _CLAIM.fullmatch(text)
    assert hit is not None
    found: dict[str, float] = {}
    for part in hit.groups():
        if part is None:
            continue
        for name, dimension in _CLAIMED:
            try:
                found[name] = _bounds(
                    replace(key, sign="positive", dimension=dimension), read(part, dimension), part
                )
                break
            except InputError:
                continue
        else:
            sample = 'Write for example "20 N at 24 V and 48 A".'
            raise misread(f"reads {quoted(text)}.", _ASKED["claim"], sample)
    return Claim(text=text, **found)


def _fractions(key: Key, value: object) -> tuple[float, ...]:
    if not isinstance(value, list) or len(value) > MOST_LISTED:
        raise _refuse(key, value)
    return tuple(_quantity(replace(key, noun="fold"), one) for one in value)


READ: dict[str, Callable[[Key, object], Any]] = {
    "text": _text, "count": _count, "number": _number, "choice": _choice, "name": _name, "quantity": _quantity,
    "ends": _ends, "pair": _pair, "travel": _travel, "apart": _apart, "share": _share, "fractions": _fractions,
    "mass of stock": _mass_of_stock, "section": _section, "claim": _claim, "file": _text, "steering": _steering,
}  # fmt: skip
