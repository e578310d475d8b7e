"""Cells, shear centres, divergence, ailerons and unsteady strips against published and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from planewright.analysis.strength import aeroelastic as air
from planewright.analysis.strength import cases, cells
from planewright.analysis.strength.aeroelastic import Aileron, Beam

FOOT, SLUG, POUND = 0.3048, 14.59390, 4.4482216


def ring(points: np.ndarray, thickness: np.ndarray | float, shear: float = 1.0) -> cells.Network:
    """One closed cell round ``points``."""
    n = len(points)
    after = np.roll(points, -1, axis=0)
    length = np.hypot(*(after - points).T)
    return cells.Network(
        points,
        np.arange(n),
        np.roll(np.arange(n), -1),
        length / (shear * np.broadcast_to(thickness, n)),
        np.ones((1, n)),
    )


def circle(radius: float, chords: int) -> np.ndarray:
    angle = np.linspace(0, 2 * np.pi, chords, endpoint=False)
    return radius * np.column_stack((np.cos(angle), np.sin(angle)))


@pytest.mark.parametrize(("chords", "expected"), [(24, 89.58), (96, 91.28)])
def test_tube_of_pilkey(chords: int, expected: float) -> None:
    """Tube of 8 outside and wall .25: J = 91.49 (W. D. Pilkey, Analysis and Design of Elastic Beams, 2002, example 5.7,
    p. 189); thin-wall 4 A^2 t/s = 91.398, and 89.58 and 91.28 with 24 and 96 chords (recomputed); .01."""
    found = cells.torsion_stiffness(ring(circle(3.875, chords), 0.25))
    assert found == pytest.approx(expected, abs=0.01)
    assert found < 91.398 + 1e-6


def test_two_equal_cells_are_one_when_their_wall_fades() -> None:
    """Two cells side by side, the wall between them thinned to nothing: the stiffness of the outer cell alone, 1e-9;
    with two equal cells the middle wall carries nothing whatever its thickness (symmetry)."""
    points = np.array([[0, 0], [1, 0], [2, 0], [2, 1], [1, 1], [0, 1]], dtype=float)
    start, end = np.array([0, 1, 2, 3, 4, 5, 1]), np.array([1, 2, 3, 4, 5, 0, 4])
    around = np.array([[1, 0, 0, 0, 1, 1, 1], [0, 1, 1, 1, 0, 0, -1]], dtype=float)
    whole = cells.torsion_stiffness(ring(points, 0.1))
    for wall in (1e-9, 0.1, 10.0):
        flexible = np.array([10.0] * 6 + [1 / wall])
        found = cells.torsion_stiffness(cells.Network(points, start, end, flexible, around))
        assert found == pytest.approx(whole, rel=1e-9)


def test_shear_centre_of_a_box_with_a_thick_and_a_thin_web() -> None:
    """A box a by h with forces handed over at its corners only. By hand: each web first takes half of the shear, the
    flow round q0 = (f - r)/(2 h (f + s + r)) closes it without twist (f, r, s: flexibilities of front web, rear web and
    both sides), so the centre lies at a (1/2 + (f - r)/(f + s + r)); 1e-9."""
    a, h = 2.0, 0.5
    points = np.array([[0, h], [0, 0], [a, 0], [a, h]], dtype=float)
    start, end = np.arange(4), np.array([1, 2, 3, 0])
    flexible = np.array([h / 0.4, a / 0.1, h / 0.1, a / 0.1])
    network = cells.Network(points, start, end, flexible, np.ones((1, 4)))
    handed = np.array([0.5, -0.5, -0.5, 0.5]) / h
    flow = cells.flows(network, handed, 0.0)
    upward = float(flow @ (points[end, 1] - points[start, 1]))
    place = float(network.swept @ flow / upward)
    front, sides, rear = flexible[0], flexible[1] + flexible[3], flexible[2]
    share = (front - rear) / (front + sides + rear)
    assert abs(upward) == pytest.approx(1.0)
    assert place == pytest.approx(a * (0.5 + share), rel=1e-9)


def uniform(n: int, length: float, chord: float, arm: float, **values: float) -> Beam:
    one = np.ones(n)
    of = {"bending": 1e7, "torsion": 1e6, "mass": 1.0, "static": 0.0, "inertia": 1.0} | values
    return Beam(
        one * length / n, one * chord, one * (chord / 4 + arm), one * of["bending"], one * of["torsion"],
        one * of["mass"], one * of["static"], one * of["inertia"],
    )  # fmt: skip


def test_divergence_of_megson() -> None:
    """Uniform wing, G J 12e6 N m2, half span 8 m, chord 2.8 m, quarter chord 1.2 m ahead of the axis, slope 3.1:
    269.2 m/s (T. H. G. Megson, Aircraft Structures, worked example, density 1.226); 60 strips, .1 m/s."""
    wing = uniform(60, 8.0, 2.8, 1.2, torsion=12e6)
    assert air.speed_of(air.divergence_pressure(wing, 3.1), 1.226) == pytest.approx(269.2, abs=0.1)


def goland(n: int = 40) -> Beam:
    """The uniform cantilever of M. Goland, J. Appl. Mech. 12 (1945) A197-A208, in slugs and feet as a second paper's
    program gives it: half span 20, chord 6, axis at 33 %, .746 slug/ft, 1.943 slug ft about the axis."""
    return uniform(
        n, 20 * FOOT, 6 * FOOT, 0.08 * 6 * FOOT,
        bending=1.4976e9 * 1.58e-2 * POUND * FOOT**2, torsion=5.616e8 * 4.25e-3 * POUND * FOOT**2,
        mass=0.746 * SLUG / FOOT, static=0.447 * SLUG, inertia=1.943 * SLUG * FOOT,
    )  # fmt: skip


def test_divergence_closed_form() -> None:
    """Uniform cantilever: (pi/2)^2 G J = q c e a L^2, exact: 252.1 m/s for Goland's wing, 1 in 2000 with 40 strips."""
    wing, density = goland(), 0.002378 * SLUG / FOOT**3
    exact = (np.pi / 2) ** 2 * wing.torsion[0] / (wing.chord[0] * wing.arm[0] * 2 * np.pi * wing.length**2)
    found = air.speed_of(air.divergence_pressure(wing, 2 * np.pi), density)
    assert found == pytest.approx(air.speed_of(exact, density), rel=5e-4)


def test_unsteady_strips_on_the_wing_of_goland() -> None:
    """137.2 m/s at 70.7 rad/s by Goland's own exact strips (the values as later papers and programs repeat them, the
    paper itself was not read); two bending and two torsion shapes here: 1 and 2 %."""
    found = air.unsteady_speed(goland(), 0.002378 * SLUG / FOOT**3, 80.0, 200.0, 40)
    assert found.speed == pytest.approx(137.2, rel=0.01)
    assert found.omega == pytest.approx(70.7, rel=0.02)


def test_lag_of_the_air() -> None:
    """C(k) at k = 0, .1, .5, 1 and its limit .5: T. Theodorsen, NACA Report 496, table 1 (values as tables repeat them:
    .8319 - .1723 i, .5979 - .1507 i, .5394 - .1003 i); 1e-4."""
    found = air.theodorsen(np.array([0.0, 0.1, 0.5, 1.0, 100.0]))
    expected = [1.0, 0.8319 - 0.1723j, 0.5979 - 0.1507j, 0.5394 - 0.1003j, 0.5]
    assert np.abs(found - expected).max() < 3e-3 and np.abs(found[:4] - expected[:4]).max() < 1e-4


def test_gust_rule() -> None:
    """Kg = .88 mu/(5.3 + mu): 14 CFR 23.341. mu -> infinity gives .88; Plover's and Gannet's by hand .43; .01."""
    assert cases.gust_alleviation(1e9, 1.225, 0.3, 5.0) == pytest.approx(0.88, abs=1e-6)
    assert cases.gust_alleviation(46.3, 1.225, 0.335, 4.7) == pytest.approx(0.43, abs=0.01)


def test_reversal_of_a_uniform_wing() -> None:
    """Uniform wing with an aileron along the whole span: the roll vanishes where the exact twist equation
    theta'' + m^2 theta = -k says so (solved here by a series of the closed form; 1 in 500)."""
    length, chord, arm, stiff, slope = 6.0, 1.5, 0.2, 2e5, 5.0
    wing = uniform(80, length, chord, arm, torsion=stiff)
    aileron = Aileron(np.ones(80), 0.5, -0.6)

    def roll(pressure: float) -> float:
        m = np.sqrt(pressure * chord * arm * slope / stiff)
        k = pressure * chord * (arm * slope * 0.5 + chord * -0.6) / stiff
        y = np.linspace(0, length, 4001)
        theta = k / m**2 * (np.cos(m * y) + np.tan(m * length) * np.sin(m * y) - 1)
        return float(np.trapezoid((0.5 + theta) * y, y))

    top = 0.98 * air.divergence_pressure(wing, slope)
    exact = brentq(roll, 1.0, top)
    assert air.reversal_speed(wing, slope, aileron, 1.225, 0.0) == pytest.approx(
        air.speed_of(exact, 1.225), rel=2e-3
    )
