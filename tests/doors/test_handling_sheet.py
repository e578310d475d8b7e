"""Air and handling through the command line: the sheet, its pictures, and three stories of builders."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planewright.cli.main import run
from planewright.documents.opening import opened, study_of
from planewright.project import new_project

PICTURES = {
    "span_loading", "drag_polar", "trim_curve", "balance_window", "roots_quick", "roots_slow", "lift_curve",
    "stall_from_above",
}  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Gannet, made once and only read."""
    place = tmp_path_factory.mktemp("handling") / "gannet"
    new_project(place, "gannet")
    return place


@pytest.fixture(scope="module")
def sheet(folder: Path) -> Any:
    """Its sheet as JSON, by the command line."""
    return read(folder)


def read(folder: Path) -> Any:
    from contextlib import redirect_stdout
    from io import StringIO

    said = StringIO()
    with redirect_stdout(said):
        assert run(["handling", str(folder), "--json"]) == 0
    return json.loads(said.getvalue())


def added(folder: Path, equipment: str) -> None:
    """One more line of equipment."""
    path = folder / "aeroplane.toml"
    text = path.read_text(encoding="utf-8")
    assert "[equipment]\n" in text
    path.write_text(text.replace("[equipment]\n", f"[equipment]\n{equipment}\n"), encoding="utf-8")


def limit(sheet: Any, name: str) -> Any:
    return next(one["x"] for one in sheet["limits"] if one["id"] == name)


def test_the_sheet_is_whole(sheet: Any, folder: Path) -> None:
    assert sheet["schema"] == "planewright/handling/1" and sheet["project"] == "Gannet"
    assert {one["id"] for one in sheet["charts"]} == PICTURES
    assert all((folder / name).is_file() for name in sheet["pictures"])
    assert {one["power"] for one in sheet["trim"]} == {"gliding", "level", "full power"}
    assert {one["row"] for one in sheet["derivatives"]} == set("XYZLMN")
    assert len({one["motion"] for one in sheet["motions"]}) == 5
    for one in (*sheet["limits"], *sheet["hinges"]):
        found = one.get("x") or one["moment"]
        assert found["low"] <= found["value"] <= found["high"]
    assert sheet["folded"]["span"] == pytest.approx(1.86)


def test_the_sheet_and_the_figures_say_the_same(sheet: Any, folder: Path, command: Callable) -> None:
    figures = command("figures", folder, "--json").document["figures"]
    for row in sheet["limits"]:
        if row["id"] in figures:
            assert row["x"]["value"] == pytest.approx(figures[row["id"]]["value"], rel=1e-9)
            assert row["x"]["low"] == pytest.approx(figures[row["id"]]["low"], rel=1e-6)
    weakest = min(one["margin"]["value"] for one in sheet["hinges"])
    assert weakest == pytest.approx(figures["servo_margin_range"]["value"], rel=0.02)
    curve = next(one for one in sheet["charts"] if one["id"] == "balance_window")
    assert curve["stick"]["middle"] == pytest.approx(1e3 * figures["cg_x"]["value"])
    fences = {one["words"]: one["x"] for one in curve["marks"]}
    assert fences["forward limit"] == pytest.approx(1e3 * figures["cg_fore_limit_x"]["value"])
    assert fences["aft limit"] == pytest.approx(1e3 * figures["cg_aft_limit_x"]["value"])


def test_gannet_as_its_table_tells(sheet: Any) -> None:
    """Full rudder holds 11.1 m/s at full power and 10.1 at 80 % (12 %); margins of servos at 24 m/s alone are wider
    than over the whole range; the stall begins on the outer wing near 47 % to 60 % of the half span."""
    stopped = {(one["engine"], one["power"]): one["speed"]["value"] for one in sheet["stopped"]}
    assert max(v for (_, power), v in stopped.items() if power == 1.0) == pytest.approx(11.1, rel=0.12)
    assert max(v for (_, power), v in stopped.items() if power == 0.8) == pytest.approx(10.1, rel=0.12)
    margins = {one["control"]: one["margin"]["value"] for one in sheet["hinges"]}
    for name, alone in {"inboard": 5.0, "outboard": 3.3, "elevator": 2.5, "rudder": 1.7}.items():
        assert 0.6 * alone < margins[name] < 1.25 * alone
    assert 0.3 < sheet["stall"]["part"] < 0.7
    assert sheet["stall"]["lift"] == pytest.approx(1.034, abs=0.08)


def test_it_prints(folder: Path, command: Callable) -> None:
    answer = command("handling", folder, "--units", "imperial")
    assert answer.code == 0
    for words in (
        "Stall",
        "Balance point",
        "Trim",
        "Left alone",
        "Hinge moments",
        "For the car",
        "permits nothing",
    ):
        assert words in answer.out


def test_without_a_wing_it_says_what_lacks(tmp_path: Path, command: Callable) -> None:
    place = tmp_path / "bare"
    place.mkdir()
    (place / "aeroplane.toml").write_text('name = "bare"\nconfiguration = "A"\n', encoding="utf-8")
    answer = command("handling", place, "--json")
    assert answer.code == 0
    assert "wing" in answer.document["why"] and "charts" in answer.document


# stories -----------------------------------------------------------------------------------------------------------

NARROW = """name = "narrow strip"
position = "48.000 deg N, 20.000 deg W"
clock = "UTC-1"
x_bearing = "90 deg"
unit = "m"
surface = "mown grass, dry"
outline = [[-5, -60], [95, -60], [95, 60], [-5, 60]]
runway = { from = [0, 0], to = [90, 0], width = 10 }
[trees]
west = { line = [[-20, -60], [-20, 60]], height = 12, leaves = "full" }
east = { line = [[110, -60], [110, 60]], height = 12, leaves = "full" }
[margins]
outline = 15
people = 50
helpers = 30
pilot = 15
over_trees = 5
run_share = 0.5
[stand]
pilot = [45, -18]
spectators = [45, -58]
[plan]
take_off = { from = [0, 0], towards = "x" }
"""


def test_will_our_big_one_fit_the_field(gannet: Path) -> None:
    """A strip of 90 m with trees of 12 m at both ends: three weights, the weight above which it is NO, the rule, the
    most helpful change, cones A and B; made heavier than that it no longer fits."""
    (gannet / "site.toml").write_text(NARROW, encoding="utf-8")
    fit = read(gannet)["fit"]
    masses = [one["mass"] for one in fit["rows"]]
    assert masses[0] / masses[1] == pytest.approx(0.85) and masses[2] / masses[1] == pytest.approx(1.15)
    assert fit["obstacle"] == "east" and fit["available"] == pytest.approx(110.0)
    assert fit["height"] == pytest.approx(17.0) and fit["strip"] == pytest.approx(90.0)
    for row in fit["rows"]:
        assert row["needed"] == pytest.approx(1.3 * (row["run"] + 17.0 / row["gradient"]), rel=1e-6)
        assert row["fits"] == (row["mass"] <= fit["limit"])
        assert row["spare"] == pytest.approx(110.0 - row["needed"])
    assert any(re.match(rf"NO above {fit['limit']:.1f} kg", words) for words in fit["says"])
    assert any("1.3 x (run" in words for words in fit["says"])
    assert any(words.startswith("Most helpful change") for words in fit["says"])
    assert fit["changes"][0]["needed"] == min(one["needed"] for one in fit["changes"])
    one = opened(gannet)
    plan = study_of(one).plan
    assert plan is not None and [letter for letter, _ in plan.cones] == ["A", "B"]
    lead = fit["limit"] - masses[1] + 0.2
    added(gannet, f'lead = {{ mass = "{lead:.3f} kg", x = "780 mm" }}')
    heavy = read(gannet)["fit"]
    assert not heavy["rows"][1]["fits"]


def test_where_do_i_put_the_battery(plover: Path, command: Callable) -> None:
    """The window of the balance point with its bands, the place of the battery and its stop with two standard
    deviations, and what a tail over its drawn weight asks at the nose: so many grams put there do what was said."""
    sheet = read(plover)
    fore, aft, here = (limit(sheet, name) for name in ("cg_fore_limit_x", "cg_aft_limit_x", "cg_x"))
    assert fore["low"] < fore["value"] < here["value"] < aft["value"] < aft["high"]
    said = " ".join(sheet["says"])
    battery = re.search(r"lies at most (-?\d+) mm behind the nose \(at most (-?\d+) mm to be sure", said)
    assert battery is not None
    figures = command("figures", plover, "--json").document["figures"]
    window = figures["battery_window_aft"]
    assert int(battery.group(1)) == pytest.approx(1e3 * window["value"], abs=1)
    assert int(battery.group(2)) == pytest.approx(1e3 * window["low"], abs=1)
    assert "fixed stop belongs there" in said
    tail = re.search(
        r"The tail is (\d+) g over what was drawn. Take \d+ g off it, or .* for (\d+) g in the very nose",
        said,
    )
    assert tail is not None
    over = int(tail.group(1))
    assert over == pytest.approx(54, abs=4)
    arm = (1.51 - here["value"]) / here["value"]
    assert int(tail.group(2)) == pytest.approx(over * arm, rel=0.06)
    grams = int(tail.group(2))
    added(plover, f'lead = {{ mass = "{grams} g", x = "0 mm" }}')
    moved = here["value"] - limit(read(plover), "cg_x")["value"]
    assert moved == pytest.approx(grams * 1e-3 * here["value"] / (4.062 + grams * 1e-3), rel=0.03)
