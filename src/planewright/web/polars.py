"""Polars of the aeroplane's own sections on the page: those kept at once, the others in the background."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from planewright.documents.plane_polars import with_kept, with_polars
from planewright.errors import Cancelled
from planewright.project import Project
from planewright.web.evaluation import Stopped, View, quick_view, start_study


def with_sections(project: Project) -> Project:
    """The project with those polars that are kept; nothing is solved."""
    if project.plane is None:
        return project
    return replace(project, plane=with_kept(project.plane)[0])


def wanted_sections(view: View, stopped: Stopped) -> tuple[Callable[[View], View], ...]:
    """The step that solves what is missing; no step when nothing is."""
    plane = view.project.plane
    if plane is None or not with_kept(plane)[1]:
        return ()
    return (lambda one: with_solved_sections(one, stopped),)


def with_solved_sections(view: View, stopped: Stopped) -> View:
    """The view with every section solved and its quick figures anew.

    The work runs in other processes, so the page stays quick; it is given up when a newer change comes (Cancelled).
    Finished sections stay kept.
    """
    assert view.project.plane is not None

    def watch() -> None:
        if stopped():
            raise Cancelled("a newer change is being worked out")

    project = replace(view.project, plane=with_polars(view.project.plane, watch=watch, workers=2))
    study = start_study(project, stopped)
    return view if study is None else quick_view(view.revision, project, study, view)
