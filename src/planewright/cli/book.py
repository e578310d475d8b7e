"""Make everything into out/, with a bar on stderr. Stopping leaves whole files only."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Iterable
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn

from planewright.cli.opening import as_json, document_of, opened, study_of, system_of
from planewright.cli.printing import print_verdict
from planewright.documents.everything import PAPERS, Order, Piece, pieces
from planewright.draw.paper import Paper
from planewright.files import write_atomically

DONE = 0
OUT = "out"


def write_all(folder: Path, wanted: Iterable[Piece], bar: Progress | None = None) -> list[Path]:
    """Make each piece and write it below the folder's out/; returns the paths. ``bar`` shows what is being made."""
    made = []
    every = tuple(wanted)
    task = bar.add_task("", total=len(every)) if bar else None
    for piece in every:
        if bar is not None and task is not None:
            bar.update(task, description=piece.says)
        path = folder / OUT / piece.name
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(path, piece.make())
        made.append(path)
        if bar is not None and task is not None:
            bar.advance(task)
    return made


def progress() -> Progress:
    """The bar, on stderr; only on a terminal does it move."""
    return Progress(
        TextColumn("{task.description:<34}"),
        BarColumn(),
        TextColumn("{task.completed:.0f} of {task.total:.0f}"),
        console=Console(file=sys.stderr, highlight=False, markup=False),
        transient=False,
    )


def make_book(folder: Path, paper: Paper | None, units: str | None, date: dt.date) -> tuple[list[Path], str]:
    """Everything for one project; returns the files made and the study as JSON text."""
    one = opened(folder)
    study = study_of(one)
    system = system_of(one, units)
    document = document_of(one, study, system)
    text = as_json(document)
    papers = PAPERS if paper is None else (paper,)
    order = Order(papers, f"{date.day} {date:%B %Y}", system)
    with progress() as bar:
        made = write_all(folder, pieces(study, document, order, text), bar)
    return made, text


def book_command(folder: Path, paper: Paper | None, units: str | None, json_: bool) -> int:
    """Make the book, drawings, tiles, cut list and study; say where they lie."""
    made, text = make_book(folder, paper, units, dt.date.today())
    if json_:
        print(text)
        return DONE
    print(f"Made {len(made)} files in {folder / OUT}:")
    for path in made:
        if path.parent.name != "parts" or path.suffix != ".svg":
            print(f"  {path.relative_to(folder)}")
    drawn = sum(path.parent.name == "parts" and path.suffix == ".svg" for path in made)
    print(f"  and {drawn} part outlines in {OUT}/parts")
    one = opened(folder)
    study = study_of(one)
    print_verdict(document_of(one, study, system_of(one, units)), study.knowledge.stale)
    return DONE
