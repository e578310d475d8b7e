"""What a static run says by itself, before any prediction: thrust and current at a stated voltage, the map of the
lever, resistance of the pack, drift, damage; and two runs against each other.

The reduction is that of :mod:`planewright.calibrate.thrust`. Here its result is put into words and numbers for the
sheet of the engines: never a mean over a hold while the pack sags, always thrust at one voltage with its exponent.
The stated spread was set on 200 invented runs of each example with known truth (trial of our own).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY, density
from planewright.calibrate.thrust import (
    CURRENT_EXPONENT,
    EXPONENT,
    NOISE_KG,
    Bench,
    CellScale,
    Damage,
    Push,
    bench,
    calibrate_cell,
    find_damage,
    fit_law,
    full_hold,
    pack_resistance,
    reduce_run,
)
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]

SIGN_SHARE, CLEAR_SAG = 0.43, 0.012
"""Part of the friction that stays unknown where its sign is a toss-up, and the fall of thrust over a hold above which
the arm surely sinks. Set on the same invented runs."""
PAIR_SD = 0.005
UNEQUAL = 0.05
DENSITY_POWER = {"propeller": 0.91, "fan": 0.93}
"""T ~ rho^n at a fixed voltage: neither 1 nor 1/3 (trial of our own with the models of this tool)."""


@dataclass(frozen=True)
class LeverPoint:
    """``lever`` 0 to 1: ``share`` of the full thrust at equal voltage, and the ``duty`` (part of the pack's voltage)
    that would give it."""

    lever: float
    share: float
    duty: float


@dataclass(frozen=True)
class StandReport:
    """One static run.

    ``thrust`` N with relative ``sd`` and ``amps`` A at ``volts``; ``exponent`` of thrust with voltage; ``friction``;
    ``levers``; pack ``resistance`` ohm with ``resistance_sd``; ``drift`` kg of the zero; ``sea_level`` factor on thrust
    to standard air; ``damage`` (None when the run is sound or cannot tell); ``said`` sentences; ``scale`` of the cell.
    """

    trial: str
    of: str
    serial: str
    kind: str
    volts: float
    thrust: float
    sd: float
    amps: float
    exponent: float
    friction: float
    levers: tuple[LeverPoint, ...]
    resistance: float
    resistance_sd: float
    drift: float
    sea_level: float
    damage: Damage | None
    said: tuple[str, ...]
    scale: CellScale

    def at(self, volts: float) -> float:
        """Thrust, N, at another voltage of the same run's range."""
        return float(self.thrust * (volts / self.volts) ** self.exponent)


def stand_report(trial: Trial, kind: str, serial: str = "") -> StandReport:
    """Reduce one static run. ``kind`` "fan" or "propeller"; ``serial`` of the unit when the trial states none.

    Raises InputError for missing columns, masses or quiet rows.
    """
    scale = calibrate_cell(trial)
    run, said = bench(trial, scale)
    damage = find_damage(run, kind)
    hurt = damage if damage is not None and damage.found else None
    push = reduce_run(run, scale, kind, hurt.row if hurt else None)
    ohms, ohms_sd = pack_resistance(run)
    rho = density(trial.air["temperature"], trial.air["pressure"]) if _air(trial) else SEA_LEVEL_DENSITY
    return StandReport(
        trial.id,
        trial.of,
        trial.serial or serial,
        kind,
        push.volts,
        push.thrust,
        stated_sd(run, push),
        push.amps,
        push.exponent,
        push.friction,
        lever_map(run, kind, push, hurt.row if hurt else None),
        ohms,
        ohms_sd,
        run.drift,
        (SEA_LEVEL_DENSITY / rho) ** DENSITY_POWER[kind],
        hurt,
        (*scale.said, *said, *damage_words(damage)),
        scale,
    )


def _air(trial: Trial) -> bool:
    return {"temperature", "pressure"} <= set(trial.air)


def stated_sd(run: Bench, push: Push) -> float:
    """Relative standard deviation of the thrust: rows and calibration, and the part of the friction whose sign the run
    leaves open. A pack that hardly sags makes the sign of friction during a hold a toss-up."""
    hold = full_hold(run) & np.isfinite(run.volts)
    if hold.sum() < 2:
        return math.hypot(push.thrust_sd, SIGN_SHARE * push.friction)
    volts = run.volts[hold]
    sag = abs(float(push.exponent * math.log(volts[0] / volts[-1])))
    open_ = SIGN_SHARE * push.friction * (0.3 + 0.7 * math.exp(-sag / CLEAR_SAG))
    return math.hypot(push.thrust_sd, open_)


def lever_map(run: Bench, kind: str, push: Push, before: int | None = None) -> tuple[LeverPoint, ...]:
    """Share of full thrust and duty at each lever of the staircase, from the law fitted to all of it at once."""
    use = np.isfinite(run.push) & (run.push > 0) & np.isfinite(run.volts) & (run.lever > 0) & (run.age >= 3.0)
    if before is not None:
        use &= run.row < before
    law = fit_law(run, run.push, use, NOISE_KG, push.volts, EXPONENT[kind], True)
    share = np.exp(law.level - law.level[-1])
    duty = share ** (1.0 / law.exponent)
    return tuple(
        LeverPoint(float(lever), float(part), float(one))
        for lever, part, one in zip(law.levers, share, duty, strict=True)
    )


def lever_of(levers: Sequence[LeverPoint], duty: float) -> float:
    """Lever, 0 to 1, at which the controller lets ``duty`` of the voltage through: straight between the points."""
    x = [0.0, *(one.duty for one in levers)]
    return float(np.interp(duty, x, [0.0, *(one.lever for one in levers)]))


def lever_words(levers: Iterable[LeverPoint]) -> str:
    """The map in one sentence."""
    parts = [f"{100 * one.lever:.0f} % gives {100 * one.share:.0f} %" for one in levers]
    return f"lever against thrust at equal voltage: {', '.join(parts)}"


def damage_words(damage: Damage | None) -> tuple[str, ...]:
    """What the hold says about damage."""
    if damage is None:
        return ("no hold of ten seconds at full lever: damage cannot be told from sag",)
    if not damage.found:
        return ("no break of thrust against voltage in the hold",)
    return (
        f"row {damage.row} (second {damage.second:.0f}): thrust falls by {-damage.step:.1%} at equal voltage; "
        "withdrawn until it is repaired, gets a new serial and runs again",
    )


@dataclass(frozen=True)
class SideBySide:
    """Two runs at one voltage: ``ratio`` of the second to the first, relative ``sd`` (a shared lever cancels)."""

    volts: float
    first: str
    second: str
    ratio: float
    sd: float
    says: str


def side_by_side(first: StandReport, second: StandReport) -> SideBySide:
    """Left against right, or a new unit against the old, at the mean of both voltages."""
    volts = round(0.5 * (first.volts + second.volts), 1)
    ratio = second.at(volts) / first.at(volts)
    sd = math.hypot(math.hypot(first.sd, second.sd), PAIR_SD)
    size = "inside" if abs(ratio - 1.0) < UNEQUAL else "beyond"
    ratio_sd = 100 * 1.96 * sd
    says = (
        f"{second.of} ({second.serial}) gives {100 * (ratio - 1.0):+.1f} % (+-{ratio_sd:.1f}) of {first.of} "
        f"({first.serial}) at {volts:g} V: {size} the 5 % that twins are accepted with"
    )
    return SideBySide(volts, first.trial, second.trial, ratio, sd, says)


def end_of_pack(full: StandReport, low: StandReport) -> tuple[float, float, float]:
    """(thrust N predicted from the run on a full pack at the voltage of the low run, measured over predicted, relative
    deviation of that ratio: both runs and the exponent over their distance).

    Predict before the low run, then compare: a ratio beyond its band is a change of the unit, not of the pack.
    """
    predicted = full.at(low.volts)
    exponent = EXPONENT[full.kind][1] * abs(math.log(full.volts / low.volts))
    return predicted, low.thrust / predicted, math.hypot(math.hypot(full.sd, low.sd), exponent)


def current_exponent(run: Bench, push: Push) -> float:
    """Exponent of current with voltage, from all rows at least 3 s old."""
    use = np.isfinite(run.amps) & (run.amps > 0) & np.isfinite(run.volts) & (run.lever > 0) & (run.age >= 3.0)
    return fit_law(run, run.amps, use, 0.25, push.volts, CURRENT_EXPONENT, False).exponent
