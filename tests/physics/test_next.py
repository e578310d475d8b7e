"""What to test next: shares of known worlds, chances, ranking, and never above limit load on what will fly."""

import math

import numpy as np
import pytest

from fixtures import home
from planewright.calibrate.protocol import Plan, Point
from planewright.knowledge import Draws, prior_knowledge
from planewright.ledger.model import Ledger
from planewright.study import evaluate
from planewright.study.next import Thinned, candidates, chances, next_tests, regressors, share_removed

N = 4000
RNG = np.random.default_rng(7)
A, B = RNG.standard_normal(N), RNG.standard_normal(N)


def reading(values: np.ndarray, noise: float, form: str = "shift") -> np.ndarray:
    return regressors(Plan("x", "y", (Point("p", "1", values, noise, form),), 60, 1), 1)  # type: ignore[arg-type]


def test_share_is_the_gain_of_a_linear_reading() -> None:
    """y = a + b, a read with error s: share = 1/(1 + s^2) / 2, exactly (two normal variables; any textbook)."""
    for noise in (0.0, 0.5, 2.0):
        found = share_removed(A + B, reading(A, noise))
        assert found == pytest.approx(0.5 / (1 + noise**2), abs=0.03)


def test_a_reading_of_something_else_removes_nothing_and_a_square_is_seen() -> None:
    assert share_removed(A, reading(B, 0.1)) < 0.01
    assert share_removed(A**2, reading(A, 0.01)) > 0.9


def test_a_named_mode_counts_as_nought_and_one() -> None:
    """The least of two: which of them gave first tells something that no slope of their sum does."""
    label = (A < B).astype(float)
    least = np.minimum(A, B)
    assert share_removed(A - B, reading(label, 0.0, "label")) == pytest.approx(2 / math.pi, abs=0.04)
    assert share_removed(least, reading(label, 0.0, "label")) < 0.02


def test_chances_of_known_cases() -> None:
    """A perfect test leaves the stick where the truth is: chance clear = P(truth > limit)."""
    above, below = chances(A, 0.5, 1.0)
    assert above == pytest.approx(0.3085, abs=0.03) and above + below == pytest.approx(1.0, abs=1e-6)
    nothing = chances(A, 0.5, 0.0)
    assert sum(nothing) < 1e-6
    sure = chances(A + 9, 0.0, 0.3)
    assert sure[0] > 0.999


def test_thinned_draws_are_every_fourth() -> None:
    draws = Draws(home.BENCH.prior, 400)
    thin = Thinned(draws, 4)
    assert thin.count == 100
    assert np.array_equal(thin.factor("work.strength"), draws.factor("work.strength")[::4])


@pytest.fixture(scope="module")
def following():
    study = evaluate(home.PLANE, Ledger(), prior_knowledge(home.PLANE, "mown grass, dry"), None, count=800)
    return study, study.following


def test_next_tests_of_plover(following) -> None:
    study, found = following
    assert {(one.kind, one.of) for one in found} <= {(one.kind, one.of) for one in candidates(study.plane)}
    for one in found:
        assert one.closes or one.rows
        assert all(
            0 <= row.share <= 1 and 0 <= row.clears <= row.settles + 1e-9 <= 1 + 1e-6 for row in one.rows
        )
        assert all(row.per_hour == pytest.approx(row.share * 60 / one.minutes) for row in one.rows)
    closing = [bool(one.closes) for one in found if one.article != "flying"]
    assert closing == sorted(closing, reverse=True)


def test_the_flying_article_is_never_loaded_beyond_limit_load(following) -> None:
    _, found = following
    flying = [one for one in found if one.article == "flying"]
    assert flying and all("limit load, and no more" in one.most for one in flying)
    assert all(one.article != "flying" or one.kind == "proof" for one in found)


def test_a_weaker_wing_makes_the_proof_riskier_and_pushes_it_back() -> None:
    """With poor workmanship the chance of breaking at limit load grows, and the proof stands behind all else."""
    from dataclasses import replace

    prior = prior_knowledge(home.PLANE, "mown grass, dry")
    weak = {
        name: replace(one, mean=one.mean - 1.2) if name.startswith(("work.strength",)) else one
        for name, one in prior.quantities.items()
    }
    poor = replace(prior, quantities=weak)
    study = evaluate(home.PLANE, Ledger(), poor, None, count=800)
    figures = {
        one.figure: study.outer[0][one.figure][::4] for one in study.findings if one.figure in study.outer[0]
    }
    bench = replace(home.BENCH, prior=poor)
    found = next_tests(bench, Thinned(study.draws, 4), study.findings, figures)
    proof = next(i for i, one in enumerate(found) if one.article == "flying")
    assert found[proof].breaks > 0.05 and proof == len(found) - 1
