"""The server killed at any moment of random saves (300 in the slow run): nothing acknowledged is lost or half there."""

from __future__ import annotations

import json
import os
import random
import signal
import time
import traceback
from pathlib import Path

import pytest

from planewright.web import actions, trialwork
from planewright.web.api import NewTrial, SetAside, WholeFile
from planewright.web.desk import Desk
from planewright.web.disk import digest_of

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked server")


def one_save(desk: Desk, random_: random.Random, number: int) -> None:
    """One of the ways to save, at random."""
    kind = random_.choice(("whole", "line", "undo", "redo", "trial", "aside", "two"))
    if kind == "whole":
        filling = f"# {'x' * 70}\n" * random_.choice((1, 20, 2000))
        text = f'name = "save {number}"\n{filling}'
        stands = digest_of(desk.disk.read("aeroplane.toml") or b"")
        actions.whole_file(desk, WholeFile(name="aeroplane.toml", text=text, hash=stands))
    elif kind == "line":
        cells = {"check": "range", "passed": "yes", "when": "2026-05-01", "note": f"n{number}"}
        actions.append(desk, "checks.csv", actions.CHECK_HEADS, cells, f"line {number}")
    elif kind in ("undo", "redo"):
        if desk.history.step(-1 if kind == "undo" else 1) is not None:
            desk.step(-1 if kind == "undo" else 1)
    elif kind == "trial":
        trialwork.plan(
            desk, NewTrial(kind="balance", of="aeroplane", date="2026-05-20", fields={"configuration": "A"})
        )
    elif kind == "aside":
        found = [one for one in desk.disk.scan() if one.endswith("/trial.toml")]
        if found:
            trialwork.set_aside(desk, found[0].split("/")[1], SetAside(reason=f"because {number}"))
    else:
        line = f"check,passed,when,note\nrange,yes,2026-05-02,two {number}\n"
        both = {"aeroplane.toml": f'name = "two {number}"\n'.encode(), "checks.csv": line.encode()}
        desk.commit(both, "two files", check=False)


def serve_and_save(folder: Path, seed: int, pipe: int) -> None:
    """The killed process: saves without end, and acknowledges each save on the pipe."""
    desk, random_ = Desk(folder), random.Random(seed)
    os.write(pipe, b"ready\n")
    for number in range(10_000):
        one_save(desk, random_, seed * 10_000 + number)
        last = desk.history.now
        assert last is not None
        os.write(pipe, (json.dumps({"number": last.number, "files": dict(last.files)}) + "\n").encode())


def killed(folder: Path, seed: int, after: float) -> list[dict[str, object]]:
    """Start the process, kill it ``after`` its first word; what it acknowledged."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            serve_and_save(folder, seed, writing)
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(3)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        assert stream.readline() == b"ready\n"
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
        lines = stream.read().split(b"\n")
    _, status = os.waitpid(child, 0)
    assert os.WTERMSIG(status) == signal.SIGKILL, "the process ended by itself"
    return [json.loads(one) for one in lines[:-1]]


@pytest.mark.parametrize(
    ("kills_wanted", "saves_wanted"), [(6, 40), pytest.param(25, 300, marks=pytest.mark.slow)]
)
def test_killed_at_any_moment(tmp_path: Path, kills_wanted: int, saves_wanted: int) -> None:
    (tmp_path / "aeroplane.toml").write_text('name = "opening"\n', encoding="utf-8")
    random_, done, kills = random.Random(4), 0, 0
    while done < saves_wanted or kills < kills_wanted:
        said = killed(tmp_path, kills, random_.uniform(0.0, 1.2))
        desk = Desk(tmp_path)
        try:
            judge(desk, said)
        finally:
            desk.close()
        done, kills = done + len(said), kills + 1
        assert kills < 200, "too slow to tell"


def judge(desk: Desk, said: list[dict[str, object]]) -> None:
    """Every acknowledged state stands in the history with its bytes; the disk is one whole state, not older."""
    history = desk.history
    for one in said:
        number = one["number"]
        assert isinstance(number, int)
        entry = history.find(number)
        assert entry is not None and dict(entry.files) == one["files"]
        assert all(history.blob(digest) is not None for digest in entry.files.values())
    last = history.now
    assert last is not None and history.unfinished is None
    assert dict(desk.disk.scan()) == dict(last.files), "the disk is not the last state"
    assert not said or last.number >= said[-1]["number"]  # type: ignore[operator]
    assert last.by == "page" or last.number == 0, "a half-written save was taken for somebody's edit"
