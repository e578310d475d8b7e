"""The two invented fields worked out by hand, and limits and symmetry of the geometry."""

from __future__ import annotations

import dataclasses
import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.analysis.field import (
    along_and_across,
    cones,
    day_limits,
    drift,
    field_plan,
    fit_pattern,
    glare_at,
    glare_of_day,
    lee_of_trees,
    moment,
    over_trees,
    path,
    path_length,
    room,
    run_share,
    straight_ahead,
    sun_at,
    take_off,
    to_outline,
    towards,
    velocity,
)
from planewright.analysis.flight import lift_off_speed, turn_radius
from planewright.errors import OutOfRange
from planewright.site.model import Day, Pattern, Runway, Site, Stand, Trees

DEG = np.pi / 180
GRASS = Site(
    name="mown sports field, invented",
    outline=((-70, -70), (190, -70), (190, 130), (-70, 130)),
    runway=Runway((0, 0), (120, 0), 12),
    latitude=48 * DEG,
    longitude=-20 * DEG,
    utc_offset_h=-1,
    x_bearing=90 * DEG,
    trees=(
        Trees("poplars", ((-60, -76), (180, -76)), False, 20, "full"),
        Trees("hedge", ((195, -40), (195, 130)), False, 3, "full"),
    ),
    stands=(
        Stand("pilot", (60, -18)),
        Stand("safety", (63, -20)),
        Stand("spectators", (60, -58)),
        Stand("camera_1", (52, -30), camera=True),
    ),
    take_off_from=(0, 0),
    pattern=Pattern("eight", (60, 60), 30),
    day=Day(dt.date(2026, 5, 30), dt.time(10, 0), 1.2, 90 * DEG, 2.0),
)
YARD = Site(
    name="brickyard hardstand, invented",
    outline=((0, -90), (300, -90), (300, 90), (0, 90)),
    runway=Runway((30, -15), (270, -15), 12),
    latitude=48 * DEG,
    longitude=-20 * DEG,
    utc_offset_h=-1,
    x_bearing=90 * DEG,
    trees=(
        Trees("spruces", ((-10, -95), (310, -95)), False, 12, "full"),
        Trees("bank", ((-10, 95), (310, 95)), False, 4, "full"),
        Trees("east", ((315, -60), (315, 60)), False, 12, "full"),
    ),
    stands=(Stand("pilot", (150, -65)), Stand("safety", (154, -67)), Stand("spectators", (150, -87))),
    take_off_from=(30, -15),
    pattern=Pattern("oval", (150, 20), 20),
    day=Day(dt.date(2026, 6, 6), dt.time(16, 30), 0.4, 80 * DEG, 0.8),
)
NORTH, SOUTH, EAST, WEST = np.array([0.0, 1]), np.array([0.0, -1]), np.array([1.0, 0]), np.array([-1.0, 0])


def radius_at(speed: float, bank: float) -> float:
    return float(turn_radius(speed, bank * DEG))


def test_eight_over_the_grass_field() -> None:
    """20 deg at 12.5 m/s: 175 x 88 m; ends 42, north 26, pilot 46, spectators 82 m."""
    radius = radius_at(12.5, 20)
    assert radius == pytest.approx(43.8, abs=0.05)
    fit = fit_pattern(GRASS, radius)
    assert (fit.length[0], fit.width[0]) == pytest.approx((175, 88), abs=0.6)
    for direction, distance in ((EAST, 42), (WEST, 42), (NORTH, 26)):
        assert room(GRASS, radius, direction) == pytest.approx(distance, abs=0.6)
    assert fit.margin("outline").distance[0] == pytest.approx(26, abs=0.6)
    assert fit.margin("pilot").distance[0] == pytest.approx(46, abs=0.6)
    assert fit.margin("spectators").distance[0] == pytest.approx(82, abs=0.6)
    assert fit.margin("spectators").wanted == 50 and fit.margin("safety").wanted == 15
    assert fit.holds.all()
    assert fit.height_spare["poplars"] == 30 - 20 - 5


def test_eight_at_15_degrees_is_refused() -> None:
    """238 x 119 m: 11 m to the outline, 15 wanted."""
    fit = fit_pattern(GRASS, radius_at(12.5, 15))
    assert (fit.length[0], fit.width[0]) == pytest.approx((238, 119), abs=0.6)
    assert fit.margin("outline").distance[0] == pytest.approx(10.5, abs=0.6)
    assert not fit.holds.any() and fit.tightest.what == "outline"
    assert room(GRASS, radius_at(12.5, 15), WEST) == pytest.approx(11, abs=0.6)


def test_oval_over_the_yard() -> None:
    """20 deg at 13.5 m/s: 204 x 102 m; ends 48, north 19, bushes 24, pilot 34, spectators 56 m; 3 m over the trees."""
    radius = radius_at(13.5, 20)
    assert radius == pytest.approx(51.0, abs=0.1)
    fit = fit_pattern(YARD, radius)
    assert (fit.length[0], fit.width[0]) == pytest.approx((204, 102), abs=0.6)
    assert room(YARD, radius, EAST) == pytest.approx(48, abs=0.6)
    assert room(YARD, radius, NORTH) == pytest.approx(19, abs=0.6)
    assert fit.trees["bank"][0] == pytest.approx(24, abs=0.6)
    assert fit.margin("pilot").distance[0] == pytest.approx(34, abs=0.6)
    assert fit.margin("spectators").distance[0] == pytest.approx(56, abs=0.6)
    assert fit.height_spare["spruces"] == fit.height_spare["east"] == 3
    assert fit.holds.all()


def test_oval_at_15_and_25_degrees() -> None:
    """15 deg: 277 x 139 m, within 1 m of the outline and 16 m of the pilot: refused. 25 deg: all beyond 30 m."""
    wide, narrow = (fit_pattern(YARD, radius_at(13.5, bank)) for bank in (15, 25))
    assert (wide.length[0], wide.width[0]) == pytest.approx((277, 139), abs=0.7)
    assert wide.margin("outline").distance[0] == pytest.approx(0.7, abs=0.4)
    assert wide.margin("pilot").distance[0] == pytest.approx(16, abs=0.5)
    assert not wide.holds[0]
    assert all(one.distance[0] > 30 for one in narrow.margins)


def test_drift_of_one_round() -> None:
    """Eight 44 s in 1.2 m/s: 53 m west of which 27 are free; oval 39 s in 0.4 m/s: 16 m, 33 lengthwise and 4 north."""
    radius = radius_at(12.5, 20)
    time = path_length(GRASS.pattern, radius) / 12.5  # type: ignore[arg-type]
    assert time == pytest.approx(44, abs=0.5) and drift(1.2, time) == pytest.approx(53, abs=0.5)
    assert velocity(1.2, 90 * DEG, GRASS.x_bearing) == pytest.approx([-1.2, 0.0], abs=1e-12)
    assert room(GRASS, radius, WEST) - 15 == pytest.approx(27, abs=0.6)
    radius = radius_at(13.5, 20)
    time = path_length(YARD.pattern, radius) / 13.5  # type: ignore[arg-type]
    assert time == pytest.approx(39, abs=0.5) and drift(0.4, time) == pytest.approx(16, abs=0.6)
    assert room(YARD, radius, NORTH) - 15 == pytest.approx(4, abs=0.6)
    assert room(YARD, radius, WEST) - 15 == pytest.approx(33, abs=0.6)


def test_cones_on_the_grass() -> None:
    """A at 15 m (below 6.7 m/s: cut), B at 45 m; free roll at 0.08 needs 58 to 59 m, 75 are left."""
    gates = cones(GRASS, 12.5, lift_off_speed(8.35), 0.08)
    assert (gates.first, gates.last) == (15, 45)
    assert gates.gate_speed[0] == pytest.approx(6.7, abs=0.05)
    assert gates.roll_needed[0] == pytest.approx(58, abs=1.2)
    assert gates.roll_left == 75 and gates.holds.all()
    assert run_share(GRASS, 12.5) == pytest.approx(12.5 / 120)


def test_cones_on_the_yard() -> None:
    """A at 20 m (below 7.3 m/s), B at 45 m, for the planned run at 80 % power of 15.8 m; concrete 0.03."""
    gates = cones(YARD, 15.8, 10.43, 0.03)
    assert (gates.first, gates.last) == (20, 45)
    assert gates.gate_speed[0] == pytest.approx(7.3, abs=0.05)
    assert gates.holds.all()


def test_a_short_runway_has_no_room_for_the_cones() -> None:
    short = dataclasses.replace(GRASS, runway=Runway((0, 0), (60, 0), 12))
    assert not cones(short, 12.5, 9.6, 0.08).holds.any()


def test_over_the_poplars() -> None:
    """25 m at 0.6 of 21 % takes 197 m (298 m at 14 %), and there are 76: never toward them."""
    poplars, hedge = over_trees(GRASS, np.array([0.21, 0.14]), 45.0)
    assert not poplars.ahead and poplars.height == 25
    assert poplars.needed == pytest.approx([197, 298], abs=1.5)
    assert poplars.available == pytest.approx(76, abs=0.01) and np.all(poplars.spare < 0)
    assert hedge.ahead and hedge.available == pytest.approx(150) and np.all(hedge.spare > 0)
    assert to_outline(GRASS, 45.0) == pytest.approx(145)


def test_out_over_the_east_trees() -> None:
    """17 m to clear takes 105 m at 0.6 of 27 %, 243 m with one fan stopped (11.6 %); about 245 m are there."""
    east = next(one for one in over_trees(YARD, np.array([0.27, 0.116]), 45.0) if one.name == "east")
    assert east.ahead and east.height == 17
    assert east.needed == pytest.approx([105, 243], abs=1.5)
    assert east.available == pytest.approx(245, abs=6)
    assert set(straight_ahead(YARD, 45.0)) == {"east"}


def test_sun_over_both_fields() -> None:
    """Grass at 10:00: 52 deg high at 122 deg, behind the pilot. Yard at 16:30: 35 deg at 266 deg, 32 deg beside the
    path; from about 17:00 the rule does not hold."""
    sun = glare_of_day(GRASS, 43.8)
    assert sun is not None
    assert np.rad2deg(sun.sun.elevation) == pytest.approx(52, abs=0.7)
    assert np.rad2deg(sun.sun.bearing) == pytest.approx(122, abs=0.7)
    assert sun.apart > 30 * DEG and not sun.blinds
    sun = glare_of_day(YARD, 51.06)
    assert sun is not None
    assert np.rad2deg(sun.sun.elevation) == pytest.approx(35, abs=0.7)
    assert np.rad2deg(sun.sun.bearing) == pytest.approx(266, abs=0.7)
    assert np.rad2deg(sun.apart) == pytest.approx(32, abs=0.7) and not sun.blinds
    late = dataclasses.replace(YARD, day=dataclasses.replace(YARD.day, time=dt.time(17, 5)))
    sun = glare_of_day(late, 51.06)
    assert sun is not None and sun.blinds
    assert [one.id for one in day_limits(late, 9.07, 51.06) if one.exceeded] == ["sun"]


def test_wind_limits() -> None:
    """Grass: across 1.7, total 2.9 m/s; yard 1.8 and 3.2. Planned days keep them; a stronger day does not."""
    for site, stall, radius, across, total in ((GRASS, 8.35, 43.8, 1.7, 2.9), (YARD, 9.07, 51.06, 1.8, 3.2)):
        found = {one.id: one for one in day_limits(site, stall, radius)}
        assert found["wind_across"].limit == pytest.approx(across, abs=0.05)
        assert found["wind_total"].limit == pytest.approx(total, abs=0.05)
        assert not any(one.exceeded for one in found.values())
        windy = dataclasses.replace(site, day=dataclasses.replace(site.day, wind=4.0, wind_from=0.0))
        over = {one.id: one.reason for one in day_limits(windy, stall, radius) if one.exceeded}
        assert {"wind_across", "wind_total"} <= set(over) and "4.0 m/s" in over["wind_across"]


def test_south_wind_in_the_lee_of_the_poplars() -> None:
    """From the southern half nearly the whole field lies within ten tree heights; more than 1 m/s is refused."""
    for bearing in (150, 180, 210):
        poplars = lee_of_trees(GRASS, bearing * DEG, 43.8)[0]
        assert poplars.name == "poplars" and poplars.field > 0.6 and poplars.runway > 0.9
    assert lee_of_trees(GRASS, np.pi, 43.8)[0].field > 0.9
    assert lee_of_trees(GRASS, 0.0, 43.8)[0].field == 0.0
    south = dataclasses.replace(GRASS, day=dataclasses.replace(GRASS.day, wind=1.2, wind_from=180 * DEG))
    assert "lee_poplars" in [one.id for one in day_limits(south, 8.35, 43.8) if one.exceeded]


def test_limits_take_draws() -> None:
    shift, stall = np.linspace(-2.0, 2.0, 50), np.linspace(7.8, 9.0, 50)
    found = day_limits(GRASS, stall, 43.8, wind_shift=shift)
    total = next(one for one in found if one.id == "wind_total")
    assert total.limit.shape == (50,) and total.value.shape == (50,) and np.all(total.value >= 0)
    calm = dataclasses.replace(GRASS, day=Day(wind=2.0))
    assert next(one for one in day_limits(calm, 8.35, 43.8)).value[0] == pytest.approx(2.8)
    assert day_limits(dataclasses.replace(GRASS, day=Day()), 8.35, 43.8) == ()


def test_bearings_turn_clockwise_from_north() -> None:
    assert towards(0.0, 90 * DEG) == pytest.approx(NORTH, abs=1e-12)
    assert towards(90 * DEG, 90 * DEG) == pytest.approx(EAST, abs=1e-12)
    assert towards(180 * DEG, 90 * DEG) == pytest.approx(SOUTH, abs=1e-12)
    assert towards(90 * DEG, 0.0) == pytest.approx(SOUTH, abs=1e-12)  # x to the north: east is to its right


@settings(max_examples=40, deadline=None)
@given(wind=st.floats(0, 10), bearing=st.floats(0, 360), along=st.floats(0, 360))
def test_head_and_cross_wind_are_the_whole_wind(wind: float, bearing: float, along: float) -> None:
    head, across = along_and_across(wind, bearing * DEG, along * DEG, EAST)
    assert np.hypot(head, across) == pytest.approx(wind)
    assert along_and_across(wind, along * DEG, along * DEG, EAST)[0] == pytest.approx(wind)


@pytest.mark.parametrize("kind", ["eight", "oval"])
def test_path_lies_one_radius_from_its_middle_line_and_closes(kind: str) -> None:
    pattern = Pattern(kind, (10, 20), 30)  # type: ignore[arg-type]
    points = path(pattern, 40.0, 721)
    assert points[0] == pytest.approx(points[-1], abs=1e-9)
    low, high = points.min(axis=0), points.max(axis=0)
    assert high - low == pytest.approx([160, 80], abs=0.05)
    assert (high + low) / 2 == pytest.approx([10, 20], abs=0.05)
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    assert steps.sum() == pytest.approx(path_length(pattern, 40.0), rel=1e-3)
    assert steps.max() < 2.0 * np.median(steps)


@settings(max_examples=30, deadline=None)
@given(
    kind=st.sampled_from(["eight", "oval"]),
    radius=st.floats(5, 60),
    x=st.floats(-150, 250),
    y=st.floats(-150, 250),
)
def test_exact_distances_meet_those_to_points_of_the_path(
    kind: str, radius: float, x: float, y: float
) -> None:
    """Fast closed form against the slow way: nearest of 2,000 points."""
    site = dataclasses.replace(
        GRASS,
        pattern=Pattern(kind, (60, 40), 30),
        stands=(Stand("pilot", (x, y)),),  # type: ignore[arg-type]
    )
    points = path(site.pattern, radius, 2001)  # type: ignore[arg-type]
    fit = fit_pattern(site, radius)
    slow = np.linalg.norm(points - (x, y), axis=1).min()
    assert fit.margin("pilot").distance[0] == pytest.approx(slow, abs=0.4)
    inside = fit.margin("outline").distance[0]
    edge = min(
        np.min(points[:, 0] + 70),
        np.min(190 - points[:, 0]),
        np.min(points[:, 1] + 70),
        np.min(130 - points[:, 1]),
    )
    assert inside == pytest.approx(edge, abs=0.1) or (inside < 0 and edge < 0)


def test_fit_takes_draws_of_the_radius() -> None:
    radius = np.linspace(30, 62, 400)
    fit = fit_pattern(GRASS, radius)
    assert fit.margin("outline").distance.shape == (400,)
    assert np.all(np.diff(fit.margin("outline").distance) < 0)
    assert fit.holds[0] and not fit.holds[-1]
    alone = fit_pattern(GRASS, float(radius[200]))
    assert alone.margin("spectators").distance[0] == pytest.approx(fit.margin("spectators").distance[200])


def test_mirrored_fields_give_the_same() -> None:
    def flip(point: tuple[float, float]) -> tuple[float, float]:
        return (point[0], -point[1])

    mirrored = dataclasses.replace(
        GRASS,
        outline=tuple(flip(one) for one in GRASS.outline),
        trees=tuple(
            dataclasses.replace(one, points=tuple(flip(p) for p in one.points)) for one in GRASS.trees
        ),
        stands=tuple(dataclasses.replace(one, at=flip(one.at)) for one in GRASS.stands),
        pattern=Pattern("eight", (60, -60), 30),
    )
    ours, theirs = fit_pattern(GRASS, 43.8), fit_pattern(mirrored, 43.8)
    for one, two in zip(ours.margins, theirs.margins, strict=True):
        assert one.distance == pytest.approx(two.distance)
    assert ours.trees["poplars"] == pytest.approx(theirs.trees["poplars"])


def test_taking_off_the_other_way() -> None:
    other = dataclasses.replace(GRASS, take_off_towards="-x", take_off_from=None)
    plan = take_off(other)
    assert (
        plan.start == pytest.approx([120, 0]) and plan.direction == pytest.approx(WEST) and plan.length == 120
    )
    assert straight_ahead(other, 45.0) == {}
    late = dataclasses.replace(GRASS, take_off_from=(20, 0))
    assert take_off(late).length == 100


def test_plan_holds_what_is_drawn() -> None:
    gates = cones(GRASS, 12.5, 9.6, 0.08)
    plan = field_plan(GRASS, (43.8, 40.0, 48.0), gates, 12.5)
    assert len(plan.paths) == 3 and plan.outline.shape == (5, 2)
    assert plan.kept[0].min(axis=0) == pytest.approx([-55, -55])
    assert [letter for letter, _ in plan.cones] == ["A", "B"]
    assert plan.cones[0][1] == pytest.approx(np.array([[15, 8], [15, -8]]))
    assert plan.people_line[:, 1] == pytest.approx([-18, -18])
    assert plan.run == pytest.approx(np.array([[0, 0], [12.5, 0]]))
    assert plan.wind == pytest.approx(WEST, abs=1e-12) and plan.north == pytest.approx(NORTH, abs=1e-12)
    assert plan.sun[0] > 0 and plan.sun[1] < 0  # in the south-east
    assert [one.name for one in plan.cameras] == ["camera_1"] and len(plan.people) == 3


def test_a_bare_site_is_no_error() -> None:
    bare = Site("bare", (), None)
    plan = field_plan(bare)
    assert plan.outline.size == 0 and plan.paths == () and plan.people_line.size == 0
    assert day_limits(bare, 8.0, 40.0) == () and moment(bare) is None
    with pytest.raises(OutOfRange):
        take_off(bare)
    with pytest.raises(OutOfRange):
        fit_pattern(bare, 40.0)


def test_a_low_sun_behind_the_pilot_does_not_blind() -> None:
    evening = dt.datetime(2026, 5, 30, 18, 30, tzinfo=dt.timezone(dt.timedelta(hours=-1)))
    sun = sun_at(evening, 48 * DEG, -20 * DEG)
    assert 0 < sun.elevation < 30 * DEG
    behind = dataclasses.replace(sun, bearing=180 * DEG)
    ahead = dataclasses.replace(sun, bearing=0.0)
    assert not glare_at(GRASS, 43.8, behind).blinds and glare_at(GRASS, 43.8, ahead).blinds
