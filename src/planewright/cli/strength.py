"""The sheet of strength on the terminal, as pictures and as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.text import Text

from planewright.cli.opening import opened
from planewright.cli.printing import console, plain_table, print_faults
from planewright.documents.opening import compact, study_of, system_of
from planewright.documents.strength_reports import strength_sheet_of
from planewright.draw.charts import chart_scene
from planewright.draw.svg import svg
from planewright.files import write_atomically
from planewright.study.chart import Chart
from planewright.study.propulsion import Band
from planewright.study.strength_sheet import ScaleRow, StrengthSheet, strength_charts
from planewright.study.strength_twist import TwistSheet
from planewright.units.showing import System, show

DONE = 0
WIDTH, HEIGHT = 150.0, 95.0
MANY = 99.5


def strength_command(folder: Path, units: str | None = None, json_: bool = False) -> int:
    """Show modes, load cases, joints, other parts, twist and materials; write its pictures into the folder's out/.

    Reads the project (InputError with every fault when one stops the work); writes ``out/strength-*.svg`` and nothing
    else. Returns 0.
    """
    one = opened(folder)
    study = study_of(one)
    sheet = strength_sheet_of(one, study)
    written = [draw(folder, chart) for chart in (strength_charts(study) if not sheet.why else ())]
    if json_:
        print(compact({**sheet.as_dict(), "pictures": written}))
        return DONE
    print_faults(one.faults)
    print_sheet(sheet, system_of(one, units), written)
    return DONE


def draw(folder: Path, chart: Chart) -> str:
    """One picture into out/; its name."""
    name = f"strength-{chart.id}.svg"
    (folder / "out").mkdir(exist_ok=True)
    write_atomically(folder / "out" / name, svg(chart_scene(chart, WIDTH, HEIGHT), "#ffffff"))
    return f"out/{name}"


def g_of(found: Band, decimals: int = 1) -> str:
    """A multiple with its band; what nothing reaches is "never"."""
    if found.low > MANY:
        return "never"
    high = f"{found.high:.{decimals}f}" if found.high < MANY else "100 and more"
    return f"{min(found.value, MANY):.{decimals}f} ({found.low:.{decimals}f} to {high})"


def kg_of(found: Band) -> str:
    """Sand a side with its band."""
    return "never" if found.low > 500 else f"{found.value:.1f} ({found.low:.1f} to {found.high:.1f})"


def section(screen: Console, head: str, lines: Iterable[str]) -> None:
    """A head and its sentences."""
    rows = tuple(lines)
    if rows:
        screen.print()
        screen.print(Text(head, style="bold"))
        for words in rows:
            screen.print(f"- {words}")


def print_sheet(sheet: StrengthSheet, system: System, written: Iterable[str]) -> None:
    """The whole sheet on the terminal."""
    screen = console()
    screen.print(Text(f"{sheet.project}: strength", style="bold"))
    for words in sheet.says:
        screen.print(words)
    if sheet.why:
        screen.print(f"No numbers: {sheet.why}.")
    print_modes(screen, sheet)
    print_cases(screen, sheet, system)
    print_joints(screen, sheet, system)
    print_details(screen, sheet, system)
    print_twist(screen, sheet.twist, system)
    for row in sheet.scale:
        print_scale(screen, row)
    print_bags(screen, sheet, system)
    print_materials(screen, sheet)
    section(screen, "Not looked at", (f"{one}." for one in sheet.not_covered))
    section(screen, "Cautions", sheet.cautions)
    section(screen, "Pictures", written)


def print_modes(screen: Console, sheet: StrengthSheet) -> None:
    """Every mode that was looked at."""
    if sheet.load_factor is None:
        return
    screen.print(f"The wing breaks at {g_of(sheet.load_factor)} g; {sheet.needed:g} are needed.")
    table = plain_table("what gives", "at g", "first in", "where", right=range(1, 4))
    for one in sheet.modes:
        table.add_row(one.mode, g_of(one.load), f"{100 * one.first:.0f} %", f"{1000 * one.place:.0f} mm out")
    screen.print(table)


def print_cases(screen: Console, sheet: StrengthSheet, system: System) -> None:
    """Load cases."""
    if not sheet.cases:
        return
    screen.print()
    screen.print(Text("Load cases (the wing holds so many times each)", style="bold"))
    names = tuple(sheet.cases[0].joints)
    table = plain_table(
        "case", "g", "root", *names, "holds", "needs", "weakest", right=range(1, 5 + len(names))
    )
    for one in sheet.cases:
        joints = (show(one.joints[name], "N m", system, 1) for name in names)
        table.add_row(
            one.words, f"{one.factor:.1f}", show(one.root, "N m", system, 1), *joints, g_of(one.holds),
            f"{one.needs:g}", one.weakest,
        )  # fmt: skip
    screen.print(table)


def print_joints(screen: Console, sheet: StrengthSheet, system: System) -> None:
    """Joints."""
    for one in sheet.joints:
        lines = [
            f"{1000 * one.out:.0f} mm out: {show(one.one_g, 'N m', system, 2)} in level flight, "
            f"{show(one.limit, 'N m', system, 2)} at limit load, "
            f"{show(one.ultimate, 'N m', system, 2)} with 1.5 and 1.15.",
            f"Wing upside down, hang {show(one.hung_limit, 'N m', system, 2)} and "
            f"{show(one.hung_ultimate, 'N m', system, 2)}: the panel's own weight helps.",
        ]
        if one.force_limit is not None and one.force_ultimate is not None:
            where = "latch and hinge" if one.kind == "hinge" else "ends of the blades"
            lines.append(f"Force at the {where}: {one.force_limit:.0f} and {one.force_ultimate:.0f} N.")
        holds = one.holds
        lines.append(
            "Only a proof tells what it holds." if holds is None
            else f"By the drawing it holds {holds.value:.1f} N m ({holds.low:.1f} to {holds.high:.1f})."
        )  # fmt: skip
        section(
            screen,
            f"Joint {one.name} ({one.kind})",
            (*lines, f"Lifted by the tips: {one.tip_lift_holds}.", *one.says),
        )


def print_details(screen: Console, sheet: StrengthSheet, system: System) -> None:
    """Other parts."""
    if not sheet.details:
        return
    screen.print()
    screen.print(Text("Other parts", style="bold"))
    table = plain_table("part", "must carry", "carries at least", "where", right=range(1, 3))
    for one in sheet.details:
        holds = "not told by the drawing" if one.holds is None else show(one.holds.low, one.unit, system, 1)
        table.add_row(one.words, show(one.need, one.unit, system, 1), holds, one.where)
    screen.print(table)
    for one in sheet.details:
        for words in one.says:
            screen.print(f"- {one.words}: {words}")


def speed_of(value: float | None, system: System) -> str:
    """A speed, or that none was found."""
    return "none found" if value is None else show(value, "m/s", system, 0)


def print_twist(screen: Console, twist: TwistSheet | None, system: System) -> None:
    """Stiffness in twist."""
    if twist is None:
        return
    screen.print()
    screen.print(Text("Twist", style="bold"))
    turn = twist.tip_per_torque
    screen.print(
        f"Stiffness at the root {twist.stiffness.value:.0f} N m2 ({twist.stiffness.low:.0f} to "
        f"{twist.stiffness.high:.0f}); "
        f"the tip turns {np.rad2deg(turn.value):.2f} deg for each N m hung there ({np.rad2deg(turn.low):.2f} to "
        f"{np.rad2deg(turn.high):.2f})."
    )
    table = plain_table(
        "state",
        "twists off",
        "half of the roll",
        "roll left",
        "simple rule",
        "bending and twist",
        right=range(1, 6),
    )
    for one in twist.rows:
        kept = "none" if one.kept is None or one.kept <= 0 else f"{100 * one.kept:.0f} %"
        table.add_row(
            one.words, speed_of(one.divergence, system), speed_of(one.half_roll, system), kept,
            speed_of(one.rule, system), speed_of(one.unsteady, system),
        )  # fmt: skip
    screen.print(table)
    for words in twist.says:
        screen.print(f"- {words}")


def print_scale(screen: Console, row: ScaleRow) -> None:
    """A bent specimen beside the real wing."""
    screen.print()
    screen.print(Text(f"Small wing and real wing: {row.trial}", style="bold"))
    screen.print(f"Scaled: {'; '.join(row.stated)}.")
    table = plain_table("what gives", "small wing, kg a side", "real wing, kg a side", "e", right=range(1, 4))
    for one in row.modes:
        table.add_row(one.mode, kg_of(one.small), kg_of(one.full), f"{one.exponent:.2f}")
    screen.print(table)
    screen.print(
        f"The small wing breaks at {kg_of(row.small)} kg a side, {row.first_small} first; the real one at "
        f"{kg_of(row.full)}, "
        f"{row.first_full} first: {g_of(row.full_factor)} g at its root, joints left out."
    )
    for words in row.says:
        screen.print(f"- {words}")


def print_bags(screen: Console, sheet: StrengthSheet, system: System) -> None:
    """Bags on the wing turned upside down."""
    if not sheet.bags:
        return
    screen.print()
    screen.print(Text("Bags on each half, wing upside down, engines in their places", style="bold"))
    table = plain_table("from", "to", "limit load", "1.5 times", right=range(4))
    for one in sheet.bags:
        table.add_row(
            show(one.start, "m", system), show(one.end, "m", system), show(one.limit, "kg", system, 0),
            show(one.ultimate, "kg", system, 0),
        )  # fmt: skip
    screen.print(table)


def print_materials(screen: Console, sheet: StrengthSheet) -> None:
    """The table of materials."""
    screen.print()
    screen.print(Text("Materials", style="bold"))
    table = plain_table("material", "what", "value", "known", right=(2,))
    for one in sheet.materials:
        reach = f" ({one.low:g} to {one.high:g})" if one.low is not None and one.high is not None else ""
        value = "" if one.value is None else f"{one.value:g}{reach} {one.unit}".rstrip()
        table.add_row(one.material, one.what, value, one.kind)
    screen.print(table)
    section(
        screen,
        "With them",
        dict.fromkeys(f"{one.material}: {one.says}." for one in sheet.materials if one.says),
    )
