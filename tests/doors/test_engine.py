"""The sheet of the engines through the command line: both examples, two stories of builders, wrong input."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fixtures.worlds import write_world
from planewright.cli.main import run


@pytest.fixture
def sheet(capsys: pytest.CaptureFixture[str]) -> Callable[[Path], Any]:
    """The sheet as JSON."""

    def call(folder: Path) -> Any:
        capsys.readouterr()
        assert run(["engine", str(folder), "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return call


def changed(folder: Path, *pairs: tuple[str, str]) -> None:
    path = folder / "aeroplane.toml"
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8")


def said(rows: list[str], *words: str) -> bool:
    return any(all(word in row for word in words) for row in rows)


def test_sheet_of_plover(plover: Path, command: Callable, sheet: Callable) -> None:
    """Static 24.4 / 20.1 N, 13.4 N at the planned speed, 19 A full, 6.8 A level, about 24 min in the pattern; the bench
    within 1.2 % of its truth; pictures written."""
    command("calibrate", plover)
    assert "lever against thrust at equal voltage" in (plover / "knowledge.toml").read_text(encoding="utf-8")
    found = sheet(plover)
    match = {row["id"]: row for row in found["match"]}
    assert match["static_full"]["thrust"]["value"] == pytest.approx(24.4, rel=0.08)
    assert match["static_tired"]["thrust"]["value"] == pytest.approx(20.1, rel=0.08)
    assert match["planned"]["thrust"]["value"] == pytest.approx(13.4, rel=0.10)
    assert match["static_full"]["amps"]["value"] == pytest.approx(19.0, rel=0.20)
    assert match["level"]["amps"]["value"] == pytest.approx(6.8, rel=0.20)
    assert found["flight"]["pattern"]["value"] / 60 == pytest.approx(24.0, rel=0.20)
    assert found["flight"]["first"] == pytest.approx(180.0)
    assert found["units"][0]["tone"] == pytest.approx(227.0, rel=0.05)
    left = found["bench"]["runs"][0]
    assert left["thrust"] == pytest.approx(12.05 * (left["volts"] / 15.9) ** 1.45, rel=0.012)
    assert left["resistance"] == pytest.approx(0.048, rel=0.04)
    assert left["levers"][1]["share"] == pytest.approx(0.5**1.6, rel=0.03)
    assert said(found["bench"]["pairs"], "engine.right", "inside the 5 %") and said(
        found["says"], "% of the lever"
    )
    for name in found["pictures"]:
        assert (plover / name).read_text(encoding="utf-8").startswith("<svg")


def test_sheet_of_gannet(gannet: Path, command: Callable, sheet: Callable) -> None:
    """Before any run of R2: its thrust by the seller's current; the hurt R1 dated; claims shown as claims; cautions."""
    command("calibrate", gannet)
    found = sheet(gannet)
    hurt = next(row for row in found["bench"]["runs"] if row["serial"] == "R1")
    assert hurt["state"] == "withdrawn" and 92 <= hurt["damage_second"] <= 96
    assert hurt["damage_step"] == pytest.approx(-0.093, abs=0.01)
    left = next(row for row in found["bench"]["runs"] if row["serial"] == "L1")
    assert left["thrust"] == pytest.approx(16.4 * (left["volts"] / 23.4) ** 1.9, rel=0.008)
    assert "claimed by the seller, not measured" in found["units"][0]["claim"]
    assert said(found["units"][0]["says"], "0.79 of the ideal")
    assert found["units"][0]["tone"] == pytest.approx(7600, rel=0.05)
    assert said(found["stopped"][0]["says"], "80 % power until 12 m/s")
    assert said(found["supply"]["says"], "Stir test")
    assert said(found["cautions"], "within 7 m") and said(
        found["noise"], "3 dB", "6 dB", "No level is predicted"
    )
    assert found["flight"]["cautious"] / 60 > 9.0 and found["flight"]["first"] == pytest.approx(150.0)
    assert any("nozzle" in row["words"] for row in found["trade"])
    start, smaller, larger = (
        next(row for row in found["trade"] if words in row["words"])
        for words in ("as it is", "72 mm duct", "88 mm duct")
    )
    # Momentum theory: at one power the push at rest goes with the duct's area to the third, its diameter to two thirds.
    assert smaller["thrust"] / start["thrust"] == pytest.approx(0.9 ** (2 / 3), abs=0.004)
    assert larger["thrust"] / start["thrust"] == pytest.approx(1.1 ** (2 / 3), abs=0.004)
    assert larger["amps"] == pytest.approx(start["amps"], abs=0.5)
    assert smaller["mass"] < start["mass"] < larger["mass"] and larger["cg_x"] < start["cg_x"]


def test_gannet_with_its_later_runs(tmp_path: Path, command: Callable, sheet: Callable) -> None:
    """24 May: 32.2 / 26.7 N, 24.4 N at the planned speed; L1 16.4 then 16.3, R2 14.4 N at 23.4 V; R2 12 % weaker, about
    3 deg of rudder; the used pack as predicted from the full one."""
    folder = write_world(tmp_path / "later", "gannet", later=True)
    command("calibrate", folder)
    found = sheet(folder)
    match = {row["id"]: row["thrust"]["value"] for row in found["match"]}
    assert match["static_full"] == pytest.approx(32.2, rel=0.03)
    assert match["static_tired"] == pytest.approx(26.7, rel=0.03)
    assert match["planned"] == pytest.approx(24.4, rel=0.06)
    runs = {row["trial"]: row for row in found["bench"]["runs"]}
    for trial, newton in (
        ("2026-05-03-thrust-left", 16.4),
        ("2026-05-17-thrust-left", 16.3),
        ("2026-05-17-thrust-right", 14.4),
    ):
        row = runs[trial]
        assert row["thrust"] * (23.4 / row["volts"]) ** row["exponent"] == pytest.approx(newton, rel=0.008)
    assert said(found["pair"]["says"], "engine.left", "12.", "more than the 5 %") and said(
        found["pair"]["says"], "deg of rudder"
    )
    assert said(found["bench"]["pairs"], "on a used pack") and said(found["bench"]["pairs"], "beyond the 5 %")


def test_terminal_and_imperial(plover: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same in words, in both systems."""
    assert run(["engine", str(plover)]) == 0
    metric = capsys.readouterr().out
    assert run(["engine", str(plover), "--units", "imperial"]) == 0
    imperial = capsys.readouterr().out
    for words in (
        "engine.left",
        "Minutes",
        "On the bench",
        "Left against right",
        "What a change would bring",
        "Cautions",
    ):
        assert words in metric and words in imperial
    assert "lb" in imperial and "trials not taken in" in metric


STRONGER = """
[engine.right]
motor = { mass = "86 g", speed = "462 rpm/V", resistance = "80 mohm", idle = "0.7 A" }
serial = "spare-1"
[battery]"""


def test_one_motor_is_bent_the_spare_is_another_make(
    plover: Path, command: Callable, sheet: Callable
) -> None:
    """8 % stronger, 60 g lighter: run both again, yawing moment against the rudder at 1.2 of the stall speed, throttle
    trim, balance to the side, what blocks and what watches, a new letter."""
    for trial in plover.glob("trials/*thrust-right*/trial.toml"):
        trial.write_text('serial = "right-1"\n' + trial.read_text(encoding="utf-8"), encoding="utf-8")
    changed(plover, ("\n[battery]", STRONGER), ('configuration = "B"', 'configuration = "C"'))
    with (plover / "weighings.csv").open("a", encoding="utf-8") as file:
        file.write("engine.right,159 g,2026-05-25,bench 2,spare of another make\n")
    command("calibrate", plover)
    found = sheet(plover)
    pair = found["pair"]
    assert pair["share"] == pytest.approx(0.08, abs=0.04) and pair["stronger"] == "engine.right"
    assert 0.90 < pair["trim_full"] < 0.99 and 0.45 < pair["trim_half"] < 0.5
    assert pair["moment"] != 0 and abs(pair["rudder"]["value"]) < pair["travel"]
    assert pair["mass_difference"] == pytest.approx(-0.057, abs=0.004)
    assert pair["balance_aside"] < -0.001
    says = pair["says"]
    assert said(says, "at 1.2 of the stall speed", "rudder") or said(says, "1.2 of the stall speed")
    assert said(says, "new serial", "new configuration letter", "bench run of both")
    assert said(says, "lighter than engine.left", "left of the middle")
    assert said(says, "Blocks", "spare-1") and said(says, "Trim engine.right")
    study = command("check", plover, "--json").document
    assert study["verdict"]["id"] == "needs_evidence" and study["verdict"]["configuration"] == "C"


LOAD = """kind = "battery"
date = 2026-05-12
of = "battery"
done_by = { reads = "one adult" }
[readings]
file = "readings.csv"
"""


def test_how_long_can_we_fly_first_time(plover: Path, command: Callable, sheet: Callable) -> None:
    """Bench log: 9.2 Ah pack, 50 A on average: 7:44 to 30 % left, first timer 3:29 (45 % of that); colder is less."""
    changed(plover, ('charge = "5000 mAh"', 'charge = "9200 mAh"'))
    folder = plover / "trials" / "2026-05-12-load"
    folder.mkdir()
    (folder / "trial.toml").write_text(LOAD, encoding="utf-8")
    amps = [60.0 if (second // 10) % 2 else 40.0 for second in range(121)]
    rows = [f"{second},{15.9 - 0.048 * one - 0.002 * second:.2f},{one}" for second, one in enumerate(amps)]
    (folder / "readings.csv").write_text("second,volts,amps\n" + "\n".join(rows) + "\n", encoding="utf-8")
    found = sheet(plover)
    assert not found["bench"]["refused"]
    load = found["bench"]["packs"][0]
    assert load["amps"] == pytest.approx(50.0, rel=0.01)
    assert load["time"] == pytest.approx(7 * 60 + 44, abs=5)
    assert load["first"] == pytest.approx(3 * 60 + 29, abs=3)
    assert load["cold"] == pytest.approx(0.9 * load["first"])
    assert load["resistance"] == pytest.approx(0.048, rel=0.03)
    assert found["flight"]["first"] <= load["first"]
    assert "first timer 3:2" in command("engine", plover).out.replace("\n", " ")


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ((("cells = 4\n", ""),), ("cells",)),
        ((("440 rpm/V", "4 rpm/V"),), ("motor.speed", "30 to 20000")),
        ((("440 rpm/V", "12000 rpm/V"),), ("motor.speed", "speed of sound")),
        ((("12 x 6 in", "12 x 60 in"),), ("propeller.size", "pitch")),
        ((("12 x 6 in", "32 x 6 in"),), ("propeller of engine.left", "ground below every propeller")),
        ((('x = "290 mm"\ny = "370 mm"', 'x = "290 mm"\ny = "150 mm"'),), ("propeller.size", "room")),
    ],
    ids=["no cells", "slow motor", "supersonic", "pitch", "ground", "side"],
)
def test_impossible_engines(
    plover: Path, command: Callable, pairs: tuple[tuple[str, str], ...], words: tuple[str, ...]
) -> None:
    """Advice, exit 2, nothing changed."""
    changed(plover, *pairs)
    before = {path: path.read_bytes() for path in plover.rglob("*") if path.is_file()}
    answer = command("check", plover)
    assert answer.code == 2 and all(word in answer.err for word in words), answer.err
    assert {path: path.read_bytes() for path in plover.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize("throttle", ["150", "-5"])
def test_throttle_outside_its_range(plover: Path, command: Callable, throttle: str) -> None:
    """A lever lies from 0 to 100 %."""
    path = plover / "trials" / "2026-05-02-thrust-left" / "readings.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    parts = lines[7].split(",")
    lines[7] = ",".join([parts[0], throttle, *parts[2:]])
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    answer = command("calibrate", plover)
    assert answer.code == 2 and "line 8" in answer.err and "0 to 100 per cent" in answer.err
    assert not (plover / "knowledge.toml").exists()


HEAD = "advance_ratio,thrust_coefficient,power_coefficient\n"


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (HEAD + "0,.1,.04\n.3,,.036\n.6,.02,.02\n", "line 3"),
        (HEAD + "0,.1,.04\n.3,.07 N,.036\n.6,.02,.02\n", "line 3"),
        (HEAD + "0,.1,.04\n.3,7.0,.036\n.6,.02,.02\n", "thrust_coefficient"),
        (HEAD + "0,.1,.04\n.1,.09,.04\n.8,.0,.01\n", "between advance ratio 0.1 and 0.8"),
        ("speed_mps,thrust_N,power_W\n0,12,140\n5,11,140\n", "thrust_coefficient"),
    ],
    ids=["hole", "unit in a cell", "mixed", "gap", "newtons and watts"],
)
def test_tables_that_cannot_be(plover: Path, command: Callable, table: str, words: str) -> None:
    """A propeller's table with holes, gaps or other units."""
    changed(plover, ('turns = "outward at the top" }', 'turns = "outward at the top" }\ntable = "prop.csv"'))
    (plover / "prop.csv").write_text(table, encoding="utf-8")
    answer = command("check", plover)
    assert answer.code == 2 and words in answer.err and "prop.csv" in answer.err


def test_own_table_is_preferred(plover: Path, sheet: Callable) -> None:
    """The builder's own three columns."""
    changed(plover, ('turns = "outward at the top" }', 'turns = "outward at the top" }\ntable = "prop.csv"'))
    (plover / "prop.csv").write_text(HEAD + "0,.1,.04\n.3,.07,.036\n.6,.02,.02\n", encoding="utf-8")
    assert sheet(plover)["units"][0]["basis"] == "the builder's own table"


def test_an_aeroplane_without_engines(plover: Path, sheet: Callable) -> None:
    """No engine: a sheet that says why, exit 0."""
    path = plover / "aeroplane.toml"
    text = path.read_text(encoding="utf-8")
    start, end = text.index("[engine]"), text.index("[battery]")
    path.write_text(text[:start] + text[end:], encoding="utf-8")
    weighings = plover / "weighings.csv"
    rows = weighings.read_text(encoding="utf-8").splitlines()
    weighings.write_text(
        "\n".join(row for row in rows if not row.startswith("engine")) + "\n", encoding="utf-8"
    )
    for trial in plover.glob("trials/*thrust*"):
        shutil.rmtree(trial)
    found = sheet(plover)
    assert found["why"] and found["units"] == []
