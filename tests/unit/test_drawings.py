"""Drawings beside the parts: solids closed and right way round, arrangement and exploded view, cards, marks on parts,
and the copy of a copy that must still be read."""

from __future__ import annotations

import json
import struct
from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import pymupdf
import pytest
from scipy.ndimage import gaussian_filter
from shapely import Polygon

import planewright.project
from fixtures.specimen import specimen
from planewright.documents.cutting.assembly import cards
from planewright.documents.opening import opened, study_of
from planewright.draw.arrangement import arrangement, spread
from planewright.draw.assembly_card import card_scenes
from planewright.draw.corners import by_numbers, corner_pages
from planewright.draw.exploded import exploded
from planewright.draw.marks import fold_words, groove_band, lines, moved_part
from planewright.draw.paper import PAPERS, Paper, Title
from planewright.draw.pdf import pdf
from planewright.draw.pieces import full_size
from planewright.draw.printer import MARGIN, UNCORRECTED
from planewright.draw.scene import PENS, Path, Scene
from planewright.draw.solid import glb, shells, stl
from planewright.draw.tiles import best_way, grid_for, tiled
from planewright.geometry import overall
from planewright.geometry.parts import parts
from planewright.study import Study

EXAMPLES = FilePath(planewright.project.__file__).parent / "examples"
STRIP = Title("Test", "drawing", "9", "B", "1 May 2026")


@cache
def study(name: str) -> Study:
    return study_of(opened(EXAMPLES / name))


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_solids_are_closed_right_way_round_and_as_large_as_the_aeroplane(name: str) -> None:
    """Every edge of a shell belongs to two faces, run in both ways; volumes are positive; STL and GLB read back."""
    geometry = study(name).models.geometry
    found = shells(geometry)
    for one in found:
        edges = np.concatenate([one.faces[:, [0, 1]], one.faces[:, [1, 2]], one.faces[:, [2, 0]]])
        _, counts = np.unique(np.sort(edges, axis=1), axis=0, return_counts=True)
        assert (counts == 2).all(), one.name
        assert len({tuple(edge) for edge in edges.tolist()}) == len(edges), "neighbours run an edge both ways"
        assert one.volume > 0
    bodies = {one.body.name: one.volume for one in geometry.bodies if not one.body.paired}
    for one in found:
        if one.name in bodies:
            assert one.volume == pytest.approx(bodies[one.name], rel=0.01)
    data = stl(found, "words")
    count = struct.unpack("<I", data[80:84])[0]
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    rows = np.frombuffer(data[84:], dtype=record)
    assert len(rows) == count == sum(len(one.faces) for one in found)
    corners = rows["corners"].reshape(-1, 3) / 1000.0
    assert np.ptp(corners[:, 1]) == pytest.approx(overall(geometry)[1], rel=1e-3)
    volume = np.einsum(
        "ij,ij->i", rows["corners"][:, 0], np.cross(rows["corners"][:, 1], rows["corners"][:, 2])
    ).sum()
    assert volume / 6e9 == pytest.approx(sum(one.volume for one in found), rel=1e-3)


def test_glb_reads_back_with_its_front_toward_z_and_up_along_y() -> None:
    """Chunks, lengths, bounds: the nose has the greatest z, the top of the fin the greatest y, right is -x."""
    found = shells(study("gannet").models.geometry)
    data = glb(found, "Gannet")
    magic, version, length = struct.unpack("<4sII", data[:12])
    assert (magic, version, length) == (b"glTF", 2, len(data)) and length % 4 == 0
    size = struct.unpack("<I", data[12:16])[0]
    tree = json.loads(data[20 : 20 + size])
    binary = data[20 + size + 8 :]
    assert tree["buffers"][0]["byteLength"] <= len(binary)
    assert [one["name"] for one in tree["nodes"]] == [one.name for one in found]
    for mesh, shell in zip(tree["meshes"], found, strict=True):
        accessor = tree["accessors"][mesh["primitives"][0]["attributes"]["POSITION"]]
        view = tree["bufferViews"][accessor["bufferView"]]
        start = view["byteOffset"]
        points = np.frombuffer(binary[start : start + view["byteLength"]], "<f4").reshape(-1, 3)
        assert points.max(axis=0) == pytest.approx(accessor["max"])
        low, high = shell.points.min(axis=0), shell.points.max(axis=0)
        assert points.max(axis=0) == pytest.approx([-low[1], high[2], -low[0]], abs=1e-5)


@pytest.mark.parametrize(
    "paper", ["A4", *(pytest.param(one, marks=pytest.mark.slow) for one in PAPERS if one != "A4")]
)
def test_drawings_keep_their_words_apart_and_on_the_sheet(paper: Paper) -> None:
    """Arrangement, exploded view and cards of both examples on every paper: no word on another, none outside."""
    for name in ("plover", "gannet"):
        one = study(name)
        geometry, found = one.models.geometry, parts(one.models.geometry)
        scenes = [arrangement(geometry, paper, STRIP), exploded(geometry, found, paper, STRIP)]
        scenes += card_scenes(cards(one, found), paper, STRIP)
        for scene in scenes:
            assert scene.overlaps() == () and scene.outside() == ()
        figures = {text.words for text in scenes[0].texts()}
        for body in geometry.bodies:
            if not body.body.y:
                assert {f"{x * 1000:.0f}" for x in body.stations[:, 0]} <= figures


def test_cards_name_every_part_once_and_a_box_for_every_weight() -> None:
    """Each part stands on one card; each weighable side of it has a box with the weight as drawn."""
    one = study("plover")
    found = parts(one.models.geometry)
    made = cards(one, found)
    jigs = [part.title for part in found if part.number.startswith("JIG")]
    built = [part.title for part in found if part.title not in jigs]
    assert sorted(part.title for card in made for part in card.parts) == sorted(built)
    assert jigs and sorted(one for card in made for one in card.jigs if one.startswith("JIG")) == sorted(jigs)
    assert [card.kind for card in made] == ["tailplane", "fin", "wing", "nacelle", "body"]
    boxes = {box.name: box.drawn_g for card in made for box in card.weights}
    drawn = {row.part: 1000 * row.drawn for row in one.weights}
    assert boxes == {name: drawn[name] for name in boxes} and {
        "wing.left",
        "wing.right",
        "fin",
        "body",
    } <= set(boxes)
    assert any("620 mm" in step for card in made for step in card.steps), "the joint of the drawing"


def test_running_dimensions_never_lie_on_each_other() -> None:
    """Crowded stations are set aside in order, as little as needed; a lonely one stays."""
    places = [0.0, 1.0, 2.0, 50.0]
    found = spread(places, 4.6)
    assert np.diff(found).min() >= 4.6 - 1e-6 and found[3] == 50.0
    assert np.mean(found[:3]) == pytest.approx(1.0)


def test_marks_on_a_part_are_where_the_part_says_and_turn_with_it() -> None:
    """A groove's band is as wide as said and square to its line; a quarter turn keeps all lengths, never mirrors."""
    part = specimen()
    a, b, c, d = map(np.array, groove_band(part.folds[1]))
    assert np.hypot(*(a - d)) == pytest.approx(6.5) and np.hypot(*(b - c)) == pytest.approx(5.0)
    assert fold_words(part.folds[0]) == "V 10 wide, fold 88 deg toward you"
    assert fold_words(part.folds[3]) == "score the other face, fold 12 deg away"
    turned = moved_part(part, np.pi / 2, (7.0, 3.0))
    assert Polygon(turned.rings[0]).bounds[:2] == pytest.approx((7.0, 3.0))
    assert Polygon(turned.rings[0]).exterior.is_ccw == Polygon(part.rings[0]).exterior.is_ccw
    before, after = ([one for one in lines(each) if isinstance(one, Path)] for each in (part, turned))
    by_layer = {}
    for each in (before, after):
        for layer in {one.layer for one in each} - {"groove", "glue"}:
            length = sum(
                float(np.hypot(*np.diff(np.array(ring), axis=0).T).sum())
                for one in each if one.layer == layer for ring in one.rings
            )  # fmt: skip
            by_layer.setdefault(layer, []).append(length)
    assert all(a == pytest.approx(b) for a, b in by_layer.values())
    assert [one.angle for one in turned.folds] == [one.angle for one in part.folds]
    assert all(-np.pi / 2 - 0.2 < text.angle <= np.pi / 2 + 0.2 for text in full_size(turned).texts())


def test_numbers_alone_are_given_only_where_they_say_all() -> None:
    """Holes count among the corners; every fold, slope, station, glue area and tick has its place in the table."""
    part = specimen()
    assert by_numbers(part)
    words = " ".join(text.words for scene in corner_pages([part], "A4", "Test") for text in scene.texts())
    for needed in (
        "V 10 wide",
        "score this face",
        "station 360",
        "glue spar box",
        "ticks: A0",
        "shave to the paper",
    ):
        assert needed in words
    assert "250.0" in words and "290.0" in words, "the corners of the hole"
    assert not by_numbers(part, 7)


def dots(scene: Scene, dpi: int) -> np.ndarray:  # type: ignore[type-arg]
    """Darkness 0 to 1 of a page."""
    page = pymupdf.open(stream=pdf([scene], "page"))[0]
    picture = page.get_pixmap(dpi=dpi, colorspace=pymupdf.csGRAY)
    rows = np.frombuffer(picture.samples, np.uint8).reshape(picture.height, picture.stride)[
        :, : picture.width
    ]
    return 1.0 - rows / 255.0


def test_every_line_and_word_outlives_a_poor_copy() -> None:
    """150 dots an inch, blurred, cut to pure black and white: of every line at least nine tenths of its inked length is
    still there, of every word at least six tenths of its ink; nothing leans on a grey or a colour."""
    scene = full_size(specimen())
    thin = [
        replace(one, width=0.1) if isinstance(one, Path) and one.layer == "mark" else one
        for one in scene.shapes
    ]
    assert min(lines_kept(scene).values()) >= 0.9
    assert lines_kept(replace(scene, shapes=tuple(thin)))["mark"] < 0.9, "the test can fail"
    assert set(lines_kept(scene)) >= {
        "cut",
        "score",
        "score back",
        "groove",
        "bevel",
        "glue",
        "hidden",
        "centre",
        "mark",
    }
    scale, sharp = 150 / 25.4, dots(scene, 150)
    copy = copied(sharp)
    for text in scene.texts():
        box = np.array(text.points())
        assert text.size >= 3.7, "capitals at least 2.5 mm high"
        low, high = box.min(axis=0) * scale, box.max(axis=0) * scale
        rows = slice(int(scene.height * scale - high[1]), int(scene.height * scale - low[1]) + 1)
        columns = slice(int(low[0]), int(high[0]) + 1)
        ink = sharp[rows, columns] > 0.5
        assert copy[rows, columns][ink].mean() >= 0.6, text.words
    assert all(pen.width == 0 or pen.width >= 0.25 for pen in PENS.values())


def copied(sharp: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
    """What a poor copier makes of a page: blurred, then pure black and white."""
    return np.asarray(gaussian_filter(sharp, 0.7) > 0.33)


def lines_kept(scene: Scene) -> dict[str, float]:
    """Of the worst line of each layer, the part of its length that the copy still shows."""
    dpi, sharp = 150, dots(scene, 150)
    copy, scale = copied(sharp), dpi / 25.4
    worst: dict[str, float] = {}

    def kept(points: np.ndarray) -> float:  # type: ignore[type-arg]
        column, row = points[:, 0] * scale, (scene.height - points[:, 1]) * scale
        hits = np.zeros(len(points), dtype=bool)
        inked = np.zeros(len(points), dtype=bool)
        for dx in (-1, 0, 1):
            for dy in (-1, 0, 1):
                i = np.clip((row + dy).astype(int), 0, copy.shape[0] - 1)
                j = np.clip((column + dx).astype(int), 0, copy.shape[1] - 1)
                hits |= copy[i, j]
                inked |= sharp[i, j] > 0.05
        return float(hits[inked].mean()) if inked.any() else 0.0

    for shape in scene.shapes:
        if isinstance(shape, Path) and shape.layer not in ("overlay", "fill") and not shape.fill:
            assert shape.ink == "#000000"
            for ring in shape.rings:
                ends = np.array([*ring, ring[0]] if shape.closed else ring)
                far = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(ends, axis=0).T))))
                at = np.linspace(0.0, far[-1], max(4, int(far[-1] * 4)))
                points = np.column_stack([np.interp(at, far, ends[:, k]) for k in (0, 1)])
                worst[shape.layer] = min(worst.get(shape.layer, 1.0), kept(points))
    return worst


@pytest.mark.parametrize("paper", ["A4", pytest.param("Letter", marks=pytest.mark.slow)])
def test_a_diagonal_of_a_metre_over_taped_pages_is_true(paper: Paper) -> None:
    """Pages as pictures of 600 dots an inch, put together by their crosses: the two far corners of a part of 906 x 424
    mm lie 1000.3 mm apart within 0.1 mm."""
    ring = ((0.0, 0.0), (906.0, 0.0), (906.0, 424.0), (0.0, 424.0))
    plate = moved_part(specimen(), 0.0)
    part = replace(
        plate, rings=(ring,), folds=(), bevels=(), glue=(), ticks=(), stations=(), words=(), marks=()
    )
    lying = best_way(part, paper, UNCORRECTED)
    grid = grid_for(lying, paper, UNCORRECTED)
    pages = dict(zip(grid.kept, tiled(part, paper, "Test"), strict=True))
    ends = []
    for corner in ((0.0, 0.0), lying.size):
        at = next(
            one
            for one in grid.kept
            if all(
                low + 1.0 < c < low + wide - 1.0
                for c, low, wide in zip(corner, grid.corner(*one), (grid.width, grid.height), strict=True)
            )
        )
        ends.append(
            np.array(grid.corner(*at)) + cut_corner(pages[at], corner, grid.corner(*at), MARGIN) - MARGIN
        )
    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(np.hypot(906.0, 424.0), abs=0.1)


def cut_corner(
    scene: Scene, corner: tuple[float, float], origin: tuple[float, float], margin: float
) -> np.ndarray:  # type: ignore[type-arg]
    """Where two cut lines meet on the printed page, mm: the middle of the dark run of a line's width, by the median of
    many rows and columns along both arms."""
    dark, scale = dots(scene, 600) > 0.5, 600 / 25.4
    x, y = (margin + c - o for c, o in zip(corner, origin, strict=True))
    inward = [1.0 if c < 1.0 else -1.0 for c in corner]
    found: tuple[list[float], list[float]] = ([], [])
    for far in np.arange(2.0, 12.0, 0.25):
        row, column = (scene.height - (y + far * inward[1])) * scale, (x + far * inward[0]) * scale
        found[0].append(middle_of_run(dark[int(row)], x * scale, scale))
        found[1].append(middle_of_run(dark[:, int(column)], (scene.height - y) * scale, scale))
    across, down = (float(np.nanmedian(one)) / scale for one in found)
    return np.array([across, scene.height - down])


def middle_of_run(dark: np.ndarray, near: float, scale: float) -> float:  # type: ignore[type-arg]
    """Middle of the run of dark pixels of 0.55 to 0.85 mm nearest to a place, pixels; NaN where there is none."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], dark, [False]))))
    starts, ends = edges[::2], edges[1::2]
    right = (ends - starts > 0.55 * scale) & (ends - starts < 0.85 * scale)
    middles = (starts + ends)[right] / 2
    return float(middles[np.argmin(np.abs(middles - near))]) if len(middles) else float("nan")


def test_fonts_are_in_the_file() -> None:
    """Every font a page uses is embedded, whatever the machine has."""
    document = pymupdf.open(stream=pdf([full_size(specimen())], "page"))
    fonts = document.get_page_fonts(0)
    assert fonts and all(one[1] != "n/a" for one in fonts)
    assert all(len(document.extract_font(one[0])[3]) > 1000 for one in fonts)
