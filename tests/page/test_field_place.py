"""The field's place, driven in a browser: plan, points dragged and stepped, margins as findings, the climb."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from .conftest import Opener, Served, settled, state_of, tab_to, until


def grip(page: Page, path: str) -> Locator:
    """The ring of a point."""
    return page.locator(f'.ring[data-path="{path}"]')


def middle(place: Locator) -> tuple[float, float]:
    """Where the drawn circle of a ring stands on the screen."""
    box = place.locator(".drawn").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def editing(page: Page) -> None:
    """Switch the rings on."""
    page.get_by_label("Move points on the plan").check()


def test_plan_shows_all_that_is_described_and_follows_from_it(plover: str, open_page: Opener) -> None:
    """Trees with their height, everybody by role, numbered cameras, figure, cones, the line with teeth, a bar."""
    page = open_page(plover, "field")
    site = settled(plover)["site"]
    words = page.locator(".plan").inner_text()
    for one in ("poplars 20", "hedge 3", "pilot", "safety", "spectators", "30\u202fm high"):
        assert one in words
    expect(page.locator(".plan .camera")).to_have_count(2)
    expect(page.locator(".plan .path")).to_have_count(1)
    expect(page.locator(".plan .cone")).to_have_count(4)
    assert len(page.locator(".plan .teeth").get_attribute("d") or "") > 100
    assert page.locator(".plan .tree").count() > 20
    assert site["path"]["kind"] == "eight"
    expect(page.locator(".lead")).to_contain_text("A figure-eight")


def test_north_is_up(plover: str, open_page: Opener) -> None:
    """x runs east in this field and y north: a corner with more y stands higher, one with more x further right."""
    page = open_page(plover, "field")
    editing(page)
    low, far, high = (middle(grip(page, f"outline.{one}")) for one in (0, 1, 3))
    assert high[1] < low[1] and abs(high[0] - low[0]) < 1
    assert far[0] > low[0] and abs(far[1] - low[1]) < 1


@pytest.mark.parametrize("path", ["outline.2", "stand.spectators", "stand.camera_1.at", "trees.hedge.line.1"])
def test_points_are_stepped_by_keys_and_brought_back(plover: str, open_page: Opener, path: str) -> None:
    """Half a metre a step the way the arrow points; Escape restores; nothing is written."""
    page = open_page(plover, "field")
    editing(page)
    place = grip(page, path)
    was = place.get_attribute("aria-valuetext")
    at = middle(place)
    place.focus()
    page.keyboard.press("Shift+ArrowRight")
    expect(place).not_to_have_attribute("aria-valuetext", was or "")
    assert middle(place)[0] > at[0]
    expect(page.locator(".bar.shown")).to_contain_text("Not saved yet")
    page.keyboard.press("Escape")
    expect(place).to_have_attribute("aria-valuetext", was or "")
    expect(page.locator(".bar.shown")).to_have_count(0)


def test_people_dragged_too_near_become_a_finding(fresh: Callable[[str], Served], open_page: Opener) -> None:
    """Spectators dragged towards the strip: the file has the new place, the row beside the plan says short."""
    address, folder = fresh("plover")
    settled(address)
    page = open_page(address, "field")
    editing(page)
    place = grip(page, "stand.spectators")
    place.scroll_into_view_if_needed()
    x, y = middle(place)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y - 60, steps=6)
    page.mouse.up()
    expect(page.locator(".bar.shown")).to_have_count(0)
    found = re.search(r"spectators = \[(-?[\d.]+), (-?[\d.]+)\]", (folder / "site.toml").read_text())
    assert found is not None and float(found.group(2)) > -50
    settled(address)
    row = page.locator(".ask", has_text="Strip, from spectators")
    expect(row.locator(".state-short")).to_be_visible(timeout=60_000)
    states = {one["id"]: one["state"] for one in state_of(address)["document"]["findings"]}
    assert states["strip_from_spectators"] == "short"


def test_margins_are_typed_and_findings_follow(fresh: Callable[[str], Served], open_page: Opener) -> None:
    """A wider margin from people is saved in site.toml; its row takes the new limit."""
    address, folder = fresh("plover")
    settled(address)
    page = open_page(address, "field")
    box = page.locator('input[data-path="margins.people"]')
    box.fill("90")
    box.press("Enter")
    expect(page.locator(".bar.shown")).to_have_count(0)
    assert re.search(r"^people = 90", (folder / "site.toml").read_text(), re.M)
    settled(address)
    expect(page.locator(".ask", has_text="from spectators").first).to_contain_text(
        "at least 90", timeout=60_000
    )


def test_climb_is_drawn_with_its_height_as_a_fence(plover: str, open_page: Opener) -> None:
    """The side view has band, fence and words; its numbers are those of the study."""
    page = open_page(plover, "field")
    state = settled(plover)
    name, away, height, _ = state["site"]["ahead"]
    words = page.locator(".climb svg").get_attribute("aria-label") or ""
    assert name in words and f"{away:.0f}" in words and f"{height:.0f}" in words
    expect(page.locator(".climb .fence")).to_have_count(1)
    assert page.locator(".climb .all").get_attribute("d")


@pytest.mark.parametrize(
    ("width", "scheme"),
    [
        (320, "dark"),
        *(
            pytest.param(width, scheme, marks=pytest.mark.slow)
            for width, scheme in (
                (1440, "light"),
                (1440, "dark"),
                (390, "light"),
                (390, "dark"),
                (320, "light"),
            )
        ),
    ],
)
def test_nothing_leaves_the_page_sideways(gannet: str, open_page: Opener, width: int, scheme: str) -> None:
    """No sideways scrolling at any width."""
    page = open_page(gannet, "field", width=width, scheme=scheme)
    expect(page.locator(".lead")).to_contain_text("An oval")
    over = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert over <= 0


def test_words_on_the_plan_do_not_overlap(plover: str, gannet: str, open_page: Opener) -> None:
    """Text boxes compared pairwise, on both fields and on a phone."""
    for address in (plover, gannet):
        for width in (1440, 390):
            page = open_page(address, "field", width=width)
            expect(page.locator(".plan .path")).to_have_count(1)
            boxes = page.evaluate(
                "() => [...document.querySelectorAll('.plan > svg text:not(.halo)')].map((one) => {"
                " const b = one.getBoundingClientRect(); return [one.textContent, b.left, b.top, b.right, b.bottom] })"
            )
            hits = [
                (a[0], b[0])
                for k, a in enumerate(boxes)
                for b in boxes[:k]
                if min(a[3], b[3]) - max(a[1], b[1]) > 2 and min(a[4], b[4]) - max(a[2], b[2]) > 4
            ]
            assert not hits, f"{address} at {width}: {hits}"


def test_corners_trees_and_cameras_come_and_go(fresh: Callable[[str], Served], open_page: Opener) -> None:
    """By mouse: a corner put after another and taken out, a camera, a row of trees; comments of the file stay, and
    what was there before comes back with undo."""
    address, folder = fresh("plover")
    settled(address)
    file = folder / "site.toml"
    was = file.read_text()
    page = open_page(address, "field")
    editing(page)
    x, y = middle(grip(page, "outline.1"))
    page.mouse.click(x, y)
    page.get_by_role("button", name="Put a point after it").click()
    expect(grip(page, "outline.4")).to_have_count(1)
    expect(grip(page, "outline.2")).to_be_focused()
    assert len(tomllib.loads(file.read_text())["outline"]) == 5
    page.get_by_role("button", name="Take it out", exact=True).click()
    expect(grip(page, "outline.4")).to_have_count(0)
    assert tomllib.loads(file.read_text()) == tomllib.loads(was)

    page.get_by_label("Put on the field").select_option("a camera")
    page.get_by_label("Name", exact=True).fill("Camera of Ada")
    page.get_by_role("button", name="Put it in the middle").click()
    expect(grip(page, "stand.camera_of_ada.at")).to_be_focused()
    expect(page.locator(".plan .camera")).to_have_count(3)
    page.get_by_role("button", name="Take it out", exact=True).click()
    expect(page.locator(".plan .camera")).to_have_count(2)

    page.get_by_label("Put on the field").select_option("a row of trees")
    page.get_by_label("Name", exact=True).fill("young larches")
    page.get_by_role("button", name="Put it in the middle").click()
    expect(page.get_by_text("Height is wanted: a number in m.")).to_be_visible()
    page.get_by_label("Height, m").fill("4")
    page.get_by_role("button", name="Put it in the middle").click()
    expect(page.locator(".plan")).to_contain_text("young larches 4")
    found = tomllib.loads(file.read_text())["trees"]["young_larches"]
    assert found["height"] == 4 and len(found["line"]) == 2
    page.get_by_role("button", name="Take all of these trees out").click()
    expect(page.locator(".plan")).not_to_contain_text("young larches")
    assert comments(file.read_text()) == comments(was)
    assert tomllib.loads(file.read_text()) == tomllib.loads(was)
    page.keyboard.press("Control+z")
    expect(page.locator(".plan")).to_contain_text("young larches 4")


def comments(text: str) -> list[str]:
    """All comments of a file, in order."""
    return re.findall(r"#.*", text)


def test_the_field_by_keyboard_alone(fresh: Callable[[str], Served], open_page: Opener) -> None:
    """Rings on, a corner put in, stepped and saved, taken out; somebody put on the field: no mouse."""
    address, folder = fresh("plover")
    settled(address)
    file = folder / "site.toml"
    page = open_page(address, "field")
    tab_to(page, "Move points on the plan")
    page.keyboard.press("Space")
    tab_to(page, "corner 1 of the field")
    page.keyboard.press("Insert")
    expect(grip(page, "outline.1")).to_be_focused()
    expect(grip(page, "outline.4")).to_have_count(1)
    before = tomllib.loads(file.read_text())["outline"][1]
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    expect(page.locator(".bar.shown")).to_have_count(0)
    assert tomllib.loads(file.read_text())["outline"][1] == [before[0], before[1] - 5]
    expect(grip(page, "outline.1")).to_be_focused()
    page.keyboard.press("Delete")
    expect(grip(page, "outline.4")).to_have_count(0)
    tab_to(page, "Name")
    page.keyboard.type("Uncle Bo")
    page.keyboard.press("Enter")
    expect(grip(page, "stand.uncle_bo")).to_be_focused()
    page.keyboard.press("Delete")
    expect(grip(page, "stand.uncle_bo")).to_have_count(0)
    assert "uncle_bo" not in file.read_text()


def test_a_field_from_nothing_by_keyboard_alone(fresh: Callable[..., Served], open_page: Opener) -> None:
    """A project without a field: four answers make site.toml; a runway and a figure-eight are put on it and can be
    moved; the place then says what the figure asks."""
    address, folder = fresh("starter")
    assert not (folder / "site.toml").exists()
    page = open_page(address, "field")
    for name, words in (("Name of the field", "Long meadow"), ("Length", "260"), ("Width", "180")):
        tab_to(page, name)
        page.keyboard.type(words)
    page.keyboard.press("Enter")
    expect(page.get_by_text("The bearing is a number")).to_be_visible()
    tab_to(page, "Compass bearing")
    page.keyboard.type("90")
    page.keyboard.press("Enter")
    expect(page.locator(".plan svg").first).to_be_visible()
    assert tomllib.loads((folder / "site.toml").read_text())["outline"][2] == [260, 180]
    tab_to(page, "Move points on the plan")
    page.keyboard.press("Space")
    for kind, asks, size, key in (
        ("a runway", "Width, m", "10", "runway"), ("a figure-eight", "Height, m", "30", "plan"),
    ):  # fmt: skip
        tab_to(page, "Put on the field")
        page.keyboard.type(kind)
        tab_to(page, asks)
        page.keyboard.type(size)
        page.keyboard.press("Enter")
        until(lambda key=key: key in tomllib.loads((folder / "site.toml").read_text()))  # type: ignore[misc]
        expect(page.locator(".points select")).to_have_value("person")
    text = tomllib.loads((folder / "site.toml").read_text())
    assert text["runway"] == {"from": [65, 90], "to": [195, 90], "width": 10}
    assert text["plan"]["eight"] == {"centre": [130, 90], "height": 30}
    expect(page.locator(".lead")).to_contain_text("A figure-eight", timeout=60_000)
