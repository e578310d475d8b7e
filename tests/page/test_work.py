"""In the frame: long work with its bar and cancel, downloads, another page or a text editor, two versions of a file."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from .conftest import Opener, Served, settled, state_of

Fresh = Callable[..., Served]


@pytest.mark.slow
def test_book_is_made_with_a_bar_and_downloaded(open_page: Opener, fresh: Fresh) -> None:
    address, folder = fresh("starter")
    settled(address)
    page = open_page(address, "ready")
    page.get_by_role("button", name="Make the build book").click()
    bar = page.get_by_role("group", name="The build book")
    expect(bar.get_by_role("progressbar")).to_be_visible()
    expect(bar).to_have_count(0, timeout=120_000)
    paper = page.get_by_role("region", name="On paper")
    expect(paper.get_by_role("link").first).to_be_visible()
    with page.expect_download() as waiting:
        paper.get_by_role("link", name=".pdf").first.click()
    assert waiting.value.path().read_bytes().startswith(b"%PDF")
    assert list((folder / "out").glob("*.pdf"))


@pytest.mark.slow
def test_long_work_can_be_cancelled(open_page: Opener, fresh: Fresh) -> None:
    address, folder = fresh("starter")
    settled(address)
    page = open_page(address, "ready")
    page.get_by_role("button", name="Make the build book").click()
    bar = page.get_by_role("group", name="The build book")
    bar.get_by_role("button", name="Cancel").click()
    expect(bar).to_have_count(0, timeout=60_000)
    assert state_of(address)["jobs"][0]["state"] == "cancelled"
    assert not list((folder / "out").glob("*.pdf"))
    expect(page.get_by_role("button", name="Make the build book")).to_be_enabled()


def test_trials_are_taken_in_from_the_page(open_page: Opener, fresh: Fresh) -> None:
    address, folder = fresh("gannet", calibrated=False)
    settled(address)
    assert not (folder / "knowledge.toml").exists()
    page = open_page(address, "ready")
    page.locator("main").get_by_role("button", name="Take the trials in").click()
    expect(page.get_by_role("group", name="Taking the trials in")).to_have_count(0, timeout=120_000)
    expect(page.locator("main .band")).to_have_count(0, timeout=60_000)
    assert (folder / "knowledge.toml").is_file()


@pytest.mark.slow  # another editor is followed in test_conflict.py too
def test_another_page_and_a_text_editor_are_followed(open_page: Opener, fresh: Fresh) -> None:
    """A change from elsewhere shows by itself; the file on the disk is the truth."""
    address, folder = fresh("starter")
    settled(address)
    page = open_page(address, "ready")
    row = page.locator("[id='row-check.controls']")
    expect(row).to_contain_text("Sign it")
    letter = state_of(address)["document"]["verdict"]["configuration"]
    heads = "check,passed,when,configuration,serial,who,note"
    (folder / "checks.csv").write_text(f"{heads}\ncontrols,yes,2026-06-01,{letter},,two members,by hand\n")
    expect(row).to_contain_text("Sign it again", timeout=60_000)
    expect(row).to_contain_text("2026-06-01")


def test_two_versions_of_a_file_are_both_shown(open_page: Opener, fresh: Fresh, quiet: list[str]) -> None:
    """Two pages edit the same file on top of the same text: the second sees both and chooses."""
    quiet.append("409")
    address, folder = fresh("starter")
    settled(address)
    page = open_page(address, "texts")
    box = page.get_by_role("textbox").first
    theirs = (folder / "aeroplane.toml").read_text()
    name = state_of(address)["document"]["project"]
    box.fill(theirs.replace(name, "Mine"))
    (folder / "aeroplane.toml").write_text(theirs.replace(name, "Theirs"))
    page.get_by_role("button", name="Save aeroplane.toml").click()
    screen = page.get_by_role("region", name="Two versions of aeroplane.toml")
    expect(screen.get_by_role("region", name="On the disk")).to_contain_text("Theirs", timeout=60_000)
    expect(screen.get_by_role("region", name="Yours")).to_contain_text("Mine")
    screen.get_by_role("button", name="Write mine over it").click()
    expect(screen).to_have_count(0, timeout=60_000)
    assert '"Mine"' in (folder / "aeroplane.toml").read_text()


@pytest.mark.parametrize("kind", ["<img src=x onerror=alert(1)>", "</script><script>alert(2)</script>"])
def test_script_in_a_name_is_text(open_page: Opener, fresh: Fresh, kind: str) -> None:
    address, _ = fresh("nothing")
    page = open_page(address)
    page.on("dialog", lambda one: pytest.fail(f"a script ran: {one.message}"))
    page.get_by_label("What shall it be called?").fill(kind)
    page.get_by_role("button", name="Start from an empty sheet").click()
    expect(page.get_by_role("navigation", name="Places")).to_be_visible()
    assert page.locator("img[src=x]").count() == 0
