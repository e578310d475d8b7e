"""Small files a description points to: section points and measured propeller tables."""

from __future__ import annotations

import csv
import io
import math
from itertools import pairwise
from pathlib import Path

from planewright.errors import Fault, InputError
from planewright.files import read_text
from planewright.plane.model import Section

MOST_POINTS = 1000


def _refuse(file: str, line: int, read: str, expected: str, advice: str) -> InputError:
    return InputError([Fault(file, line, "", read, expected, advice)])


def _inside(folder: Path | None, name: str) -> Path:
    path = Path(name)
    if folder is None or path.is_absolute() or ".." in path.parts:
        raise _refuse(
            name[:60],
            0,
            "it is not in the project folder.",
            "Files lie in the project folder.",
            "Put it there and name it.",
        )
    return folder / path


def read_numbers(folder: Path | None, name: str, columns: int) -> tuple[tuple[float, ...], ...]:
    """Rows of finite numbers from a comma-separated file; one line of heads may come first.

    Raises InputError naming the line of the first row that is not ``columns`` numbers.
    """
    text = read_text(_inside(folder, name), 500_000)
    rows: list[tuple[float, ...]] = []
    for number, fields in enumerate(csv.reader(io.StringIO(text)), start=1):
        if not fields or fields[0].lstrip().startswith("#"):
            continue
        try:
            row = tuple(float(field) for field in fields)
        except ValueError:
            row = ()
        if len(row) != columns or not all(math.isfinite(one) for one in row):
            if not rows and not row:
                continue
            raise _refuse(
                name, number, f"line {number} is not {columns} numbers.", "", "Write that line again."
            )
        rows.append(row)
        if len(rows) > MOST_POINTS:
            raise _refuse(name, number, f"it has more than {MOST_POINTS} rows.", "", "Thin it out.")
    return tuple(rows)


def read_section_points(folder: Path | None, name: str) -> Section:
    """Points of a section, chord 1, from the trailing edge over the top to the nose and back along the bottom.

    Raises InputError if there are fewer than 9, or they do not run from x near 1 to x near 0 and back.
    """
    rows = read_numbers(folder, name, 2)
    points = tuple((row[0], row[1]) for row in rows)
    xs = [x for x, _ in points]
    if len(points) < 9:
        raise _refuse(name, 0, f"it has {len(points)} points.", "A section has at least 9.", "Add points.")
    if not (abs(xs[0] - 1) < 0.05 and abs(xs[-1] - 1) < 0.05 and abs(min(xs)) < 0.05 and max(xs) < 1.05):
        raise _refuse(
            name, 0, "its points do not run from x = 1 to x = 0 and back to x = 1.",
            "The chord is 1; the points start at the trailing edge, go over the top to the nose and back below.",
            "Put them in that order.",
        )  # fmt: skip
    return Section("file", Path(name).stem, points)


PROPELLER_COLUMNS = (
    ("advance_ratio", "V/(n D)", 0.0, 4.0),
    ("thrust_coefficient", "T/(rho n2 D4)", -0.4, 0.4),
    ("power_coefficient", "P/(rho n3 D5)", -0.4, 0.6),
)
"""Columns of a propeller's table, what they are (n in turns a second), and between what they lie."""
WIDEST_GAP = 0.5


def read_propeller_table(folder: Path | None, name: str) -> tuple[tuple[float, float, float], ...]:
    """Rows (advance ratio, thrust coefficient, power coefficient), advance ratio rising from 0 or more.

    Raises InputError if there are fewer than two rows, they do not rise, leave a gap of more than 0.5, or a number
    cannot be a coefficient (other columns, or newtons and watts instead).
    """
    rows = read_numbers(folder, name, 3)
    table = tuple((row[0], row[1], row[2]) for row in rows)
    rising = all(a[0] < b[0] for a, b in pairwise(table))
    if len(table) < 2 or not rising or table[0][0] < 0:
        raise _refuse(
            name, 0, "its rows do not run with the advance ratio rising from nought.",
            "Three columns: advance_ratio, thrust_coefficient, power_coefficient.", "Put them in order.",
        )  # fmt: skip
    _believed(name, table)
    return table


def _believed(name: str, table: tuple[tuple[float, float, float], ...]) -> None:
    for number, row in enumerate(table, start=1):
        for value, (column, words, low, high) in zip(row, PROPELLER_COLUMNS, strict=True):
            if not low <= value <= high:
                raise _refuse(
                    name, 0, f"row {number} has {value:g} for {column}.",
                    f"{column} = {words}, n in turns a second, lies between {low:g} and {high:g}.",
                    "Three columns without units: advance_ratio, thrust_coefficient, power_coefficient.",
                )  # fmt: skip
    for one, two in pairwise(table):
        if two[0] - one[0] > WIDEST_GAP:
            raise _refuse(
                name, 0, f"it has no row between advance ratio {one[0]:g} and {two[0]:g}.",
                f"Rows stand at most {WIDEST_GAP:g} apart.", "Measure between them, or end the table before the gap.",
            )  # fmt: skip
