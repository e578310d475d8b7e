"""A trial for the page: its rows as logged, what the aeroplane says of them, and how far they are from it.

The line with its band is what the aeroplane as drawn gives with all that is known now; unknowns that live inside one
trial (the flow over a roof, the zero of a cell) stand at their middle, so what remains in the residuals is partly
theirs. The fit itself takes them along.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.calibrate.predictions import Bench, reduce_trial
from planewright.calibrate.problem import Block, Reduction
from planewright.errors import PlanewrightError
from planewright.geometry import Geometry
from planewright.knowledge import Knowledge, Points
from planewright.knowledge.draws import Draws
from planewright.records.model import Table, Trial
from planewright.records.numbers import numbers
from planewright.study.chart import Axis, Chart, Mark, Series, Stick
from planewright.study.study import Study
from planewright.web.api import TableRecord, TrialRecord
from planewright.web.trialkinds import cautions_of

Array = npt.NDArray[np.float64]
Look = str

SAMPLES = 240
WIDE = 1.959964
GRAVITY = 9.80665


@dataclass(frozen=True)
class Seen:
    """One trial with its reduction and a sample of what is known."""

    trial: Trial
    reduction: Reduction
    states: Points
    geometry: Geometry

    def predicted(self, block: Block) -> Array:
        """What the model gives for each row, (n, samples)."""
        return block.predict(self.states)

    def block(self, channel: str) -> Block | None:
        """The rows of one channel."""
        return next((one for one in self.reduction.blocks if one.channel == channel), None)


def sample(knowledge: Knowledge, reduction: Reduction) -> Points:
    """States drawn from what is known; the trial's own unknowns at their middle."""
    draws = Draws(knowledge, SAMPLES)
    names = [name for name, one in knowledge.quantities.items() if one.sd > 0]
    values = {name: draws.state(name) for name in names}
    values |= {name: np.full(SAMPLES, mean) for name, (mean, _) in reduction.locals.items()}
    return Points(knowledge, values, SAMPLES, set())


def table_record(trial: Trial, table: Table) -> TableRecord:
    """A raw table with the rows that a person set aside."""
    short = table.file.rpartition("/")[2]
    aside = tuple(
        (one.row, one.says) for one in trial.remarks if one.use == "leave out" and one.file == short
    )
    heads = tuple(table.columns)
    rows = tuple(zip(*table.columns.values(), strict=True)) if heads else ()
    return TableRecord(file=table.file, heads=heads, rows=rows, lines=table.lines, set_aside=aside)


def plain_record(trial: Trial) -> TrialRecord:
    """A trial as it was read, nothing worked out."""
    tables = [one for one in (trial.readings, trial.calibration) if one is not None]
    return TrialRecord(
        id=trial.id,
        kind=trial.kind,
        of=trial.of,
        date=trial.date.isoformat(),
        planned=trial.planned,
        set_aside=trial.in_force,
        done_by=dict(trial.done_by),
        said_before=tuple((one.what, one.words) for one in trial.said_before),
        tables=tuple(table_record(trial, one) for one in tables),
        cautions=cautions_of(trial.kind),
    )


def full_record(trial: Trial, study: Study, prior: Knowledge) -> TrialRecord:
    """A trial with its charts and quality figures; as ``plain_record`` where it was not run or cannot be reduced."""
    plain = plain_record(trial)
    if trial.planned or trial.readings is None:
        return plain
    try:
        reduction = reduce_trial(Bench(prior, study.models.geometry, study.ledger), trial)
        seen = Seen(trial, reduction, sample(study.knowledge, reduction), study.models.geometry)
        drawings = tuple(charts_of(seen))
    except PlanewrightError as error:
        return plain.model_copy(update={"says": (str(error),)})
    return plain.model_copy(
        update={"charts": drawings, "claims": claims_of(seen), "says": reduction.findings}
    )


def charts_of(seen: Seen) -> Iterator[Chart]:
    """The charts of a kind, those with residuals right under their fit."""
    makers: dict[str, Callable[[Seen], Iterator[Chart]]] = {
        "vehicle": vehicle_charts, "bend": bend_charts, "thrust": thrust_charts,
    }  # fmt: skip
    if seen.trial.kind in makers:
        yield from makers[seen.trial.kind](seen)


def column(seen: Seen, name: str) -> Array | None:
    """A column of the readings in SI, or None."""
    table = seen.trial.readings
    return numbers(table, name) if table is not None and name in table.columns else None


def floats(values: Array) -> tuple[float, ...]:
    """Plain numbers."""
    return tuple(float(one) for one in values)


def band(draws: Array) -> tuple[Array, Array, Array]:
    """Low, middle, high of (n, samples)."""
    low, middle, high = np.percentile(draws, [2.5, 50.0, 97.5], axis=1)
    return low, middle, high


def line(words: str, x: Array, draws: Array, look: Look = "line") -> Series:
    """A line with its band, by rising x; equal x are taken together."""
    places = np.unique(x)
    joined = np.array([draws[x == one].mean(axis=0) for one in places])
    low, middle, high = band(joined)
    edges = {"low": floats(low), "high": floats(high)}
    return Series.model_validate(
        {"words": words, "x": floats(places), "y": floats(middle), "look": look, **edges}
    )


def residuals(
    seen: Seen, name: str, x: Array, block: Block, axis: Axis, unit: str, scale: float = 1.0
) -> Chart:
    """Measured less predicted, with the scatter that was claimed."""
    middle = np.median(seen.predicted(block), axis=1)
    off = (block.measured - middle) / scale
    claimed = WIDE * block.sigma / scale
    order = np.argsort(x, kind="stable")
    zero = tuple(0.0 for _ in order)
    claim = Series(
        words="claimed", x=floats(x[order]), y=zero, low=floats(-claimed[order]), high=floats(claimed[order]),
        look="dashed", kind="measured",
    )  # fmt: skip
    return Chart(
        id=f"{seen.trial.id}:{name}-left",
        title="What is left: measured less worked out",
        x=axis,
        y=Axis(words="difference", unit=unit),
        series=(claim, *points(seen, x, off, block.rows)),
        notes=("Unknowns of this trial alone stand at their middle here.",),
    )


def points(seen: Seen, x: Array, y: Array, rows: tuple[int, ...]) -> Iterator[Series]:
    """Points by heading when there is one, notes for rows that count for less."""
    table = seen.trial.readings
    heading = table.columns.get("heading") if table is not None else None
    kinds = [heading[row - 1].strip().lower() if heading and row else "" for row in rows]
    for look, name in (("out", "out"), ("back", "back"), ("dots", "")):
        use = np.array([one == name if name else one not in ("out", "back") for one in kinds], bool)
        if use.any():
            notes = tuple(f"row {row}" for row, one in zip(rows, use, strict=True) if one)
            yield Series.model_validate(
                {"words": name or "readings", "x": floats(x[use]), "y": floats(y[use]), "look": look,
                 "kind": "measured", "notes": notes}
            )  # fmt: skip


def aside(seen: Seen, x: Array, y: Array) -> Iterator[Series]:
    """Rows set aside by hand, with their reasons; ``x`` and ``y`` over all rows of the file."""
    rows = [one for one in seen.trial.remarks if one.use == "leave out" and one.file == "readings.csv"]
    good = [one for one in rows if np.isfinite(x[one.row - 1]) and np.isfinite(y[one.row - 1])]
    if good:
        place = np.array([one.row - 1 for one in good])
        notes = tuple(f"row {one.row}: {one.says}" for one in good)
        yield Series(words="set aside", x=floats(x[place]), y=floats(y[place]), look="aside", notes=notes)


def vehicle_charts(seen: Seen) -> Iterator[Chart]:
    """Lift against angle, each run scaled to the middle speed; and what is left."""
    block, angle, speed = seen.block("lift"), column(seen, "angle_deg"), column(seen, "speed_kmh")
    if block is None or angle is None:
        return
    rows = np.array(block.rows) - 1
    x = np.rad2deg(angle[rows])
    pressure = _pressure(seen, speed)
    scale = pressure[rows] / np.nanmedian(pressure)
    measured, predicted = block.measured / scale, seen.predicted(block) / scale[:, None]
    axis = Axis(words="angle", unit="°")
    front, rear = column(seen, "front_N"), column(seen, "rear_N")
    raw = (
        (front + rear) / (pressure / np.nanmedian(pressure))
        if front is not None and rear is not None
        else None
    )
    others = aside(seen, np.rad2deg(angle), raw) if raw is not None else iter(())
    yield Chart(
        id=f"{seen.trial.id}:lift",
        title="Lift against angle, every run scaled to one speed",
        x=axis,
        y=Axis(words="lift", unit="N", zero=True),
        series=(line("as worked out now", x, predicted), *points(seen, x, measured, block.rows), *others),
        notes=(f"Scaled to an air pressure of {np.nanmedian(pressure):.0f} Pa at the probe.",),
    )
    yield residuals(seen, "lift", x, block, axis, "N")


def _pressure(seen: Seen, speed: Array | None) -> Array:
    probe = column(seen, "pitot_Pa")
    by_speed = 0.5 * 1.225 * speed**2 if speed is not None else None
    if probe is None:
        return by_speed if by_speed is not None else np.ones(len(seen.trial.readings or ()))
    return np.where(np.isfinite(probe), probe, by_speed if by_speed is not None else np.nan)


def bend_charts(seen: Seen) -> Iterator[Chart]:
    """How far the tips sink, and the load at which it should break and did."""
    load = column(seen, "load_each_side_g")
    tips = [(name, column(seen, f"tip_{name}_mm")) for name in ("left", "right")]
    if load is None:
        return
    axis = Axis(words="load each side", unit="kg", low=0.0, zero=True)
    out: list[Series] = []
    kept = np.ones(len(load), bool)
    kept[[one.row - 1 for one in seen.trial.remarks if one.use == "leave out"]] = False
    for look, (name, height) in zip(("dots", "squares"), tips, strict=True):
        if height is None:
            continue
        sink = (height[0] - height) * 1e3
        use = kept & np.isfinite(sink) & np.isfinite(load)
        seen_points = {"x": floats(load[use]), "y": floats(sink[use]), "look": look, "kind": "measured"}
        out.append(Series.model_validate({"words": f"{name} tip", **seen_points}))
        out += aside(seen, load, sink)
    slope = seen.block("slope")
    if slope is not None:
        steps = np.linspace(0.0, float(np.nanmax(load)), 9)
        out.insert(0, line("as worked out now", steps, steps[:, None] * np.exp(seen.predicted(slope))[0]))
    yield Chart(
        id=f"{seen.trial.id}:sink",
        title="How far the tips sink under load",
        x=axis,
        y=Axis(words="sink of a tip", unit="mm", zero=True),
        series=tuple(out),
        marks=tuple(_broke(seen)),
        stick=_failing(seen),
        notes=("The stick on the axis is the load at which it should break, with all that is known now.",),
    )


def _broke(seen: Seen) -> Iterator[Mark]:
    between = seen.trial.failure.get("between")
    if between:
        yield Mark(words="still held", x=float(between[0]))
        yield Mark(words="broke", x=float(between[1]), fence=True)


def _failing(seen: Seen) -> Stick | None:
    block = seen.block("failure")
    if block is None:
        return None
    low, middle, high = (float(one[0]) for one in band(np.exp(seen.predicted(block))))
    return Stick(middle=middle, all=(low, high), measured_published=(low, high), measured=(low, high))


def thrust_charts(seen: Seen) -> Iterator[Chart]:
    """Push as the cell read it over time, and the push worked out for full throttle."""
    second, cell = column(seen, "second"), column(seen, "cell_g")
    if second is None or cell is None:
        return
    arm = seen.trial.rig.get("arm", {})
    lever = float(arm["cell"]) / float(arm["engine"]) if {"cell", "engine"} <= set(arm) else 1.0
    push = cell * GRAVITY * lever
    use = np.isfinite(second) & np.isfinite(push)
    series = [
        Series(words="push", x=floats(second[use]), y=floats(push[use]), look="dots", kind="measured"),
        *aside(seen, second, push),
    ]
    block = seen.block("thrust")
    if block is not None:
        ends = np.array([float(np.nanmin(second)), float(np.nanmax(second))])
        full = np.exp(seen.predicted(block))[:1].repeat(2, axis=0)
        series.insert(0, line("full power as worked out now", ends, full))
    yield Chart(
        id=f"{seen.trial.id}:push",
        title="Push over time",
        x=Axis(words="time", unit="s", zero=True),
        y=Axis(words="push", unit="N", zero=True),
        series=tuple(series),
        notes=("Cell times lever, zero not yet taken off.",),
    )


def claims_of(seen: Seen) -> tuple[tuple[str, str, str], ...]:
    """Rows used, out against back, what is claimed: words, value, limit."""
    table = seen.trial.readings
    rows = len(table) if table is not None else 0
    used = seen.reduction.used or max((len(set(one.rows)) for one in seen.reduction.blocks), default=0)
    found = [("rows used", f"{used} of {rows}", "")]
    lift = seen.block("lift")
    if lift is not None:
        found += _out_against_back(seen, lift)
    for block in seen.reduction.blocks[:1]:
        if len(block.measured) > 2:
            off = (block.measured - np.median(seen.predicted(block), axis=1)) / block.sigma
            share = float(np.mean(np.abs(off) <= WIDE))
            found.append(("rows within what is claimed", f"{share:.0%}", "about 95 %"))
    return tuple(found)


def _out_against_back(seen: Seen, block: Block) -> Iterator[tuple[str, str, str]]:
    table = seen.trial.readings
    heading = table.columns.get("heading") if table is not None else None
    if heading is None:
        return
    middle = np.median(seen.predicted(block), axis=1)
    ratio = block.measured / np.where(np.abs(middle) > 0.5, middle, np.nan)
    means = []
    for name in ("out", "back"):
        use = [heading[row - 1].strip().lower() == name for row in block.rows]
        means.append(float(np.nanmedian(ratio[use])) if any(use) else np.nan)
    if all(np.isfinite(means)):
        yield "out against back", f"{means[0] / means[1] - 1:+.1%}".replace("-", "−"), "within 5 %"


def with_tables(record: TrialRecord, trial: Trial) -> TrialRecord:
    """A kept record with the trial's tables and state as they now stand."""
    fresh = plain_record(trial)
    return fresh.model_copy(update={"charts": record.charts, "claims": record.claims, "says": record.says})


__all__ = ["full_record", "plain_record", "with_tables"]
