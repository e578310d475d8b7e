"""Air and handling on the page: key by key what ``planewright handling --json`` prints; else words."""

from __future__ import annotations

import json
import time
from typing import Any

import pytest

from planewright.cli.main import run
from web.conftest import Opened, Opener


def flying(opened: Opened, seconds: float = 120.0) -> Any:
    """GET /api/handling once nothing more follows."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        answer = opened.client.get("/api/handling")
        assert answer.status_code == 200, answer.text
        found = answer.json()
        if not found["working"]:
            return found
        time.sleep(0.1)
    raise AssertionError("air and handling are still being worked out")


def stated(value: Any) -> Any:
    """A value without the keys that do not apply."""
    if isinstance(value, dict):
        return {key: stated(one) for key, one in value.items() if one is not None}
    return [stated(one) for one in value] if isinstance(value, list) else value


def test_page_and_command_agree_key_by_key(open_kind: Opener, capsys: pytest.CaptureFixture[str]) -> None:
    opened = open_kind("plover")
    page = flying(opened)
    capsys.readouterr()
    assert run(["handling", str(opened.folder), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    pictures = printed.pop("pictures")
    shown = stated(page["sheet"])
    assert set(shown) == set(printed)
    for key in printed:
        assert shown[key] == printed[key], key
    assert len(pictures) == len(shown["charts"]) and page["revision"] == opened.desk.revision
    assert opened.set("wing.incidence", "3 deg").status_code == 200
    between = opened.client.get("/api/handling").json()
    assert between["working"] and between["sheet"] == page["sheet"]
    after = flying(opened)
    assert after["revision"] > page["revision"]
    assert after["sheet"]["trim"] != page["sheet"]["trim"]


def test_nothing_to_work_out_is_said(bare: Opened) -> None:
    found = flying(bare)
    assert found["sheet"] is None and "aeroplane" in found["why"]
