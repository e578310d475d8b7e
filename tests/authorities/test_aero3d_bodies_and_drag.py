"""Bodies' moments, friction, form factors and measured section figures against published values."""

from __future__ import annotations

import numpy as np
import pytest

from planewright.analysis.air.bodies import REAL, munk_factor, pitch_slope
from planewright.analysis.air.build_up import body_form
from planewright.analysis.air.polars import friction, polar
from planewright.geometry import BodyShape
from planewright.plane.model import Body, BodyStation, Build


@pytest.mark.parametrize(("fineness", "factor"), [(4, 0.778), (8, 0.916), (10, 0.940)])
def test_inertia_factors_of_spheroids(fineness: float, factor: float) -> None:
    """H. Lamb, Hydrodynamics (closed form), as in M. M. Munk, NACA Report 184, 1924; 0.001."""
    assert munk_factor(fineness) == pytest.approx(factor, abs=0.001)


def test_moment_of_a_spheroid() -> None:
    """Munk: dM/dalpha = 2 q (k2 - k1) volume; spheroid 1.60 m by 0.20 m on S 0.80 m2, c 0.32 m: Cm_alpha 0.240
    per rad (0.2397 by 60 stations); 1 %. The factor for real bodies is taken off."""
    x = np.linspace(0, 1.6, 201)
    width = 0.2 * np.sqrt(np.maximum(1 - ((x - 0.8) / 0.8) ** 2, 0))
    rows = np.column_stack((x, width, width, 0 * x))
    body = Body("body", tuple(BodyStation(*row) for row in rows), Build("shell"))
    shape = BodyShape(body, rows, 1.6, 0.03351, 0.79, np.pi * 0.01, 1)
    assert pitch_slope(shape, None, None) / REAL / (0.80 * 0.32) == pytest.approx(0.240, rel=0.01)


@pytest.mark.parametrize(
    ("reynolds", "value"), [(1e5, 0.007156), (3e5, 0.005656), (5e5, 0.005106), (1e6, 0.004471)]
)
def test_turbulent_friction(reynolds: float, value: float) -> None:
    """Prandtl and Schlichting, 0.455/(log10 Re)^2.58; last digit."""
    assert friction(np.array([reynolds]))[0] == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize(("reynolds", "value"), [(1e5, 0.007179), (5e5, 0.005057), (1e6, 0.004409)])
def test_turbulent_friction_against_another_law(reynolds: float, value: float) -> None:
    """Schoenherr, 0.242/sqrt(Cf) = log10(Re Cf); within 1.5 %."""
    assert friction(np.array([reynolds]))[0] == pytest.approx(value, rel=0.015)


@pytest.mark.parametrize(("fineness", "factor"), [(4, 1.297), (6, 1.1345), (10, 1.054)])
def test_form_factor_of_bodies(fineness: float, factor: float) -> None:
    """Formula after S. F. Hoerner, Fluid-Dynamic Drag, chapter 6 (from memory), evaluated; last digit."""
    assert body_form(fineness) == pytest.approx(factor, abs=6e-4)


@pytest.mark.parametrize(
    ("key", "reynolds", "lift", "drag"),
    [
        ("clark y", 1e5, 0.6, 0.0225),
        ("clark y", 2.0e5, 0.6, 0.0113),
        ("clark y", 3.0e5, 0.4, 0.0089),
        ("naca 2415", 2.006e5, 0.4, 0.0127),
        ("naca 2415", 3.011e5, 0.8, 0.0120),
        ("flat", 1.997e5, 0.4, 0.0344),
    ],
)
def test_measured_drag(key: str, reynolds: float, lift: float, drag: float) -> None:
    """Summary of Low-Speed Airfoil Data, volumes 2 (1996) and 3 (1998), and Airfoils at Low Speeds (1989): values
    read by interpolation in the published tables; 2 %."""
    got = polar(key, 0.12, 0.0).profile_drag(np.array([reynolds]), np.array([lift]))[0]
    assert got == pytest.approx(drag, rel=0.02)


@pytest.mark.parametrize(
    ("key", "reynolds", "top"),
    [("clark y", 201100, 1.325), ("naca 2415", 201700, 1.226), ("flat", 1e5, 0.80)],
)
def test_measured_greatest_lift(key: str, reynolds: float, top: float) -> None:
    """The same sources: greatest lift coefficient, angle rising; last digit."""
    assert polar(key, 0.12, 0.0).maximum(np.array([reynolds]))[0] == pytest.approx(top, abs=5e-4)


def test_a_section_nobody_measured_is_wide_but_sane() -> None:
    """Friction times Hoerner's section factor 1 + 2 t/c + 60 (t/c)^4 (1.252 at 12 %); greatest lift 1.2 assumed."""
    one = polar("some section", 0.12, 0.3)
    assert not one.measured
    least = one.profile_drag(np.array([3e5]), np.array([0.3]))[0]
    assert least == pytest.approx(2 * 0.005656 * 1.252, rel=1e-3)
    assert one.maximum(np.array([2e5]))[0] == 1.2


def test_drag_rises_beyond_the_table() -> None:
    """Outside the measured lift range drag rises, and at the measured ends it is the measured value."""
    one = polar("clark y", 0.117, 0.4)
    lifts = np.array([1.30, 1.36, 1.42])
    drag = one.profile_drag(np.full(3, 2e5), lifts)
    assert np.all(np.diff(drag) > 0)
