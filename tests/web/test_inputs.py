"""Every number can be asked what it rests on: each input has a plain name, a kind, a band and a source."""

from __future__ import annotations

import math

import pytest

from planewright.knowledge.priors import prior_knowledge
from planewright.project import load
from planewright.study.plain import NAMES, plain_name
from planewright.web.inputs import input_record
from web.conftest import Opener


@pytest.mark.parametrize("kind", ["plover", "gannet", "starter"])
def test_every_quantity_has_a_plain_name(open_kind: Opener, kind: str) -> None:
    project = load(open_kind(kind).folder)
    assert project.plane is not None
    for name in prior_knowledge(project.plane, "").quantities:
        assert name.split("[")[0] in NAMES, name
        assert "{" not in plain_name(name) and "[" not in plain_name(name)


def test_the_inputs_of_a_settled_page_cover_what_figures_rest_on(open_kind: Opener) -> None:
    opened = open_kind("starter")
    opened.desk.settled(300.0)
    state = opened.state()
    known = {one["id"]: one for one in state["inputs"]}
    for figure in state["document"]["figures"].values():
        assert {name for name, _ in figure["rests_on"]} - {"rest"} <= set(known)
    assert all(one["source"] and one["band"] for one in known.values())


def test_words_of_a_factor_are_its_median_and_ends(open_kind: Opener) -> None:
    knowledge = load(open_kind("starter").folder).knowledge
    assert knowledge is not None
    growth = knowledge.quantities["build.growth"]
    record = input_record(growth, "metric")
    assert float(record.value.split()[0]) == pytest.approx(math.exp(growth.mean), abs=0.006)
    low, _, high, _ = record.band.split()
    assert float(low) == pytest.approx(math.exp(growth.mean - 1.96 * growth.sd), abs=0.006)
    assert float(high) == pytest.approx(math.exp(growth.mean + 1.96 * growth.sd), abs=0.006)
