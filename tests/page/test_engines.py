"""The engines: push, minutes, bench, claims, one engine stopped; the page shows the sheet of the command line."""

from __future__ import annotations

import json
import time
import urllib.request
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from .conftest import Opener, Served, settled

Fresh = Callable[..., Served]
NARROW = "\u202f"
ENGINE = "[engine]\n"


def sheet_of(address: str, seconds: float = 120.0) -> dict[str, Any]:
    """The sheet of the engines once nothing more follows."""
    settled(address)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        with urllib.request.urlopen(f"{address}api/engines", timeout=60) as answer:
            found = json.load(answer)
        if not found["working"]:
            return dict(found["sheet"])
        time.sleep(0.2)
    raise AssertionError("the engines are still being worked out")


def opened(open_page: Opener, address: str, **how: Any) -> tuple[Page, dict[str, Any]]:
    """The place with everything worked out, and the sheet behind it."""
    sheet = sheet_of(address)
    page = open_page(address, "engines", **how)
    expect(page.get_by_role("heading", level=1)).to_have_text("Do they push enough, and for how long?")
    expect(page.get_by_role("region", name="All of them on the pack")).to_be_visible()
    return page, sheet


def clock(seconds: float) -> str:
    return f"{int(seconds // 60)}:{int(seconds % 60):02d}"


def number(words: str) -> float:
    """The first number of a shown text."""
    return float(words.split(NARROW)[0].replace("\u2212", "-"))


@pytest.mark.parametrize("example", ["plover", "gannet"])
def test_the_place_shows_the_sheet(open_page: Opener, example: str, request: pytest.FixtureRequest) -> None:
    """Every condition of the pack, minutes, timer, each engine and each run stand on the page with their numbers."""
    page, sheet = opened(open_page, request.getfixturevalue(example))
    rows = page.get_by_role("region", name="All of them on the pack").locator("tbody tr")
    assert rows.count() == len(sheet["match"])
    for i, one in enumerate(sheet["match"]):
        push, amps, volts, _ = (rows.nth(i).locator("td").nth(k) for k in range(4))
        room = 0.5 * (one["thrust"]["high"] - one["thrust"]["low"])
        assert number(push.locator("strong").inner_text()) == pytest.approx(one["thrust"]["value"], abs=room)
        assert number(volts.inner_text()) == pytest.approx(one["volts"], abs=0.051)
        expect(amps).to_contain_text(f"{NARROW}A")
    lead = page.locator("main .lead")
    expect(lead).to_contain_text(
        f"the timer of the first flight rings after {clock(sheet['flight']['first'])}."
    )
    minutes = page.get_by_role("region", name="Minutes", exact=True)
    expect(minutes).to_contain_text(clock(sheet["flight"]["bench"]))
    expect(minutes).to_contain_text("keep it between 15 and 60")
    for name in ("Engine, left", "Engine, right"):
        board = page.get_by_role("region", name=name, exact=True)
        expect(board.get_by_role("img", name="push against speed at the motor's voltage")).to_be_visible()
    for run in sheet["bench"]["runs"]:
        board = page.get_by_role("region", name=f"Run {run['trial']}", exact=True)
        expect(board).to_contain_text(f"{run['thrust']:.2f}{NARROW}N")
        expect(board).to_contain_text(f"{100 * run['friction']:.1f}{NARROW}%")
        sag = board.locator("dl > div", has_text="Sag of the pack").locator("strong").inner_text()
        assert number(sag) == pytest.approx(
            1000 * run["resistance"], abs=max(0.06, 2e3 * run["resistance_sd"])
        )
        expect(board).to_contain_text(run["state"])
        expect(board.get_by_role("img", name=run["trial"]).first).to_be_visible()


def test_push_stands_beside_drag_with_words_in_place(open_page: Opener, plover: str) -> None:
    page, _ = opened(open_page, plover)
    chart = page.get_by_role("img", name="Push and drag against speed")
    for words in ("push, pack 90 %", "push, pack 30 %", "drag", "planned speed"):
        expect(chart.get_by_text(words, exact=True)).to_be_visible()


def test_claims_stand_as_claims_and_the_hurt_fan_as_withdrawn(open_page: Opener, gannet: str) -> None:
    page, sheet = opened(open_page, gannet)
    for unit, name in zip(sheet["units"], ("Engine, left", "Engine, right"), strict=True):
        board = page.get_by_role("region", name=name, exact=True)
        claim = board.locator(".claim")
        expect(claim).to_contain_text("A claim. Claimed by the seller, not measured")
        assert claim.evaluate("(one) => getComputedStyle(one).borderTopStyle") == "dashed"
        expect(board).to_contain_text(unit["says"][0])
    hurt = next(one for one in sheet["bench"]["runs"] if one["serial"] == "R1")
    run = page.get_by_role("region", name=f"Run {hurt['trial']}", exact=True)
    expect(run).to_contain_text("R1: withdrawn")
    expect(run).to_contain_text(f"at second {hurt['damage_second']:.0f} the push falls by")
    expect(run).to_contain_text(f"{-100 * hurt['damage_step']:.1f}{NARROW}%")
    right = page.get_by_role("region", name="Engine, right", exact=True)
    expect(right).to_contain_text("No bench run of R2 stands in the trials")
    left = page.get_by_role("region", name="Run 2026-05-03-thrust-left", exact=True)
    expect(left).to_contain_text("L1: in its place")
    expect(left).not_to_contain_text("Damage")


def test_propellers_have_no_claim_and_ask_for_the_brake(open_page: Opener, plover: str) -> None:
    page, sheet = opened(open_page, plover)
    expect(page.locator(".claim")).to_have_count(0)
    stopped = page.get_by_role("region", name="One engine stopped")
    for one, side in zip(sheet["stopped"], ("left", "right"), strict=True):
        row = stopped.get_by_role("region", name=f"Engine, {side} stopped")
        for key in ("climb_brake", "climb_free"):
            expect(row).to_contain_text(f"{100 * one[key]['value']:.0f}{NARROW}%")
        expect(row).to_contain_text("Ask for the controller's brake")
    pair = page.get_by_role("region", name="Left against right")
    expect(pair).to_contain_text("inside the usual 5 %")
    expect(pair).to_contain_text("on a used pack")


@pytest.mark.parametrize("example", ["plover", "gannet"])
def test_cautions_and_supply(open_page: Opener, example: str, request: pytest.FixtureRequest) -> None:
    page, _ = opened(open_page, request.getfixturevalue(example))
    cautions = page.get_by_role("region", name="Before anything turns")
    for words in ("nobody in the plane of a propeller", "protected for everybody within 7 m",
                  "charge on a surface that does not burn", "this tool permits nothing"):  # fmt: skip
        expect(cautions).to_contain_text(words)
    expect(page.get_by_role("region", name="Receiver and servos")).to_contain_text("Stir test")
    expect(page.get_by_role("region", name="Noise")).to_contain_text("No level is predicted")


def test_changes_on_demand_by_keyboard(open_page: Opener, gannet: str) -> None:
    """The table of changes opens with Enter; each row is the sheet's; a number is asked with Enter, too."""
    page, sheet = opened(open_page, gannet)
    board = page.get_by_role("region", name="What a change would bring")
    expect(board.locator("table")).to_be_hidden()
    board.locator("summary").focus()
    page.keyboard.press("Enter")
    rows = board.locator("tbody tr")
    expect(rows.first).to_be_visible()
    assert rows.count() == len(sheet["trade"])
    for i, one in enumerate(sheet["trade"]):
        expect(rows.nth(i)).to_contain_text(f"{one['thrust']:.1f}{NARROW}N")
        expect(rows.nth(i)).to_contain_text(clock(one["minutes"]))
    pushed = page.get_by_role("button", name="Push standing still, all engines").first
    pushed.focus()
    page.keyboard.press("Enter")
    expect(pushed).to_have_attribute("aria-expanded", "true")


def test_changes_are_printed_unasked(open_page: Opener, gannet: str) -> None:
    page, _ = opened(open_page, gannet)
    page.emulate_media(media="print")
    table = page.get_by_role("region", name="What a change would bring").locator("table")
    expect(table).to_be_visible()
    expect(table).to_contain_text("5 cells instead of 6")


def test_lever_of_a_run_on_demand(open_page: Opener, gannet: str) -> None:
    page, sheet = opened(open_page, gannet, width=390)
    run = page.get_by_role("region", name="Run 2026-05-03-thrust-left", exact=True)
    lever = run.get_by_role("img", name="share of the full push against the lever")
    expect(lever).to_be_hidden()
    run.locator("summary", has_text="The lever").click()
    expect(lever).to_be_visible()
    for words in sheet["bench"]["runs"][0]["says"]:
        expect(run).to_contain_text(words[1:])
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


@pytest.mark.slow
def test_without_an_engine_there_are_words_only(open_page: Opener, fresh: Fresh) -> None:
    """Nothing is shown that is not computed; with the engine back its numbers follow by themselves."""
    address, folder = fresh("starter")
    path = folder / "aeroplane.toml"
    whole = path.read_text()
    start = whole.index(ENGINE)
    path.write_text(whole[:start] + whole[whole.index("[", start + len(ENGINE)) :])
    page = open_page(address, "engines")
    lead = page.locator("main .lead")
    expect(lead).to_contain_text("Nothing pushes yet", timeout=60_000)
    assert page.locator("main .board").count() == 0
    assert page.locator("main svg").count() == 0
    path.write_text(whole)
    expect(page.get_by_role("region", name="All of them on the pack")).to_be_visible(timeout=60_000)
    expect(lead).to_contain_text("On a full pack it pushes")


@pytest.mark.slow
def test_a_change_is_followed(open_page: Opener, fresh: Fresh) -> None:
    address, folder = fresh("plover")
    page, before = opened(open_page, address)
    path = folder / "aeroplane.toml"
    path.write_text(path.read_text().replace('charge = "5000 mAh"', 'charge = "3000 mAh"'))
    minutes = page.get_by_role("region", name="Minutes", exact=True)
    expect(minutes).not_to_contain_text(clock(before["flight"]["bench"]), timeout=60_000)
    after = sheet_of(address)
    assert after["flight"]["bench"] < before["flight"]["bench"]
    expect(minutes).to_contain_text(clock(after["flight"]["bench"]))


def test_an_empty_folder_asks_for_an_aeroplane_first(open_page: Opener, fresh: Fresh) -> None:
    address, _ = fresh("nothing")
    page = open_page(address, "engines")
    expect(page.get_by_label("What shall it be called?")).to_be_visible()
    assert page.locator("main .board table").count() == 0
