"""The fit as a machine: robust rows, scatter, order, reversibility, fast against slow."""

import itertools

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import log_ndtr
from scipy.stats import t as student

from planewright.calibrate.engine import Fit, fit, row_cost, row_information, row_weight, scatter_factor
from planewright.calibrate.problem import Block, Event, Reduction, assemble
from planewright.knowledge import Knowledge, Points, Quantity

Array = npt.NDArray[np.float64]


def prior() -> Knowledge:
    made = [
        Quantity(n, "ln", "1", "x", 0.1, s, 0.1, s, "assumed", "test") for n, s in (("a", 0.3), ("b", 0.2))
    ]
    return Knowledge({one.id: one for one in made})


def readings(trial: str, seed: int, count: int = 8, odd: float = 0.0, loose: float = 1.0) -> Reduction:
    noise = np.random.default_rng(seed).normal(size=count) * loose
    x = np.linspace(-1, 1, count)
    y = np.exp(0.25 + 0.1 * x) + 0.05 * noise
    y[2] += odd

    def predict(at: Points) -> Array:
        return np.exp(at.state("a") + at.state("b") * x[:, None]) + at.state(f"{trial}:zero")

    block = Block(trial, "y", tuple(range(1, count + 1)), y, np.full(count, 0.05), predict)
    return Reduction(trial, (block,), locals={f"{trial}:zero": (0.0, 0.02)})


def held(trial: str, bound: float) -> Reduction:
    def margin(at: Points) -> Array:
        return at.state("a") + at.state("b") - bound

    return Reduction(trial, events=(Event(trial, "held", 0.05, margin),))


def solved(*reductions: Reduction) -> Fit:
    return fit(assemble(prior(), reductions))


def test_any_order_gives_the_same_bytes() -> None:
    parts = (readings("1", 1), readings("2", 2, odd=1.0), held("3", 0.5))
    results = {solved(*order).theta.tobytes() for order in itertools.permutations(parts)}
    assert len(results) == 1


def test_taking_a_trial_out_gives_the_earlier_bytes() -> None:
    earlier = solved(readings("1", 1), readings("2", 2))
    later = solved(readings("1", 1), readings("2", 2), held("3", 0.8))
    again = solved(readings("1", 1), readings("2", 2))
    assert later.mean("a") > earlier.mean("a")
    assert again.theta.tobytes() == earlier.theta.tobytes()
    assert again.covariance.tobytes() == earlier.covariance.tobytes()


def test_a_wild_row_is_weighted_down_and_hardly_moves_the_answer() -> None:
    clean, wild = solved(readings("1", 3)), solved(readings("1", 3, odd=2.0))
    assert wild.weights[0][2] < 0.05 and np.sum(wild.weights[0] < 0.5) == 1
    assert abs(wild.mean("a") - clean.mean("a")) < clean.sd("a")


def test_noise_above_the_declared_is_found() -> None:
    quiet = solved(readings("1", 5, count=60))
    loud = solved(readings("1", 5, count=60, loose=2.5))
    assert quiet.scatter[0] < 1.2 and 1.8 < loud.scatter[0] < 3.2
    assert loud.sd("b") > 1.5 * quiet.sd("b")


def test_against_a_grid_of_the_same_density() -> None:
    """Two unknowns and one held event: the Gaussian of the fit against the density itself on a fine grid.

    The residuals are a sample of Student's t, for which the information of the fit is the expected one.
    """
    x = np.linspace(-1, 1, 24)
    y = (
        0.3
        + 0.1 * x
        + 0.15 * np.random.default_rng(7).permutation(student.ppf((np.arange(24) + 0.5) / 24, 4))
    )

    def predict(at: Points) -> Array:
        return at.state("a") + at.state("b") * x[:, None]

    rows = Reduction("1", (Block("1", "y", tuple(range(24)), y, np.full(24, 0.15), predict),))
    found = fit(assemble(prior(), (rows, held("2", 0.3)), scatter=False))
    a, b = np.meshgrid(np.linspace(-0.5, 1.1, 401), np.linspace(-0.9, 1.1, 401), indexing="ij")
    r = (y - a[..., None] - b[..., None] * x) / 0.15
    log = -0.5 * (((a - 0.1) / 0.3) ** 2 + ((b - 0.1) / 0.2) ** 2) - 2.5 * np.log1p(r**2 / 4).sum(-1)
    weight = np.exp(log + log_ndtr((a + b - 0.3) / 0.05))
    weight /= weight.sum()
    for grid, name in ((a, "a"), (b, "b")):
        mean = float((weight * grid).sum())
        sd = float(np.sqrt((weight * (grid - mean) ** 2).sum()))
        assert found.mean(name) == pytest.approx(mean, abs=0.15 * sd)
        assert found.sd(name) == pytest.approx(sd, rel=0.12)


def test_no_trials_leave_the_prior() -> None:
    found = solved()
    assert found.ids == () and found.mean("a") == 0.1 and found.sd("a") == 0.3


def test_a_nuisance_shared_by_name_does_not_average_away() -> None:
    """Ten runs with one bad lever do not become ten times as sure."""

    def run(trial: str) -> Reduction:
        block = Block(
            trial,
            "y",
            (0,),
            np.array([0.2]),
            np.array([0.001]),
            lambda at: (at.state("a") + at.state("lever"))[None],
        )
        return Reduction(trial, (block,), locals={"lever": (0.0, 0.05)})

    one, ten = solved(run("1")), solved(*(run(str(i)) for i in range(10)))
    expected = 1 / np.sqrt(1 / 0.3**2 + 1 / 0.05**2)
    assert ten.sd("a") == pytest.approx(expected, rel=1e-3)
    assert ten.sd("a") == pytest.approx(one.sd("a"), rel=1e-2)


@given(st.floats(-30, 30))
def test_rho_is_the_square_root_of_twice_the_student_cost(r: float) -> None:
    rho, lean = row_cost(np.array([r]), True)
    assert 0.5 * rho[0] ** 2 == pytest.approx(2.5 * np.log1p(r * r / 4), rel=1e-12, abs=1e-300)
    ahead, _ = row_cost(np.array([r + 1e-5]), True)
    behind, _ = row_cost(np.array([r - 1e-5]), True)
    assert lean[0] == pytest.approx((ahead[0] - behind[0]) / 2e-5, rel=1e-5)


@given(st.floats(0, 50), st.floats(0, 50))
def test_a_worse_row_never_pulls_harder(a: float, b: float) -> None:
    low, high = sorted((a, b))
    weight, information = row_weight(np.array([low, high])), row_information(np.array([low, high]), True)
    assert weight[0] >= weight[1] and information[0] >= information[1] and information[0] <= 5 / 7 + 1e-12


@settings(max_examples=50)
@given(st.integers(3, 40), st.floats(1.0, 6.0))
def test_scatter_is_a_floor_and_grows_with_the_residuals(count: int, size: float) -> None:
    r = np.random.default_rng(count).normal(size=count)
    free = np.full(count, 0.1)
    assert scatter_factor(np.zeros(count), free) == 1.0
    assert scatter_factor(size * r, free) >= scatter_factor(r, free) - 1e-12
