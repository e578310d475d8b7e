"""Conservation, order, scaling and the doubt of masses."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fixtures.planes import gannet, only, plover, trapezium
from planewright.analysis.mass import DRAWN, mass_model
from planewright.geometry import derive
from planewright.knowledge import Draws, at_medians, prior_knowledge
from planewright.ledger.model import Ledger, Weighing
from planewright.plane.model import Battery, Body, BodyStation, Build, Equipment, Plane, Stock

PLOVER, GANNET = derive(plover()), derive(gannet())
STATES = Draws(prior_knowledge(plover()), 2000)
WHOLES = ("wing", "tailplane", "fin", "body", "nacelle", "gear", "servo", "engine", "battery", "equipment")


def ledger(*lines: tuple[str, float]) -> Ledger:
    return Ledger(
        tuple(Weighing(i + 2, p, m, 0.001, f"{m} kg", None, "", "") for i, (p, m) in enumerate(lines))
    )


ROWS = mass_model(PLOVER).rows()


def drawn_mass(name: str) -> float:
    return sum(row.drawn for row in ROWS if row.part == name or row.part.startswith(f"{name}."))


@given(st.dictionaries(st.sampled_from(WHOLES), st.floats(0.6, 1.9), min_size=1))
@settings(max_examples=40, deadline=None)
def test_sum_is_what_was_weighed_and_what_was_not(ratios: dict[str, float]) -> None:
    lines = [(name, drawn_mass(name) * k) for name, k in ratios.items()]
    mass = mass_model(PLOVER, ledger(*lines)).evaluate(DRAWN).mass[0]
    rest = sum(drawn_mass(name) for name in WHOLES if name not in ratios)
    assert mass == pytest.approx(sum(m for _, m in lines) + rest)


@given(st.randoms(use_true_random=False))
@settings(max_examples=20, deadline=None)
def test_order_of_lines_does_not_matter(order: random.Random) -> None:
    lines = [("wing", 1.2), ("wing.left", 0.58), ("tailplane", 0.15), ("battery", 0.5), ("gear.main", 0.31)]
    plain = mass_model(PLOVER, ledger(*lines)).evaluate(DRAWN)
    order.shuffle(lines)
    mixed = mass_model(PLOVER, ledger(*lines)).evaluate(DRAWN)
    assert mixed.mass == pytest.approx(plain.mass)
    assert mixed.cg == pytest.approx(plain.cg, abs=1e-12)


def test_a_whole_is_shared_in_the_ratio_of_the_drawn_masses() -> None:
    model = mass_model(PLOVER, ledger(("servo", 0.288)))
    assert model.taken["servo.small"].mass / 0.052 == pytest.approx(
        model.taken["servo.standard"].mass / 0.092
    )


def test_the_rest_of_a_whole_goes_to_what_was_not_weighed() -> None:
    model = mass_model(PLOVER, ledger(("wing", 1.10), ("wing.left", 0.56)))
    assert model.taken["wing.right"].mass == pytest.approx(0.54)


def test_a_whole_that_disagrees_with_its_parts_is_asked_about() -> None:
    lines = (("wing.left", 0.55), ("wing.right", 0.56))
    assert mass_model(PLOVER, ledger(*lines, ("wing", 1.111))).questions == ()
    (question,) = mass_model(PLOVER, ledger(*lines, ("wing", 1.15))).questions
    assert "40 g more than its parts" in question.text()


def test_weighing_what_was_drawn_keeps_the_balance() -> None:
    plain = mass_model(PLOVER).evaluate(DRAWN)
    same = mass_model(PLOVER, ledger(*((name, drawn_mass(name)) for name in WHOLES))).evaluate(DRAWN)
    assert same.mass == pytest.approx(plain.mass)
    assert same.cg == pytest.approx(plain.cg, abs=1e-9)
    assert same.inertia == pytest.approx(plain.inertia, abs=1e-9)


def test_doubt_shrinks_with_every_part_that_is_weighed() -> None:
    lines: list[tuple[str, float]] = []
    spread = [np.std(mass_model(PLOVER).evaluate(STATES).mass)]
    for name in ("wing", "body", "tailplane", "fin", "nacelle"):
        lines.append((name, 1.1 * drawn_mass(name)))
        spread.append(np.std(mass_model(PLOVER, ledger(*lines)).evaluate(STATES).mass))
    assert np.all(np.diff(spread) < 0)
    assert spread[-1] < 0.1 * spread[0]


def test_growth_is_on_built_parts_only() -> None:
    """At the medians unweighed built parts weigh 1.15 of drawn, bought ones what is stated."""
    medians = at_medians(prior_knowledge(plover()))
    for row in mass_model(PLOVER).rows(medians):
        assert row.mass == pytest.approx((1.15 if row.built else 1.0) * row.drawn)


def test_glue_and_tape_carry_their_own_doubt() -> None:
    only_glue = mass_model(PLOVER).piece_mass("fin", STATES)
    items = dict(mass_model(PLOVER).rows()[4].items)
    assert {"sheet", "glue", "edges"} == set(items)
    assert np.std(only_glue / np.mean(only_glue)) > 0.08


def test_rounding_shows_only_in_draws_of_measured_inputs() -> None:
    one = ledger(*((name, drawn_mass(name)) for name in WHOLES))
    model = mass_model(PLOVER, one)
    nothing = model.evaluate(STATES.only("published")).mass
    measured = model.evaluate(STATES.only("measured")).mass
    assert np.ptp(nothing) == pytest.approx(0.0, abs=1e-12)
    assert 1e-4 < np.std(measured) < 3e-3


def test_medians_of_draws_stand_where_the_medians_stand() -> None:
    model = mass_model(PLOVER)
    middle = model.evaluate(at_medians(prior_knowledge(plover())))
    drawn = model.evaluate(STATES)
    assert np.median(drawn.mass) == pytest.approx(middle.mass[0], rel=0.005)
    assert np.median(drawn.cg[0]) == pytest.approx(middle.cg[0, 0], abs=0.002)


@pytest.mark.parametrize("geometry", [PLOVER, GANNET])
def test_like_sides_balance_on_the_centreline(geometry) -> None:  # type: ignore[no-untyped-def]
    even = replace(
        geometry.plane, engines=tuple(replace(one, fan=None, motor=None) for one in geometry.plane.engines)
    )
    state = mass_model(replace(geometry, plane=even)).evaluate(DRAWN)
    assert state.cg[1, 0] == pytest.approx(0.0, abs=1e-8)


@given(st.floats(0.0, 1.0))
@settings(max_examples=10, deadline=None)
def test_battery_moves_the_balance_in_proportion(x: float) -> None:
    model = mass_model(PLOVER)
    at_zero, here = model.evaluate(STATES, 0.0), model.evaluate(STATES, x)
    assert here.cg[0] - at_zero.cg[0] == pytest.approx(x * model.battery_effect(STATES), abs=1e-12)


def dumb_bell(mass: float, arm: float) -> Plane:
    things = (Equipment("front", mass, 0.5 - arm, z=0.1), Equipment("rear", mass, 0.5 + arm, z=0.3))
    return Plane("dumb-bell", "A", equipment=things)


@given(mass=st.floats(0.1, 3.0), arm=st.floats(0.1, 2.0))
def test_two_points(mass: float, arm: float) -> None:
    """Two equal points at (-a, -h) and (a, h) from their middle: Ix = 2 m h2, Iy = 2 m (a2 + h2), Ixz = 2 m a h."""
    state = mass_model(derive(dumb_bell(mass, arm))).evaluate(DRAWN)
    assert state.cg[:, 0] == pytest.approx([0.5, 0.0, 0.2])
    exact = [2 * mass * 0.01, 2 * mass * (arm**2 + 0.01), 2 * mass * arm**2, 2 * mass * arm * 0.1]
    assert state.inertia[:, 0] == pytest.approx(exact, abs=1e-9)


def test_rectangular_plate() -> None:
    """A plate of span b and chord c: Ix = m b2/12, Iy = m c2/12, Iz their sum (textbook)."""
    state = mass_model(derive(only(trapezium(2.0, 0.3, 0.3)))).evaluate(DRAWN)
    m = 0.6 * 0.400 * 1.12
    assert state.mass[0] == pytest.approx(m)
    exact = np.array([m * 4 / 12, m * 0.09 / 12, m * 4.09 / 12, 0.0])
    assert state.inertia[:, 0] == pytest.approx(exact, rel=1e-3, abs=1e-9)


def test_thin_box() -> None:
    """A square tube of side w and length l: Ix = m w2/3, Iy = m l2/12 + m w2/6 (textbook).

    Faces are taken as triangles with their masses at the middle, which loses some of a face's own spread.
    """
    stations = (BodyStation(0.0, 0.2, 0.2), BodyStation(2.0, 0.2, 0.2))
    stock = {"board": Stock("board", "foam board", sheet=(1.0, 1.0), thickness=0.005, mass=0.4)}
    glue = {
        "glue": Stock("glue", "hot melt", allowance=0.0),
        "tape": Stock("tape", "packing tape", line_mass=1e-12),
    }
    plane = Plane(
        "tube", "A", stock=stock | glue, bodies=(Body("body", stations, Build("box", skin="board")),)
    )
    state = mass_model(derive(plane)).evaluate(DRAWN)
    m = 0.4 * 1.6
    assert state.mass[0] == pytest.approx(m)
    assert state.inertia[0, 0] == pytest.approx(m * 0.04 / 3, rel=0.20)
    assert state.inertia[1, 0] == pytest.approx(m * (4 / 12 + 0.04 / 6), rel=0.01)


def test_heavier_board_makes_a_heavier_aeroplane_in_proportion() -> None:
    """Sheet mass times k multiplies everything made of that sheet, and its glue, by k; nothing else moves."""
    board = replace(plover().stock["board"], mass=2 * 0.147)
    heavy = mass_model(derive(replace(plover(), stock=plover().stock | {"board": board})))
    before = {row.part: dict(row.items) for row in mass_model(PLOVER).rows()}
    for row in heavy.rows():
        for what, mass in row.items:
            twice = what in ("skin", "ribs", "web", "sheet") or (
                row.part == "body" and what in ("sides", "formers")
            )
            same = what in ("caps", "tape", "edges", "joiner", "floor", "corner sticks")
            if twice or same:
                assert mass == pytest.approx((2 if twice else 1) * before[row.part][what]), (row.part, what)


def test_wing_masses_hold_all_of_the_wing() -> None:
    model = mass_model(PLOVER)
    carried = model.wing_masses(at_medians(prior_knowledge(plover())))
    assert carried.strip.sum() == pytest.approx(1.15 * drawn_mass("wing") / 2)
    assert carried.width.sum() == pytest.approx(1.3)
    assert np.all(carried.strip > 0)


def test_wing_pieces_are_the_wing_masses_draw_by_draw() -> None:
    """At medians the pieces add up to the median wing masses; over draws each piece has its own mass."""
    knowledge = prior_knowledge(plover())
    model, middle = mass_model(PLOVER), at_medians(knowledge)
    whole, pieces = model.wing_masses(middle), model.wing_pieces()
    masses = {one.name: one.mass(middle)[0] for one in pieces}
    strip = sum(one.unit.strip * masses[one.name] for one in pieces)
    assert strip == pytest.approx(whole.strip)
    hung = sum(mass * masses[one.name] for one in pieces for _, mass in one.unit.points.values())
    assert hung == pytest.approx(sum(mass for _, mass in whole.points.values()))
    drawn = [one for one in pieces if one.unit.strip.any()]
    assert all(np.std(one.mass(Draws(knowledge, 200, 1))) > 0 for one in drawn)


def test_several_packs_weigh_together() -> None:
    plane = replace(plover(), battery=Battery(4, 1.0, 0.25, None, 0.2, count=2))
    assert mass_model(derive(plane)).battery_mass(DRAWN)[0] == pytest.approx(0.5)
