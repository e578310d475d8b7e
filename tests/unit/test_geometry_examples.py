"""The two invented examples against the numbers stated with them (invented; worked out by small trials of our own)."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from fixtures.planes import CLARK_Y, FLAT, gannet, only, plover, trapezium
from planewright.geometry import at, derive, outline, overall, tail_volumes, zero_lift
from planewright.geometry.surfaces import folded_shape, split_at
from planewright.plane.model import Build, Plane, Section, Station, Surface

# area m2, aspect ratio, mean chord mm, its leading edge mm; tailplane, fin area m2; tail volumes; at x of cg m
ROWS = {
    "plover": (plover(), 0.861, 7.85, 335.1, 441.3, 0.198, 0.116, 0.62, 0.045, 0.5698),
    "gannet": (gannet(), 1.016, 8.27, 372.6, 658.2, 0.235, 0.163, 0.61, 0.047, 0.7809),
}


@pytest.mark.parametrize("name", ROWS)
def test_wing_closes_on_the_stated_rows(name: str) -> None:
    plane, area, ratio, chord, edge, *_ = ROWS[name]
    wing = derive(plane).wing
    assert wing is not None
    found = (wing.area, wing.aspect_ratio, wing.mean_chord * 1e3, wing.mean_chord_x * 1e3)
    assert found == pytest.approx((area, ratio, chord, edge), rel=0.002)


@pytest.mark.parametrize("name", ROWS)
def test_tails_close_on_the_stated_rows(name: str) -> None:
    plane, *_, tail, fin, horizontal, vertical, x = ROWS[name]
    geometry = derive(plane)
    areas = geometry.surfaces["tailplane"].area, geometry.surfaces["fin"].area
    assert (*areas, *tail_volumes(geometry, x)) == pytest.approx((tail, fin, horizontal, vertical), rel=0.02)


# panel: sweep of leading edge, of quarter chord, dihedral, twist at its end; deg
PANELS = {
    "plover": {1: (4.2, 1.9, 3.0, -2.0)},
    "gannet": {0: (21.6, 17.2, 4.1, -1.0), 1: (18.0, 15.9, 5.0, -3.5)},
}


@pytest.mark.parametrize(
    ("name", "panel"), [(name, panel) for name, rows in PANELS.items() for panel in rows]
)
def test_panel_angles(name: str, panel: int) -> None:
    wing = derive(ROWS[name][0]).wing
    assert wing is not None
    a, b = wing.leading[panel : panel + 2]
    quarter = wing.leading + 0.25 * wing.chord[:, None] * np.array([1.0, 0.0, 0.0])
    out = b[1] - a[1]
    angles = (
        math.degrees(math.atan((b[0] - a[0]) / out)),
        math.degrees(math.atan((quarter[panel + 1, 0] - quarter[panel, 0]) / out)),
        math.degrees(math.atan((b[2] - a[2]) / out)),
        math.degrees(wing.twist[panel + 1] - wing.surface.incidence),
    )
    assert angles == pytest.approx(PANELS[name][panel], abs=0.1)


def test_nacelles_count_as_two_and_bodies_as_one() -> None:
    body, nacelle = derive(plover()).bodies
    assert (body.count, nacelle.count) == (1, 2)
    assert body.frontal == pytest.approx(0.18 * 0.20)
    assert nacelle.frontal == pytest.approx(0.07 * 0.07)


def test_folded_panels_stand_up_and_narrow_the_aeroplane() -> None:
    flat, folded = derive(gannet()), derive(gannet(), folded=True)
    assert overall(flat)[1] == pytest.approx(2.90, abs=1e-9)
    length, width, height = overall(folded)
    assert width == pytest.approx(2 * 0.93, abs=0.02)
    assert height > overall(flat)[2]
    assert length == pytest.approx(overall(flat)[0])
    wing, spread = folded.surfaces["wing"], flat.surfaces["wing"]
    assert wing.area == pytest.approx(spread.area)
    assert wing.mean_chord == pytest.approx(spread.mean_chord)
    tip = wing.leading[-1]
    assert tip[2] > 0.35


def test_folding_keeps_every_length_of_the_panel() -> None:
    surface = gannet().surfaces[0]
    stock = gannet().stock
    folded = folded_shape(surface, stock)
    outs = [one.out for one in folded.surface.stations]
    assert outs == [0.0, 0.480, 0.930, 1.45]
    before = np.linalg.norm(spread_leading(surface)[-1] - at(derive(gannet()).surfaces["wing"], 0.93).leading)
    joint = folded.leading[2]
    assert np.linalg.norm(folded.leading[-1] - _turned_joint(folded, joint)) == pytest.approx(
        before, rel=1e-9
    )


def spread_leading(surface: Surface) -> np.ndarray:
    return derive(only(surface)).surfaces["wing"].leading


def _turned_joint(folded, joint):  # type: ignore[no-untyped-def]
    """The joint's own leading point after the turn about the hinge on top of the section."""
    half = 0.5 * folded.chord[2] * folded.thickness[2]
    return joint + np.array([0.0, half, half])


def test_cut_is_linear_between_stations() -> None:
    wing = derive(plover()).wing
    assert wing is not None
    cut = at(wing, 0.96)
    assert cut.chord == pytest.approx(0.305)
    assert cut.leading == pytest.approx([0.455, 0.96, 0.136])
    assert math.degrees(cut.twist) == pytest.approx(1.0)
    assert cut.blend == pytest.approx(0.5)
    assert at(wing, 99.0).chord == pytest.approx(0.250)
    assert at(wing, 0.620).chord == pytest.approx(0.360)


def test_an_empty_description_has_an_empty_geometry() -> None:
    geometry = derive(Plane("nothing", "A"))
    assert geometry.wing is None
    assert overall(geometry) == (0.0, 0.0, 0.0)
    assert tail_volumes(geometry, 0.1) == (0.0, 0.0)


def test_the_largest_wing_is_the_reference() -> None:
    small = replace(trapezium(1.0, 0.2, 0.2), name="fore wing")
    geometry = derive(only(small, trapezium(2.0, 0.3, 0.2)))
    assert geometry.reference == "wing"


def test_fins_stand_up_and_twin_fins_come_in_pairs() -> None:
    fin = Surface(
        "fin",
        "fin",
        1.0,
        0.1,
        (Station(0.0, 0.3), Station(0.2, 0.2, back=0.05)),
        Build("sheet"),
        paired=False,
    )
    single = derive(only(fin)).surfaces["fin"]
    twin = derive(only(replace(fin, y=0.3, paired=True))).surfaces["fin"]
    assert single.leading[-1] == pytest.approx([1.05, 0.0, 0.3])
    assert twin.leading[-1] == pytest.approx([1.05, 0.3, 0.3])
    assert twin.area == pytest.approx(2 * single.area)
    assert twin.aspect_ratio == pytest.approx(single.aspect_ratio)
    assert twin.span == single.span == pytest.approx(0.2)


def test_a_kinked_sheet_gets_a_bent_section() -> None:
    kinked = replace(trapezium(1.0, 0.2, 0.2), build=Build("kinked", kink=0.25, camber=0.03))
    station = derive(only(kinked)).surfaces["wing"].surface.stations[0]
    assert station.section.kind == "file"
    assert zero_lift(station.section)[0] < 0


@pytest.mark.parametrize("section", [FLAT, CLARK_Y, Section("naca", "NACA 2415"), Section("named", "E387")])
def test_outlines_run_from_the_trailing_edge_over_the_top(section: Section) -> None:
    shape = outline(section, points=81)
    assert shape.shape == (81, 2)
    assert shape[0, 0] == pytest.approx(1.0, abs=0.01)
    assert np.argmin(shape[:, 0]) in range(38, 43)
    assert shape[20, 1] > shape[60, 1]


def test_a_section_nobody_ships_is_refused_with_the_names_of_those_that_are() -> None:
    with pytest.raises(ValueError, match="Clark Y"):
        outline(Section("named", "nobody's section"))


def test_splitting_where_a_station_stands_changes_nothing() -> None:
    wing = plover().surfaces[0]
    assert split_at(wing, 0.620) is wing
    assert len(split_at(wing, 0.9).stations) == 4
