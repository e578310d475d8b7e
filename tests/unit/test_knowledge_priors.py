"""The prior table laid over an aeroplane: who gets what, and where an aeroplane differs from the table."""

import math

import numpy as np
import pytest

from planewright.knowledge import Draws, Knowledge, at_medians, perturbed, points, prior_knowledge
from planewright.plane.model import Battery, Engine, Plane, Propeller, Stock

BOARD = Stock("board", "foam board", sheet=(0.508, 0.762), thickness=0.0048, mass=0.147, spread=0.003)
CAP = Stock("cap", "pine stick", section=(0.006, 0.012), length=1.0)


def engine(name: str, make: str, size: tuple[float, float] | None = None) -> Engine:
    prop = None if size is None else Propeller(size[0] * 0.0254, size[1] * 0.0254)
    return Engine(name, "fan" if size is None else "propeller", 0, 0, 0, f"{name}/1", make, propeller=prop)


def known(plane: Plane, surface: str = "") -> Knowledge:
    return prior_knowledge(plane, surface)


def test_every_owner_has_its_own_quantity() -> None:
    engines = (engine("engine.left", "a", (12, 6)), engine("engine.right", "b", (14, 9)))
    plane = Plane(
        "x", "A", {"board": BOARD, "cap": CAP}, engines=engines, battery=Battery(4, 1, 1, None, 0, serial="p")
    )
    found = known(plane).quantities
    for name in (
        "board.wrinkle[board]",
        "stick.grade[cap]",
        "tape.line_mass",
        "eng.make[a]",
        "eng.lapse[b]",
        "eng.serial[engine.right/1]",
        "pack.R[p]",
        "article.stick[wing-1]",
        "sec.clmax",
        "wheel.mu",
    ):
        assert name in found
    assert all(one.id == name and one.mean == one.prior_mean for name, one in found.items())


def test_own_weighing_is_measured_with_its_spread() -> None:
    found = known(Plane("x", "A", {"board": BOARD, "cap": CAP})).quantities
    board, cap = found["board.areal_mass[board]"], found["stick.density[cap]"]
    assert (board.kind, cap.kind) == ("measured", "published")
    assert board.sd == pytest.approx(3 / 147) and cap.sd == 0.15


def test_a_size_measured_in_wind_carries_less_doubt() -> None:
    plane = Plane("x", "A", engines=(engine("l", "a", (12, 6)), engine("r", "b", (14, 9)), engine("f", "c")))
    found = known(plane).quantities
    assert [found[f"eng.make[{m}]"].sd for m in "abc"] == [0.05, 0.15, 0.12]
    assert found["eng.make[c]"].mean == pytest.approx(math.log(0.75))
    assert found["eng.make[a]"].kind == "published" and "Illinois" in found["eng.make[a]"].source


@pytest.mark.parametrize(
    ("surface", "median"),
    [("mown grass, dry", 0.08), ("concrete, swept", 0.025), ("Long grass", 0.12), ("", 0.08)],
)
def test_friction_follows_the_words_of_the_site(surface: str, median: float) -> None:
    quantity = known(Plane("x", "A"), surface).quantities["wheel.mu"]
    assert math.exp(quantity.mean) == pytest.approx(median)


def test_every_entry_names_its_source_and_what_it_moves() -> None:
    plane = Plane("x", "A", {"board": BOARD}, engines=(engine("l", "a", (12, 6)),))
    for one in known(plane).quantities.values():
        assert one.source and one.moves and one.sd > 0


def test_medians_and_draws_agree_with_points() -> None:
    knowledge = known(Plane("x", "A", {"board": BOARD}))
    assert at_medians(knowledge).factor("sec.clmax") == pytest.approx(0.92)
    assert points(knowledge).factor("sec.clmax") == pytest.approx(0.92)
    assert np.median(Draws(knowledge).factor("sec.clmax")) == pytest.approx(0.92, rel=1e-3)


def test_perturbed_points_move_one_quantity_at_a_time() -> None:
    knowledge = known(Plane("x", "A", {"board": BOARD}))
    grid = perturbed(knowledge, {"sec.clmax": 0.0, "sec.alpha0": 0.01}, 0.5)
    assert grid.count == 5
    assert np.allclose(grid.state("sec.clmax"), [0, 0.06, 0, -0.06, 0])
    assert np.allclose(grid.shift("sec.alpha0") - 0.01, np.array([0, 0, 1, 0, -1]) * 0.5 * 0.0139626)
    assert grid.asked == {"sec.clmax", "sec.alpha0"}
    with pytest.raises(KeyError, match=r"no\.such"):
        grid.factor("no.such")
