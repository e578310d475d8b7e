"""Two saved states side by side: their files line by line, and the figures that moved."""

from __future__ import annotations

import difflib

from planewright.errors import PlanewrightError
from planewright.study import Document
from planewright.units.showing import System
from planewright.web.api import Differences, FileDifference
from planewright.web.desk import Desk, nothing
from planewright.web.evaluation import quick_document, quick_figures, start_study
from planewright.web.history import History, Saved, difference
from planewright.web.reading import read_with
from planewright.web.words import moved_between

AROUND = 2
MOST_LINES = 2000


def file_difference(name: str, before: bytes | None, after: bytes | None) -> FileDifference:
    """Unified lines of one file: " same", "-before", "+after"; nothing for other lines."""
    old, new = ((one or b"").decode("utf-8", "replace").splitlines() for one in (before, after))
    lines = list(difflib.unified_diff(old, new, n=AROUND, lineterm=""))[2:]
    return FileDifference(
        file=name, lines=tuple(lines[:MOST_LINES]), before=before is not None, after=after is not None
    )


def document_of(desk: Desk, history: History, entry: Saved) -> Document | None:
    """The quick figures of a saved state; None where it cannot be worked out any more."""
    changes: dict[str, bytes | None] = {}
    for name, wanted in difference(desk.disk.scan(), entry.files).items():
        data = history.blob(wanted)
        if wanted is not None and data is None:
            return None
        changes[name] = data
    try:
        project = read_with(desk.disk, changes)
        study = start_study(project)
        return quick_document(project, study, quick_figures(study), None) if study is not None else None
    except PlanewrightError:
        return None


def differences(desk: Desk, before: int, after: int, system: System) -> Differences:
    """Two saved states. Raises InputError when one is not there."""
    with desk.lock:
        history = desk.history
        second, first = history.find(after), history.find(before)
        if second is None:
            raise nothing("There is no such saved state.")
        files = difference(first.files if first else {}, second.files)
        rows = [
            file_difference(
                name,
                history.blob(first.files.get(name)) if first else None,
                history.blob(second.files.get(name)),
            )
            for name in sorted(files)
        ]
        old = document_of(desk, history, first) if first else None
        new = document_of(desk, history, second)
    return Differences(before=before, after=after, files=tuple(rows), moved=moved_between(old, new, system))


__all__ = ["differences", "file_difference"]
