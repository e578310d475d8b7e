"""Flat parts against developments that are known exactly, and against what must hold for any aeroplane."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

import planewright.project
from planewright.geometry import Geometry, derive
from planewright.geometry.parts import Part, cut_list, numbers, parts, sheet_fit
from planewright.geometry.parts.frame import Frame, frame
from planewright.geometry.parts.inside import rib_shape
from planewright.geometry.strips import faces_up, lengthwise, level, unroll, unroll_inside_up
from planewright.plane import read_plane
from planewright.plane.model import Plane, Section, Stock

Array = npt.NDArray[np.float64]
EXAMPLES = Path(planewright.project.__file__).parent / "examples"
NAMES = ("plover", "gannet", "starter")


@cache
def geometry(name: str) -> Geometry:
    plane, _ = read_plane(EXAMPLES / name / "aeroplane.toml")
    assert plane is not None
    return derive(plane)


@cache
def pieces(name: str) -> tuple[Part, ...]:
    return parts(geometry(name))


def circle(radius: float, z: float, chords: int, offset: float = 0.0) -> Array:
    turn = np.linspace(0, 2 * np.pi, chords + 1)
    return np.column_stack((radius * np.cos(turn) + offset, radius * np.sin(turn), np.full(chords + 1, z)))


def test_a_frustum_unrolls_into_its_ring_sector() -> None:
    """A frustum of radii R, r and height h develops into a sector of outer radius R s/(R - r) with s its slant height,
    and angle 2 pi (R - r)/s (elementary geometry of the cone)."""
    big, small, height = 60.0, 45.0, 200.0
    slant = np.hypot(big - small, height)
    flat = unroll(circle(big, 0, 96), circle(small, height, 96))
    radius = big * slant / (big - small)
    assert radius == pytest.approx(802.247, abs=1e-3)
    apex = _centre(flat.first)
    assert np.linalg.norm(flat.first - apex, axis=1) == pytest.approx(radius, abs=0.05)
    # the chords lie on the plane figure's arc, so its angle is short by the chords' own shortening only
    ends = flat.first[[0, -1]] - apex
    angle = np.arccos(ends[0] @ ends[1] / np.prod(np.linalg.norm(ends, axis=1)))
    assert np.degrees(angle) == pytest.approx(np.degrees(2 * np.pi * (big - small) / slant), abs=0.01)
    area = np.pi * (big + small) * slant
    assert Polygon(flat.outline).area == pytest.approx(area, rel=3e-4)


def _centre(points: Array) -> Array:
    """Centre of the circle through points, by least squares."""
    system = np.column_stack((2 * points, np.ones(len(points))))
    return np.asarray(np.linalg.lstsq(system, (points**2).sum(axis=1), rcond=None)[0][:2])


def test_a_cylinder_cut_aslant_unrolls_into_its_cosine() -> None:
    """A cylinder of radius R cut at 30 deg develops to z = 200 + R cos(t) tan(30 deg) over R t."""
    radius, chords = 75.0, 96
    foot = circle(radius, 0, chords)
    top = foot.copy()
    top[:, 2] = 200 + foot[:, 0] * np.tan(np.radians(30))
    flat = unroll(foot, top)
    assert np.linalg.norm(flat.second - flat.first, axis=1) == pytest.approx(top[:, 2], abs=1e-9)
    assert np.linalg.norm(flat.first[-1] - flat.first[0]) == pytest.approx(2 * np.pi * radius, abs=0.1)


rows = st.integers(0, 2**31).map(lambda seed: _random_rows(np.random.default_rng(seed)))


def _random_rows(random: np.random.Generator) -> tuple[Array, Array]:
    along = np.cumsum(random.uniform(5, 60, 8))
    first = np.column_stack((along, random.normal(0, 5, 8), random.normal(0, 5, 8)))
    second = np.column_stack(
        (along * random.uniform(0.6, 1.3), 150 + random.normal(0, 5, 8), random.normal(0, 5, 8))
    )
    return first, second


@given(rows)
@settings(max_examples=60, deadline=None)
def test_unrolling_keeps_every_length_along_rows_and_rulings(made: tuple[Array, Array]) -> None:
    first, second = made
    flat = unroll(first, second)
    for solid, laid in ((first, flat.first), (second, flat.second)):
        steps = np.linalg.norm(np.diff(solid, axis=0), axis=1)
        assert np.linalg.norm(np.diff(laid, axis=0), axis=1) == pytest.approx(steps, abs=1e-7)
    rulings = np.linalg.norm(second - first, axis=1)
    assert np.linalg.norm(flat.second - flat.first, axis=1) == pytest.approx(rulings, abs=1e-7)


@given(rows, st.floats(-3, 3))
@settings(max_examples=30, deadline=None)
def test_turning_a_strip_keeps_its_hand(made: tuple[Array, Array], _: float) -> None:
    flat = unroll(*made)
    for other in (level(flat), lengthwise(flat)):
        assert _hand(other.outline) == _hand(flat.outline)


def _hand(ring: Array) -> float:
    x, y = ring.T
    return float(np.sign(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))))


def test_a_strip_lies_inside_face_up_whichever_row_comes_first() -> None:
    """Seen from above with its outside downward, a flat sheet is the mirror picture of what is seen from outside."""
    first = np.array([[0.0, 0, 0], [100, 0, 0], [200, 0, 0]])
    second = np.array([[0.0, 50, 0], [100, 60, 0], [200, 90, 0]])
    outward = np.array([0.0, 0, 1])
    flat = unroll_inside_up(first, second, outward)
    seen = np.vstack((first, second[::-1]))[:, :2]
    assert faces_up(first, second, outward) is False
    swapped = np.vstack((flat.second, flat.first[::-1]))
    assert _hand(swapped) == -_hand(seen)
    assert Polygon(flat.outline).area == pytest.approx(Polygon(seen).area)


@pytest.mark.parametrize("name", NAMES)
def test_numbers_are_used_once_and_skip_what_is_misheard(name: str) -> None:
    drawn = [one.title for one in pieces(name)]
    assert len(drawn) == len(set(drawn))
    used = {int(one.number.split()[1]) for one in pieces(name)}
    assert not used & ({*range(13, 21)} | {30, 40, 50})
    assert [n for n, _ in zip(numbers(), range(14), strict=False)] == [*range(1, 13), 21, 22]


@pytest.mark.parametrize("name", NAMES)
def test_left_is_the_mirror_of_right_and_the_words_are_not_mirrored(name: str) -> None:
    right = {(one.number, one.piece): one for one in pieces(name) if one.hand == "right"}
    left = {(one.number, one.piece): one for one in pieces(name) if one.hand == "left"}
    assert right.keys() == left.keys() and right
    for number, part in right.items():
        other = left[number]
        assert other.area == pytest.approx(part.area) and other.name == part.name
        mirrored = Polygon([(part.size[0] - x, y) for x, y in part.rings[0]])
        assert mirrored.symmetric_difference(Polygon(other.rings[0])).area < 1e-3 * mirrored.area
        assert other.ends == part.ends[::-1]


@pytest.mark.parametrize("name", NAMES)
def test_handed_skins_are_told_apart_by_their_edges_and_turns(name: str) -> None:
    """Edge lengths and turns round the outline in one sense: equal up to a shift for the same hand only."""
    for part in pieces(name):
        if part.hand != "right" or "skin" not in part.name:
            continue
        ring = np.array(Polygon(part.rings[0]).simplify(0.05).exterior.coords[:-1])
        flipped = (ring * np.array([-1, 1]))[::-1]
        same = _same_up_to_turning(_signature(ring), _signature(ring @ _turn(0.7)))
        assert same
        symmetric = _same_up_to_turning(_signature(ring), _signature(flipped))
        assert not symmetric or len(ring) == 4


def _turn(angle: float) -> Array:
    return np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])


def _signature(ring: Array) -> Array:
    edge = np.roll(ring, -1, axis=0) - ring
    before = np.roll(edge, 1, axis=0)
    turn = np.arctan2(before[:, 0] * edge[:, 1] - before[:, 1] * edge[:, 0], (before * edge).sum(axis=1))
    return np.column_stack((np.hypot(*edge.T), 100 * turn))


def _same_up_to_turning(one: Array, other: Array) -> bool:
    return any(np.allclose(one, np.roll(other, k, axis=0), atol=0.05) for k in range(len(one)))


@pytest.mark.parametrize("name", NAMES)
def test_skins_of_each_surface_have_its_wetted_area(name: str) -> None:
    shape = geometry(name)
    words = {"wing": "WING", "tailplane": "TAIL", "fin": "FIN"}
    for one in shape.surfaces.values():
        if one.surface.build.way in ("sheet", "kinked"):
            continue
        skins = [
            p for p in pieces(name) if p.number.startswith(words[one.surface.kind]) and p.group == "skin"
        ]
        assert sum(p.area * p.copies for p in skins) == pytest.approx(one.wetted, rel=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_a_plate_and_its_moving_part_have_the_plan_area_less_the_gaps_at_the_ends(name: str) -> None:
    shape = geometry(name)
    for one in shape.surfaces.values():
        if one.surface.build.way == "sheet":
            word = "TAIL" if one.surface.kind == "tailplane" else "FIN"
            flat = [p for p in pieces(name) if p.number.startswith(word) and (p.name == "plate" or p.bevels)]
            gaps = 4 * 0.002 * 0.2
            found = sum(p.area * p.copies for p in flat)
            assert one.area - gaps <= found <= one.area + 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_body_sheets_have_the_wetted_area_less_two_thicknesses_of_floor_and_roof(name: str) -> None:
    """Without a wing that goes through it; a wrap of card has its tab besides."""
    plane = replace(geometry(name).plane, surfaces=())
    shape = derive(plane)
    found = parts(shape)
    for one in shape.bodies:
        word = "POD" if one.body.y else "BODY"
        sheets = [p for p in found if p.number.startswith(word) and p.group in ("panel", "wrap")]
        lost = 0.0
        if one.body.build.way == "box":
            lost = 4 * sheets[0].thickness / 1000 * one.length * one.count
        tabs = sum(p.copies * 0.015 * p.size[1] / 1000 for p in sheets if p.group == "wrap")
        assert sum(p.area * p.copies for p in sheets) == pytest.approx(
            one.wetted * one.count - lost + tabs, rel=0.006
        )


@pytest.mark.parametrize("name", NAMES)
def test_ribs_lie_inside_the_skin_of_their_panel_by_its_thickness(name: str) -> None:
    wing = geometry(name).wing
    assert wing is not None
    made = frame(geometry(name).plane, wing)
    for out in (30.0, 200.0):
        loft = made.lofts[0]
        whole = Polygon(loft.plane(loft.ring(out)))
        rib = made_rib(made, out)
        assert not rib.is_empty
        assert rib.within(whole)
        gap = rib.boundary.distance(whole.boundary)
        assert made.t * 0.99 <= gap <= made.t * 1.2


def made_rib(made: Frame, out: float) -> BaseGeometry:
    return rib_shape(made, made.lofts[0], out, made.rib_thickness())


@pytest.mark.parametrize("name", NAMES)
def test_every_part_is_one_simple_outline_with_its_mass_and_its_marks_on_it(name: str) -> None:
    for part in pieces(name):
        area = Polygon(part.rings[0], part.rings[1:])
        assert area.is_valid and area.area / 1e6 == pytest.approx(part.area)
        assert min(min(ring) for ring in part.rings[0]) >= -1e-9
        board = geometry(name).plane.stock[part.material]
        if board.areal_mass is not None:
            assert part.mass_goal == pytest.approx(board.areal_mass * part.area)
        wide = Polygon(part.rings[0]).buffer(0.6)
        assert all(wide.covers(LineString(m.points)) for m in (*part.marks, *part.stations))


def test_hinge_lines_run_at_their_part_of_the_chord() -> None:
    """On a flat plate the hinge is at 1 - chord of the control: the elevator of the first example at 65 %, so the fixed
    plate is 65 % of the chord deep where the elevator is."""
    plane = geometry("plover").plane
    tail = next(one for one in plane.surfaces if one.kind == "tailplane")
    plate = next(p for p in pieces("plover") if p.title == "TAIL 1 RIGHT")
    hinge = next(m for m in plate.marks if m.meaning == "hinge")
    ring = np.array(plate.rings[0])
    for (x, y), out in zip(hinge.points, (0.0, 420.0), strict=True):
        chord = 1000 * np.interp(out / 1000, [s.out for s in tail.stations], [s.chord for s in tail.stations])
        _, high = _cut_at(ring, x)
        assert high - y == pytest.approx(0.65 * chord, abs=0.02)


def _cut_at(ring: Array, x: float) -> tuple[float, float]:
    ys = []
    for a, b in pairwise(np.vstack((ring, ring[:1]))):
        if (a[0] - x) * (b[0] - x) <= 0 and a[0] != b[0]:
            ys.append(a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1]))
    return min(ys), max(ys)


def test_pieces_larger_than_their_sheet_are_said_to_need_a_splice() -> None:
    board = Stock("board", "foam board", sheet=(0.508, 0.762))
    square = lambda w, h: ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))  # noqa: E731
    assert sheet_fit(square(500.0, 760.0), board) == "one sheet"
    assert sheet_fit(square(760.0, 500.0), board) == "one sheet"
    assert sheet_fit(square(1000.0, 500.0), board) == "splice: 2 pieces"
    assert sheet_fit(square(1500.0, 40.0), Stock("s", "pine stick", length=1.0)) == "splice: 2 pieces"
    assert sheet_fit(square(10.0, 40.0), Stock("t", "plywood")) == ""


@pytest.mark.parametrize("name", NAMES)
def test_the_cut_list_reads_back_with_one_line_for_every_part(name: str) -> None:
    rows = list(csv.DictReader(io.StringIO(cut_list(pieces(name)))))
    assert len(rows) == len(pieces(name))
    for row, part in zip(rows, pieces(name), strict=True):
        assert row["number"] == part.number and row["name"] == part.name and int(row["copies"]) == part.copies
        assert float(row["area_cm2"]) == pytest.approx(part.area * 1e4, abs=0.06)
        assert float(row["length_mm"]) >= float(row["width_mm"])


def test_first_example_masses_agree_with_its_table() -> None:
    """Skins 337 g, ribs 24 g a half (the middle values of the invented example, worked out by other code)."""
    found = [p for p in pieces("plover") if p.number.startswith("WING")]
    skins = sum(p.area * 388 for p in found if p.group == "skin" and p.hand == "right")
    assert skins == pytest.approx(337, rel=0.04)


def _odd(name: str) -> list[Plane]:
    """The example built in every way, with a pointed body, mixed sections, a needle tip and without materials."""
    plane = geometry(name).plane
    found = [replace(plane, stock={})]
    for way in ("folded", "ribs", "sheet", "kinked"):
        build = [replace(one.build, way=way, rib_pitch=0.15) for one in plane.surfaces]  # type: ignore[arg-type]
        made = [replace(one, build=new) for one, new in zip(plane.surfaces, build, strict=True)]
        found.append(replace(plane, surfaces=tuple(made)))
    for way in ("box", "shell"):
        pointed = [
            replace(
                one,
                build=replace(one.build, way=way, former_pitch=0.1),  # type: ignore[arg-type]
                stations=(replace(one.stations[0], width=0.0, height=0.0), *one.stations[1:]),
            )
            for one in plane.bodies
        ]
        found.append(replace(plane, bodies=tuple(pointed)))
    tips = [replace(one.stations[-1], chord=0.004, section=Section("flat", "flat")) for one in plane.surfaces]
    needle = [
        replace(one, stations=(*one.stations[:-1], tip))
        for one, tip in zip(plane.surfaces, tips, strict=True)
    ]
    return [*found, replace(plane, surfaces=tuple(needle))]


@pytest.mark.parametrize("name", NAMES)
def test_every_way_of_building_gives_sound_outlines_or_none(name: str) -> None:
    for plane in _odd(name):
        for part in parts(derive(plane)):
            assert np.isfinite(np.array(part.rings[0])).all()
            assert part.area > 0
            assert Polygon(part.rings[0], part.rings[1:]).is_valid
