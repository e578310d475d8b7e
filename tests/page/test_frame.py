"""The frame: verdict in sight, places, first visit, lost server, units and light, keyboard, print, size."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from .conftest import WEB, Made, Opener, serving, settled, state_of, until

PLACES = ("aeroplane", "cut", "weight", "tests", "field", "ready", "engines", "flying", "history")
FIRST_KB, WHOLE_KB = 900, 1100


@pytest.mark.parametrize("place", ["aeroplane", "ready"])
def test_the_first_picture_is_small(page: Page, plover: str, place: str) -> None:
    """The page is what is fetched until a place shows its first picture, the drawing library of the turned view with
    it: letters, styles, programs, uncompressed. What other places show is fetched after that, when the browser has
    time; here it never has. What the server says of the project is not the page."""
    page.add_init_script("window.requestIdleCallback = () => 0")
    sizes: dict[str, int] = {}
    page.on(
        "response", lambda one: sizes.update({one.url: len(one.body())}) if "/api/" not in one.url else None
    )
    page.goto(f"{plover}#/{place}")
    page.wait_for_selector(
        "canvas[data-mesh]" if place == "aeroplane" else ".on-mat + .rest figure, main section"
    )
    page.wait_for_load_state("networkidle")
    assert len(sizes) >= 8, sizes
    assert sum(sizes.values()) <= FIRST_KB * 1000, sizes
    assert page.locator("main h1").is_visible()


def test_the_whole_page_is_bounded(built: Path) -> None:
    """Every place, licences and the sign of the tab; it is never fetched as one."""
    size = sum(one.stat().st_size for one in built.rglob("*") if one.is_file())
    assert size <= WHOLE_KB * 1000


def test_other_places_come_by_themselves(open_page: Opener, plover: str) -> None:
    """Once one place is shown the others are fetched, so that each opens at once, also when the server
    has gone."""
    page = open_page(plover, "ready")
    fetched = (
        "performance.getEntriesByType('resource').filter((one) => /Place-.*[.]js/.test(one.name)).length"
    )
    until(lambda: page.evaluate(fetched) > len(PLACES))
    page.route("**/assets/Place*", lambda route: route.abort())
    for place in PLACES:
        page.evaluate("(place) => { location.hash = '#/' + place }", place)
        expect(page.locator("main .boards, main .board").first).to_be_visible()


def test_a_place_that_does_not_come_says_so(page: Page, plover: str, quiet: list[str]) -> None:
    quiet.append("ERR_FAILED")
    page.add_init_script("window.requestIdleCallback = () => 0")
    page.goto(f"{plover}#/ready")
    page.wait_for_selector("h1")
    page.route("**/assets/Place*", lambda route: route.abort())
    page.get_by_role("link", name="The weight").click()
    expect(page.get_by_text("This place could not be fetched.")).to_be_visible()


def test_nothing_in_the_built_page_names_a_host(built: Path) -> None:
    """Names of XML vocabularies and links to a library's own help are text; nothing is loaded from them."""
    index = (built / "index.html").read_text()
    assert not re.search(r'(?:src|href)="(?:https?:)?//', index)
    styles = "".join(one.read_text() for one in built.rglob("*.css"))
    assert "http" not in styles


def test_the_lock_names_no_registry() -> None:
    assert "registry" not in (WEB / "package-lock.json").read_text()


@pytest.mark.skipif(shutil.which("node") is None, reason="no Node on this machine")
def test_types_and_units_are_those_of_the_server() -> None:
    if not (WEB / "node_modules").is_dir():
        pytest.skip("the page's packages are not installed")
    done = subprocess.run(["node", "scripts/types.mjs", "--check"], cwd=WEB, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_verdict_is_in_sight_in_every_place(open_page: Opener, plover: str) -> None:
    verdict = state_of(plover)["document"]["verdict"]
    for place in PLACES:
        page = open_page(plover, place)
        mat = page.get_by_role("complementary", name="The verdict")
        expect(mat).to_contain_text(verdict["says"])
        expect(mat).to_contain_text(verdict["sentence"])
        expect(page.locator("h1")).to_be_visible()


def test_phone_has_the_strip_and_opens_the_mat(open_page: Opener, plover: str) -> None:
    page = open_page(plover, "ready", width=390)
    verdict = state_of(plover)["document"]["verdict"]
    strip = page.locator("button.strip")
    expect(strip).to_contain_text(verdict["says"])
    expect(page.locator(".mat")).to_be_hidden()
    strip.click()
    expect(page.locator(".mat")).to_be_visible()
    strip.click()
    expect(page.locator(".mat")).to_be_hidden()


def test_all_numbers_shown_are_those_of_the_study(open_page: Opener, plover: str) -> None:
    """Each row of the fence shows the words that the server gives its figure."""
    page = open_page(plover, "ready")
    state = state_of(plover)
    for one in state["document"]["findings"]:
        if not one["stick"]:
            continue
        row = page.locator(f"[id='row-{one['id']}']")
        expect(row).to_contain_text(one["sentence"])
        words = state["words"][one["figure"]]
        exact = one["stick"][0][0] == one["stick"][0][2]
        expect(row).to_contain_text(words["value"] if exact else words["band"])


def test_a_row_is_touched_to_see_its_source(open_page: Opener, plover: str) -> None:
    page = open_page(plover, "ready")
    one = next(row for row in state_of(plover)["document"]["findings"] if row["id"] == "mass_limit")
    button = page.locator("[id='row-mass_limit'] button")
    expect(button).to_have_attribute("aria-expanded", "false")
    button.press("Enter")
    expect(button).to_have_attribute("aria-expanded", "true")
    expect(page.locator("[id='row-mass_limit']")).to_contain_text(one["source"])
    button.press("Enter")
    expect(button).to_have_attribute("aria-expanded", "false")


def test_units_and_light_are_kept(open_page: Opener, plover: str) -> None:
    page = open_page(plover, "ready")
    page.get_by_role("combobox", name="Units").select_option("imperial")
    expect(page.locator("[id='row-mass_limit'] .value strong")).to_contain_text("lb")
    page.get_by_role("combobox", name="Light").select_option("dark")
    assert page.evaluate("getComputedStyle(document.documentElement).colorScheme") == "dark"
    page.reload()
    page.wait_for_selector("h1")
    expect(page.locator("[id='row-mass_limit'] .value strong")).to_contain_text("lb")
    assert page.evaluate("document.documentElement.dataset.light") == "dark"


def test_two_people_sign_a_check(open_page: Opener, fresh: Any) -> None:
    address, folder = fresh("starter")
    settled(address)
    page = open_page(address, "ready")
    before = (folder / "checks.csv").read_text() if (folder / "checks.csv").exists() else ""
    board = page.get_by_role("region", name="Two people each")
    board.get_by_role("button", name=re.compile("^Sign it")).first.click()
    board.get_by_label("First person").fill("pilot")
    board.get_by_label("Second person").fill("builder")
    board.get_by_role("button", name="Save what we saw").click()
    expect(board.get_by_label("First person")).to_have_count(0)
    after = (folder / "checks.csv").read_text()
    assert after.startswith(before) and "pilot and builder" in after[len(before) :]


def test_first_visit_from_an_empty_folder(open_page: Opener, fresh: Any) -> None:
    address, folder = fresh("nothing")
    page = open_page(address)
    expect(page.locator("h1")).to_have_text("What do we start from?")
    page.get_by_role("button", name="Start from starter").click()
    expect(page.get_by_role("navigation", name="Places")).to_be_visible()
    assert (folder / "aeroplane.toml").is_file()
    settled(address)
    page.get_by_role("link", name="Are we ready").click()
    expect(page.locator("h1")).to_have_text("Are we ready?")
    expect(page.locator(".fence li").first).to_be_visible()


def test_empty_sheet_is_no_dead_end(open_page: Opener, fresh: Any) -> None:
    address, folder = fresh("nothing")
    page = open_page(address)
    page.get_by_label("What shall it be called?").fill("Wren <b>bold</b>")
    page.get_by_role("button", name="Start from an empty sheet").click()
    expect(page.get_by_role("navigation", name="Places")).to_be_visible()
    assert "Wren" in (folder / "aeroplane.toml").read_text()
    assert page.locator("b", has_text="bold").count() == 0


def test_lost_server_is_said_and_comes_back(
    open_page: Opener, built: Path, made: Made, tmp_path: Path, quiet: list[str]
) -> None:
    quiet.extend(["WebSocket connection", "ERR_CONNECTION_REFUSED"])
    folder = made(tmp_path, "starter", False)
    with serving(folder) as address:
        page = open_page(address, "ready")
    expect(page.get_by_role("alert")).to_contain_text("planewright has stopped")


def test_whole_page_by_keyboard(open_page: Opener, plover: str) -> None:
    page = open_page(plover, "ready")
    page.keyboard.press("Tab")
    expect(page.locator(":focus")).to_have_text("To the page")
    page.keyboard.press("Enter")
    expect(page.locator(":focus")).to_have_attribute("id", "page")
    reached = set()
    for _ in range(80):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("(document.activeElement?.textContent ?? '').trim().slice(0, 60)"))
    for sentence in (
        one["sentence"][:60] for one in state_of(plover)["document"]["findings"] if one["stick"]
    ):
        assert sentence in reached
