"""The whole sheet of the engines as one record, and its pictures as data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, Protocol

import numpy as np
from pydantic import Field

from planewright import __version__
from planewright.findings.model import Record
from planewright.study.chart import Axis, Chart, Mark, Series
from planewright.study.charts import line
from planewright.study.propulsion import (
    CAUTIONS,
    NOISE,
    FlightRow,
    MatchRow,
    PairRow,
    StoppedRow,
    SupplyRow,
    UnitRow,
    flight_row,
    match_rows,
    pair_row,
    stopped_rows,
    supply_row,
    unit_rows,
)
from planewright.study.study import STALE, Study
from planewright.study.trade import TradeRow, trade_rows

POINTS = 15


class LeverRow(Record):
    """Lever 0 to 1, share of full thrust at equal voltage, duty of the controller."""

    lever: float
    share: float
    duty: float


class BenchRow(Record):
    """One static run: thrust N with relative ``sd`` and current A at ``volts``, exponent, friction, lever map, pack
    resistance ohm, drift kg, factor to standard air, damage (second and relative step, None when none was found)."""

    trial: str
    of: str
    serial: str
    state: str
    volts: float
    thrust: float
    sd: float
    amps: float
    exponent: float
    friction: float
    levers: tuple[LeverRow, ...]
    resistance: float
    resistance_sd: float
    drift: float
    sea_level: float
    damage_second: float | None = None
    damage_step: float | None = None
    says: tuple[str, ...] = ()


class PackRow(Record):
    """One load run of the pack: mean current A, time to 30 % of the printed charge s, first timer s, at 0 C s,
    resistance ohm (None where the current never changed)."""

    trial: str
    amps: float
    time: float
    first: float
    cold: float
    resistance: float | None = None


class Bench(Record):
    """All static and load runs of a project, those that could not be reduced with the reason, pairs in sentences."""

    runs: tuple[BenchRow, ...] = ()
    packs: tuple[PackRow, ...] = ()
    refused: tuple[tuple[str, str], ...] = ()
    pairs: tuple[str, ...] = ()


class EngineSheet(Record):
    """Everything `planewright engine` shows. SI units throughout; bands are 95 %."""

    schema_: Literal["planewright/engine/1"] = Field("planewright/engine/1", serialization_alias="schema")
    version: str
    project: str
    inputs_hash: str
    stale: bool
    why: str
    units: tuple[UnitRow, ...] = ()
    match: tuple[MatchRow, ...] = ()
    flight: FlightRow | None = None
    stopped: tuple[StoppedRow, ...] = ()
    pair: PairRow | None = None
    supply: SupplyRow | None = None
    trade: tuple[TradeRow, ...] = ()
    bench: Bench = Field(default_factory=Bench)
    says: tuple[str, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS
    noise: tuple[str, ...] = NOISE

    def as_dict(self) -> dict[str, object]:
        """The JSON document."""
        data = self.model_dump(mode="json", exclude_none=True)
        return {"schema": data.pop("schema_"), **data}


def engine_sheet(study: Study, bench: Bench | None = None, inputs_hash: str = "") -> EngineSheet:
    """The sheet of a study; ``bench`` what its static runs say. Without engine or battery ``why`` says what lacks."""
    power = study.models.power
    bench = bench or Bench()
    head = {
        "version": __version__,
        "project": study.plane.name,
        "inputs_hash": inputs_hash,
        "stale": bool(study.knowledge.stale),
        "bench": bench,
    }
    if power is None:
        return EngineSheet.model_validate(
            {**head, "why": study.models.why.get("power", "there is no engine")}
        )
    match = tuple(match_rows(study, power))
    stale = (f"Note: {STALE}.",) if study.knowledge.stale else ()
    return EngineSheet.model_validate(
        {
            **head,
            "why": "",
            "units": unit_rows(study, power),
            "match": match,
            "flight": flight_row(study, power, min((one.first for one in bench.packs), default=np.inf)),
            "stopped": tuple(stopped_rows(study, power)),
            "pair": pair_row(study, power),
            "supply": supply_row(study, power),
            "trade": trade_rows(study, power),
            "says": (*stale, *lever_said(match, bench)),
        }
    )


def lever_said(match: Iterable[MatchRow], bench: Bench) -> tuple[str, ...]:
    """Where the lever stands in level flight, by the map of the newest sound run."""
    level = next((one for one in match if one.id == "level" and 0.0 < one.duty < 1.0), None)
    run = next((one for one in reversed(bench.runs) if one.levers and one.state == "in its place"), None)
    if level is None or run is None:
        return ()
    lever = float(
        np.interp(level.duty, [0.0, *(p.duty for p in run.levers)], [0.0, *(p.lever for p in run.levers)])
    )
    return (f"Level flight stands at about {100 * lever:.0f} % of the lever, by the map of {run.trial}.",)


def map_chart(unit: UnitRow) -> Chart:
    """Thrust of one engine against speed at four voltages."""
    return Chart(
        id=f"map {unit.name}",
        title=f"{unit.name} ({unit.serial}): push against speed at the motor's voltage",
        x=Axis(words="speed", unit="m/s", low=0.0, zero=True),
        y=Axis(words="push", unit="N", zero=True),
        series=tuple(
            Series(words=f"{row.volts:.1f} V", x=unit.speeds, y=row.thrust, look="line") for row in unit.map
        ),
        notes=("At medians. Below zero the air turns it.",),
    )


def thrust_chart(study: Study) -> Chart | None:
    """Push of all engines against speed with its band, full power, on a 90 % and a 30 % pack; None without power."""
    power = study.models.power
    if power is None:
        return None
    top = max(
        float(np.nanmedian(study.outer[0]["level_speed"])) * 1.5 if "level_speed" in study.outer[0] else 20.0,
        5.0,
    )
    x = np.linspace(0.0, min(top, 40.0), POINTS)
    full, tired = (
        np.array([power.thrust(study.draws, float(one), charge).total for one in x]) for charge in (0.9, 0.3)
    )
    drag = study.outer[1]
    marks = (Mark(words="planned speed", x=float(np.nanmedian(drag.speed))),) if drag is not None else ()
    return Chart(
        id="engines",
        title="Push of all engines against speed",
        x=Axis(words="speed", unit="m/s", low=0.0, zero=True),
        y=Axis(words="push", unit="N", low=0.0, zero=True),
        series=(line("pack 90 %", x, full), line("pack 30 %", x, tired, "dashed")),
        marks=marks,
        notes=("Full power, 95 % bands.",),
    )


class RunPoints(Protocol):
    """What a picture of a static run needs: rows at full lever and the fitted law."""

    @property
    def volts(self) -> Sequence[float]: ...
    @property
    def push(self) -> Sequence[float]: ...
    @property
    def law(self) -> Sequence[float]: ...


def bench_chart(row: BenchRow, points: RunPoints) -> Chart:
    """Rows of one run at full lever, thrust against voltage, and the law through them."""
    order = np.argsort(points.volts)
    volts = tuple(float(points.volts[i]) for i in order)
    marks: Iterable[Mark] = (Mark(words="reported at", x=row.volts),)
    return Chart(
        id=f"bench {row.trial}",
        title=f"{row.trial}: {row.thrust:.2f} N at {row.volts:g} V",
        x=Axis(words="voltage under load", unit="V"),
        y=Axis(words="push", unit="N"),
        series=(
            Series(
                words="rows at full lever",
                x=tuple(points.volts),
                y=tuple(points.push),
                look="dots",
                kind="measured",
            ),
            Series(
                words="law",
                x=volts,
                y=tuple(float(points.law[i]) for i in order),
                look="line",
                kind="measured",
            ),
        ),
        marks=tuple(marks),
        notes=(
            "Rows lie off the law by the friction of the arm: it sinks while the pack sags, and the cell reads high.",
        ),
    )
