"""Strength on the page: key by key what ``planewright strength --json`` prints; words where there is nothing."""

from __future__ import annotations

import json
import time
from typing import Any

import pytest

from planewright.cli.main import run
from web.conftest import Opened, Opener
from web.test_engines import stated


def strength(opened: Opened, seconds: float = 240.0) -> Any:
    """GET /api/strength once nothing more follows."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        answer = opened.client.get("/api/strength")
        assert answer.status_code == 200, answer.text
        found = answer.json()
        if not found["working"]:
            return found
        time.sleep(0.1)
    raise AssertionError("strength is still being worked out")


@pytest.mark.parametrize("kind", ["starter", pytest.param("plover", marks=pytest.mark.slow)])
def test_page_and_command_agree_key_by_key(
    open_kind: Opener, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    opened = open_kind(kind)
    page = strength(opened)
    capsys.readouterr()
    assert run(["strength", str(opened.folder), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    pictures = printed.pop("pictures")
    shown = stated(page["sheet"])
    assert set(shown) == set(printed) and shown["schema"] == "planewright/strength/1"
    for key in printed:
        assert shown[key] == printed[key], key
    assert len(pictures) == len(page["charts"])
    charts = {one["id"]: one for one in page["charts"]}
    assert set(charts) == {"strength", "deflection"}
    holds, needed = charts["strength"]["series"]
    assert len(holds["x"]) == len(needed["x"]) > 5 and holds["y"][0] > needed["y"][0]
    assert any(mark["words"] == "breaks first" for mark in charts["strength"]["marks"])
