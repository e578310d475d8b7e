"""The page's server as a process: start to first answer, edit to answer, and when slow rows follow.

Run with ``python bench/page_server.py [EDITS]``. Times are of this machine; the study's own time is printed beside
them from the same run, so that the share of server, disk and wire can be seen. No figure here is a test.
"""

from __future__ import annotations

import http.client
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from planewright.project import new_project
from planewright.web.page import BUILT

EDITS = 20
PATIENCE = 60.0


@contextmanager
def opened(folder: Path) -> Iterator[tuple[http.client.HTTPConnection, float]]:
    """The server as a process, a connection to it, and the seconds until it answered the first state."""
    begun = time.perf_counter()
    command = [sys.executable, "-m", "planewright", "open", str(folder), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**os.environ})
    try:
        assert process.stdout is not None
        address = process.stdout.readline().split()[-1]
        wire = http.client.HTTPConnection(address.split("/")[2], timeout=PATIENCE)
        ask(wire, "GET", "/api/state")
        yield wire, time.perf_counter() - begun
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(timeout=PATIENCE)


def ask(wire: http.client.HTTPConnection, method: str, path: str, body: Any = None) -> dict[str, Any]:
    """One request; its JSON."""
    data = None if body is None else json.dumps(body)
    wire.request(method, path, data, {"X-Planewright": "1", "Content-Type": "application/json"})
    answer = wire.getresponse()
    found: dict[str, Any] = json.loads(answer.read())
    assert answer.status == 200, found
    return found


def settled(wire: http.client.HTTPConnection) -> dict[str, Any]:
    """The state once nothing is being worked out any more."""
    while True:
        state = ask(wire, "GET", "/api/state")
        if not state["working"]:
            return state
        time.sleep(0.02)


def one_edit(
    wire: http.client.HTTPConnection, revision: int, number: int
) -> tuple[float, float, float, float]:
    """Seconds to the answer with mesh, to the end of slow rows, and what the study took of both."""
    change = {"file": "aeroplane.toml", "path": "wing.stations.2.chord", "text": f"{240 + number} mm"}
    begun = time.perf_counter()
    saved = ask(wire, "POST", "/api/edit", {"revision": revision, "changes": [change]})
    wire.request("GET", "/api/mesh")
    wire.getresponse().read()
    answered = time.perf_counter() - begun
    whole = settled(wire)
    followed = time.perf_counter() - begun
    return answered, followed, saved["state"]["quick_ms"] / 1e3, whole["study_ms"] / 1e3


def row(what: str, seconds: Sequence[float], goal: str = "") -> None:
    """p50 and p95 in ms."""
    low, high = np.percentile(np.array(seconds) * 1e3, [50, 95])
    print(f"{what:<46} p50 {low:8.0f} ms   p95 {high:8.0f} ms   {goal}")


def main(edits: int = EDITS) -> None:
    """Print everything for Plover."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "plover"
        new_project(folder, "plover")
        with opened(folder) as (wire, start):
            print(f"{'start to first state':<46}     {start:8.2f} s     goal 2.5 s to the first picture")
            settled(wire)
            times = [one_edit(wire, number, number) for number in range(edits)]
    answered, followed, quick, whole = zip(*times, strict=True)
    row("edit to mass, balance, lift, speeds and 3-D", answered, "goal: study + 50 ms, 100 ms in all")
    row("    the study's own part of it", quick)
    row("    disk, server and wire", [a - b for a, b in zip(answered, quick, strict=True)])
    row("edit to strength, endurance and verdict", followed, "goal: within a second")
    row("    the study's own part of it", whole)
    size = sum(one.stat().st_size for one in BUILT.rglob("*") if one.is_file() and one.suffix != ".txt")
    print(
        f"{'built page, every place':<46}     {size / 1e3:8.0f} kB    what a first picture fetches is bounded by a test"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else EDITS)
