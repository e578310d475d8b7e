"""A place that is left while its answers are still on their way: nothing of it speaks, moves the page or comes back.

Answers are held back half a second, longer than any place is looked at here; the page of every test fails on a word
on the console, so a value read after its place has gone is found at every run and not only under load.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from .conftest import Opener

SLOW = """() => { const ask = window.fetch
  window.fetch = async (...words) => {
    const answer = await ask(...words)
    await new Promise((done) => setTimeout(done, 500))
    return answer
  } }"""
PLACES = ("ready", "aeroplane", "weight", "tests", "cut", "engines", "field", "texts", "history")


def go(page: Page, place: str) -> None:
    """To a place by its address, as a link does; two frames to be drawn in."""
    page.evaluate("(place) => { location.hash = '#/' + place }", place)
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


@pytest.fixture
def slow(plover: str, open_page: Opener) -> Page:
    """The example with answers that take their time."""
    page = open_page(plover, "ready")
    page.evaluate(SLOW)
    return page


def test_every_place_is_left_before_its_answers_come(slow: Page) -> None:
    for place in PLACES:
        go(slow, place)
        go(slow, "ready")
    for place in PLACES:
        go(slow, place)
        slow.get_by_label("Units").select_option("imperial" if place < "m" else "metric")
        go(slow, "ready/wing_holds")
    slow.wait_for_timeout(900)
    expect(slow.get_by_role("heading", level=1)).to_be_visible()


def test_choices_inside_a_place_are_left_too(slow: Page) -> None:
    """Another file, another saved state (one that is not there), another sheet, one after the other."""
    for rest in (
        "texts/site.toml",
        "texts/weighings.csv",
        "history/1",
        "history/99999",
        "cut/1",
        "cut/2",
        "texts",
        "ready",
    ):
        go(slow, rest)
    slow.wait_for_timeout(900)
