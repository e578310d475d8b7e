"""The three views of both examples and of odd aeroplanes, charts, and the field plan."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path as FilePath

import numpy as np
import pytest

import planewright.project
from planewright.analysis.field.plan import field_plan
from planewright.analysis.field.runway import cones
from planewright.draw import paper as sheets
from planewright.draw.charts import chart_scene, ticks
from planewright.draw.field import field_scene
from planewright.draw.paper import PAPERS, Paper, Title, scale_that_fits
from planewright.draw.pieces import full_size, overview, plate
from planewright.draw.scene import Circle, Path, Scene, Text, bounds
from planewright.draw.stick import Band
from planewright.draw.views import three_view, view
from planewright.geometry import Geometry, derive, overall
from planewright.geometry.parts import parts
from planewright.plane import read_plane
from planewright.plane.model import Plane
from planewright.site import read_site
from planewright.study.chart import Axis, Chart, Mark, Series, Stick

EXAMPLES = FilePath(planewright.project.__file__).parent / "examples"
TITLE = Title("Plover", "Three views", "P-01", "B", "30 May 2026")


def geometry(name: str) -> Geometry:
    plane, _ = read_plane(EXAMPLES / name / "aeroplane.toml")
    assert plane is not None
    return derive(plane)


def words(scene: Scene) -> list[str]:
    return [one.words for one in scene.texts()]


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("name", ["plover", "gannet", "starter"])
def test_three_views_fit_every_paper_without_overlap(name: str, paper: Paper) -> None:
    scene = three_view(geometry(name), paper, TITLE, balance=(0.6, 0.0, 0.0))
    assert scene.overlaps() == ()
    assert scene.outside() == ()
    assert {"from above", "from the left", "from the front"} <= set(words(scene))
    scale = next(one for one in words(scene) if one.startswith("1:"))
    assert int(scale[2:]) in sheets.SCALES


def test_main_sizes_are_written_in_whole_millimetres() -> None:
    said = words(three_view(geometry("plover"), "A3", TITLE))
    assert {"2600", "1670", "880", "520", "480", "250"} <= set(said)


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_views_measure_as_long_wide_and_high_as_the_aeroplane(name: str) -> None:
    shape = geometry(name)
    length, width, height = (1000 * one / 10 for one in overall(shape))
    drawn = {}
    for which in ("above", "side", "front"):
        kept = [one for one in view(shape, which, 10, dimensions=False) if not _is_propeller(one)]  # type: ignore[arg-type]
        left, low, right, high = bounds(kept)
        drawn[which] = (right - left, high - low)
    assert drawn["above"] == pytest.approx((width, length), abs=0.05)
    assert drawn["side"] == pytest.approx((length, height), abs=0.05)
    assert drawn["front"] == pytest.approx((width, height), abs=0.05)


def _is_propeller(one: object) -> bool:
    """Propellers and centre lines reach beyond the size over all, which is without them."""
    return (isinstance(one, Path) and one.layer == "centre") or (
        isinstance(one, Circle) and one.layer == "centre"
    )


def test_a_wing_alone_and_a_body_alone_are_drawn_and_nothing_is_refused() -> None:
    whole = geometry("plover").plane
    wing = Plane(name="Wing", configuration="A", stock=whole.stock, surfaces=whole.surfaces[:1])
    assert three_view(derive(wing), "A4", TITLE).overlaps() == ()
    body = Plane(name="Body", configuration="A", stock=whole.stock, bodies=whole.bodies[:1])
    assert three_view(derive(body), "A4", TITLE).overlaps() == ()
    with pytest.raises(ValueError, match="nothing to draw"):
        three_view(derive(Plane(name="Air", configuration="A")), "A4", TITLE)


def test_a_second_wing_and_twin_fins_are_all_seen_from_above() -> None:
    whole = geometry("plover").plane
    fin = next(one for one in whole.surfaces if one.kind == "fin")
    front = replace(whole.surfaces[1], name="canard", x=0.05)
    odd = replace(whole, surfaces=(*whole.surfaces, front, replace(fin, name="fin-2", y=0.3, paired=True)))
    before = [
        one
        for one in view(derive(whole), "above", 10, dimensions=False)
        if isinstance(one, Path) and one.fill
    ]
    after = [
        one for one in view(derive(odd), "above", 10, dimensions=False) if isinstance(one, Path) and one.fill
    ]
    assert len(after) == len(before) + 4


def test_scales_are_the_largest_that_fit() -> None:
    assert scale_that_fits(1000, 100) == 10
    assert scale_that_fits(1001, 100) == 15
    with pytest.raises(ValueError, match="do not fit"):
        scale_that_fits(1e9, 100)


@pytest.mark.parametrize("name", ["plover", "gannet"])
def test_part_overviews_and_plates_stay_on_their_sheets(name: str) -> None:
    found = parts(geometry(name))
    for paper in ("A4", "Letter"):
        pages = overview(found, paper, TITLE)  # type: ignore[arg-type]
        assert all(one.overlaps() == () and one.outside() == () for one in pages)
    large = plate(found)
    assert large.overlaps() == () and large.outside() == ()
    assert not any("OUTLINE, NOT FOR CUTTING" in one for one in words(large)), "every part is worked out"
    early = plate([replace(one, ready=False) for one in found[:12]])
    assert sum("OUTLINE, NOT FOR CUTTING" in one for one in words(early)) == sum(
        one.kind != "pine stick" for one in found[:12]
    )


def test_one_part_at_full_size_measures_as_the_part() -> None:
    part = parts(geometry("plover"))[0]
    scene = full_size(part)
    ring = next(one for one in scene.shapes if isinstance(one, Path) and one.layer == "cut")
    left, low, right, high = bounds((ring,))
    assert (right - left, high - low) == pytest.approx(part.size)
    assert scene.overlaps() == () and scene.outside() == ()


def lift_chart() -> Chart:
    v = np.linspace(0, 13, 40)
    lift = 0.6 * v**2
    return Chart(
        id="lift",
        title="Lift",
        x=Axis(words="speed", unit="m/s", low=0.0, zero=True),
        y=Axis(words="force", unit="N", low=0.0, zero=True),
        series=(
            Series(
                words="lift",
                x=tuple(v),
                y=tuple(lift),
                low=tuple(lift * 0.9),
                high=tuple(lift * 1.1),
                kind="measured",
            ),
            Series(words="weight", x=tuple(v), y=(45.0,) * 40),
            Series(words="out", x=(6.0, 7.0), y=(20.0, 30.0), look="out"),
            Series(words="aside", x=(5.0,), y=(30.0,), look="aside", notes=("lorry passed",)),
        ),
        marks=(Mark(words="planned", x=12.0), Mark(words="least", x=4.0, fence=True, bad="left")),
        stick=Stick(middle=8.6, all=(8.2, 9.1), measured_published=(8.3, 9.0), measured=(8.4, 8.9)),
        notes=("Where lift meets weight it flies.",),
    )


def test_a_chart_keeps_its_words_apart_and_its_curves_inside() -> None:
    scene = chart_scene(lift_chart(), 165, 82)
    assert scene.overlaps() == ()
    assert scene.outside(0.5) == ()
    assert {"lift", "weight", "planned", "lorry passed", "speed, m/s", "force, N"} <= set(words(scene))


def test_the_curve_passes_where_its_numbers_are() -> None:
    chart = lift_chart()
    scene = chart_scene(chart, 165, 82)
    by_words = {one.words: one.at for one in scene.texts()}
    x0, x5 = by_words["0.0"][0], by_words["5.0"][0]
    y0, y40 = by_words["0"][1], by_words["40"][1]
    curve = next(one for one in scene.shapes if isinstance(one, Path) and one.width == 0.6)
    x, y = np.array(curve.rings[0]).T
    speed = (x - x0) / (x5 - x0) * 5
    force = (y - y0) / (y40 - y0) * 40
    assert force == pytest.approx(np.interp(speed, chart.series[0].x, chart.series[0].y), abs=0.2)


def test_charts_of_nothing_and_of_gaps_are_drawn() -> None:
    axis = Axis(words="x", unit="m")
    assert chart_scene(Chart(id="e", title="", x=axis, y=axis), 100, 60).overlaps() == ()
    holes = Series(words="holes", x=(0.0, 1.0, 2.0), y=(1.0, float("nan"), 2.0))
    assert chart_scene(Chart(id="h", title="", x=axis, y=axis, series=(holes,)), 100, 60).outside(0.5) == ()


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-3.0, 7.5), (0.0, 1234.0), (1e-4, 3e-4)])
def test_ticks_are_round_and_inside(low: float, high: float) -> None:
    found = ticks(low, high)
    assert 3 <= len(found) <= 8
    assert low - 1e-12 <= found[0] and found[-1] <= high + 1e-9 * high
    assert np.allclose(np.diff(found), found[1] - found[0])


@pytest.mark.parametrize(("name", "radii"), [("plover", (43.8, 38.0, 50.0)), ("gannet", (51.0, 46.0, 58.0))])
def test_field_plans_keep_their_words_apart(name: str, radii: tuple[float, float, float]) -> None:
    site, _ = read_site(EXAMPLES / name / "site.toml")
    assert site is not None
    gates = cones(site, np.array([15.0]), np.array([10.0]), np.array([0.08]))
    plan = field_plan(site, radii, gates, 15.0)
    scene = field_scene(plan, 170, 150, Band(15.0, (11.0, 21.0), (12.0, 18.0), (14.0, 16.0)), ("a note",))
    assert scene.overlaps() == ()
    assert scene.outside(0.5) == ()
    assert {"pilot", "safety", "spectators", "north", "A", "B", "nothing flies across this line"} <= set(
        words(scene)
    )
    ring = next(one for one in scene.shapes if isinstance(one, Path) and one.layer == "wide" and one.closed)
    left, low, right, high = bounds((ring,))
    outline = np.array(site.outline)
    assert (right - left) / (high - low) == pytest.approx(np.ptp(outline[:, 0]) / np.ptp(outline[:, 1]))
    bar = next(one for one in scene.texts() if one.words.endswith(" m") and one.words[0].isdigit())
    scale = float(bar.words[:-2]) / (bar.at[0] - 4.0)
    assert (right - left) * scale == pytest.approx(np.ptp(outline[:, 0]), rel=1e-3)


def test_a_field_turned_on_paper_still_has_north_up() -> None:
    site, _ = read_site(EXAMPLES / "plover" / "site.toml")
    assert site is not None
    east = replace(site, x_bearing=0.0)
    plan = field_plan(east)
    scene = field_scene(plan, 170, 170)
    runway = next(one for one in scene.shapes if isinstance(one, Path) and one.fill == "#eeeeee")
    left, low, right, high = bounds((runway,))
    assert high - low > 5 * (right - left)
    assert not any(isinstance(one, Text) and one.words == "wind" for one in scene.shapes)
