"""Trials through the command line: what to test next, planning, records that close what was open."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader


def write_trial(folder: Path, name: str, sheet: str, readings: str) -> Path:
    """A trial folder with its file and readings."""
    place = folder / "trials" / name
    place.mkdir(parents=True, exist_ok=True)
    (place / "trial.toml").write_text(sheet, encoding="utf-8")
    (place / "readings.csv").write_text(readings, encoding="utf-8")
    return place


def test_next_says_shares_chances_and_what_breaks(gannet: Path, command: Callable) -> None:
    found = command("next", gannet, "--json").document["following"]
    closing = {row for one in found for row in one["closes"]}
    assert {"evidence.wing.joint.tip", "evidence.thrust.engine.right", "evidence.balance"} <= closing
    for one in found:
        for row in one["rows"]:
            assert 0 < row["share"] <= 1 and row["per_hour"] == pytest.approx(
                row["share"] * 60 / one["minutes"]
            )
    flying = [one for one in found if one["article"] == "flying"]
    assert all("limit load, and no more" in one["most"] for one in flying)
    said = command("next", gannet).out
    assert "closes: Balance weighed" in said and "an hour" in said and "should read" in said


def test_a_planned_trial_has_its_prediction_a_card_and_is_judged_when_it_was_run(
    plover: Path, command: Callable
) -> None:
    answer = command("plan", plover, "weighing", "--of", "board", "--date", "2026-06-02")
    assert answer.code == 0
    text = "".join(
        page.extract_text() for page in PdfReader(plover / "out/card-2026-06-02-weighing.pdf").pages
    )
    assert "Weigh the stock" in text and "piece 1" in text and "own guess" in text.lower()
    assert command("plan", plover, "balance", "--date", "2026-06-02").code == 0
    sheet = plover / "trials/2026-06-02-balance/trial.toml"
    assert 'mass = "4.0' in sheet.read_text(encoding="utf-8")
    rows = "repeat,nose_g,right_g,left_g,pitch_deg\n1,499,1803,1765,0\n2,501,1801,1764,0\n3,498,1804,1767,0\n"
    (sheet.parent / "readings.csv").write_text(rows, encoding="utf-8")
    sheet.write_text(
        sheet.read_text(encoding="utf-8") + '[rig]\nbattery = "150 mm"\n[readings]\nfile = "readings.csv"\n',
        encoding="utf-8",
    )
    said = {
        row["id"]: " ".join(row["says"]) for row in command("calibrate", plover, "--json").document["trials"]
    }
    assert (
        'said before of mass: "4.0' in said["2026-06-02-balance"]
        and "as was said" in said["2026-06-02-balance"]
    )
    again = command("plan", plover, "balance", "--date", "2026-06-02")
    assert "2026-06-02-balance-2" in again.out


def test_planning_refuses_what_is_not_there(plover: Path, command: Callable) -> None:
    assert command("plan", plover, "luck").code == 2
    assert command("plan", plover, "bend", "--date", "soon").code == 2


@pytest.mark.slow
def test_controls_and_range_as_trials_stand_for_the_check_until_the_letter_changes(
    plover: Path, command: Callable
) -> None:
    (plover / "checks.csv").unlink()
    before = {one["id"]: one["state"] for one in command("calibrate", plover, "--json").document["findings"]}
    assert before["check.controls"] == "missing" and before["check.range"] == "missing"
    ways = [("aileron", "up", 18), ("aileron", "down", 12), ("elevator", "up", 15), ("elevator", "down", 12),
            ("rudder", "left", 25), ("rudder", "right", 25)]  # fmt: skip
    head = 'date = 2026-05-28\nof = "aeroplane"\nconfiguration = "B"\ndone_by = { sticks = "one", sees = "another" }\n'
    tail = '[readings]\nfile = "readings.csv"\n'
    rows = "".join(f"{name},{way},{angle},\n" for name, way, angle in ways)
    write_trial(
        plover,
        "2026-05-28-controls",
        f'kind = "controls"\n{head}{tail}',
        f"control,way,angle_deg,note\n{rows}",
    )
    reach = "distance_m,motors,heading,answers\n30,off,nose,yes\n30,half,nose,yes\n"
    write_trial(
        plover, "2026-05-28-range", f'kind = "range"\n{head}[said_before]\nreaches = "30 m"\n{tail}', reach
    )
    after = {one["id"]: one["state"] for one in command("calibrate", plover, "--json").document["findings"]}
    assert after["check.controls"] == "clear" and after["check.range"] == "clear"
    sheet = plover / "aeroplane.toml"
    sheet.write_text(
        sheet.read_text(encoding="utf-8").replace('configuration = "B"', 'configuration = "C"'),
        encoding="utf-8",
    )
    later = {one["id"]: one["state"] for one in command("check", plover, "--json").document["findings"]}
    assert later["check.controls"] == "missing" and later["check.range"] == "missing"


@pytest.mark.slow
def test_pulls_over_the_grass_move_the_run(plover: Path, command: Callable) -> None:
    """Six pulls of a tenth of the weight: the friction coefficient comes out at .10 within its band, the run grows."""
    before = command("calibrate", plover, "--json").document["figures"]["takeoff_run"]
    rows = "run,heading,pull_N,note\n" + "".join(
        f"{i},{'out' if i % 2 else 'back'},{4.0 + 0.05 * (i % 3)},\n" for i in range(1, 7)
    )
    write_trial(
        plover, "2026-05-30-pull", 'kind = "pull"\ndate = 2026-05-30\nof = "gear"\nconfiguration = "B"\n'
        '[said_before]\npull = "1.5 N to 7.0 N"\n[readings]\nfile = "readings.csv"\n', rows,
    )  # fmt: skip
    document = command("calibrate", plover, "--json").document
    after = document["figures"]["takeoff_run"]
    assert after["high"] - after["low"] < before["high"] - before["low"]
    row = next(row for row in document["trials"] if row["id"] == "2026-05-30-pull")
    assert row["state"] == "taken in" and any("as was said" in words for words in row["says"])
    knowledge = (plover / "knowledge.toml").read_text(encoding="utf-8")
    part = knowledge.partition('[quantity."wheel.mu"]')[2]
    middle = float(part.partition("median = ")[2].split()[0])
    assert middle == pytest.approx(4.05 / (4.067 * 9.80665), rel=0.12) and not math.isnan(middle)
