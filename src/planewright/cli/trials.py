"""The commands about trials: what to test next, and planning one."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from rich.text import Text

from planewright.calibrate.kinds import kind_name
from planewright.cli.opening import opened
from planewright.cli.printing import console, plain_table, print_verdict
from planewright.documents.cards import card
from planewright.documents.expected import range_words
from planewright.documents.making import OUT
from planewright.documents.opening import as_json, document_of, study_of, system_of
from planewright.documents.trial_card import card_pdf
from planewright.errors import Fault, InputError
from planewright.files import write_atomically
from planewright.records.model import TRIAL_KINDS
from planewright.records.reading import TRIAL, TRIALS
from planewright.study.model import Document, NextTest
from planewright.study.next import candidates
from planewright.study.settle import chance, percent
from planewright.study.trials import planned_text, trial_rows
from planewright.units.showing import System

DONE = 0
MOST_ROWS = 3


def next_command(folder: Path, units: str | None, json_: bool) -> int:
    """What to test next, as a table or as the JSON document."""
    one = opened(folder)
    study = study_of(one)
    system = system_of(one, units)
    document = document_of(one, study, system)
    if json_:
        print(as_json(document))
        return DONE
    print_next(document, system)
    print_verdict(document)
    return DONE


def print_next(document: Document, system: System) -> None:
    """Each test with its open rows: share, share per hour, chance to settle, chance to break; what it should read."""
    screen = console()
    names = {one.id: one.name for one in document.findings}
    for one in document.following:
        head = f"{one.kind} of {one.of}: {one.minutes:.0f} min, {one.people} people"
        screen.print(Text(head, style="bold"))
        if one.closes:
            screen.print("    closes: " + "; ".join(names[row] for row in one.closes))
        if one.rows:
            screen.print(_rows(one))
        for words in (breaks_words(one), *one.notes):
            if words:
                screen.print(f"    {words}")
        for read in one.expects[:MOST_ROWS]:
            screen.print(f"    should read: {read.what}: {range_words(read, system)}")
    if not document.following:
        screen.print("Nothing is open that a trial could close or make surer.")


def _rows(one: NextTest) -> object:
    table = plain_table("    open row", "variance removed", "an hour", "settles it", right=(1, 2, 3))
    for row in one.rows[:MOST_ROWS]:
        table.add_row(f"    {row.name}", percent(row.share), percent(row.per_hour), chance(row.settles))
    return table


def breaks_words(one: NextTest) -> str:
    """The chance that the article breaks, in words."""
    if one.article == "flying":
        return f"chance that it breaks the part that will fly: {chance(one.breaks)}; at most {one.most}"
    if one.article == "piece" and one.breaks >= 1.0:
        return "a piece made to be broken"
    return f"chance that the piece breaks: {chance(one.breaks)}; {one.most}" if one.article == "piece" else ""


def plan_command(folder: Path, kind: str, of: str, date: str, units: str | None, json_: bool) -> int:
    """Write a planned trial and its card. Raises InputError for an unknown kind, part or date."""
    one = opened(folder)
    study = study_of(one)
    system = system_of(one, units)
    wanted, part = chosen(kind, of, [(c.kind, c.of) for c in candidates(study.plane)])
    day = day_of(date)
    name = free_name(folder, f"{day.isoformat()}-{wanted}")
    expects = study.expectations([(name, wanted, part)])[name]
    text = planned_text(wanted, day, part, study.plane.configuration, expects)
    target = folder / TRIALS / name
    target.mkdir(parents=True)
    write_atomically(target / TRIAL, text)
    again = opened(folder)
    row = next(
        row
        for row in trial_rows(again.project.trials, study.knowledge, system, {name: expects})
        if row.id == name
    )
    out = folder / OUT / f"card-{name}.pdf"
    out.parent.mkdir(exist_ok=True)
    write_atomically(out, card_pdf(card(row, system), study.plane.name))
    if json_:
        print(as_json(document_of(again, study, system)))
    else:
        print(f"Planned {TRIALS}/{name}/{TRIAL}. Card: {out.relative_to(folder)}")
        for read in expects:
            print(f"  should read: {read.what}: {range_words(read, system)}")
    return DONE


def chosen(kind: str, of: str, known: list[tuple[str, str]]) -> tuple[str, str]:
    """The kind of the record and the part, the first that serves when none is named."""
    wanted = "proof" if kind == "joint" else kind
    if wanted not in TRIAL_KINDS or wanted == "flight":
        raise InputError(
            [
                Fault(
                    "command line", 0, "KIND", f"reads {kind}.", f"One of: {', '.join(TRIAL_KINDS[:-1])}.", ""
                )
            ]
        )
    parts = [
        part for name, part in known if name == kind_name(kind, part) and (kind != "proof" or "." not in part)
    ]
    if not of and not parts:
        raise InputError(
            [Fault("command line", 0, kind, "has no part in this aeroplane.", "A part it can be of.", "")]
        )
    return wanted, of or parts[0]


def day_of(date: str) -> dt.date:
    """The day of a trial; today when it is not said."""
    try:
        return dt.date.fromisoformat(date) if date else dt.date.today()
    except ValueError as error:
        fault = Fault(
            "command line", 0, "--date", f"reads {date}.", "A day, year first.", "Write 2026-05-02."
        )
        raise InputError([fault]) from error


def free_name(folder: Path, stem: str) -> str:
    """A name for the trial's folder that is not taken."""
    names = (stem if number == 1 else f"{stem}-{number}" for number in range(1, 1000))
    return next(name for name in names if not (folder / TRIALS / name).exists())
