"""The page in a real browser, against the real server. Every test fails on a request to another host, on any console
message and on any page error.

Needs a Chromium on the machine (``CHROMIUM`` names another than the one on PATH) and the built page; the page is built
first when its sources are newer.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

ROOT = Path(__file__).resolve().parents[2]
WEB, BUILT = ROOT / "web", ROOT / "src/planewright/_web"
ARGS = ("--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking",
        "--disable-component-update", "--disable-sync", "--use-angle=swiftshader",
        "--enable-unsafe-swiftshader")  # fmt: skip
READY_S, SETTLED_S = 60.0, 120.0
PATIENCE_MS = 20_000  # of every wait: a slow or busy machine gets time
expect.set_options(timeout=PATIENCE_MS)


def newest(folder: Path) -> float:
    """Time of the newest source of the page."""
    return max(one.stat().st_mtime for one in folder.rglob("*") if one.is_file())


@pytest.fixture(scope="session")
def common(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of one run share; without workers, this run's own."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if os.environ.get("PYTEST_XDIST_WORKER") else own


def once(place: Path, make: Callable[[Path], None]) -> Path:
    """``place``, made by the first worker that wants it; the others wait. ``make`` gets a folder that becomes it."""
    claim = place.with_name(f"{place.name}.claim")
    try:
        claim.mkdir(parents=True)
    except FileExistsError:
        end = time.monotonic() + SETTLED_S
        while not place.is_dir():
            assert time.monotonic() < end, f"the other worker did not make {place.name}"
            time.sleep(0.1)
        return place
    making = claim / "made"
    make(making)
    making.rename(place)
    return place


@pytest.fixture(scope="session")
def built(common: Path) -> Path:
    """The built page, built anew when its sources are newer and npm is there."""
    index = BUILT / "index.html"
    once(common / "page-built", build)
    if not index.is_file():
        pytest.skip("the page is not built and npm is not there")
    return BUILT


def build(mark: Path) -> None:
    """Build the page where that is needed and can be done; ``mark`` tells the others that it is."""
    index, npm = BUILT / "index.html", shutil.which("npm")
    stale = not index.is_file() or newest(WEB / "src") > index.stat().st_mtime
    if stale and npm is not None:
        if not (WEB / "node_modules").is_dir():
            subprocess.run([npm, "ci"], cwd=WEB, check=True, capture_output=True)
        subprocess.run([npm, "run", "build"], cwd=WEB, check=True, capture_output=True)
    mark.mkdir()


@pytest.fixture(scope="session")
def base_url() -> str:
    """Every test names its own server's address."""
    return ""


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """The browser of the machine, without its own errands on the net."""
    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.skip("no Chromium on this machine: install one, or name it in CHROMIUM")
    return {**browser_type_launch_args, "executable_path": path, "args": list(ARGS)}


@pytest.fixture
def context(context: BrowserContext) -> BrowserContext:
    """A fresh reader with patience."""
    context.set_default_timeout(PATIENCE_MS)
    return context


@pytest.fixture
def quiet() -> list[str]:
    """Patterns of console messages that this test causes on purpose, such as a refused request."""
    return []


@pytest.fixture
def page(page: Page, quiet: list[str]) -> Iterator[Page]:
    """A page that may ask its own server only and say nothing on the console."""
    outside: list[str] = []
    said: list[str] = []
    page.on("request", lambda one: None if own(one.url) else outside.append(one.url))
    page.on("console", lambda one: said.append(f"{one.type}: {one.text}"))
    page.on("pageerror", lambda one: said.append(f"page error: {one}"))
    yield page
    loud = [one for one in said if not any(re.search(known, one) for known in quiet)]
    assert not outside, f"asked other hosts: {outside}"
    assert not loud, f"on the console: {loud}"


def own(url: str) -> bool:
    """True for what stays on the machine."""
    return url.startswith(("http://127.0.0.1:", "ws://127.0.0.1:", "data:", "blob:", "about:"))


def command(*words: str) -> list[str]:
    """The program as a command line."""
    return [sys.executable, "-m", "planewright", *words]


def state_of(address: str) -> dict[str, Any]:
    """What the server shows."""
    with urllib.request.urlopen(f"{address}api/state", timeout=60) as answer:
        return dict(json.load(answer))


def settled(address: str) -> dict[str, Any]:
    """The state once everything is worked out."""
    end = time.monotonic() + SETTLED_S
    while time.monotonic() < end:
        found = state_of(address)
        if not found["working"]:
            return found
        time.sleep(0.2)
    raise AssertionError(f"still working out after {SETTLED_S} s: {found['working'][:5]}")


def until(holds: Callable[[], object], seconds: float = PATIENCE_MS / 1e3) -> None:
    """Wait until something holds."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, f"not within {seconds} s"
        time.sleep(0.05)


@contextlib.contextmanager
def serving(folder: Path) -> Iterator[str]:
    """The address of a server of this folder; stopped at the end."""
    env = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}
    with subprocess.Popen(
        command("open", str(folder), "--no-browser"), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        env=env,
    ) as server:  # fmt: skip
        try:
            yield address_of(server)
        finally:
            server.send_signal(signal.SIGINT)
            try:
                server.communicate(timeout=10)
            except subprocess.TimeoutExpired:
                server.kill()


def address_of(server: subprocess.Popen[str]) -> str:
    """The address a started server prints."""
    lines: list[str] = []
    assert server.stdout is not None
    for line in server.stdout:
        lines.append(line)
        found = re.search(r"http://127\.0\.0\.1:\d+/", line)
        if found:
            return found.group()
    raise AssertionError("the server did not start: " + "".join(lines))


Made = Callable[[Path, str, bool], Path]


@pytest.fixture(scope="session")
def made(common: Path) -> Made:
    """``made(folder, kind, calibrated)``: a new project in ``folder``, its trials taken in if asked. Each kind is made
    by the command line once a run, and copied from then on."""

    def new(kind: str) -> Path:
        def make(raw: Path) -> None:
            subprocess.run(command("new", str(raw), "--from", kind), check=True, capture_output=True)

        return once(common / f"pattern-{kind}", make)

    def taken_in(raw: Path) -> Path:
        def make(ready: Path) -> None:
            shutil.copytree(raw, ready)
            subprocess.run(command("calibrate", str(ready)), check=True, capture_output=True)

        return once(common / f"{raw.name}-ready", make)

    def copied(folder: Path, kind: str, calibrated: bool) -> Path:
        raw = new(kind)
        calibrated = calibrated and (raw / "trials").is_dir()
        return Path(shutil.copytree(taken_in(raw) if calibrated else raw, folder / kind))

    return copied


@pytest.fixture(scope="session")
def plover(built: Path, made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of the example Plover, worked out. For tests that change nothing."""
    with serving(made(tmp_path_factory.mktemp("shown"), "plover", True)) as address:
        settled(address)
        yield address


@pytest.fixture(scope="session")
def gannet(built: Path, made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of the example Gannet, worked out. For tests that change nothing."""
    with serving(made(tmp_path_factory.mktemp("shown"), "gannet", True)) as address:
        settled(address)
        yield address


Served = tuple[str, Path]


@pytest.fixture
def fresh(built: Path, made: Made, tmp_path: Path) -> Iterator[Callable[..., Served]]:
    """``fresh(kind, calibrated=True)`` serves a project of its own, to be changed: its address and folder.
    ``"nothing"``: an empty folder."""
    with contextlib.ExitStack() as stack:

        def start(kind: str, calibrated: bool = True) -> Served:
            place = tmp_path / kind
            if kind == "nothing":
                place.mkdir()
            else:
                made(tmp_path, kind, calibrated)
            return stack.enter_context(serving(place)), place

        yield start


@pytest.fixture(scope="session")
def starter(built: Path, made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Address and folder of a starter, worked out. For tests that leave it as they found it."""
    folder = made(tmp_path_factory.mktemp("shown"), "starter", False)
    with serving(folder) as address:
        settled(address)
        yield address, folder


Opener = Callable[..., Page]


@pytest.fixture
def open_page(page: Page) -> Opener:
    """``open_page(address, place, width=1440, scheme="light")``: the page at a place, with all its rows worked out."""

    def open_(
        address: str, place: str = "", width: int = 1440, scheme: str = "light", height: int = 0
    ) -> Page:
        page.set_viewport_size({"width": width, "height": height or (1000 if width > 600 else 844)})
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        page.goto(f"{address}#/{place}")
        page.wait_for_selector("h1")
        page.evaluate("document.fonts.ready")
        page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
        return page

    return open_


NAME_OF_FOCUS = """() => { const one = document.activeElement; if (!one) return ''
  const label = one.getAttribute('aria-label') ?? one.labels?.[0]?.textContent ?? one.textContent ?? ''
  return label.replace(/\\s+/g, ' ').trim() }"""


def tab_to(page: Page, name: str, most: int = 400) -> None:
    """Tab on until the focus stands on what a screen reader would read as beginning with ``name``."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if str(page.evaluate(NAME_OF_FOCUS)).startswith(name):
            return
    raise AssertionError(f"not reached by Tab: {name}")
