"""The book command as a user runs it: what lies in out/, what the pages say, that nothing overlaps or leaves a page."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pymupdf
import pytest

from planewright.cli.main import run
from planewright.project import new_project

SHRINK = 0.8


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Plover with its trials taken in, and its book on A4."""
    folder = tmp_path_factory.mktemp("book") / "plover"
    new_project(folder, "plover")
    assert run(["calibrate", str(folder), "--json"]) == 0
    assert run(["book", str(folder), "--paper", "A4"]) == 0
    return folder / "out"


def pages(path: Path) -> Iterator[pymupdf.Page]:
    with pymupdf.open(path) as document:
        yield from document


def words(path: Path) -> str:
    return " ".join(page.get_text() for page in pages(path)).replace("\u202f", " ")


def test_everything_is_there(made: Path) -> None:
    for name in (
        "book.pdf", "cut-list.csv", "study.json", "drawings/three-view.svg", "drawings/three-view.dxf",
        "drawings/three-view-A4.pdf", "drawings/field.svg", "parts/all.dxf", "parts/tiles-A4.pdf",
    ):  # fmt: skip
        assert (made / name).stat().st_size > 500, name
    assert not list(made.glob("parts/tiles-A3.pdf")), "--paper picks one size"


def test_the_book_has_its_chapters_and_the_verdict(made: Path) -> None:
    text = words(made / "book.pdf")
    for head in (
        "Plover", "The pilot decides", "Figures", "Findings", "Weights", "Strength", "Power", "Flight day", "The field",
        "Bend a wing until it breaks", "planned, not yet run", "permits nothing", "STOP", "measure",
    ):  # fmt: skip
        assert head.lower() in text.lower(), head
    assert "NOT FOR FLIGHT" not in text


def test_the_book_says_the_same_digits_as_the_study(made: Path) -> None:
    document = json.loads((made / "study.json").read_text(encoding="utf-8"))
    stall = document["figures"]["stall_speed"]
    assert f"{stall['value']:.1f} m/s" in words(made / "book.pdf")
    assert f"{stall['low']:.1f} to {stall['high']:.1f} m/s" in words(made / "book.pdf")


def test_not_for_flight_lies_across_the_card_before_the_trials(plover: Path, command: Callable) -> None:
    assert command("book", plover, "--paper", "Letter").code == 0
    text = words(plover / "out/book.pdf")
    assert "NOT FOR FLIGHT" in text and "trials not taken in" in text.lower()
    with pymupdf.open(plover / "out/book.pdf") as document:
        assert (round(document[0].rect.width), round(document[0].rect.height)) == (612, 792)


def test_no_text_leaves_a_page_and_none_lies_on_another(made: Path) -> None:
    """Boxes of lines, shrunk to the height of small letters, neither overlap nor pass the edge of the page."""
    for page in pages(made / "book.pdf"):
        boxes = []
        for block in page.get_text("dict")["blocks"]:
            for line in block.get("lines", ()):
                if abs(line["dir"][1]) > 1e-3:
                    continue
                box = pymupdf.Rect(line["bbox"])
                middle, half = (box.y0 + box.y1) / 2, SHRINK * box.height / 2 * 0.6
                boxes.append(
                    (pymupdf.Rect(box.x0, middle - half, box.x1, middle + half), line["spans"][0]["text"])
                )
        for i, (box, text) in enumerate(boxes):
            assert page.rect.contains(box), (page.number + 1, text)
            for other, said in boxes[:i]:
                cut = box & other
                assert cut.is_empty or cut.width < 1.0 or cut.height < 0.5, (page.number + 1, text, said)


def test_pages_are_true_to_size_and_ask_for_actual_size(made: Path) -> None:
    for name in ("book.pdf", "parts/tiles-A4.pdf", "drawings/three-view-A4.pdf"):
        data = (made / name).read_bytes()
        assert b"PrintScaling" in data, name
        for page in pages(made / name):
            short, long = sorted((page.rect.width, page.rect.height))
            assert abs(short - 210 * 72 / 25.4) < 0.05 and abs(long - 297 * 72 / 25.4) < 0.05


def test_tiles_of_parts_that_are_worked_out_do_not_warn(made: Path) -> None:
    said = words(made / "parts/tiles-A4.pdf").upper()
    assert "MAKE 1" in said and "OUTLINE, NOT FOR CUTTING" not in said


def test_cut_list_reads_back(made: Path) -> None:
    rows = list(csv.DictReader(io.StringIO((made / "cut-list.csv").read_text(encoding="utf-8"))))
    assert len(rows) > 20
    assert all(float(row["area_cm2"]) > 0 for row in rows)
    assert len({(row["number"], row["hand"], row["piece"]) for row in rows}) == len(rows)


@pytest.mark.slow
def test_json_of_book_is_one_document(starter: Path, command: Callable) -> None:
    answer = command("book", starter, "--paper", "A4", "--json")
    assert answer.code == 0
    assert answer.document["project"] == "First"
