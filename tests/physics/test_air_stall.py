"""The stall by the condensed lattice: limits, symmetry, conservation, signs, and failures that say so."""

from __future__ import annotations

import numpy as np
import pytest
from tests.physics.air_curves import GENTLE, MIDDLE, SHARP, alone, prepared, rounded, run, straight, tapered

from planewright.analysis.air import closure
from planewright.analysis.air.closure import solve_loads
from planewright.analysis.air.condensed import condense, loss_matrix
from planewright.analysis.air.curves import ANGLES, STEEPEST, Curve, extended, sample
from planewright.analysis.air.forms import Reference, derivatives, solve
from planewright.analysis.air.sheets import Flap, Sheet, trapezoid
from planewright.analysis.air.stall import (
    Setting,
    flap_turns,
    level_state,
    peak,
    roll_damping,
    roll_moment,
    sweep,
)
from planewright.errors import NotConverged


def strip_sum(setting: Setting, local: np.ndarray) -> float:
    made = setting.made
    return float((local * made.chord * made.width).sum() / (made.chord * made.width).sum())


@pytest.mark.parametrize("fall", [GENTLE, MIDDLE, SHARP])
@pytest.mark.parametrize("back", [0.0, 20.0, 30.0], ids=["straight", "swept 20", "swept 30"])
def test_an_endless_wing_returns_its_section(fall: float, back: float) -> None:
    """Aspect ratio 1,000: the wing's lift is the section's to 22 deg within 0.008, cos^2 of the sweep included."""
    sheet = trapezoid("wing", 500, 1, 1, back=500 * float(np.tan(np.deg2rad(back))), strips=24)
    curve = rounded(fall)
    found = run(alone(sheet, curve), 0, 22)
    cosine = np.cos(np.deg2rad(back))
    want = [cosine**2 * prepared(curve, float(np.arcsin(np.sin(one) / cosine))) for one in found.alpha]
    assert not found.failed
    assert np.abs(found.lift - want).max() < 0.008
    if fall < 2 * np.pi:  # gentle enough not to be limited: the raw curve itself
        raw = cosine**2 * np.interp(np.arcsin(np.sin(found.alpha) / cosine), curve.angle, curve.lift)
        assert np.abs(found.lift - raw).max() < 0.008


def test_attached_flow_is_the_lattice_itself() -> None:
    """Sections of slope 2 pi return the lattice's own lift, wing and tail together."""
    wing = trapezoid("wing", 3, 1, 0.5, back=1.0, dihedral=0.05, twist=-0.05)
    tail = trapezoid("tail", 1, 0.6, 0.6, at=(3.0, 0.0, 0.3), strips=8)
    solution = solve([wing, tail])
    made = condense(solution, half=False)
    setting = Setting(made, sample([straight()] * made.chord.size), Reference(6.0, 6.0, 1.0), 0.0)
    loads = solve_loads(made, setting.curves, level_state(0.1))
    mine = loads.lift * loads.speed * made.chord / 2
    # one strip's speed includes the normal flow of twisted and tilted strips, so the table's grid is the limit
    assert mine == pytest.approx(solution.circulation(solution.state(0.1)), abs=2e-5)


@pytest.mark.parametrize("fall", [GENTLE, MIDDLE, SHARP])
@pytest.mark.parametrize("tip", [1.0, 0.5])
def test_rising_and_falling_angles_agree(fall: float, tip: float) -> None:
    """No hysteresis: up and down sweeps agree to 1e-4 in every angle to 24 deg."""
    setting = alone(tapered(tip, 16), rounded(fall))
    up, down = run(setting, 0, 24), run(setting, 24, 0)
    assert not up.failed and not down.failed
    assert np.abs(up.lift - down.lift[::-1]).max() < 1e-4


@pytest.mark.parametrize("fall", [GENTLE, MIDDLE])
def test_greatest_lift_does_not_know_the_strips(fall: float) -> None:
    """8 and 32 strips a side: greatest lift within 0.1 %."""
    tops = []
    for strips in (8, 32):
        found = run(alone(tapered(0.5, strips), rounded(fall)), 9, 15, 0.25)
        tops.append(peak(found.alpha, found.lift, found.top)[1])
    assert tops[0] == pytest.approx(tops[1], rel=1e-3)


def test_any_start_gives_the_same_answer() -> None:
    """Random starts past the stall: one answer (seeds are fixed)."""
    setting = alone(tapered(0.5, 12), rounded(MIDDLE))
    chance = np.random.default_rng(5)
    for angle in (0.2, 0.28, 0.35):
        want = solve_loads(setting.made, setting.curves, level_state(angle))
        for _ in range(6):
            start = chance.uniform(0, 1.3, want.lift.size)
            got = solve_loads(setting.made, setting.curves, level_state(angle), start)
            assert got.lift == pytest.approx(want.lift, abs=1e-6)


def test_what_does_not_converge_is_a_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    """A typed failure carrying what is left of the equations; a sweep leaves the angle out and says so."""
    setting = alone(tapered(), rounded())
    monkeypatch.setattr(closure, "ROUNDS", 1)
    monkeypatch.setattr(closure, "PATIENCE", 1)
    with pytest.raises(NotConverged) as caught:
        solve_loads(setting.made, setting.curves, level_state(0.2))
    assert caught.value.residual > 0
    with pytest.raises(NotConverged):
        sweep(setting, [0.2])


def test_one_bad_angle_does_not_spoil_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    setting = alone(tapered(), rounded())
    real = closure.solve_loads

    def once(made: object, curves: object, state: np.ndarray, start: object = None) -> object:
        if abs(state[2] - np.sin(np.deg2rad(6.0))) < 1e-9:
            raise NotConverged("test", 0.5)
        return real(made, curves, state, start)  # type: ignore[arg-type]

    monkeypatch.setattr("planewright.analysis.air.stall.solve_loads", once)
    found = run(setting, 4, 8, 1)
    assert np.rad2deg(found.alpha) == pytest.approx([4, 5, 7, 8])
    assert np.rad2deg(found.failed[0][0]) == pytest.approx(6) and found.failed[0][1] == 0.5


def test_the_right_half_speaks_for_both() -> None:
    setting, whole = (alone(tapered(0.5), rounded(), half=half) for half in (True, False))
    one, other = run(setting, 8, 18, 2), run(whole, 8, 18, 2)
    for name in ("lift", "moment", "drag", "induced"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), abs=1e-9)


def test_lost_lift_is_spread_but_kept() -> None:
    """The smoothing keeps a loss that is alike everywhere, and the sum of any loss."""
    chord, width = np.linspace(1.0, 0.4, 9), np.linspace(0.5, 0.1, 9)
    matrix = loss_matrix(chord, width)
    assert matrix.sum(axis=1) == pytest.approx(np.ones(9))
    assert width @ matrix == pytest.approx(width)
    assert (matrix >= -1e-12).all()


def test_a_sharp_drop_is_spread_and_its_top_kept() -> None:
    curve = rounded(SHARP, depth=0.6)
    one = sample([curve])
    angles = np.deg2rad(np.arange(0, 20, 0.05))
    lift = np.array([float(one.lift(np.array([a]))[0]) for a in angles])
    assert lift.max() == pytest.approx(curve.lift.max(), rel=0.01)
    # attached slope less the limit: no steeper than about -2 pi
    assert np.diff(lift).min() / np.deg2rad(0.05) > 5.9 * np.cos(0.25) - STEEPEST - 0.2
    assert np.diff(np.interp(angles, curve.angle, curve.lift)).min() / np.deg2rad(0.05) < -12


def test_beyond_its_ends_a_curve_is_a_plate() -> None:
    lift, drag, _ = extended(rounded())
    assert lift[-1] == pytest.approx(0.0, abs=1e-9) and drag[-1] == pytest.approx(2.0)
    at = int(np.argmin(np.abs(ANGLES - np.deg2rad(45))))
    assert lift[at] == pytest.approx(1.1) and drag[at] == pytest.approx(1.0)


def test_a_flat_line_is_refused() -> None:
    with pytest.raises(ValueError, match="does not rise"):
        sample([Curve(ANGLES, 0 * ANGLES, 0 * ANGLES, 0 * ANGLES, (-0.2, 0.2))])


def test_a_strip_beyond_its_curve_is_told_of() -> None:
    short = rounded()
    keep = (short.angle >= -0.1) & (short.angle <= 0.15)
    cut = Curve(short.angle[keep], short.lift[keep], short.drag[keep], short.moment[keep], (-0.1, 0.15))
    found = run(alone(tapered(), cut), 0, 14, 2)
    assert not found.outside[0].any()
    assert found.outside[-1].any()


def test_taper_moves_the_stall_outward_and_washout_brings_it_back() -> None:
    """Rectangular wings give way inside, tapered ones outside; washout brings it inward (common knowledge)."""

    def place(tip: float, twist: float = 0.0) -> float:
        setting = alone(tapered(tip, 16, twist=twist), rounded())
        found = sweep(setting)
        row = int(np.flatnonzero((found.over > 0).any(axis=1))[0])
        return float(setting.made.place[int(np.argmax(found.over[row])), 1]) / 4

    rectangle, half, third = place(1.0), place(0.5), place(0.35)
    assert rectangle < 0.35 < half < third
    assert place(0.35, -0.06) < third


def test_a_flap_lifts_and_keeps_half_at_the_top() -> None:
    sheet = trapezoid("wing", 500, 1, 1, strips=16)
    setting = alone(sheet, rounded())
    turn = np.full(setting.made.chord.size, 0.05)
    flapped = Setting(setting.made, setting.curves.deflected(turn, 0 * turn), setting.reference, 0.0)
    plain, out = run(setting, 0, 20), run(flapped, 0, 20)
    gain = 5.9 * 0.05
    assert out.lift[4] - plain.lift[4] == pytest.approx(gain, rel=0.02)
    assert out.lift.max() - plain.lift.max() == pytest.approx(gain / 2, rel=0.05)
    assert out.alpha[out.top] < plain.alpha[plain.top]


def test_an_aileron_rolls_and_less_so_past_the_stall() -> None:
    sheet = Sheet(**{**vars(tapered(0.5)), "flaps": (Flap("aileron", 2.2, 3.8, 0.25, -1.0),)})
    setting = alone(sheet, rounded(), half=False)
    turn, pitch = flap_turns(setting.made, {"aileron": 0.25}, 0.8, {"aileron": 0.2})
    rolled = Setting(setting.made, setting.curves.deflected(turn, pitch), setting.reference, 0.0)
    rolls = []
    for angle in np.deg2rad([2.0, 6.0, 14.0]):
        loads = solve_loads(setting.made, rolled.curves, level_state(float(angle)))
        rolls.append(roll_moment(rolled, loads))
    # right aileron down rolls to the left; half its deflection stays at a maximum
    assert rolls[0] < 0 and rolls[1] == pytest.approx(rolls[0], rel=0.1)
    assert abs(rolls[2]) < abs(rolls[0])


def test_damping_in_roll_is_the_lattices_below_the_stall_and_turns_beyond() -> None:
    """Rectangle of aspect ratio 6: Clp = -0.440 (exact, converged lattice) while attached; positive past the stall."""
    sheet = trapezoid("wing", 3, 1, 1)
    attached = alone(sheet, straight(), half=False)
    loads = solve_loads(attached.made, attached.curves, level_state(0.0))
    assert roll_damping(attached, loads) == pytest.approx(-0.440, rel=0.01)
    stalling = alone(sheet, rounded(depth=0.8), half=False)
    past = [
        solve_loads(stalling.made, stalling.curves, level_state(float(one)))
        for one in np.deg2rad([12, 13, 16])
    ]
    assert max(roll_damping(stalling, one) for one in past) > 0


@pytest.mark.parametrize("angle", [4.0, 12.0, 16.0])
def test_damping_in_roll_is_that_of_the_moments(angle: float) -> None:
    """Exact derivative against central differences of a slowly rolling wing, to 1e-6."""
    setting = alone(tapered(0.5), rounded(), half=False)
    base = level_state(np.deg2rad(angle))
    loads = solve_loads(setting.made, setting.curves, base)
    step, moments = 2e-5, []
    for sign in (1, -1):
        state = base.copy()
        state[3] = sign * step * 2 / setting.reference.span
        moments.append(roll_moment(setting, solve_loads(setting.made, setting.curves, state, loads.lift)))
    assert roll_damping(setting, loads) == pytest.approx((moments[0] - moments[1]) / (2 * step), abs=2e-6)


def test_a_tail_stalls_by_the_same_equations() -> None:
    """A tail set steeply gives way although the wing does not; its strips are told apart."""
    wing = trapezoid("wing", 3, 1, 1)
    tail = trapezoid("tail", 1, 0.6, 0.6, at=(3.0, 0.0, 0.3), strips=8)
    tail = Sheet(**{**vars(tail), "twist": np.full(2, -0.30)})
    made = condense(solve([wing, tail]), True)
    setting = Setting(made, sample([rounded(zero=0.0)] * made.chord.size), Reference(6.0, 6.0, 1.0), 0.25)
    found = run(setting, 0, 4, 2)
    assert found.gone[0][made.sheet == 1].max() > 0.1
    assert found.gone[0][made.sheet == 0].max() < 0.02


def test_a_half_is_refused_where_the_halves_differ() -> None:
    one = trapezoid("wing", 3, 1, 1)
    solution = solve([Sheet(**{**vars(one), "mirrored": False})])
    assert not solution.grid.even
    with pytest.raises(ValueError, match="right half"):
        condense(solution, half=True)


def test_linear_derivative_of_the_lattice_agrees() -> None:
    sheet = trapezoid("wing", 3, 1, 1)
    solution = solve([sheet])
    reference = Reference(6.0, 6.0, 1.0)
    lattice = derivatives(solution, solution.state(0.0), reference)["L"]["p"]
    setting = alone(sheet, straight(), half=False)
    loads = solve_loads(setting.made, setting.curves, level_state(0.0))
    assert roll_damping(setting, loads) == pytest.approx(lattice, rel=2e-3)
