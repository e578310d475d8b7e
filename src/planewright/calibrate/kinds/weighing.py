"""Sheets, sticks and tape on the kitchen scale: mass of a batch, not of another shop's.

Each piece is one row: ln of its mass over its area (a stick: its volume; a tape: its length) against the nominal
value times the factor of its batch and the gain of the scale. Pieces of one batch differ: 2 % for sheets, 5 % for
sticks, 2 % for tape (judgement), or as the file's own ``spread`` says; the display rounds to a gram. Paper and wood
drink water, and pieces from one place in the pile drink alike: an unknown of form of 1 % (judgement). A piece of known
mass (column known_g) is a trial of the scale itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.calibrate.common import Sheet, lacking, missing
from planewright.calibrate.kinds.stock import STICK, batch_of, instrument, is_sheet, nominal_mass, stock_named
from planewright.calibrate.lines import likely_slip
from planewright.calibrate.problem import Block, Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.errors import Fault, InputError
from planewright.knowledge import Points
from planewright.plane.model import Stock
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

SPREAD: Mapping[str, float] = {"sheet": 0.02, "stick": 0.05, "tape": 0.02}
GAIN = 0.005
DAMP = 0.01
DISPLAY = 0.001 / math.sqrt(12)
PIECES = 5


def read(trial: Trial) -> Sheet:
    """Columns mass_g and, as far as they matter, length_mm, width_mm, height_mm, known_g."""
    return read_columns(trial, "mass_g")


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Five pieces of one stock: what each should weigh. Raises InputError for an unknown stock."""
    stock = stock_named(bench, of)
    if stock is None:
        raise InputError([Fault("aeroplane.toml", 0, f"stock.{of}", "is not there.", "A stock.", "")])
    name, nominal = nominal_mass(bench, stock)
    size = _whole(stock)
    draws = nominal * size * states.factor(name, stock.name)
    noise = math.hypot(_spread(stock), DISPLAY / float(np.median(draws)))
    points = tuple(Point(f"piece {i}", "kg", draws, noise) for i in range(1, PIECES + 1))
    return Plan("weighing", of, points, 15.0, 1, GAIN)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows of one batch. Raises InputError for an unknown stock or when no piece has a mass and a size."""
    log, stock = read(trial), batch_of(bench, trial)
    name, nominal = nominal_mass(bench, stock)
    mass, size, known = log.column("mass_g"), _sizes(log, stock), _known(log)
    piece = (mass > 0) & (size > 0) & log.keep & ~(known > 0)
    weight = (mass > 0) & (known > 0) & log.keep
    if not np.any(piece) and not np.any(weight):
        raise lacking(trial, "mass_g", "Pieces with their mass and size.", "Write one piece to a row.")
    gain = f"{instrument(trial, 'scale', 'kitchen scale')}.gain"
    damp = f"{trial.id}:damp"
    y = np.log(mass[piece] / size[piece] / nominal)
    sigma = np.hypot(_spread(stock), DISPLAY / mass[piece])
    doubled = 2.0 if 0 < piece.sum() < 3 else 1.0
    rows = log.rows[piece]
    blocks = [
        Block(
            trial.id,
            "mass",
            tuple(map(int, rows)),
            y,
            doubled * sigma,
            _Batch(name, stock.name, (gain, damp), len(y)),
        )
    ]
    if np.any(weight):
        blocks.append(_of_the_scale(trial, log, mass, known, weight, gain))
    words = log.struck() + missing("the mass", log.rows[~(mass > 0) & log.keep])
    words += missing("the size", log.rows[(mass > 0) & ~(size > 0) & ~(known > 0) & log.keep])
    if doubled > 1:
        words += (
            f"{piece.sum()} piece(s) only: three are needed to tell an odd one; taken with twice the doubt",
        )
    facts = {"nominal": nominal} | ({"per_size": float(nominal * np.exp(np.median(y)))} if len(y) else {})

    def slip(channel: str, row: int, expected: float) -> str:
        if channel != "mass":
            return ""
        grams = 1000.0 * nominal * float(size[row - 1]) * math.exp(expected)
        meant = likely_slip(log.words("mass_g")[row - 1], grams, 0.05 * grams)
        return f"perhaps {meant} g was meant" if meant else ""

    return Reduction(
        trial.id,
        tuple(blocks),
        locals={gain: (0.0, GAIN), damp: (0.0, DAMP)},
        findings=words,
        facts=facts,
        suspect=slip,
    )


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "mass_per_area" (kg/m2), "density" (kg/m3) or "mass_per_length" (kg/m)."""
    units = {"mass_per_area": "kg/m2", "density": "kg/m3", "mass_per_length": "kg/m"}
    return compared(trial, found, {name: ("per_size", unit) for name, unit in units.items()})


class _Batch:
    """ln of a piece's mass over the nominal one: the batch, the scale, how damp the pile is."""

    def __init__(self, name: str, stock: str, own: tuple[str, ...], count: int) -> None:
        self.name, self.stock, self.own, self.count = name, stock, own, count

    def __call__(self, at: Points) -> Array:
        z = at.state(self.name, self.stock) + sum(at.state(name) for name in self.own)
        return np.repeat(np.asarray(z)[None, :], self.count, axis=0)


def _of_the_scale(
    trial: Trial, log: Sheet, mass: Array, known: Array, use: npt.NDArray[np.bool_], gain: str
) -> Block:
    y, count = np.log(mass[use] / known[use]), int(use.sum())

    def predict(at: Points) -> Array:
        return np.repeat(at.state(gain)[None, :], count, axis=0)

    return Block(
        trial.id, "scale", tuple(map(int, log.rows[use])), y, np.maximum(DISPLAY / mass[use], 5e-4), predict
    )


def _known(log: Sheet) -> Array:
    found = log.optional("known_g")
    return np.full(len(log.table), np.nan) if found is None else found


def _kind(stock: Stock) -> str:
    return "sheet" if is_sheet(stock) else "stick" if stock.kind == STICK else "tape"


def _spread(stock: Stock) -> float:
    own = stock.spread / stock.mass if stock.spread and stock.mass else 0.0
    return max(own, SPREAD[_kind(stock)])


def _whole(stock: Stock) -> float:
    """Area, volume or length of one bought piece (ten metres of a tape)."""
    if is_sheet(stock):
        sides = stock.sheet or (0.5, 0.7)
        return sides[0] * sides[1]
    if stock.kind == STICK:
        section = stock.section or (0.005, 0.010)
        return section[0] * section[1] * (stock.length or 1.0)
    return 10.0


def _sizes(log: Sheet, stock: Stock) -> Array:
    """Area, volume or length of each piece; what the table does not say is as the stock was bought."""
    count = len(log.table)

    def column(name: str, otherwise: float | None) -> Array:
        found = log.optional(name)
        bought = np.full(count, math.nan if otherwise is None else otherwise)
        return bought if found is None else np.where(np.isfinite(found), found, bought)

    sides = stock.sheet or (None, None)
    if is_sheet(stock):
        return column("length_mm", sides[1]) * column("width_mm", sides[0])
    length = column("length_mm", stock.length)
    if stock.kind == STICK:
        section = stock.section or (None, None)
        return length * column("width_mm", section[0]) * column("height_mm", section[1])
    return length
