"""Cells, twist, load cases and other parts of the drawn wings: limits, symmetry, easy mistakes."""

from __future__ import annotations

import dataclasses
import math
from functools import lru_cache

import numpy as np
import pytest
from strength_cases import GANNET_HALF, MEDIANS, PLOVER_HALF, Fixed, gannet, plover, spread_by_chord

from planewright.analysis import strength
from planewright.analysis.strength import aeroelastic as air
from planewright.analysis.strength import cases, cells, details, loads
from planewright.analysis.strength.materials import known_materials, tables
from planewright.analysis.strength.reference import page
from planewright.geometry import derive
from planewright.plane.model import Control, Plane, Wheel

POINTS = {"engine": (0.37, 0.2175), "nacelle": (0.37, 0.0545), "servo": (0.98, 0.026)}


@lru_cache(maxsize=4)
def half_of(name: str, small: bool = False) -> strength.HalfWing:
    plane, specimen = (plover(), PLOVER_HALF) if name == "plover" else (gannet(), GANNET_HALF)
    prediction = strength.bend_prediction(plane, specimen)
    return (prediction.small if small else prediction.full).half


@lru_cache(maxsize=2)
def model_of(name: str) -> strength.StrengthModel:
    plane = plover() if name == "plover" else gannet()
    span, mass, points = (1.3, 4.062, POINTS) if name == "plover" else (1.45, 5.4, {"engine": (0.44, 0.44)})
    masses = spread_by_chord(plane, 0.559, points)
    return strength.strength_model(derive(plane), strength.elliptic_span_load(span), masses, mass)


def test_torsion_near_the_shells() -> None:
    """Half-size Plover: G J 16.5 N m2 by sections and 17.3 by a shell model of our own, .20 mm of paper; 8 %."""
    half = half_of("plover", small=True)
    closed = cells.section_torsion(half, 0)[0] - cells.open_stiffness(half.skin, 0.37)
    assert closed * 0.20e-3 / half.skin.face == pytest.approx(16.5, rel=0.08)


def test_an_open_seam_is_open() -> None:
    """Trailing edge open: stiffness falls by more than 2 on one spar; both open: by over 15. Two webs keep a box."""
    one = [
        cells.section_torsion(half_of("plover"), 0, seams)[0]
        for seams in ((), ("trailing edge",), cells.SEAMS)
    ]
    assert one[0] > 2 * one[1] and one[0] > 15 * one[2]
    two = [
        cells.section_torsion(half_of("gannet"), 0, seams)[0]
        for seams in ((), ("trailing edge",), cells.SEAMS)
    ]
    assert two[0] > two[1] > two[2] > 0.3 * two[0]


@pytest.mark.parametrize(("name", "place"), [("plover", 0.31), ("gannet", 0.36)])
def test_shear_centre(name: str, place: float) -> None:
    """.31 and .36 of the root chord (a trial of our own; .03); the vertical flows sum to the shear."""
    half = half_of(name)
    assert cells.shear_centre(half, 0) / half.chord[0] == pytest.approx(place, abs=0.03)
    assert cells.vertical_sum(half, 0) == pytest.approx(1.0, rel=0.03)


def test_flow_in_a_seam() -> None:
    """2.3 N m of ailerons makes .13 N/mm in the trailing-edge seam (a trial of our own; 15 %), far under a lap's."""
    flow = 2.3 * cells.section_torsion(half_of("plover"), 0)[2]
    assert flow == pytest.approx(130, rel=0.15)
    assert 10 * flow < tables()["tape"]["lap"] * 1000


def beam(**changes: float) -> air.Beam:
    one = np.ones(24)
    base = air.Beam(
        one * 1.3 / 24,
        one * 0.33,
        one * 0.33 * 0.31,
        one * 150.0,
        one * 80.0,
        one * 0.43,
        one * 0.01,
        one * 0.004,
    )
    return dataclasses.replace(base, **{key: one * value for key, value in changes.items()})


def test_stiffer_is_faster() -> None:
    """Every simple speed goes with the root of the stiffness in twist; nothing twists off with its axis ahead."""
    aileron = air.Aileron(np.where(np.arange(24) > 12, 1.0, 0.0), 0.6, -0.5)
    for speed in (
        lambda b: air.speed_of(air.divergence_pressure(b, 5.0), 1.225),
        lambda b: air.reversal_speed(b, 5.0, aileron, 1.225),
        air.flexibility_rule,
    ):
        assert speed(beam(torsion=320.0)) == pytest.approx(2 * speed(beam(torsion=80.0)), rel=1e-6)
    assert air.divergence_pressure(beam(axis=0.06), 5.0) == math.inf
    assert air.roll_kept(beam(), 5.0, aileron, 1e-6) == pytest.approx(1.0)


def test_mass_ahead_raises_and_behind_lowers_the_unsteady_speed() -> None:
    ahead, there, behind = (
        air.unsteady_speed(air.moved(beam(), by), 1.225).speed for by in (-0.06, 0.0, 0.06)
    )
    assert ahead > there > behind


def test_a_wing_that_only_twists_off_is_reported() -> None:
    """Soft and balanced ahead: no motion grows before it twists off, and that speed is given, not "none found"."""
    found = air.unsteady_speed(air.moved(beam(torsion=2.0), -0.2), 1.225)
    assert found.omega == 0.0
    assert found.speed == pytest.approx(
        air.speed_of(air.divergence_pressure(beam(torsion=2.0), 2 * np.pi), 1.225)
    )


def test_twist_under_load_against_the_closed_form() -> None:
    """Even torque t on a still cantilever: t L^2 / 2 G J at the tip; air ahead of the axis adds to it."""
    still = air.twist_under(beam(), 5.0, 0.0, np.ones(24))[-1]
    assert still == pytest.approx(1.3**2 / 2 / 80.0, rel=1e-6)
    assert air.twist_under(beam(), 5.0, 100.0, np.ones(24))[-1] > still


def test_wing_of_an_aeroplane() -> None:
    """The drawn wing as a beam: its length, its masses, more twist with an open seam, aileron lost with speed."""
    plane = dataclasses.replace(
        plover(),
        controls=(Control("aileron", "aileron", "wing", 0.7, 1.26, 0.25, 0.31, 0.21, "tape", "s", 2),),
    )
    half = half_of("plover")
    y = np.linspace(0.05, 1.25, 25)
    points = (np.full(25, 0.02), 0.43 + 0.15 + 0 * y, y, tuple(["wing.right"] * 25))
    found = strength.stiffness(
        derive(plane), half, points, Fixed(), seams={"closed": (), "open": ("trailing edge",)}
    )
    assert found.closed.length == pytest.approx(1.3)
    assert float(found.closed.mass @ found.closed.width) == pytest.approx(0.5, rel=1e-3)
    assert found.with_seams("open").divergence < found.divergence
    kept = [found.kept("aileron", v) for v in (5.0, 15.0, 25.0)]
    assert 1 > kept[0] > kept[1] > kept[2] > 0
    assert found.camber_twist(20.0) < found.camber_twist(10.0) < 0


def test_bags_make_the_net_load() -> None:
    """Wing upside down: bags and own mass together are n times the net load, in the whole half and, to a bay's length,
    in moment; no bay asks for less than nothing."""
    model = model_of("plover")
    for load in (3.0, 4.5):
        rows = cases.bags(model, load, 4.062, 40)
        assert min(row.bags for row in rows) >= 0
        hung = sum(row.bags for row in rows) * loads.GRAVITY + model.own.shear[0]
        net = load * (model.lift.shear[0] * 4.062 * loads.GRAVITY - model.own.shear[0])
        assert hung == pytest.approx(net, rel=1e-6)
        moment = (
            sum(row.bags * (row.start + row.end) / 2 for row in rows) * loads.GRAVITY + model.own.moment[0]
        )
        assert moment == pytest.approx(load * model.moment_at(0.0)[0], rel=0.03)


def test_landing_bends_it_down() -> None:
    """Lift of 1 g and masses at 4 g: about -7.3 N m at Plover's root (a trial of our own with another lift; 8 %). The
    lower skin is pressed, and the wing holds less of it than a wing that forgot its sign."""
    model = model_of("plover")
    case = cases.LoadCase("landing", "", 1.0, 4.0, False, "")
    down = cases.along(model, case, 4.062)
    assert down.moment[0] == pytest.approx(-7.3, rel=0.08)
    found = cases.held(model, down, Fixed(MEDIANS))
    assert min(float(one[0]) for one in found.values()) > 1.15
    assert set(found) <= {*strength.MODES, "joint outer"}


def test_drops_and_legs() -> None:
    """1 + sqrt(1 + 2 h/s): 5.0 and 6.6 g from 150 mm on legs that sag 20 and 10 mm, 6.6 and 8.8 from 300 (by hand)."""
    found = [cases.landing_factor(h, s) for h, s in ((0.15, 0.02), (0.15, 0.01), (0.3, 0.02), (0.3, 0.01))]
    assert found == pytest.approx([5.0, 6.57, 6.57, 8.81], abs=0.01)
    assert cases.leg_sag(20.0, 0.19, 0.17, 0.004) == pytest.approx(
        20 * 0.17**2 * 0.19 / (3 * 200e9 * 1.2566e-11), rel=1e-4
    )
    assert cases.landing_factor(0.0, 0.01) == 2.0


@pytest.mark.parametrize(
    ("leg", "wire"), [("4 mm wire", 0.004), ("3.2 mm steel wire", 0.0032), ("ply", None), ("", None)]
)
def test_wire_legs(leg: str, wire: float | None) -> None:
    assert details.wire_of(leg) == wire


def test_leg_without_a_body() -> None:
    plane = Plane("bare", "A", wheels=(Wheel("main", 0.5, 0.2, -0.2, 0.08, 0.1, "4 mm wire"),))
    assert details.leg_reach(derive(plane), plane.wheels[0])[1] == pytest.approx(0.2)
    assert len(list(details.legs(derive(plane), 4.0))) == 1


def test_hinge_of_gannet() -> None:
    """121 N at pin and latch: 3.1 MPa on two board ribs of 4.9 mm by a 4 mm pin (by hand; 2 %), so doublers."""
    need = strength.JointNeed(gannet().surfaces[0].joints[0], "hinge", 0.84, 2.52, 4.35, 70.0, 121.0, 0.4)
    words = " ".join(details.hinge(gannet(), half_of("gannet"), need).says)
    assert "3.1 MPa" in words and "doublers" in words and "no gap" in words


def test_pages_and_tables_agree() -> None:
    """Every row marked as used holds the value the tool starts from; published rows name a source; both pages print."""
    nominal = tables()
    for row in known_materials():
        assert (
            row["kind"] in ("published", "assumed")
            and len(row["source"]) > 3
            and row["material"] in page().replace(row["material"].capitalize(), row["material"])
        )
        if "low" in row:
            assert row["low"] <= row["value"] <= row["high"]
        if "used" not in row or row["used"].startswith("pines"):
            continue
        group, key = row["used"].split(".")
        assert nominal[group][key] == row["value"], row["used"]


def test_pines_of_the_table_are_the_line() -> None:
    """10.6 GPa and 42.9 MPa at 458 kg/m3 (the line through the eight pines)."""
    wood = strength.materials.wood_of_density(458.0)
    assert wood.modulus / 0.90 / 1e9 == pytest.approx(10.6, abs=0.05)
    assert wood.compression / 0.65 / 1e6 == pytest.approx(42.9, abs=0.1)
