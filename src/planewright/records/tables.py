"""Reading one raw CSV of a trial: as logged, checked cell by cell, never changed."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path

from planewright.errors import Fault
from planewright.records.model import Table
from planewright.records.numbers import COUNTS, WORDS, dimension_of_head, unit_of_head
from planewright.text.reader import shown
from planewright.text.tables import RawTable, parse_number, plain_numbers, read_table, shortened

MOSTLY = 0.8
"""A column without unit is one of numbers if at least this share of its cells are numbers."""


def read_raw(path: Path, file: str) -> tuple[Table | None, tuple[Fault, ...]]:
    """Read a raw CSV.

    Arguments:
        path: the file.
        file: the name that faults shall carry, such as ``trials/2026-04-18-bend/readings.csv``.

    Returns:
        The table with its cells as written, or None if the file is missing, empty or no text; and all faults:
        wrong number of fields, text in a column of numbers, per cents beyond 0 to 100, time running backward.
    """
    raw, faults = read_table(path, file)
    if raw is None:
        return None, faults
    if not raw.rows:
        advice = "Add the rows as logged, or take [readings] out of trial.toml if it was not run."
        return None, (
            *faults,
            Fault(file, 0, "", "has heads and no rows.", "A trial that was run has rows.", advice),
        )
    found = [*faults]
    for head in raw.head:
        found += column_faults(raw, head)
    columns = {head: raw.column(head) for head in raw.head if head}
    ordered = sorted(found, key=lambda one: one.line)
    return Table(file, columns, raw.lines, raw.digest), tuple(shortened(ordered, file))


def is_numeric(raw: RawTable, head: str) -> bool:
    """True for a column of numbers: by its unit, by a name that counts, or because nearly all its cells are."""
    name = head.strip().lower()
    if unit_of_head(head) is not None or name in COUNTS:
        return True
    cells = raw.column(head)
    if name in WORDS or not any(cells):
        return False
    if plain_numbers(cells) is not None:
        return True
    filled = [cell for cell in cells if cell]
    good = sum(parse_number(cell, raw.separator)[0] is not None for cell in filled)
    return good >= MOSTLY * len(filled)


def column_faults(raw: RawTable, head: str) -> list[Fault]:
    """The faults of one column, in row order."""
    if not head or not is_numeric(raw, head):
        return []
    faults: list[Fault] = []
    values: list[tuple[int, float]] = []
    plain = plain_numbers(raw.column(head))
    if plain is not None:
        if not head.lower().endswith("_pct") and not (dimension_of_head(head) == "time" and is_clock(head)):
            return []
        values = [(line, value) for line, value in zip(raw.lines, plain, strict=True) if value == value]
        return _order_faults(raw, head, values) + _share_faults(raw, head, values)
    for row, (line, cell) in enumerate(zip(raw.lines, raw.column(head), strict=True), 1):
        value, advice = parse_number(cell, raw.separator) if cell else (None, "")
        if value is not None:
            values.append((line, value))
        elif cell:
            read_ = f"reads {shown(cell)}, which is not a number."
            faults.append(Fault(raw.file, line, f"row {row}, {head}", read_, "Numbers stand here.", advice))
    return faults + _order_faults(raw, head, values) + _share_faults(raw, head, values)


def _order_faults(raw: RawTable, head: str, values: list[tuple[int, float]]) -> list[Fault]:
    if dimension_of_head(head) != "time" or not is_clock(head):
        return []
    if all(before <= now for (_, before), (_, now) in pairwise(values)):
        return []
    back = [(line, before, now) for (_, before), (line, now) in pairwise(values) if now < before]
    advice = "Rows stay as logged. Was the clock set, or were two logs joined? Make two files of two logs."
    return [
        Fault(raw.file, line, head, f"goes back from {before:g} to {now:g}.", "Time runs forward.", advice)
        for line, before, now in back
    ]


def is_clock(head: str) -> bool:
    """True for a column that tells when: "second", "minute", "time_s"; not for a duration such as "period_s"."""
    name = head.strip().lower()
    return name in ("second", "seconds", "minute", "minutes", "hour", "hours") or name.startswith(
        ("time", "clock")
    )


def _share_faults(raw: RawTable, head: str, values: list[tuple[int, float]]) -> list[Fault]:
    if not head.lower().endswith("_pct"):
        return []
    expected = "A share lies from 0 to 100 per cent."
    return [
        Fault(raw.file, line, head, f"reads {value:g}.", expected, "")
        for line, value in values
        if not 0 <= value <= 100
    ]


def beyond(
    table: Table, raw_limits: Mapping[str, tuple[float, str]], values: Mapping[str, list[float]]
) -> list[Fault]:
    """A fault for every reading beyond its instrument.

    ``raw_limits``: column -> (greatest reading in SI, as written); ``values``: column -> SI numbers, nan where none.
    """
    faults = []
    for head, (limit, written) in raw_limits.items():
        for line, value in zip(table.lines, values[head], strict=True):
            if abs(value) > limit * (1 + 1e-9):
                read_ = "is beyond what the instrument can read."
                advice = "Look at the log: an overload or a slip of typing. A remark can set the row aside."
                faults.append(Fault(table.file, line, head, read_, f"It ends at {written}.", advice))
    return faults
