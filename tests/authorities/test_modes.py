"""Linear modes of published aeroplanes, to the digits that their printed inputs allow."""

from __future__ import annotations

import numpy as np
import pytest

from planewright.analysis.handling.modes import (
    PitchTerms,
    SideTerms,
    phugoid_period,
    pitch_matrix,
    pitch_modes,
    side_modes,
    time_to_double,
)

FOOT = 0.3048


def test_jet_transport_at_40000_feet() -> None:
    """Heffley and Jewell, NASA CR-2144, 1972, tables IX-3 to IX-5, condition 9: 0.0673, 0.0489; 0.964, 0.387.

    Inputs in feet with three digits; body axes, W0 from the printed angle, so 3 % is what they allow; recomputed
    0.06719, 0.0484, 0.96295, 0.3862.
    """
    alpha = np.deg2rad(4.60)
    one = pitch_modes(
        PitchTerms(
            u=774 * FOOT, w=774 * FOOT * np.sin(alpha), theta=alpha, xu=-0.00276, xw=0.0389, zu=-0.0650, zw=-0.317,
            zq=-5.16 * FOOT, mu=0.000193 / FOOT, mw=-0.00105 / FOOT, mq=-0.339, zw_dot=0.00556, mw_dot=-0.000116 / FOOT,
        )
    )  # fmt: skip
    for found, printed, again in (
        (one.phugoid.frequency, 0.0673, 0.06719),
        (one.phugoid.damping, 0.0489, 0.0484),
        (one.short.frequency, 0.964, 0.96295),
        (one.short.damping, 0.387, 0.3862),
    ):
        assert found[0] == pytest.approx(printed, rel=0.03)
        assert found[0] == pytest.approx(again, rel=0.003)


def test_the_same_aeroplane_from_a_textbook() -> None:
    """Etkin and Reid, Dynamics of Flight, p. 165, non-dimensional set in SI: roots and times as a public notebook
    that quotes the page prints them (phugoid 93.4886 s, short period 7.08458 s); coefficients have 4 digits."""
    weight, area, chord, inertia, rho, speed = 2.83176e6, 511.0, 8.324, 0.449e8, 0.3045, 235.9
    mass, q = weight / 9.81, 0.5 * 0.3045 * 235.9**2
    force, moment = q * area / (mass * speed), q * area * chord / (inertia * speed)
    rate = chord / 2 / speed
    czs = -weight / (q * area)
    one = pitch_modes(
        PitchTerms(
            u=speed, w=0.0, theta=0.0, xu=-0.1080 * force, xw=0.2193 * force, zu=(2 * czs - 0.106) * force,
            zw=-4.92 * force, zq=-5.92 * force * chord / 2, mu=0.1043 * moment, mw=-1.023 * moment,
            mq=-23.92 * moment * chord / 2, zw_dot=5.9 * force * rate, mw_dot=-6.314 * moment * rate,
        )
    )  # fmt: skip
    assert rho == 0.3045
    assert one.phugoid.period[0] == pytest.approx(93.4886, rel=2e-3)
    assert one.phugoid.damping[0] == pytest.approx(0.0488821, rel=4e-3)
    assert one.phugoid.frequency[0] == pytest.approx(0.0672885, rel=2e-3)
    assert one.short.period[0] == pytest.approx(7.08458, rel=2e-3)
    assert one.short.damping[0] == pytest.approx(0.386501, rel=2e-3)


def test_navion_lateral() -> None:
    """Derivatives as Nelson quotes them (transcribed set in US units), roots recomputed from them by hand of others:
    spiral -0.0082, roll -8.435, swing 2.397 rad/s at 0.203; Nelson's printed -0.00877, -8.435, -0.487 +- 2.335i are
    from memory and hand-rounded, so 5 % (spiral 15 %)."""
    rho, speed, area, span = 0.002378, 176.0, 184.0, 33.4
    mass, ix, iz = 2750 / 32.174, 1048.0, 3530.0
    q = 0.5 * rho * speed**2 * area
    y, roll, yaw = q / (mass * speed), q * span / ix, q * span / iz
    rate = span / (2 * speed)
    one = side_modes(
        SideTerms(
            u=speed * FOOT, w=0.0, theta=0.0, yv=-0.564 * y, yp=0.0, yr=0.0, lv=-0.074 * roll / speed / FOOT,
            lp=-0.410 * roll * rate, lr=0.107 * roll * rate, nv=0.071 * yaw / speed / FOOT, np=-0.0575 * yaw * rate,
            nr=-0.125 * yaw * rate,
        )
    )  # fmt: skip
    assert -0.564 * y * speed == pytest.approx(-44.75, rel=2e-3)
    assert one.roll[0] == pytest.approx(-8.435, rel=2e-3)
    assert one.spiral[0] == pytest.approx(-0.00820, rel=0.02)
    assert one.dutch.frequency[0] == pytest.approx(2.397, rel=2e-3)
    assert one.dutch.damping[0] == pytest.approx(0.203, rel=5e-3)
    assert one.spiral[0] == pytest.approx(-0.00877, rel=0.15)
    assert one.roots[0].imag.max() == pytest.approx(2.335, rel=0.05)


LIGHT = {
    "u": 50.0, "w": 0.0, "theta": 0.0, "xu": -0.06728, "zu": -0.396, "mu": 0.0, "xw": 0.02323, "zw": -1.729,
    "mw": -0.2772, "mq": -2.207, "mw_dot": -0.0197,
}  # fmt: skip


@pytest.mark.parametrize(
    ("zq", "phugoid", "short"),
    [(-1.6804, (0.2501, 0.1101), (4.149, 0.5905)), (0.0, (0.2468, 0.1129), (4.205, 0.5865))],
)
def test_light_aeroplane_in_pitch(
    zq: float, phugoid: tuple[float, float], short: tuple[float, float]
) -> None:
    """H. Smith, open course text on flight mechanics, light four-seater at 50 m/s: dimensional derivatives as
    printed, roots recomputed by others from them, with and without Zq (four digits)."""
    one = pitch_modes(PitchTerms(**LIGHT, zq=zq))
    assert (one.phugoid.frequency[0], one.phugoid.damping[0]) == pytest.approx(phugoid, rel=1e-3)
    assert (one.short.frequency[0], one.short.damping[0]) == pytest.approx(short, rel=1e-3)


def test_light_aeroplane_sideways() -> None:
    """The same text: spiral +0.0194 (doubles in 35.7 s), roll -2.782, swing 3.390 rad/s at 0.1023."""
    one = side_modes(
        SideTerms(
            u=50.0, w=0.0, theta=0.0, yv=-0.1444, yp=0.0, yr=0.0, lv=-0.1166, lp=-2.283, lr=1.053, nv=0.174, np=-1.732,
            nr=-1.029,
        )
    )  # fmt: skip
    assert one.spiral[0] == pytest.approx(0.0194, rel=5e-3)
    assert time_to_double(one.spiral)[0] == pytest.approx(35.7, rel=5e-3)
    assert one.roll[0] == pytest.approx(-2.782, rel=1e-3)
    assert one.dutch.frequency[0] == pytest.approx(3.390, rel=1e-3)
    assert one.dutch.damping[0] == pytest.approx(0.1023, rel=2e-3)


def test_lanchester() -> None:
    """Closed form T = pi sqrt(2) V/g: 106.8 s at 774 ft/s, where the whole set gives 93.6 s; 11.3 s at 25 m/s."""
    assert phugoid_period(774 * FOOT) == pytest.approx(106.8, rel=2e-3)
    assert phugoid_period(25.0) == pytest.approx(11.3, rel=5e-3)


def test_product_of_inertia_couples_as_the_moments_do() -> None:
    """H = (Ix p - Ixz r, ..., Iz r - Ixz p): the accelerations solve these two equations together (identity)."""
    ix, iz, ixz, rolling, yawing = 1.3, 2.1, 0.2, 0.7, -0.4
    p, r = np.linalg.solve([[ix, -ixz], [-ixz, iz]], [rolling, yawing])
    terms = SideTerms(
        u=10.0, w=0.0, theta=0.0, yv=0.0, yp=0.0, yr=0.0, lv=rolling / ix, lp=0.0, lr=0.0, nv=yawing / iz, np=0.0,
        nr=0.0, roll_coupling=ixz / ix, yaw_coupling=ixz / iz,
    )  # fmt: skip
    from planewright.analysis.handling.modes import side_matrix

    matrix = side_matrix(terms)[0]
    assert matrix[1, 0] == pytest.approx(p) and matrix[2, 0] == pytest.approx(r)


def test_rows_carry_the_rate_of_w() -> None:
    """Mw_dot adds its share of every term of the w equation to the q equation."""
    matrix = pitch_matrix(PitchTerms(**LIGHT, zq=-1.6804))[0]
    assert matrix[2] == pytest.approx(np.array([0.0, -0.2772, -2.207, 0.0]) - 0.0197 * matrix[1], abs=1e-12)
