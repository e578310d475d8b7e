"""Parts against each other: seams, ticks, hands, faces, slots against exact clipping of crossing boards, splices."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box

import planewright.project
from planewright.geometry import derive
from planewright.geometry.parts import PartSet, part_set, thickness
from planewright.plane import read_plane
from planewright.plane.model import Plane

Array = npt.NDArray[np.float64]
EXAMPLES = Path(planewright.project.__file__).parent / "examples"
NAMES = ("plover", "gannet")


@cache
def plane_of(name: str) -> Plane:
    plane, _ = read_plane(EXAMPLES / name / "aeroplane.toml")
    assert plane is not None
    return plane


@cache
def made(name: str) -> PartSet:
    return part_set(derive(plane_of(name)))


@pytest.mark.parametrize("name", NAMES)
def test_every_seam_is_as_long_on_one_part_as_on_the_other(name: str) -> None:
    assert len(made(name).seams) > 10
    for seam in made(name).seams:
        one, two = (side.length for side in seam.sides)
        assert one == pytest.approx(two, abs=1e-6), seam.name
        assert seam.misfit < 0.5


@pytest.mark.parametrize("name", NAMES)
def test_strips_of_a_skin_misfit_less_than_half_a_millimetre(name: str) -> None:
    for part in made(name).parts:
        assert max((one.misfit for one in part.facets), default=0.0) < 0.5, part.title


@pytest.mark.parametrize("name", NAMES)
def test_ticks_of_one_name_stand_at_one_point_in_space(name: str) -> None:
    """On each side of the aeroplane: the left part's ticks are those of the right one, mirrored."""
    places = dict[tuple[str, bool], list[Array]]()
    for part in made(name).parts:
        if part.key.startswith("nacelle"):
            continue
        for tick in part.ticks:
            places.setdefault((tick.label, tick.place[1] < -1e-9), []).append(np.array(tick.place))
    assert len(places) > 100
    for label, found in places.items():
        assert np.ptp(np.array(found), axis=0).max() < 1e-6, label


@pytest.mark.parametrize("name", NAMES)
def test_skins_of_both_hands_lie_inside_face_up(name: str) -> None:
    """(ruling x growth) . outward > 0, laid with the ruling up and growing to the right: seen from inside."""
    seen = 0
    for part in made(name).parts:
        if part.group != "skin" or not part.number.startswith("WING"):
            continue
        middle = np.array([p for one in part.facets for p in (*one.first, *one.second)])[:, 2].mean()
        for facet in part.facets:
            rows, flat = (
                np.array([facet.first, facet.second]),
                np.array([facet.flat_first, facet.flat_second]),
            )
            normal = np.cross(rows[1, 0] - rows[0, 0], rows[0, -1] - rows[0, 0])
            if abs(normal[2]) < 0.7 * np.linalg.norm(normal):
                continue
            above = {"top": 1.0, "bot": -1.0}.get(part.name[:3], np.sign(rows[..., 2].mean() - middle))
            ruling, growth = flat[1, 0] - flat[0, 0], flat[0, -1] - flat[0, 0]
            turn = ruling[0] * growth[1] - ruling[1] * growth[0]
            assert np.sign(turn) == -np.sign(above * normal[2]), part.title
            seen += 1
    assert seen > 8


@given(st.floats(0.0, 35.0), st.floats(2.0, 8.0), st.floats(2.0, 8.0))
@settings(max_examples=80, deadline=None)
def test_a_slot_is_what_the_exact_clipping_of_two_crossing_boards_leaves(
    lean: float, own: float, other: float
) -> None:
    """Seen from above: a board of thickness ``other`` that crosses one of thickness ``own`` at 90 deg - lean."""
    angle = np.radians(lean)
    rib = box(-500, -own / 2, 500, own / 2)
    web = affinity.rotate(box(-other / 2, -500, other / 2, 500), -lean, origin=(0, 0))
    low, _, high, _ = web.intersection(rib).bounds
    assert thickness.slot_width(other, own, float(angle)) == pytest.approx(
        high - low + thickness.CLEARANCE, abs=1e-6
    )


@pytest.mark.parametrize(("lean", "width"), [(0.0, 4.8), (8.65, 5.6), (20.0, 6.9), (30.0, 8.3)])
def test_slots_of_boards_4_8_thick(lean: float, width: float) -> None:
    assert thickness.slot_width(4.8, 4.8, float(np.radians(lean))) - 0.2 == pytest.approx(width, abs=0.06)


@pytest.mark.parametrize(
    ("across", "taken"),
    [(np.sin(np.radians(12)), 4.91), (np.sin(np.radians(30)), 5.54), (np.sin(np.radians(40)), 6.27)],
)
def test_set_back_in_the_plane_of_a_rib(across: float, taken: float) -> None:
    assert thickness.set_back(4.8, float(across)) == pytest.approx(taken, abs=0.01)


@pytest.mark.parametrize("name", NAMES)
def test_every_part_fits_its_board_and_says_which_piece_it_is(name: str) -> None:
    for part in made(name).parts:
        if part.kind != "pine stick":
            assert part.sheet in ("one sheet", ""), part.title
        if part.piece[1] > 1:
            assert part.title.endswith(f"piece {part.piece[0]} of {part.piece[1]}")
    assert not [one for one in made(name).advice if one.stop]


def test_numbers_once_given_are_kept_and_never_given_again() -> None:
    plane = plane_of("plover")
    before = {one.key: one.number for one in made("plover").parts}
    fewer = part_set(derive(replace(plane, bodies=plane.bodies[1:])), before)
    assert all(before[one.key] == one.number for one in fewer.parts if one.key in before)
    gone = {before[key] for key in before if key.startswith("body/side")}
    assert not gone & {one.number for one in fewer.parts}


def test_a_board_too_small_for_a_rib_and_a_kink_too_sharp_are_told_with_what_would_work() -> None:
    plane = plane_of("plover")
    small = replace(plane.stock["board"], sheet=(0.12, 0.15))
    found = part_set(derive(replace(plane, stock={**plane.stock, "board": small}))).advice
    assert any(
        one.stop and "may not be spliced" in one.found and "would do" in one.would_work for one in found
    )
    tail = next(one for one in plane.surfaces if one.kind == "tailplane")
    bent = replace(tail, build=replace(tail.build, way="kinked", kink=0.05, camber=0.2))
    sharp = part_set(derive(replace(plane, surfaces=(bent,), controls=()))).advice
    assert any(
        one.kind == "kink that cannot be folded" and one.stop and "camber" in one.would_work for one in sharp
    )


def test_the_first_example_made_of_thicker_board_changes_its_grooves_ribs_and_slots() -> None:
    plane = plane_of("plover")
    thick = replace(plane.stock["board"], thickness=0.0055)
    other = part_set(derive(replace(plane, stock={**plane.stock, "board": thick})))
    old = {one.key: one for one in made("plover").parts}
    new = {one.key: one for one in other.parts}
    skin = next(key for key in old if key.startswith("wing/1/skin#1"))
    grooves = [max(one.width) for one in old[skin].folds if one.how == "groove"]
    wider = [max(one.width) for one in new[skin].folds if one.how == "groove"]
    assert grooves[0] * 5.5 / 4.8 == pytest.approx(wider[0], rel=0.05)
    rib = "wing/rib/0/0"
    assert Polygon(new[rib].rings[0]).area < Polygon(old[rib].rings[0]).area
