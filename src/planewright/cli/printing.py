"""Tables on the terminal: the same words, digits and order as book and page."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planewright.errors import Fault
from planewright.study import Document
from planewright.study.words import against_limit, band_text, known_words, value_text
from planewright.units.showing import System

STATES = {
    "clear": "clear",
    "crosses": "CROSSES",
    "short": "SHORT",
    "missing": "MISSING",
    "conflict": "CONFLICT",
}


def console() -> Console:
    """The terminal. Not a terminal: 110 columns, no colour."""
    width = None if sys.stdout.isatty() else 110
    return Console(file=sys.stdout, width=width, highlight=False, markup=False, emoji=False)


def plain_table(*heads: str, right: Iterable[int] = ()) -> Table:
    """A table with a line under its head and no other lines."""
    table = Table(box=None, pad_edge=False, header_style="bold", padding=(0, 2, 0, 0))
    rights = set(right)
    for i, head in enumerate(heads):
        table.add_column(head, justify="right" if i in rights else "left", overflow="fold")
    return table


def print_figures(document: Document, system: System) -> None:
    """The sheet of numbers by group."""
    screen = console()
    group = ""
    table = plain_table()
    for name, figure in document.figures.items():
        if figure.group != group:
            if group:
                screen.print(table)
                screen.print()
            group = figure.group
            table = plain_table(group, "middle", "95 in 100", "from", right=(1,))
        table.add_row(
            figure.name,
            value_text(name, figure, system),
            band_text(name, figure, system),
            known_words(figure),
        )
    screen.print(table)
    for one in document.absent:
        screen.print(Text(f"Not worked out: {one.figure}: {one.why}.", style="dim"))


def print_findings(document: Document, system: System) -> None:
    """All findings, worst first, and what to try next."""
    screen = console()
    table = plain_table("", "finding", "value and limit, or evidence", "")
    for one in document.findings:
        table.add_row(
            STATES[one.state],
            one.sentence,
            against_limit(one, system),
            "" if one.kind == "block" else "watch",
        )
    screen.print(table)
    open_tests = document.tests[:4]
    if open_tests:
        screen.print()
        screen.print(Text("What to try next", style="bold"))
    for test in open_tests:
        screen.print(f"- {test.says} ({test.minutes:.0f} min, {test.people} people)")
        for words in test.effects:
            screen.print(f"    {words}")


def print_verdict(document: Document) -> None:
    """The verdict, its first reason, the limits it holds for and the word on the day."""
    screen = console()
    verdict = document.verdict
    if verdict is None:
        return
    screen.print()
    screen.print(Text(f"{document.project}, letter {verdict.configuration}: {verdict.says}.", style="bold"))
    screen.print(verdict.sentence)
    if verdict.today:
        screen.print(verdict.today)
    if verdict.id == "pilot_decides":
        low, high = verdict.mass_range or (0.0, 0.0)
        screen.print(
            f"Holds for letter {verdict.configuration}, {low:.2f} to {high:.2f} kg, {verdict.field}."
        )
    screen.print("Limits: " + "; ".join(verdict.limits))


def print_faults(faults: Sequence[Fault], to_stderr: bool = False) -> None:
    """Faults, questions and notes, each as two lines."""
    for one in faults:
        print(one.text(), file=sys.stderr if to_stderr else sys.stdout)
