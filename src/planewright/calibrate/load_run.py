"""A pack on a load or with its engines on the bench: mean current, time to 30 %, first timer, resistance.

Columns second, volts, amps. The time is that of the story: printed charge less 30 %, over the mean current of the run
(common practice, no source); the cold takes a tenth of the charge at 0 C (judgement). The resistance is that under a
lasting load: U = V0 - s (charge taken) - R I, not the millisecond reading of a charger.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.power.pack import Pack
from planewright.analysis.power.planning import FIRST_OF_BENCH, time_to
from planewright.calibrate.common import lacking, sheet
from planewright.calibrate.lines import robust_fit
from planewright.plane.model import Battery
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]

READINGS, VOLT_NOISE, LEAST_ROWS, LEAST_SPREAD = "readings", 0.02, 5, 1.0
COLD = 0.0


@dataclass(frozen=True)
class LoadRun:
    """One run of a pack: mean ``amps``, charge ``taken`` A s over ``seconds``; ``time`` s from full to 30 % of the
    printed charge at that current, ``first`` timer s, ``cold`` first timer at 0 C s; ``resistance`` ohm and its
    deviation (nan where the current never changed); lowest voltage ``lowest`` V."""

    trial: str
    amps: float
    taken: float
    seconds: float
    time: float
    first: float
    cold: float
    resistance: float
    resistance_sd: float
    lowest: float


def load_run(trial: Trial, battery: Battery) -> LoadRun:
    """Reduce a run of kind "battery". Raises InputError when rows or current are lacking."""
    log = sheet(trial, trial.readings)
    second, volts, amps = (np.where(log.keep, log.column(one), np.nan) for one in ("second", "volts", "amps"))
    use = np.isfinite(second) & np.isfinite(volts) & np.isfinite(amps)
    if use.sum() < LEAST_ROWS or not np.all(np.diff(second[use]) > 0) or np.max(amps[use]) <= 0:
        raise lacking(
            trial,
            READINGS,
            "At least five rows in order of time with volts and amps.",
            "Log one row a second.",
        )
    second, volts, amps = second[use], volts[use], amps[use]
    taken = np.concatenate([[0.0], np.cumsum(np.diff(second) * 0.5 * (amps[1:] + amps[:-1]))])
    seconds = float(second[-1] - second[0])
    mean = float(taken[-1] / seconds)
    charge = battery.charge * battery.count
    time = float(time_to(charge, mean))
    cold = Pack(replace(battery), celsius=COLD).usable * time * FIRST_OF_BENCH
    ohms, sd = _resistance(taken / 3600.0, volts, amps)
    return LoadRun(
        trial.id,
        mean,
        float(taken[-1]),
        seconds,
        time,
        FIRST_OF_BENCH * time,
        cold,
        ohms,
        sd,
        float(volts.min()),
    )


def _resistance(taken: Array, volts: Array, amps: Array) -> tuple[float, float]:
    if np.ptp(amps) < LEAST_SPREAD:
        return float("nan"), float("nan")
    fit = robust_fit(np.column_stack([np.ones(len(amps)), -taken, -amps]), volts, VOLT_NOISE)
    return float(fit.value[2]), float(fit.sd[2])
