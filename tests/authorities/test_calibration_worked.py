"""The worked example of the method, recomputed by hand (trial of our own; every step is arithmetic).

A skin factor with prior N(0, 0.35) in ln; a half-size wing predicted to hold 16.0 kg wrinkled at 14.0 kg;
the real wing is predicted at 31 kg, then held 24 kg in a proof. The exact moments of a normal times a
probit are those of C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning (2006),
section 3.9 (from memory; here they are checked by numerical integration).
"""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pytest
from scipy.integrate import quad
from scipy.special import ndtr

from planewright.calibrate.agreement import agreement
from planewright.calibrate.engine import Fit, event_site, fit
from planewright.calibrate.problem import Block, Event, Reduction, assemble
from planewright.knowledge import Knowledge, Points, Quantity

Array = npt.NDArray[np.float64]
ARTICLE = "article.skin[wing-1]"


def knowledge() -> Knowledge:
    skin = Quantity("skin", "ln", "1", "batch", 0, 0.35, 0, 0.35, "assumed", "worked example")
    article = Quantity(ARTICLE, "ln", "1", "article", 0, 0.08, 0, 0.08, "assumed", "worked example")
    return Knowledge({one.id: one for one in (skin, article)})


def bend(broke: float = 14.0) -> Reduction:
    def predict(at: Points) -> Array:
        z = at.state("skin") + at.state("bend:article") + at.state("bend:scale") + at.state("bend:split")
        return (math.log(16.0) + z)[None, :]

    block = Block("bend", "failure", (0,), np.array([math.log(broke)]), np.array([0.02]), predict)
    own = {"bend:article": (0.0, 0.08), "bend:scale": (0.0, 0.10), "bend:split": (0.0, 0.04)}
    return Reduction("bend", (block,), locals=own)


def proof() -> Reduction:
    def margin(at: Points) -> Array:
        return math.log(31.0) + at.state("skin") + at.state(ARTICLE) - math.log(24.0)

    return Reduction("proof", events=(Event("proof", "held", 0.04, margin),))


def gaussian(*reductions: Reduction) -> Fit:
    return fit(assemble(knowledge(), reductions, robust=False, scatter=False))


def real_wing(found: Fit) -> tuple[float, float]:
    """Mean and sd of ln of the real wing's failing load."""
    names: Sequence[str] = [name for name in ("skin", ARTICLE) if name in found.ids]
    places = [found.ids.index(name) for name in names]
    size = np.array([found.problem.knowledge.quantities[name].prior_sd for name in names])
    part = found.covariance[np.ix_(places, places)] * np.outer(size, size)
    apart = 0.0 if ARTICLE in names else 0.08**2
    return math.log(31.0) + sum(found.mean(name) for name in names), math.sqrt(part.sum() + apart)


def test_broken_small_wing() -> None:
    """Step 2: weight .86941, mean -.11609, variance .015997, factor .890 (.695 to 1.141)."""
    found = gaussian(bend())
    assert found.mean("skin") == pytest.approx(-0.11609, abs=5e-6)
    assert found.sd("skin") ** 2 == pytest.approx(0.015997, abs=5e-7)
    assert found.sd("skin") == pytest.approx(0.12648, abs=5e-6)
    band = np.exp(found.mean("skin") + np.array([0, -1.96, 1.96]) * found.sd("skin"))
    assert list(np.round(band, 3)) == [0.890, 0.695, 1.141]


def test_carried_to_the_real_wing() -> None:
    """Step 3: before 31 kg, 15.3 to 62.7; after 27.6 kg, sd .14966, 20.6 to 37.0; one-sided limit 4.69 g."""
    before = math.hypot(0.35, 0.08)
    assert list(np.round(31 * np.exp(np.array([-1.96, 1.96]) * before), 1)) == [15.3, 62.7]
    mean, sd = real_wing(gaussian(bend()))
    assert mean == pytest.approx(3.31789, abs=1e-5) and sd == pytest.approx(0.14966, abs=5e-6)
    assert list(np.round(np.exp(mean + np.array([0, -1.96, 1.96]) * sd), 1)) == [27.6, 20.6, 37.0]
    assert round(math.exp(mean - 1.645 * sd) / 4.6, 2) == 4.69


def test_proof_of_the_real_wing() -> None:
    """Steps 4 and 5: mean 3.36489 (28.9 kg), sd .11856, 22.9 to 36.5; back to the factor .921, sd .1084."""
    found = gaussian(bend(), proof())
    mean, sd = real_wing(found)
    assert mean == pytest.approx(3.36489, abs=6e-6) and sd**2 == pytest.approx(0.014056, abs=6e-7)
    assert list(np.round(np.exp(mean + np.array([0, -1.96, 1.96]) * sd), 1)) == [28.9, 22.9, 36.5]
    assert found.mean("skin") == pytest.approx(-0.0825, abs=5e-5)
    assert found.sd("skin") ** 2 == pytest.approx(0.01174, abs=5e-6)
    assert round(math.exp(found.mean("skin")), 3) == 0.921


def test_without_the_proof_step_two_returns_digit_for_digit() -> None:
    with_proof, without = gaussian(bend(), proof()), gaussian(bend())
    again = gaussian(bend())
    assert with_proof.mean("skin") != without.mean("skin")
    assert again.theta.tobytes() == without.theta.tobytes()
    assert again.covariance.tobytes() == without.covariance.tobytes()


@pytest.mark.parametrize(("mean", "sd"), [(0.0, 1.0), (3.5, 8.75), (-2.0, 0.7), (6.0, 2.0), (-5.0, 3.0)])
def test_one_event_has_the_exact_moments(mean: float, sd: float) -> None:
    """Against numerical integration of normal(a) Phi(a)."""
    tau, nu = event_site(mean, sd * sd, 0.0, 0.0)
    after = 1 / (1 / sd**2 + tau)
    centre = after * (mean / sd**2 + nu)

    def moment(power: int) -> float:
        def part(a: float) -> float:
            return float(a**power * math.exp(-0.5 * ((a - mean) / sd) ** 2) * ndtr(a))

        return quad(part, mean - 12 * sd, mean + 12 * sd, points=[0.0, mean, centre], limit=400)[0]

    whole, first, second = moment(0), moment(1), moment(2)
    assert centre == pytest.approx(first / whole, rel=1e-6)
    assert after == pytest.approx(second / whole - (first / whole) ** 2, rel=1e-5)


def test_held_event_at_the_median() -> None:
    """Prior N(0, .35), bound at the median: exact mean .270, sd .222; a Laplace mode would say .148, .178."""

    def margin(at: Points) -> Array:
        return at.state("skin")

    found = fit(assemble(knowledge(), (Reduction("p", events=(Event("p", "held", 0.04, margin),)),)))
    assert found.mean("skin") == pytest.approx(0.270, abs=0.011)
    assert found.sd("skin") == pytest.approx(0.222, abs=0.011)
    tau, nu = event_site(0.0, (0.35 / 0.04) ** 2, 0.0, 0.0)
    after = 1 / (1 / (0.35 / 0.04) ** 2 + tau)
    assert found.sd("skin") == pytest.approx(0.04 * math.sqrt(after), rel=1e-9)
    assert found.mean("skin") == pytest.approx(0.04 * after * nu, rel=1e-9)


@pytest.mark.parametrize(("broke", "p", "z"), [(14.0, 0.72, 0.356), (6.0, 0.009, 2.61)])
def test_agreement_with_the_prior(broke: float, p: float, z: float) -> None:
    """Step 1: z = -.356, p = .72, no conflict; broken at 6 kg z = -2.61, p = .009, a finding: the prior is widened by
    |z|/2 while it stands."""
    one = bend(broke)
    found = agreement(gaussian(one), gaussian(), one, frozenset(("skin",)))
    assert found.p == pytest.approx(p, rel=0.02) and found.concerned == ("skin",)
    assert found.widening == pytest.approx(max(1.0, z / 2) if p < 0.01 else 1.0, rel=0.005)
