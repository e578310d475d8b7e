"""The figure of greatest lift says by which method it was found."""

from __future__ import annotations

from dataclasses import replace

from tests.fixtures import planes

from planewright.knowledge.priors import prior_knowledge
from planewright.ledger.model import Ledger
from planewright.plane.model import Plane
from planewright.study import Study, evaluate


def study_of(plane: Plane) -> Study:
    return evaluate(plane, Ledger(), prior_knowledge(plane, "grass"), None)


def test_measured_sections_are_followed_over_the_strips() -> None:
    study = study_of(planes.plover())
    method = study.figures["maximum_lift_coefficient"].method
    assert "curves are measured" in method and "closed with section curves" in method
    assert study.figures["stall_strips_outside"].value == 0


def test_a_section_nobody_measured_keeps_the_strip_limit() -> None:
    plane = planes.plover()
    surfaces = tuple(
        replace(
            one,
            stations=tuple(
                replace(s, section=replace(s.section, kind="naca", name="NACA 6512")) for s in one.stations
            ),
        )
        if one.kind == "wing"
        else one
        for one in plane.surfaces
    )
    study = study_of(replace(plane, surfaces=surfaces))
    assert study.models.air is not None and study.models.air.spread is None
    method = study.figures["maximum_lift_coefficient"].method
    assert "strip limit" in method and "not known" in method
    assert "stall_strips_outside" not in study.figures
    assert not any(one.id == "stall_curves" and one.state == "missing" for one in study.findings)
