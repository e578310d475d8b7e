"""Strength on the page: what breaks first, cases, joints, twist, the small wing, materials, wide and narrow."""

from __future__ import annotations

import json
import time
import urllib.request
from typing import Any

from playwright.sync_api import expect

from .conftest import Opener, settled

NARROW = "\u202f"


def sheet_of(address: str, seconds: float = 240.0) -> dict[str, Any]:
    """The sheet of strength once nothing more follows."""
    settled(address)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        with urllib.request.urlopen(f"{address}api/strength", timeout=60) as answer:
            found = json.load(answer)
        if not found["working"]:
            return dict(found["sheet"])
        time.sleep(0.2)
    raise AssertionError("strength is still being worked out")


def test_the_place_shows_the_sheet(open_page: Opener, plover: str) -> None:
    """Every mode, case, joint and state of twist stands on the page; the answer names what breaks first; the table of
    materials opens with its sources; nothing is wider than a phone."""
    sheet = sheet_of(plover)
    page = open_page(plover, "strength")
    expect(page.get_by_role("heading", level=1)).to_have_text("Is it strong enough, and what breaks first?")
    looked = page.get_by_role("region", name="What was looked at")
    expect(looked).to_be_visible()
    rows = looked.locator("tbody tr")
    assert rows.count() == len(sheet["modes"]) >= 9
    expect(rows.first).to_contain_text("Stick crushing")
    expect(page.locator("main .lead")).to_contain_text(sheet["first"])
    cases = page.get_by_role("region", name="Load cases").locator("tbody tr")
    assert cases.count() == len(sheet["cases"]) == 5
    expect(cases.last).to_contain_text(
        f"{sheet['cases'][-1]['root']:.1f}{NARROW}N{NARROW}m".replace(f"{NARROW}m", " m")
    )
    expect(page.get_by_role("region", name="Joint outer")).to_contain_text("Lifted by the tips")
    twist = page.get_by_role("region", name="Twist, seams and ailerons")
    assert twist.locator("tbody tr").count() == len(sheet["twist"]["rows"])
    expect(twist).to_contain_text("none is a limit")
    expect(page.get_by_role("region", name="A small wing and the real one").first).to_contain_text(
        "Board 3.0 mm".lower()
    )
    materials = page.get_by_role("region", name="What the materials are taken as")
    materials.locator("summary").click()
    expect(materials).to_contain_text("Wood Handbook")
    page.set_viewport_size({"width": 390, "height": 844})
    expect(page.locator("html")).to_have_js_property("scrollWidth", 390)
