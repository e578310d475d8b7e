"""Pages at true size: bars measured in the printed picture, pages that join, pages left out, words that keep apart."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import numpy.typing as npt
import pymupdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing

import planewright.project
from planewright.draw.corners import corners
from planewright.draw.pack import shelves
from planewright.draw.paper import PAPERS, WARNING, Paper
from planewright.draw.pdf import pdf
from planewright.draw.printer import MARGIN, Printer, bars, printer, usable
from planewright.draw.scene import Path, Scene
from planewright.draw.small_parts import fits_one_page
from planewright.draw.templates import templates
from planewright.draw.tiles import best_way, grid_for, page_name, tiled, turned
from planewright.errors import OutOfRange
from planewright.geometry import derive
from planewright.geometry.parts import Part, parts
from planewright.plane import read_plane

EXAMPLES = FilePath(planewright.project.__file__).parent / "examples"
DPI = 600
TRUE = Printer()


@cache
def pieces(name: str) -> tuple[Part, ...]:
    plane, _ = read_plane(EXAMPLES / name / "aeroplane.toml")
    assert plane is not None
    return parts(derive(plane))


def skin() -> Part:
    return next(one for one in pieces("plover") if one.title.startswith("WING 6 RIGHT"))


def longest_run(dark: npt.NDArray[np.bool_]) -> float:
    """Length of the longest run of dark pixels, mm."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], dark, [False]))))
    return float((edges[1::2] - edges[::2]).max()) * 25.4 / DPI


def measured_bars(scene: Scene) -> tuple[float, float]:
    """Lengths of both bars in the page as a printer would lay it down, mm, by counting dark pixels of the picture."""
    page = pymupdf.open(stream=pdf([scene], "page"))[0]
    picture = page.get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY)
    dots = (
        np.frombuffer(picture.samples, np.uint8).reshape(picture.height, picture.stride)[:, : picture.width]
        < 128
    )
    row = round((scene.height - (MARGIN + 18.0 - 0.08)) * DPI / 25.4)
    column = round((MARGIN + 16.0 - 0.08) * DPI / 25.4)
    return longest_run(dots[row]), longest_run(dots[:, column])


@pytest.mark.parametrize("paper", list(PAPERS))
def test_check_bars_measure_right_in_the_printed_picture(paper: Paper) -> None:
    page = tiled(skin(), paper, "Plover, letter B")[0]
    assert measured_bars(page) == pytest.approx(bars(paper), abs=0.1)


def test_bars_of_the_first_page_and_of_small_parts_measure_right_too() -> None:
    for page in templates(pieces("plover"), "A4", "Plover, letter B")[:2]:
        assert measured_bars(page) == pytest.approx((170, 240), abs=0.1)


def test_a_printer_that_prints_short_prints_right_with_its_factors() -> None:
    read = (168.9, 242.0)
    factors = printer("A4", *read)
    stretched = measured_bars(tiled(skin(), "A4", "Plover", factors)[0])
    shrunk = stretched[0] * read[0] / 170, stretched[1] * read[1] / 240
    assert shrunk == pytest.approx((170, 240), abs=0.1)


def test_a_page_fitted_to_the_paper_is_refused() -> None:
    with pytest.raises(OutOfRange, match="fitted to the paper"):
        printer("A4", 164.0, 240.0)
    with pytest.raises(OutOfRange):
        printer("A4", 170.0, float("nan"))


def test_the_factors_stand_on_the_page() -> None:
    page = tiled(skin(), "A4", "Plover", Printer(1.002, 0.998))[0]
    assert any("1.0020 across, 0.9980 up" in one.words for one in page.texts())


@pytest.mark.parametrize(
    ("name", "paper"),
    [
        pytest.param(name, paper, marks=[pytest.mark.slow] if name == "gannet" and paper != "A4" else [])
        for name in ("plover", "gannet")
        for paper in PAPERS
    ],
)
def test_no_page_has_words_that_overlap_or_leave_it(name: str, paper: Paper) -> None:
    for page in templates(pieces(name), paper, f"{name}, letter B"):
        assert page.overlaps() == (), page.title
        assert page.outside() == (), page.title


@pytest.mark.parametrize("paper", list(PAPERS))
def test_pages_of_parts_that_are_not_ready_say_that_they_are_not_for_cutting(paper: Paper) -> None:
    found = [replace(one, ready=False) for one in pieces("plover")[:12]]
    for page in templates(found, paper, "Plover"):
        assert any(one.words == WARNING for one in page.texts())
        assert any(isinstance(one, Path) and one.layer == "overlay" for one in page.shapes)


@pytest.mark.parametrize("paper", list(PAPERS))
def test_lines_and_letters_are_large_enough_for_a_poor_copy(paper: Paper) -> None:
    """No line under 0.25 mm and no capitals under 2.3 mm (a trial of our own with a poor copy)."""
    for page in templates(pieces("gannet"), paper, "Gannet"):
        pens = [one.pen.width for one in page.shapes if isinstance(one, Path) and one.layer != "fill"]
        assert min(pens) >= 0.25
        assert min(one.size for one in page.texts()) >= 3.43


def test_an_aeroplane_without_sheets_has_no_pages() -> None:
    assert templates((), "A4", "x") == ()


def true_lines(part: Part, paper: Paper, factors: Printer) -> list[npt.NDArray[np.float64]]:
    """The cut lines of all pages of a part, put back into the part's own millimetres."""
    lying = best_way(part, paper, factors)
    grid = grid_for(lying, paper, factors)
    found = []
    for at, page in zip(grid.kept, tiled(part, paper, "x", factors), strict=True):
        corner = np.array(grid.corner(*at))
        for one in page.shapes:
            if isinstance(one, Path) and one.layer == "cut":
                stretch = np.array([factors.across, factors.up])
                found += [(np.array(ring) - MARGIN) / stretch + corner for ring in one.rings]
    return found


@pytest.mark.parametrize("factors", [TRUE, Printer(1.01, 0.985)])
def test_the_pages_together_show_the_whole_outline_in_its_place(factors: Printer) -> None:
    part = skin()
    lying = best_way(part, "A4", factors)
    edge = LinearRing(lying.rings[0])
    lines = true_lines(part, "A4", factors)
    seen = [p for one in lines for p in one]
    assert max(edge.distance(_point(p)) for p in seen) < 1e-6
    from shapely import LineString, union_all

    whole = union_all([LineString(one) for one in lines])
    assert edge.difference(whole.buffer(1e-6)).length < 1e-3


def _point(p: npt.NDArray[np.float64]):  # type: ignore[no-untyped-def]
    from shapely import Point

    return Point(p)


def test_equal_numbers_of_crosses_lie_on_each_other() -> None:
    part = skin()
    lying = best_way(part, "A4", TRUE)
    grid = grid_for(lying, "A4", TRUE)
    places: dict[str, list[tuple[float, float]]] = {}
    for at, page in zip(grid.kept, tiled(part, "A4", "x"), strict=True):
        corner = grid.corner(*at)
        circles = [one for one in page.shapes if type(one).__name__ == "Circle" and one.radius == 2.4]  # type: ignore[union-attr]
        numbers = [one for one in page.texts() if one.words.isdigit()]
        for circle in circles:
            x, y = circle.centre  # type: ignore[union-attr]
            name = min(numbers, key=lambda one: abs(one.at[0] - x) + abs(one.at[1] - y)).words
            places.setdefault(name, []).append((x - MARGIN + corner[0], y - MARGIN + corner[1]))
    assert len(places) > 8
    assert all(len(spots) > 1 for spots in places.values())
    for spots in places.values():
        assert np.ptp(np.array(spots), axis=0).max() < 1e-9


def test_neighbours_are_named_both_ways() -> None:
    pages = {one.title.split()[-1]: [t.words for t in one.texts()] for one in tiled(skin(), "A4", "x")}
    for name, words in pages.items():
        for other in [one.split()[0] for one in words if one.endswith("goes on top here")]:
            assert f"{name} is under here" in pages[other]


def test_blank_pages_are_left_out() -> None:
    ring = ((0.0, 0.0), (900.0, 0.0), (900.0, 30.0), (30.0, 30.0), (30.0, 900.0), (0.0, 900.0))
    angle = Part("BODY 1", "angle", "none", 1, "board", "foam board", 5.0, (ring,), 0.05, None)
    grid = grid_for(angle, "A4", TRUE)
    assert len(grid.kept) < 0.6 * grid.columns * grid.rows
    assert len(tiled(angle, "A4", "x")) == len(grid_for(best_way(angle, "A4", TRUE), "A4", TRUE).kept)


def test_a_part_is_turned_when_that_saves_pages_and_keeps_its_hand() -> None:
    ring = ((0.0, 0.0), (200.0, 0.0), (250.0, 20.0), (0.0, 20.0))
    part = Part("FIN 1", "strip", "right", 1, "board", "foam board", 5.0, (ring,), 0.05, None, stiff=0.0)
    lying = best_way(part, "A4", TRUE)
    assert lying.size == pytest.approx((20, 250))
    assert lying.stiff == pytest.approx(np.pi / 2)
    assert LinearRing(lying.rings[0]).is_ccw == LinearRing(ring).is_ccw
    assert turned(turned(turned(turned(part)))).rings[0][2] == pytest.approx((250, 20))


def test_small_parts_share_pages_and_sticks_have_none() -> None:
    found = pieces("plover")
    small = [one for one in found if one.kind != "pine stick" and fits_one_page(one, "A4")]
    pages = [one for one in templates(found, "A4", "x") if one.title.startswith("small")]
    assert len(small) > 2 * len(pages)
    said = {text.words for page in templates(found, "A4", "x") for text in page.texts()}
    sticks = {one.title for one in found if one.kind == "pine stick"}
    assert sticks and not sticks & said
    assert {one.title for one in found} - sticks <= said


def test_corner_numbers_give_the_outline_back() -> None:
    part = next(one for one in pieces("plover") if one.title.startswith("BODY 1 RIGHT"))
    ring = corners(part)
    assert len(ring) <= 12
    assert LinearRing(ring).hausdorff_distance(LinearRing(part.rings[0])) < 0.06


def test_column_letters_leave_out_those_that_look_like_figures() -> None:
    assert page_name(0, 0) == "A1"
    assert page_name(8, 2) == "J3"
    assert page_name(13, 0) == "P1"


@pytest.mark.parametrize(
    ("paper", "size"), [("A4", (190, 277)), ("Letter", (195.9, 259.4)), ("A3", (277, 400))]
)
def test_usable_room(paper: Paper, size: tuple[float, float]) -> None:
    assert usable(paper) == pytest.approx(size)


@given(st.lists(st.tuples(st.floats(5, 150), st.floats(5, 200)), min_size=1, max_size=25))
@settings(max_examples=60, deadline=None)
def test_packed_boxes_stay_on_their_page_and_apart(sizes: list[tuple[float, float]]) -> None:
    found = shelves(sizes, 160, 240, 4)
    for k, one in enumerate(found):
        w, h = sizes[k]
        assert one.x >= 0 and one.y >= -1e-9 and one.x + w <= 160 + 1e-9 and one.y + h <= 240 + 1e-9
        for other in found[:k]:
            ow, oh = sizes[other.index]
            apart = (
                one.x >= other.x + ow
                or other.x >= one.x + w
                or one.y >= other.y + oh - 1e-9
                or other.y >= one.y + h - 1e-9
            )
            assert one.page != other.page or apart
    with pytest.raises(ValueError, match="does not fit"):
        shelves([(161, 10)], 160, 240, 4)
