"""History: saved states to the opening, differences, the way back, undo and redo."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

Opener = Callable[..., Page]
Fresh = Callable[[str], tuple[str, Path]]


def weigh(page: Page, address: str, words: str) -> None:
    """Save one weighing of the receiver."""
    page.goto(f"{address}#/weight")
    one = page.get_by_label("Receiver: weight with its unit")
    one.fill(words)
    expect(page.get_by_role("region", name=f"If you save {words}")).to_be_visible()
    one.press("Enter")
    expect(page.get_by_role("region", name=re.compile("If you save"))).to_have_count(0)


def test_back_to_a_state(fresh: Fresh, open_page: Opener) -> None:
    """Two weighings stand as two states; the first is looked at and gone back to; that is undone again."""
    address, folder = fresh("starter")
    page = open_page(address, "weight")
    weigh(page, address, "58 g")
    first = (folder / "weighings.csv").read_bytes()
    weigh(page, address, "59 g")
    second = (folder / "weighings.csv").read_bytes()
    page.goto(f"{address}#/history")
    states = page.get_by_role("region", name="Saved states")
    states.get_by_role("link", name=re.compile("weighed: 58 g")).click()
    shown = page.get_by_role("region", name="State 1")
    expect(shown).to_contain_text("new file")
    expect(shown).to_contain_text("equipment.receiver,58 g")
    shown.get_by_role("button", name="Go back to this state").click()
    expect(states).to_contain_text(re.compile("[Bb]ack to state 1"))
    assert (folder / "weighings.csv").read_bytes() == first
    states.get_by_role("button", name=re.compile("^Undo: back to state 1")).click()
    expect(states.get_by_role("button", name=re.compile("^Redo: back to state 1"))).to_be_visible()
    assert (folder / "weighings.csv").read_bytes() == second
    for wanted in (first, None):
        before = states.get_by_role("listitem").count()
        page.locator("h1").click()
        page.keyboard.press("Control+z")
        expect(states.get_by_role("listitem")).to_have_count(before + 1)
        path = folder / "weighings.csv"
        assert (path.read_bytes() if path.exists() else None) == wanted
    expect(states.get_by_role("button", name="Undo", exact=True)).to_be_disabled()


def test_undo_stays_out_of_text_fields(fresh: Fresh, open_page: Opener) -> None:
    """Ctrl+Z in a text field belongs to the text."""
    address, folder = fresh("starter")
    page = open_page(address, "weight")
    weigh(page, address, "58 g")
    saved = (folder / "weighings.csv").read_bytes()
    one = page.get_by_label("Fin: weight with its unit")
    one.click()
    page.keyboard.press("Control+z")
    page.wait_for_timeout(400)
    assert (folder / "weighings.csv").read_bytes() == saved
