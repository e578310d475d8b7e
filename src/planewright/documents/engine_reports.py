"""What the static and load runs of a project say, and the whole sheet of its engines with pictures as data.

Every door that shows the engines asks here, so that command line, page and book say the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planewright.calibrate.common import GRAVITY
from planewright.calibrate.load_run import load_run
from planewright.calibrate.stand import (
    StandReport,
    end_of_pack,
    lever_words,
    side_by_side,
    stand_report,
)
from planewright.calibrate.thrust import bench as bench_rows
from planewright.calibrate.thrust import calibrate_cell
from planewright.documents.opening import Opened
from planewright.errors import InputError
from planewright.records.model import Trial
from planewright.study import Study
from planewright.study.chart import Chart
from planewright.study.engine_sheet import (
    Bench,
    BenchRow,
    EngineSheet,
    LeverRow,
    PackRow,
    bench_chart,
    engine_sheet,
    map_chart,
    thrust_chart,
)

SAME_PACK = 0.04


@dataclass(frozen=True)
class Points:
    """Rows of a run at full lever for its picture: V, N, and the law N."""

    volts: tuple[float, ...]
    push: tuple[float, ...]
    law: tuple[float, ...]


def sheet_of(one: Opened, study: Study) -> EngineSheet:
    """The sheet of a project's engines with what all its runs say.

    Arguments: ``one`` the project; ``study`` of that project. Returns the sheet, SI units, 95 % bands; without engine
    or battery its ``why`` says what lacks. Runs that cannot be reduced stand in its bench with the reason.
    """
    reports, refused = reduced(one)
    return engine_sheet(study, bench_of(one, reports, refused), one.project.inputs_hash)


def charts_of(one: Opened, study: Study, sheet: EngineSheet) -> tuple[Chart, ...]:
    """Pictures of a sheet: push of all engines against speed, the map of each engine, each static run."""
    return tuple(_charts(one, study, sheet))


def _charts(one: Opened, study: Study, sheet: EngineSheet) -> Iterator[Chart]:
    whole = thrust_chart(study)
    if whole is not None:
        yield whole
    yield from map(map_chart, sheet.units)
    for row in sheet.bench.runs:
        yield bench_chart(row, points_of(trial_of(one, row.trial), row))


def trial_of(one: Opened, name: str) -> Trial:
    """The trial of that id."""
    trials: Iterable[Trial] = one.project.trials
    return next(trial for trial in trials if trial.id == name)


def reduced(one: Opened) -> tuple[list[tuple[Trial, StandReport]], list[tuple[str, str]]]:
    """(static runs with their reports, runs that could not be reduced with the reason)."""
    found, refused = [], []
    for trial in one.project.trials:
        if trial.kind != "thrust" or trial.planned or trial.readings is None:
            continue
        engine = next((unit for unit in one.plane.engines if unit.name == trial.of), None)
        kind = engine.kind if engine else one.plane.engines[0].kind if one.plane.engines else "propeller"
        try:
            found.append((trial, stand_report(trial, kind, engine.serial if engine else "")))
        except InputError as error:
            refused.append((trial.id, " ".join(fault.text() for fault in error.faults)))
    return found, refused


def bench_of(one: Opened, reports: list[tuple[Trial, StandReport]], refused: list[tuple[str, str]]) -> Bench:
    """All runs as records, with what pairs of them say."""
    fitted = {unit.serial for unit in one.plane.engines}
    rows = tuple(bench_row(trial, report, fitted) for trial, report in reports)
    sound = [report for trial, report in reports if report.damage is None and not trial.in_force]
    packs, also_refused = load_runs(one)
    return Bench(runs=rows, packs=packs, refused=(*refused, *also_refused), pairs=tuple(pairs(sound, fitted)))


def load_runs(one: Opened) -> tuple[tuple[PackRow, ...], list[tuple[str, str]]]:
    """(load runs of the pack, those that could not be reduced with the reason)."""
    found: list[PackRow] = []
    refused: list[tuple[str, str]] = []
    for trial in one.project.trials:
        if trial.kind != "battery" or trial.planned or trial.in_force or one.plane.battery is None:
            continue
        try:
            run = load_run(trial, one.plane.battery)
        except InputError as error:
            refused.append((trial.id, " ".join(fault.text() for fault in error.faults)))
            continue
        ohms = run.resistance if np.isfinite(run.resistance) else None
        row = PackRow(
            trial=run.trial, amps=run.amps, time=run.time, first=run.first, cold=run.cold, resistance=ohms
        )
        found.append(row)
    return tuple(found), refused


def bench_row(trial: Trial, report: StandReport, fitted: set[str]) -> BenchRow:
    """One run as a record."""
    state = "set aside" if trial.in_force else "withdrawn" if report.damage else ""
    state = state or ("in its place" if report.serial in fitted else "not fitted any more")
    damage = report.damage
    return BenchRow(
        trial=trial.id,
        of=report.of,
        serial=report.serial,
        state=state,
        volts=report.volts,
        thrust=report.thrust,
        sd=report.sd,
        amps=report.amps,
        exponent=report.exponent,
        friction=report.friction,
        levers=tuple(LeverRow(lever=p.lever, share=p.share, duty=p.duty) for p in report.levers),
        resistance=report.resistance,
        resistance_sd=report.resistance_sd,
        drift=report.drift,
        sea_level=report.sea_level,
        damage_second=damage.second if damage else None,
        damage_step=damage.step if damage else None,
        says=(*report.said, lever_words(report.levers)),
    )


def pairs(sound: list[StandReport], fitted: set[str]) -> Iterator[str]:
    """Left against right on like packs; the same unit on a full and a used pack."""
    here = [one for one in sound if one.serial in fitted]
    full = {one.of: one for one in reversed(here) if one.volts > 0}
    for first, second in pairwise(sorted(full.values(), key=lambda one: one.of)):
        if abs(first.volts / second.volts - 1.0) < SAME_PACK:
            yield side_by_side(first, second).says
    for one in here:
        for other in here:
            if other.serial == one.serial and other.volts < one.volts * (1.0 - SAME_PACK):
                predicted, ratio, sd = end_of_pack(one, other)
                yield (
                    f"{one.of} ({one.serial}) on a used pack: {other.thrust:.2f} N at {other.volts:g} V, "
                    f"{predicted:.2f} N predicted from {one.trial} ({100 * (ratio - 1):+.1f} %, +-{196 * sd:.1f})"
                )


def points_of(trial: Trial, row: BenchRow) -> Points:
    """Rows at full lever, 3 s and older, for the picture."""
    run, _ = bench_rows(trial, calibrate_cell(trial))
    use = (run.lever >= 0.95) & (run.age >= 3.0) & np.isfinite(run.push) & np.isfinite(run.volts)
    law = row.thrust * (run.volts[use] / row.volts) ** row.exponent
    push = run.push[use] * GRAVITY
    return Points(tuple(map(float, run.volts[use])), tuple(map(float, push)), tuple(map(float, law)))
