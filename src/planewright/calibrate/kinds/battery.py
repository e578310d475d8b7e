"""A pack run down: its resistance from the sag, its charge from what the charger puts back.

Volts while it runs: U = open volts by the pack's curve + V0 - s (charge taken) - R I, robust. The charge put back
(read three times or from three runs) refills from the state at which the pack rested: put back = Q (1 - s), where s
comes from the rested voltage by the open-circuit curve, whose offset is an unknown of form (20 mV a cell, judgement).
The curve is flat in the middle: let the pack rest at 3.7 V a cell or below, or the charge is hardly told. Ammeter and
charger are instruments of their own.
"""

from __future__ import annotations

import math
from functools import lru_cache, partial

import numpy as np
import numpy.typing as npt
from scipy.interpolate import PchipInterpolator

from planewright.analysis.model import States
from planewright.analysis.power.pack import CELL_VOLTS, CHARGE, Pack
from planewright.calibrate.common import CALIBRATION, Sheet, lacking, missing, sheet, steady
from planewright.calibrate.kinds.stock import instrument
from planewright.calibrate.lines import robust_fit
from planewright.calibrate.problem import Block, Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.errors import Fault, InputError
from planewright.knowledge import Points
from planewright.plane.model import Battery
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

METER, CHARGER = 0.015, 0.01
OFFSET = 0.02
VOLT_NOISE, PACK_FORM, CHARGE_READING = 0.02, 0.05, 0.01
LEAST_ROWS, LEAST_SPREAD = 8, 1.0
REST, MIDDLE = 0.5, 0.92


def read(trial: Trial) -> Sheet:
    """Columns second, volts, amps; the second table put_back_mAh, rested_volts."""
    return read_columns(trial, "second", "volts", "amps")


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Sag at ten times the charge and the charge put back after seven tenths. Raises InputError without a pack."""
    pack = bench.plane.battery
    if pack is None:
        raise InputError([Fault("aeroplane.toml", 0, "battery", "is missing.", "A pack to run down.", "")])
    model = Pack(pack)
    amps = 5.0 * pack.charge * pack.count / 3600.0
    points = (
        Point(f"sag at {amps:.0f} A", "V", amps * model.resistance(states), PACK_FORM),
        Point("put back from 30 %", "C", 0.7 * model.charge(states), CHARGE_READING + 0.02),
    )
    return Plan("battery", of, points, 90.0, 2, METER)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows on resistance and charge of the flight pack. Raises InputError without a pack or with too few rows."""
    pack, log = bench.plane.battery, read(trial)
    if pack is None:
        raise lacking(trial, "of", "The aeroplane's file states a battery.", "Write [battery] there.")
    serial = trial.serial or pack.serial
    if serial != pack.serial:
        other = f"pack {serial} is not the one in the file ({pack.serial or 'no serial'}): it moves nothing"
        return Reduction(trial.id, findings=(other,))
    meter = f"{instrument(trial, 'meter', 'meter')}.meter"
    model = Pack(pack)
    ohms, sd, rows = _resistance(trial, log, model)
    blocks: list[Block] = []
    words = log.struck() + missing("volts or amperes", log.rows[~_there(log) & log.keep])
    if ohms > 0 and sd < 0.3 * ohms:
        y, error = (
            np.array([math.log(ohms / model.printed_resistance)]),
            np.array([math.hypot(sd / ohms, PACK_FORM)]),
        )
        blocks.append(
            Block(trial.id, "resistance", (0,), y, error, partial(_of_resistance, pack.serial, meter))
        )
    else:
        words += ("the current hardly changes: its resistance cannot be told",)
    own, more, block, charge = _put_back(trial, pack, model)
    blocks += block
    facts = {"ohm": ohms, "charge_C": charge}
    return Reduction(
        trial.id,
        tuple(blocks),
        locals={meter: (0.0, METER)} | own,
        findings=words + more,
        facts={name: float(value) for name, value in facts.items() if math.isfinite(value)},
        used=rows,
    )


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "resistance" (ohm) and "charge" (C)."""
    return compared(trial, found, {"resistance": ("ohm", "ohm"), "charge": ("charge_C", "C")})


def _there(log: Sheet) -> npt.NDArray[np.bool_]:
    return np.asarray(np.isfinite(log.column("volts")) & np.isfinite(log.column("amps")))


def _resistance(trial: Trial, log: Sheet, pack: Pack) -> tuple[float, float, int]:
    time, volts, amps = (log.column(name) for name in ("second", "volts", "amps"))
    use = _there(log) & np.isfinite(time) & (volts > 0) & (amps >= -1.0) & log.keep
    if use.sum() < LEAST_ROWS or not np.all(np.diff(time[use]) > 0):
        raise lacking(
            trial,
            "readings",
            f"At least {LEAST_ROWS} rows in order of time with volts and amps.",
            "Log one row a second.",
        )
    time, volts, amps = time[use], volts[use], np.maximum(amps[use], 0.0)
    _, (time, volts, amps) = steady(time, np.zeros(len(time)), (time, volts, amps))
    if np.ptp(amps) < LEAST_SPREAD:
        return math.nan, math.inf, int(use.sum())
    taken = np.concatenate([[0.0], np.cumsum(np.diff(time) * 0.5 * (amps[1:] + amps[:-1]))])
    sagged = volts - _open_volts(pack, volts[0], amps[0], taken)
    taken = taken / 3600.0
    design = np.column_stack([np.ones(len(amps)), -taken, -amps])
    if np.linalg.matrix_rank(design) < 3:
        return math.nan, math.inf, int(use.sum())
    fit = robust_fit(design, sagged, VOLT_NOISE)
    return float(fit.value[2]), float(fit.sd[2]), int(use.sum())


def _open_volts(pack: Pack, first: float, amps: float, taken: Array) -> Array:
    """Open-circuit volts along the run, by the pack's own curve, from the rest it began with and the charge taken (at
    the middle of what is believed of its charge). What is wrong in it by a constant or in proportion to the charge
    taken is left to the fit."""
    cells = pack.battery.cells
    start = float(_left(np.array(first / cells))) if amps < REST else 1.0
    whole = pack.battery.charge * pack.battery.count * pack.usable * MIDDLE
    volts, left = _cell_curve()
    return np.asarray(cells * np.interp(np.clip(start - taken / whole, 0.0, 1.0), left, volts))


def _of_resistance(serial: str, meter: str, at: Points) -> Array:
    return np.asarray(at.state("pack.R", serial) - at.state(meter))[None, :]


def _put_back(
    trial: Trial, pack: Battery, model: Pack
) -> tuple[dict[str, tuple[float, float]], tuple[str, ...], list[Block], float]:
    if trial.calibration is None:
        return {}, ("no charge put back is written down: how much the pack holds is not told",), [], math.nan
    log = sheet(trial, trial.calibration, CALIBRATION)
    back, rested = log.column("put_back_mAh"), log.column("rested_volts")
    cell = rested / pack.cells
    use = (back > 0) & (cell > CELL_VOLTS[0]) & (cell < CELL_VOLTS[-1]) & log.keep
    if not np.any(use):
        return (
            {},
            ("no row with charge put back and a rested voltage of a cell from 3.3 to 4.18 V",),
            [],
            math.nan,
        )
    offset, charger = f"{trial.id}:curve", f"{instrument(trial, 'charger', 'charger')}.meter"
    whole = pack.charge * pack.count * model.usable
    y = np.log(back[use] / whole)

    def predict(at: Points) -> Array:
        left = _left(cell[use][:, None] + at.state(offset))
        return np.asarray(
            at.state("pack.Q", pack.serial) + np.log(np.maximum(1.0 - left, 1e-3)) + at.state(charger)
        )

    sigma = np.full(len(y), CHARGE_READING * (1.0 if len(y) >= 3 else 2.0))
    charge = float(np.median(back[use] / (1.0 - _left(cell[use]))))
    block = Block(trial.id, "charge", tuple(map(int, log.rows[use])), y, sigma, predict)
    return {offset: (0.0, OFFSET), charger: (0.0, CHARGER)}, log.struck(), [block], charge


@lru_cache(maxsize=1)
def _cell_curve() -> tuple[Array, Array]:
    """Rested volts of a cell, (401,), and the charge left there: the pack's own curve, turned about."""
    left = np.linspace(0.0, 1.0, 401)
    return np.asarray(PchipInterpolator(CHARGE, CELL_VOLTS)(left)), left


def _left(cell_volts: Array) -> Array:
    """Charge left (0 to 1) by the rested voltage of a cell."""
    return np.asarray(np.interp(cell_volts, *_cell_curve()))
