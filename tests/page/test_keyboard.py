"""The main job of every place with the keyboard alone: nothing is clicked, nothing is focused by script.

The field has its own in test_field_place.py, where its rings are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from .conftest import Made, Opener, Served, serving, settled, state_of, tab_to


@pytest.fixture(scope="module")
def own(built: Path, made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One project that all tests here work on, each at its own place."""
    folder = made(tmp_path_factory.mktemp("keys"), "starter", False)
    with serving(folder) as address:
        settled(address)
        yield address, folder


def typed(page: Page, name: str, words: str) -> None:
    """Tab to a field, put words in place of what it holds."""
    tab_to(page, name)
    page.keyboard.press("Control+a")
    page.keyboard.type(words)


def pressed(page: Page, name: str) -> None:
    """Tab to a button or a link, press Enter."""
    tab_to(page, name)
    page.keyboard.press("Enter")


def test_aeroplane_a_number_is_found_and_changed(own: Served, open_page: Opener) -> None:
    """Sought by words, typed, saved with Enter, undone with Ctrl+Z."""
    address, folder = own
    was = (folder / "aeroplane.toml").read_text()
    page = open_page(address, "aeroplane")
    typed(page, "Find a number", "wing, span")
    typed(page, "span", "2.1 m")
    page.keyboard.press("Enter")
    expect(page.locator(".bar.shown")).to_have_count(0)
    assert 'span = "2.1 m"' in (folder / "aeroplane.toml").read_text()
    tab_to(page, "Show also")
    page.keyboard.press("Control+z")
    expect(page.locator('input[data-path="wing.span"]')).to_have_value("2 m")
    assert (folder / "aeroplane.toml").read_text() == was


def test_weight_a_part_is_weighed(own: Served, open_page: Opener) -> None:
    address, folder = own
    page = open_page(address, "weight")
    typed(page, "Receiver: weight with its unit", "58 g")
    expect(page.get_by_role("region", name="If you save 58 g")).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.get_by_role("region", name="If you save 58 g")).to_have_count(0)
    assert "equipment.receiver,58 g" in (folder / "weighings.csv").read_text()


def test_tests_a_trial_is_planned_and_given_rows(own: Served, open_page: Opener) -> None:
    """From the rack to a trial with its readings."""
    address, folder = own
    page = open_page(address, "tests")
    pressed(page, "Load a smaller wing until it breaks")
    typed(page, "What we expect", "2.2 kg to 3.9 kg each side")
    typed(page, "Its size over that of the aeroplane", "0.5")
    typed(page, "How it is held", "saddle 90 mm wide in the middle")
    pressed(page, "Plan this trial")
    expect(page.get_by_role("button", name="Begin with its heads")).to_be_visible()
    typed(
        page,
        "Or type or paste",
        "step,load_each_side_g,tip_left_mm,tip_right_mm,minute,note\n1,0,900,901,1,\n",
    )
    expect(page.get_by_text("Every cell can be read.")).to_be_visible()
    pressed(page, "Keep these rows")
    expect(page.get_by_role("region", name="Rows as logged")).to_be_visible()
    assert list((folder / "trials").glob("*/readings.csv"))


def test_cut_the_printer_is_corrected_and_pages_are_made(own: Served, open_page: Opener) -> None:
    address, folder = own
    page = open_page(address, "cut")
    bar = page.get_by_label(re.compile("^Bar across"))
    asked = re.search(r"asked (\d+) mm", bar.evaluate("one => one.labels[0].textContent"))
    assert asked is not None
    typed(page, "Bar across", str(int(asked.group(1)) - 1))
    pressed(page, "Make boards and pages on A4")
    expect(page.get_by_text("Made:")).to_be_visible(timeout=60_000)
    assert list((folder / "out").rglob("*.pdf"))


def test_ready_two_people_sign(own: Served, open_page: Opener) -> None:
    address, folder = own
    page = open_page(address, "ready")
    pressed(page, "Sign it: ")
    typed(page, "First person", "one teacher")
    typed(page, "Second person", "one member")
    pressed(page, "Save what we saw")
    expect(page.get_by_role("button", name="Save what we saw")).to_have_count(0)
    assert "one teacher" in (folder / "checks.csv").read_text()


def test_texts_a_file_is_written_in(own: Served, open_page: Opener) -> None:
    address, folder = own
    page = open_page(address, "texts")
    tab_to(page, "Text of aeroplane.toml")
    page.keyboard.press("Control+End")
    page.keyboard.type("# written by hand\n")
    pressed(page, "Save aeroplane.toml")
    expect(page.get_by_role("button", name="Save aeroplane.toml")).to_be_disabled()
    assert (folder / "aeroplane.toml").read_text().endswith("# written by hand\n")


def test_history_back_to_the_opening(own: Served, open_page: Opener) -> None:
    """A state is chosen, its differences are read, and the files go back to it."""
    address, folder = own
    page = open_page(address, "weight")
    typed(page, "Fin: weight with its unit", "44 g")
    page.keyboard.press("Enter")
    expect(page.get_by_role("region", name="If you save 44 g")).to_have_count(0)
    page = open_page(address, "history")
    pressed(page, "The opening of the project")
    pressed(page, "Go back to this state")
    expect(page.get_by_role("region", name="Saved states")).to_contain_text("ack to state")
    assert not (folder / "weighings.csv").exists()
    assert state_of(address)["undo"].startswith("back to state")


def test_engines_a_number_is_asked_and_a_chart_read_as_a_table(plover: str, open_page: Opener) -> None:
    """The job of the place is asking: push and minutes are opened where they stand, the curve is read as numbers."""
    page = open_page(plover, "engines")
    expect(page.get_by_role("region", name="The numbers")).to_be_visible()
    tab_to(page, "The numbers as a table")
    page.keyboard.press("Enter")
    expect(page.locator("details[open] table").first).to_be_visible()
    for figure in ("thrust_static", "endurance"):
        button = page.locator(f'button[data-figure="{figure}"]').first
        tab_to(page, re.sub(r"\s+", " ", str(button.get_attribute("aria-label"))))
        page.keyboard.press("Enter")
        expect(button).to_have_attribute("aria-expanded", "true")
        expect(page.get_by_role("heading", name="Comes from").first).to_be_visible()
        page.keyboard.press("Enter")
        expect(button).to_have_attribute("aria-expanded", "false")


def test_frame_places_units_and_verdict(own: Served, open_page: Opener) -> None:
    """Every place is reached from the row of places; units are switched; the verdict's row is opened."""
    address, _ = own
    page = open_page(address, "ready")
    names = page.get_by_role("navigation", name="Places").get_by_role("link").all_inner_texts()
    assert len(names) >= 7
    for name in names:
        pressed(page, name.strip())
        expect(page.get_by_role("navigation", name="Places").locator("[aria-current=page]")).to_contain_text(
            name.strip()
        )
    tab_to(page, "Units")
    page.keyboard.press("ArrowDown")
    expect(page.get_by_label("Units")).not_to_have_value("file")
