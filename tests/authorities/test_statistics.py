"""Line fits against published results.

Sources: JCGM 100:2008, Guide to the expression of uncertainty in measurement, annex H.3 (table H.6 and the
results printed there); National Institute of Standards and Technology, Statistical Reference Datasets,
linear regression: Norris, NoInt1, Wampler1, Wampler3 (certified values); S. A. Glantz and B. K. Slinker,
Primer of applied regression and analysis of variance, table 2-1 (heights and weights of the Martians).
"""

from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from scipy.special import ndtr
from scipy.stats import t as student

from planewright.calibrate.engine import fit
from planewright.calibrate.lines import line_fit, linear_fit
from planewright.calibrate.problem import Block, Reduction, assemble
from planewright.knowledge import Knowledge, Points
from planewright.knowledge.draws import normal_stream

HERE = Path(__file__).parent / "statistics"
Array = npt.NDArray[np.float64]


def table(name: str) -> Array:
    return np.loadtxt(HERE / f"{name}.csv", delimiter=",", skiprows=2)


def test_gum_h3_thermometer() -> None:
    """Printed: y1 = -0.1712(29), y2 = 0.00218(67), r = -0.930, s = 0.0035, b(30 C) = -0.1494(41)."""
    x, y = table("gum_h3").T
    found = line_fit(x, y, about=20.0)
    assert np.round(found.value, 4)[0] == -0.1712 and round(found.sd[0], 4) == 0.0029
    assert np.round(found.value, 5)[1] == 0.00218 and round(found.sd[1], 5) == 0.00067
    assert round(found.correlation, 3) == -0.930 and round(found.s, 4) == 0.0035
    ahead = np.array([1.0, 10.0])
    assert round(float(ahead @ found.value), 4) == -0.1494
    assert round(float(np.sqrt(ahead @ found.covariance @ ahead)), 4) == 0.0041


def test_nist_norris() -> None:
    """Certified to 15 figures; ten are asked."""
    y, x = table("norris").T
    found = line_fit(x, y)
    assert found.value == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-10)
    assert found.sd == pytest.approx([0.232818234301152, 0.429796848199937e-03], rel=1e-10)
    assert found.s == pytest.approx(0.884796396144373, rel=1e-10)


def test_nist_line_through_the_origin() -> None:
    """NoInt1."""
    y, x = table("noint1").T
    found = linear_fit(x[:, None], y)
    assert found.value[0] == pytest.approx(2.07438016528926, rel=1e-12)
    assert found.sd[0] == pytest.approx(0.0165289256198347, rel=1e-12)
    assert found.s == pytest.approx(3.56753034006338, rel=1e-12)


@pytest.mark.parametrize(("name", "s"), [("wampler1", 0.0), ("wampler3", 2360.14502379268)])
def test_nist_fifth_degree_polynomial(name: str, s: float) -> None:
    """All six certified coefficients are 1."""
    y, x = table(name).T
    found = linear_fit(np.vander(x, 6, increasing=True), y)
    assert found.value == pytest.approx(np.ones(6), abs=1e-7)
    assert found.s == pytest.approx(s, rel=1e-9, abs=1e-6)


def test_martians() -> None:
    """Printed: slope 0.44 (0.064), intercept -6.0 (2.4), t 6.90, 95 % interval of the slope 0.29 to 0.59."""
    height = np.array([31, 32, 33, 34, 35, 35, 40, 41, 42, 46], dtype=float)
    weight = np.array([7.8, 8.3, 7.6, 9.1, 9.6, 9.8, 11.8, 12.1, 14.7, 13.0])
    found = line_fit(height, weight)
    assert np.round(found.value, 2)[1] == 0.44 and round(found.sd[1], 3) == 0.064
    assert round(found.value[0], 1) == -6.0 and round(found.sd[0], 1) == 2.4
    assert found.value[1] / found.sd[1] == pytest.approx(6.90, abs=0.015)
    half = student.ppf(0.975, 8) * found.sd[1]
    assert (found.value[1] - half, found.value[1] + half) == pytest.approx((0.29, 0.59), abs=0.0075)


def test_gaussian_limit_of_the_engine_is_the_line_of_the_gum() -> None:
    """With Gaussian rows, no scatter and hardly any prior, the engine returns the fit of annex H.3.

    The engine takes sigma as known, so the s that is printed in H.3 (0.0035, here to more figures) is given
    to it.
    """
    x, y = table("gum_h3").T
    plain = line_fit(x, y, about=20.0)

    def predict(at: Points) -> Array:
        return at.state("t:level")[None, :] + at.state("t:slope")[None, :] * (x[:, None] - 20.0)

    block = Block("t", "line", tuple(range(1, 12)), y, np.full(11, plain.s), predict)
    wide = Reduction("t", (block,), locals={"t:level": (0.0, 10.0), "t:slope": (0.0, 10.0)})
    found = fit(assemble(Knowledge({}), (wide,), robust=False, scatter=False))
    assert [found.mean("t:level"), found.mean("t:slope")] == pytest.approx(list(plain.value), rel=1e-5)
    assert [found.sd("t:level"), found.sd("t:slope")] == pytest.approx(list(plain.sd), rel=1e-5)
    assert round(found.mean("t:level"), 4) == -0.1712 and round(found.sd("t:level"), 4) == 0.0029


def test_nist_tn_1900_thermal_expansion_by_draws() -> None:
    """A. Possolo, Simple guide for evaluating and expressing the uncertainty of NIST measurement results, NIST
    Technical Note 1900 (2015), example E13: lengths and temperatures as t variables of 3 degrees: coefficient
    1.7266e-5 per C with 1.76e-6 (linear), 1.7268e-5 with 1.74e-6 (draws). Here by the seeded streams of knowledge."""
    inputs = {"L0": (1.4999, 1e-4), "T0": (288.15, 0.02), "L1": (1.5021, 2e-4), "T1": (373.10, 0.05)}
    count = 100_000
    draws = {
        name: middle + u * student.ppf(ndtr(normal_stream(f"tn1900:{name}", count, 1)), 3) / np.sqrt(3)
        for name, (middle, u) in inputs.items()
    }
    found = (draws["L1"] - draws["L0"]) / (draws["L0"] * (draws["T1"] - draws["T0"]))
    middle = {name: value for name, (value, _) in inputs.items()}
    assert (middle["L1"] - middle["L0"]) / (middle["L0"] * (middle["T1"] - middle["T0"])) == pytest.approx(
        1.7266e-5, rel=5e-5
    )
    assert np.median(found) == pytest.approx(1.7266e-5, rel=2e-3)
    assert np.mean(found) == pytest.approx(1.7268e-5, rel=1e-3)
    assert np.std(found) == pytest.approx(1.74e-6, rel=0.02)


def test_nist_tn_1900_mean_of_22_days() -> None:
    """The same note, example E2 (readings from memory; their mean and scatter close on the printed 25.59 and 4.1):
    u = 0.872 C, 95 % interval 23.8 to 27.4 C by Student's t with 21 degrees."""
    days = [18.75, 28.25, 25.75, 28.00, 28.50, 20.75, 21.00, 22.75, 18.50, 27.25, 20.75,
            26.50, 28.00, 23.25, 28.00, 21.75, 26.00, 26.50, 28.00, 33.25, 32.00, 29.50]  # fmt: skip
    found = linear_fit(np.ones((22, 1)), np.array(days))
    assert round(float(found.value[0]), 2) == 25.59 and round(found.s, 1) == 4.1
    assert round(float(found.sd[0]), 3) == 0.872
    half = float(student.ppf(0.975, 21) * found.sd[0])
    assert round(found.value[0] - half, 1) == 23.8 and round(found.value[0] + half, 1) == 27.4
