"""Make everything into out/, with a bar on stderr. Stopping leaves whole files only."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from planewright.cli.bar import progress
from planewright.cli.opening import opened
from planewright.cli.printing import print_verdict
from planewright.documents.cutting.store import read_saved
from planewright.documents.everything import PAPERS, pieces
from planewright.documents.making import OUT, make
from planewright.documents.opening import as_json, compared, document_of, study_of, system_of
from planewright.documents.order import Order
from planewright.draw.paper import Paper

DONE = 0


def make_book(
    folder: Path, paper: Paper | None, units: str | None, date: dt.date
) -> tuple[tuple[Path, ...], str]:
    """Everything for one project; returns the files made and the study as JSON text."""
    one = opened(folder)
    study = study_of(one)
    system = system_of(one, units)
    document = compared(one, study, system)
    text = as_json(document)
    papers = PAPERS if paper is None else (paper,)
    order = Order(papers, f"{date.day} {date:%B %Y}", system)
    with progress() as bar:
        task = bar.add_task("", total=1.0)
        made = make(
            folder,
            pieces(study, document, order, text, read_saved(folder)),
            lambda done, says: bar.update(task, completed=done, description=says),
        )
    return made, text


def book_command(folder: Path, paper: Paper | None, units: str | None, json_: bool) -> int:
    """Make the book, drawings, tiles, cut list and study; say where they lie."""
    made, text = make_book(folder, paper, units, dt.date.today())
    if json_:
        print(text)
        return DONE
    print(f"Made {len(made)} files in {folder / OUT}:")
    for path in made:
        if path.parent.name not in ("parts", "boards") or path.suffix not in (".svg", ".dxf"):
            print(f"  {path.relative_to(folder)}")
    drawn = sum(path.parent.name == "parts" and path.suffix == ".svg" for path in made)
    boards = sum(path.parent.name == "boards" and path.suffix == ".svg" for path in made)
    print(f"  and {drawn} parts in {OUT}/parts, {boards} boards in {OUT}/boards, one file each")
    one = opened(folder)
    study = study_of(one)
    print_verdict(document_of(one, study, system_of(one, units)))
    return DONE
