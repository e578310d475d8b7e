"""The files as plain text: saved, refused with advice at its line, kept in the field."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

Opener = Callable[..., Page]
Fresh = Callable[[str], tuple[str, Path]]


def test_refused_text_is_kept_with_advice_at_its_line(
    fresh: Fresh, open_page: Opener, quiet: list[str]
) -> None:
    """A text that cannot be read is refused: the file stands, the typed text stays, the advice names the line and
    leads to it."""
    quiet.append("400")
    address, folder = fresh("starter")
    before = (folder / "aeroplane.toml").read_bytes()
    page = open_page(address, "texts")
    area = page.get_by_label("Text of aeroplane.toml")
    expect(area).to_have_value(re.compile("First"))
    area.fill(area.input_value().replace('incidence = "2 deg"', 'incidence = "2 stone"'))
    page.get_by_role("button", name="Save aeroplane.toml").click()
    advice = page.get_by_role("region", name="Advice at its line")
    expect(advice).to_contain_text("stone")
    assert (folder / "aeroplane.toml").read_bytes() == before
    expect(area).to_have_value(re.compile("2 stone"))
    line = before.decode("utf-8").split("incidence")[0].count("\n") + 1
    advice.get_by_role("button", name=f"Line {line}").click()
    chosen = area.evaluate("one => one.value.slice(one.selectionStart, one.selectionEnd)")
    assert chosen == 'incidence = "2 stone"'


def test_each_file_is_listed(plover: str, open_page: Opener) -> None:
    """Every file of the folder can be chosen and read."""
    page = open_page(plover, "texts")
    expect(page.get_by_label("Text of aeroplane.toml")).to_have_value(re.compile("Plover"))
    names = page.get_by_label("File", exact=True).locator("option").all_text_contents()
    assert {"aeroplane.toml", "weighings.csv", "checks.csv", "site.toml"} <= set(names)
    page.get_by_label("File", exact=True).select_option("weighings.csv")
    expect(page.get_by_label("Text of weighings.csv")).to_have_value(re.compile("part,mass,when,who,note"))


@pytest.mark.slow  # the checklist asks the same of every place
def test_fits_a_phone(plover: str, open_page: Opener) -> None:
    """Nothing scrolls sideways but the text itself."""
    for place in ("texts", "history"):
        page = open_page(plover, place, 390)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
