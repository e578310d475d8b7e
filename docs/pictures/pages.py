"""Pictures of every place of the page, wide and on a phone, light and dark, into ``docs/pictures/pages``.

Run by ``make pictures``. Taken from the real page and server, of the example Plover with its trials taken in. Needs
the built page and a Chromium (``CHROMIUM`` names another than the one on PATH). Colours are kept to a table of 256, so
that the pictures stay small: look at the page itself to judge a colour.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import time
import urllib.request
import zlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pymupdf
from playwright.sync_api import Browser, sync_playwright

HERE = Path(__file__).parent
PLACES_OF = HERE.parents[1] / "web/src/places"
SIZES = ((1440, 1000), (390, 844))
SCHEMES = ("light", "dark")
ARGS = ("--no-sandbox", "--disable-quic", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
SETTLED_S = 120.0
# Where a place shows more one step inside: the picture is taken there.
INSIDE = {"tests": "tests/2026-04-11-vehicle"}


def planewright(*words: str) -> list[str]:
    """The program as a command line."""
    return [sys.executable, "-m", "planewright", *words]


@contextlib.contextmanager
def plover() -> Iterator[str]:
    """The address of the example, calibrated and worked out."""
    with tempfile.TemporaryDirectory() as place:
        folder = str(Path(place) / "plover")
        for words in (("new", folder, "--from", "plover"), ("calibrate", folder)):
            subprocess.run(planewright(*words), check=True, capture_output=True)
        with subprocess.Popen(
            planewright("open", folder, "--no-browser"), stdout=subprocess.PIPE, text=True
        ) as server:
            try:
                assert server.stdout is not None
                address = server.stdout.readline().split()[-1]
                wait_for(address)
                yield address
            finally:
                server.send_signal(signal.SIGINT)
                server.wait(timeout=20)


def wait_for(address: str) -> None:
    """Until every row is worked out."""
    end = time.monotonic() + SETTLED_S
    while time.monotonic() < end:
        with urllib.request.urlopen(f"{address}api/state", timeout=60) as answer:
            if not json.load(answer)["working"]:
                return
        time.sleep(0.2)
    raise SystemExit("The example was not worked out in time.")


def chunk(kind: bytes, data: bytes) -> bytes:
    """One chunk of a PNG file (W3C Recommendation, Portable Network Graphics, 2nd edition, section 5.3)."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def compact(png: bytes) -> bytes:
    """The picture with a table of at most 256 colours: those met most often, each other one as its nearest."""
    pixmap = pymupdf.Pixmap(png)
    rgb = np.frombuffer(pixmap.samples, np.uint8).reshape(pixmap.height, pixmap.width, pixmap.n)[:, :, :3]
    codes = (rgb.astype(np.uint32) * (65536, 256, 1)).sum(axis=2)
    found, at, counts = np.unique(codes, return_inverse=True, return_counts=True)
    every = np.stack([found >> 16, found >> 8 & 255, found & 255], axis=1).astype(np.int32)
    table = every[np.argsort(-counts)[:256]]
    near = np.array([np.abs(table - one).sum(axis=1).argmin() for one in every], np.uint8)
    rows = np.pad(near[at].reshape(codes.shape), ((0, 0), (1, 0)))
    head = struct.pack(">IIBBBBB", pixmap.width, pixmap.height, 8, 3, 0, 0, 0)
    parts = (
        (b"IHDR", head),
        (b"PLTE", table.astype(np.uint8).tobytes()),
        (b"IDAT", zlib.compress(rows.tobytes(), 9)),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*one) for one in parts) + chunk(b"IEND", b"")


PATIENCE_MS = 240_000  # boards are laid and curves are drawn in the background


def picture(browser: Browser, address: str, place: str, size: tuple[int, int], scheme: str) -> bytes:
    """One place as it stands in a window, once it keeps still."""
    width, height = size
    with browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if scheme == "dark" else "light",
        reduced_motion="reduce",
    ) as context:
        page = context.new_page()
        page.goto(f"{address}#/{INSIDE.get(place, place)}")
        page.wait_for_selector("main .lead")
        page.wait_for_selector("main .boards, main .board", timeout=PATIENCE_MS)
        page.wait_for_load_state("networkidle")
        page.evaluate("document.fonts.ready")
        if page.locator(".sheet").count():
            page.wait_for_selector(".sheet svg", timeout=PATIENCE_MS)
        if page.locator("canvas").count():
            page.wait_for_selector("canvas[data-mesh][data-frames]")
        page.wait_for_timeout(300)
        return compact(page.screenshot())


def main() -> None:
    """Every place, both sizes, light and dark."""
    chromium = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        raise SystemExit("No Chromium on this machine: install one, or name it in CHROMIUM.")
    folder = HERE / "pages"
    folder.mkdir(exist_ok=True)
    places = sorted(one.parent.name for one in PLACES_OF.glob("*/place.ts"))
    with plover() as address, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=list(ARGS))
        for place in places:
            for size in SIZES:
                for scheme in SCHEMES:
                    name = f"{place}-{size[0]}-{scheme}.png"
                    (folder / name).write_bytes(picture(browser, address, place, size, scheme))
        browser.close()
    total = sum(one.stat().st_size for one in folder.glob("*.png"))
    print(f"{len(list(folder.glob('*.png')))} pictures in {folder.name}/, {total / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
