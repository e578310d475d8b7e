"""The aeroplane's place, driven in a browser: the turned view, rings dragged and stepped, numbers typed, no WebGL."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from .conftest import Opener, Served, state_of

CHORD = "wing.stations.2.chord"


def drawn(page: Page) -> str:
    """The mark of the mesh that is on the page, once it is."""
    canvas = page.wait_for_selector("canvas[data-mesh][data-frames]")
    return str(canvas.get_attribute("data-mesh")) if canvas else ""


def frames(page: Page) -> int:
    """Pictures drawn so far."""
    return int(page.locator("canvas").get_attribute("data-frames") or 0)


def ring(page: Page, path: str) -> Locator:
    """The ring of a field."""
    return page.locator(f'.ring[data-path="{path}"]')


def middle(place: Locator) -> tuple[float, float]:
    """Where the drawn circle of a ring stands on the screen."""
    box = place.locator(".drawn").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def field_text(address: str, path: str) -> str:
    """A field as the server has it."""
    return next(str(one["text"]) for one in state_of(address)["fields"] if one["path"] == path)


def test_turned_view_is_drawn_turns_by_keys_and_mouse_and_then_rests(plover: str, open_page: Opener) -> None:
    """Not blank; a key and a drag draw anew; nothing is drawn while nobody asks for it."""
    page = open_page(plover, "aeroplane")
    assert drawn(page) == state_of(plover)["shape"]["mesh"]
    colours = page.evaluate(
        "() => { const c = document.querySelector('canvas'), g = c.getContext('webgl2');"
        " const p = new Uint8Array(4 * c.width * c.height);"
        " g.readPixels(0, 0, c.width, c.height, g.RGBA, g.UNSIGNED_BYTE, p);"
        " const seen = new Set(); for (let i = 0; i < p.length; i += 400) seen.add(p[i] >> 4); return seen.size }"
    )
    assert colours > 3
    canvas = page.locator("canvas")
    assert "in front on the left" in (canvas.get_attribute("aria-label") or "")
    before = frames(page)
    canvas.focus()
    for _ in range(6):
        page.keyboard.press("Shift+ArrowRight")
    expect(canvas).not_to_have_attribute("aria-label", re.compile("in front on the left"))
    box = canvas.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 220, box["y"] + 140, steps=4)
    page.mouse.up()
    page.wait_for_timeout(300)
    turned = frames(page)
    assert turned > before
    page.wait_for_timeout(600)
    assert frames(page) == turned


@pytest.mark.parametrize("asked", ["material", "mass", "lift", "known"])
def test_each_question_has_words_and_letters_not_only_colours(
    plover: str, open_page: Opener, asked: str
) -> None:
    """The key names every class with a letter that also stands in the picture, and a pattern of its own."""
    page = open_page(plover, "aeroplane")
    drawn(page)
    page.locator(f'input[name=asked][value="{asked}"]').check()
    key = page.locator(".turned .key li")
    expect(key.first).to_contain_text("A ")
    count = key.count()
    letters = key.locator("strong").all_inner_texts()
    assert letters == [chr(65 + one) for one in range(count)]
    if count > 1:
        expect(page.locator(".letters span")).to_have_count(count)
    if asked in ("mass", "lift"):
        looks = [one.inner_html() for one in key.locator("svg").all()]
        assert len({re.sub(r"var\(--[\w-]+\)", "", one) for one in looks}) == count


def test_a_ring_dragged_shows_the_future_saves_on_release_and_everything_follows(
    fresh: Callable[[str], Served], open_page: Opener
) -> None:
    """While dragging: bracket and one sentence, nothing on the disk. Let go: file, numbers, plan and mesh follow."""
    address, folder = fresh("plover")
    page = open_page(address, "aeroplane")
    mark = drawn(page)
    old_area = page.locator(".lead strong").first.inner_text()
    place = ring(page, CHORD)
    place.scroll_into_view_if_needed()
    assert place.get_attribute("aria-valuetext") == "250 mm"
    x, y = middle(place)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 4, steps=4)
    expect(page.locator(".bar.shown")).to_contain_text("Not saved yet")
    expect(page.locator(".part.future").first).to_be_visible()
    assert 'chord = "250 mm"' in (folder / "aeroplane.toml").read_text()
    expect(page.locator(".bar.shown .moved li").first).to_be_visible()
    wanted = place.get_attribute("aria-valuetext")
    assert wanted is not None and wanted != "250 mm"
    page.mouse.up()
    page.wait_for_selector(f"canvas:not([data-mesh='{mark}'])")
    expect(page.locator(".bar.shown")).to_have_count(0)
    assert f'chord = "{wanted}"' in (folder / "aeroplane.toml").read_text()
    assert field_text(address, CHORD) == wanted
    expect(page.locator(".lead strong").first).not_to_have_text(old_area)
    expect(page.get_by_role("region", name="What moved")).to_contain_text("more")


def test_rings_are_sliders_for_the_keys_one_millimetre_or_ten_and_escape_brings_back(
    fresh: Callable[[str], Served], open_page: Opener
) -> None:
    """Arrows step 1 mm, with Shift 10 mm; Escape restores; Enter saves with comments of the file kept."""
    address, folder = fresh("plover")
    page = open_page(address, "aeroplane")
    before = (folder / "aeroplane.toml").read_text()
    place = ring(page, CHORD)
    assert place.get_attribute("role") == "slider"
    assert place.get_attribute("aria-valuenow") == "250"
    assert place.get_attribute("aria-valuemin") == "0"
    place.focus()
    page.keyboard.press("ArrowDown")
    expect(place).to_have_attribute("aria-valuetext", "251 mm")
    page.keyboard.press("Shift+ArrowRight")
    expect(place).to_have_attribute("aria-valuetext", "261 mm")
    page.keyboard.press("Escape")
    expect(place).to_have_attribute("aria-valuetext", "250 mm")
    expect(page.locator(".bar.shown")).to_have_count(0)
    assert (folder / "aeroplane.toml").read_text() == before
    page.keyboard.press("Shift+ArrowUp")
    page.keyboard.press("Enter")
    expect(page.locator(".bar.shown")).to_have_count(0)
    assert (folder / "aeroplane.toml").read_text() == before.replace(
        'chord = "250 mm"', 'chord = "240 mm"', 1
    )


def test_numbers_are_found_typed_advised_saved_and_brought_back(
    fresh: Callable[[str], Served], open_page: Opener
) -> None:
    """A word that is no length gets advice beside its field and is not saved; a good one is, in its own unit."""
    address, folder = fresh("plover")
    page = open_page(address, "aeroplane")
    page.get_by_label("Find a number").fill("wing, station 3 chord")
    box = page.locator(f'input[data-path="{CHORD}"]')
    expect(box).to_have_value("250 mm")
    box.fill("two feet")
    expect(box).to_have_attribute("aria-invalid", "true")
    expect(page.locator(".bar.shown")).to_contain_text("cannot be taken")
    box.press("Enter")
    page.wait_for_timeout(300)
    assert 'chord = "250 mm"' in (folder / "aeroplane.toml").read_text()
    expect(box).to_have_value("two feet")
    box.press("Escape")
    expect(box).to_have_value("250 mm")
    box.fill("11 in")
    expect(page.locator(".bar.shown .moved li").first).to_be_visible()
    box.press("Enter")
    expect(page.locator(".bar.shown")).to_have_count(0)
    expect(box).to_have_value("11 in")
    assert 'chord = "11 in"' in (folder / "aeroplane.toml").read_text()


def test_without_webgl_plan_and_side_still_work_and_it_is_said(
    plover: str, page: Page, open_page: Opener
) -> None:
    """The page says what is missing; rings are there all the same."""
    page.add_init_script(
        "const own = HTMLCanvasElement.prototype.getContext;"
        "HTMLCanvasElement.prototype.getContext = function (kind, ...rest)"
        " { return /webgl/.test(kind) ? null : own.call(this, kind, ...rest) };"
        "console.error = () => {};"  # the drawing library says so itself, before it raises
    )
    open_page(plover, "aeroplane")
    expect(page.get_by_text("This browser draws no turned view")).to_be_visible()
    expect(ring(page, CHORD)).to_be_visible()


def test_every_group_of_rings_can_be_chosen_and_stands_on_the_sheet(gannet: str, open_page: Opener) -> None:
    """Each choice shows at least one ring, none outside the drawing, none upon another."""
    page = open_page(gannet, "aeroplane")
    choice = page.get_by_label("Rings on")
    for one in choice.locator("option").all_inner_texts():
        choice.select_option(one)
        rings = page.locator(".ring")
        expect(rings.first).to_be_visible()
        sheet = page.locator(".views > svg").bounding_box()
        assert sheet is not None
        places = [middle(ring) for ring in rings.all()]
        for x, y in places:
            assert sheet["x"] - 1 <= x <= sheet["x"] + sheet["width"] + 1
            assert sheet["y"] - 1 <= y <= sheet["y"] + sheet["height"] + 1
        near = [
            a for k, a in enumerate(places) for b in places[:k] if abs(a[0] - b[0]) + abs(a[1] - b[1]) < 9
        ]
        assert not near, f"rings of {one} lie upon each other"


@pytest.mark.slow  # the checklist asks the same of every place, in the light
@pytest.mark.parametrize("width", [1440, 390, 320])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_leaves_the_page_sideways(plover: str, open_page: Opener, width: int, scheme: str) -> None:
    """No sideways scrolling at any width."""
    page = open_page(plover, "aeroplane", width=width, scheme=scheme)
    drawn(page)
    over = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert over <= 0


@pytest.mark.slow  # the switch itself is tested with the frame
def test_imperial_reader_sees_inches_and_the_file_keeps_its_millimetres(
    fresh: Callable[[str], Served], open_page: Opener
) -> None:
    """Switching units writes other words on the page and nothing into the file."""
    address, folder = fresh("plover")
    text = (Path(folder) / "aeroplane.toml").read_text()
    page = open_page(address, "aeroplane")
    expect(page.locator(".dimension text").first).to_have_text(re.compile("2600.mm"))
    page.get_by_label("Units").select_option("imperial")
    expect(page.locator(".dimension text").first).to_have_text(re.compile(r"102\.4.in"))
    assert (Path(folder) / "aeroplane.toml").read_text() == text
