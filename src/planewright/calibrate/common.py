"""What every reduction needs: which rows count, and how a finding names its row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.calibrate.problem import Reduction
from planewright.errors import Fault, InputError
from planewright.records.model import Remark, Table, Trial
from planewright.records.numbers import numbers

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

GRAVITY = 9.80665
DOUBT = 0.5
READINGS, CALIBRATION = "readings.csv", "calibration.csv"


@dataclass(frozen=True)
class Sheet:
    """A raw table with its columns as SI numbers, shape (rows,), nan where there was no reading, and what a
    person said about rows. ``keep`` is False for rows a person struck out."""

    trial: Trial
    table: Table
    keep: Mask
    remarks: Mapping[int, Remark]

    @property
    def rows(self) -> npt.NDArray[np.int64]:
        """1-based data rows, shape (rows,)."""
        return np.arange(1, len(self.table) + 1)

    def column(self, name: str) -> Array:
        """One column in SI. Raises InputError naming the file and the column when it is not there."""
        return numbers(self.table, name)

    def optional(self, name: str) -> Array | None:
        """One column in SI, or None when the table lacks it."""
        return numbers(self.table, name) if name in self.table.columns else None

    def words(self, name: str) -> tuple[str, ...]:
        """One column as written, "" for every row when the table lacks it."""
        return self.table.columns.get(name, ("",) * len(self.table))

    def struck(self) -> tuple[str, ...]:
        """One sentence for each row that a person left out, with the reason."""
        out = (one for row, one in sorted(self.remarks.items()) if not self.keep[row - 1])
        return tuple(f"row {one.row} left out by hand: {one.says}" for one in out)


def sheet(trial: Trial, table: Table | None, file: str = READINGS) -> Sheet:
    """The raw table of a trial with the remarks that belong to it.

    Raises InputError when the trial has no such table, or no row in it.
    """
    if table is None or not len(table):
        advice = "Add the readings as they were logged, or write planned = true."
        raise InputError(
            [Fault(f"trials/{trial.id}", 0, file, "has no readings.", "Rows were expected.", advice)]
        )
    remarks = {one.row: one for one in trial.remarks if one.file == file and 1 <= one.row <= len(table)}
    keep = np.array([not (i in remarks and remarks[i].use == "leave out") for i in range(1, len(table) + 1)])
    return Sheet(trial, table, keep, remarks)


STEADY_ROWS = 600
"""A log of more rows than this is first reduced to steady pieces."""


def steady(
    time: Array, key: Array, columns: Sequence[Array]
) -> tuple[npt.NDArray[np.int64], tuple[Array, ...]]:
    """Steady pieces of a long log: the median of each column over rows of one ``key`` (a lever's place) in one slice
    of time, so that at most about 600 pieces are left; a short log stays as it is.

    Arguments:
        time: (n,) s, in order; key: (n,) what must not be mixed; columns: each (n,), nan where there was no reading.
    Returns: index (m,) of the first row of each piece, and each column as (m,).
    """
    n = len(time)
    if n <= STEADY_ROWS or not np.all(np.isfinite(time)) or not time[-1] > time[0]:
        return np.arange(n), tuple(columns)
    slices = np.floor((time - time[0]) / (time[-1] - time[0]) * (STEADY_ROWS - 1))
    change = (np.diff(slices) != 0) | (np.diff(np.nan_to_num(key, nan=-1.0)) != 0)
    first = np.concatenate([[0], np.flatnonzero(change) + 1])
    piece = np.repeat(np.arange(len(first)), np.diff(np.append(first, n)))
    return first, tuple(_piece_medians(one, piece, len(first)) for one in columns)


def _piece_medians(column: Array, piece: npt.NDArray[np.int64], count: int) -> Array:
    good = np.isfinite(column)
    out = np.full(count, np.nan)
    values, owner = column[good], piece[good]
    if not len(values):
        return out
    order = np.lexsort((values, owner))
    values, owner = values[order], owner[order]
    start = np.flatnonzero(np.diff(owner, prepend=-1))
    size = np.diff(np.append(start, len(values)))
    out[owner[start]] = (values[start + (size - 1) // 2] + values[start + size // 2]) / 2
    return out


def listed(rows: list[int]) -> str:
    """Rows in words: "row 9", "rows 12 and 35"."""
    if len(rows) == 1:
        return f"row {rows[0]}"
    return "rows " + ", ".join(map(str, rows[:-1])) + f" and {rows[-1]}"


def missing(what: str, rows: npt.NDArray[np.int64]) -> tuple[str, ...]:
    """A sentence for rows in which a reading is missing, or nothing."""
    if not len(rows):
        return ()
    return (f"{listed(list(map(int, rows)))}: no reading of {what}, not used",)


def lacking(trial: Trial, path: str, expected: str, advice: str) -> InputError:
    """A trial that cannot be reduced because its file does not say something."""
    fault = Fault(f"trials/{trial.id}/trial.toml", 0, path, "is not stated.", expected, advice)
    return InputError([fault])


def sound(trial: Trial, reduction: Reduction) -> Reduction:
    """The reduction itself, when all that it measured is a finite number with a doubt above zero.

    Raises InputError otherwise: readings so far off that no sense can be made of them.
    """
    for block in reduction.blocks:
        finite = np.isfinite(block.measured) & np.isfinite(block.sigma) & (block.sigma > 0)
        if not np.all(finite):
            expected = f"Readings from which {block.channel} can be worked out."
            raise lacking(
                trial, READINGS, expected, "Look at the columns and their units, or set the trial aside."
            )
    return reduction
