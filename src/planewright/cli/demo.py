"""The whole job on the invented example Plover, start to end."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

from planewright.cli.book import make_book
from planewright.cli.commands import calibrate_command, check_command
from planewright.cli.opening import opened
from planewright.documents.making import OUT
from planewright.documents.opening import document_of, study_of
from planewright.draw.paper import Paper
from planewright.errors import Fault, InputError
from planewright.project import new_project

DONE = 0
MARK = ".made-by-demo"


def fresh(folder: Path) -> None:
    """An empty place for the demo: a folder that an earlier demo made is made anew; any other is refused."""
    if not folder.exists() or not any(folder.iterdir()):
        return
    if not (folder / MARK).exists():
        raise InputError(
            (
                Fault(
                    folder.name, 0, "", "holds files that no demo made.", "The demo wants a folder of its own.",
                    "Give another name: planewright demo FOLDER",
                ),
            )
        )  # fmt: skip
    shutil.rmtree(folder)


def verdict_line(folder: Path) -> str:
    """The verdict of a project in one line."""
    one = opened(folder)
    verdict = document_of(one, study_of(one)).verdict
    assert verdict is not None
    return f"{verdict.says}. {verdict.sentence}"


def demo_command(folder: Path, paper: Paper | None) -> int:
    """Start Plover, check it, take its trials in, make its book, and show the verdict before and after."""
    fresh(folder)
    new_project(folder, "plover")
    (folder / MARK).write_text("planewright demo made this folder; it may be deleted.\n", encoding="utf-8")
    print(f"1. Started the invented example Plover in {folder}\n")
    print("2. Before its trials are taken in\n")
    check_command(folder, None, False)
    before = verdict_line(folder)
    print("\n3. Taking the trials in\n")
    calibrate_command(folder, None, False)
    print("\n4. Making book, drawings, tiles and cut list\n")
    made, _ = make_book(folder, paper, None, dt.date.today())
    print(f"{len(made)} files.\n")
    print(f"Verdict before the trials: {before}")
    print(f"Verdict with the trials:   {verdict_line(folder)}\n")
    print(f"The build book lies in {folder / OUT / 'book.pdf'}")
    print(f"Drawings, tiles, parts, cut list and study.json lie beside it in {folder / OUT}")
    return DONE
