"""Laying parts on boards: exact by polygons, the same for the same seed, and kept when one part changes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from planewright.draw.nest import Board, Item, Layout, Rules, boards_of, bound, clashes, kept, nest
from planewright.draw.nest.boards import to_buy
from planewright.draw.nest.bounds import share
from planewright.draw.nest.model import Placement, laid
from planewright.draw.nest.search import Buy
from planewright.errors import Cancelled
from planewright.plane.model import Damage, Pile, Stock
from planewright.plane.reader import read_plane

BOARD = Board("board 1", "board", 762.0, 508.0, mass=0.147)
STOCK = Stock("board", "foam board", sheet=(0.508, 0.762), thickness=0.0048, mass=0.147, count=2)
QUICK = Rules(shuffles=2, pixel=4.0)


def buy(number: int) -> Board:
    return replace(BOARD, name=f"board {number + 1}", owned=False)


def plate(title: str, width: float, height: float, **more: object) -> Item:
    ring = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    how: dict[str, object] = {"copy": 1, "copies": 1, "rings": (ring,), "digest": f"{title}-{width}-{height}"}
    return Item(title, **(how | more))  # type: ignore[arg-type]


def blob(title: str, sides: list[float], size: float) -> Item:
    """A star-shaped polygon with the given radii, ``size`` mm to its furthest corner."""
    angles = np.linspace(0, 2 * np.pi, len(sides), endpoint=False)
    ring = tuple(
        (float(size * r * np.cos(a)), float(size * r * np.sin(a))) for r, a in zip(sides, angles, strict=True)
    )
    return replace(plate(title, 1, 1), rings=(ring,), digest=title)


def lay(
    items: list[Item], boards: tuple[Board, ...] = (BOARD,), rules: Rules = QUICK, more: Buy = buy
) -> Layout:
    layout = nest(items, boards, more, rules)
    assert clashes(layout, items, rules) == ()
    assert len(layout.placements) + len(layout.left) == len(items)
    assert layout.bound <= len(layout.used)
    return layout


@settings(max_examples=12, deadline=None)
@given(
    st.lists(
        st.tuples(st.lists(st.floats(0.3, 1.0), min_size=3, max_size=9), st.floats(25, 170)),
        min_size=1,
        max_size=9,
    ),
    st.floats(0, 12),
    st.floats(0, 20),
)
def test_no_shape_overlaps_leaves_the_board_or_comes_too_near(
    shapes: list[tuple[list[float], float]], gap: float, border: float
) -> None:
    """Random stars, gaps and borders: exact distances between the polygons, not the grid, are what is tested."""
    items = [blob(f"P {k}", sides, size) for k, (sides, size) in enumerate(shapes)]
    layout = lay(items, rules=Rules(gap, border, 5.0, 0))
    for place in layout.placements:
        item = next(one for one in items if one.key == place.key)
        there = laid(item, place)
        assert there.exterior.is_ccw == item.shape.exterior.is_ccw, "a part is turned, never flipped"
        assert there.area == pytest.approx(item.shape.area, rel=1e-9)


def test_the_exact_test_sees_what_is_wrong() -> None:
    """Too near, over the edge, on a damaged place, turned across the stiff way: each is named with its distance."""
    damaged = replace(BOARD, stiff="long", damaged=(((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)),))
    items = [plate("A", 100, 50, along=0.0), plate("B", 100, 50), plate("C", 100, 50, along=0.0)]
    places = (
        Placement("A", "board 1", 0.0, 20.0, 20.0, ""),
        Placement("B", "board 1", 0.0, 121.0, 20.0, ""),
        Placement("C", "board 1", 90.0, 709.0, 300.0, ""),
    )
    found = clashes(Layout("board", (damaged,), places, (), 1, 0.1, 1), items, Rules())
    said = {(one.key, one.meets): round(one.distance, 6) for one in found}
    assert said == {
        ("A", "B"): 1.0,
        ("A", "damaged place"): 0.0,
        ("C", "edge of the board"): 3.0,
        ("C", "stiff way of the board"): 0.0,
    }


def test_same_seed_same_layout_and_another_seed_may_differ() -> None:
    """Nothing but the seed decides."""
    random = np.random.default_rng(4)
    items = [
        blob(f"P {k}", list(random.uniform(0.4, 1.0, 7)), float(random.uniform(50, 190))) for k in range(14)
    ]
    first = lay(items, rules=Rules(pixel=6.0, shuffles=3, seed=5))
    assert first == lay(items, rules=Rules(pixel=6.0, shuffles=3, seed=5))
    assert first == lay(list(items), rules=Rules(pixel=6.0, shuffles=3, seed=5))


def test_plates_that_just_fit_fill_their_boards_exactly() -> None:
    """Four plates of a quarter each, border 5 and gap 3: one board, no millimetre wasted; a hair more needs two."""
    wide, tall = (762 - 10 - 3) / 2, (508 - 10 - 3) / 2
    fits = [plate("P", wide - 0.001, tall - 0.001, copy=k, copies=4, along=0.0) for k in range(1, 5)]
    stiff = replace(BOARD, stiff="long")
    assert len(lay(fits, (stiff,), Rules(shuffles=0)).used) == 1
    more = [plate("P", wide + 0.001, tall - 0.001, copy=k, copies=4, along=0.0) for k in range(1, 5)]
    assert (
        len(lay(more, (stiff,), Rules(shuffles=0), lambda k: replace(stiff, name=f"board {k + 1}")).used) == 2
    )


def test_holes_carry_small_parts_and_damaged_corners_none() -> None:
    """A frame as large as the board takes a plate into its hole; a corner that is spoilt stays empty."""
    outer = ((0.0, 0.0), (752.0, 0.0), (752.0, 498.0), (0.0, 498.0))
    hole = ((60.0, 60.0), (60.0, 438.0), (692.0, 438.0), (692.0, 60.0))
    frame = replace(plate("F", 1, 1), rings=(outer, hole), digest="frame")
    assert len(lay([frame, plate("S", 600, 300)]).used) == 1
    stock = replace(STOCK, count=0, pile=(Pile(damaged=(Damage("lower left", (0.1, 0.08)),)),))
    layout = lay([plate("P", 700, 400), plate("Q", 60, 60)], boards_of(stock))
    place = next(one for one in layout.placements if one.key == "P")
    assert place.x > 40 or place.y > 80


def test_off_cuts_come_first_heavy_boards_to_the_nose_and_pairs_together() -> None:
    """What fits beside nothing goes on an off-cut first; of weighed boards the heavy one takes what wishes it."""
    stock = replace(STOCK, count=0, pile=(Pile((0.3, 0.2)), Pile(mass=0.140), Pile(mass=0.160)))
    boards = boards_of(stock)
    assert [one.name for one in boards] == ["board off-cut 1", "board 1", "board 2"]
    items = [
        plate("BODY 1", 600, 400, wish="heavy"),
        plate("TAIL 1", 600, 390, wish="light"),
        plate("S", 250, 180),
    ]
    layout = lay(items, boards)
    where = {one.key: one.board for one in layout.placements}
    assert where == {"BODY 1": "board 2", "TAIL 1": "board 1", "S": "board off-cut 1"}
    pairs = [plate(f"{n} {hand}", 300, 300, pair=n) for n in "ABCD" for hand in ("LEFT", "RIGHT")]
    where = {one.key: one.board for one in lay(pairs).placements}
    assert all(where[f"{n} LEFT"] == where[f"{n} RIGHT"] for n in "ABCD")


def test_stiff_way_binds_only_where_somebody_found_one() -> None:
    """Along the stiff way only half turns; a board that nobody bent both ways takes quarter turns."""
    piece = plate("P", 480, 120, along=np.pi / 2)
    for stiff, turns in (
        ("long", {90.0, 270.0}),
        ("short", {0.0, 180.0}),
        ("none", {0.0, 90.0, 180.0, 270.0}),
    ):
        layout = lay([piece], (replace(BOARD, stiff=stiff),))  # type: ignore[arg-type]
        assert {one.turn_deg for one in layout.placements} <= turns
    skew = plate("P", 480, 120, along=np.radians(12.0))
    assert lay([skew], (replace(BOARD, stiff="long"),)).placements[0].turn_deg % 180 == pytest.approx(168.0)


def test_a_part_too_large_is_answered_with_what_would_work() -> None:
    """Advice gives the board that would do, the number of pieces, and that turning it would."""
    long = lay([plate("P", 1600, 100)]).left[0]
    assert "1610 × 110 mm" in long.would_work and "3 pieces" in long.would_work
    turned = lay(
        [plate("P", 490, 700, along=0.0)],
        (replace(BOARD, stiff="long"),),
        more=lambda k: replace(buy(k), stiff="long"),
    )
    assert 'stiff = "none"' in turned.left[0].would_work


def test_what_cannot_share_a_board_is_proven_and_never_too_soon() -> None:
    """Two plates of 400 mm cannot lie on 498 mm and two of 247 mm can; every layout found respects the bound."""
    big, small = plate("A", 700, 400), plate("B", 745, 246)
    assert not share(big, replace(big, title="C"), BOARD, Rules())
    assert share(small, replace(small, title="C"), BOARD, Rules())
    assert bound([replace(big, title=f"{k}", copy=k) for k in range(5)], [BOARD], Rules()).boards == 5
    assert bound([], [BOARD], Rules()).boards == 0


def three_boards() -> tuple[list[Item], Layout]:
    items = [plate(f"P {k}", 230 + 7 * k, 150 + 3 * k) for k in range(12)]
    return items, lay(items)


def test_a_changed_part_moves_no_other_when_it_still_fits() -> None:
    """One part smaller, then a little larger: everything else lies to the bit where it lay."""
    items, before = three_boards()
    for change in (-4.0, -30.0):
        k = 5
        changed = [*items]
        changed[k] = plate("P 5", 230 + 35 + change, 165 + change)
        after = kept(changed, before, before.boards, buy, QUICK)
        assert clashes(after, changed, QUICK) == ()
        others = [one for one in after.placements if one.key != "P 5"]
        assert others == sorted(
            (one for one in before.placements if one.key != "P 5"), key=lambda one: int(one.key[2:])
        )
        assert after.moved == ()


def test_a_part_that_grew_too_much_moves_alone_and_a_new_one_finds_room() -> None:
    """Far larger: only it moves (or its board is laid anew); nothing lies wrong and nothing is lost."""
    items, before = three_boards()
    changed = [*items[:-1], plate("P 11", 420, 300), plate("NEW", 60, 60)]
    after = kept(changed, before, before.boards, buy, QUICK)
    assert clashes(after, changed, QUICK) == ()
    assert {one.key for one in after.placements} == {one.key for one in changed}
    assert sorted(one.key for one in after.placements) == sorted(one.key for one in changed), (
        "none lost or doubled"
    )
    boards_touched = {one.board for one in before.placements if one.key in after.moved}
    assert len(boards_touched) <= 1


@pytest.mark.parametrize("seed", range(4))
def test_nothing_is_lost_or_doubled_when_everything_grows(seed: int) -> None:
    """Every piece larger, on full boards, some of them frozen: all lie somewhere, once, and lie right."""
    random = np.random.default_rng(seed)
    items = [plate(f"P {k}", *random.uniform(60, 330, 2)) for k in range(16)]
    before = lay(items)
    boards = tuple(replace(one, state="cut") if k == 0 else one for k, one in enumerate(before.boards))
    grown = [plate(one.title, *(min(side * 1.06, 490.0) for side in one.shape.bounds[2:])) for one in items]
    after = kept(grown, before, boards, buy, QUICK)
    assert sorted(one.key for one in after.placements) == sorted(one.key for one in grown)
    assert clashes(after, grown, QUICK) == ()
    assert {one.key for one in after.stale} == {one.key for one in before.on(boards[0].name)}


def test_printed_and_cut_boards_are_frozen() -> None:
    """What lies there stays, also when it changed: that is named stale and laid anew elsewhere."""
    items, before = three_boards()
    first = before.used[0]
    boards = tuple(replace(one, state="printed") if one == first else one for one in before.boards)
    there = before.on(first.name)
    number = int(there[0].key[2:])
    changed = [plate(one.title, 200, 140) if one.title == there[0].key else one for one in items]
    after = kept(changed, before, boards, buy, QUICK)
    assert clashes(after, changed, QUICK) == ()
    assert set(there[1:]) <= set(after.placements)
    assert after.stale == (there[0],)
    assert next(one for one in after.placements if one.key == f"P {number}").board != first.name
    again = kept(changed, after, boards, buy, QUICK)
    assert again.placements == after.placements and again.stale == after.stale


def test_work_can_be_stopped_and_tells_how_far_it_is() -> None:
    """The bar runs from 0 to 1; stopping raises what the bar raised."""
    told: list[float] = []

    def stop(done: float, _says: str) -> None:
        told.append(done)
        if len(told) == 3:
            raise Cancelled("stopped")

    items, _ = three_boards()
    with pytest.raises(Cancelled):
        nest(items, (BOARD,), buy, replace(QUICK, shuffles=30), stop)
    assert told[0] == 0 and sorted(told) == told


def test_piles_are_read_and_their_faults_named(tmp_path: Path) -> None:
    """Off-cuts, damage and the stiff side come from the description; a wrong corner is answered with the words."""
    text = """name = "Test"
[stock.board]
kind = "foam board"
sheet = "20 x 30 in"
thickness = "4.8 mm"
mass = "147 g"
count = 3
stiff = "long"
pile = [
  { sheet = "300 x 200 mm" },
  { count = 2, mass = "139 g", damaged = { at = "upper right", size = "40 x 30 mm" } },
]
"""
    path = tmp_path / "aeroplane.toml"
    path.write_text(text)
    plane, _ = read_plane(path)
    assert plane is not None
    stock = plane.stock["board"]
    boards = boards_of(stock)
    assert [(one.name, one.offcut) for one in boards] == [
        ("board off-cut 1", True), *((f"board {k}", False) for k in range(1, 6)),
    ]  # fmt: skip
    assert boards[1].mass == pytest.approx(0.139) and boards[1].stiff == "long"
    assert Polygon(boards[1].damaged[0]).bounds == pytest.approx((722, 478, 762, 508))
    assert boards[0].mass == pytest.approx(0.147 * 300 * 200 / (508 * 762))
    path.write_text(text.replace("upper right", "top"))
    assert any("lower left" in str(fault) for fault in read_plane(path)[1])
    assert to_buy(stock, 2) == replace(boards[-1], name="board 7", owned=False)
