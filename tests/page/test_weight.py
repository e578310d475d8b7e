"""The weight: a weighing is typed, its future is seen, it is saved as a line, and it can be undone."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

Opener = Callable[..., Page]
Fresh = Callable[[str], tuple[str, Path]]


def lines(folder: Path) -> list[str]:
    """The lines of weighings.csv; none where it is not there."""
    path = folder / "weighings.csv"
    return path.read_text(encoding="utf-8").splitlines() if path.exists() else []


def field(page: Page, part: str) -> Any:
    """The open field of a part."""
    return page.get_by_label(f"{part}: weight with its unit")


def test_weighing_future_save_undo(fresh: Fresh, open_page: Opener) -> None:
    """Typing shows what would move and writes nothing; Enter adds one line as typed; Ctrl+Z takes it back."""
    address, folder = fresh("starter")
    before = lines(folder)
    page = open_page(address, "weight")
    field(page, "Receiver").fill("58 g")
    future = page.get_by_role("region", name="If you save 58 g")
    expect(future).to_contain_text("Bracket: before it.")
    expect(future.get_by_role("button", name=re.compile("Balance point"))).to_be_visible()
    expect(future).to_contain_text(re.compile(r"Weight ready to fly .*more|g more"))
    assert lines(folder) == before
    field(page, "Receiver").press("Enter")
    expect(future).to_have_count(0)
    after = lines(folder)
    assert before == [] and after[0] == "part,mass,when,who,note" and len(after) == 2
    assert after[-1].startswith("equipment.receiver,58 g,")
    expect(field(page, "Receiver")).to_have_value("58 g")
    page.locator("h1").click()
    page.keyboard.press("Control+z")
    expect(field(page, "Receiver")).to_have_value("")
    assert lines(folder) == before
    page.keyboard.press("Control+Shift+z")
    expect(field(page, "Receiver")).to_have_value("58 g")
    assert lines(folder) == after


def test_escape_brings_back(plover: str, open_page: Opener) -> None:
    """Escape brings back what was there; nothing is left open."""
    page = open_page(plover, "weight")
    field(page, "Fin").fill("88 g")
    expect(page.get_by_role("region", name="If you save 88 g")).to_be_visible()
    field(page, "Fin").press("Escape")
    expect(field(page, "Fin")).to_have_value("91 g")
    expect(page.get_by_role("region", name=re.compile("If you save"))).to_have_count(0)


def test_unlikely_weight_is_asked_about(fresh: Fresh, open_page: Opener) -> None:
    """A weight ten times too large is asked about in three parts, with both ways out; Enter alone does not save it."""
    address, folder = fresh("starter")
    before = lines(folder)
    page = open_page(address, "weight")
    field(page, "Receiver").fill("600 g")
    expect(page.get_by_text(re.compile(r"10\.0 times its drawn mass"))).to_be_visible()
    expect(page.get_by_text("Was it 60 g?")).to_be_visible()
    field(page, "Receiver").press("Enter")
    page.wait_for_timeout(300)
    assert lines(folder) == before
    page.get_by_role("button", name="Use 60 g").click()
    expect(page.get_by_role("region", name=re.compile("If you save"))).to_have_count(0)
    expect(field(page, "Receiver")).to_have_value("60 g")
    assert lines(folder)[-1].startswith("equipment.receiver,60 g,")
    field(page, "Receiver").fill("650 g")
    page.get_by_role("button", name="Keep 650 g").click()
    expect(page.get_by_role("region", name=re.compile("If you save"))).to_have_count(0)
    expect(field(page, "Receiver")).to_have_value("650 g")
    assert lines(folder)[-1].startswith("equipment.receiver,650 g,") and "checked" in lines(folder)[-1]


@pytest.mark.parametrize("typed", ["fourteen", "-3 g", "12 m"])
def test_unreadable_weight_is_kept_and_said(starter: tuple[str, Path], open_page: Opener, typed: str) -> None:
    """What cannot be read stays in its field with the reason beside it; nothing is saved."""
    address, folder = starter
    before = lines(folder)
    page = open_page(address, "weight")
    field(page, "Receiver").fill(typed)
    expect(field(page, "Receiver")).to_have_attribute("aria-invalid", "true")
    field(page, "Receiver").press("Enter")
    page.wait_for_timeout(200)
    expect(field(page, "Receiver")).to_have_value(typed)
    assert lines(folder) == before


def test_struck_lines_and_counts_in_words(plover: str, open_page: Opener) -> None:
    """The struck earlier line of the tailplane is shown; how many parts are weighed is said; units stay as typed."""
    page = open_page(plover, "weight")
    expect(page.locator("main")).to_contain_text("18 of 21 parts are weighed")
    expect(page.locator("s", has_text="1.66 kg")).to_be_visible()
    expect(field(page, "Nose gear")).to_have_value("3.42 oz")
    expect(page.get_by_role("img", name=re.compile("Columns of weight along the body"))).to_be_visible()


@pytest.mark.slow  # the checklist asks the same of every place, in the light
@pytest.mark.parametrize("width", [390, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_sideways_scroll(plover: str, open_page: Opener, width: int, scheme: str) -> None:
    """The place fits its width, also in the dark."""
    page = open_page(plover, "weight", width, scheme)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
