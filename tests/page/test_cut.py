"""The place where sheets are seen before they are printed, driven in a browser."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable
from typing import Any
from urllib.request import urlopen

import pytest
from playwright.sync_api import expect

from .conftest import Opener, Served, settled, state_of


def cut_record(address: str, seconds: float = 90.0) -> Any:
    """GET /api/cutting once nothing more follows."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        with urlopen(f"{address}api/cutting") as answer:
            found = json.load(answer)
        if not found["working"]:
            return found["record"]
        time.sleep(0.2)
    raise AssertionError("the boards are still being laid")


def test_board_is_shown_at_true_proportions_with_its_mark_and_legend(plover: str, open_page: Opener) -> None:
    """The picture has the board's proportions, and every line type is explained in words."""
    sheet = cut_record(plover)["sheets"][0]
    page = open_page(plover, "cut")
    picture = page.locator(".sheet svg")
    expect(picture).to_be_visible(timeout=20_000)
    size = picture.get_attribute("viewBox")
    assert size is not None
    wide, tall = map(float, size.split()[2:])
    assert wide >= sheet["width_mm"] + 30 and tall >= sheet["height_mm"] + 40
    expect(page.get_by_role("heading", name=re.compile("^Sheet 1 of"))).to_be_visible()
    for words in (
        "Edge of the part",
        "A spar or stick lies here",
        "End of a control surface",
        "Fold toward you",
    ):
        expect(page.get_by_text(words)).to_be_visible()
    expect(picture).to_contain_text(sheet["places"][0]["title"])
    assert picture.locator("script, style, a, image, foreignObject").count() == 0


def test_every_board_and_every_part_is_there(plover: str, open_page: Opener) -> None:
    """All boards can be chosen by address; the list has each part once, with the server's own figures; used beside
    the bound."""
    record = cut_record(plover)
    page = open_page(plover, "cut")
    links = page.locator(".all a")
    expect(links).to_have_count(len(record["sheets"]), timeout=20_000)
    links.last.click()
    number = len(record["sheets"])
    expect(page).to_have_url(re.compile(f"#/cut/{number}$"))
    expect(page.get_by_role("heading", name=re.compile(f"^Sheet {number} of {number}"))).to_be_visible()
    rows = page.locator("table.parts tbody tr")
    expect(rows).to_have_count(len(record["parts"]))
    for row, part in zip(rows.all_inner_texts()[:5], record["parts"], strict=False):
        assert part["title"] in row and part["name"] in row
    for one in record["materials"]:
        row = page.get_by_role("row", name=re.compile(f"^{one['material']} {one['used']} {one['bound']}"))
        expect(row).to_be_visible()


@pytest.mark.slow  # tests/web has the same without a browser
def test_a_printed_board_becomes_obsolete_when_its_stock_changes(
    fresh: Callable[[str], Served], open_page: Opener
) -> None:
    """Mark it printed, write another thickness: the page says obsolete and lists what changed; free it again."""
    address, folder = fresh("plover")
    cut_record(address)
    page = open_page(address, "cut")
    page.get_by_role("button", name="It is printed").click()
    expect(page.get_by_text("printed, revision A").first).to_be_visible(timeout=30_000)
    assert (folder / "sheets.json").is_file()
    box = page.locator('input[data-path="stock.board.thickness"]')
    box.fill("5 mm")
    box.press("Enter")
    expect(page.get_by_text("printed, revision A, obsolete").first).to_be_visible(timeout=90_000)
    expect(page.get_by_role("heading", name="Changed since parts were last laid")).to_be_visible()
    expect(page.get_by_text("board 4.8 to 5.0 mm").first).to_be_visible()
    page.get_by_role("button", name="Free again").click()
    expect(page.get_by_text("obsolete")).to_have_count(0, timeout=60_000)


def test_printer_readings_are_read_and_refused_beyond_three_per_cent(plover: str, open_page: Opener) -> None:
    """170 mm read as 169.0 corrects; 160 is refused with words and nothing can be made; a comma is read too."""
    page = open_page(plover, "cut")
    across = page.get_by_label(re.compile("Bar across, asked 170 mm"))
    make = page.get_by_role("button", name="Make boards and pages on A4")
    across.fill("169.0")
    expect(page.locator("#bar-0")).to_contain_text("pages now print at 100.6")
    expect(make).to_be_enabled()
    across.fill("168,5 mm")
    expect(page.locator("#bar-0")).to_contain_text("Read 168.5 mm")
    across.fill("160")
    expect(page.locator("#bar-0")).to_contain_text("more than 3 %")
    expect(across).to_have_attribute("aria-invalid", "true")
    expect(make).to_be_disabled()
    page.get_by_role("combobox", name=re.compile("^Paper")).select_option("Letter")
    expect(page.get_by_label(re.compile("Bar across, asked 170 mm"))).to_be_visible()


@pytest.mark.slow
def test_pages_are_made_with_a_bar_and_can_be_taken_along(
    fresh: Callable[[str], Served], open_page: Opener
) -> None:
    """The job runs, files can be downloaded, and a cancelled one leaves what was there."""
    address, folder = fresh("plover")
    settled(address)
    page = open_page(address, "cut")
    page.get_by_role("button", name="Make boards and pages on A4").click()
    expect(page.locator("progress").first).to_be_visible()
    link = page.get_by_role("link", name=re.compile(r"tiles.*\.pdf"))
    expect(link.first).to_be_visible(timeout=120_000)
    with page.expect_download() as waited:
        link.first.click()
    path = waited.value.path()
    assert path.read_bytes().startswith(b"%PDF")
    page.get_by_role("button", name="Make boards and pages on A4").click()
    page.get_by_role("button", name="Cancel").click()
    expect(page.get_by_text("Cancelled.")).to_be_visible(timeout=60_000)
    assert list((folder / "out").rglob("*.pdf"))


@pytest.mark.slow
def test_stock_can_be_changed_where_it_is_used(fresh: Callable[[str], Served], open_page: Opener) -> None:
    """A board weighed anew is typed here and the weights of the drawing follow."""
    address, folder = fresh("plover")
    before = settled(address)["drawn_mass"]["wing.right"]
    page = open_page(address, "cut")
    box = page.locator('input[data-path="stock.board.mass"]')
    box.fill("160 g")
    box.press("Enter")
    expect(page.locator(".bar.shown")).to_have_count(0)
    assert 'mass = "160 g"' in (folder / "aeroplane.toml").read_text()
    assert state_of(address)["drawn_mass"]["wing.right"] > before


@pytest.mark.slow  # the checklist asks the same of every place
@pytest.mark.parametrize("width", [1440, 390, 320])
def test_nothing_leaves_the_page_sideways(plover: str, open_page: Opener, width: int) -> None:
    """No sideways scrolling at any width, also with the larger sheet."""
    page = open_page(plover, "cut", width=width)
    page.get_by_role("button", name="Larger").click()
    over = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert over <= 0
