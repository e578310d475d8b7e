"""The stall of the two invented examples through measured section curves, at the medians of knowledge."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from tests.physics.test_air_examples import mass_of, model_of

from planewright.analysis.air.model import Spread
from planewright.analysis.air.stall import StallReport, Sweep, sweep
from planewright.analysis.air.stalling import (
    Polars,
    curve_trims,
    setting_of,
    stall_report,
    whole_of,
    with_spread,
)

SPEED = {"plover": 8.3, "gannet": 9.1}
FACTOR, EFFECT = 0.92, 0.8


@lru_cache
def stalled(name: str) -> tuple[Sweep, StallReport]:
    x = float(mass_of(name).cg[0][0])
    return stall_report(model_of(name), SPEED[name], factor=FACTOR, effect=EFFECT, trim_x=x)


@pytest.mark.parametrize(("name", "low", "high"), [("plover", 0.0, 0.25), ("gannet", 0.35, 0.65)])
def test_where_it_begins(name: str, low: float, high: float) -> None:
    """Plover's plain wing gives way at the centre, Gannet's tapered and washed-out one near the middle."""
    report = stalled(name)[1]
    assert report.surface == "wing" and report.part is not None
    assert low <= report.part <= high
    assert report.method == "measured" and report.failed == 0 and report.outside == ()
    assert report.begins is not None and report.begins <= report.alpha + np.deg2rad(0.5)


@pytest.mark.parametrize(("name", "lift"), [("plover", 1.085), ("gannet", 1.034)])
def test_greatest_lift_of_the_wing(name: str, lift: float) -> None:
    """Worked values by the strip limit are 1.085 and 1.034 +- .08; spreading over the strips may add up to 9 %."""
    report = stalled(name)[1]
    assert lift - 0.08 < report.wing_lift < 1.09 * lift


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_it_is_trimmed_all_the_way(name: str) -> None:
    found, report = stalled(name)
    up, down = model_of(name).elevator_limits
    free = (found.elevator > up) & (found.elevator < down)
    assert np.abs(found.moment[free]).max() < 2e-6
    assert free[(found.lift > 0.2) & (found.alpha <= report.alpha)].all()
    assert report.elevator < found.elevator[0]  # more trailing edge up as it slows


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_the_wing_drops_past_greatest_lift(name: str) -> None:
    """Damping in roll holds below greatest lift and is gone within 4 deg past it."""
    _, report = stalled(name)
    assert report.autorotates is not None
    assert report.alpha - np.deg2rad(1.0) < report.autorotates < report.alpha + np.deg2rad(4.0)
    assert report.damping[0] < -0.25
    assert report.drop is not None and 0 < report.drop < 0.5


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_below_the_stall_it_is_the_linear_model(name: str) -> None:
    """Elevator left alone, 3 to 6 deg: lift slope and induced drag are near those of the linear lattice (measured
    sections rise a little less steeply than 2 pi)."""
    model = model_of(name)
    found = sweep(setting_of(model, SPEED[name]), np.deg2rad([3.0, 6.0]))
    slope = float((found.lift[1] - found.lift[0]) / (found.alpha[1] - found.alpha[0]))
    assert 0.85 * model.lift[1] < slope < 1.02 * model.lift[1]
    aspect = model.reference.span**2 / model.reference.area
    assert found.induced[1] == pytest.approx(found.lift[1] ** 2 / (np.pi * aspect), rel=0.2)


def test_up_elevator_and_flaps_move_the_stall() -> None:
    """Ailerons drooped as flaps lift more and stall at a smaller angle."""
    model = model_of("gannet")
    plain = sweep(setting_of(model, 9.1, factor=FACTOR))
    made = setting_of(model, 9.1, factor=FACTOR)
    part = np.abs(made.made.solution.grid.cover["inboard"][made.made.strips])
    drooped = sweep(
        type(made)(made.made, made.curves.deflected(0.08 * part, 0 * part), made.reference, made.about_x)
    )
    assert drooped.lift[drooped.top] > plain.lift[plain.top]
    assert drooped.alpha[drooped.top] <= plain.alpha[plain.top]


def test_both_halves_agree_with_one() -> None:
    setting = setting_of(model_of("plover"), 8.3, factor=FACTOR)
    angles = np.deg2rad([4.0, 12.0, 17.0])
    one, both = sweep(setting, angles), sweep(whole_of(setting), angles)
    assert one.lift == pytest.approx(both.lift, abs=1e-8)
    assert one.moment == pytest.approx(both.moment, abs=1e-8)


def test_computed_polars_take_the_place_of_measured_ones() -> None:
    """Tables over angle and Reynolds number are used where they are given, and the report says so."""

    class Table:
        alpha = np.deg2rad(np.arange(-20.0, 20.1, 0.5))
        reynolds = np.array([1e5, 3e5])
        lift = np.array([1.3 * np.tanh(2 * np.pi * (alpha + 0.05) / 1.3)] * 2)
        drag = np.full((2, alpha.size), 0.02)
        moment = np.full((2, alpha.size), -0.05)
        state = np.where(np.abs(alpha) > np.deg2rad(16), 2, 0).astype(np.int8) * np.ones(
            (2, 1), dtype=np.int8
        )

    model = model_of("plover")
    polars: Polars = {("wing", number): Table() for number in range(8)}  # type: ignore[misc]
    _, report = stall_report(model, 8.3, polars=polars)
    assert report.method == "computed"
    assert "wing" in report.outside  # its curve rises to its last solved angle
    assert 0.9 < report.wing_lift < 1.35


@pytest.mark.parametrize(
    ("name", "lift", "speed", "band"), [("plover", 1.085, 8.35, 0.5), ("gannet", 1.034, 9.07, 0.4)]
)
def test_the_spread_of_the_stall_against_the_worked_figures(
    name: str, lift: float, speed: float, band: float
) -> None:
    """Worked by the strip limit: 1.085 and 1.034 +- .08, 8.35 +- .35 and 9.07 +- .4 m/s. Gannet agrees. Plover's wing
    gives 8 % more (its section's curve stays near its maximum for 6 degrees, so the strips beside the first catch up;
    the rule of the first strip takes no account of it), which leaves
    its lift .09 above and its stall speed .45 m/s below the worked figures: this method is the better founded one."""
    from tests.physics.test_air_examples import medians

    plain, states, mass = model_of(name), medians(name), mass_of(name)
    model = with_spread(plain, states, mass)
    assert model.spread is not None and model.spread.method == "measured"
    stall, limit = model.stall(states, mass), plain.stall(states, mass)
    assert stall.wing_lift[0] == pytest.approx(model.spread.share * limit.wing_lift[0], rel=0.02)
    assert stall.wing_lift[0] == pytest.approx(lift, abs=0.095)
    assert stall.speed[0] == pytest.approx(speed, abs=band)
    assert stall.alpha[0] > limit.alpha[0] + np.deg2rad(2.0)
    trimmed = stalled(name)[1].lift
    assert stall.lift[0] == pytest.approx(trimmed, rel=0.03)


def test_the_spread_scales_all_draws_alike() -> None:
    from tests.fixtures import planes

    from planewright.knowledge.draws import Draws
    from planewright.knowledge.priors import prior_knowledge

    plain = model_of("plover")
    draws = Draws(prior_knowledge(planes.plover(), "grass"), count=5)
    model = replace(plain, spread=Spread(1.1, 0.05, 0.2, "measured"))
    one, other = (each.maximum_lift(draws, 8.5) for each in (plain, model))
    assert other.wing_lift == pytest.approx(1.1 * one.wing_lift)
    assert other.alpha == pytest.approx(one.alpha + 0.05)
    assert (other.part == 0.2).all()


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_trim_through_the_curves_over_speed(name: str) -> None:
    """Well above the stall the section curves give the linear trim within .6 deg; nearer to it more angle and more up
    elevator; drag of the strips is near that of the drag tables; a speed below the stall is missing and says so."""
    from tests.physics.test_air_examples import medians

    model, mass, states = model_of(name), mass_of(name), medians(name)
    weight, x = float(mass.mass[0]) * 9.80665, float(mass.cg[0][0])
    found = curve_trims(model, np.linspace(9.6, 20, 12), weight, x, factor=FACTOR, effect=EFFECT)
    assert not found.missing and (np.diff(found.speed) > 0).all()
    linear = [model.trim(states, mass, float(one)) for one in found.speed]
    fast = found.speed > 13
    alpha = np.array([float(one.alpha[0]) for one in linear])
    assert np.rad2deg(np.abs(found.alpha - alpha)[fast]).max() < 0.6
    assert found.alpha[0] > alpha[0] and found.elevator[0] < float(linear[0].elevator[0])
    assert found.lift == pytest.approx([float(one.lift[0]) for one in linear], abs=2e-6)
    at = int(np.argmin(np.abs(found.speed - 13)))
    parts = model.drag(states, linear[at]).parts
    assert found.profile[at] == pytest.approx(float(parts["wing"][0] + parts["tail"][0]), rel=0.25)
    assert found.induced[at] == pytest.approx(float(parts["induced"][0]), rel=0.1)
    slow = curve_trims(model, [7.0, 12.0], weight, x, factor=FACTOR)
    assert slow.speed == pytest.approx([12.0]) and slow.missing[0][0] == 7.0 and slow.missing[0][1] > 1e-3


def test_a_stall_that_is_not_found_leaves_the_strip_limit_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Newton that does not converge: the first strip's limit stands, no strip counts as known."""
    from tests.physics.test_air_examples import medians

    from planewright.analysis.air import closure
    from planewright.analysis.air.model import UNSETTLED

    monkeypatch.setattr(closure, "ROUNDS", 1)
    monkeypatch.setattr(closure, "PATIENCE", 1)
    plain, states, mass = model_of("plover"), medians("plover"), mass_of("plover")
    model = with_spread(plain, states, mass)
    assert model.spread is not None and model.spread.method == UNSETTLED and model.spread.outside > 0
    assert model.stall(states, mass).lift == pytest.approx(plain.stall(states, mass).lift)


@pytest.mark.parametrize("key", ["naca 2412", "naca 4412", "naca 0012", "e387", "clark y", "naca 2415"])
def test_real_section_curves_are_followed_up_and_down(key: str) -> None:
    """Measured and computed curves, sharp and gentle: a tapered wing converges at every angle to 22 deg, up and down
    agree to 1e-4, and a wing of aspect ratio 1,000 returns the curve as it is used within .008."""
    from tests.physics.air_curves import alone, run, tapered

    from planewright.analysis.air.curves import sample
    from planewright.analysis.air.polars import polar
    from planewright.analysis.air.sections import section_of
    from planewright.geometry import zero_lift
    from planewright.plane.model import Section

    kind = "naca" if key.startswith("naca") else "named"
    zero, moment = zero_lift(Section(kind, key.title() if kind == "named" else key.upper()))  # type: ignore[arg-type]
    thickness = {"naca 2415": 0.15, "e387": 0.0907, "clark y": 0.117}.get(key, 0.12)
    curve = section_of(polar(key, thickness, -2 * np.pi * zero), zero, moment).curve(1.6e5)
    wing = alone(tapered(0.5, 12), curve)
    up, down = run(wing, -2, 22), run(wing, 22, -2)
    assert not up.failed and not down.failed
    assert np.abs(up.lift - down.lift[::-1]).max() < 1e-4
    long = run(alone(tapered(1.0, 16, 500.0), curve), 0, 22, 1)
    one = sample([curve])
    want = np.array([float(one.lift(np.array([a]))[0]) for a in long.alpha])
    assert not long.failed
    assert np.abs(long.lift - want).max() < 0.008
