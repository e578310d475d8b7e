"""Each number can be asked, on every place that shows numbers of the study: where from, how wide, what it moves, who
measured it."""

from __future__ import annotations

from math import floor

import pytest
from playwright.sync_api import expect

from .conftest import Opener, settled

# The rows of "Are we ready" open the same answers; they are tested with the frame.
PLACES = ("aeroplane", "weight", "tests/2026-04-11-vehicle", "field")
# Opens every number one after the other, as a reader would, and gives back what each says.
ASK = """async () => {
  const found = []
  for (const button of [...document.querySelectorAll('main button[aria-expanded][data-figure]')]) {
    if (button.getAttribute('aria-expanded') === 'false') button.click()
    let chain = null
    for (let i = 0; i < 60 && !chain; i++) {
      await new Promise(requestAnimationFrame)
      chain = document.querySelector('main .chain')
    }
    found.push({ id: button.dataset.figure, name: button.getAttribute('aria-label') ?? button.textContent,
      heads: chain ? [...chain.querySelectorAll('h3')].map((one) => one.textContent) : [],
      inputs: chain ? [...chain.querySelectorAll('.inputs li')].map((one) => one.textContent) : [],
      says: chain?.textContent ?? '' })
    button.click()
    for (let i = 0; i < 60 && document.querySelector('main .chain'); i++) await new Promise(requestAnimationFrame)
  }
  return found
}"""


@pytest.mark.parametrize("place", PLACES)
def test_each_number_can_be_asked(plover: str, open_page: Opener, place: str) -> None:
    """Opened one after the other: its inputs with their share, what is known of each and from whom, its band, its
    method; the same figure, inputs and band as the server's."""
    state = settled(plover)
    figures, words = state["document"]["figures"], state["words"]
    source = {one["id"]: one["source"] for one in state["inputs"]}
    page = open_page(plover, place)
    page.emulate_media(reduced_motion="reduce")
    expect(page.locator("main button[data-figure]").first).to_be_visible()
    answers = page.evaluate(ASK)
    assert answers
    for one in answers:
        figure = figures[one["id"]]
        assert "How it was worked out" in one["heads"], one["name"]
        assert figure["method"] in one["says"] and figure["term"] in one["says"], one["id"]
        assert len(one["inputs"]) == len(figure["rests_on"]), one["id"]
        for (name, share), said in zip(figure["rests_on"], one["inputs"], strict=True):
            assert f"{floor(share * 100 + 0.5)} % of its doubt" in said, (one["id"], name)
            assert source.get(name, "") in said, (one["id"], name)
        if figure["low"] is not None and words[one["id"]]["band"] != "as drawn":
            assert "95 in 100 between" in one["says"], one["id"]
        rows = [row["sentence"] for row in state["document"]["findings"] if row["figure"] == one["id"]]
        assert all(row in one["says"] for row in rows), one["id"]
