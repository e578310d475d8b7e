"""Strength of a half wing: signs, limits, symmetry, equilibrium, and the easy mistakes."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strength_cases import (
    CLARK_Y,
    GANNET_HALF,
    MEDIANS,
    PLOVER_HALF,
    Fixed,
    gannet,
    plover,
    sheet,
    spread_by_chord,
    stick,
)

from planewright.analysis import strength
from planewright.analysis.strength import beams, half, loads, modes, outlines, panels
from planewright.analysis.strength.materials import board_of
from planewright.errors import InputError, OutOfRange
from planewright.geometry import derive
from planewright.plane.model import Build, Plane, Section, Spar, Station, Surface

PLOVER_MASSES = {"engine": (0.37, 0.2175), "nacelle": (0.37, 0.0545), "servo": (0.98, 0.026)}


def simple(
    section: Section = CLARK_Y,
    thickness: float = 0.004,
    caps: tuple[float, float] = (0.005, 0.01),
    size: float = 1.0,
) -> Plane:
    """A straight wing with one spar, all lengths times ``size``."""
    stations = tuple(Station(out * size, 0.3 * size, section=section) for out in (0.0, 1.0))
    build = Build("folded", skin="board")
    spars = (Spar(0.3, "cap", "board", 0.8 * size),)
    wing = Surface("wing", "wing", 0.0, 0.0, stations, build, spars=spars)
    areal = 0.110 * 2 + 30 * (thickness - 0.0004)
    stock = {
        "board": sheet("board", thickness * size, areal * size),
        "cap": stick("cap", caps[0] * size, caps[1] * size, 450),
    }
    return Plane("simple", "A", stock=stock, surfaces=(wing,))


def hung(plane: Plane) -> strength.Hung:
    wing = plane.wing
    assert wing is not None
    return strength.hung(plane, wing)


def fails(plane: Plane, **values: float) -> dict[str, float]:
    return {mode: float(load[0]) for mode, load in hung(plane).fails(Fixed(values)).items()}


def test_arm_between_the_sticks() -> None:
    """Sticks lie under the skin: 21.06 - 2 x 3 - 3 = 12.06 mm in the half-size wing, 26.5 in the full one."""
    prediction = strength.bend_prediction(plover(), PLOVER_HALF)
    for test_wing, arm in ((prediction.small, 12.06e-3), (prediction.full, 26.5e-3)):
        top, bottom = test_wing.half.sticks
        assert top.z[0] - bottom.z[0] == pytest.approx(arm, abs=5e-5)


def test_turned_symmetric_section_bends_in_its_own_plane() -> None:
    """A doubly symmetric section turned 10 deg: kx/kz follows from the two principal stiffnesses alone."""
    lumps = beams.Lumps(np.array([3.0, -3, 0, 0]), np.array([0, 0, 1.0, -1]), np.ones(4), np.zeros(4))
    strong, weak = 18.0, 2.0
    a = math.radians(10)
    turned = beams.Lumps(
        lumps.x * math.cos(a) - lumps.z * math.sin(a),
        lumps.x * math.sin(a) + lumps.z * math.cos(a),
        lumps.ea,
        lumps.ei,
    )
    found = beams.bending(beams.sums(turned))
    ixx = strong * math.cos(a) ** 2 + weak * math.sin(a) ** 2
    ixz = (strong - weak) * math.sin(a) * math.cos(a)
    izz = strong * math.sin(a) ** 2 + weak * math.cos(a) ** 2
    assert float(found.side) == pytest.approx(-ixz / ixx, rel=1e-9)
    assert float(found.stiffness) == pytest.approx(izz - ixz**2 / ixx, rel=1e-9)
    flat = beams.bending(beams.sums(lumps))
    assert float(flat.side) == pytest.approx(0.0, abs=1e-12)


def test_equilibrium_of_the_section() -> None:
    """All walls together carry the moment, no thrust and no side moment (which is where a lost cross term shows)."""
    wing = hung(plover()).half
    bent = modes.section_bending(wing, Fixed())
    total = np.sum([group.sums for group in wing.groups], axis=0)
    ea, sx, sz, xx, xz, zz = total
    slope, level = 1 / bent.stiffness[:, 0], -bent.z[:, 0] / bent.stiffness[:, 0]
    across = bent.side[:, 0] * slope
    level = level - across * bent.x[:, 0]
    assert slope * sz + across * sx + level * ea == pytest.approx(np.zeros_like(ea), abs=1e-6)
    assert slope * zz + across * xz + level * sz == pytest.approx(np.ones_like(ea), rel=1e-9)
    assert slope * xz + across * xx + level * sx == pytest.approx(np.zeros_like(ea), abs=1e-6)


def test_skins_carry_more_of_the_small_wing() -> None:
    """Faces carry about 62 % of the half-size Plover's root stiffness and 43 % of the full one (a trial of our own,
    with paper of one weight; here paper goes with the weight of each board): 57 to 64 and 42 to 49 %."""
    prediction = strength.bend_prediction(plover(), PLOVER_HALF)
    shares = []
    for one in (prediction.small, prediction.full):
        whole = modes.section_bending(one.half, Fixed()).stiffness[0, 0]
        bare = modes.section_bending(one.half, Fixed({"skin.share": 1e-6})).stiffness[0, 0]
        shares.append(1 - bare / whole)
    assert 0.57 < shares[0] < 0.64
    assert 0.42 < shares[1] < 0.49


def test_sticks_near_the_shells() -> None:
    """Stress of the top stick of the half-size Plover, all skins working, faces .20 mm of 3000 MPa: 4.66 MPa per kg
    at the root, 4.26 at 42 mm, 2.04 at 202 mm by a shell model of our own. The section method is known to lie up to
    10 % high at the very root and 2 to 3 % elsewhere."""
    one = strength.bend_prediction(plover(), PLOVER_HALF).small
    bent = modes.section_bending(one.half, Fixed({"paper.stiffness": 0.20e-3 / one.half.skin.face}))
    top = one.half.sticks[0]
    strain = (one.case.moment * bent.strain(top.x[:, None], top.z[:, None]))[:, 0]
    stress = np.interp([0.0, 0.042, 0.202], one.half.y, top.wood.modulus * strain) / 1e6
    assert stress[0] == pytest.approx(4.66, rel=0.10)
    assert stress[1:] == pytest.approx([4.26, 2.04], rel=0.035)


@pytest.mark.parametrize(
    ("plane", "specimen", "small", "full"),
    [(plover(), PLOVER_HALF, 7.3, 23.0), (gannet(), GANNET_HALF, 34.0, 34.0)],
)
def test_panels_near_the_trial(plane: Plane, specimen: dict[str, object], small: float, full: float) -> None:
    """First buckling of the upper skin, kg a side, all faces working: 7.3 and 23, 34 and 34 (a trial of our own with
    one paper on all boards; 8 %). The shell model of that trial buckled later: 13.3 and 39."""
    prediction = strength.bend_prediction(plane, specimen)
    found = prediction.fails(Fixed()), prediction.fails_full(Fixed())
    assert [one[modes.PANEL][0] for one in found] == pytest.approx([small, full], rel=0.08)
    lower = modes.reached(prediction.full.half.mirrored(), prediction.full.case, Fixed())
    assert lower[modes.PANEL].load[0] < 1.2 * found[1][modes.PANEL][0]


def test_upside_down_twice_is_as_before() -> None:
    wing = hung(gannet()).half
    again, case = wing.mirrored().mirrored(), hung(gannet()).case
    before, after = (modes.reached(one, case, Fixed()) for one in (wing, again))
    for mode in modes.MODES:
        assert after[mode].load == pytest.approx(before[mode].load, rel=1e-12)


def test_a_symmetric_wing_holds_as_much_either_way() -> None:
    one = hung(simple(section=Section("naca", "NACA 0012")))
    up, down = (modes.reached(half_, one.case, Fixed()) for half_ in (one.half, one.half.mirrored()))
    for mode in modes.MODES:
        assert down[mode].load == pytest.approx(up[mode].load, rel=1e-9)


def test_rib_pitch_hardly_matters_to_a_curved_skin() -> None:
    """Pitch 90, 180 mm and none differ by under 3 % in the shell model: here the skin does not read it at all."""
    found = [fails(dataclasses.replace(plover(), surfaces=(
        dataclasses.replace(plover().surfaces[0], build=Build("folded", skin="board", rib_pitch=pitch)),)))
        for pitch in (0.09, 0.18, None)]  # fmt: skip
    for mode in (modes.PANEL, modes.FACE, modes.STICK):
        assert np.ptp([one[mode] for one in found]) < 0.03 * found[0][mode]


def test_the_web_matters() -> None:
    """A stick whose web came loose buckles between ribs 90 mm apart at 1.7 kg a side (half-size Plover, a trial of our
    own, 12 %); glued it buckles far above its crushing."""
    one = strength.bend_prediction(plover(), PLOVER_HALF).small
    top = one.half.sticks[0]
    bent = modes.section_bending(one.half, Fixed())
    force = (
        (one.case.moment * bent.strain(top.x[:, None], top.z[:, None]))[0, 0] * top.wood.modulus * top.area
    )
    assert modes.loose_column(top, 0.09) / force == pytest.approx(1.7, rel=0.12)
    assert one.fails(Fixed())[modes.STICK_BUCKLING][0] > 5 * one.fails(Fixed())[modes.STICK][0]


def test_panels_lose_width_only_near_their_buckling() -> None:
    """Part that works: 1 from twice the load on, .78 at buckling, falling and never growing."""
    ratio = np.linspace(0.1, 4.0, 200)
    part = panels.working_part(ratio)
    assert np.all(np.diff(part) >= 0) and part[-1] == 1.0
    assert panels.working_part(np.array([1.0]))[0] == pytest.approx(0.78)


def test_share_changes_strain_and_not_the_law_of_the_face() -> None:
    """skin.share .5: the face strains more, and the face's own strength is untouched."""
    wing = hung(simple()).half
    whole, half_share = Fixed(), Fixed({"skin.share": 0.5})
    strain = [modes.face_strain(wing, modes.section_bending(wing, s))[0, 0] for s in (whole, half_share)]
    assert strain[1] > 1.1 * strain[0]
    assert modes.face_strength(wing, half_share) == modes.face_strength(wing, whole)
    before, after = fails(simple()), fails(simple(), **{"skin.share": 0.5})
    assert before[modes.FACE] / after[modes.FACE] == pytest.approx(strain[1] / strain[0], rel=0.01)


@pytest.mark.parametrize(
    ("factor", "moved"),
    [
        ("stick.compression", {modes.STICK}),
        ("stick.grade", {modes.STICK}),
        ("board.wrinkle", {modes.FACE, modes.SPAR_END}),
        ("glue.line", {modes.GLUE}),
        ("paper.shear foam.shear", {modes.WEB}),
        ("work.strength", set(modes.MODES)),
    ],
)
def test_each_factor_moves_its_own_mode(factor: str, moved: set[str]) -> None:
    """To 3 %: a wing that holds more presses its panels nearer to their buckling, and they then work a little less."""
    before, after = fails(plover()), fails(plover(), **dict.fromkeys(factor.split(), 1.3))
    for mode in modes.MODES:
        assert after[mode] / before[mode] == pytest.approx(1.3 if mode in moved else 1.0, rel=0.03)


def test_stiffer_sticks_take_load_from_the_skin() -> None:
    before, after = fails(plover()), fails(plover(), **{"stick.modulus": 1.3})
    assert after[modes.FACE] > before[modes.FACE]
    assert after[modes.STICK] < before[modes.STICK]


def test_thicker_is_stronger() -> None:
    """Thicker skins and larger caps raise (or leave) what the faces and the wing's stiffness give."""
    boards = [simple(thickness=t) for t in (0.003, 0.004, 0.006)]
    web = [fails(one)[modes.GLUE] for one in boards]
    assert web == sorted(web)
    caps = [simple(caps=(0.005, b)) for b in (0.006, 0.010, 0.016)]
    for mode in (modes.STICK, modes.FACE):
        loads_ = [fails(one)[mode] for one in caps]
        assert loads_ == sorted(loads_)
    tips = [float(hung(one).slope(Fixed())[0]) for one in caps]
    assert tips == sorted(tips, reverse=True)


def test_everything_scaled_goes_with_the_square() -> None:
    """All lengths, paper too, at half size: loads go with the square for sticks, faces and web paper, so
    e = 2 (the glue's fillets keep their 3 mm, so its e is less). Paper is as thick as it weighs."""
    big, small = simple(), simple(size=0.5)
    assert board_of(small.stock["board"]).face == pytest.approx(
        board_of(big.stock["board"]).face / 2, rel=1e-9
    )
    ratio = {mode: math.log(fails(small)[mode] / load, 0.5) for mode, load in fails(big).items()}
    for mode in (modes.STICK, modes.FACE, modes.WEB):
        assert ratio[mode] == pytest.approx(2.0, abs=0.04)
    assert ratio[modes.GLUE] < 1.8


def test_tip_deflection_scales_as_length_over_load() -> None:
    """Everything scaled by l: deflection per load goes as 1/l."""
    big, small = (float(hung(one).slope(Fixed())[0]) for one in (simple(), simple(size=0.5)))
    assert small / big == pytest.approx(2.0, rel=0.03)


def test_without_a_spar_only_the_skin_is_left() -> None:
    wing = dataclasses.replace(simple().surfaces[0], spars=())
    found = fails(dataclasses.replace(simple(), surfaces=(wing,)))
    assert set(found) == {modes.FACE, modes.PANEL}
    assert found[modes.FACE] < fails(simple())[modes.FACE]


def test_a_single_sheet() -> None:
    """A flat wing of one board: each paper counts once, so its stiffness is D of the board times the chord."""
    flat = simple(section=Section("flat", "flat"))
    wing = dataclasses.replace(flat.surfaces[0], spars=())
    one = half.half_wing(dataclasses.replace(flat, surfaces=(wing,)), wing)
    board = one.skin
    skins = 0.3 * board.face_modulus * board.face * (board.thickness - board.face) ** 2 / 2
    whole = modes.section_bending(one, Fixed()).stiffness[0, 0]
    assert whole == pytest.approx(skins, rel=0.04)


def test_proof_and_spar_end() -> None:
    """Lifting Plover by its tips: the wing holds, the load multiple is the moment ratio at the joint, and about
    123 N of stick force (a trial of our own; 12 %) must leave the stick at the spar's end."""
    model = flying_plover()
    masses = spread_by_chord(plover(), 0.559, PLOVER_MASSES)
    lifted = loads.tip_lift(model.half.y, 1.3, 4.062, masses)
    held = model.under(lifted, Fixed(MEDIANS))
    assert all(float(multiple[0]) > 1 for multiple in held.values())
    joint = model.joint_capacity(Fixed(MEDIANS))["joint outer"] * model.moment_at(0.62) / 12.6
    assert held["joint outer"] == pytest.approx(joint, rel=0.02)
    ends = model.spar_ends(Fixed(MEDIANS), lifted)
    assert list(ends) == pytest.approx([1.15])
    assert ends[next(iter(ends))][0] == pytest.approx(123, rel=0.12)


@settings(max_examples=40, deadline=None)
@given(
    chord=st.floats(0.12, 0.7),
    taper=st.floats(0.3, 1.0),
    span=st.floats(0.4, 2.0),
    thickness=st.floats(0.0015, 0.008),
    cap=st.tuples(st.floats(0.002, 0.012), st.floats(0.002, 0.02)),
    end=st.floats(0.2, 1.0),
    section=st.sampled_from(
        [CLARK_Y, Section("naca", "NACA 2415"), Section("naca", "NACA 0006"), Section("flat", "")]
    ),
)
def test_any_wing_gives_finite_answers(
    chord: float,
    taper: float,
    span: float,
    thickness: float,
    cap: tuple[float, float],
    end: float,
    section: Section,
) -> None:
    """Whatever is drawn, every mode has a positive finite load, and more of every strength never gives less."""
    stations = (Station(0.0, chord, section=section), Station(span, chord * taper, section=section))
    spars = (Spar(0.3, "cap", "board", end * span),)
    wing = Surface("wing", "wing", 0.0, 0.0, stations, Build("ribs", skin="board"), spars=spars)
    stock = {"board": sheet("board", thickness, 0.35), "cap": stick("cap", *cap, 450)}
    found = fails(Plane("any", "A", stock=stock, surfaces=(wing,)))
    assert set(found) == set(modes.MODES)
    assert all(math.isfinite(load) and load > 0 for load in found.values())
    tip = float(hung(Plane("any", "A", stock=stock, surfaces=(wing,))).slope(Fixed())[0])
    assert math.isfinite(tip) and tip > 0


@pytest.mark.parametrize("plane", [plover(), gannet()])
def test_fine_against_coarse(plane: Plane, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four times the stations and points round the section change no answer by more than 1 %."""
    before, tip = fails(plane), float(hung(plane).slope(Fixed())[0])
    monkeypatch.setattr(half, "BASE_STATIONS", 65)
    monkeypatch.setattr(outlines, "OUTLINE_POINTS", 641)
    monkeypatch.setattr(half, "TOP_PROBES", 33)
    after = fails(plane)
    assert after == pytest.approx(before, rel=0.01)
    assert float(hung(plane).slope(Fixed())[0]) == pytest.approx(tip, rel=0.01)


def test_what_is_not_covered_is_said() -> None:
    model = flying_plover()
    assert any("cut-outs" in note and "damp" in note for note in model.not_covered)
    plane = plover()
    card = dataclasses.replace(plane.stock["board"], kind="cardboard")
    other = dataclasses.replace(plane, stock=dict(plane.stock) | {"board": card})
    masses = spread_by_chord(plane, 0.559, {})
    found = strength.strength_model(derive(other), strength.elliptic_span_load(1.3), masses, 4.0)
    assert any("board is cardboard" in note for note in found.not_covered)


def test_no_skin_is_asked_for() -> None:
    wing = dataclasses.replace(simple().surfaces[0], build=Build("folded"))
    with pytest.raises(InputError, match="names no board"):
        half.half_wing(simple(), wing)


def test_draws_are_the_single_answers() -> None:
    """Many draws at once give what each gives alone, to rounding."""
    rng = np.random.default_rng(1)
    names = (
        "skin.share",
        "paper.stiffness",
        "stick.modulus",
        "stick.compression",
        "glue.line",
        "board.wrinkle",
    )
    values = {name: np.exp(0.3 * rng.standard_normal(7)) for name in names}
    one = hung(gannet())
    many = one.fails(Fixed(values, 7))
    for i in range(7):
        alone = one.fails(Fixed({name: float(array[i]) for name, array in values.items()}))
        for mode in modes.MODES:
            assert many[mode][i] == pytest.approx(alone[mode][0], rel=1e-12)


def test_moments_against_fine_sums() -> None:
    """Shear and moment of strips against a fine sum of point loads; nothing outboard of the tip."""
    load = loads.elliptic_span_load(1.3)
    at = np.array([0.0, 0.31, 0.62, 1.1, 1.3])
    fine = np.linspace(0, 1.3, 200_001)
    middle = (fine[1:] + fine[:-1]) / 2
    part = np.diff((fine / 1.3 * np.sqrt(1 - (fine / 1.3) ** 2) + np.arcsin(fine / 1.3)) / np.pi)
    ours, theirs = loads.lift_per_weight(at, load), loads.points(at, middle, part)
    assert ours.moment == pytest.approx(theirs.moment, abs=3e-5)
    assert ours.shear == pytest.approx(theirs.shear, abs=2e-3)
    assert (ours.shear[0], ours.moment[-1]) == pytest.approx((0.5, 0.0), abs=1e-12)


def flying_plover(mass: float | None = 4.062) -> strength.StrengthModel:
    plane = plover()
    masses = spread_by_chord(plane, 0.559, PLOVER_MASSES)
    return strength.strength_model(derive(plane), strength.elliptic_span_load(1.3), masses, mass)


def test_net_moment() -> None:
    """Own weight relieves the root: 10.98 N m of lift alone, 6.38 net, 1.43 at the outer joint (our own reckoning
    of the invented Plover); 1 and 6 %."""
    model = flying_plover()
    assert model.lift.moment[0] * 4.062 * loads.GRAVITY == pytest.approx(10.98, rel=0.01)
    assert model.moment_at(0.0)[0] == pytest.approx(6.38, rel=0.06)
    assert model.moment_at(0.62)[0] == pytest.approx(1.43, rel=0.06)


def test_heavier_is_less() -> None:
    """Load factor falls with mass, a little faster than 1/mass because own weight does not relieve what is added."""
    model = flying_plover(None)
    with pytest.raises(InputError, match="mass"):
        model.load_factor(Fixed())
    light, heavy = model.load_factor(Fixed(count=2), np.array([4.0, 5.0]), joints=False)
    assert heavy < light * 4.0 / 5.0


def test_least_of_the_modes() -> None:
    rng = np.random.default_rng(2)
    states = Fixed({"glue.line": np.exp(0.5 * rng.standard_normal(400)), "joint.factor": 0.75}, 400)
    model = flying_plover()
    found = model.capacity(states)
    assert set(found) == {*modes.MODES, "joint outer"}
    assert model.load_factor(states) == pytest.approx(np.min(list(found.values()), axis=0))
    assert np.all(model.load_factor(states, joints=False) >= model.load_factor(states))
    rows = model.governing(states)
    assert sum(row.share for row in rows) == pytest.approx(1.0)
    assert rows[0].share == max(row.share for row in rows)


def test_joint_factor_once() -> None:
    """Need: 4.35 N m and 121 N (1.15 in), not 139; strength: joint.factor alone, and work.strength not on top."""
    plane = gannet()
    masses = spread_by_chord(plane, 0.58, {"engine": (0.44, 0.44), "servo": (1.18, 0.026)})
    model = strength.strength_model(derive(plane), strength.elliptic_span_load(1.45), masses, 5.4)
    need = model.joint_needs()["tip"]
    scale = 0.84 / need.one_g
    assert need.limit * scale == pytest.approx(2.52, abs=0.005)
    assert need.ultimate * scale == pytest.approx(4.35, abs=0.005)
    assert (need.force_limit * scale, need.force_ultimate * scale) == pytest.approx((70, 121), abs=0.5)
    assert need.hung_ultimate == pytest.approx(need.ultimate - need.own)
    assert need.own == pytest.approx(np.interp(0.93, model.half.y, model.own.moment))
    assert 0.3 < need.own < 0.6
    assert model.unproved == ("tip",)
    assert not [mode for mode in model.capacity(Fixed()) if mode.startswith("joint")]
    outer = flying_plover()
    base = outer.joint_capacity(Fixed())["joint outer"][0]
    with_factor = outer.joint_capacity(Fixed({"joint.factor": 0.75, "work.strength": 0.9}))["joint outer"][0]
    assert with_factor / base == pytest.approx(0.75)


def test_tip_lift() -> None:
    """Whole aeroplane lifted at both tips: Plover 21.3 N m at the root and 12.6 at the joint, Gannet 13.3 at the
    latch, 16 times its 1 g load (our own reckoning); 2 %. A weightless wing gives W/2 times the arm."""
    plane = plover()
    found = strength.tip_lift_moments(derive(plane), spread_by_chord(plane, 0.559, PLOVER_MASSES), 4.062)
    assert (found["root"], found["outer"]) == pytest.approx((21.3, 12.6), rel=0.02)
    bird = gannet()
    points = {"engine": (0.44, 0.44), "inboard servo": (0.72, 0.026), "outboard servo": (1.185, 0.026)}
    latch = strength.tip_lift_moments(derive(bird), spread_by_chord(bird, 0.5825, points), 5.4)["tip"]
    assert latch == pytest.approx(13.3, rel=0.02)
    bare = strength.tip_lift_moments(derive(plane), spread_by_chord(plane, 1e-9, {}), 4.0)
    assert bare["root"] == pytest.approx(4.0 * loads.GRAVITY / 2 * 1.3, rel=1e-6)


@pytest.mark.parametrize(
    ("plane", "specimen", "sticks", "glue"),
    [(plover(), PLOVER_HALF, 1.60, 1.31), (gannet(), GANNET_HALF, 0.62, 1.07)],
)
def test_exponents(plane: Plane, specimen: dict[str, object], sticks: float, glue: float) -> None:
    """e of the two specimens from both drawings (a trial of our own; sticks with one weight of paper: Plover's
    differ here by .18: its thin board has lighter paper, and a panel near its buckling works a little less)."""
    found = strength.bend_prediction(plane, specimen).exponents(Fixed())
    assert found[modes.STICK] == pytest.approx(sticks, abs=0.20)
    assert found[modes.GLUE] == pytest.approx(glue, abs=0.02)


def test_moment_over_the_pad() -> None:
    """Root moment is .4244 F L with F one half's sand; a pad that presses evenly takes off half its reach times F,
    and the shear at the middle is nothing. Gannet's 52 mm saddle: 32.5 N m at 11.25 kg a side (invented record)."""
    middle = strength.bend_prediction(plover(), PLOVER_HALF)
    padded = strength.bend_prediction(plover(), PLOVER_HALF, support=0.045)
    assert middle.root_moment_per_kg == pytest.approx(0.4244132 * loads.GRAVITY * 0.65, rel=2e-4)
    less = middle.root_moment_per_kg - padded.root_moment_per_kg
    assert less == pytest.approx(loads.GRAVITY * 0.045 / 2, rel=1e-6)
    assert padded.small.case.shear[0, 0] == pytest.approx(0.0, abs=1e-9)
    assert padded.slope_mm_per_kg(Fixed())[0] < middle.slope_mm_per_kg(Fixed())[0]
    assert padded.fails(Fixed())[modes.STICK][0] > middle.fails(Fixed())[modes.STICK][0]
    bird = strength.bend_prediction(gannet(), GANNET_HALF, support=0.026)
    assert 11.25 * bird.root_moment_per_kg == pytest.approx(32.5, rel=0.01)


def test_specimen_faults() -> None:
    with pytest.raises(OutOfRange, match="scale"):
        strength.bend_prediction(plover(), {"scale": 2.0})
    with pytest.raises(OutOfRange, match="support"):
        strength.bend_prediction(plover(), PLOVER_HALF, support=0.5)
    with pytest.raises(OutOfRange, match="scale"):
        strength.bend_prediction(plover(), {}).exponents(Fixed())
    same = strength.bend_prediction(plover(), {})
    assert same.fails(Fixed())[modes.STICK] == pytest.approx(same.fails_full(Fixed())[modes.STICK])


def test_only_the_stated_differences() -> None:
    """What the specimen does not state stays the aeroplane's: sheets and sticks do not shrink by themselves."""
    drawn = strength.specimen_plane(gannet(), GANNET_HALF)
    wing = drawn.wing
    assert wing is not None
    assert drawn.stock["strip"] == gannet().stock["strip"]
    assert drawn.stock["board"] == gannet().stock["board"]
    assert drawn.stock["cap"].density == pytest.approx(gannet().stock["cap"].density)
    assert (
        wing.half_span == pytest.approx(0.725) and wing.spars[1].to == pytest.approx(0.45) and not wing.joints
    )
    assert wing.build.rib_pitch == pytest.approx(0.120)


def test_scenario_figures() -> None:
    """The invented examples at the prior medians, by a trial of our own: half-size Plover 8 to 10.5 mm/kg (12 %
    beyond: lighter paper of its thin board) and Gannet 2.9 x 1.19 for sweep; full wings 56 and 128 N m; 12 %."""
    states = Fixed(MEDIANS)
    for plane, specimen, tip, moment in (
        (plover(), PLOVER_HALF, 10.5, 56.0 * 1.09),
        (gannet(), GANNET_HALF, 2.9 * 1.19, 128.0),
    ):
        found = strength.bend_prediction(plane, specimen)
        assert found.slope_mm_per_kg(states)[0] == pytest.approx(tip, rel=0.12)
        least = min(float(load[0]) for load in found.fails_full(states).values())
        assert least * found.full.moment == pytest.approx(moment, rel=0.12)


def test_sweep() -> None:
    """Sweep: the tip rises by 1/cos^4 more, rear sticks near the middle get up to 15 % more at 17 deg, and beyond
    20 deg it is said that the rule was not tried."""
    swept, straight = hung(gannet()).half, hung(plover()).half
    assert math.degrees(swept.sweep) == pytest.approx(16.6, abs=0.3)
    assert swept.tip_by_sweep == pytest.approx(1.19, abs=0.02)
    assert swept.rear_by_sweep[0] == pytest.approx(1.15, abs=0.01) and swept.rear_by_sweep[-1] == 1.0
    assert straight.tip_by_sweep == pytest.approx(1.0, abs=0.003) and straight.sweep_covered
    stations = tuple(dataclasses.replace(s, back=s.back * 1.6) for s in gannet().surfaces[0].stations)
    far = dataclasses.replace(gannet().surfaces[0], stations=stations)
    assert not half.half_wing(gannet(), far).sweep_covered
