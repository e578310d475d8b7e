"""Whole projects taken in: both examples, other truths, other days, remarks deleted, trials taken out.

The hidden truth of each invented trial must lie inside the 95 % band that the trials leave, for several worlds; with
fifty bands checked a few may lie just outside, so single bands are given a little more than 1.96 deviations in the
default suite and the share is counted in the slow one.
"""

import math
import shutil
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from fixtures import truths
from fixtures.worlds import drop_remarks, write_world
from planewright.analysis.air import wing_alone
from planewright.analysis.mass import mass_model
from planewright.analysis.power import power_model
from planewright.analysis.strength import bend_prediction
from planewright.calibrate import calibrate, compare
from planewright.geometry import Geometry, derive
from planewright.knowledge import Draws, Knowledge, prior_knowledge, read_knowledge, write_knowledge
from planewright.project import Project, load

Array = npt.NDArray[np.float64]
DRAWS = 1000


@dataclass(frozen=True)
class World:
    project: Project
    geometry: Geometry
    prior: Knowledge

    def known(self, without: tuple[str, ...] = ()) -> Knowledge:
        trials = [one for one in self.project.trials if one.id not in without]
        return calibrate(self.prior, self.geometry, self.project.ledger, trials, self.project.site)


def world(folder: Path) -> World:
    project = load(folder)
    assert project.plane is not None and not project.stops
    site = project.site
    return World(project, derive(project.plane), prior_knowledge(project.plane, site.surface if site else ""))


def made(
    place: Path, which: str, truth: Mapping[str, Mapping[str, Any]] | None = None, shift: int = 0
) -> World:
    return world(write_world(place / "w", which, truth, shift, later=which == "gannet"))


@dataclass(frozen=True)
class Hidden:
    """The truth of a world, and where its draws come from."""

    vehicle: Mapping[str, Any]
    bend: Mapping[str, Any]
    engines: Mapping[str, Mapping[str, Any]]


PLOVER = Hidden(
    truths.PLOVER_VEHICLE,
    truths.PLOVER_BEND,
    {"engine.left": truths.PLOVER_LEFT, "engine.right": truths.PLOVER_RIGHT},
)
GANNET = Hidden(
    truths.GANNET_VEHICLE,
    truths.GANNET_BEND,
    {"engine.left": truths.GANNET_LEFT_AGAIN, "engine.right": truths.GANNET_RIGHT_NEW},
)


def figures(one: World, known: Knowledge, hidden: Hidden) -> dict[str, tuple[Array, float]]:
    """Draws of what the trials are about, each with its truth."""
    draws, plane = Draws(known, DRAWS), one.geometry.plane
    assert one.geometry.wing is not None and plane.battery is not None
    wing, t = wing_alone(one.geometry.wing, 0.5), hidden.vehicle
    found = {
        "slope": (wing.slope_of(draws), math.degrees(t["slope"])),
        "zero lift": (wing.zero_lift_of(draws), math.radians(t["zero"])),
        "greatest lift": (wing.maximum_lift(draws, t["speeds"][-1] / 3.6, t["rho"]), t["top"]),
        "cm0": (wing.cm0_of(draws), t["cm"]),
    }
    trial = next(trial for trial in one.project.trials if trial.kind == "bend")
    specimen = bend_prediction(plane, trial.specimen, trial.rig["saddle"] / 2)
    broke = np.min(list(specimen.fails(draws).values()), axis=0) * math.exp(0.07)
    found["failing load"] = (broke, hidden.bend["fails"] / 1000)
    found["mm per kg"] = (specimen.slope_mm_per_kg(draws), hidden.bend["mm_per_kg"])
    power = power_model(plane, 1.225)
    for name, engine in hidden.engines.items():
        thrust, amps = power.static(draws, name, engine["at_V"])
        found[f"thrust {name}"] = (thrust, engine["newton"])
        found[f"amps {name}"] = (amps, engine["amps"])
    ohm = hidden.engines["engine.left"]["ohm"]
    found["pack"] = (plane.battery.resistance * draws.factor("pack.R", plane.battery.serial), ohm)
    return found


def deviations(found: Mapping[str, tuple[Array, float]]) -> dict[str, float]:
    """How many deviations (half bands / 1.96) each truth lies from the median."""
    out = {}
    for name, (draws, true) in found.items():
        low, middle, high = np.percentile(draws, [2.5, 50, 97.5])
        out[name] = float((true - middle) / ((high - middle) if true > middle else (middle - low)) * 1.96)
    return out


@pytest.fixture(scope="module")
def plover(tmp_path_factory: pytest.TempPathFactory) -> tuple[World, Knowledge]:
    one = made(tmp_path_factory.mktemp("plover"), "plover")
    return one, one.known()


@pytest.fixture(scope="module")
def gannet(tmp_path_factory: pytest.TempPathFactory) -> tuple[World, Knowledge]:
    one = made(tmp_path_factory.mktemp("gannet"), "gannet")
    return one, one.known()


def test_plover_holds_the_truth(plover: tuple[World, Knowledge]) -> None:
    one, known = plover
    off = deviations(figures(one, known, PLOVER))
    assert all(abs(value) < 2.2 for value in off.values()), off


def test_gannet_holds_the_truth(gannet: tuple[World, Knowledge]) -> None:
    one, known = gannet
    off = deviations(figures(one, known, GANNET))
    assert all(abs(value) < 2.2 for value in off.values()), off


def test_bands_narrow_and_kinds_follow(plover: tuple[World, Knowledge]) -> None:
    """Greatest lift to about +-0.08 (its band leaves 4 % of roof flow in), thrust to 3 %."""
    one, known = plover
    after, before = figures(one, known, PLOVER), figures(one, one.prior, PLOVER)
    for name, limit in (
        ("greatest lift", 0.4),
        ("zero lift", 0.5),
        ("thrust engine.left", 0.4),
        ("failing load", 0.8),
    ):
        assert np.ptp(np.percentile(after[name][0], [2.5, 97.5])) < limit * np.ptp(
            np.percentile(before[name][0], [2.5, 97.5])
        )
    kinds = {
        name: known.quantities[name].kind
        for name in ("sec.clmax", "sec.alpha0", "cg.unmodelled", "work.strength")
    }
    assert kinds == {
        "sec.clmax": "measured",
        "sec.alpha0": "measured",
        "cg.unmodelled": "measured",
        "work.strength": "assumed",
    }


def test_real_wing_of_the_examples(plover: tuple[World, Knowledge], gannet: tuple[World, Knowledge]) -> None:
    """From the small wing to the real one: 58 N m (36 to 72) and 96 N m (76 to 135) by the story of the examples."""
    for (one, known), middle, low, high in ((plover, 58, 36, 72), (gannet, 96, 76, 135)):
        trial = next(trial for trial in one.project.trials if trial.kind == "bend")
        full = bend_prediction(one.geometry.plane, trial.specimen, trial.rig["saddle"] / 2)
        moments = np.min(list(full.fails_full(Draws(known, DRAWS)).values()), axis=0) * full.full.moment
        assert np.median(moments) == pytest.approx(middle, rel=0.15)
        assert low - 10 < np.percentile(moments, 2.5) and np.percentile(moments, 97.5) < high + 10


def test_every_changed_number_names_its_trial(
    plover: tuple[World, Knowledge], gannet: tuple[World, Knowledge]
) -> None:
    for one, known in (plover, gannet):
        for change in compare(one.prior, known):
            assert change.moved_by, change.id
        assert not known.conflicts


def test_mass_and_balance_agree_with_the_scales(plover: tuple[World, Knowledge]) -> None:
    one, known = plover
    state = mass_model(one.geometry, one.project.ledger).evaluate(Draws(known, DRAWS), 0.150)
    assert np.median(state.mass) == pytest.approx(4.067, abs=0.006)
    assert np.median(state.cg[0]) == pytest.approx(0.5711, abs=0.002)


def test_grit_withdraws_r1_alone(gannet: tuple[World, Knowledge]) -> None:
    _, known = gannet
    assert [one.serial for one in known.trials if one.withdrawn] == ["R1"]
    by_kind = {one.id: one for one in known.trials}
    assert by_kind["2026-05-10-hinge"].held == pytest.approx(1.471, abs=0.001)
    assert by_kind["2026-05-23-hinge"].held == pytest.approx(4.413, abs=0.001)


def test_planted_faults_are_found_without_any_remark(tmp_path: Path) -> None:
    for which, wanted in (
        ("plover", {"vehicle": ("row 36:", "row 33:", "rows 12 and 35"), "bend": ("row 9:",),
                    "thrust-left": ("calibration row 4", "1500"), "thrust-right": ("calibration row 9", "500")}),
        ("gannet", {"vehicle": ("row 38:", "row 22:", "rows 7, 8 and 41"), "bend": ("row 8:",),
                    "05-03-thrust-right": ("calibration row 8", "1000", "R1 is damaged")}),
    ):  # fmt: skip
        folder = write_world(tmp_path / which, which, later=which == "gannet")
        drop_remarks(folder)
        one = world(folder)
        known = one.known()
        for part, sentences in wanted.items():
            said = " ".join(words for trial in known.trials if part in trial.id for words in trial.findings)
            assert all(text in said for text in sentences), (part, said)
        hidden = PLOVER if which == "plover" else GANNET
        off = deviations(figures(one, known, hidden))
        assert all(abs(value) < 2.4 for value in off.values()), off


def test_taking_a_trial_out_returns_the_earlier_bytes(
    plover: tuple[World, Knowledge], tmp_path: Path
) -> None:
    one, known = plover
    folder = write_world(tmp_path / "never")
    shutil.rmtree(folder / "trials" / "2026-05-02-thrust-right")
    never, taken = world(folder).known(), one.known(without=("2026-05-02-thrust-right",))
    assert write_knowledge(never) == write_knowledge(taken) != write_knowledge(known)
    shuffled = calibrate(
        one.prior, one.geometry, one.project.ledger, one.project.trials[::-1], one.project.site
    )
    assert write_knowledge(shuffled) == write_knowledge(known)


def test_setting_a_trial_aside_is_leaving_it_out_but_for_the_evidence(
    plover: tuple[World, Knowledge],
) -> None:
    one, _ = plover
    name = "2026-04-18-bend"
    aside = [replace(t, in_force="the saddle slipped") if t.id == name else t for t in one.project.trials]
    found = calibrate(one.prior, one.geometry, one.project.ledger, aside, one.project.site)
    without = one.known(without=(name,))
    assert found.quantities == without.quantities and found.trials == without.trials
    assert found.evidence != without.evidence


def test_knowledge_is_what_its_file_reads_back(plover: tuple[World, Knowledge], tmp_path: Path) -> None:
    one, known = plover
    path = tmp_path / "knowledge.toml"
    path.write_text(write_knowledge(known), encoding="utf-8")
    back, faults = read_knowledge(path, one.prior)
    assert back == known and not faults


OTHER: dict[str, Mapping[str, Any]] = {
    "2026-04-11-vehicle": {"slope": 0.072, "zero": -2.2, "top": 0.95, "flow": 0.99, "upwash": 1.5},
    "2026-04-18-bend": {"fails": 4300, "mm_per_kg": 9.5},
    "2026-05-02-thrust-left": {"newton": 11.0, "amps": 8.8, "ohm": 0.035},
    "2026-05-02-thrust-right": {"newton": 11.3, "amps": 8.9, "ohm": 0.035},
    "2026-05-02-thrust-right-low": {"newton": 11.3, "amps": 8.9, "ohm": 0.035},
}


def other_hidden() -> Hidden:
    return Hidden(
        {**truths.PLOVER_VEHICLE, **OTHER["2026-04-11-vehicle"]},
        {**truths.PLOVER_BEND, **OTHER["2026-04-18-bend"]},
        {
            "engine.left": {**truths.PLOVER_LEFT, **OTHER["2026-05-02-thrust-left"]},
            "engine.right": {**truths.PLOVER_RIGHT, **OTHER["2026-05-02-thrust-right"]},
        },
    )


def test_the_answer_follows_another_truth(tmp_path: Path) -> None:
    one = made(tmp_path, "plover", OTHER)
    off = deviations(figures(one, one.known(), other_hidden()))
    assert all(abs(value) < 2.3 for value in off.values()), off


def test_a_wrong_lever_is_a_conflict(tmp_path: Path) -> None:
    """One bench run whose thrust reads a third high against its twin and the propeller's table."""
    one = made(tmp_path, "plover", {"2026-05-02-thrust-left": {"newton": 16.5}})
    known = one.known()
    assert any("2026-05-02-thrust-left and the rest disagree" in text for text in known.conflicts)
    assert {t.id: t.p_conflict for t in known.trials}["2026-05-02-thrust-left"] < 0.01
    hit = known.quantities["eng.serial[left-1]"]
    assert "2026-05-02-thrust-left" in hit.conflict


@pytest.mark.slow
@pytest.mark.parametrize("which", ["plover", "gannet"])
def test_coverage_over_other_days(tmp_path: Path, which: str) -> None:
    """Thirty other days of each example: at least 90 % of all truths inside their 95 % bands."""
    hits, total = 0, 0
    for day in range(30):
        one = made(tmp_path / str(day), which, None, 1000 * (day + 1))
        off = deviations(figures(one, one.known(), PLOVER if which == "plover" else GANNET))
        hits += sum(abs(value) < 1.96 for value in off.values())
        total += len(off)
    assert hits / total > 0.90
