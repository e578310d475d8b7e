"""Long work with a bar and a cancel; the server as a process: it says where, answers, and ends gracefully."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from planewright.project import new_project
from planewright.web.schema import schema
from planewright.web.serving import bound
from web.conftest import Opened
from web.test_trialwork import wait_for_job


@pytest.mark.slow
def test_tiles_are_made_downloaded_and_marked_stale(starter: Opened) -> None:
    starter.desk.settled(300.0)
    body = {"paper": "A4", "across": 99.5, "along": 100.2}
    job = wait_for_job(starter, starter.client.post("/api/jobs/tiles", json=body).json(), 300.0)
    assert job["state"] == "done", job
    assert "parts/tiles-A4.pdf" in job["files"]
    listed = {one["name"]: one for one in starter.state()["downloads"]}
    assert listed["parts/tiles-A4.pdf"]["bytes"] > 1000
    got = starter.client.get("/api/download/parts/tiles-A4.pdf")
    assert got.status_code == 200 and got.content.startswith(b"%PDF")
    assert "attachment" in got.headers["content-disposition"]


def test_a_printer_that_fits_pages_is_refused(starter: Opened) -> None:
    starter.desk.settled(300.0)
    job = wait_for_job(starter, starter.client.post("/api/jobs/tiles", json={"across": 94.0}).json(), 300.0)
    assert job["state"] == "refused" and "actual size" in job["says"]
    assert not (starter.folder / "out").exists()


def test_a_job_can_be_stopped(starter: Opened) -> None:
    starter.desk.settled(300.0)
    first = starter.client.post("/api/jobs/book", json={}).json()
    second = starter.client.post("/api/jobs/book", json={}).json()
    assert starter.client.post(f"/api/jobs/{second['id']}/cancel").json()["state"] == "cancelled"
    starter.client.post(f"/api/jobs/{first['id']}/cancel")
    assert wait_for_job(starter, first, 300.0)["state"] == "cancelled"
    assert starter.client.get("/api/jobs/none").status_code == 404
    assert not list(starter.folder.rglob("*.part"))


def test_the_schema_covers_every_record() -> None:
    whole = schema()
    assert {"State", "Push", "Edit", "Document", "Finding", "Chart"} <= set(whole["$defs"])
    open_ended = [
        name
        for name, one in whole["$defs"].items()
        if one.get("additionalProperties") is not False and "properties" in one
    ]
    assert open_ended == []


def test_a_taken_port_is_said() -> None:
    from planewright.errors import InputError

    with bound(0) as one:
        one.listen()
        with pytest.raises(InputError):
            bound(one.getsockname()[1])


@contextlib.contextmanager
def served(folder: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """``planewright open`` as a process, and the address it printed."""
    command = [sys.executable, "-m", "planewright", "open", str(folder), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        assert "http://127.0.0.1:" in line, line
        yield process, line.split()[-1]
    finally:
        process.kill()
        process.wait()
        for stream in (process.stdout, process.stderr):
            if stream is not None:
                stream.close()


@pytest.mark.skipif(os.name != "posix", reason="sends an interrupt")
def test_open_answers_refuses_a_second_and_ends(tmp_path: Path) -> None:
    folder = tmp_path / "p"
    new_project(folder, "starter")
    with served(folder) as (process, address):
        with urllib.request.urlopen(f"{address}api/state", timeout=60) as answer:
            assert json.load(answer)["document"]["project"] == "First"
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(
                urllib.request.Request(f"{address}api/state", headers={"Host": "evil.example"})
            )
        assert refused.value.code == 403
        refused.value.close()
        second = subprocess.run(
            [sys.executable, "-m", "planewright", "open", str(folder), "--no-browser"],
            capture_output=True,
            text=True,
        )
        assert second.returncode == 2 and address in second.stderr
        process.send_signal(signal.SIGINT)
        began = time.monotonic()
        assert process.wait(timeout=60) == 0
        assert time.monotonic() - began < 30
        assert process.stderr is not None and "Traceback" not in process.stderr.read()


def test_open_of_no_folder_is_one_clear_message(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from planewright.cli.main import run

    assert run(["open", str(tmp_path / "none"), "--no-browser"]) == 2
    assert "is no folder" in capsys.readouterr().err
