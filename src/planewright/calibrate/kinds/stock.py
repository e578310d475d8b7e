"""What trials of the stock share: which batch, its nominal values, masses of pieces."""

from __future__ import annotations

from planewright.analysis.mass.materials import SHEETS, TAPE_LINE_MASS
from planewright.analysis.mass.materials import sheet as nominal_sheet
from planewright.analysis.mass.materials import stick as nominal_stick
from planewright.calibrate.common import lacking
from planewright.calibrate.protocol import Bench
from planewright.plane.model import Stock
from planewright.records.model import Trial

STICK, TAPE = "pine stick", "packing tape"


def batch_of(bench: Bench, trial: Trial) -> Stock:
    """The stock that was tried: ``of`` or ``batch``. Raises InputError when it is no stock of this aeroplane."""
    found = stock_named(bench, trial.of) or stock_named(bench, trial.batch)
    if found is None:
        known = ", ".join(bench.plane.stock) or "none"
        raise lacking(trial, "batch", f"A stock of the aeroplane's file: {known}.", 'Write batch = "board".')
    return found


def stock_named(bench: Bench, name: str) -> Stock | None:
    """The stock of that name, or None."""
    return bench.plane.stock.get(name)


def is_sheet(stock: Stock) -> bool:
    """True for boards and plywood."""
    return stock.kind in SHEETS


def nominal_mass(bench: Bench, stock: Stock) -> tuple[str, float]:
    """The quantity that a weighing of this stock moves, and what it multiplies: kg/m2, kg/m3 or kg/m."""
    if is_sheet(stock):
        return "board.areal_mass", nominal_sheet(bench.plane, stock.name).areal_mass
    if stock.kind == STICK:
        one = nominal_stick(bench.plane, stock.name)
        return "stick.density", one.line_mass / (one.width * one.height)
    return "tape.line_mass", stock.line_mass or TAPE_LINE_MASS


def instrument(trial: Trial, word: str, otherwise: str) -> str:
    """Id of the instrument whose name holds ``word``: shared by every trial that used it."""
    named = (one for one in trial.instruments if word in one.lower())
    return f"instrument:{next(named, otherwise)}"
