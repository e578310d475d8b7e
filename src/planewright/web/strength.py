"""Strength for the page: the sheet of the command line with its pictures, worked out when all else is."""

from __future__ import annotations

from dataclasses import replace

from planewright.documents.opening import Opened
from planewright.documents.strength_reports import strength_sheet_of
from planewright.errors import Cancelled, PlanewrightError
from planewright.study import Study
from planewright.study.strength_sheet import strength_charts
from planewright.web.evaluation import View
from planewright.web.strengthwire import Strength

NOTHING = "the files do not give an aeroplane that can be worked out yet"


def with_strength(view: View) -> View:
    """The view with the sheet of its strength. Raises Cancelled when superseded meanwhile."""
    study = view.study
    assert study is not None
    try:
        found = whole(view, study)
    except Cancelled:
        raise
    except PlanewrightError as error:
        found = Strength(revision=view.revision, working=False, why=str(error))
    return replace(view, strength=found)


def whole(view: View, study: Study) -> Strength:
    """Sheet and pictures of a study."""
    project = view.project
    assert project.knowledge is not None
    sheet = strength_sheet_of(Opened(project, study.plane, project.knowledge, project.faults), study)
    charts = () if sheet.why else strength_charts(study)
    return Strength(revision=view.revision, working=False, why=sheet.why, sheet=sheet, charts=charts)


def strength_record(view: View) -> Strength:
    """What is worked out of a view's strength, and whether more follows."""
    known = view.strength
    if view.study is None:
        return Strength(revision=view.revision, working=False, why=NOTHING)
    if known is None:
        return Strength(revision=view.revision, working=True)
    return known.model_copy(update={"working": known.revision != view.revision})
