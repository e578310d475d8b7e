"""The tests: planned, given rows typed or dropped as an untidy file, set aside with a reason, taken in."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

Opener = Callable[..., Page]
Fresh = Callable[[str], tuple[str, Path]]

MESSY = (
    "\ufeffstep;load_each_side_g;tip_left_mm;tip_right_mm;minute;note\r\n"
    "-;g;mm;mm;min;\r\n"
    "1;0;1013,0;1009,0;3;\r\n"
    "2;400;1007,5;1004,0;6;\r\n"
    "3;800;1002,0;n/a;9;\r\n"
    "4;1200;999,0;995,5;12;creaks\r\n"
    "5;1600;994,0;990,0;15;\r\n"
    "6;2000;988,0;984,0;18;\r\n"
)


def plan_bend(page: Page) -> str:
    """Plan a bend trial from the rack; its id."""
    page.get_by_role("link", name="Load a smaller wing until it breaks").click()
    expect(page.get_by_role("region", name="Before anybody begins")).to_contain_text("Eye protection")
    page.get_by_label(re.compile("What we expect")).fill("2.2 kg to 3.9 kg each side")
    page.get_by_label("Its size over that of the aeroplane").fill("0.5")
    page.get_by_label("How it is held").fill("saddle 90 mm wide in the middle, wing upside down")
    page.get_by_role("button", name="Plan this trial").click()
    page.wait_for_url(re.compile(r"#/tests/\d{4}-"))
    return page.url.rsplit("/", 1)[-1]


def test_messy_file_dropped(fresh: Fresh, open_page: Opener) -> None:
    """Semicolons, decimal commas, a row of units and a byte order mark: looked at first, faults beside their rows, a
    plot at once; then kept as dropped, and what is no number left empty."""
    address, folder = fresh("starter")
    page = open_page(address, "tests")
    made = plan_bend(page)
    place = folder / "trials" / made
    told = tomllib.loads((place / "trial.toml").read_text(encoding="utf-8"))
    assert told["kind"] == "bend" and told["said_before"]["fails_at"] == "2.2 kg to 3.9 kg each side"
    page.set_input_files(
        "input[type=file]", {"name": "log.csv", "mimeType": "text/csv", "buffer": MESSY.encode("utf-8")}
    )
    expect(page.get_by_text("How it is read")).to_be_visible()
    expect(page.get_by_text(re.compile("hard to read"))).to_be_visible()
    expect(page.get_by_text(re.compile(r'row 4, tip_right_mm reads "n/a"'))).to_be_visible()
    expect(page.get_by_role("img", name=re.compile("The rows as they stand"))).to_be_visible()
    assert not (place / "readings.csv").exists()
    page.get_by_role("button", name="Keep it; leave empty what is no number").click()
    expect(page.get_by_role("region", name="Rows as logged")).to_be_visible()
    assert (place / "readings-as-dropped.csv").read_bytes() == MESSY.encode("utf-8")
    kept = (place / "readings.csv").read_text(encoding="utf-8")
    assert "1013.0" in kept and "n/a" not in kept
    expect(page.get_by_role("img", name=re.compile("How far the tips sink"))).to_be_visible()


def test_rows_typed(fresh: Fresh, open_page: Opener) -> None:
    """Rows typed into the field are plotted as they are typed, and kept byte for byte."""
    address, folder = fresh("starter")
    page = open_page(address, "tests")
    made = plan_bend(page)
    page.get_by_role("button", name="Begin with its heads").click()
    rows = "step,load_each_side_g,tip_left_mm,tip_right_mm,minute,note\n1,0,900,901,1,\n2,500,890,892,2,\n"
    page.get_by_label(re.compile("type or paste")).fill(rows)
    expect(page.get_by_text("Every cell can be read.")).to_be_visible()
    page.get_by_role("button", name="Keep these rows").click()
    expect(page.get_by_role("region", name="Rows as logged")).to_be_visible()
    assert (folder / "trials" / made / "readings.csv").read_text(encoding="utf-8") == rows


def test_from_an_empty_folder_to_a_verdict(fresh: Fresh, open_page: Opener) -> None:
    """Started from an example: a row and a trial are set aside with a reason and put back; the trials are taken in as
    a job; what changed stands before and after, and the verdict on the mat."""
    address, folder = fresh("nothing")
    page = open_page(address)
    page.get_by_role("button", name="Start from plover").click()
    page.get_by_role("link", name="The tests", exact=True).click()
    expect(page.get_by_text("6 trials wait")).to_be_visible(timeout=60_000)
    page.get_by_role("link", name=re.compile("Wing, 18 April")).click()
    set_row_aside(page, 3, "table was knocked")
    trial = folder / "trials/2026-04-18-bend/trial.toml"
    assert "table was knocked" in trial.read_text(encoding="utf-8")
    set_trial_aside(page, "saddle slipped")
    assert tomllib.loads(trial.read_text(encoding="utf-8"))["in_force"]["no"] == "saddle slipped"
    page.get_by_role("button", name="Let it count again").click()
    expect(page.get_by_role("button", name="Set this trial aside")).to_be_visible()
    assert "in_force" not in tomllib.loads(trial.read_text(encoding="utf-8"))
    page.get_by_role("link", name="All questions").click()
    page.get_by_role("button", name="Take them in", exact=True).click()
    expect(page.get_by_role("region", name="What these trials changed")).to_be_visible(timeout=180_000)
    expect(page.get_by_text("All that count are taken in.")).to_be_visible(timeout=120_000)
    assert (folder / "knowledge.toml").exists()
    expect(page.locator("#verdict-word")).to_have_text(
        re.compile("Not yet|The pilot decides|No"), timeout=120_000
    )


def set_row_aside(page: Page, row: int, reason: str) -> None:
    """Set a row aside in the table of rows."""
    page.get_by_role("button", name=f"set aside row {row}", exact=True).click()
    page.get_by_label(f"Why shall row {row} not count?").fill(reason)
    page.get_by_label(f"Why shall row {row} not count?").press("Enter")
    expect(page.get_by_role("region", name="Set aside")).to_contain_text(reason)


def set_trial_aside(page: Page, reason: str) -> None:
    """Set the whole trial aside."""
    page.get_by_role("button", name="Set this trial aside").click()
    page.get_by_label("Why shall it not count?").fill(reason)
    page.get_by_role("button", name="Set it aside").click()
    expect(page.get_by_text(re.compile(f"Set aside: {reason}")).first).to_be_visible()


@pytest.mark.parametrize("width", [390, pytest.param(1440, marks=pytest.mark.slow)])
@pytest.mark.parametrize(
    "place", ["tests", "tests/2026-04-11-vehicle", "tests/bend", "tests/2026-05-29-pull"]
)
def test_no_sideways_scroll(plover: str, open_page: Opener, width: int, place: str) -> None:
    """Each face of the place fits its width."""
    page = open_page(plover, place, width)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_lift_meets_weight(plover: str, open_page: Opener) -> None:
    """The graph of lift against speed stands with its stick; what is left lies under the fit at the same scale."""
    page = open_page(plover, "tests/2026-04-11-vehicle")
    expect(
        page.get_by_role("img", name=re.compile("Lift of the whole wing at .* against speed"))
    ).to_be_visible()
    fit = page.get_by_role("img", name=re.compile("Lift against angle"))
    left = page.get_by_role("img", name=re.compile("What is left"))
    ticks = """one => [...one.querySelectorAll('text.tick[text-anchor=middle]')]
        .map(tick => [tick.textContent, tick.getAttribute('x')])"""
    assert fit.evaluate(ticks) == left.evaluate(ticks)
    expect(page.get_by_role("region", name="Set aside")).to_contain_text("lorry passed")
