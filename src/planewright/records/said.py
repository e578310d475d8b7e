"""Quantities inside sentences: "36 N to 48 N at 60 km/h and 10 deg"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from planewright.errors import InputError
from planewright.units import Dimension, read
from planewright.units.reading import tidy, unit_of

SI: Mapping[Dimension, str] = {
    "length": "m", "mass": "kg", "areal mass": "kg/m2", "line mass": "kg/m", "density": "kg/m3", "angle": "rad",
    "time": "s", "speed": "m/s", "fraction": "1", "charge": "C", "speed constant": "rad/s/V", "resistance": "ohm",
    "torque": "N m", "force": "N", "voltage": "V", "current": "A", "power": "W", "temperature": "K",
    "pressure": "Pa", "area": "m2",
}  # fmt: skip
"""The SI unit, as Figures write it, of each dimension that ``units`` reads."""

MOST_WORDS = 8
_ONE = re.compile(r"([-+]?(?:[0-9]+ )?[0-9][0-9.]*(?:/[0-9]+)?)\s*([^0-9\s].*)?")
_TO = re.compile(r" (?:to|and) ")


@dataclass(frozen=True)
class Spoken:
    """A figure or a range that words begin with: ``low`` to ``high`` in ``unit`` (SI), and the ``rest`` of them."""

    low: float
    high: float
    unit: str
    dimension: Dimension
    rest: str


def spoken_quantity(words: str) -> Spoken | None:
    """The figure, or the range "A to B" (also "A and B"), with which ``words`` begin; None if with none.

    The longest beginning that is a quantity is taken, of at most eight words:
    ``"4.35 N m with the latch gap under 1 mm"`` is 4.35 N m.
    """
    parts = tidy(words[:200]).split(" ")
    for size in range(min(MOST_WORDS, len(parts)), 0, -1):
        head = " ".join(parts[:size])
        found = _range(head)
        if found is not None:
            low, high, dimension = found
            return Spoken(min(low, high), max(low, high), SI[dimension], dimension, " ".join(parts[size:]))
    return None


def _range(text: str) -> tuple[float, float, Dimension] | None:
    sides = _TO.split(text)
    if len(sides) > 2:
        return None
    last = _one(sides[-1], "")
    if last is None:
        return None
    value, dimension, unit = last
    if len(sides) == 1:
        return value, value, dimension
    first = _one(sides[0], unit)
    return (first[0], value, dimension) if first is not None and first[1] == dimension else None


def _one(text: str, unit: str) -> tuple[float, Dimension, str] | None:
    """(SI value, dimension, unit as written) of one quantity; ``unit`` serves a bare number."""
    hit = _ONE.fullmatch(text.strip())
    if hit is None:
        return None
    name = (hit[2] or unit).strip()
    known = unit_of(name.rstrip(",.;"))
    if known is None:
        return None
    try:
        return read(f"{hit[1]} {name.rstrip(',.;')}", known.dimension), known.dimension, name
    except InputError:
        return None


def length_before(words: str, what: str) -> float | None:
    """The length in m that stands in ``words`` just before the phrase ``what``: 1.8 of "a van 1.8 m wide"."""
    hit = re.search(rf"([0-9][0-9. /]*\s*[a-z\"']+)\s+{what}", tidy(words[:400]), re.IGNORECASE)
    found = None if hit is None else spoken_quantity(hit[1])
    return found.low if found is not None and found.dimension == "length" else None
