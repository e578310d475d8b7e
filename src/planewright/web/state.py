"""All that the page shows of one view, in the units a reader likes."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from planewright.calibrate import compare
from planewright.knowledge import prior_knowledge
from planewright.ledger.reading import CHECK_NAMES
from planewright.plane.parts import weighable
from planewright.project.loading import AEROPLANE
from planewright.study import Document, trial_rows
from planewright.units.showing import System
from planewright.web.actions import starts
from planewright.web.api import Download, Field, History, HistoryEntry, Job, State, TrialRecord
from planewright.web.desk import Desk
from planewright.web.evaluation import View
from planewright.web.fields import SITE, plane_fields, site_fields
from planewright.web.fieldwork import site_record
from planewright.web.inputs import input_records
from planewright.web.mesh import shape_record
from planewright.web.reading import is_empty
from planewright.web.records import check_records, fault_records, weighing_records
from planewright.web.trialkinds import trial_kinds
from planewright.web.trialview import plain_record, with_tables
from planewright.web.words import all_words

OUT = "out"


def system_of(desk: Desk, asked: str | None) -> System:
    """Units asked for, else those of the file."""
    if asked in ("metric", "imperial"):
        return "imperial" if asked == "imperial" else "metric"
    return desk.system


def build_state(desk: Desk, asked: str | None = None, jobs: Iterable[Job] = ()) -> State:
    """The state of the desk's latest view."""
    with desk.lock:
        view, revision = desk.view, desk.revision
        files = tuple(sorted(desk.disk.seen))
        undo, redo = desk.history.says(-1), desk.history.says(1)
    system = system_of(desk, asked)
    project, study = view.project, view.study
    document = in_units(view, system)
    figures = document.figures if document else {}
    plane = project.plane
    return State(
        revision=revision,
        boot=desk.boot,
        folder=desk.folder.resolve().name,
        units=system,
        empty=is_empty(desk.folder),
        examples=starts(),
        files=files,
        faults=fault_records((*project.faults, *view.failures)),
        document=document,
        words=all_words(figures, system),
        working=view.working,
        bands=view.bands,
        drawn_mass={row.part: row.drawn for row in document.weights} if document else {},
        charts=view.charts,
        shape=shape_record(study, view.mesh, figures)
        if study is not None and view.mesh is not None
        else None,
        fields=all_fields(desk, view),
        site=view.place or (site_record(project.site, None) if project.site else None),
        weighable=tuple(weighable(plane)) if plane else (),
        weighings=weighing_records(project.ledger),
        checks=check_records(project.ledger),
        check_names=check_names(view),
        trials=trial_records(view),
        trial_kinds=trial_kinds(plane),
        knowledge=moved_knowledge(view),
        inputs=input_records(figures.values(), project.knowledge, system) if project.knowledge else (),
        undo=undo,
        redo=redo,
        downloads=downloads(desk.folder, project.inputs_hash),
        jobs=tuple(jobs),
        study_ms=view.study_ms,
        quick_ms=view.quick_ms,
    )


def in_units(view: View, system: System) -> Document | None:
    """The document with its trial rows in words of these units."""
    if view.document is None or view.study is None:
        return view.document
    rows = trial_rows(view.project.trials, view.study.knowledge, system, view.expects)
    return view.document.model_copy(update={"trials": rows})


def all_fields(desk: Desk, view: View) -> tuple[Field, ...]:
    """Everything that can be edited as a value."""
    plane = view.project.plane
    first, second = desk.disk.read(AEROPLANE), desk.disk.read(SITE)
    found: tuple[Field, ...] = ()
    if plane is not None and first is not None:
        found = plane_fields(plane, first.decode("utf-8", "replace"))
    if second is not None:
        found += site_fields(view.project.site, second.decode("utf-8", "replace"))
    return found


def check_names(view: View) -> tuple[str, ...]:
    """Checks that may be written down: the named ones, and a proof of each joint."""
    plane = view.project.plane
    joints = (
        [f"{one.name}.joint.{joint.name}" for one in plane.surfaces for joint in one.joints] if plane else []
    )
    return (*CHECK_NAMES, *(f"proof {one}" for one in joints))


def trial_records(view: View) -> tuple[TrialRecord, ...]:
    """All trials; with charts where these are worked out."""
    done = {one.id: one for one in view.trials}
    return tuple(
        with_tables(done[one.id], one) if one.id in done else plain_record(one) for one in view.project.trials
    )


def moved_knowledge(view: View) -> tuple[tuple[str, str, str, str], ...]:
    """Quantities that trials moved: id, before, after, by which trials."""
    project = view.project
    if project.plane is None or project.knowledge is None or not project.knowledge.trials:
        return ()
    prior = prior_knowledge(project.plane, project.site.surface if project.site else "")
    rows = compare(prior, project.knowledge)
    return tuple((one.id, one.before, one.after, ", ".join(one.moved_by)) for one in rows)


def downloads(folder: Path, now: str) -> tuple[Download, ...]:
    """Files below out/, the book first; stale when the study beside them was made of other inputs."""
    place = folder / OUT
    if not place.is_dir():
        return ()
    stale = not made_of(place, now)
    found = [one for one in sorted(place.rglob("*")) if one.is_file() and not one.name.startswith(".")]
    found.sort(key=lambda one: (one.name != "book.pdf", one.parent != place))
    return tuple(
        Download(name=one.relative_to(place).as_posix(), bytes=one.stat().st_size, stale=stale)
        for one in found[:2000]
    )


def made_of(place: Path, now: str) -> bool:
    """True when out/study.json names these inputs."""
    try:
        with (place / "study.json").open(encoding="utf-8") as stream:
            return f'"inputs_hash": "{now}"' in stream.read()
    except (OSError, UnicodeDecodeError):
        return False


def history_record(desk: Desk) -> History:
    """All saved states, newest first."""
    with desk.lock:
        history = desk.history
        here = history.trail[history.at] if history.trail else -1
        entries = [
            HistoryEntry(
                number=one.number,
                when=one.when,
                says=one.says,
                by=one.by,
                files=tuple(sorted(one.changed)),
                now=one.number == here,
            )
            for one in reversed(history.entries)
        ]
        return History(entries=tuple(entries), undo=history.says(-1), redo=history.says(1))


__all__ = ["build_state", "history_record", "system_of"]
