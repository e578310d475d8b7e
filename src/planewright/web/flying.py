"""Air and handling for the page: the sheet of the command line, worked out when all else is."""

from __future__ import annotations

from dataclasses import replace

from planewright.errors import Cancelled, PlanewrightError
from planewright.study.handling_sheet import handling_sheet
from planewright.web.api import Flying
from planewright.web.engines import NOTHING
from planewright.web.evaluation import View


def with_flying(view: View) -> View:
    """The view with the sheet of air and handling. Raises Cancelled when superseded meanwhile."""
    study = view.study
    assert study is not None
    try:
        sheet = handling_sheet(study, view.project.inputs_hash)
        found = Flying(revision=view.revision, working=False, why=sheet.why, sheet=sheet)
    except Cancelled:
        raise
    except PlanewrightError as error:
        found = Flying(revision=view.revision, working=False, why=str(error))
    return replace(view, flying=found)


def flying_record(view: View) -> Flying:
    """What is worked out of a view's air and handling, and whether more follows."""
    known = view.flying
    if view.study is None:
        return Flying(revision=view.revision, working=False, why=NOTHING)
    if known is None:
        return Flying(revision=view.revision, working=True)
    return known.model_copy(update={"working": known.revision != view.revision})
