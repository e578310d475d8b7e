"""The boards from the command line: laid, kept, marked, changed; the builder's story of another board thickness."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import ezdxf
import pytest
from shapely import Polygon

from planewright.cli.main import run
from planewright.documents.cutting.store import NAME, read_saved
from planewright.errors import InputError

NO_FILES = ("--no-files",)


def sheets(folder: Path, capsys: pytest.CaptureFixture[str], *more: str) -> dict:  # type: ignore[type-arg]
    """The record that ``planewright sheets --json`` prints."""
    capsys.readouterr()
    code = run(["sheets", str(folder), "--json", "--paper", "A4", "--shuffles", "0", *(more or NO_FILES)])
    printed = capsys.readouterr().out
    record: dict = json.loads(printed)  # type: ignore[type-arg]
    assert code == 0, record
    return record


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sheets") / "plover"
    assert run(["new", str(folder), "--from", "plover"]) == 0
    return folder


@pytest.mark.slow
def test_the_whole_story_of_a_thicker_board(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Lay; mark one board printed and one cut; write 5 mm for 4.8: slots, webs and widths follow, every part that
    changed is listed with how far its edge moved, its revision goes on, both prints are obsolete, nothing else."""
    first = sheets(project, capsys)
    assert first["saved"] is False and first["changes"] == []
    assert {one["revision"] for one in first["parts"]} == {"A"}
    again = sheets(project, capsys, "--printed", "board 1", "--cut", "board 2", *NO_FILES)
    assert again["saved"] is True and again["changes"] == []
    assert [one["places"] for one in again["sheets"]] == [one["places"] for one in first["sheets"]]
    states = {one["board"]: (one["state"], one["obsolete"]) for one in again["sheets"]}
    assert states["board 1"] == ("printed", False) and states["board 2"] == ("cut", False)

    path = project / "aeroplane.toml"
    path.write_text(path.read_text().replace('thickness = "4.8 mm"', 'thickness = "5 mm"'))
    after = sheets(project, capsys)
    changed = {one["title"]: one for one in after["changes"]}
    former = changed["BODY 24"]
    assert former["what"] == "changed" and former["revision"] == "B"
    assert former["moved_mm"] == pytest.approx(0.2 * 2**0.5, abs=0.01), (
        "each side in by 0.2 mm: a corner by that"
    )
    assert "board 4.8 to 5.0 mm" in former["says"]
    board_parts = {one["title"] for one in after["parts"] if one["material"] == "board"}
    assert board_parts <= set(changed), "every part of that board is listed"
    assert not any(one["material"] != "board" and one["title"] in changed for one in after["parts"]) or all(
        "edge" in changed[one["title"]]["says"]
        for one in after["parts"]
        if one["material"] != "board" and one["title"] in changed
    )
    rows = {one["board"]: one for one in after["sheets"]}
    assert rows["board 1"]["obsolete"] and rows["board 2"]["obsolete"]
    assert rows["board 1"]["thickness_mm"] == 4.8 and rows["board 1"]["revision"] == "A"
    assert rows["card 1"]["obsolete"] is False
    assert any("Obsolete prints: board 1 and board 2" in one for one in after["says"])
    assert set(rows["board 1"]["stale"]) == {one["key"] for one in first["sheets"][0]["places"]}
    laid_anew = [one for one in after["sheets"] if one["material"] == "board" and one["state"] == "free"]
    lying = sum(len(one["places"]) for one in laid_anew)
    wanted = sum(one["copies"] for one in after["parts"] if one["material"] == "board")
    assert lying + len(after["left"]) == wanted, "none is lost, none doubled"
    assert all(one["thickness_mm"] == 5.0 for one in laid_anew)

    freed = sheets(project, capsys, "--free", "board 1, board 2", "--tidy", "board", *NO_FILES)
    assert not any(one["obsolete"] for one in freed["sheets"]) and freed["changes"] == []
    assert len(freed["sheets"]) == len(first["sheets"])


def test_files_carry_revision_thickness_and_every_piece(
    project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each board's DXF reads back with layers and without faults; cut list and bill read back; words on the sheet."""
    record = sheets(project, capsys, "--files")
    out = project / "out"
    sheet = record["sheets"][0]
    document = ezdxf.readfile(out / "boards" / f"{sheet['board'].replace(' ', '-')}.dxf")
    assert not document.audit().errors
    cut = [one for one in document.modelspace().query("LWPOLYLINE") if one.dxf.layer == "CUT"]
    rings = [Polygon(one.get_points("xy")) for one in cut]
    depth = [sum(other.contains(one) for other in rings if other is not one) for one in rings]
    area = sum(
        one.area * (-1) ** deep for one, deep in zip(rings, depth, strict=True)
    )  # a ring in a part is a hole
    assert area == pytest.approx(sheet["use"] * sheet["width_mm"] * sheet["height_mm"], rel=1e-3)
    text = (out / "boards" / f"{sheet['board'].replace(' ', '-')}.svg").read_text()
    assert f"drawn for {sheet['thickness_mm']:.1f} mm, revision {sheet['revision']}" in text
    rows = list(csv.DictReader(io.StringIO((out / "cut-list.csv").read_text())))
    assert [f"{one['number']}" for one in rows] == [one["number"] for one in record["parts"]]
    assert all(one["boards"] for one in rows if one["sheet"] in ("one sheet", "one stick"))
    bill = {one["item"]: one for one in csv.DictReader(io.StringIO((out / "bill.csv").read_text()))}
    assert float(bill["board"]["used"]) == sum(
        one["material"] == "board" and bool(one["places"]) for one in record["sheets"]
    )
    assert float(bill["cap"]["used"]) == 8 and float(bill["cap"]["buy"]) == 4


def test_wrong_questions_are_answered_with_what_would_work(
    project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A board of another name, a correction beyond 3 %, a printer nobody measured, a gap below nought, a torn file."""
    sheets(project, capsys)
    for more, words in (
        (["--printed", "board 99"], "Boards that carry parts: board 1"),
        (["--read-across", "160", "--read-up", "240"], "print it again at actual size"),
        (["--printer", "attic"], "no printer is called"),
        (["--gap", "-1"], "gap and border lie between"),
        (["--tidy", "gold"], "Materials that were laid"),
    ):
        assert run(["sheets", str(project), "--paper", "A4", *more]) == 2
        assert words in capsys.readouterr().err
    kept = (project / NAME).read_text()
    (project / NAME).write_text(kept[: len(kept) // 2])
    with pytest.raises(InputError, match="Bring back an earlier copy"):
        read_saved(project)
    assert run(["sheets", str(project), "--paper", "A4"]) == 2
    assert (project / NAME).read_text() == kept[: len(kept) // 2], "a damaged file is never written over"
    (project / NAME).write_text(kept)


def test_a_printer_is_kept_with_what_was_read(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The builder's story: a bar of 170 reads 169; the next print is stretched across alone, and says so."""
    record = sheets(
        project, capsys, "--printer", "school", "--read-across", "169", "--read-up", "240", *NO_FILES
    )
    printer = record["printers"][0]
    assert (printer["name"], printer["across_mm"], printer["across"], printer["up"]) == (
        "school", 169.0, round(170 / 169, 6), 1.0,
    )  # fmt: skip
    assert sheets(project, capsys)["printers"] == record["printers"]
