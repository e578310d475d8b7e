"""Trials a family does at home: worlds of other forms than the reductions assume, plans, judgements, odd rows."""

import math
import random
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from fixtures import home
from fixtures.stand_ins import table
from planewright.calibrate.engine import fit
from planewright.calibrate.kinds import KINDS, judged, kind_name, reduce_trial
from planewright.calibrate.kinds.proof import limit_load
from planewright.calibrate.problem import assemble
from planewright.errors import InputError
from planewright.knowledge import FLYING_WING, Draws
from planewright.records.model import TRIAL_KINDS, Remark, Said, Trial

SEEDS = range(1, 6)


def inside(world: home.World) -> dict[str, bool]:
    """Whether each truth of a world lies in the 95 % band that its trial leaves."""
    found = fit(assemble(home.BENCH.prior, (reduce_trial(home.BENCH, world.trial),)))
    out = {}
    for names, true in world.truth.items():
        places = [found.ids.index(name) for name in names]
        size = np.array([found.problem.knowledge.quantities[name].prior_sd for name in names])
        sd = math.sqrt(size @ found.covariance[np.ix_(places, places)] @ size)
        out["+".join(names)] = abs(sum(found.mean(name) for name in names) - true) < 1.96 * sd
    return out


@pytest.mark.parametrize("name", sorted(home.WORLDS))
def test_truths_of_other_forms_lie_in_the_bands(name: str) -> None:
    """Five cases: no more than two misses for a quantity (true coverage .95: 1 in 1000 by chance)."""
    cases = [inside(home.WORLDS[name](seed)) for seed in SEEDS]
    for quantity in cases[0]:
        assert sum(one[quantity] for one in cases) >= 3, quantity


@pytest.mark.parametrize("kind", TRIAL_KINDS)
def test_every_kind_of_record_has_a_module_with_the_five_verbs(kind: str) -> None:
    module = KINDS[kind_name(kind, "wing")]
    for verb in ("plan", "read", "reduce", "judge", "feed"):
        assert callable(getattr(module, verb))


PLANNED = [
    ("weighing", "board"), ("weighing", "cap"), ("weighing", "tape"), ("coupon", "board"), ("coupon", "cap"),
    ("coupon", "glue"), ("bend", "wing"), ("proof", "wing"), ("joint", "wing.joint.outer"), ("joint", "wing.joint.tip"),
    ("vehicle", "wing"), ("thrust", "engine.left"), ("battery", "battery"), ("balance", "aeroplane"),
    ("swing", "aeroplane"), ("controls", "aeroplane"), ("range", "aeroplane"), ("taxi", "aeroplane"), ("pull", "gear"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "of"), PLANNED)
def test_plans_expect_finite_bands(kind: str, of: str) -> None:
    joints = {f"wing.joint.{one.name}" for one in home.PLANE.wing.joints} if home.PLANE.wing else set()
    if kind == "joint" and of not in joints:
        pytest.skip("this aeroplane has no such joint")
    plan = KINDS[kind].plan(home.BENCH, of, Draws(home.BENCH.prior, 200))
    assert plan.points and plan.minutes > 0 and plan.people > 0 and 0 <= plan.breaks <= 1
    for point in plan.points:
        low, middle, high = point.band()
        assert low <= middle <= high or math.isnan(middle), point.what


def plan_of(kind: str, of: str, count: int = 400) -> dict[str, tuple[float, float, float]]:
    plan = KINDS[kind].plan(home.BENCH, of, Draws(home.BENCH.prior, count))
    return {one.what: one.band() for one in plan.points}


def test_what_comes_out_lies_in_the_band_written_before() -> None:
    """Sheets, pulls and roll-outs of truths drawn from the prior: most readings lie where the plan said."""
    sheets, pulls, rolls = plan_of("weighing", "board"), plan_of("pull", "gear"), plan_of("taxi", "aeroplane")
    hits = []
    for seed in range(1, 21):
        grams = float(home.sheets(seed).trial.readings.columns["mass_g"][0]) / 1000  # type: ignore[union-attr]
        pull = float(home.pull(seed).trial.readings.columns["pull_N"][0])  # type: ignore[union-attr]
        hits += [sheets["piece 1"][0] < grams < sheets["piece 1"][2]]
        hits += [pulls["pull out 1"][0] < pull < pulls["pull out 1"][2]]
    assert np.mean(hits) > 0.85
    assert rolls["rolls from 2 m/s"][1] < rolls["rolls from 6 m/s"][1]


def test_a_proof_is_never_planned_above_limit_load() -> None:
    """Root moment of the planned sand equals limit load factor times the 1 g moment of the strength model."""
    model, sand, root = limit_load(home.BENCH)
    plan = KINDS["proof"].plan(home.BENCH, "wing", Draws(home.BENCH.prior, 200))
    assert root == pytest.approx(model.limit * float(model.moment_at(0.0)[0]))
    assert plan.article == "flying" and f"{sand:.2f} kg" in plan.most and 0 <= plan.breaks < 0.5


def test_a_typing_slip_in_a_weighing_is_named() -> None:
    world = home.sheets(3)
    readings = world.trial.readings
    assert readings is not None
    cells = list(readings.columns["mass_g"])
    cells[2] = cells[2] + "0"
    broken = replace(
        world.trial, readings=replace(readings, columns={**readings.columns, "mass_g": tuple(cells)})
    )
    found = reduce_trial(home.BENCH, broken)
    weights = fit(assemble(home.BENCH.prior, (found,))).weights[0]
    assert weights[2] < 0.1 < weights[1] and found.suspect is not None
    assert "was meant" in found.suspect("mass", 3, float(found.blocks[0].measured[1]))


def test_one_span_cannot_part_bending_from_shear() -> None:
    """The sd of D and S after one span and after two, as the method's note has them (.22, .36 and .05, .15)."""
    world = home.coupon(5)
    readings = world.trial.readings
    assert readings is not None
    keep = [i for i, span in enumerate(readings.columns["span_mm"]) if float(span) == 150.0]
    columns = {name: tuple(cells[i] for i in keep) for name, cells in readings.columns.items()}
    short = replace(
        world.trial, readings=replace(readings, columns=columns, lines=readings.lines[: len(keep)])
    )
    both, one = (
        fit(assemble(home.BENCH.prior, (reduce_trial(home.BENCH, t),))) for t in (world.trial, short)
    )
    assert both.sd("board.D[board]") < 0.08 and one.sd("board.D[board]") > 2 * both.sd("board.D[board]")
    assert any("one span only" in words for words in reduce_trial(home.BENCH, short).findings)


def test_a_known_mass_is_a_trial_of_the_scale() -> None:
    rows = [[1, "", "", 1010, 1000], [2, "", "", 505, 500], [3, "", "", 2021, 2000]]
    made = home.trial("weighing", "board", ("piece", "length_mm", "width_mm", "mass_g", "known_g"), rows)
    found = fit(assemble(home.BENCH.prior, (reduce_trial(home.BENCH, made),)))
    gain = next(name for name in found.ids if name.startswith("instrument:"))
    assert found.mean(gain) == pytest.approx(math.log(1.01), abs=0.002) and found.sd(gain) < 0.002


def test_flying_wing_held_moves_its_own_article_and_a_test_piece_does_not() -> None:
    world = home.wing_to_a_limit(4)
    flying, piece = (
        reduce_trial(home.BENCH, replace(world.trial, article=name)) for name in (FLYING_WING, "wing-9")
    )
    own = f"article.stick[{FLYING_WING}]"
    assert own in fit(assemble(home.BENCH.prior, (flying,))).ids
    assert own not in fit(assemble(home.BENCH.prior, (piece,))).ids
    assert {event.name for event in flying.events} == {event.name for event in piece.events}


def control_rows(**changes: float) -> Trial:
    rows = []
    for one in home.PLANE.controls:
        ways = ("left", "right") if one.kind == "rudder" else ("up", "down")
        for way, travel in zip(ways, (one.up, one.down), strict=True):
            value = changes.get(f"{one.name}_{way}", math.degrees(travel))
            rows += [[one.name, way, round(value, 1), ""], [one.name, "middle", 0.2, ""]]
    return home.trial("controls", "aeroplane", ("control", "way", "angle_deg", "note"), rows)


def test_controls_pass_fail_and_say_which() -> None:
    good = reduce_trial(home.BENCH, control_rows())
    assert good.passed is True
    name = home.PLANE.controls[0].name
    wrong = reduce_trial(home.BENCH, control_rows(**{f"{name}_up": -14.0}))
    assert wrong.passed is False and any(f"{name} goes the wrong way" in words for words in wrong.findings)
    alone = reduce_trial(home.BENCH, replace(control_rows(), done_by={"reads": "one adult"}))
    assert alone.passed is False and any("second" in words for words in alone.findings)


def range_trial(answers: str) -> Trial:
    rows = [
        [20, "off", "nose on", "yes"],
        [35, "off", "tail on", "yes"],
        [20, "half", "nose on", "yes"],
        [35, "half", "", answers],
    ]
    said = (Said("reaches", "30 m", 30.0, 30.0, "m"),)
    return home.trial(
        "range", "aeroplane", ("distance_m", "motors", "heading", "answers"), rows, said_before=said
    )


def test_range_is_held_against_the_distance_said_before() -> None:
    assert reduce_trial(home.BENCH, range_trial("yes")).passed is True
    failed = reduce_trial(home.BENCH, range_trial("no"))
    assert failed.passed is False and "motors half: answered to 20 m" in failed.findings
    assert [one.inside for one in judged(range_trial("no"), failed)] == [False]


def test_predictions_are_judged_inside_outside_or_not_compared() -> None:
    world = home.pull(2)
    said = (
        Said("pull", "0.1 N to 99 N", 0.1, 99.0, "N"),
        Said("pull", "90 N to 99 N", 90.0, 99.0, "N"),
        Said("luck", "good"),
    )
    made = replace(world.trial, said_before=said)
    found = reduce_trial(home.BENCH, made)
    assert [one.inside for one in judged(made, found)] == [True, False, None]
    assert all(one.sentence() for one in judged(made, found))


DAMAGE: list[Callable[[list[str], random.Random], list[str]]] = [
    lambda cells, rng: ["" if rng.random() < 0.5 else one for one in cells],
    lambda cells, rng: ["1e9" if rng.random() < 0.2 else one for one in cells],
    lambda cells, rng: ["0"] * len(cells),
    lambda cells, rng: ["-" + one for one in cells],
    lambda cells, rng: cells[::-1],
    lambda cells, rng: ["7"] * len(cells),
]


@pytest.mark.parametrize("name", sorted(home.WORLDS))
def test_damaged_home_trials_get_an_answer_or_advice(name: str) -> None:
    for seed in range(3):
        rng = random.Random(seed)
        made = home.WORLDS[name](seed + 1).trial
        assert made.readings is not None
        columns = {head: list(cells) for head, cells in made.readings.columns.items()}
        for _ in range(rng.randint(1, 3)):
            head = rng.choice(sorted(columns))
            columns[head] = rng.choice(DAMAGE)(columns[head], rng)
        keep = rng.randint(1, len(made.readings)) if rng.random() < 0.3 else len(made.readings)
        rows = [[columns[head][i] for head in columns] for i in range(keep)]
        broken = replace(made, readings=table(list(columns), rows))
        try:
            found = fit(assemble(home.BENCH.prior, (reduce_trial(home.BENCH, broken),)))
        except InputError as error:
            assert error.faults[0].expected and error.faults[0].advice
            continue
        assert np.all(np.isfinite(found.theta)) and np.all(np.isfinite(found.covariance))


def test_a_row_left_out_by_hand_is_named_and_not_used() -> None:
    world = home.sheets(1)
    made = replace(world.trial, remarks=(Remark(2, "torn corner", "leave out"),))
    found = reduce_trial(home.BENCH, made)
    assert 2 not in found.blocks[0].rows and "row 2 left out by hand: torn corner" in found.findings
