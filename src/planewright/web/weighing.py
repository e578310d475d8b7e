"""A weighing tried before it is saved: what it would move, and what is asked about it."""

from __future__ import annotations

from planewright.errors import Fault
from planewright.project import Project
from planewright.study import Study
from planewright.units.showing import System
from planewright.web.actions import WEIGHING_HEADS, WEIGHINGS, one_line, with_line
from planewright.web.api import Moves, Weigh
from planewright.web.desk import Desk
from planewright.web.evaluation import quick_view, start_study
from planewright.web.reading import read_with, refuse_new_faults, same_fault
from planewright.web.records import fault_records
from planewright.web.words import all_words, moved_between, sentence_of


def questions(project: Project, study: Study | None) -> tuple[Fault, ...]:
    """What the reader and the bookkeeping of masses ask about a project, without what stops the work."""
    asked = (*project.faults, *(study.questions if study is not None else ()))
    return tuple(one for one in asked if one.severity == "question")


def with_weighing(desk: Desk, one: Weigh) -> dict[str, bytes | None]:
    """weighings.csv with the line at its end, by file name."""
    data = desk.disk.read(WEIGHINGS)
    text = None if data is None else data.decode("utf-8")
    return {WEIGHINGS: with_line(text, WEIGHING_HEADS, one_line(one.model_dump())).encode()}


def preview_weighing(desk: Desk, one: Weigh, system: System) -> Moves:
    """What one more line of weighings.csv would move; ``faults`` holds what is newly asked about it.

    Nothing is written. Raises InputError when the line cannot be read.
    """
    with desk.lock:
        before = desk.view
        project = read_with(desk.disk, with_weighing(desk, one))
        refuse_new_faults(before.project, project)
    study = start_study(project)
    old = {same_fault(each) for each in questions(before.project, before.study)}
    asked = fault_records(each for each in questions(project, study) if same_fault(each) not in old)
    if study is None:
        return Moves(says="Nothing moves.", moved=(), faults=asked)
    after = quick_view(before.revision, project, study, before)
    moved = moved_between(before.document, after.document, system, after.working)
    document = after.document
    words = all_words(document.figures, system) if document is not None else {}
    return Moves(
        says=sentence_of(moved),
        moved=moved,
        words=words,
        document=document,
        working=after.working,
        bands=after.bands,
        faults=asked,
    )
