"""The frozen polar set: what it answers on a table whose answers are known."""

from __future__ import annotations

import numpy as np
import pytest

from planewright.analysis.section import BRIDGED, CONVERGED, SectionPolars

ALPHA = np.deg2rad(np.arange(-8.0, 21.0))
REYNOLDS = np.array([6e4, 1e5, 2e5, 4e5])


def lift_of(alpha: np.ndarray, slope: float) -> np.ndarray:
    """Straight up to 12 degrees, then falling at half the slope; no lift at -2 degrees."""
    top = np.deg2rad(12.0)
    rising = slope * (alpha + np.deg2rad(2.0))
    return np.where(alpha > top, slope * (top + np.deg2rad(2.0)) - 0.5 * slope * (alpha - top), rising)


@pytest.fixture(scope="module")
def polars() -> SectionPolars:
    lift = np.stack([lift_of(ALPHA, slope) for slope in (5.0, 5.2, 5.6, 5.8)])
    drag = 0.01 * (1 + lift**2) * (2e5 / REYNOLDS[:, None]) ** 0.5
    state = np.full(lift.shape, CONVERGED, dtype=np.int8)
    state[1, 10] = BRIDGED
    return SectionPolars("a test", "", 0.12, ALPHA, REYNOLDS, lift, drag, np.full(lift.shape, -0.05), state)


def test_it_answers_at_its_own_points_and_holds_beyond_its_ends(polars: SectionPolars) -> None:
    grid = polars.lift_at(ALPHA[None, :], REYNOLDS[:, None])
    assert np.allclose(grid, polars.lift, atol=1e-12)
    assert polars.drag_at(0.1, 1e4) == pytest.approx(polars.drag_at(0.1, 6e4))
    assert polars.lift_at(1.0, 2e5) == pytest.approx(polars.lift[2, -1])


def test_greatest_lift_zero_lift_and_slope(polars: SectionPolars) -> None:
    assert np.allclose(polars.stall_angle(REYNOLDS), np.deg2rad(12.0))
    assert np.allclose(polars.maximum(REYNOLDS), np.array([5.0, 5.2, 5.6, 5.8]) * np.deg2rad(14.0))
    assert np.allclose(polars.alpha_zero_lift(REYNOLDS), np.deg2rad(-2.0))
    assert np.allclose(polars.slope(REYNOLDS), [5.0, 5.2, 5.6, 5.8])
    between = polars.maximum(np.sqrt(1e5 * 2e5))
    assert between == pytest.approx(5.4 * np.deg2rad(14.0)), "half way in ln Re"


def test_drag_at_equal_lift_is_the_drag_at_that_angle_and_rises_beyond_the_table(
    polars: SectionPolars,
) -> None:
    alpha = np.deg2rad(np.arange(-6.0, 12.0))
    lift = polars.lift_at(alpha, 2e5)
    assert np.allclose(polars.drag_at_lift(lift, 2e5), polars.drag_at(alpha, 2e5))
    beyond = polars.drag_at_lift(np.array([1.5, 1.7, 1.9]), 2e5)
    assert np.all(np.diff(beyond) > 0)


def test_a_bridged_point_doubles_its_band(polars: SectionPolars) -> None:
    there, beside = ALPHA[10], ALPHA[20]
    assert polars.bridged_at(there, 1e5) and not polars.bridged_at(beside, 1e5)
    wide, plain = polars.lift_band_at(there, 1e5), polars.lift_band_at(there, 4e5)
    assert wide.sd > 1.9 * plain.sd
