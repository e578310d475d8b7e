"""Sticks and fences as pure functions from numbers to shapes."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.draw.fence import HIGH, LOW, Row, fence, fence_list, rows_of, scale_for, state_picture, strip
from planewright.draw.scene import INK, Path, Scene, Shape, Text, bounds
from planewright.draw.stick import Band, Scale, band_of, bracket, stick, stub, words_for
from planewright.findings.model import Finding
from planewright.study.model import Figure

numbers = st.floats(-3.0, 3.0)


def band(middle: float = 5.0) -> Band:
    return Band(middle, (middle - 2, middle + 2), (middle - 1.2, middle + 1), (middle - 0.5, middle + 0.5))


def finding(name: str, state: str, danger: int, stick: tuple[tuple[float, float, float], ...]) -> Finding:
    return Finding(
        id=name, name=f"the {name}", figure=name, value=1.0, limit=1.0, unit="", side="at least", kind="block",
        state=state,  # type: ignore[arg-type]
        margin=None if not stick else 0.0, evidence="", settles="", sentence=f"the {name}", source="", danger=danger,
        stick=stick,
    )  # fmt: skip


def boxes(shapes: tuple[Shape, ...]) -> dict[str, tuple[float, float]]:
    """Left and right of the hollow, striped and solid boxes of a stick."""
    found = {}
    for one in shapes:
        if isinstance(one, Path) and one.closed and one.layer == "stick" and len(one.rings[0]) == 4:
            look = "solid" if one.fill == INK else "hollow" if one.pen.dash else "striped"
            xs = [x for x, _ in one.rings[0]]
            found[look] = (min(xs), max(xs))
    return found


def test_the_three_parts_end_where_the_intervals_end() -> None:
    found = boxes(stick(band(), Scale(0, 10, 0, 100), 0.0))
    assert found["hollow"] == pytest.approx((30, 70))
    assert found["striped"] == pytest.approx((38, 60))
    assert found["solid"] == pytest.approx((45, 55))


def test_the_middle_mark_is_taller_than_the_stick() -> None:
    mark = next(one for one in stick(band(), Scale(0, 10, 0, 100), 0.0) if isinstance(one, Path) and one.halo)
    (x0, y0), (x1, y1) = mark.rings[0]
    assert x0 == x1 == pytest.approx(50)
    assert (y1 - y0) == pytest.approx(4.2 + 2 * 1.4)


@given(numbers, st.tuples(numbers, numbers), st.tuples(numbers, numbers), st.tuples(numbers, numbers))
@settings(max_examples=120, deadline=None)
def test_any_band_is_nested_and_stays_on_its_scale(
    middle: float, every: tuple[float, float], known: tuple[float, float], measured: tuple[float, float]
) -> None:
    made = Band(middle, *(tuple(sorted(one)) for one in (every, known, measured)))  # type: ignore[arg-type]
    nested = made.nested()
    assert nested.all[0] <= nested.known[0] <= nested.measured[0] <= nested.measured[1]
    assert nested.measured[1] <= nested.known[1] <= nested.all[1]
    left, _, right, _ = bounds(stick(made, Scale(-1, 1, 10, 60), 0.0))
    assert left >= 10 - 0.7 and right <= 60 + 0.7


def test_an_end_beyond_the_scale_is_notched_and_its_value_written() -> None:
    shapes = stick(band(9.0), Scale(0, 10, 0, 100), 0.0, show=lambda v: f"{v:.1f}")
    assert [one.words for one in shapes if isinstance(one, Text)] == ["11.0"]
    assert boxes(shapes)["hollow"][1] == pytest.approx(100)


def test_a_measured_only_stick_has_no_hollow_beyond_the_solid() -> None:
    one = Band(5, (4, 6), (4, 6), (4, 6))
    found = boxes(stick(one, Scale(0, 10, 0, 100), 0.0))
    assert found["solid"] == pytest.approx((40, 60))


def test_a_very_short_stick_is_its_mark_alone() -> None:
    one = Band(5, (4.99, 5.01), (4.99, 5.01), (4.99, 5.01))
    assert len(stick(one, Scale(0, 10, 0, 100), 0.0)) == 1


@pytest.mark.parametrize(
    ("shares", "words"),
    [
        ((0.03, 0.02, 0.95), "nearly all measured"),
        ((0.7, 0.2, 0.1), "mostly assumed"),
        ((0.45, 0.5, 0.05), "part published, part assumed"),
    ],
)
def test_words_beside_the_stick(shares: tuple[float, float, float], words: str) -> None:
    assert words_for(shares) == words


def test_stubs_and_bracket() -> None:
    assert boxes(stub("assumed")).keys() == {"hollow"}
    assert boxes(stub("published")).keys() == {"striped"}
    assert boxes(stub("measured")).keys() == {"solid"}
    with pytest.raises(KeyError):
        stub("guessed")
    left, _, right, _ = bounds(bracket(3, 6, Scale(0, 10, 0, 100), 0.0))
    assert (left, right) == pytest.approx((30, 60))


def test_teeth_stand_on_the_forbidden_side() -> None:
    left, _, right, _ = bounds(fence(20, 0, 30, "left"))
    assert left < 19 and right == pytest.approx(20)
    left, _, right, _ = bounds(fence(20, 0, 30, "right"))
    assert left == pytest.approx(20) and right > 21


def test_rows_are_sorted_by_state_then_danger() -> None:
    clear = ((0.2, 0.3, 0.4),) * 3
    crosses = ((-0.2, 0.1, 0.4),) * 3
    found = [
        finding("calm", "clear", 1, clear),
        finding("wing", "crosses", 2, crosses),
        finding("push", "crosses", 1, crosses),
        finding("joint", "missing", 3, ()),
        finding("turn", "short", 9, ((-0.4, -0.3, -0.2),) * 3),
    ]
    rows = rows_of(found)
    assert [one.label for one in rows] == ["the turn", "the joint", "the push", "the wing", "the calm"]
    assert rows[1].stick is None and rows[0].stick is not None


words = st.text("abcdefghij klmnop", min_size=1, max_size=120)


@given(
    st.lists(
        st.tuples(words, st.sampled_from(["clear", "crosses", "short", "missing"])), min_size=1, max_size=14
    )
)
@settings(max_examples=40, deadline=None)
def test_no_list_of_findings_overlaps_or_leaves_its_picture(rows: list[tuple[str, str]]) -> None:
    made = [Row(label, state, None if state == "missing" else band(0.1)) for label, state in rows]
    scene = fence_list(made)
    assert scene.overlaps() == ()
    assert scene.outside(0.5) == ()


def test_the_fence_of_the_list_stands_at_zero_of_its_scale() -> None:
    scene = fence_list([Row("one", "clear", Band(0.3, (0.2, 0.4), (0.2, 0.4), (0.2, 0.4)))])
    post = next(one for one in scene.shapes if isinstance(one, Path) and one.layer == "fence")
    left, right = 0.5 * 173.0, 145.0
    assert post.rings[0][0][0] == pytest.approx(left + (0 - LOW) / (HIGH - LOW) * (right - left))
    solid = boxes(scene.shapes)["solid"]
    assert solid[0] > post.rings[0][0][0]


def test_strip_shows_fences_and_stick_on_one_scale() -> None:
    scene = strip(band(4.6), [(5.2, "right")], scale=(0, 10), width=101.6)
    post = next(one for one in scene.shapes if isinstance(one, Path) and one.layer == "fence")
    assert post.rings[0][0][0] == pytest.approx(0.8 + 52)
    assert isinstance(strip(None), Scene)
    low, high = scale_for(band(4.6), [9.0])
    assert low < 2.6 and high > 9.0


def test_band_of_a_figure() -> None:
    drawn = Figure(value=1.0, unit="m2", kind="drawn")
    assert band_of(drawn) is None
    known = Figure(value=2.0, unit="kg", kind="computed", low=1.5, high=2.4, measured_only=(1.9, 2.1))
    made = band_of(known)
    assert made == Band(2.0, (1.5, 2.4), (1.9, 2.1), (1.9, 2.1))


def test_state_pictures_stand_right_of_across_and_left_of_the_fence() -> None:
    places = {}
    for state in ("clear", "crosses", "short"):
        bar = next(one for one in state_picture(state) if isinstance(one, Path) and one.layer == "stick")
        xs = [x for x, _ in bar.rings[0]]
        places[state] = (min(xs) - 4, max(xs) - 4)
    assert places["clear"][0] > 0 and places["short"][1] < 0
    assert places["crosses"][0] < 0 < places["crosses"][1]
