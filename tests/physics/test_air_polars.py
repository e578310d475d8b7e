"""Section figures of the air: measured before worked out before assumed."""

from __future__ import annotations

import numpy as np
import pytest

from planewright.analysis.air.polars import friction, polar
from planewright.analysis.air.sections import section_of
from planewright.analysis.section.shipped import shipped


def test_each_section_says_how_it_is_known() -> None:
    kinds = {"clark y": "measured", "naca 0010": "computed", "naca 5412": "assumed"}
    thickness = {"clark y": 0.117, "naca 0010": 0.10, "naca 5412": 0.12}
    for key, method in kinds.items():
        one = polar(key, thickness[key], 0.3)
        assert one.measured == (method == "measured")
        assert section_of(one, -0.05, -0.05).method == method
    assert polar("naca 0010", 0.14, 0.0).computed is None, "another thickness is another section"


def test_worked_out_figures_reach_the_aeroplane() -> None:
    """Greatest lift is that of the table; drag is at least that of a turbulent layer and never below the table's."""
    table, one = shipped("NACA 0010"), polar("naca 0010", 0.10, 0.0)
    assert table is not None
    reynolds = np.array([8e4, 1.6e5, 3.4e5])
    assert one.maximum(reynolds) == pytest.approx(table.maximum(reynolds), rel=1e-6)
    lift = np.zeros(3)
    drag = one.profile_drag(reynolds, lift)
    assert np.all(drag >= 2 * friction(reynolds))
    assert np.all(drag >= 0.999 * table.drag_at_lift(lift, reynolds))
    assert np.all(np.diff(drag) < 0)
