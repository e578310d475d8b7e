"""The engines on the page: key by key what ``planewright engine --json`` prints; words where there is nothing."""

from __future__ import annotations

import json
import time
from typing import Any

import pytest

from planewright.cli.main import run
from planewright.web.engines import UNFINISHED, whole
from planewright.web.evaluation import start_study
from web.conftest import Opened, Opener


def engines(opened: Opened, seconds: float = 120.0) -> Any:
    """GET /api/engines once nothing more follows."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        answer = opened.client.get("/api/engines")
        assert answer.status_code == 200, answer.text
        found = answer.json()
        if not found["working"]:
            return found
        time.sleep(0.1)
    raise AssertionError("the engines are still being worked out")


def stated(value: Any) -> Any:
    """A value without the keys that do not apply."""
    if isinstance(value, dict):
        return {key: stated(one) for key, one in value.items() if one is not None}
    return [stated(one) for one in value] if isinstance(value, list) else value


@pytest.mark.parametrize("kind", ["plover", "gannet", "starter"])
def test_page_and_engine_command_agree_key_by_key(
    open_kind: Opener, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    opened = open_kind(kind)
    page = engines(opened)
    capsys.readouterr()
    assert run(["engine", str(opened.folder), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    pictures = printed.pop("pictures")
    shown = stated(page["sheet"])
    assert set(shown) == set(printed) and shown["schema"] == "planewright/engine/1"
    for key in printed:
        assert shown[key] == printed[key], key
    assert page["why"] == printed["why"] and page["revision"] == opened.desk.revision
    assert len(pictures) == len(page["charts"])


def test_charts_are_those_of_the_sheet(open_kind: Opener) -> None:
    """One map for each engine at the sheet's own speeds, one picture for each static run."""
    found = engines(open_kind("gannet"))
    charts = {one["id"]: one for one in found["charts"]}
    for unit in found["sheet"]["units"]:
        chart = charts[f"map {unit['name']}"]
        assert [one["x"] for one in chart["series"]] == [unit["speeds"]] * len(unit["map"])
        assert [one["y"] for one in chart["series"]] == [one["thrust"] for one in unit["map"]]
    runs = found["sheet"]["bench"]["runs"]
    assert {f"bench {one['trial']}" for one in runs} <= set(charts) and "engines" in charts
    assert [one["state"] for one in runs if one["serial"] == "R1"] == ["withdrawn"]


def test_a_change_is_followed_and_says_working_out_meanwhile(open_kind: Opener) -> None:
    opened = open_kind("plover")
    before = engines(opened)
    assert opened.set("battery.charge", "3000 mAh").status_code == 200
    between = opened.client.get("/api/engines").json()
    assert between["working"] and between["sheet"] == before["sheet"]
    after = engines(opened)
    assert after["revision"] == opened.desk.revision > before["revision"]
    assert after["sheet"]["flight"]["pattern"] != before["sheet"]["flight"]["pattern"]


def test_nothing_to_work_out_is_said(bare: Opened) -> None:
    found = engines(bare)
    assert found["sheet"] is None and found["charts"] == [] and "aeroplane" in found["why"]


def test_a_study_cut_short_claims_nothing(open_kind: Opener) -> None:
    """The quick study has no engines in it: that must not read as an aeroplane without engine."""
    opened = open_kind("plover")
    study = start_study(opened.desk.view.project)
    assert study is not None
    found = whole(opened.desk.view, study)
    assert found.sheet is None and found.why == UNFINISHED
