"""What is cut, on the terminal and as files: parts laid on boards, what changed, prints that are obsolete."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from rich.console import Console

from planewright.cli.bar import progress
from planewright.cli.opening import opened
from planewright.cli.printing import console, plain_table, print_faults
from planewright.documents.cutting.doing import Asked, keep, laid_plan, printer_of, reading, record_of
from planewright.documents.cutting.drawings import drawing_pieces
from planewright.documents.cutting.files import cutting_pieces
from planewright.documents.cutting.record import Cutting
from planewright.documents.cutting.store import PrinterReading, read_saved
from planewright.documents.everything import PAPERS
from planewright.documents.making import OUT, make
from planewright.documents.opening import compact, study_of, system_of
from planewright.documents.order import Order
from planewright.draw.nest.model import USUAL
from planewright.draw.paper import Paper
from planewright.errors import Fault, InputError

DONE = 0


@dataclass(frozen=True)
class Words:
    """The command line as typed: lists of boards and materials as text, readings in mm, 0 where none was given."""

    paper: Paper | None = None
    printed: str = ""
    cut: str = ""
    free: str = ""
    tidy: str = ""
    shuffles: int = USUAL.shuffles
    seed: int = USUAL.seed
    gap: float = USUAL.gap
    border: float = USUAL.border
    printer: str = ""
    read_across: float = 0.0
    read_up: float = 0.0


def sheets_command(folder: Path, words: Words, json_: bool, files: bool = True) -> int:
    """Lay the parts, keep where they lie in sheets.json, make the files into out/, show what is cut. Returns 0."""
    today = dt.date.today()
    one = opened(folder)
    study = study_of(one)
    saved = read_saved(folder)
    asked = asked_for(words, today.isoformat())
    with progress() as bar:
        task = bar.add_task("", total=1.0)

        def tell(done: float, says: str) -> None:
            bar.update(task, completed=done, description=says)

        plan = laid_plan(study, saved, asked, today.isoformat(), tell)
        record = record_of(plan, one.plane, asked.paper)
        papers = PAPERS if words.paper is None else (words.paper,)
        factors = printer_of(plan.saved, words.printer)
        order = Order(papers, f"{today.day} {today:%B %Y}", system_of(one, None), factors)
        wanted = (*cutting_pieces(plan, record, order), *drawing_pieces(study, plan, order))
        made = make(folder, wanted if files else (), tell)
        keep(folder, plan)
    if json_:
        print(compact(record.model_dump(mode="json", by_alias=True)))
        return DONE
    print_faults(one.faults)
    print_cutting(record, console())
    print(
        f"Made {len(made)} files in {folder / OUT}; where everything lies is kept in {folder / 'sheets.json'}."
    )
    return DONE


def asked_for(words: Words, date: str) -> Asked:
    """What the command line asks. Raises ``InputError`` for rules that cannot be and readings beyond 3 %."""
    try:
        rules = replace(USUAL, gap=words.gap, border=words.border, shuffles=words.shuffles, seed=words.seed)
    except ValueError as error:
        raise InputError(
            [Fault("command line", 0, "", f"{error}.", "", "Use what fits a knife: 3 and 5 mm.")]
        ) from error
    paper = words.paper or "A4"
    readings: tuple[PrinterReading, ...] = ()
    if words.read_across or words.read_up:
        readings = (reading(words.printer, paper, words.read_across, words.read_up, date),)
    return Asked(
        named(words.printed), named(words.cut), named(words.free), named(words.tidy), rules, paper, readings
    )


def named(text: str) -> tuple[str, ...]:
    """Names between commas."""
    return tuple(one.strip() for one in text.split(",") if one.strip())


def print_cutting(record: Cutting, screen: Console) -> None:
    """The whole record as sentences and tables."""
    screen.print(f"{record.project}, letter {record.letter}: what is cut")
    for words in record.says:
        screen.print(words)
    rows = [
        (
            str(one.number), one.board, f"{one.width_mm:.0f} × {one.height_mm:.0f}", one.state, one.revision,
            f"{one.thickness_mm:.1f}", f"{100 * one.use:.0f} %", str(len(one.places)),
            "obsolete" if one.obsolete else "",
        )
        for one in record.sheets
    ]  # fmt: skip
    section(
        screen, "Boards", ("sheet", "board", "mm", "state", "rev.", "mm thick", "used", "pieces", ""), rows
    )
    changed = [(one.title, one.what, one.revision, one.says) for one in record.changes]
    section(screen, "Changed since parts were last laid", ("part", "", "rev.", "what"), changed)
    left = [(one.key, one.why, one.would_work) for one in record.left]
    section(screen, "On no board", ("piece", "why", "what would work"), left)
    section(
        screen, "To decide before cutting", ("part", "found", "what would work"),
        [(one.title or "all", one.found, one.would_work) for one in record.advice],
    )  # fmt: skip
    bill = [
        (one.item, one.size, one.unit, f"{one.used:g}", f"{one.spare:g}", "" if one.owned is None else f"{one.owned:g}",
         f"{one.buy:g}")
        for one in record.bill
    ]  # fmt: skip
    section(screen, "Bill", ("item", "size", "unit", "used", "spare", "owned", "buy"), bill)


def section(screen: Console, head: str, heads: Iterable[str], rows: Iterable[tuple[str, ...]]) -> None:
    """A heading and a table; nothing where there are no rows."""
    every = list(rows)
    if not every:
        return
    screen.print("")
    screen.print(head, style="bold")
    table = plain_table(*heads)
    for row in every:
        table.add_row(*row)
    screen.print(table)
