"""The study: deterministic, nested, honest about what is missing; one matrix of draws serves every figure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.knowledge.draws import Draws, normal_stream
from planewright.ledger.model import Ledger
from planewright.project import Project, load, new_project
from planewright.study import Study, evaluate
from planewright.study.figures import Inputs, Nested, decimals_of, kind_shares, rests_on
from planewright.study.labels import labels


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Project:
    folder = tmp_path_factory.mktemp("study") / "plover"
    new_project(folder, "plover")
    return load(folder)


def study(project: Project, **changes: object) -> Study:
    plane = project.plane
    assert plane is not None and project.knowledge is not None
    return evaluate(plane, project.ledger, project.knowledge, project.site, **changes)  # type: ignore[arg-type]


def test_the_same_inputs_give_the_same_document(project: Project) -> None:
    assert study(project).document() == study(project).document()


def test_another_seed_differs_by_sampling_only(project: Project) -> None:
    one, other = study(project).figures, study(project, seed=7).figures
    for name in ("stall_speed", "mass", "load_factor_at_failure", "takeoff_run"):
        width = (one[name].high or 0.0) - (one[name].low or 0.0)
        assert one[name].value == pytest.approx(other[name].value, abs=0.04 * width)
        assert one[name].low == pytest.approx(other[name].low, abs=0.06 * width)


def test_intervals_are_nested_and_shares_add_up(project: Project) -> None:
    for name, figure in study(project).figures.items():
        if figure.kind == "drawn":
            continue
        assert figure.low <= figure.measured_published[0] <= figure.measured_only[0], name  # type: ignore[index,operator]
        assert figure.measured_only[1] <= figure.measured_published[1] <= figure.high, name  # type: ignore[index,operator]
        shares = figure.shares
        assert shares is not None
        assert shares.assumed + shares.published + shares.measured == pytest.approx(1.0)


def test_weighing_narrows_the_mass(project: Project) -> None:
    """The allowance shrinks as parts are weighed."""
    weighed = study(project).figures["mass"]
    drawn = study(replace(project, ledger=Ledger())).figures["mass"]
    assert (weighed.high - weighed.low) < 0.3 * (drawn.high - drawn.low)  # type: ignore[operator]


def test_every_figure_has_a_label_and_every_label_a_method() -> None:
    for name, label in labels().items():
        assert label.name and label.term and label.method and label.unit.isascii(), name


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(0.05, 3.0), min_size=3, max_size=3), st.integers(0, 1000))
def test_rests_on_gives_each_input_its_share_of_a_sum(weights: list[float], seed: int) -> None:
    """For a sum of independent inputs the share is weight squared over the sum of squares (exact)."""
    states = np.array([normal_stream(f"{seed}.{i}", 4000, seed) for i in range(3)])
    found = dict(rests_on(np.array(weights) @ states, Inputs.of(("a", "b", "c"), states)))
    total = sum(one**2 for one in weights)
    for name, weight in zip(("a", "b", "c"), weights, strict=True):
        share = weight**2 / total
        assert found.get(name, 0.0) == pytest.approx(share, abs=0.04 * (1 + share))


def test_kind_shares_of_a_sum() -> None:
    a, b, c = (normal_stream(name, 4000, 1) for name in "abc")
    shares = kind_shares(Nested(a + 2 * b + 3 * c, a + 2 * b, a))
    assert (shares.measured, shares.published, shares.assumed) == pytest.approx(
        (1 / 14, 4 / 14, 9 / 14), abs=0.02
    )


@pytest.mark.parametrize(
    ("spread", "places"), [(0.21, 1), (0.021, 2), (3.0, 0), (25.0, -1), (0.0, 6), (1.0, 0)]
)
def test_decimals_by_band(spread: float, places: int) -> None:
    """The last digit stands at the first significant figure of the standard uncertainty: 8.64 +- 0.21 shows 8.6."""
    assert decimals_of(spread) == places


def test_streams_have_the_median_and_spread_they_claim() -> None:
    stream = normal_stream("anything", 4000, 3)
    assert float(np.median(stream)) == pytest.approx(0.0, abs=1e-3)
    assert float(np.std(stream)) == pytest.approx(1.0, abs=2e-3)


def test_a_new_quantity_disturbs_no_other(project: Project) -> None:
    knowledge = project.knowledge
    assert knowledge is not None
    extra = replace(next(iter(knowledge.quantities.values())), id="something.new")
    more = replace(knowledge, quantities={**knowledge.quantities, "something.new": extra})
    assert np.array_equal(Draws(knowledge).factor("sec.clmax"), Draws(more).factor("sec.clmax"))


def test_loosening_a_limit_is_said_on_every_page(project: Project) -> None:
    plane = project.plane
    assert plane is not None
    loose = replace(plane, limits=replace(plane.limits, load=2.0))
    verdict = study(replace(project, plane=loose)).verdict
    assert any("loosened by the file" in words for words in verdict.limits)


def test_nothing_below_the_doors_opens_a_file(project: Project, monkeypatch: pytest.MonkeyPatch) -> None:
    study(project).document()

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("evaluate opened a file")

    monkeypatch.setattr(Path, "open", refuse)
    monkeypatch.setattr("builtins.open", refuse)
    study(project).document()
