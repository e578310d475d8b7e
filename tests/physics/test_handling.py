"""Handling: derivatives, limits of the balance point, rotation, roll, sideslip, hinge moments, folding.

Identities and balances worked out another way, and the two invented examples. Figures of the examples marked "trial"
come from another small calculation of our own.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from tests.fixtures import planes

from planewright.analysis import handling
from planewright.analysis.air import AirModel, Trim, air_model
from planewright.analysis.atmosphere import GRAVITY
from planewright.analysis.handling.derivatives import ROWS, wing_height, yaw_slope
from planewright.analysis.handling.lateral import STEEPEST, full
from planewright.analysis.handling.trims import elevator_per_g
from planewright.analysis.model import MassState
from planewright.geometry import derive
from planewright.knowledge.draws import Draws, at_medians
from planewright.knowledge.priors import prior_knowledge
from planewright.plane.model import Plane

NAMES = ("plover", "gannet")
MASS = {"plover": (4.062, 0.5698, 0.041), "gannet": (5.400, 0.7809, -0.043)}
INERTIA = {"plover": (0.742, 0.592, 1.250, 0.028), "gannet": (0.982, 0.770, 1.658, 0.108)}
LEVEL = {"plover": 12.5, "gannet": 13.5}
RHO = 1.225


def plane_of(name: str) -> Plane:
    return planes.plover() if name == "plover" else planes.gannet()


@lru_cache
def model_of(name: str) -> AirModel:
    return air_model(derive(plane_of(name)))


@lru_cache
def base_of(name: str) -> handling.Prepared:
    return handling.prepare(model_of(name))


@lru_cache
def medians(name: str) -> Draws:
    return at_medians(prior_knowledge(plane_of(name), "grass"))


def mass_of(name: str, x: float | None = None, z: float | None = None) -> MassState:
    mass, drawn_x, drawn_z = MASS[name]
    cg = np.array([[drawn_x if x is None else x], [0.0], [drawn_z if z is None else z]])
    return MassState(np.array([mass]), cg, np.array(INERTIA[name])[:, None])


def level(name: str, mass: MassState | None = None) -> Trim:
    mass = mass or mass_of(name)
    return handling.level_trim(model_of(name), medians(name), mass, np.array([LEVEL[name]]), RHO)


def set_of(name: str, mass: MassState | None = None) -> handling.Derivatives:
    mass = mass or mass_of(name)
    return handling.derivatives_at(base_of(name), medians(name), mass, level(name, mass))


@pytest.mark.parametrize("name", NAMES)
def test_forms_moved_to_the_balance_point_are_a_lattice_solved_about_it(name: str) -> None:
    """Rates, sideslip and controls about another point: moved by statics against solved anew about that point."""
    model, states = model_of(name), medians(name)
    x = model.about_x + 0.07
    mass = mass_of(name, x=x, z=float(model.solution.about[2]))
    state = model.at_angle(states, mass, 0.05, LEVEL[name], RHO)
    found = handling.derivatives_at(base_of(name), states, mass, state)
    other = model.derivatives(0.05, x)
    gain, effect, damping = (
        float(states.factor(one)[0]) for one in ("sec.slope", "ctl.effect", "rate.damping")
    )
    for row in ("Y", "Z", "L", "M", "N"):
        for column, factor in (
            ("p", gain * damping),
            ("q", gain * damping),
            ("r", gain * damping),
            ("rudder", gain * effect),
        ):
            assert found[row, column][0] == pytest.approx(other[row][column] * factor, rel=1e-6, abs=2e-4)
    assert found["Y", "beta"][0] == pytest.approx(other["Y"]["beta"] * gain, rel=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_moments_follow_the_point_they_are_taken_about(name: str) -> None:
    """Cm_alpha moves by CN_alpha dx/c: to the lattice's own digits for the lift part."""
    model, step = model_of(name), 0.03
    here = handling.derivatives_at(base_of(name), medians(name), mass_of(name), level(name))
    x = MASS[name][1] + step
    back = handling.derivatives_at(base_of(name), medians(name), mass_of(name, x=x), level(name))
    moved = back["M", "alpha"][0] - here["M", "alpha"][0]
    assert moved == pytest.approx(model.slope(medians(name))[0] * step / model.reference.chord, rel=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_signs_and_sizes(name: str) -> None:
    """Signs that every conventional aeroplane shows, and sizes of the textbook's light aeroplanes (orders only)."""
    d = set_of(name)
    below = [("Z", "alpha"), ("M", "alpha"), ("M", "q"), ("M", "alpha_dot"), ("L", "beta"), ("L", "p"),
             ("N", "r"), ("N", "p"), ("Y", "beta"), ("M", "elevator"), ("N", "rudder")]  # fmt: skip
    above = [("N", "beta"), ("L", "r"), ("Y", "rudder"), ("Y", "r"), ("X", "alpha")]
    assert all(d[one][0] < 0 for one in below), {one: d[one][0] for one in below}
    assert all(d[one][0] > 0 for one in above), {one: d[one][0] for one in above}
    assert 0.25 < d.downwash[0] < 0.6
    assert -0.65 < d["L", "p"][0] < -0.35
    assert d["X", "p"][0] == pytest.approx(0, abs=1e-6) and d["Y", "alpha"][0] == 0
    assert set(d.table) == set(ROWS)


def force(name: str, mass: MassState, u: float, w: float, trim: Trim) -> np.ndarray:
    """X, Z, M of the air at body velocity (u, w), elevator held, from lift, drag and moment themselves."""
    model, states = model_of(name), medians(name)
    speed, alpha = np.hypot(u, w), np.arctan2(w, u)
    state = model.at_angle(states, mass, alpha, speed, RHO, trim.elevator)
    q = 0.5 * RHO * speed**2 * model.reference.area
    lift, drag = q * state.lift[0], model.drag(states, state).force[0]
    return np.array([
        lift * np.sin(alpha) - drag * np.cos(alpha),
        -lift * np.cos(alpha) - drag * np.sin(alpha),
        q * model.reference.chord * state.moment[0],
    ])  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_dimensional_terms_are_differences_of_whole_forces(name: str) -> None:
    """X, Z, M per u and per w against central differences of lift, drag and moment."""
    model, mass, trim, d = model_of(name), mass_of(name), level(name), set_of(name)
    arm = handling.thrust_arm(plane_of(name), mass.cg)
    push = handling.Push(model.drag(medians(name), trim).force, np.zeros(1), arm)
    terms = handling.pitch_terms(model, mass, d, push)
    u, w, step = float(np.max(terms.u)), float(np.max(terms.w)), 0.05
    by_u = (force(name, mass, u + step, w, trim) - force(name, mass, u - step, w, trim)) / (2 * step)
    by_w = (force(name, mass, u, w + step, trim) - force(name, mass, u, w - step, trim)) / (2 * step)
    size = np.array([MASS[name][0], MASS[name][0], INERTIA[name][1]])
    for found, wanted in (
        ((terms.xu, terms.zu, terms.mu), by_u / size),
        ((terms.xw, terms.zw, terms.mw), by_w / size),
    ):
        for one, other in zip(found, wanted, strict=True):
            assert np.max(one) == pytest.approx(other, rel=0.02, abs=0.01)


@pytest.mark.parametrize(("name", "phugoid"), [("plover", 8.0), ("gannet", 11.8)])
def test_slow_swing_of_a_light_model(name: str, phugoid: float) -> None:
    """Period far above Lanchester's, as another model of the same aeroplanes flies (trial; 15 %)."""
    model, mass, trim = model_of(name), mass_of(name), level(name)
    drag = model.drag(medians(name), trim).force
    push = handling.Push(drag, np.full(1, -0.6), handling.thrust_arm(plane_of(name), mass.cg))
    found = handling.pitch_modes(handling.pitch_terms(model, mass, set_of(name), push))
    assert found.phugoid.period[0] == pytest.approx(phugoid, rel=0.15)
    assert found.phugoid.period[0] > 1.3 * handling.phugoid_period(LEVEL[name])
    assert found.short.worst[0] < 0 and found.phugoid.worst[0] < 0


@pytest.mark.parametrize("name", NAMES)
def test_modes_sideways_are_those_of_a_flyable_model(name: str) -> None:
    d = set_of(name)
    found = handling.side_modes(handling.side_terms(model_of(name), mass_of(name), d))
    assert -30 < found.roll[0] < -8
    assert found.dutch.damping[0] > 0.1 and 2 < found.dutch.frequency[0] < 8
    assert abs(found.spiral[0]) < 0.3


@pytest.mark.parametrize("name", NAMES)
def test_aft_of_the_neutral_point_it_diverges(name: str) -> None:
    """Roots against balance point: a positive real root in pitch exactly when the margin is negative enough."""
    model, states = model_of(name), medians(name)
    neutral = float(model.neutral_point_x(states)[0])
    worst = []
    for x in (neutral - 0.05, neutral + 0.05):
        mass = mass_of(name, x=x)
        trim = model.trim(states, mass, np.array([LEVEL[name]]), RHO)
        d = handling.derivatives_at(base_of(name), states, mass, trim)
        found = handling.pitch_modes(handling.pitch_terms(model, mass, d, handling.gliding(mass)))
        worst.append(found.roots.real.max())
    assert worst[0] < 0 < worst[1]


@pytest.mark.parametrize("name", NAMES)
def test_at_the_forward_limit_the_elevator_stands_at_its_stop(name: str) -> None:
    model, states = model_of(name), medians(name)
    stall = model.stall(states, mass_of(name), RHO)
    x = handling.fore_limit(model, states, stall.lift, stall.speed, RHO)
    held = model.trim_at(states, x, stall.lift, stall.speed, RHO)
    assert held.elevator[0] == pytest.approx(model.elevator_limits[0], abs=1e-9)
    over = handling.near_ground(model, min(one.z for one in plane_of(name).wheels))
    flare = handling.fore_limit(over, states, stall.lift, stall.speed, RHO)
    assert MASS[name][1] > flare[0] > x[0]
    aft = handling.aft_limit(model, states, 0.05)
    assert model.static_margin(states, mass_of(name, x=float(aft[0])))[0] == pytest.approx(0.05)


@pytest.mark.parametrize("name", NAMES)
def test_a_runway_far_below_changes_nothing(name: str) -> None:
    model = model_of(name)
    far = handling.near_ground(model, -1e3)
    assert far.lift == pytest.approx(model.lift, rel=1e-5, abs=1e-6)
    assert far.pitch == pytest.approx(model.pitch, rel=1e-4, abs=1e-5)
    near = handling.near_ground(model, min(one.z for one in plane_of(name).wheels))
    assert near.lift[1] > 1.05 * model.lift[1]
    assert near.neutral_point_x(medians(name))[0] > model.neutral_point_x(medians(name))[0]


def test_floating_elevator_takes_margin_away() -> None:
    """Stick-free below stick-fixed; with the hinge at the very nose of a tail that floats whole it takes it all."""
    for name in NAMES:
        model, states, mass = model_of(name), medians(name), mass_of(name)
        free, held = handling.stick_free_margin(model, states, mass), model.static_margin(states, mass)
        assert held[0] - 0.2 < free[0] < held[0]


@pytest.mark.parametrize(("name", "speed", "thrust"), [("plover", 9.6, 12.0), ("gannet", 10.4, 2.0)])
def test_rotation_balances_about_the_mains_too(name: str, speed: float, thrust: float) -> None:
    """At the speed found, moments about the mains' contact with the inertia force: no load on the nose wheel."""
    plane, model, states, mass = plane_of(name), model_of(name), medians(name), mass_of(name)
    nose, main = (next(one for one in plane.wheels if one.name == which) for which in ("nose", "main"))
    over = handling.near_ground(model, main.z)
    mu = np.array([0.05])
    found = handling.rotation(over, states, mass, np.array([speed]), lambda v: thrust - 0 * v, mu, RHO)
    assert found is not None and found.lifts[0]
    v, m, (x, _, z) = found.speed[0], mass.mass[0], mass.cg[:, 0]
    state = over.at_angle(states, mass, handling.ground_attitude(plane), v, RHO, over.elevator_limits[0])
    q = 0.5 * RHO * v**2 * over.reference.area
    lift, pitch = q * state.lift[0], q * over.reference.chord * state.moment[0]
    friction = mu[0] * (m * GRAVITY - lift)
    along = thrust - friction
    engine = float(np.mean([one.z for one in plane.engines]))
    about_main = (
        pitch + lift * (main.x - x) - m * GRAVITY * (main.x - x)
        - thrust * (engine - main.z) + along * (z - main.z)
    )  # fmt: skip
    assert about_main == pytest.approx(0.0, abs=2e-3)
    limit = mass_of(name, x=float(found.fore[0]))
    there = handling.rotation(over, states, limit, np.array([speed]), lambda v: thrust - 0 * v, mu, RHO)
    assert there is not None and there.speed[0] == pytest.approx(speed, rel=1e-4)
    still = handling.rotation(over, states, mass, np.array([speed]), lambda v: 0.0 * v, mu * 0, RHO)
    stood = handling.stand(plane, mass.cg)
    assert still is not None and stood is not None
    assert still.nose_load[0] == pytest.approx(stood.single_load[0], abs=0.002)
    assert nose.x < main.x


def test_power_below_the_balance_point_lifts_the_nose() -> None:
    """Gannet's fans hang below: more down elevator with power; an engine at the balance point's height changes
    nothing."""
    model, states, mass = model_of("gannet"), medians("gannet"), mass_of("gannet")
    speed = np.array([13.5])
    glide = model.trim(states, mass, speed, RHO).elevator[0]
    assert handling.level_trim(model, states, mass, speed, RHO).elevator[0] > glide
    plane = plane_of("gannet")
    level_engines = replace(plane, engines=tuple(replace(one, z=-0.043) for one in plane.engines))
    same = replace(model, geometry=replace(model.geometry, plane=level_engines))
    assert handling.level_trim(same, states, mass, speed, RHO).elevator[0] == pytest.approx(glide, abs=1e-12)
    curve = handling.trim_curve(
        model, states, mass, [np.array([v]) for v in (10.0, 13.5, 18.0)], RHO, lambda v: np.array([24.0])
    )
    assert (np.diff(curve.elevator[:, 0]) > 0).all() and curve.elevator[1, 0] > glide
    assert (np.diff(curve.alpha[:, 0]) < 0).all()


def test_pulling_needs_elevator_up_and_less_when_balanced_aft() -> None:
    for name in NAMES:
        model, states = model_of(name), medians(name)
        here = elevator_per_g(model, states, mass_of(name), np.array([LEVEL[name]]))[0]
        aft = elevator_per_g(model, states, mass_of(name, x=MASS[name][1] + 0.02), np.array([LEVEL[name]]))[0]
        assert here < aft < 0


@pytest.mark.parametrize("name", NAMES)
def test_roll_by_steps_of_time(name: str) -> None:
    """Time to 30 degrees against the equation of roll marched in small steps."""
    model, mass, d = model_of(name), mass_of(name), set_of(name)
    found = handling.roll_at(model, mass, d)
    assert found is not None
    speed, span = LEVEL[name], model.reference.span
    q = 0.5 * RHO * speed**2 * model.reference.area * span / mass.inertia[0, 0]
    p = phi = t = 0.0
    step = 2e-5
    while phi < np.deg2rad(30):
        p += step * q * (abs(full(model, d, "aileron", "L")[0]) + d["L", "p"][0] * p * span / (2 * speed))
        phi += step * p
        t += step
    assert found.to_30[0] == pytest.approx(t, abs=2e-3)


@pytest.mark.parametrize("name", NAMES)
def test_steady_sideslip_leaves_no_moment(name: str) -> None:
    model, d = model_of(name), set_of(name)
    found = handling.steady_slip(model, d)
    assert found is not None
    for row in ("L", "N"):
        left = (
            d[row, "beta"] * found.beta
            + full(model, d, "rudder", row) * found.rudder
            + full(model, d, "aileron", row) * found.aileron
        )
        assert left[0] == pytest.approx(0.0, abs=1e-12)
    at_stop = max(abs(found.rudder[0]), abs(found.aileron[0]))
    assert at_stop == pytest.approx(1.0) or found.beta[0] == pytest.approx(STEEPEST)
    assert found.across[0] == pytest.approx(LEVEL[name] * np.sin(found.beta[0]))


@pytest.mark.parametrize("name", NAMES)
def test_hinge_moments_over_the_range_exceed_those_of_one_speed(name: str) -> None:
    model, states, mass = model_of(name), medians(name), mass_of(name)
    speeds = [np.array([v]) for v in (10.0, 14.0, 20.0)]
    rows = handling.hinge_range(model, states, mass, speeds, RHO)
    alone = handling.servo_margins(states, model.geometry, 20.0, RHO)
    assert [one.control for one in rows] == [one.control for one in alone]
    for one, other in zip(rows, alone, strict=True):
        assert one.margin[0] < other.margin[0] < 1.5 * one.margin[0]
        assert one.speed[0] == 20.0
        hung = one.prove[0] * GRAVITY * one.arm
        servos = next(c for c in plane_of(name).controls if c.name == one.control).count
        sides = 1 if one.control == "rudder" else 2
        assert hung * sides == pytest.approx(1.5 * one.moment[0] * servos)


def test_bodies_turn_the_nose_out_of_the_wind_and_a_high_wing_counts_as_dihedral() -> None:
    for name, side in (("plover", 1.0), ("gannet", -1.0)):
        model = model_of(name)
        assert wing_height(model) * side > 0.5
        assert all(yaw_slope(one) > 0 for one in model.geometry.bodies)
        bare = replace(model, geometry=replace(model.geometry, bodies=()))
        with_bodies, without = (
            handling.derivatives_at(handling.prepare(one), medians(name), mass_of(name), level(name))
            for one in (model, bare)
        )
        assert without["N", "beta"][0] > with_bodies["N", "beta"][0]
        assert (without["L", "beta"][0] - with_bodies["L", "beta"][0]) * side > 0


def test_folded_and_taken_apart() -> None:
    """Gannet folds at 930 mm: 1.86 m wide, its panels of 520 mm upright; Plover's outer panels come off."""
    folded = handling.transport(derive(plane_of("gannet")))
    assert folded is not None
    assert folded.span == pytest.approx(1.86)
    hinge = -0.070 + 0.034 + (0.119 - 0.034) * (930 - 480) / (1450 - 480)
    fin = 0.300 + 0.080 + 0.460
    assert folded.height == pytest.approx(max(0.300 + hinge + 0.520, fin), abs=1e-6)
    short = replace(
        plane_of("gannet"), surfaces=tuple(one for one in plane_of("gannet").surfaces if one.kind != "fin")
    )
    upright = handling.transport(derive(replace(short, controls=())))
    assert upright is not None
    assert upright.height == pytest.approx(0.300 + hinge + 0.520, abs=1e-6)
    apart = handling.transport(derive(plane_of("plover")))
    assert apart is not None
    assert apart.span == pytest.approx(2.6)
    sizes = {one.name: one.length for one in apart.pieces}
    assert sizes["wing, middle"] + 2 * sizes["wing, outer panel"] == pytest.approx(2.6)
    assert apart.longest.name == "body"
    assert handling.transport(derive(replace(plane_of("plover"), surfaces=()))) is None
