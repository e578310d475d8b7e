"""What every reduction needs: which rows count, and how a finding names its row."""

from __future__ import annotations

from collections.abc import Mapping
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
