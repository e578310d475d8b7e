"""From a folder to a study, as every door needs it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from planewright import __version__
from planewright.errors import Fault, InputError
from planewright.knowledge import prior_knowledge
from planewright.knowledge.model import Knowledge
from planewright.plane.model import Plane
from planewright.project import KNOWLEDGE, Project, load
from planewright.study import Document, Study, evaluate, trial_rows
from planewright.study.before import with_before
from planewright.units.showing import System


@dataclass(frozen=True)
class Opened:
    """A project that can be worked on: its plane and knowledge are there, and no fault stops it."""

    project: Project
    plane: Plane
    knowledge: Knowledge
    faults: tuple[Fault, ...]


def stopping(faults: Iterable[Fault], ignore: str = "") -> tuple[Fault, ...]:
    """The faults that stop the work, those of the file ``ignore`` left out."""
    return tuple(one for one in faults if one.severity == "fault" and one.file != ignore)


def opened(folder: Path, ignore_knowledge: bool = False) -> Opened:
    """Read a project. Raises InputError with every fault when one of them stops the work.

    ``ignore_knowledge``: a damaged knowledge file does not matter, because it is about to be made anew.
    """
    project = load(folder)
    ignore = KNOWLEDGE if ignore_knowledge else ""
    if stopping(project.faults, ignore) or project.plane is None or project.knowledge is None:
        raise InputError(project.faults)
    return Opened(project, project.plane, project.knowledge, project.faults)


def study_of(one: Opened, knowledge: Knowledge | None = None) -> Study:
    """The study of an opened project, with other knowledge than its own when given."""
    return evaluate(one.plane, one.project.ledger, knowledge or one.knowledge, one.project.site)


def document_of(
    one: Opened, study: Study, system: System = "metric", faults: Iterable[Fault] | None = None
) -> Document:
    """The JSON document of a study with the project's faults and trials."""
    expects = study.expectations((row.id, row.kind, row.of) for row in one.project.trials if row.planned)
    rows = trial_rows(one.project.trials, study.knowledge, system, expects)
    said = one.faults if faults is None else faults
    return study.document(one.project.inputs_hash, said, rows)


def compared(one: Opened, study: Study, system: System) -> Document:
    """The document of a study, with what the trials moved against the prior where any are taken in."""
    document = document_of(one, study, system)
    if not study.knowledge.trials:
        return document
    site = one.project.site
    prior = study_of(one, prior_knowledge(one.plane, site.surface if site else ""))
    return with_before(document_of(one, prior, system), document, study.knowledge)


def system_of(one: Opened, units: str | None) -> System:
    """Units to show: those asked for, else those of the file."""
    asked = units or one.plane.show
    return "imperial" if asked == "imperial" else "metric"


def as_json(document: Document) -> str:
    """A document as JSON text; keys that do not apply are left out."""
    data = document.model_dump(mode="json", by_alias=True)
    for name, figure in data["figures"].items():
        data["figures"][name] = {key: value for key, value in figure.items() if value is not None}
    return compact(data)


def bare(project: str) -> dict[str, object]:
    """The keys of the JSON document with nothing worked out yet."""
    return {
        "schema": "planewright/study/1",
        "version": __version__,
        "project": project,
        "faults": [],
        "figures": {},
        "findings": [],
        "verdict": None,
        "inputs_hash": "",
        "absent": [],
    }


def compact(data: object) -> str:
    """JSON with one level of lines, no value that is not a number."""
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)
