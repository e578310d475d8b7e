"""How it flies: balance window, trim, stall, motions, servos; the page shows the sheet of the command line."""

from __future__ import annotations

import json
import time
import urllib.request
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from .conftest import Opener, settled

NARROW = "\u202f"


def sheet_of(address: str, seconds: float = 120.0) -> dict[str, Any]:
    """The sheet once nothing more follows."""
    settled(address)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        with urllib.request.urlopen(f"{address}api/handling", timeout=60) as answer:
            found = json.load(answer)
        if not found["working"]:
            return dict(found["sheet"])
        time.sleep(0.2)
    raise AssertionError("air and handling are still being worked out")


def opened(open_page: Opener, address: str, **how: Any) -> tuple[Page, dict[str, Any]]:
    sheet = sheet_of(address)
    page = open_page(address, "flying", **how)
    expect(page.get_by_role("heading", level=1)).to_have_text("Will it be steady, and can it be steered?")
    expect(page.get_by_role("region", name="Servos and linkages")).to_be_visible()
    return page, sheet


@pytest.mark.parametrize("example", ["plover", "gannet"])
def test_the_place_shows_the_sheet(open_page: Opener, example: str, request: pytest.FixtureRequest) -> None:
    """Answer, every picture, every limit, control, motion and piece stand on the page with their numbers."""
    page, sheet = opened(open_page, request.getfixturevalue(example))
    limits = {one["id"]: one["x"]["value"] for one in sheet["limits"]}
    lead = page.locator("main .lead")
    for name in ("cg_x", "cg_fore_limit_x", "cg_aft_limit_x"):
        expect(lead).to_contain_text(f"{1e3 * limits[name]:.0f}{NARROW}mm")
    for chart in sheet["charts"]:
        board = page.get_by_role("region", name=chart["title"], exact=True)
        expect(board.get_by_role("img", name=chart["title"])).to_be_visible()
    rows = page.get_by_role("region", name="Servos and linkages").locator("tbody tr")
    assert rows.count() == len(sheet["hinges"])
    for i, one in enumerate(sheet["hinges"]):
        expect(rows.nth(i)).to_contain_text(one["servo"])
        expect(rows.nth(i)).to_contain_text(f"{one['speed']:.1f}{NARROW}m/s")
    expect(page.get_by_role("region", name="Where it may balance").locator("dl > div")).to_have_count(
        len(sheet["limits"])
    )
    expect(page.get_by_role("region", name="Left alone").locator("tbody tr")).to_have_count(5)
    car = page.get_by_role("region", name="For the car")
    expect(car).to_contain_text(f"{1e3 * sheet['folded']['pieces'][0]['length']:.0f}{NARROW}mm")
    fit = page.get_by_role("region", name="Will it fit the field?")
    expect(fit).to_contain_text(f"NO above {sheet['fit']['limit']:.1f} kg")
    expect(fit.locator("tbody tr")).to_have_count(3)


def test_tables_on_demand_by_keyboard_on_a_phone(open_page: Opener, gannet: str) -> None:
    page, sheet = opened(open_page, gannet, width=390)
    board = page.get_by_role("region", name="Derivatives", exact=True)
    expect(board.locator("table").first).to_be_hidden()
    board.locator("summary").focus()
    page.keyboard.press("Enter")
    expect(board.locator("table").first).to_be_visible()
    assert board.locator("tbody tr").count() == sum(len(one["by"]) for one in sheet["derivatives"])
    number = page.get_by_role("button", name="Rolls with full aileron at").first
    number.focus()
    page.keyboard.press("Enter")
    expect(number).to_have_attribute("aria-expanded", "true")
    expect(page.locator("html")).to_have_js_property("scrollWidth", 390)
