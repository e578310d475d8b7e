"""Opening a project on the command line: sections that nobody worked out yet are worked out first, with a bar."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from planewright.cli.bar import progress
from planewright.documents.opening import Opened
from planewright.documents.opening import opened as read
from planewright.documents.plane_polars import with_kept, with_polars

__all__ = ["opened"]


def opened(folder: Path, ignore_knowledge: bool = False) -> Opened:
    """As :func:`planewright.documents.opening.opened`, with the polars of every section."""
    one = read(folder, ignore_knowledge)
    plane, missing = with_kept(one.plane)
    if missing:
        with progress() as bar:
            names = ", ".join(dict.fromkeys(each.outline.name for each in missing))
            task = bar.add_task(f"Sections, once: {names}"[:60], total=1.0)
            plane = with_polars(one.plane, progress=lambda done, of: bar.update(task, completed=done / of))
            bar.update(task, completed=1.0)
    return replace(one, plane=plane, project=replace(one.project, plane=plane))
