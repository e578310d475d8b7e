"""The easy mistakes of a lattice, each with the one test that shows it. Which test stands for which mistake:

======================================================  ==========================================================
mistake                                                 test (in this file unless another is named)
======================================================  ==========================================================
tip strip to the edge, widths jump at cranks            test_the_rectangle_with_and_without_a_crank_that_bends_nothing
span efficiency above 1 on a flat wing                  test_air_lattice: test_no_planar_wing_beats_the_ellipse
mirror swaps ends or keeps normals                      test_the_mirror_in_sideslip
drawing axes taken for body axes                        test_signs_of_a_wing_with_tail_and_fin
p b/2V or p                                             test_damping_does_not_know_span_or_speed
twist in degrees, or its sign                           test_washout
chordwise legs forgotten                                test_a_flat_wing_rolls_in_sideslip
wake along the body in sideslip                         test_the_wake_follows_the_stream
hinge as a panel's edge                                 test_a_flap_does_not_know_the_panels
moment factor (1 - 1/N^2) forgotten                     test_two_panels_return_the_moment_given
tail points on a wing's leg                             test_a_tail_in_the_wake
leg formula far downstream                              test_the_wash_doubles_far_downstream
ground image: sign, 2h or h                             test_half_a_span_above_the_ground
arcsin or cosine of the sweep left out                  test_an_endless_wing_returns_its_curve
Newton that did not converge taken as an answer         test_no_answer_without_convergence
lift on the aeroplane's speed, not the strip's          test_a_turning_wing_uses_each_strips_own_speed
fin finer than the tail where they meet                 test_fin_and_tail_refined_together
moments about another point                             test_moments_about_another_point
derivative from a stale trim                            test_derivatives_are_those_of_the_total_forces
near-field drag on swept wings                          test_far_wake_drag_of_a_swept_wing
hole in the wing at the body                            test_the_wing_is_carried_through_the_body
flap loss counted twice                                 test_flap_loss_is_counted_once
======================================================  ==========================================================

Values called exact are converged values of lifting-surface theory, re-derivable from the text given.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from tests.physics.air_curves import MIDDLE, alone, prepared, rounded, run, straight, tapered

from planewright.analysis.air import closure
from planewright.analysis.air.closure import solve_loads
from planewright.analysis.air.condensed import condense
from planewright.analysis.air.curves import ANGLES, Curve, sample
from planewright.analysis.air.flow import induced
from planewright.analysis.air.forms import Reference, Solution, derivatives, solve
from planewright.analysis.air.lattice import strip_incidence
from planewright.analysis.air.layout import fin_strips
from planewright.analysis.air.sheets import Flap, Sheet, flap_theory, trapezoid
from planewright.analysis.air.skew import beta_correction
from planewright.analysis.air.stall import Setting, curves_of, flap_turns, level_state, roll_moment
from planewright.errors import NotConverged

SIX = Reference(6.0, 6.0, 1.0)
HALF_PERCENT = 0.005


def rectangle(**more: float) -> Sheet:
    return trapezoid("wing", 3, 1, 1, **more)  # type: ignore[arg-type]


def fin(strips: int = 5, at: float = 3.0) -> Sheet:
    leading = np.array([[at, 0.0, 0.3], [at + 0.2, 0.0, 1.1]])
    none = np.zeros(2)
    return Sheet("fin", leading, np.array([0.8, 0.5]), none, none, none, mirrored=False, strips=strips)


def tail(strips: int = 8, z: float = 0.3) -> Sheet:
    return trapezoid("tail", 1, 0.6, 0.6, at=(3.0, 0.0, z), strips=strips)


def figures(sheet: Sheet, reference: Reference) -> tuple[float, float]:
    """Lift slope per rad and far-wake span efficiency."""
    solution = solve([sheet])
    s = solution.state(0.05)
    lift = 2 / reference.area * float((solution.lift_rows @ s).sum())
    drag = 2 / reference.area * solution.drag(s)
    slope = -derivatives(solution, solution.state(0.0), reference)["Z"]["alpha"]
    return slope, lift**2 / (np.pi * reference.span**2 / reference.area * drag)


@pytest.mark.parametrize("cranks", [(), (0.37, 0.83)], ids=["plain", "cranks that bend nothing"])
def test_the_rectangle_with_and_without_a_crank_that_bends_nothing(cranks: tuple[float, ...]) -> None:
    """Rectangle of aspect ratio 6 at 4 x 12: lift slope 4.212 +- .02, e .984 +- .003 (exact)."""
    slope, efficiency = figures(trapezoid("wing", 3, 1, 1, cranks=cranks), SIX)
    assert slope == pytest.approx(4.212, abs=0.02)
    assert efficiency == pytest.approx(0.984, abs=0.003)


def test_the_mirror_in_sideslip() -> None:
    """beta to -beta turns Y, L and N over and keeps X, Z, M and the far-wake drag, to 1e-12."""
    solution = solve([rectangle(dihedral=0.1), tail(), fin()], np.array([0.5, 0.0, 0.0]))
    right, left = (solution.loads(solution.state(0.06, beta)) for beta in (0.08, -0.08))
    assert right == pytest.approx(np.array([1, -1, 1, -1, 1, -1]) * left, abs=1e-12)
    drags = [solution.drag(solution.state(0.06, beta)) for beta in (0.08, -0.08)]
    assert drags[0] == pytest.approx(drags[1], rel=1e-12)


def test_signs_of_a_wing_with_tail_and_fin() -> None:
    """Nose up lifts, a rolling wing is damped, dihedral rights it, a tail damps pitch, a fin points it into the wind
    and damps yaw, and the outer wing of a turn lifts more."""
    about = np.array([0.25, 0.0, 0.0])
    wing = solve([rectangle()], about)
    plain = derivatives(wing, wing.state(0.06), SIX)
    assert plain["Z"]["alpha"] < 0 and plain["L"]["p"] < 0 and plain["L"]["r"] > 0
    bent = solve([rectangle(dihedral=0.1)], about)
    assert derivatives(bent, bent.state(0.0), SIX)["L"]["beta"] < 0
    tailed, finned = solve([rectangle(), tail()], about), solve([rectangle(), fin()], about)
    damping = derivatives(tailed, tailed.state(0.0), SIX)["M"]["q"]
    assert damping < derivatives(wing, wing.state(0.0), SIX)["M"]["q"] < 0
    upright = derivatives(finned, finned.state(0.0), SIX)
    assert upright["N"]["beta"] > 0 and upright["N"]["r"] < 0


@pytest.mark.parametrize(("size", "speed"), [(1.0, 1.0), (0.1, 20.0), (5.0, 3.0)])
def test_damping_does_not_know_span_or_speed(size: float, speed: float) -> None:
    """Clp of the rectangle of aspect ratio 6 is -.440 (exact) at any span and speed; not -.147, not -1.32."""
    solution = solve([trapezoid("wing", 3 * size, size, size)])
    slopes = derivatives(solution, solution.state(0.0) * speed, Reference(6 * size**2, 6 * size, size))
    assert slopes["L"]["p"] == pytest.approx(-0.440, rel=0.01)


def test_washout() -> None:
    """Washout of 3 deg lowers the tip's lift and the wing's, and keeps the slope within 1 %."""
    plain, twisted = solve([rectangle()]), solve([rectangle(twist=np.deg2rad(-3.0))])
    strength = [one.circulation(one.state(0.08)) for one in (plain, twisted)]
    assert strength[1][11] < strength[0][11]
    lifts = [[float((one.lift_rows @ one.state(a)).sum()) for a in (0.0, 0.08)] for one in (plain, twisted)]
    # a mean twist weighted towards the root lowers CL by some 4.2 x 1.2 deg; degrees for radians would be 57 times that
    assert 0.02 < 2 / 6 * (lifts[0][1] - lifts[1][1]) < 0.15
    assert lifts[1][1] - lifts[1][0] == pytest.approx(lifts[0][1] - lifts[0][0], rel=0.01)


def lift_of(solution: Solution, alpha: float) -> float:
    return 2 / 6 * float((solution.lift_rows @ solution.state(alpha)).sum())


def test_a_flat_wing_rolls_in_sideslip() -> None:
    """Through its chordwise legs alone: Cl_beta/CL below -.05."""
    solution = solve([rectangle()])
    rolls = derivatives(solution, solution.state(0.08), SIX)["L"]["beta"]
    assert rolls / lift_of(solution, 0.08) < -0.05


def test_the_wake_follows_the_stream() -> None:
    """Rectangle of aspect ratio 6: Cl_beta/CL = -.087 +- .01 (full rebuild with turned legs, trial of our own)."""
    solution = solve([rectangle()])
    s = solution.state(0.05)
    rolls = derivatives(solution, s, SIX, beta_correction(solution, s))["L"]["beta"]
    assert rolls / lift_of(solution, 0.05) == pytest.approx(-0.087, abs=0.01)


@pytest.mark.parametrize("chord", [0.2, 0.3, 0.4])
def test_a_flap_does_not_know_the_panels(chord: float) -> None:
    """Full-span flap: 3 and 6 panels along the chord give the same lift per radian within 1 %."""
    got = []
    for rows in (3, 6):
        sheet = replace(trapezoid("wing", 3, 1, 1, rows=rows), flaps=(Flap("flap", 0.0, 3.0, chord),))
        solution = solve([sheet])
        got.append(derivatives(solution, solution.state(0.0), SIX)["Z"]["flap"])
    assert got[0] == pytest.approx(got[1], rel=0.01)


def test_two_panels_return_the_moment_given() -> None:
    """A strip of two panels in two dimensions carries the moment (and lift) put in, to 1e-9."""
    place = (np.arange(2) + 0.25) / 2
    gap = (np.arange(2) + 0.75)[:, None] / 2 - place[None, :]
    strength = np.linalg.solve(
        1 / (2 * np.pi * gap), strip_incidence(np.array([0.5]), np.array([-0.08]), 2)[0]
    )
    assert -2 * (strength * (place - 0.25)).sum() == pytest.approx(-0.08, rel=1e-9)
    assert 2 * strength.sum() == pytest.approx(0.5, rel=1e-9)


def test_a_tail_in_the_wake() -> None:
    """A tail at the height of the wing's sheet: pitch stiffness within 2 % over wing and tail strips."""
    values = []
    for wing_strips, tail_strips in ((12, 6), (12, 8), (12, 11), (24, 6), (24, 9)):
        solution = solve([rectangle(strips=wing_strips), tail(tail_strips, 0.0)], np.array([0.25, 0.0, 0.0]))
        values.append(derivatives(solution, solution.state(0.0), SIX)["M"]["alpha"])
    assert np.ptp(values) < 0.02 * abs(float(np.mean(values)))


def test_the_wash_doubles_far_downstream() -> None:
    """1e5 spans behind a horseshoe its wash is twice that abreast of its legs' beginnings, to 1e-6."""
    start, end = np.array([[0.0, -0.5, 0.0]]), np.array([[0.0, 0.5, 0.0]])
    near, far = (induced(np.array([[x, 0.1, 0.0]]), start, end)[2, 0, 0] for x in (0.0, 1e5))
    assert far == pytest.approx(2 * near, rel=1e-6)


@pytest.mark.parametrize(
    ("height", "slope_ratio", "drag_ratio"), [(0.1, 1.249, 0.524), (0.2, 1.100, 0.717), (0.5, 1.025, 0.909)]
)
def test_half_a_span_above_the_ground(height: float, slope_ratio: float, drag_ratio: float) -> None:
    """Rectangle of aspect ratio 6: lift slope and CDi/CL^2 over those of free air (exact), within 0.5 %."""
    free, near = solve([rectangle()]), solve([rectangle()], ground=-6 * height)
    lifts = [lift_of(one, 0.05) for one in (free, near)]
    drags = [one.drag(one.state(0.05)) for one in (free, near)]
    assert lifts[1] / lifts[0] == pytest.approx(slope_ratio, rel=HALF_PERCENT)
    assert drags[1] / drags[0] * (lifts[0] / lifts[1]) ** 2 == pytest.approx(drag_ratio, rel=HALF_PERCENT)


@pytest.mark.parametrize("back", [0.0, 20.0, 30.0])
def test_an_endless_wing_returns_its_curve(back: float) -> None:
    """Aspect ratio 1,000 to 22 deg within .008; leaving out the arcsine gives .03 to .06."""
    curve = rounded(MIDDLE)
    found = run(
        alone(trapezoid("wing", 500, 1, 1, back=500 * np.tan(np.deg2rad(back)), strips=24), curve), 0, 22, 1
    )
    cosine = np.cos(np.deg2rad(back))
    want = [cosine**2 * prepared(curve, float(np.arcsin(np.sin(one) / cosine))) for one in found.alpha]
    assert np.abs(found.lift - want).max() < 0.008


def test_no_answer_without_convergence(monkeypatch: pytest.MonkeyPatch) -> None:
    """A typed failure; and rising and falling angles agree to 1e-4."""
    setting = alone(tapered(0.5), rounded(MIDDLE))
    up, down = run(setting, 8, 18), run(setting, 18, 8)
    assert np.abs(up.lift - down.lift[::-1]).max() < 1e-4
    monkeypatch.setattr(closure, "ROUNDS", 1)
    monkeypatch.setattr(closure, "PATIENCE", 1)
    with pytest.raises(NotConverged):
        solve_loads(setting.made, setting.curves, level_state(0.3))


def test_a_turning_wing_uses_each_strips_own_speed() -> None:
    """A yawing wing of endless span: each strip's coefficient on its own speed is that of its section, and the
    strips' forces sum to the rolling moment that the lattice's own forms give."""
    sheet = trapezoid("wing", 500, 1, 1, strips=16)
    setting = alone(sheet, straight(), half=False)
    state = level_state(0.1)
    state[5] = 0.5 / 500
    loads = solve_loads(setting.made, setting.curves, state)
    middle = np.abs(setting.made.place[:, 1]) < 300
    fast = loads.speed[middle]
    assert np.ptp(fast) > 0.4
    own = np.sin(0.1) / fast  # the same upward flow at another forward speed
    assert loads.lift[middle] == pytest.approx(2 * np.pi * own, rel=0.01)
    solution = setting.made.solution
    s = np.zeros(len(solution.names))
    s[:6] = state
    total = 2 * solution.loads(s)[3] / (setting.reference.area * setting.reference.span)
    assert roll_moment(setting, loads) == pytest.approx(total, rel=0.01)


def test_fin_and_tail_refined_together() -> None:
    """A fin standing on a tail: doubling the strips of both, widths kept alike, changes Cn_beta by less than 2 %."""
    values = []
    for strips in (8, 16):
        inner = np.sin(np.pi / 2 / strips)
        solution = solve(
            [rectangle(), tail(strips), replace(fin(fin_strips(0.8, inner)), name="fin")],
            np.array([0.25, 0, 0]),
        )
        values.append(derivatives(solution, solution.state(0.0), SIX)["N"]["beta"])
    assert values[1] == pytest.approx(values[0], rel=0.02)


def test_moments_about_another_point() -> None:
    """Moving the point back by dx changes Cm by CN dx/c and Cn by CY dx/b, exactly."""
    near, far = (solve([rectangle(), tail(), fin()], np.array([x, 0.0, 0.0])) for x in (0.5, 0.7))
    s = near.state(0.05, 0.03)
    a, b = near.loads(s), far.loads(s)
    assert b[4] - a[4] == pytest.approx(-a[2] * 0.2, abs=1e-10)
    assert b[5] - a[5] == pytest.approx(a[1] * 0.2, abs=1e-10)


def test_derivatives_are_those_of_the_total_forces() -> None:
    """J from the forms is the central difference of the total forces, to 1e-6, for motion and controls."""
    wing = replace(rectangle(dihedral=0.05), flaps=(Flap("aileron", 1.8, 2.8, 0.25, -1.0),))
    solution = solve([wing, tail(), fin()], np.array([0.5, 0.0, 0.0]))
    s = solution.state(0.08, 0.03, aileron=0.1)
    s[3:6] = 0.05, 0.02, -0.03
    exact = solution.slopes(s)
    for k in range(s.size):
        step = np.zeros(s.size)
        step[k] = 1e-3
        differ = (solution.loads(s + step) - solution.loads(s - step)) / 2e-3
        assert differ == pytest.approx(exact[:, k], abs=1e-6)


def test_far_wake_drag_of_a_swept_wing() -> None:
    """Untapered 45 deg wing of aspect ratio 5: far-wake e .907 (exact), near field well below it; the results take
    the far wake."""
    sheet = trapezoid("wing", 2.5, 1, 1, back=2.5)
    solution = solve([sheet])
    s = solution.state(0.05)
    lift, far = 2 / 5 * float((solution.lift_rows @ s).sum()), 2 / 5 * solution.drag(s)
    loads = solution.loads(s)
    near = 2 / 5 * float(-loads[0] * np.cos(0.05) - loads[2] * np.sin(0.05))
    assert lift**2 / (np.pi * 5 * far) == pytest.approx(0.907, abs=0.006)
    assert 0.02 < (far - near) / far < 0.2


def test_the_wing_is_carried_through_the_body() -> None:
    """A wing with a body of .08 span loses no centre part: its strips reach the centreline, and the slope is the
    wing's own (what a body adds, up to 8 %, is left to the band of the slope)."""
    from tests.physics.test_air_examples import model_of

    for name in ("plover", "gannet"):
        model = model_of(name)
        grid = model.solution.grid
        wing = grid.sheet[grid.strip] == 0
        assert np.abs(grid.start[wing, 1]).min() < 1e-9
        bare = solve_alone(model)
        assert bare == pytest.approx(float(model.wing_lift[1]), rel=0.08)


def solve_alone(model: object) -> float:
    """Lift slope of the wing alone on its area, per rad."""
    from planewright.analysis.air import wing_alone

    return wing_alone(model.geometry.wing).slope  # type: ignore[attr-defined, no-any-return]


@dataclass(frozen=True)
class Flapped:
    """A section whose curve at a deflection was measured: lift moved by ``turn`` rad, loss of the flap included."""

    turn: float
    method: str = "measured"
    top_band: float = 0.1

    def curve(self, reynolds: float) -> Curve:
        plain = straight()
        return Curve(ANGLES, 2 * np.pi * np.sin(ANGLES + self.turn), plain.drag, plain.moment, plain.firm)


def test_flap_loss_is_counted_once() -> None:
    """Curves with the flap out bring their own loss: taken as they are they give exactly their lift; theory times
    its loss gives the same only when it is used alone. Both together would lose twice."""
    sheet = replace(trapezoid("wing", 500, 1, 1, strips=16), flaps=(Flap("flap", 0.0, 500.0, 0.25),))
    made = condense(solve([sheet]), True)
    loss, angle = 0.8, 0.2
    turn, pitch = flap_turns(made, {"flap": 0.25}, loss, {"flap": angle})
    want = loss * flap_theory(0.25)[0] / (2 * np.pi) * angle
    assert turn == pytest.approx(np.full(turn.size, want), rel=1e-9)
    measured = curves_of(made, [Flapped(want)] * turn.size, np.full(turn.size, 2e5))
    theory = sample([straight()] * turn.size).deflected(turn, pitch)
    lifts = []
    for curves in (measured, theory):
        setting = Setting(made, curves, Reference(1000, 1000, 1), 0.0)
        loads = solve_loads(made, setting.curves, level_state(0.0))
        lifts.append(float(loads.lift[0]))
    assert lifts[0] == pytest.approx(2 * np.pi * np.sin(want), rel=2e-3)
    assert lifts[1] == pytest.approx(lifts[0], rel=2e-3)
