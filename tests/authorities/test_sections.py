"""Sections against published formulae, tables and catalogue values. Each test names its source."""

from __future__ import annotations

import math
from importlib import resources
from pathlib import Path

import numpy as np
import pytest

from planewright.geometry import outline, thickness_ratio, zero_lift
from planewright.geometry.sections import area, kinked_plate, naca_thickness, named_points, perimeter
from planewright.plane.model import Section

KEPT = Path(__file__).parents[2] / "authorities" / "sections"


@pytest.mark.parametrize("name", ["clark_y.csv", "e387.csv"])
def test_shipped_tables_are_the_kept_copies(name: str) -> None:
    """What the package reads is what the outside source said; the source stands at the head of each file."""
    shipped = resources.files("planewright.geometry").joinpath("tables", name).read_bytes()
    assert shipped == (KEPT / name).read_bytes()
    assert b"# Source: " in shipped


def test_naca_0012_half_ordinates() -> None:
    """Half-ordinates of NACA 0012 in per cent of the chord.

    Source: the four-digit formula documented in C. L. Ladson and others, Computer Program To Obtain Ordinates for NACA
    Airfoils, NASA TM 4741, 1996; table of E. N. Jacobs, K. E. Ward and R. M. Pinkerton, NACA Report 460, 1933
    (report number from memory), recomputed from the formula.
    """
    x = np.array([1.25, 2.5, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 100]) / 100
    printed = [
        1.894,
        2.615,
        3.555,
        4.683,
        5.738,
        6.002,
        5.803,
        5.294,
        4.563,
        3.664,
        2.623,
        1.448,
        0.807,
        0.126,
    ]
    assert naca_thickness(x, 0.12) * 100 == pytest.approx(np.array(printed), abs=0.0006)


def test_naca_nose_radius() -> None:
    """Nose radius 1.1019 t2 of four-digit sections. Source: NASA TM 4741, 1996 (from memory); near the nose
    the half-thickness is sqrt(2 r x)."""
    x = np.array([1e-8])
    assert naca_thickness(x, 0.12)[0] ** 2 / (2 * x[0]) == pytest.approx(1.1019 * 0.12**2, rel=2e-3)


@pytest.mark.parametrize(
    ("name", "angle", "moment"),
    [
        ("NACA 1412", -1.0386, -0.02656),
        ("NACA 2412", -2.0772, -0.05312),
        ("NACA 2415", -2.0772, -0.05312),
        ("NACA 4412", -4.1545, -0.10624),
        ("NACA 2512", -2.2918, -0.06283),
        ("NACA 6312", -5.7538, -0.13419),
        ("naca-6512", -6.8755, -0.18850),
        ("NACA 0012", 0.0, 0.0),
    ],
)
def test_thin_section_values_of_four_digit_mean_lines(name: str, angle: float, moment: float) -> None:
    """Angle of no lift (deg) and moment about the quarter chord by thin-section theory.

    Source: quadrature of the exact integrals of thin-section theory (Munk, Glauert), redone independently.
    """
    alpha, cm0 = zero_lift(Section("naca", name))
    assert math.degrees(alpha) == pytest.approx(angle, abs=1e-4)
    assert cm0 == pytest.approx(moment, abs=1e-5)


@pytest.mark.parametrize("camber", [0.02, 0.06])
def test_parabolic_mean_line_is_exact(camber: float) -> None:
    """alpha_l0 = -2h, cm0 = -pi h for a parabolic mean line: exact result of thin-section theory."""
    x = (1 - np.cos(np.linspace(0, np.pi, 121))) / 2
    top = np.column_stack((x[::-1], 4 * camber * (x * (1 - x))[::-1] + 0.03 * np.sqrt(x * (1 - x))[::-1]))
    bottom = np.column_stack((x, 4 * camber * x * (1 - x) - 0.03 * np.sqrt(x * (1 - x))))
    points = tuple(map(tuple, np.vstack((top, bottom[1:])).tolist()))
    alpha, cm0 = zero_lift(Section("file", "arc", points))
    assert (alpha, cm0) == pytest.approx((-2 * camber, -np.pi * camber), rel=2e-3)


def test_kinked_plate_against_its_exact_integral() -> None:
    """Two straight pieces: alpha_l0 = -(1/pi)[s1 (sin t - t) - s2 (sin t - t + pi)], t = acos(1 - 2 kink)."""
    kink, camber = 0.25, 0.03
    t = math.acos(1 - 2 * kink)
    fore, aft = camber / kink, -camber / (1 - kink)
    exact = -(fore * (math.sin(t) - t) - aft * (math.sin(t) - t + math.pi)) / math.pi
    assert zero_lift(kinked_plate(kink, camber, 0.02))[0] == pytest.approx(exact, abs=math.radians(0.03))


@pytest.mark.parametrize(
    ("name", "thickness", "angle", "moment"),
    [("Clark Y", 11.72, -3.53, -0.0838), ("E387", 9.07, -3.54, -0.0805)],
)
def test_catalogue_values(name: str, thickness: float, angle: float, moment: float) -> None:
    """Thickness (per cent) and inviscid zero-lift angle (deg) and moment.

    Source: public section catalogue, aerodesign.de, page profile_n (values with thickness, so the thin-section
    angle may differ by some 0.2 deg and the moment by .003; its camber follows another definition and is not used).
    """
    section = Section("named", name)
    assert thickness_ratio(section) * 100 == pytest.approx(thickness, abs=0.03)
    alpha, cm0 = zero_lift(section)
    assert math.degrees(alpha) == pytest.approx(angle, abs=0.2)
    assert cm0 == pytest.approx(moment, abs=0.003)


def test_flat_bottom_of_clark_y() -> None:
    """The flat part of the lower surface lies 2.1 deg nose-up to the chord: source at the head of the table."""
    lower = named_points("clark y")
    lower = lower[np.argmin(lower[:, 0]) :]
    flat = lower[(lower[:, 0] > 0.4) & (lower[:, 0] < 0.95)]
    slope = np.polyfit(flat[:, 0], flat[:, 1], 1)[0]
    assert math.degrees(math.atan(slope)) == pytest.approx(2.1, abs=0.05)


def test_outline_passes_through_the_published_points() -> None:
    """The curve drawn through Clark Y's ordinates misses none of them by more than 0.0003 of the chord."""
    shape, points = outline(Section("named", "Clark Y"), points=801), named_points("Clark Y")
    gap = [np.min(np.hypot(*(shape - one).T)) for one in points]
    assert max(gap) < 3e-3
    nose = int(np.argmin(shape[:, 0]))
    upper = np.interp([0.1, 0.3, 0.6], shape[nose::-1, 0], shape[nose::-1, 1])
    assert upper == pytest.approx([0.06300, 0.09068, 0.07576], abs=3e-4)


def test_ellipse_area_and_way_round() -> None:
    """An ellipse has area pi a b; its way round by Ramanujan's second formula (1914), good to 1e-5 here."""
    t = np.linspace(0, 2 * np.pi, 401)
    a, b = 0.5, 0.1
    points = np.column_stack((0.5 + a * np.cos(t), b * np.sin(t)))
    section = Section("file", "ellipse", tuple(map(tuple, points.tolist())))
    h = ((a - b) / (a + b)) ** 2
    exact = np.pi * (a + b) * (1 + 3 * h / (10 + np.sqrt(4 - 3 * h)))
    assert area(section) == pytest.approx(np.pi * a * b, rel=2e-3)
    assert perimeter(section) == pytest.approx(exact, rel=2e-3)


def test_four_digit_area() -> None:
    """Area of a four-digit section: the integral of the published polynomial, 0.6851 t of the chord squared."""
    terms = 0.2969 * 2 / 3 - 0.1260 / 2 - 0.3516 / 3 + 0.2843 / 4 - 0.1015 / 5
    assert area(Section("naca", "NACA 0012")) == pytest.approx(10 * 0.12 * terms, rel=1e-3)
