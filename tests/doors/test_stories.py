"""Both examples as their scenarios tell them, through the command line."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fixtures.worlds import rename, scale_wing_chord, write_world

LATER = Path(__file__).parents[1] / "fixtures" / "gannet_later"


def verdict(document: Any) -> str:
    return str(document["verdict"]["id"])


def open_blocks(document: Any) -> set[str]:
    return {one["id"] for one in document["findings"] if one["kind"] == "block" and one["state"] != "clear"}


def test_plovers_verdict_moves_with_its_trials(plover: Path, command: Callable) -> None:
    before = command("check", plover, "--json").document
    assert verdict(before) == "needs_evidence"
    after = command("calibrate", plover, "--json").document
    assert verdict(after) == "pilot_decides", open_blocks(after)
    assert "permits nothing" in after["verdict"]["sentence"]
    watched = {one["id"] for one in after["findings"] if one["kind"] == "watch" and one["state"] != "clear"}
    assert {"servo_margin_placard", "overturn", "battery_stop"} <= watched
    strength = after["figures"]["load_factor_at_failure"]
    assert strength["low"] > 4.5


def test_every_changed_number_names_its_trial(plover: Path, command: Callable) -> None:
    answer = command("calibrate", plover)
    assert answer.code == 0
    for trial in ("2026-04-11-vehicle", "2026-04-18-bend", "2026-05-02-thrust-left", "2026-05-20-balance"):
        assert trial in answer.out
    knowledge = (plover / "knowledge.toml").read_text(encoding="utf-8")
    assert "moved_by" in knowledge and "2026-04-18-bend" in knowledge


def test_calibrating_in_a_folder_that_never_held_a_trial_gives_the_same_bytes(
    plover: Path, copy: Callable, command: Callable
) -> None:
    never = copy(plover, "never")
    shutil.rmtree(never / "trials/2026-04-11-vehicle")
    assert command("calibrate", never).code == 0
    assert command("calibrate", plover).code == 0
    shutil.rmtree(plover / "trials/2026-04-11-vehicle")
    assert command("calibrate", plover).code == 0
    assert (plover / "knowledge.toml").read_bytes() == (never / "knowledge.toml").read_bytes()


def without_remarks(folder: Path) -> None:
    for path in folder.glob("trials/*/trial.toml"):
        text = path.read_text(encoding="utf-8")
        path.write_text(re.split(r"^\[\[remark\]\]", text, flags=re.MULTILINE)[0], encoding="utf-8")


def test_planted_faults_are_found_without_the_remarks(plover: Path, command: Callable) -> None:
    without_remarks(plover)
    document = command("calibrate", plover, "--json").document
    said = {row["id"]: " ".join(row["says"]) for row in document["trials"]}
    assert re.search(r"row 36\b", said["2026-04-11-vehicle"])
    assert re.search(r"row 33\b", said["2026-04-11-vehicle"])
    assert re.search(r"row 9\b", said["2026-04-18-bend"])
    assert "calibration" in said["2026-05-02-thrust-left"]
    assert verdict(document) == "pilot_decides"


def test_renamed_project_and_chord_changed_by_three_per_cent(plover: Path, command: Callable) -> None:
    area = command("figures", plover, "--json").document["figures"]["wing_area"]["value"]
    rename(plover, "Sandpiper")
    scale_wing_chord(plover, 1.03)
    document = command("calibrate", plover, "--json").document
    assert document["project"] == "Sandpiper"
    assert document["figures"]["wing_area"]["value"] / area == pytest.approx(1.03, abs=0.001)
    assert verdict(document) == "pilot_decides", open_blocks(document)


def test_gannet_lacks_evidence_for_its_three_named_reasons(gannet: Path, command: Callable) -> None:
    document = command("calibrate", gannet, "--json").document
    assert verdict(document) == "needs_evidence"
    assert open_blocks(document) == {
        "evidence.wing.joint.tip",
        "evidence.thrust.engine.right",
        "evidence.balance",
    }


def test_gannets_damaged_fan_is_found_and_dated(gannet: Path, command: Callable) -> None:
    document = command("calibrate", gannet, "--json").document
    said = {row["id"]: " ".join(row["says"]) for row in document["trials"]}
    right = next(text for name, text in said.items() if name.endswith("thrust-right"))
    second = int(re.search(r"second (\d+)", right).group(1))  # type: ignore[union-attr]
    assert 90 <= second <= 97


def test_planned_trials_are_shown_as_planned(plover: Path, command: Callable) -> None:
    document = command("check", plover, "--json").document
    assert any(row["state"] == "planned" for row in document["trials"])


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_figures_print_in_both_systems(gannet: Path, command: Callable, units: str) -> None:
    answer = command("figures", gannet, "--units", units)
    assert answer.code == 0
    assert "Slowest flying speed" in answer.out


def test_the_answer_follows_the_truth_of_other_trials(
    plover: Path, tmp_path: Path, command: Callable
) -> None:
    """Trials generated from another truth: a weaker wing, a better section and weaker engines are what comes out."""
    told = command("calibrate", plover, "--json").document["figures"]
    other = tmp_path / "other"
    write_world(
        other,
        "plover",
        truth={
            "2026-04-11-vehicle": {"top": 1.20, "knee": 1.0},
            "2026-04-18-bend": {
                "fails": 2250,
                "loads": [0, 400, 800, 1200, 400, 0, 1200, 1600, 1800, 2000, 2200, 2400],
            },
            "2026-05-02-thrust-left": {"newton": 10.2},
            "2026-05-02-thrust-right": {"newton": 10.0},
            "2026-05-02-thrust-right-low": {"newton": 10.0},
        },
    )
    found = command("calibrate", other, "--json").document["figures"]
    assert found["maximum_lift_coefficient"]["value"] > told["maximum_lift_coefficient"]["value"] + 0.08
    assert found["load_factor_at_failure"]["value"] < 0.93 * told["load_factor_at_failure"]["value"]
    assert found["thrust_static"]["value"] / told["thrust_static"]["value"] == pytest.approx(0.85, abs=0.03)
