"""Findings and verdict: the whole 95 % stick decides, and nothing that blocks is outvoted."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planewright.findings import Finding, Limit, Row, judge, judge_evidence, load_limits, verdict_of
from planewright.findings.judge import bounds_of, interval, state_of
from planewright.findings.verdict import first_reason, ranked
from planewright.study.labels import labels

finite = st.floats(-1e6, 1e6, allow_nan=False)


def row(low: float, high: float) -> Row:
    draws = np.linspace(low, high, 401)
    return Row(draws, draws, draws, "1", "drawn for a test")


def limit(side: str, kind: str = "block") -> Limit:
    return Limit("x", "X", "figure", side, kind, 1, "needs {limit:.2f}", "a test", "invented", scale=1.0)  # type: ignore[arg-type]


def finding(state: str, kind: str = "block") -> Finding:
    return judge_evidence("e", "E", state == "clear", "seen", "", "look", 1, "invented").model_copy(
        update={"state": state, "kind": kind}
    )


@given(finite, finite, finite)
def test_state_follows_the_whole_stick(a: float, b: float, bound: float) -> None:
    low, high = min(a, b), max(a, b)
    least, most = state_of(low, high, bound, "at least"), state_of(low, high, bound, "at most")
    assert (least == "clear") == (low >= bound)
    assert (least == "short") == (high < bound)
    assert (most == "clear") == (high <= bound)
    assert (most == "short") == (low > bound)


def test_margin_is_good_to_the_right_on_both_sides() -> None:
    for side, sign in (("at least", 1), ("at most", -1)):
        found = judge(limit(side), 1.0, row(2.0, 4.0))
        assert found.margin == pytest.approx(sign * 2.0)
        assert found.stick[0][0] <= found.stick[0][1] <= found.stick[0][2]


def test_a_draw_that_could_not_be_worked_out_never_passes_as_clear() -> None:
    draws = np.full(100, 5.0)
    draws[3] = np.nan
    assert interval(draws)[0] == -np.inf and interval(draws)[2] == np.inf
    assert judge(limit("at least"), 1.0, Row(draws, draws, draws, "1", "")).state == "crosses"


@pytest.mark.parametrize(
    "states", list(itertools.product(["clear", "crosses", "short", "missing", "conflict"], repeat=2))
)
def test_verdict_table(states: tuple[str, str]) -> None:
    """Short blocks with No; crosses, missing and conflict with Not yet; watch rows never count."""
    decided = verdict_of([finding(one) for one in states])
    expected = (
        "not_ready" if "short" in states else "needs_evidence" if set(states) - {"clear"} else "pilot_decides"
    )
    assert decided == expected
    assert verdict_of([finding("clear"), *(finding(one, "watch") for one in states)]) == "pilot_decides"


def test_many_clear_rows_do_not_outweigh_one_open_row() -> None:
    assert verdict_of([finding("clear")] * 100 + [finding("crosses")]) == "needs_evidence"


def test_rows_are_shown_worst_first() -> None:
    order = [one.state for one in ranked([finding(s) for s in ("clear", "crosses", "missing", "short")])]
    assert order == ["short", "missing", "crosses", "clear"]
    assert "short" in first_reason([finding("short"), finding("crosses")])


def test_every_limit_has_a_figure_a_source_and_a_number() -> None:
    found = load_limits()
    assert len({one.id for one in found}) == len(found)
    for one in found:
        assert one.figure in labels(), one.id
        assert one.source and one.settles and one.name
        assert (one.limit is None) != (one.source_key is None), one.id
        one.says.format(limit=1.0, percent=100.0)
    assert set(bounds_of(found, {})) == {one.id for one in found if one.limit is not None}
