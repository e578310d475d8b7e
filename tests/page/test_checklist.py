"""The checklist of a page, by script: names for screen readers, contrast, overlap, size of text and of targets, narrow
and enlarged windows, dark, print. On every place.

Contrast is computed with the formula of WCAG 2.2 (relative luminance, W3C Recommendation 2023, success criterion
1.4.3: at least 4.5, large text 3); faults of names and roles by axe-core from the page's own packages.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from .conftest import WEB, Opener

PLACES = ("aeroplane", "cut", "weight", "tests", "field", "ready", "history")
AXE = WEB / "node_modules/axe-core/axe.min.js"

SCRIPT = (Path(__file__).parent / "checklist.js").read_text()


def look(page: Page, name: str, *words: Any) -> Any:
    """Call one function of the checklist script in the page."""
    page.evaluate(SCRIPT)
    return page.evaluate(f"(words) => window.checklist.{name}(...words)", list(words))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("place", PLACES)
def test_no_serious_fault_of_names_or_roles(open_page: Opener, plover: str, place: str, scheme: str) -> None:
    if not AXE.is_file():
        pytest.skip("the page's packages are not installed")
    page = open_page(plover, place, scheme=scheme)
    page.evaluate(AXE.read_text())
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    grave = [
        f"{one['id']}: {one['help']}: {node['html'][:160]} {node.get('failureSummary', '')[:200]}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"][:4]
    ]
    assert not grave, "\n".join(grave)


@pytest.mark.parametrize("width", [1440, 390])
@pytest.mark.parametrize("place", PLACES)
def test_texts_do_not_overlap(open_page: Opener, plover: str, place: str, width: int) -> None:
    page = open_page(plover, place, width=width)
    assert look(page, "overlaps") == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("place", PLACES)
def test_contrast_and_least_size_of_text(open_page: Opener, plover: str, place: str, scheme: str) -> None:
    page = open_page(plover, place, scheme=scheme)
    assert look(page, "faint") == []
    assert look(page, "tiny", 13) == []


@pytest.mark.parametrize("width", [390, 320])
@pytest.mark.parametrize("place", PLACES)
def test_narrow_windows_need_no_sideways_scroll(
    open_page: Opener, gannet: str, place: str, width: int
) -> None:
    page = open_page(gannet, place, width=width)
    assert look(page, "wider") == []
    assert look(page, "cut") == []


@pytest.mark.parametrize("place", PLACES)
def test_targets_on_a_phone(open_page: Opener, plover: str, place: str) -> None:
    """At least 44 px high for buttons, fields and selects; links in running text are left out."""
    page = open_page(plover, place, width=390)
    assert look(page, "targets", 44) == []


@pytest.mark.parametrize("width", [1440, 390])
@pytest.mark.parametrize("place", PLACES)
def test_text_twice_as_large(open_page: Opener, plover: str, place: str, width: int) -> None:
    page = open_page(plover, place, width=width)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    page.wait_for_timeout(100)
    assert look(page, "wider") == []
    assert look(page, "overlaps") == []
    assert look(page, "cut") == []


@pytest.mark.parametrize("place", PLACES)
def test_print_is_black_on_white_without_buttons(open_page: Opener, plover: str, place: str) -> None:
    page = open_page(plover, place, scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    assert look(page, "coloured") == []
    assert page.locator("nav[aria-label=Places]").is_hidden()
    assert page.locator("h1").is_visible()


@pytest.mark.parametrize("place", PLACES)
def test_question_answer_and_one_filled_button(open_page: Opener, plover: str, place: str) -> None:
    page = open_page(plover, place)
    assert page.locator("h1").count() == 1
    assert page.locator("main .lead").first.inner_text().strip()
    assert page.locator("main .button.filled:visible").count() <= 1


@pytest.mark.parametrize("place", PLACES)
def test_words_to_avoid_are_not_on_the_page(open_page: Opener, plover: str, place: str) -> None:
    page = open_page(plover, place)
    text = page.locator("body").inner_text().lower()
    for word in (
        "safe to",
        "is safe",
        "oops",
        "invalid",
        "confidence",
        "optimal",
        "dashboard",
        "wizard",
        "undefined",
        "nan",
    ):
        assert f" {word} " not in f" {text} ", word
    assert "!" not in text


def test_nothing_moves_when_less_motion_is_wished(open_page: Opener, plover: str) -> None:
    page = open_page(plover, "ready")
    page.emulate_media(reduced_motion="reduce")
    button = page.locator("[id='row-mass_limit'] button")
    button.click()
    assert page.evaluate("document.getAnimations().length") == 0
