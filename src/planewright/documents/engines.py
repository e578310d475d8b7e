"""The engines' part of the book: the pack's match, minutes and timers, one engine stopped, what a change brings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from planewright.analysis.power import PowerModel
from planewright.study import Study
from planewright.study.propulsion import (
    CAUTIONS,
    NOISE,
    Band,
    flight_row,
    match_rows,
    pair_row,
    stopped_rows,
    supply_row,
    unit_rows,
)
from planewright.study.trade import trade_rows
from planewright.units.showing import System, show


def clock(seconds: float) -> str:
    """Minutes and seconds, "12:05"."""
    return f"{int(seconds // 60)}:{int(seconds % 60):02d}"


def ends(found: Band, system: System) -> str:
    """Ends of a band in words."""
    return f"{show(found.low, found.unit, system, 1)} to {show(found.high, found.unit, system, 1)}"


def engine_tables(study: Study, power: PowerModel, system: System) -> list[dict[str, Any]]:
    """Tables of the chapter: match on the pack, minutes, one engine stopped, changes."""
    match = [
        [one.words, show(one.thrust.value, "N", system, 1), ends(one.thrust, system), f"{one.amps.value:.0f} A",
         f"{one.volts:.1f} V"]
        for one in match_rows(study, power)
    ]  # fmt: skip
    tables = [
        {
            "title": "On the pack",
            "head": ["Condition", "Push", "95 in 100", "Current", "Volts"],
            "rows": match,
        }
    ]
    flight = flight_row(study, power)
    if flight is not None:
        rows = [
            ["Level, full to 30 % left", clock(flight.level.value)],
            ["In the pattern", clock(flight.pattern.value)],
            ["In the pattern, cautious", clock(flight.cautious)],
            ["Timer of the first flight", clock(flight.first)],
        ]
        tables.append({"title": "Minutes", "head": ["", "min:s"], "rows": rows})
    stopped = [
        [one.name, f"{100 * one.climb_brake.value:.0f} %", f"{100 * one.climb_free.value:.0f} %",
         f"{one.moment:.1f} N m"]
        for one in stopped_rows(study, power)
    ]  # fmt: skip
    if stopped:
        head = ["Stopped", "Climb, held still", "Climb, turned by the air", "Yaws with"]
        tables.append({"title": "One engine stopped", "head": head, "rows": stopped})
    changes = [
        [one.words, show(one.mass, "kg", system), show(one.cg_x, "m", system), show(one.thrust, "N", system, 1),
         f"{100 * one.climb:.0f} %", clock(one.minutes)]
        for one in trade_rows(study, power)
    ]  # fmt: skip
    if changes:
        head = ["Change", "Mass", "Balance", "Push", "Climb", "Pattern"]
        tables.append({"title": "What a change would bring", "head": head, "rows": changes})
    return tables


def engine_notes(study: Study, power: PowerModel) -> Iterator[str]:
    """Sentences of the chapter, cautions last."""
    for unit in unit_rows(study, power):
        yield from (f"{unit.name}: {words}" for words in unit.says)
        yield f"{unit.name}: its tone lies at {unit.tone:.0f} Hz, its tips run at Mach {unit.tip_mach:.2f}."
    flight, pair, supply = flight_row(study, power), pair_row(study, power), supply_row(study, power)
    for part in (flight, pair, supply):
        if part is not None:
            yield from part.says
    for one in stopped_rows(study, power):
        yield from (f"{one.name} stopped: {words}" for words in one.says)
    yield from (*CAUTIONS, *NOISE)
