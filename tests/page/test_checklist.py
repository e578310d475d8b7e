"""The checklist of a page, by script, on every place: names for screen readers, contrast, overlap, size of text and of
targets, narrow windows, text twice as large, dark, print, words to avoid.

Contrast is computed with the formula of WCAG 2.2 (relative luminance; W3C Recommendation 5 October 2023, success
criterion 1.4.3: at least 4.5, large text 3); faults of names and roles by axe-core from the page's own packages.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from .conftest import WEB, Opener

PLACES = sorted(one.parent.name for one in (WEB / "src/places").glob("*/place.ts"))
AXE = WEB / "node_modules/axe-core/axe.min.js"
SCRIPT = (Path(__file__).parent / "checklist.js").read_text()
# Resolves when the page has kept its size for ten pictures in a row: drawings are measured and drawn anew by then.
STILL = """() => new Promise((done) => {
  let last = '', same = 0
  const look = () => {
    const { scrollWidth, scrollHeight } = document.documentElement
    const now = `${innerWidth} ${scrollWidth} ${scrollHeight}`
    same = now === last ? same + 1 : 0
    last = now
    if (same > 10) done(); else requestAnimationFrame(look)
  }
  look()
})"""
AVOID = ("is safe", "safe to", "oops", "invalid", "confidence", "optimal", "dashboard", "wizard", "undefined", "nan",
         "[object object]")  # fmt: skip


def look(page: Page, name: str, *words: Any) -> list[str]:
    """Faults that one function of the checklist script finds in the page as it stands."""
    return [
        f"{name}: {one}"
        for one in page.evaluate(f"(words) => window.checklist.{name}(...words)", list(words))
    ]


def grave(page: Page) -> list[str]:
    """Serious and critical faults of names and roles."""
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{one['id']}: {one['help']}: {node['html'][:140]}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"][:4]
    ]


def words_found(page: Page) -> list[str]:
    """Words to avoid, and the mark that shouts, where they stand on the page."""
    text = f" {page.locator('body').inner_text().lower()} "
    return [f"word to avoid: {one}" for one in (*(f" {word} " for word in AVOID), "!") if one in text]


def layout(page: Page) -> list[str]:
    """Overlapping texts, what makes the page wider than its window, texts cut by their own box."""
    return look(page, "overlaps") + look(page, "wider") + look(page, "cut")


def size(page: Page, width: int, scheme: str = "light") -> None:
    """Another window or light, settled."""
    page.set_viewport_size({"width": width, "height": 1000 if width > 600 else 844})
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    page.evaluate(STILL)


def prepared(open_page: Opener, address: str, place: str) -> Page:
    """The page with axe and the checklist script in it."""
    if not AXE.is_file():
        pytest.skip("the page's packages are not installed: npm ci in web/")
    page = open_page(address, place)
    page.wait_for_load_state("networkidle")
    page.evaluate(AXE.read_text())
    page.evaluate(SCRIPT)
    return page


@pytest.mark.parametrize("place", PLACES)
def test_read_by_everyone(open_page: Opener, plover: str, place: str) -> None:
    """Names, roles, contrast and size of text, in light and in dark; question, answer, one filled button; words."""
    page = prepared(open_page, plover, place)
    faults = words_found(page)
    for scheme in ("light", "dark"):
        size(page, 1440, scheme)
        faults += [f"{scheme}: {one}" for one in grave(page) + look(page, "faint") + look(page, "tiny", 13)]
    assert not faults, "\n".join(faults)
    assert page.locator("h1").count() == 1
    assert page.locator("main .lead").first.inner_text().strip()
    assert page.locator("main .button.filled:visible").count() <= 1


@pytest.mark.parametrize("place", PLACES)
def test_fits_every_window(open_page: Opener, plover: str, place: str) -> None:
    """1440, 900, 390 and 320 px; text twice as large at 1440 and 390 px; targets of 44 px on a phone."""
    page = prepared(open_page, plover, place)
    faults = []
    for width in (1440, 900, 390, 320):
        size(page, width)
        faults += [f"{width} px: {one}" for one in layout(page)]
    size(page, 390)
    faults += [f"390 px: {one}" for one in look(page, "targets", 44)]
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    for width in (1440, 390):
        size(page, width)
        faults += [f"{width} px, 200 % text: {one}" for one in layout(page)]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("place", PLACES)
def test_prints_black_on_white_without_buttons(open_page: Opener, plover: str, place: str) -> None:
    page = prepared(open_page, plover, place)
    page.emulate_media(media="print", color_scheme="dark")
    faults = look(page, "coloured") + look(page, "overlaps")
    assert not faults, "\n".join(faults)
    assert page.locator("nav[aria-label=Places]").is_hidden()
    assert page.locator("h1").is_visible()


def test_nothing_moves_when_less_motion_is_wished(open_page: Opener, plover: str) -> None:
    page = open_page(plover, "ready")
    page.emulate_media(reduced_motion="reduce")
    page.locator("[id='row-mass_limit'] button").click()
    assert page.evaluate("document.getAnimations().length") == 0


def test_the_checklist_finds_planted_faults(open_page: Opener, plover: str) -> None:
    """The script itself can fail: faint, tiny, overlapping, wide and small things put into the page are found."""
    page = prepared(open_page, plover, "ready")
    page.evaluate("""() => {
        const main = document.querySelector('main')
        const put = (tag, text, css) => {
          const one = document.createElement(tag); one.textContent = text; one.style.cssText = css; main.prepend(one)
        }
        put('p', 'hardly seen', 'color: rgb(200 205 196)')
        put('p', 'hardly read', 'font-size: 9px')
        put('p', 'one over', 'position: relative; z-index: 1; height: 24px; margin-bottom: -24px')
        put('button', 'small', 'height: 20px; min-height: 0; padding: 0')
        put('div', 'wide', 'width: 3000px')
    }""")
    for name, words in (("faint", ()), ("tiny", (13,)), ("overlaps", ()), ("wider", ()), ("targets", (44,))):
        assert look(page, name, *words), name
