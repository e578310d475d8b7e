"""The engines for the page: the sheet of the command line with its pictures, worked out when all else is."""

from __future__ import annotations

from dataclasses import replace

from planewright.documents.engine_reports import charts_of, sheet_of
from planewright.documents.opening import Opened
from planewright.errors import Cancelled, PlanewrightError
from planewright.study import Study
from planewright.web.api import Engines
from planewright.web.evaluation import View

NOTHING = "the files do not give an aeroplane that can be worked out yet"
UNFINISHED = "the study of this aeroplane could not be worked out to the end"


def with_engines(view: View) -> View:
    """The view with the sheet of its engines. Raises Cancelled when superseded meanwhile."""
    study = view.study
    assert study is not None
    try:
        found = whole(view, study)
    except Cancelled:
        raise
    except PlanewrightError as error:
        found = Engines(revision=view.revision, working=False, why=str(error))
    return replace(view, engines=found)


def whole(view: View, study: Study) -> Engines:
    """Sheet and pictures of a study that is worked out whole; a study cut short says only that."""
    project = view.project
    assert project.knowledge is not None
    if study.models.power is None and study.plane.engines and "power" not in study.models.why:
        return Engines(revision=view.revision, working=False, why=UNFINISHED)
    one = Opened(project, study.plane, project.knowledge, project.faults)
    sheet = sheet_of(one, study)
    charts = charts_of(one, study, sheet)
    return Engines(revision=view.revision, working=False, why=sheet.why, sheet=sheet, charts=charts)


def engines_record(view: View) -> Engines:
    """What is worked out of a view's engines, and whether more follows."""
    known = view.engines
    if view.study is None:
        return Engines(revision=view.revision, working=False, why=NOTHING)
    if known is None:
        return Engines(revision=view.revision, working=True)
    return known.model_copy(update={"working": known.revision != view.revision})
