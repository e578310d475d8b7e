"""Boards on the page: key by key what ``planewright sheets --json`` prints; marks, printers, tidying, jobs."""

from __future__ import annotations

import json
import shutil
import time
from pathlib import Path
from typing import Any

import pytest

from planewright.cli.main import run
from web.conftest import Opened, Opener


def cuts(opened: Opened, seconds: float = 120.0) -> Any:
    """GET /api/cutting once nothing more follows."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        answer = opened.client.get("/api/cutting")
        assert answer.status_code == 200
        found = answer.json()
        if not found["working"]:
            return found
        time.sleep(0.1)
    raise AssertionError("the boards are still being laid")


def printed(folder: Path, away: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    """What the command line prints of a copy of the folder."""
    shutil.copytree(folder, away, ignore=shutil.ignore_patterns(".*"))
    capsys.readouterr()
    assert run(["sheets", str(away), "--json", "--no-files"]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.mark.slow
def test_page_and_command_line_say_the_same_before_and_after_a_mark(
    open_kind: Opener, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Equal key by key on a fresh folder, and again with a printed board and a measured printer."""
    opened = open_kind("plover")
    first = cuts(opened)["record"]
    assert first == printed(opened.folder, tmp_path / "one", capsys)
    assert first["saved"] is False
    answer = opened.client.post("/api/cutting/mark", json={"names": ["board 1"], "state": "printed"})
    assert answer.status_code == 200
    read = {"name": "school", "paper": "A4", "across_mm": 169.0, "up_mm": 241.0}
    assert opened.client.post("/api/cutting/printer", json=read).status_code == 200
    then = cuts(opened)["record"]
    assert then == printed(opened.folder, tmp_path / "two", capsys)
    assert then["saved"] and then["sheets"][0]["state"] == "printed"
    assert [one["places"] for one in then["sheets"]] == [one["places"] for one in first["sheets"]]
    assert then["printers"][0]["across"] == round(170 / 169, 6)
    picture = opened.client.get("/api/sheets/1.svg")
    assert picture.status_code == 200 and "board 1, drawn for 4.8 mm, revision A" in picture.text
    assert opened.client.get("/api/sheets/99.svg").status_code == 404
    for path, wrong, words in (
        ("mark", {"names": ["board 77"], "state": "cut"}, "Boards that carry parts"),
        ("printer", {**read, "across_mm": 160.0}, "actual size"),
        ("mark", {"names": ["board 1"], "state": "burnt"}, ""),
    ):
        answer = opened.client.post(f"/api/cutting/{path}", json=wrong)
        assert answer.status_code == 400
        assert words in answer.text
    tidied = opened.client.post("/api/cutting/tidy", json={"materials": ["card"], "do": False}).json()
    assert tidied["moved"] == 0 and "would move" in tidied["says"]


@pytest.mark.slow
def test_an_edit_lists_what_changed_and_what_is_obsolete(open_kind: Opener) -> None:
    """The stock measured anew: the printed board is obsolete at once, nothing on the disk moves until it is made."""
    opened = open_kind("plover")
    cuts(opened)
    opened.client.post("/api/cutting/mark", json={"names": ["board 1"], "state": "printed"})
    kept = (opened.folder / "sheets.json").read_text()
    assert opened.set("stock.board.thickness", "5 mm").status_code == 200
    record = cuts(opened)["record"]
    assert record["sheets"][0]["obsolete"] and record["changes"]
    assert (opened.folder / "sheets.json").read_text() == kept
    (opened.folder / "sheets.json").write_text("{")
    assert opened.set("stock.board.thickness", "4.9 mm").status_code == 200
    torn = cuts(opened)
    assert torn["record"] is None and "Bring back an earlier copy" in torn["why"]


def test_where_nothing_can_be_cut_the_page_says_so(open_kind: Opener) -> None:
    """A bare sheet and an empty folder: words, no failure."""
    for kind in ("bare", "nothing"):
        found = cuts(open_kind(kind))
        assert found["record"] is None or found["record"]["sheets"] == []
