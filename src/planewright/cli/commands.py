"""What the short commands do: read, call one function, print."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from rich.text import Text

from planewright.calibrate import Change, calibrate, compare
from planewright.cli.opening import opened
from planewright.cli.printing import (
    console,
    plain_table,
    print_faults,
    print_figures,
    print_findings,
    print_verdict,
)
from planewright.documents.opening import (
    Opened,
    as_json,
    bare,
    compact,
    document_of,
    study_of,
    system_of,
)
from planewright.files import write_atomically
from planewright.knowledge import prior_knowledge, write_knowledge
from planewright.knowledge.model import Knowledge
from planewright.project import KNOWLEDGE, new_project
from planewright.study import Document, Study
from planewright.study.before import moved_words, with_before
from planewright.units.showing import System

DONE = 0


def new_command(folder: Path, start: str, json_: bool) -> int:
    """Start a project; refuse a folder that holds files."""
    made = new_project(folder, start)
    if json_:
        print(compact({**bare(folder.name), "files": [str(one) for one in made]}))
    else:
        print(f"Started {folder} from {start}: {len(made)} files. Next: planewright check {folder}")
    return DONE


def show_study(
    folder: Path, units: str | None, json_: bool, show: Callable[[Opened, Study, Document, System], None]
) -> int:
    """The study of a project as JSON, or shown by ``show`` with the verdict under it."""
    one = opened(folder)
    study = study_of(one)
    system = system_of(one, units)
    document = document_of(one, study, system)
    if json_:
        print(as_json(document))
    else:
        show(one, study, document, system)
        print_verdict(document)
    return DONE


def check_command(folder: Path, units: str | None, json_: bool) -> int:
    """Everything asked about, all findings, the verdict."""

    def show(one: Opened, study: Study, document: Document, system: System) -> None:
        print_faults((*one.faults, *study.questions))
        print_findings(document, system)

    return show_study(folder, units, json_, show)


def figures_command(folder: Path, units: str | None, json_: bool) -> int:
    """The sheet of numbers and the verdict."""
    return show_study(
        folder, units, json_, lambda _one, _study, document, system: print_figures(document, system)
    )


def calibrated(one: Opened) -> tuple[Knowledge, Knowledge]:
    """Knowledge before any trial, and with all trials in force."""
    site = one.project.site
    prior = prior_knowledge(one.plane, site.surface if site else "")
    study = study_of(one, prior)
    return prior, calibrate(prior, study.models.geometry, one.project.ledger, one.project.trials, site)


def calibrate_command(folder: Path, units: str | None, json_: bool) -> int:
    """Take the trials in, write the knowledge file, show before and after."""
    one = opened(folder, ignore_knowledge=True)
    prior, after = calibrated(one)
    system = system_of(one, units)
    before_study, after_study = study_of(one, prior), study_of(one, after)
    before = document_of(one, before_study, system)
    write_atomically(folder / KNOWLEDGE, write_knowledge(after), keep=True)
    faults = tuple(fault for fault in one.faults if fault.file != KNOWLEDGE)
    document = with_before(before, document_of(one, after_study, system, faults), after)
    if json_:
        print(as_json(document))
        return DONE
    print_faults(faults)
    print_changes(compare(prior, after))
    print_trials(document)
    print_moved(before, document)
    print_verdict(document)
    return DONE


def print_changes(changes: tuple[Change, ...]) -> None:
    """Before and after, one line for each quantity that moved or narrowed."""
    screen = console()
    table = plain_table("quantity", "before", "after", "narrowed to", "moved by", right=(3,))
    for one in changes:
        table.add_row(one.id, one.before, one.after, f"{one.narrowed:.0%}", ", ".join(one.moved_by))
    screen.print(table)


def print_trials(document: Document) -> None:
    """Each trial with what it gave and what was found in its rows."""
    screen = console()
    for row in document.trials:
        screen.print(Text(f"{row.id}: {row.state}", style="bold"))
        for words in row.says:
            screen.print(f"    {words}")


def print_moved(before: Document, after: Document) -> None:
    """Findings that changed side, and the verdict before and after."""
    screen = console()
    for row in after.moved:
        if row.before != row.after:
            screen.print(moved_words(row))
    if before.verdict and after.verdict:
        screen.print(f"Verdict: {before.verdict.says} before the trials, {after.verdict.says} with them.")
