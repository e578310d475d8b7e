"""Two hands on one file: a text editor and the page. Merged where they touch different places, else both are shown."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

Opener = Callable[..., Page]
Fresh = Callable[[str], tuple[str, Path]]


def replaced(path: Path, old: str, new: str) -> None:
    """What a text editor does: one place changed, the file written anew."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def typed(page: Page, old: str, new: str) -> None:
    """One place changed in the page's own text field."""
    area = page.get_by_label("Text of aeroplane.toml")
    expect(area).to_have_value(re.compile("name"))
    text = area.input_value()
    assert old in text
    area.fill(text.replace(old, new, 1))


def test_different_places_are_merged(fresh: Fresh, open_page: Opener) -> None:
    """The editor changes one line, the page another: both stand in the file after saving, and comments too."""
    address, folder = fresh("starter")
    plane = folder / "aeroplane.toml"
    page = open_page(address, "texts")
    typed(page, 'dihedral = "3 deg"', 'dihedral = "4 deg"')
    replaced(plane, 'charge = "4000 mAh"', 'charge = "4500 mAh"')
    expect(page.get_by_text("was changed on the disk meanwhile")).to_be_visible()
    page.get_by_role("button", name="Save aeroplane.toml").click()
    expect(page.get_by_label("Text of aeroplane.toml")).to_have_value(re.compile('charge = "4500 mAh"'))
    text = plane.read_text(encoding="utf-8")
    assert 'dihedral = "4 deg"' in text and 'charge = "4500 mAh"' in text and "# with its wiring" in text


def test_same_place_shows_both(fresh: Fresh, open_page: Opener, quiet: list[str]) -> None:
    """Both change one line: both versions are shown, nothing is lost, the reader chooses."""
    quiet.append("409")
    address, folder = fresh("starter")
    plane = folder / "aeroplane.toml"
    page = open_page(address, "texts")
    typed(page, 'dihedral = "3 deg"', 'dihedral = "4 deg"')
    replaced(plane, 'dihedral = "3 deg"', 'dihedral = "5 deg"')
    expect(page.get_by_text("was changed on the disk meanwhile")).to_be_visible()
    page.get_by_role("button", name="Save aeroplane.toml").click()
    both = page.get_by_role("region", name="Two versions of aeroplane.toml")
    expect(both).to_contain_text('dihedral = "5 deg"')
    expect(both).to_contain_text('dihedral = "4 deg"')
    assert 'dihedral = "5 deg"' in plane.read_text(encoding="utf-8")
    both.get_by_role("button", name="Write mine over it").click()
    expect(both).to_have_count(0)
    assert 'dihedral = "4 deg"' in plane.read_text(encoding="utf-8")


def test_editor_change_reaches_the_page(fresh: Fresh, open_page: Opener) -> None:
    """A file saved in an editor is on the page by itself, and stands in the history as such."""
    address, folder = fresh("starter")
    page = open_page(address, "texts")
    expect(page.get_by_label("Text of aeroplane.toml")).to_have_value(re.compile('dihedral = "3 deg"'))
    replaced(folder / "aeroplane.toml", 'dihedral = "3 deg"', 'dihedral = "2 deg"')
    expect(page.get_by_label("Text of aeroplane.toml")).to_have_value(re.compile('dihedral = "2 deg"'))
    page.goto(f"{address}#/history")
    expect(page.get_by_role("region", name="Saved states")).to_contain_text("in a file, by another program")


def test_two_pages(fresh: Fresh, open_page: Opener) -> None:
    """Two pages open: what one saves the other shows."""
    address, folder = fresh("starter")
    page = open_page(address, "weight")
    other = page.context.new_page()
    other.goto(f"{address}#/weight")
    one, two = (each.get_by_label("Receiver: weight with its unit") for each in (page, other))
    one.fill("58 g")
    expect(page.get_by_role("region", name="If you save 58 g")).to_be_visible()
    one.press("Enter")
    expect(two).to_have_value("58 g")
    two.fill("59 g")
    expect(other.get_by_role("region", name="If you save 59 g")).to_be_visible()
    two.press("Enter")
    expect(one).to_have_value("59 g")
    kept = (folder / "weighings.csv").read_text(encoding="utf-8")
    assert "equipment.receiver,58 g" in kept and "equipment.receiver,59 g" in kept
