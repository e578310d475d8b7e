"""The stream behind a propeller: momentum, limits, and a lattice all of which lies in it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planewright.analysis.air.forms import Reference, derivatives, solve
from planewright.analysis.air.sheets import Flap, trapezoid
from planewright.analysis.air.slip import Disc, immersion, induced_velocity, powered, stream_at, with_slip

DISC = Disc(0.0, 0.0, 0.0, 0.15, 10.0)


def test_thrust_is_the_momentum_of_the_stream() -> None:
    """T = rho A (V + w) 2 w, and at rest w = sqrt(T/(2 rho A)) (Rankine and Froude), to the last digit."""
    area = np.pi * 0.15**2
    for speed in (0.0, 8.0, 20.0):
        w = induced_velocity(10.0, 0.15, speed, 1.225)
        assert 1.225 * area * (speed + w) * 2 * w == pytest.approx(10.0)
    assert induced_velocity(10.0, 0.15, 0.0, 1.225) == pytest.approx(np.sqrt(10 / (2 * 1.225 * area)))
    assert induced_velocity(0.0, 0.15, 12.0, 1.225) == 0.0


def test_the_stream_quickens_and_narrows() -> None:
    """w at the disc, 2 w far behind; the volume that flows is the same everywhere."""
    w = induced_velocity(10.0, 0.15, 12.0, 1.225)
    rise, radius = stream_at(DISC, np.array([1e-9, 0.5, 1e3]), 12.0, 1.225)
    assert rise[[0, 2]] == pytest.approx([w, 2 * w], rel=1e-6)
    assert (12.0 + rise) * radius**2 == pytest.approx(np.full(3, (12.0 + w) * 0.15**2))
    assert stream_at(DISC, np.array([-0.3]), 12.0, 1.225)[0] == 0


def test_only_what_lies_in_it_meets_it() -> None:
    sheet = trapezoid("wing", 1.5, 0.3, 0.3, at=(0.2, 0.0, 0.0))
    grid = solve([sheet]).grid
    middle = immersion(grid, [DISC], 12.0, 1.225)
    assert middle[np.abs(grid.middle[:, 1]) > 0.3].max() == 0 and middle.max() > 0.1
    above = immersion(grid, [replace(DISC, z=0.5)], 12.0, 1.225)
    assert not above.any()
    right = immersion(grid, [replace(DISC, y=0.7)], 12.0, 1.225)
    covered = float((right * grid.width).sum())
    rise, radius = stream_at(DISC, grid.middle[:1, 0], 12.0, 1.225)
    assert covered == pytest.approx(float(2 * radius[0] * rise[0] / 12.0), rel=0.02)
    assert not immersion(grid, [replace(DISC, x=2.0)], 12.0, 1.225).any()


def test_a_wing_all_inside_flies_faster() -> None:
    """Extra flow everywhere is the same as flying faster: circulation and lift of 1.2 times the speed."""
    sheet = trapezoid("wing", 3, 1, 0.6, twist=-0.05)
    solution = solve([sheet])
    slipped = with_slip(solution, np.ones(solution.grid.width.size))
    s = np.zeros(len(slipped.names))
    s[0], s[-1] = 1.0, 0.2
    faster = np.zeros(len(solution.names))
    faster[0] = 1.2
    assert slipped.circulation(s) == pytest.approx(solution.circulation(faster), abs=1e-12)
    # lift by bound vortices; flow along the legs makes no force on them
    assert slipped.loads(s)[2] == pytest.approx(solution.loads(faster)[2], rel=1e-9)


def test_an_elevator_in_the_stream_is_stronger() -> None:
    wing, reference = trapezoid("wing", 1.3, 0.35, 0.25), Reference(0.8, 2.6, 0.31)
    tail = trapezoid("tail", 0.4, 0.2, 0.2, at=(1.1, 0.0, 0.1), strips=8)
    tail = replace(tail, flaps=(Flap("elevator", 0.0, 0.4, 0.35),))
    solution = solve([wing, tail], np.array([0.1, 0.0, 0.0]))
    rise = immersion(solution.grid, [Disc(-0.2, 0.0, 0.1, 0.2, 12.0)], 10.0, 1.225)
    slipped = with_slip(solution, rise, 0.8)
    plain = derivatives(solution, solution.state(0.05), reference)["M"]["elevator"]
    s = slipped.state(0.05)
    s[-1] = 0.8
    powered = derivatives(slipped, s, reference)["M"]["elevator"]
    inside = rise[solution.grid.of("tail")]
    # between that of its least and its most immersed strip, speed squared
    assert (1 + 0.8 * inside.min()) ** 2 < powered / plain < (1 + 0.8 * inside.max()) ** 2
    assert powered / plain > 1.1
    nothing = with_slip(solution, 0 * rise)
    still = derivatives(nothing, nothing.state(0.05), reference)["M"]["elevator"]
    assert still == pytest.approx(plain, rel=1e-12)


def test_power_moves_the_balance_as_far_as_the_tail_is_in_it() -> None:
    """A tail in the stream holds more: neutral point aft, elevator stronger; a stream beside all does nothing."""
    wing, reference = trapezoid("wing", 1.3, 0.35, 0.25), Reference(0.8, 2.6, 0.31)
    tail = trapezoid("tail", 0.4, 0.2, 0.2, at=(1.1, 0.0, 0.1), strips=8)
    tail = replace(tail, flaps=(Flap("elevator", 0.0, 0.4, 0.35),))
    solution = solve([wing, tail], np.array([0.1, 0.0, 0.0]))
    tailed = powered(solution, reference, [Disc(0.5, 0.0, 0.1, 0.2, 12.0)], ["elevator"], 10.0)
    low, middle, high = tailed.neutral_shift
    assert 0 < low < middle < high < 0.1
    assert 1 < tailed.elevator[0] < tailed.elevator[1] < tailed.elevator[2] < (1 + tailed.faster) ** 2
    away = powered(solution, reference, [Disc(-0.2, 0.0, 2.0, 0.2, 12.0)], ["elevator"], 10.0)
    assert away.neutral_shift == (0.0, 0.0, 0.0) and away.elevator == (1.0, 1.0, 1.0) and away.faster == 0.0
    over_wing = powered(solution, reference, [Disc(-0.2, 0.7, 0.0, 0.2, 12.0)], ["elevator"], 10.0)
    assert over_wing.lift[1] > 1.0


def test_plovers_propellers() -> None:
    """At full push and the planned speed its streams pass over the tail's outer ends: the balance moves by less
    than 3 % of the chord."""
    from tests.physics.test_air_examples import model_of

    model = model_of("plover")
    engines = model.geometry.plane.engines
    discs = [
        Disc(one.x, one.y, one.z, one.propeller.diameter / 2, 6.7)
        for one in engines
        if one.propeller is not None
    ]
    assert len(discs) == 2
    found = powered(model.solution, model.reference, discs, model.elevator, 12.5)
    assert 0.1 < found.faster < 0.8
    assert abs(found.neutral_shift[1]) < 0.03 * model.reference.chord
    assert found.lift[1] > 1.02
