"""Signs, limits, symmetry and invariances of the lattice: the easy mistakes, one line each."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.analysis.air.flow import induced, wash
from planewright.analysis.air.forms import Reference, Solution, derivatives, solve
from planewright.analysis.air.lattice import build_grid
from planewright.analysis.air.sheets import Flap, Sheet, coverage, cut, strip_map, trapezoid
from planewright.analysis.air.skew import beta_correction
from planewright.errors import InputError

REFERENCE = Reference(6.0, 6.0, 1.0)


def rectangle(**more: float) -> Sheet:
    return trapezoid("wing", 3, 1, 1, **more)  # type: ignore[arg-type]


def fin(at: float = 3.0) -> Sheet:
    leading = np.array([[at, 0.0, 0.2], [at + 0.2, 0.0, 1.0]])
    none = np.zeros(2)
    return Sheet("fin", leading, np.array([0.8, 0.5]), none, none, none, mirrored=False, strips=5)


def aeroplane(wing_strips: int = 12, tail_strips: int = 8, tail_z: float = 0.3) -> list[Sheet]:
    wing = trapezoid("wing", 3, 1, 1, strips=wing_strips)
    tail = trapezoid("tail", 1, 0.6, 0.6, at=(3.0, 0.0, tail_z), strips=tail_strips)
    return [wing, tail, fin()]


def lift(solution: Solution, alpha: float) -> float:
    s = solution.state(alpha)
    return 2 / REFERENCE.area * float((solution.lift_rows @ s).sum())


def efficiency(solution: Solution, span: float) -> float:
    s = solution.state(0.05)
    force = float((solution.lift_rows @ s).sum())
    return force**2 / (np.pi * span**2 * 0.5 * solution.drag(s))


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.floats(0.08, 0.92), max_size=3, unique=True),
    st.floats(0.3, 1.2),
    st.floats(-0.5, 1.5),
)
def test_no_planar_wing_beats_the_ellipse(cranks: list[float], tip: float, back: float) -> None:
    places = [one for k, one in enumerate(sorted(cranks)) if k == 0 or one - sorted(cranks)[k - 1] > 0.05]
    sheet = trapezoid("wing", 3, 1, tip, back=back, cranks=places)
    solution = solve([sheet])
    assert efficiency(solution, 6.0) <= 1.001


@settings(max_examples=12, deadline=None)
@given(st.lists(st.floats(0.08, 0.95), min_size=1, max_size=3, unique=True))
def test_a_crank_that_bends_nothing_changes_nothing(cranks: list[float]) -> None:
    places = [one for k, one in enumerate(sorted(cranks)) if k == 0 or one - sorted(cranks)[k - 1] > 0.06]
    plain, cranked = solve([rectangle()]), solve([trapezoid("wing", 3, 1, 1, cranks=places)])
    assert lift(cranked, 0.05) == pytest.approx(lift(plain, 0.05), rel=0.005)
    assert efficiency(cranked, 6.0) == pytest.approx(efficiency(plain, 6.0), abs=0.005)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0.02, 0.98), max_size=4, unique=True), st.integers(3, 20), st.sampled_from([0.0, 0.12])
)
def test_strips_rise_and_stations_lie_inside(breaks: list[float], strips: int, amount: float) -> None:
    kinks = np.array(
        [one for k, one in enumerate(sorted(breaks)) if k == 0 or one - sorted(breaks)[k - 1] > 0.01]
    )
    edges, stations = strip_map(kinks, strips, amount)
    assert edges[0] == 0 and edges[-1] == 1
    assert np.all(np.diff(edges) > 0)
    assert np.all((stations > edges[:-1]) & (stations < edges[1:]))
    assert all(np.min(np.abs(edges - one)) < 1e-12 for one in kinks)


def test_mirror_in_sideslip() -> None:
    solution = solve(aeroplane(), np.array([0.5, 0.0, 0.0]))
    right, left = (solution.loads(solution.state(0.06, beta)) for beta in (0.05, -0.05))
    sign = np.array([1, -1, 1, -1, 1, -1])
    assert right == pytest.approx(sign * left, abs=1e-12)
    assert solution.drag(solution.state(0.06, 0.05)) == pytest.approx(
        solution.drag(solution.state(0.06, -0.05)), rel=1e-12
    )


def test_signs_of_a_whole_aeroplane() -> None:
    about = np.array([0.2, 0.0, 0.0])
    solution = solve(aeroplane(), about)
    d = derivatives(solution, solution.state(0.06), REFERENCE)
    assert d["Z"]["alpha"] < 0 and d["M"]["alpha"] < 0
    assert d["L"]["p"] < 0 and d["M"]["q"] < 0 and d["N"]["r"] < 0
    assert d["N"]["beta"] > 0 and d["L"]["r"] > 0 and d["Y"]["beta"] < 0
    up = solve([rectangle(dihedral=0.1)], about)
    assert derivatives(up, up.state(0.0), REFERENCE)["L"]["beta"] < 0


def test_signs_of_controls() -> None:
    """Trailing edge down lifts; right aileron down rolls left; rudder to the left turns the nose left."""
    wing = replace(rectangle(), flaps=(Flap("aileron", 1.8, 2.8, 0.25, -1.0), Flap("flap", 0.0, 1.5, 0.25)))
    tail = trapezoid("tail", 1, 0.6, 0.6, at=(3.0, 0.0, 0.3), strips=8)
    tail = replace(tail, flaps=(Flap("elevator", 0.0, 1.0, 0.35),))
    stands = replace(fin(), flaps=(Flap("rudder", 0.0, 0.8, 0.4, 1.0, -1.0),))
    solution = solve([wing, tail, stands], np.array([0.5, 0.0, 0.0]))
    d = derivatives(solution, solution.state(0.02), REFERENCE)
    assert d["Z"]["flap"] < 0 and d["Z"]["elevator"] < 0 and d["M"]["elevator"] < 0
    assert d["L"]["aileron"] < 0 and abs(d["Z"]["aileron"]) < 1e-12
    assert d["N"]["rudder"] < 0 and d["Y"]["rudder"] > 0


def test_washout_lowers_the_tip_and_keeps_the_slope() -> None:
    plain, twisted = solve([rectangle()]), solve([rectangle(twist=-0.05)])
    s = plain.state(0.08)
    tip = 11
    assert twisted.circulation(s)[tip] < plain.circulation(s)[tip]
    assert lift(twisted, 0.08) < lift(plain, 0.08)
    slope = [lift(one, 0.08) - lift(one, 0.0) for one in (plain, twisted)]
    assert slope[1] == pytest.approx(slope[0], rel=0.01)


def test_reference_point_moves_the_moment() -> None:
    near, far = (solve(aeroplane(), np.array([x, 0.0, 0.0])) for x in (0.5, 0.7))
    s = near.state(0.05, 0.03)
    a, b = near.loads(s), far.loads(s)
    assert b[:3] == pytest.approx(a[:3], abs=1e-12)
    assert b[4] - a[4] == pytest.approx(
        -a[2] * 0.2, abs=1e-10
    )  # Z down: a force up behind pitches the nose down
    assert b[5] - a[5] == pytest.approx(a[1] * 0.2, abs=1e-10)


def test_derivatives_are_those_of_the_forces() -> None:
    solution = solve(aeroplane(), np.array([0.5, 0.0, 0.0]))
    s = solution.state(0.06, 0.02)
    exact = solution.slopes(s)
    for k in range(6):
        step = np.zeros(s.size)
        step[k] = 1e-4
        differ = (solution.loads(s + step) - solution.loads(s - step)) / 2e-4
        assert differ == pytest.approx(exact[:, k], abs=1e-7)


def test_alpha_and_beta_derivatives_are_those_of_angles() -> None:
    solution = solve(aeroplane(), np.array([0.5, 0.0, 0.0]))
    d = derivatives(solution, solution.state(0.06), REFERENCE)
    h = 1e-5
    for name, pair in (
        ("alpha", (solution.state(0.06 + h), solution.state(0.06 - h))),
        ("beta", (solution.state(0.06, h), solution.state(0.06, -h))),
    ):
        change = (solution.loads(pair[0]) - solution.loads(pair[1])) / (2 * h) * 2 / REFERENCE.area
        want = [d[row][name] for row in "XYZ"]
        assert change[:3] == pytest.approx(want, abs=1e-5)


def test_near_field_agrees_with_strips_and_far_wake() -> None:
    solution = solve([rectangle()])
    s = solution.state(0.05)
    loads = solution.loads(s)
    upward = -loads[2] * np.cos(0.05) + loads[0] * np.sin(0.05)
    assert upward == pytest.approx(float((solution.lift_rows @ s).sum()), rel=0.005)
    backward = -loads[0] * np.cos(0.05) - loads[2] * np.sin(0.05)
    assert backward == pytest.approx(solution.drag(s), rel=0.03)


def test_wash_doubles_far_behind() -> None:
    """The far wash of a horseshoe is twice that abreast of its bound vortex, to 1e-6, at 1e5 spans."""
    start, end = np.array([[0.0, -0.5, 0.0]]), np.array([[0.0, 0.5, 0.0]])
    near, far = (induced(np.array([[x, 0.1, 0.0]]), start, end)[2, 0, 0] for x in (1e-9, 1e5))
    legs_only = induced(np.array([[0.0, 0.1, 0.0]]), start, end)[2, 0, 0]
    assert far == pytest.approx(2 * legs_only, rel=1e-6)
    assert abs(near) < np.inf


def test_tail_at_the_height_of_the_wake() -> None:
    """A tail in the wing's plane: pitch stiffness within 2 % over wing and tail strips."""
    values = []
    for wing, tail in ((12, 6), (12, 8), (24, 6), (24, 9)):
        solution = solve(aeroplane(wing, tail, 0.0)[:2], np.array([0.25, 0.0, 0.0]))
        values.append(derivatives(solution, solution.state(0.0), REFERENCE)["M"]["alpha"])
    assert np.ptp(values) < 0.02 * abs(np.mean(values))


def test_flap_needs_no_panel_edge() -> None:
    """Full-span flap: 3 and 6 panels along the chord give the same lift per radian within 1 %."""
    got = []
    for rows in (3, 6):
        sheet = replace(trapezoid("wing", 3, 1, 1, rows=rows), flaps=(Flap("flap", 0.0, 3.0, 0.3),))
        solution = solve([sheet])
        got.append(derivatives(solution, solution.state(0.0), REFERENCE)["Z"]["flap"])
    assert got[0] == pytest.approx(got[1], rel=0.01)


def test_moving_a_flap_end_is_smooth() -> None:
    """No jump when an aileron's end passes a strip's edge: columns carry the covered part of each strip."""
    sheet = rectangle()
    edges = cut(sheet).arc
    ends = np.linspace(edges[6] - 0.02, edges[6] + 0.02, 9)
    covered = [float((coverage(edges, 0.5, end) * np.diff(edges)).sum()) for end in ends]
    assert covered == pytest.approx(list(ends - 0.5), abs=1e-12)


def test_sideslip_needs_the_legs() -> None:
    """A flat unswept wing at lift has a stable rolling moment in sideslip only through its chordwise legs."""
    solution = solve([rectangle()])
    d = derivatives(solution, solution.state(0.08), REFERENCE)
    assert d["L"]["beta"] / lift(solution, 0.08) < -0.05


def test_sideslip_with_the_wake_along_the_stream() -> None:
    """Rectangle of aspect ratio 6: Cl_beta/CL = -0.087 (trial of our own, full rebuild with turned legs)."""
    solution = solve([rectangle()])
    s = solution.state(0.05)
    d = derivatives(solution, s, REFERENCE, beta_correction(solution, s))
    assert d["L"]["beta"] / lift(solution, 0.05) == pytest.approx(-0.087, abs=0.005)


def test_twin_fins_act_as_two() -> None:
    """Fins at both sides: each sideslip and each rudder pushes both the same way."""
    wing = rectangle()
    leading = np.array([[3.0, 1.0, 0.2], [3.2, 1.0, 1.0]])
    none = np.zeros(2)
    rudder = (Flap("rudder", 0.0, 0.8, 0.4, 1.0, -1.0),)
    twin = Sheet("fin", leading, np.array([0.8, 0.5]), none, none, none, strips=5, flaps=rudder)
    solution = solve([wing, twin], np.array([0.25, 0.0, 0.0]))
    d = derivatives(solution, solution.state(0.0), REFERENCE)
    one = solve([wing, fin()], np.array([0.25, 0.0, 0.0]))
    single = derivatives(one, one.state(0.0), REFERENCE)
    assert 1.2 * single["N"]["beta"] < d["N"]["beta"] < 2.2 * single["N"]["beta"]
    assert d["N"]["rudder"] < 0 and abs(d["Z"]["rudder"]) < 1e-9
    right, left = (solution.loads(solution.state(0.06, b)) for b in (0.05, -0.05))
    assert right == pytest.approx(np.array([1, -1, 1, -1, 1, -1]) * left, abs=1e-12)


def test_half_the_work_gives_the_whole_answer() -> None:
    """Washes by mirror image equal those worked out in full, twin fins and a middle fin included."""
    twin = replace(fin(), mirrored=True, leading=fin().leading + np.array([0.0, 1.0, 0.0]), name="fins")
    grid = build_grid([*aeroplane(), twin])
    assert grid.even
    quick, full = wash(grid, grid.control), wash(replace(grid, even=False), grid.control)
    assert quick == pytest.approx(full, abs=1e-12)


def test_two_surfaces_in_one_place_are_refused() -> None:
    with pytest.raises(InputError, match="told apart"):
        solve([rectangle(), rectangle()])


def test_a_sheet_without_extent_is_refused() -> None:
    with pytest.raises(ValueError, match="two stations"):
        solve([trapezoid("wing", 0.0, 1, 1)])


def test_another_centre_needs_no_new_solution() -> None:
    """Forms, strips, drag and the turned wake moved to another point equal those of a lattice solved about it."""
    sheets = [rectangle(dihedral=0.1), *aeroplane()[1:]]
    near, far = (solve(sheets, np.array([x, 0.0, z])) for x, z in ((0.5, 0.0), (0.9, 0.15)))
    moved = near.moved(far.about)
    for name in ("forms", "gain", "strip_gain", "drag_form", "beta_forms", "pitch_rows"):
        assert getattr(moved, name) == pytest.approx(getattr(far, name), abs=1e-11)
