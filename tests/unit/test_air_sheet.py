"""The sheet of the air: what it says and its charts, for both examples, and where there is nothing to say."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from tests.fixtures import planes

from planewright.knowledge.priors import prior_knowledge
from planewright.ledger.model import Ledger
from planewright.study import Study, evaluate
from planewright.study.air_sheet import AirSheet, air_sheet


@lru_cache
def study_of(name: str) -> Study:
    plane = planes.plover() if name == "plover" else planes.gannet()
    return evaluate(plane, Ledger(), prior_knowledge(plane, "grass"), None)


@lru_cache
def sheet_of(name: str) -> AirSheet:
    found = air_sheet(study_of(name))
    assert found is not None
    return found


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_the_figure_and_the_sheet_tell_one_story(name: str) -> None:
    """Greatest lift trimmed strip by strip is within 4 % of the figure, which carries it to all draws as a factor."""
    study, sheet = study_of(name), sheet_of(name)
    figure = study.figures["maximum_lift_coefficient"]
    assert sheet.lift == pytest.approx(figure.value, rel=0.04)
    assert "closed with section curves" in figure.method and sheet.method in figure.method
    assert 0.05 < sheet.band < 0.3


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_the_charts_hold_what_they_say(name: str) -> None:
    sheet = sheet_of(name)
    charts = {one.id: one for one in sheet.charts}
    assert set(charts) == {"span_loading", "drag_polar", "stall_from_above"}
    slow, level, most = charts["span_loading"].series
    assert max(slow.y) > max(level.y)
    assert np.max(np.array(slow.y) / np.array(most.y)) == pytest.approx(1.0, abs=0.05)
    summed, curves = charts["drag_polar"].series
    at_half = [float(np.interp(0.5, one.y, one.x)) for one in (summed, curves)]
    assert at_half[1] == pytest.approx(at_half[0], rel=0.2)
    outline, *stages = charts["stall_from_above"].series
    assert outline.kind == "drawn" and stages
    marked = [one for stage in stages for one in stage.notes]
    assert len(marked) == len(set(marked)) == sum(one.begins is not None for one in sheet.strips)


def test_it_says_where_it_begins() -> None:
    assert "at the centre" in sheet_of("plover").says[0]
    assert "the middle of each half" in sheet_of("gannet").says[0]
    assert all(sheet_of(name).says[-1].endswith("not a number.") for name in ("plover", "gannet"))


def test_a_section_nobody_measured_keeps_the_strip_limit() -> None:
    """The stall is not followed along the span, and the figure says so; the sheet says "assumed"."""
    plane = planes.plover()
    surfaces = tuple(
        replace(
            one,
            stations=tuple(
                replace(s, section=replace(s.section, kind="naca", name="NACA 5412")) for s in one.stations
            ),
        )
        if one.kind == "wing"
        else one
        for one in plane.surfaces
    )
    study = evaluate(replace(plane, surfaces=surfaces), Ledger(), prior_knowledge(plane, "grass"), None)
    assert study.models.air is not None and study.models.air.spread is None
    assert "strip limit" in study.figures["maximum_lift_coefficient"].method
    sheet = air_sheet(study)
    assert sheet is not None and sheet.method == "assumed"


def test_without_a_wing_there_is_no_sheet() -> None:
    plane = replace(planes.plover(), surfaces=())
    assert air_sheet(evaluate(plane, Ledger(), prior_knowledge(plane, "grass"), None)) is None
