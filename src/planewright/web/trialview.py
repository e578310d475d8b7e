"""A trial for the page: its rows as logged, what the aeroplane says of them, and how far they are from it.

The line with its band is what the aeroplane as drawn gives with all that is known now; unknowns that live inside one
trial (the flow over a roof, the zero of a cell) stand at their middle, so what remains in the residuals is partly
theirs. The fit itself takes them along.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.calibrate.kinds import reduce_trial
from planewright.calibrate.predictions import air_density
from planewright.calibrate.problem import Block, Reduction
from planewright.calibrate.protocol import Bench
from planewright.errors import PlanewrightError
from planewright.knowledge import Knowledge, Points
from planewright.knowledge.draws import Draws
from planewright.knowledge.model import Kind
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
NEAR = 0.9
TURNED = "upside down"
NESTED: tuple[tuple[Kind, ...], ...] = ((), ("measured", "published"), ("measured",))


@dataclass(frozen=True)
class Seen:
    """One trial with its reduction and samples of what is known: of everything, of what is measured or published, of
    what is measured; and of what was known before any trial. ``weight``: newtons of the aeroplane in the first three,
    None where it has no mass."""

    trial: Trial
    reduction: Reduction
    known: tuple[Points, Points, Points]
    before: Points
    weight: tuple[Array, Array, Array] | None

    @property
    def states(self) -> Points:
        """Everything that is known now."""
        return self.known[0]

    def predicted(self, block: Block) -> Array:
        """What the model gives for each row, (n, samples)."""
        return block.predict(self.states)

    def block(self, channel: str) -> Block | None:
        """The rows of one channel."""
        return next((one for one in self.reduction.blocks if one.channel == channel), None)


def sample(knowledge: Knowledge, reduction: Reduction, *kinds: Kind) -> Points:
    """States drawn from what is known, quantities of other ``kinds`` and the trial's own unknowns at their middle."""
    draws = Draws(knowledge, SAMPLES).only(*kinds) if kinds else Draws(knowledge, SAMPLES)
    names = [name for name, one in knowledge.quantities.items() if one.sd > 0]
    values = {name: draws.state(name) for name in names}
    values |= {name: np.full(SAMPLES, mean) for name, (mean, _) in reduction.locals.items()}
    return Points(knowledge, values, SAMPLES, set())


def seen_of(trial: Trial, study: Study, prior: Knowledge, reduction: Reduction) -> Seen:
    """A trial with samples of what is known now and what was known before."""
    now = study.knowledge
    known = tuple(sample(now, reduction, *kinds) for kinds in NESTED)
    try:
        draws = [Draws(now, SAMPLES).only(*kinds) if kinds else Draws(now, SAMPLES) for kinds in NESTED]
        weights = [study.models.mass.evaluate(one).mass * GRAVITY for one in draws]
    except PlanewrightError:
        weights = []
    weight = (weights[0], weights[1], weights[2]) if weights else None
    return Seen(trial, reduction, (known[0], known[1], known[2]), sample(prior, reduction), weight)


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
        seen = seen_of(trial, study, prior, reduction)
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


def line(words: str, x: Array, draws: Array, look: Look = "line", kind: Kind = "assumed") -> Series:
    """A line with its band, by rising x; equal x are taken together."""
    places = np.unique(x)
    joined = np.array([draws[x == one].mean(axis=0) for one in places])
    low, middle, high = map(floats, band(joined))
    named = {"words": words, "x": floats(places), "y": middle, "low": low, "high": high}
    return Series.model_validate({**named, "look": look, "kind": kind})


def kind_of(nested: Sequence[Array]) -> Kind:
    """How a band is mostly known, from draws of everything, of measured and published, of measured inputs alone: the
    kind that holds the greatest part of the variance."""
    whole, known, measured = (float(np.nanmean(np.nanvar(one, axis=-1))) for one in nested)
    parts: dict[Kind, float] = {
        "measured": measured,
        "published": max(known - measured, 0.0),
        "assumed": max(whole - known, 0.0),
    }
    return max(parts, key=lambda one: parts[one])


def stick_of(nested: Sequence[Array]) -> Stick:
    """The stick of one value from the same three sets of draws."""
    pairs = [tuple(map(float, np.nanpercentile(one, [2.5, 97.5]))) for one in nested]
    return Stick.model_validate(
        {
            "middle": float(np.nanmedian(nested[0])),
            "all": pairs[0],
            "measured_published": pairs[1],
            "measured": pairs[2],
        }
    )


def residuals(
    seen: Seen, name: str, x: Array, block: Block, axis: Axis, unit: str, scale: float = 1.0
) -> Chart:
    """Measured less predicted, with the scatter that was claimed."""
    middle = np.median(seen.predicted(block), axis=1)
    off = (block.measured - middle) / scale
    places = np.unique(x)
    claimed = WIDE * np.array([np.max(block.sigma[x == one]) for one in places]) / scale
    claim = Series(
        words="claimed, 95 in 100", x=floats(places), y=tuple(0.0 for _ in places), low=floats(-claimed),
        high=floats(claimed), look="line", kind="measured",
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
    over = [not is_upright(seen, row) for row in rows]
    ways = [heading[row - 1].strip().lower() if heading and row else "" for row in rows]
    kinds = [
        TURNED if down else way if way in ("out", "back") else ""
        for way, down in zip(ways, over, strict=True)
    ]
    for look, name in (("out", "out"), ("back", "back"), ("squares", TURNED), ("dots", "")):
        use = np.array([one == name for one in kinds], bool)
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


def is_upright(seen: Seen, row: int) -> bool:
    """False for a row whose note says that the wing was upside down."""
    table = seen.trial.readings
    notes = table.columns.get("note") if table is not None else None
    note = notes[row - 1].lower() if notes and row else ""
    return "upside" not in note and "invert" not in note


def vehicle_charts(seen: Seen) -> Iterator[Chart]:
    """Lift of the whole wing against speed, where it meets the weight; lift against angle; and what is left."""
    block, angle, speed = seen.block("lift"), column(seen, "angle_deg"), column(seen, "speed_kmh")
    if block is None or angle is None:
        return
    rows = np.array(block.rows) - 1
    x = np.rad2deg(angle[rows])
    pressure = _pressure(seen, speed)
    upright = np.array([is_upright(seen, row) for row in block.rows], bool)
    whole = _lift_against_speed(seen, block, pressure, x, upright)
    if whole is not None:
        yield whole
    scale = pressure / np.nanmedian(pressure)
    measured = block.measured / scale[rows]
    axis = Axis(words="angle", unit="°")
    front, rear = column(seen, "front_N"), column(seen, "rear_N")
    raw = (front + rear) / scale if front is not None and rear is not None else None
    others = aside(seen, np.rad2deg(angle), raw) if raw is not None else iter(())
    lines: list[Series] = []
    for words, use in (("as worked out now", upright), (f"the same, {TURNED}", ~upright)):
        if use.any():
            now = [block.predict(one)[use] / scale[rows][use, None] for one in seen.known]
            lines.append(line(words, x[use], now[0], kind=kind_of(now)))
            lines += [_before(seen, block, x, use, scale[rows])] if words == "as worked out now" else []
    yield Chart(
        id=f"{seen.trial.id}:lift",
        title="Lift against angle, every run scaled to one speed",
        x=axis,
        y=Axis(words="lift", unit="N", zero=True),
        series=(*lines, *points(seen, x, measured, block.rows), *others),
        notes=(f"Scaled to an air pressure of {np.nanmedian(pressure):.0f} Pa at the probe.",),
    )
    yield residuals(seen, "lift", x, block, axis, "N")


def _before(seen: Seen, block: Block, x: Array, use: Array, scale: Array) -> Series:
    """What was expected before any trial."""
    return line("expected before", x[use], block.predict(seen.before)[use] / scale[use, None], "dashed")


def _lift_against_speed(seen: Seen, block: Block, pressure: Array, x: Array, upright: Array) -> Chart | None:
    """Lift at one angle, scaled to the whole wing, against the speed of the air; the weight; the stick where they
    meet. The angle is the largest at which the lift is at most NEAR of the greatest. None without a weight."""
    if seen.weight is None or not upright.any():
        return None
    rows = np.array(block.rows) - 1
    area = 1.0 / float(seen.trial.specimen.get("scale", 1.0)) ** 2
    rho = air_density(seen.trial)
    lifts = [area * block.predict(one) / pressure[rows][:, None] for one in seen.known]
    middle = np.median(lifts[0], axis=1)
    tried = [one for one in np.unique(x[upright]) if np.median(middle[upright & (x == one)]) > 0]
    top = max((float(np.median(middle[upright & (x == one)])) for one in tried), default=0.0)
    fit = [one for one in tried if np.median(middle[upright & (x == one)]) <= NEAR * top]
    if not fit:
        return None
    use = upright & (x == max(fit))
    found = [one[use].mean(axis=0) for one in lifts]
    meets = [np.sqrt(2.0 * weight / one / rho) for one, weight in zip(found, seen.weight, strict=True)]
    speeds = np.linspace(
        0.0, 1.12 * max(float(np.nanmax(meets[0])), float(np.sqrt(2 * np.nanmax(pressure) / rho))), 25
    )
    curve = [0.5 * rho * speeds[:, None] ** 2 * one for one in found]
    flat = [np.broadcast_to(one, (2, len(one))) for one in seen.weight]
    seen_x, seen_y = np.sqrt(2.0 * pressure[rows] / rho), area * block.measured
    some = tuple(row for row, one in zip(block.rows, use, strict=True) if one)
    return Chart(
        id=f"{seen.trial.id}:speed",
        title=f"Lift of the whole wing at {max(fit):.0f} degrees, against speed",
        x=Axis(words="speed of the air", unit="m/s", low=0.0, zero=True),
        y=Axis(words="lift", unit="N", low=0.0, zero=True),
        series=(
            line("as worked out now", speeds, curve[0], kind=kind_of(curve)),
            line("weight of the aeroplane", speeds[[0, -1]], flat[0], kind=kind_of(flat)),
            *points(seen, seen_x[use], seen_y[use], some),
        ),
        stick=stick_of(meets),
        notes=(
            f"At the {max(fit):.0f} degrees the wing was set to on its mast, scaled to the whole wing. The slowest "
            "flying speed is lower, with the nose higher.",
        ),
    )


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
        now = [steps[:, None] * np.exp(slope.predict(one))[0] for one in seen.known]
        was = steps[:, None] * np.exp(slope.predict(seen.before))[0]
        out.insert(0, line("expected before", steps, was, "dashed"))
        out.insert(0, line("as worked out now", steps, now[0], kind=kind_of(now)))
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
    return None if block is None else stick_of([np.exp(block.predict(one))[0] for one in seen.known])


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
        now = [np.exp(block.predict(one))[:1].repeat(2, axis=0) for one in seen.known]
        was = np.exp(block.predict(seen.before))[:1].repeat(2, axis=0)
        series.insert(0, line("expected before", ends, was, "dashed"))
        series.insert(0, line("full power as worked out now", ends, now[0], kind=kind_of(now)))
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
