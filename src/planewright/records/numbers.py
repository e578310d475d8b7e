"""Columns of a raw table as numbers in SI."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from planewright.errors import Fault, InputError
from planewright.records.model import Table
from planewright.text.names import meant
from planewright.text.tables import parse_number, plain_numbers
from planewright.units import Dimension
from planewright.units.reading import unit_of
from planewright.units.symbols import Unit

_OWN = {
    "pct": Unit("%", "fraction", Fraction(1, 100)),
    "mps": Unit("m/s", "speed", Fraction(1)),
    "rpm": Unit("rpm", "speed constant", Fraction(1, 60), turns=True),
}
_WHOLE_HEAD = {
    "second": "s", "seconds": "s", "minute": "min", "minutes": "min", "hour": "h", "hours": "h", "volt": "V",
    "volts": "V", "amp": "A", "amps": "A", "watts": "W",
}  # fmt: skip
COUNTS = ("run", "step", "repeat", "row", "number", "count", "swing", "swings")
WORDS = ("note", "notes", "heading", "direction", "says", "who", "mode", "way")


def unit_of_head(head: str) -> Unit | None:
    """The unit a head carries after its last underscore (``front_N``, ``speed_kmh``), or as a whole (``volts``).

    Underscore-s is seconds, ``pct`` per cent, ``mps`` metres a second, ``rpm`` turns a minute (read as rad/s).
    None if it carries none.
    """
    whole = _WHOLE_HEAD.get(head.strip().lower())
    if whole is not None:
        return unit_of(whole)
    name = head.rpartition("_")[2] if "_" in head else ""
    return _OWN.get(name.lower()) or (unit_of(name) if name else None)


def dimension_of_head(head: str) -> Dimension | None:
    """What a column measures, by the unit of its head; None for a bare number or words."""
    unit = unit_of_head(head)
    return None if unit is None else unit.dimension


def numbers(table: Table, column: str) -> NDArray[np.float64]:
    """A column as SI numbers, shape (rows,), nan where there was no reading or no number.

    ``g`` becomes kg, ``mm`` m, ``kmh`` m/s, ``deg`` rad, ``pct`` a fraction, ``minute`` s; a head without a unit
    gives the bare numbers. Raises InputError if there is no such column.
    """
    if column not in table.columns:
        raise InputError([no_column(table, column)])
    unit = unit_of_head(column)
    cells = table.columns[column]
    plain = plain_numbers(tuple(cells))
    if plain is None:
        separator = ";" if _commas(table, column) else ","
        found = [parse_number(cell, separator)[0] if cell else None for cell in cells]
        plain = tuple(math.nan if one is None else one for one in found)
    values = np.array(plain, dtype=np.float64)
    return values if unit is None else _to_si(values, unit)


def _to_si(values: NDArray[np.float64], unit: Unit) -> NDArray[np.float64]:
    """By numerator and denominator, so that 372 mm is the float nearest to 0.372 m."""
    scaled = values * float(unit.factor.numerator) / float(unit.factor.denominator)
    return scaled * (2 * math.pi if unit.turns else 1.0) + float(unit.offset)


def _commas(table: Table, column: str) -> bool:
    """True if the column writes decimal commas throughout, so that "1,250" is one and a quarter."""
    written = " ".join(table.columns[column])
    return "," in written and "." not in written


def no_column(table: Table, column: str) -> Fault:
    """The fault that names a column the table does not have."""
    expected, advice = meant(column, table.columns, "The columns are")
    return Fault(table.file, 1, f'column "{column}"', "is not there.", expected, advice)
