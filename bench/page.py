"""The page in a browser: from an edit to the numbers and to the turned view, beside the study's own time.

Run with ``python bench/page.py [EDITS]``. Needs the built page and a Chromium (``CHROMIUM`` names another than the one
on PATH). Each edit is typed in the page; times are read in the page, from Enter to the moment the new number, and the
new mesh, stand in it. The server's own quick part of the same edit is printed beside them. No figure here is a test.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Sequence
from http.client import HTTPConnection
from pathlib import Path

import numpy as np
from page_server import EDITS, ask, opened, settled
from playwright.sync_api import Page, sync_playwright

from planewright.project import new_project

PATH = "wing.stations.2.chord"
ARGS = ("--no-sandbox", "--disable-quic", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
WATCH = """([path, value]) => new Promise((done) => {
  const box = document.querySelector(`input[data-path="${path}"]`), canvas = document.querySelector('canvas')
  const lead = document.querySelector('.lead'), found = {}, words = lead.textContent, mesh = canvas.dataset.mesh
  box.value = value
  box.dispatchEvent(new Event('input', { bubbles: true }))
  const begun = performance.now()
  box.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }))
  const look = () => {
    if (!found.number && lead.textContent !== words) found.number = performance.now() - begun
    if (!found.view && canvas.dataset.mesh !== mesh) found.view = performance.now() - begun
    if (found.number && found.view || performance.now() - begun > 30000) done(found)
    else requestAnimationFrame(look)
  }
  look()
})"""


def line(words: str, times: Sequence[float]) -> str:
    """Median and 95th percentile in ms."""
    if not times:
        return f"{words:<44} none seen"
    middle, high = np.percentile(times, [50, 95])
    return f"{words:<44} p50 {middle:6.0f} ms   p95 {high:6.0f} ms   of {len(times)}"


def edits(page: Page, count: int, after: HTTPConnection) -> tuple[list[float], list[float], list[float]]:
    """Times to the number and to the view, and the server's own quick part, ms."""
    numbers, views, own = [], [], []
    for number in range(count):
        found = page.evaluate(WATCH, [PATH, f"{240 + 7 * (number % 9)} mm"])
        numbers += [found["number"]] if "number" in found else []
        views += [found["view"]] if "view" in found else []
        after.close()  # the server drops an idle line; it is opened anew
        own.append(float(settled(after)["quick_ms"]))
    return numbers, views, own


def main(count: int) -> None:
    """One project, one browser, some edits."""
    chromium = os.environ.get("CHROMIUM") or shutil.which("chromium")
    with tempfile.TemporaryDirectory() as place, sync_playwright() as play:
        folder = Path(place) / "plover"
        new_project(folder, "plover")
        with opened(folder) as (wire, start):
            settled(wire)
            browser = play.chromium.launch(executable_path=chromium, args=list(ARGS))
            page = browser.new_page(viewport={"width": 1440, "height": 1000}, reduced_motion="reduce")
            page.goto(f"http://{wire.host}:{wire.port}/#/aeroplane")
            page.wait_for_selector("canvas[data-mesh]")
            page.get_by_label("Find a number").fill("wing, station 3 chord")
            page.wait_for_selector(f'input[data-path="{PATH}"]')
            numbers, views, own = edits(page, count, wire)
            first = page.evaluate("() => performance.getEntriesByType('paint').map((one) => one.startTime)")
            browser.close()
            wire.close()
            state = ask(wire, "GET", "/api/state")
    print(
        f"server start to first answer                 {1000 * start:6.0f} ms; first paint {max(first):.0f} ms"
    )
    print(line("edit to numbers on the page", numbers))
    print(line("edit to the turned view", views))
    print(line("the study's own quick part", own))
    print(f"{'the whole study, last edit':<44}     {state['study_ms']:6.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else EDITS)
