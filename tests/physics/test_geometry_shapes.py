"""Shapes with exact answers, scaling laws and invariances."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fixtures.planes import CLARK_Y, gannet, plover, trapezium
from planewright.geometry import derive, sections
from planewright.geometry.bodies import body_shape, cross_section, inside, polygon, round_length
from planewright.geometry.surfaces import shape_of, split_at
from planewright.plane.model import Body, BodyStation, Build, Plane, Section, Station, Surface

length = st.floats(0.05, 2.0)
share = st.floats(0.05, 1.0)


@given(span=st.floats(0.3, 5.0), root=length, taper=share, back=st.floats(-0.5, 0.5))
def test_trapezium_mean_chord(span: float, root: float, taper: float, back: float) -> None:
    """Textbook form for a straight tapered wing: c = (2/3) c_r (1 + t + t2)/(1 + t), y = (b/6)(1 + 2t)/(1 + t).

    Source: standard result of textbooks of aeroplane performance; from memory, follows from the integral.
    """
    wing = shape_of(trapezium(span, root, root * taper, back), {})
    assert wing.mean_chord == pytest.approx(2 / 3 * root * (1 + taper + taper**2) / (1 + taper))
    place = span / 6 * (1 + 2 * taper) / (1 + taper)
    assert wing.mean_chord_out == pytest.approx(place)
    assert wing.mean_chord_x == pytest.approx(back * place / (span / 2), abs=1e-12)
    assert wing.area == pytest.approx(span * root * (1 + taper) / 2)


def test_rectangle() -> None:
    wing = shape_of(trapezium(2.0, 0.25, 0.25), {})
    assert (wing.area, wing.aspect_ratio, wing.mean_chord) == pytest.approx((0.5, 8.0, 0.25))


@given(out=st.floats(0.01, 0.99))
def test_a_station_more_on_a_straight_panel_changes_nothing(out: float) -> None:
    wing = gannet().surfaces[0]
    plain, split = shape_of(wing, gannet().stock), shape_of(split_at(wing, out * 1.45), gannet().stock)
    for name in ("area", "span", "mean_chord", "mean_chord_x", "mean_chord_z", "mean_chord_out", "wetted"):
        assert getattr(split, name) == pytest.approx(getattr(plain, name), rel=1e-9), name


def larger(plane: Plane, k: float) -> Plane:
    """Every length of surfaces and bodies k times as long."""
    surfaces = tuple(
        replace(
            one,
            x=one.x * k,
            y=one.y * k,
            z=one.z * k,
            stations=tuple(
                replace(s, out=s.out * k, chord=s.chord * k, back=s.back * k, up=s.up * k)
                for s in one.stations
            ),
        )
        for one in plane.surfaces
    )
    bodies = tuple(
        replace(
            one,
            y=one.y * k,
            stations=tuple(BodyStation(s.x * k, s.width * k, s.height * k, s.z * k) for s in one.stations),
        )
        for one in plane.bodies
    )
    stock = {
        n: replace(s, thickness=s.thickness * k if s.thickness else None) for n, s in plane.stock.items()
    }
    return replace(plane, surfaces=surfaces, bodies=bodies, stock=stock)


@pytest.mark.parametrize("make", [plover, gannet])
@given(k=st.floats(0.3, 4.0))
def test_lengths_areas_and_volumes_scale(make, k: float) -> None:  # type: ignore[no-untyped-def]
    before, after = derive(make()), derive(larger(make(), k))
    for name, one in before.surfaces.items():
        big = after.surfaces[name]
        assert big.area == pytest.approx(k**2 * one.area)
        assert big.wetted == pytest.approx(k**2 * one.wetted)
        assert big.mean_chord == pytest.approx(k * one.mean_chord)
        assert big.aspect_ratio == pytest.approx(one.aspect_ratio)
    for one, big in zip(before.bodies, after.bodies, strict=True):
        assert (big.wetted, big.frontal) == pytest.approx((k**2 * one.wetted, k**2 * one.frontal))
        assert big.volume == pytest.approx(k**3 * one.volume)


def test_dihedral_adds_wetted_area_but_no_plan_area() -> None:
    flat, raised = trapezium(2.0, 0.3, 0.3), trapezium(2.0, 0.3, 0.3, up=0.75)
    assert shape_of(raised, {}).area == pytest.approx(shape_of(flat, {}).area)
    assert shape_of(raised, {}).wetted == pytest.approx(1.25 * shape_of(flat, {}).wetted)


def test_incidence_turns_the_chord_nose_up() -> None:
    wing = shape_of(replace(trapezium(2.0, 0.3, 0.3), incidence=0.1), {})
    assert np.all(wing.trailing[:, 2] < wing.leading[:, 2])
    assert np.linalg.norm(wing.trailing - wing.leading, axis=1) == pytest.approx([0.3, 0.3])


def prism(way: str, width: float, height: float, sides: int = 8) -> Body:
    stations = (BodyStation(0.0, width, height), BodyStation(2.0, width, height))
    return Body("body", stations, Build(way, sides=sides))  # type: ignore[arg-type]


def test_box_prism() -> None:
    shape = body_shape(prism("box", 0.2, 0.3))
    assert (shape.volume, shape.wetted, shape.frontal) == pytest.approx((0.12, 2.0, 0.06))


def test_rounded_corners_take_away_what_geometry_says() -> None:
    """Area w h - (4 - pi) r2, way round 2 (w + h) - (8 - 2 pi) r, to the chords of the corner."""
    build = Build("box", corner_radius=0.05)
    assert inside(build, 0.2, 0.3) == pytest.approx(0.06 - (4 - np.pi) * 0.05**2, rel=1e-3)
    assert round_length(build, 0.2, 0.3) == pytest.approx(1.0 - (8 - 2 * np.pi) * 0.05, rel=1e-3)


def test_pyramid_and_frustum() -> None:
    """Volume of a pyramid is a third of base times height."""
    stations = (BodyStation(0.0, 0.0, 0.0), BodyStation(0.6, 0.2, 0.2))
    assert body_shape(Body("body", stations, Build("box"))).volume == pytest.approx(0.2**2 * 0.6 / 3)


def test_octagon_across_flats() -> None:
    """Regular octagon of width w across flats: area 2 (sqrt 2 - 1) w2, way round 8 (sqrt 2 - 1) w."""
    build = Build("shell", sides=8)
    assert inside(build, 0.2, 0.2) == pytest.approx(2 * (np.sqrt(2) - 1) * 0.04)
    assert round_length(build, 0.2, 0.2) == pytest.approx(8 * (np.sqrt(2) - 1) * 0.2)
    assert np.ptp(polygon(8), axis=0) == pytest.approx([1.0, 1.0])


@pytest.mark.parametrize("fineness", [2.0, 6.0])
def test_a_fine_shell_nears_a_spheroid(fineness: float) -> None:
    """Volume 4/3 pi a b2; surface of the prolate spheroid 2 pi b2 (1 + a/(b e) asin e)."""
    b, a = 0.1, 0.1 * fineness
    x = a * (1 - np.cos(np.linspace(0, np.pi, 81)))
    width = 2 * b * np.sqrt(np.clip(1 - (x / a - 1) ** 2, 0, None))
    stations = tuple(BodyStation(float(p), float(w), float(w)) for p, w in zip(x, width, strict=True))
    shape = body_shape(Body("body", stations, Build("shell", sides=64)))
    e = np.sqrt(1 - (b / a) ** 2)
    assert shape.volume == pytest.approx(4 / 3 * np.pi * a * b**2, rel=0.003)
    assert shape.wetted == pytest.approx(2 * np.pi * b**2 * (1 + a / (b * e) * np.arcsin(e)), rel=0.003)


@given(sides=st.integers(3, 40), width=length, height=length)
def test_cross_sections_fill_their_width_and_run_anticlockwise(
    sides: int, width: float, height: float
) -> None:
    points = cross_section(Build("shell", sides=sides), width, height)
    assert np.ptp(points, axis=0) == pytest.approx([width, height])
    after = np.roll(points, -1, axis=0)
    assert np.sum(points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]) > 0


@given(
    st.lists(
        st.tuples(st.floats(0.05, 0.6), st.floats(0.05, 0.8), st.floats(-0.1, 0.2)), min_size=1, max_size=5
    )
)
def test_mean_chord_lies_between_the_least_and_the_greatest(rows: list[tuple[float, float, float]]) -> None:
    stations, out, back = [Station(0.0, 0.3)], 0.0, 0.0
    for step, chord, sweep in rows:
        out, back = out + step, back + sweep
        stations.append(Station(out, chord, back=back))
    shape = shape_of(Surface("wing", "wing", 0.4, 0.0, tuple(stations), Build("sheet")), {})
    assert shape.chord.min() - 1e-12 <= shape.mean_chord <= shape.chord.max() + 1e-12
    assert shape.leading[:, 0].min() - 1e-12 <= shape.mean_chord_x <= shape.leading[:, 0].max() + 1e-12
    assert shape.mean_chord >= shape.area / shape.span - 1e-12


def test_a_paper_thin_skin_goes_once_round() -> None:
    for name in ("NACA 2415", "NACA 0010"):
        section = Section("naca", name)
        thin = sections.skin(section, 1e-5)
        assert thin.around == pytest.approx(sections.perimeter(section), rel=2e-3)
        assert thin.centre == pytest.approx(sections.measures(section).skin_centre, abs=2e-3)


@given(st.floats(0.001, 0.04), st.floats(1.1, 2.0))
def test_thicker_board_is_shaved_more_and_sits_further_forward(sheet: float, k: float) -> None:
    thin, thick = sections.skin(CLARK_Y, sheet), sections.skin(CLARK_Y, sheet * k)
    assert thick.around <= thin.around <= sections.perimeter(CLARK_Y)
    assert thick.centre[0] <= thin.centre[0] + 1e-12
    assert thick.around > 0.5 * sections.perimeter(CLARK_Y)
