"""The sheet of air and handling on the terminal, as pictures and as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.text import Text

from planewright.cli.engine import section
from planewright.cli.opening import opened
from planewright.cli.printing import console, plain_table, print_faults
from planewright.documents.opening import compact, study_of, system_of
from planewright.draw.charts import chart_scene
from planewright.draw.svg import svg
from planewright.files import write_atomically
from planewright.study.chart import Chart
from planewright.study.handling_sheet import HandlingSheet, handling_sheet
from planewright.study.propulsion import Band
from planewright.units.showing import System, show, show_range

DONE = 0
NAMES = {"X": "CX", "Y": "CY", "Z": "CZ", "L": "Cl", "M": "Cm", "N": "Cn"}
WIDTH, HEIGHT = 150.0, 95.0


def handling_command(folder: Path, units: str | None = None, json_: bool = False) -> int:
    """Show air and handling; write the pictures into the folder's out/.

    Reads the project (InputError with every fault when one stops the work); writes ``out/handling-*.svg`` and nothing
    else. Returns 0.
    """
    one = opened(folder)
    study = study_of(one)
    sheet = handling_sheet(study, one.project.inputs_hash)
    written = [draw(folder, chart) for chart in sheet.charts]
    if json_:
        print(compact({**sheet.as_dict(), "pictures": written}))
        return DONE
    print_faults(one.faults)
    print_sheet(sheet, system_of(one, units), written)
    return DONE


def draw(folder: Path, chart: Chart) -> str:
    """One picture into out/; its name."""
    name = f"handling-{chart.id.replace('_', '-')}.svg"
    (folder / "out").mkdir(exist_ok=True)
    write_atomically(folder / "out" / name, svg(chart_scene(chart, WIDTH, HEIGHT), "#ffffff"))
    return f"out/{name}"


def with_band(found: Band, system: System, decimals: int | None = None) -> str:
    """Middle and 95 % band."""
    return (
        f"{show(found.value, found.unit, system, decimals)} "
        f"({show_range(found.low, found.high, found.unit, system, decimals)})"
    )


def times(found: Band) -> str:
    """Time to half, or to double where it is negative."""
    words = "halves" if found.value > 0 else "doubles"
    both = " or grows" if found.value > 0 and min(found.low, found.high) < 0 else ""
    both = " or dies" if found.value <= 0 and max(found.low, found.high) > 0 else both
    time = abs(found.value)
    return f"{words} in {time:.{2 if time < 1.0 else 1 if time < 10.0 else 0}f} s{both}"


def print_sheet(sheet: HandlingSheet, system: System, written: Iterable[str]) -> None:
    """The whole sheet on the terminal."""
    screen = console()
    screen.print(Text(f"{sheet.project}: air and handling", style="bold"))
    if sheet.why:
        screen.print(f"No numbers: {sheet.why}.")
    for words in sheet.says:
        screen.print(f"- {words}")
    print_stall(screen, sheet)
    print_limits(screen, sheet, system)
    print_trim(screen, sheet, system)
    print_motions(screen, sheet, system)
    print_sideways(screen, sheet, system)
    print_hinges(screen, sheet, system)
    print_derivatives(screen, sheet, system)
    print_folded(screen, sheet, system)
    print_fit(screen, sheet, system)
    section(screen, "Cautions", sheet.cautions)
    section(screen, "Pictures", written)


def head(screen: Console, words: str) -> None:
    """A head of its own line."""
    screen.print()
    screen.print(Text(words, style="bold"))


def print_stall(screen: Console, sheet: HandlingSheet) -> None:
    """The stall at medians."""
    one = sheet.stall
    if one is None:
        return
    head(screen, "Stall (at the middle of what is known)")
    screen.print(
        f"Greatest lift coefficient {one.lift:.2f} (+-{one.band:.2f}) at {np.rad2deg(one.alpha):.1f}° of the body, "
        f"elevator {np.rad2deg(one.elevator):.1f}°; section curves {one.method}."
    )


def print_limits(screen: Console, sheet: HandlingSheet, system: System) -> None:
    """Limits of the balance point."""
    if not sheet.limits:
        return
    head(screen, "Balance point, behind the nose")
    table = plain_table("", "middle", "95 in 100")
    for one in sheet.limits:
        table.add_row(
            one.words,
            show(one.x.value, "m", system),
            show_range(one.x.low, one.x.high, "m", system),
        )
    screen.print(table)


def print_trim(screen: Console, sheet: HandlingSheet, system: System) -> None:
    """Trim over speed and power."""
    if not sheet.trim:
        return
    head(screen, "Trim")
    table = plain_table("speed", "power", "angle", "elevator", "lift", "drag", "push")
    for one in sheet.trim:
        table.add_row(
            show(one.speed, "m/s", system),
            one.power,
            show(one.alpha.value, "rad", system),
            with_band(one.elevator, system),
            f"{one.lift:.2f}",
            show(one.drag.value, "N", system),
            show(one.thrust, "N", system),
        )
    screen.print(table)


def print_motions(screen: Console, sheet: HandlingSheet, system: System) -> None:
    """Natural motions."""
    if not sheet.motions:
        return
    head(screen, "Left alone")
    table = plain_table("speed", "motion", "one swing", "damping", "dies out")
    for one in sheet.motions:
        table.add_row(
            show(one.speed, "m/s", system),
            one.motion,
            "" if one.period is None else with_band(one.period, system),
            "" if one.damping is None else f"{one.damping.value:.2f}",
            times(one.half),
        )
    screen.print(table)


def print_sideways(screen: Console, sheet: HandlingSheet, system: System) -> None:
    """Roll, wind across, one engine stopped."""
    lines = [
        f"{show(one.speed, 'm/s', system)}: full aileron rolls {with_band(one.rate, system)}; 30° of bank after "
        f"{with_band(one.to_30, system, 2)}."
        for one in sheet.roll
    ]
    lines += [
        f"Wind across at {one.words} speed, {show(one.speed, 'm/s', system)}: held to {with_band(one.across, system)} "
        f"with {100 * abs(one.rudder):.0f} % of the rudder and {100 * abs(one.aileron):.0f} % of the aileron."
        for one in sheet.sideslip
    ]
    lines += [
        f"{one.engine} stopped, the other at {100 * one.power:.0f} % power: full rudder holds from "
        f"{with_band(one.speed, system)}, {one.over_lift_off.value:.2f} of lift-off speed."
        for one in sheet.stopped
    ]
    if lines:
        section(screen, "Roll and yaw", lines)


def print_hinges(screen: Console, sheet: HandlingSheet, system: System) -> None:
    """Hinge moments and servos."""
    if not sheet.hinges:
        return
    head(screen, "Hinge moments, the greatest of the whole range")
    table = plain_table("control", "servo", "moment", "torque over it", "at", "hang at trailing edge")
    for one in sheet.hinges:
        table.add_row(
            one.control,
            one.servo,
            with_band(one.moment, system),
            with_band(one.margin, system, 1),
            show(one.speed, "m/s", system),
            show(one.prove.value, "kg", system),
        )
    screen.print(table)
    for words in sheet.proofs:
        screen.print(f"- {words}")


def print_derivatives(screen: Console, sheet: HandlingSheet, system: System) -> None:
    """The whole set."""
    if not sheet.derivatives:
        return
    head(screen, f"Derivatives at {show(sheet.speed, 'm/s', system)}, per radian")
    screen.print(sheet.axes)
    table = plain_table("", "by", "middle", "95 in 100")
    for row in sheet.derivatives:
        for name, one in row.by.items():
            table.add_row(NAMES[row.row], name, f"{one.value:.3f}", f"{one.low:.3f} to {one.high:.3f}")
    screen.print(table)


def print_fit(screen: Console, sheet: HandlingSheet, system: System) -> None:
    """The field at three weights."""
    one = sheet.fit
    if one is None:
        return
    section(screen, "Will it fit the field?", one.says)
    table = plain_table("weight", "slowest", "run", "climb", "needed, times 1.3", "to spare", "")
    for row in one.rows:
        table.add_row(
            show(row.mass, "kg", system),
            show(row.stall, "m/s", system),
            show(row.run, "m", system, 0),
            f"{100 * row.gradient:.0f} %",
            show(row.needed, "m", system, 0),
            show(row.spare, "m", system, 0),
            "fits" if row.fits else "NO",
        )
    screen.print(table)


def print_folded(screen: Console, sheet: HandlingSheet, system: System) -> None:
    """Size for the car."""
    one = sheet.folded
    if one is None:
        return
    head(screen, "For the car")
    screen.print(
        f"Folded {show(one.span, 'm', system)} wide and {show(one.height, 'm', system)} high on its wheels."
    )
    table = plain_table("piece", "long", "wide", "high")
    for piece in one.pieces:
        table.add_row(piece.name, *(show(v, "m", system) for v in (piece.length, piece.width, piece.height)))
    screen.print(table)
