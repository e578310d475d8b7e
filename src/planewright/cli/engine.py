"""The sheet of the engines on the terminal, as pictures and as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rich.console import Console
from rich.text import Text

from planewright.cli.opening import opened
from planewright.cli.printing import console, plain_table, print_faults
from planewright.documents.engine_reports import charts_of, sheet_of
from planewright.documents.opening import compact, study_of, system_of
from planewright.draw.charts import chart_scene
from planewright.draw.svg import svg
from planewright.files import write_atomically
from planewright.study.chart import Chart
from planewright.study.engine_sheet import EngineSheet
from planewright.study.propulsion import Band
from planewright.units.showing import System, show, show_range

DONE = 0
WIDTH, HEIGHT = 150.0, 95.0


def engine_command(folder: Path, units: str | None = None, json_: bool = False) -> int:
    """Show map, match and bench of each engine; write its pictures into the folder's out/.

    Reads the project (InputError with every fault when one stops the work); writes ``out/engine*.svg`` and nothing
    else. Returns 0.
    """
    one = opened(folder)
    study = study_of(one)
    sheet = sheet_of(one, study)
    written = [draw(folder, chart) for chart in charts_of(one, study, sheet)]
    if json_:
        print(compact({**sheet.as_dict(), "pictures": written}))
        return DONE
    print_faults(one.faults)
    print_sheet(sheet, system_of(one, units), written)
    return DONE


def draw(folder: Path, chart: Chart) -> str:
    """One picture into out/; its name."""
    name = "".join(c if c.isalnum() or c in "-." else "-" for c in f"engine-{chart.id}") + ".svg"
    (folder / "out").mkdir(exist_ok=True)
    write_atomically(folder / "out" / name, svg(chart_scene(chart, WIDTH, HEIGHT), "#ffffff"))
    return f"out/{name}"


def with_band(found: Band, system: System, decimals: int | None = None) -> str:
    """Middle and 95 % band."""
    return (
        f"{show(found.value, found.unit, system, decimals)} "
        f"({show_range(found.low, found.high, found.unit, system, decimals)})"
    )


def print_sheet(sheet: EngineSheet, system: System, written: Iterable[str]) -> None:
    """The whole sheet on the terminal."""
    screen = console()
    screen.print(Text(f"{sheet.project}: engines", style="bold"))
    for words in sheet.says:
        screen.print(words)
    if sheet.why:
        screen.print(f"No numbers: {sheet.why}.")
    print_units(screen, sheet, system)
    print_match(screen, sheet, system)
    print_flight(screen, sheet, system)
    print_stopped(screen, sheet, system)
    print_bench(screen, sheet, system)
    print_trade(screen, sheet, system)
    if sheet.supply is not None:
        section(screen, "Receiver and servos", sheet.supply.says)
    section(screen, "Cautions", (*sheet.cautions, *sheet.noise))
    section(screen, "Pictures", written)


def section(screen: Console, head: str, lines: Iterable[str]) -> None:
    """A head and its sentences."""
    screen.print()
    screen.print(Text(head, style="bold"))
    for words in lines:
        screen.print(f"- {words}")


def print_units(screen: Console, sheet: EngineSheet, system: System) -> None:
    """One table of all engines, then what is said of each."""
    if not sheet.units:
        return
    table = plain_table("engine", "at rest, full pack", "current", "at planned speed", "shaft", "tip", "tone")
    for one in sheet.units:
        table.add_row(
            f"{one.name} ({one.serial})",
            with_band(one.thrust, system, 1),
            f"{one.amps.value:.1f} A",
            with_band(one.thrust_planned, system, 1),
            f"{round(one.shaft_rpm, -2):.0f} rpm",
            f"{show(one.tip_speed, 'm/s', system, 0)}, Mach {one.tip_mach:.2f}",
            f"{one.tone:.0f} Hz",
        )
    screen.print(table)
    for one in sheet.units:
        section(
            screen,
            f"{one.name} ({one.serial})",
            (f"From {one.basis}.", *filter(None, (one.claim,)), *one.says),
        )
        grid = plain_table("volts", *(show(v, "m/s", system, 0) for v in one.speeds), right=range(7))
        for row in one.map:
            grid.add_row(f"{row.volts:.1f}", *(show(t, "N", system, 1) for t in row.thrust))
        screen.print(grid)


def print_match(screen: Console, sheet: EngineSheet, system: System) -> None:
    """All engines on the pack."""
    if not sheet.match:
        return
    screen.print()
    screen.print(Text("On the pack", style="bold"))
    table = plain_table("", "push", "current", "volts", "controller")
    for one in sheet.match:
        table.add_row(
            one.words,
            with_band(one.thrust, system, 1),
            f"{one.amps.value:.1f} A ({one.amps.low:.1f} to {one.amps.high:.1f})",
            f"{one.volts:.2f} V",
            f"{100 * one.duty:.0f} %",
        )
    screen.print(table)


def clock(seconds: float) -> str:
    """Minutes and seconds."""
    return f"{int(seconds // 60)}:{int(seconds % 60):02d}"


def percent(found: Band) -> str:
    """A fraction with its band in per cent."""
    return f"{100 * found.value:.0f} % ({100 * found.low:.0f} to {100 * found.high:.0f})"


def times(found: Band) -> str:
    """A time with its band."""
    return f"{clock(found.value)} ({clock(found.low)} to {clock(found.high)})"


def print_flight(screen: Console, sheet: EngineSheet, system: System) -> None:
    """Minutes and timers."""
    one = sheet.flight
    if one is None:
        return
    section(
        screen,
        "Minutes",
        (
            f"From full to 30 % left: level {times(one.level)}, in the pattern {times(one.pattern)}.",
            f"First flight: timer {clock(one.first)}. At most half of the cautious {clock(one.cautious)} (5 % "
            f"charge, 95 % current) and 0.45 of the middle time ({clock(one.bench)}).",
            f"Pack at 0 °C: used-pack thrust {100 * one.cold_thrust:+.0f} %, minutes {100 * one.cold_minutes:+.0f} %.",
            f"Pack warms by {one.pack_heat_full:.1f} K a minute at full power, {one.pack_heat_level:.2f} level, "
            "uncooled; keep it between 15 and 60 °C.",
            *one.says,
        ),
    )


def print_stopped(screen: Console, sheet: EngineSheet, system: System) -> None:
    """One engine stopped, and left against right."""
    for one in sheet.stopped:
        section(
            screen,
            f"{one.name} stopped, {show(one.speed, 'm/s', system)} on a 90 % pack",
            (
                f"Climb {percent(one.climb_brake)} held still, {percent(one.climb_free)} turned by the air.",
                f"It yaws with {one.moment:.1f} N m; the other gains {100 * one.gain:.1f} %: the pack sags less.",
                *one.says,
            ),
        )
    if sheet.pair is not None:
        section(screen, "Left against right", sheet.pair.says)


def print_bench(screen: Console, sheet: EngineSheet, system: System) -> None:
    """Static runs."""
    if not (sheet.bench.runs or sheet.bench.refused or sheet.bench.packs):
        return
    screen.print()
    screen.print(Text("On the bench", style="bold"))
    table = plain_table("run", "unit", "push at volts", "current", "exponent", "pack", "state")
    for one in sheet.bench.runs:
        table.add_row(
            one.trial,
            f"{one.of} ({one.serial})",
            f"{show(one.thrust, 'N', system, 2)} +-{196 * one.sd:.1f} % at {one.volts:g} V",
            f"{one.amps:.1f} A",
            f"{one.exponent:.2f}",
            f"{1000 * one.resistance:.1f} mohm",
            one.state,
        )
    screen.print(table)
    for one in sheet.bench.runs:
        screen.print(Text(one.trial, style="bold"))
        for words in one.says:
            screen.print(f"    {words}")
    for name, why in sheet.bench.refused:
        screen.print(f"{name}: not reduced: {why}")
    for words in sheet.bench.pairs:
        screen.print(f"- {words}.")
    for pack in sheet.bench.packs:
        ohms = "" if pack.resistance is None else f"; {1000 * pack.resistance:.1f} mohm under load"
        screen.print(
            f"- {pack.trial}: {pack.amps:.1f} A on average: {clock(pack.time)} to 30 % of the printed charge; first "
            f"timer {clock(pack.first)} (0.45 of it), {clock(pack.cold)} on a day of 0 °C{ohms}."
        )


def print_trade(screen: Console, sheet: EngineSheet, system: System) -> None:
    """What a change would bring."""
    if not sheet.trade:
        return
    screen.print()
    screen.print(Text("What a change would bring (at medians; a reason to try, not a result)", style="bold"))
    table = plain_table("", "mass", "balance", "at rest", "planned speed", "climb", "pattern", "full current")
    for one in sheet.trade:
        table.add_row(
            one.words,
            show(one.mass, "kg", system),
            show(one.cg_x, "m", system),
            show(one.thrust, "N", system, 1),
            show(one.thrust_planned, "N", system, 1),
            f"{100 * one.climb:.0f} %",
            clock(one.minutes),
            f"{one.amps:.0f} A",
        )
    screen.print(table)
