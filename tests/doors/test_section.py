"""`planewright section`: by name, from files of several makes, as JSON and picture, and wrong input."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from planewright.geometry.sections import named_points


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache of this module's own."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(autouse=True)
def own_cache(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PLANEWRIGHT_CACHE", str(kept))


def test_json_points_and_picture(command: Callable, tmp_path: Path) -> None:
    """Each point has Reynolds number, angle in rad, cl, cd, cm, state and bands that hold it; the picture is there."""
    drawn = tmp_path / "polar.svg"
    said = command(
        "section", "Clark Y", "--re", "200k, 100k", "--alpha", "0 to 6 by 3", "--picture", drawn, "--json"
    )
    assert said.code == 0
    document = said.document
    assert document["section"] == "Clark Y" and document["thickness"] == pytest.approx(0.117, abs=0.002)
    points = document["points"]
    assert [(p["re"], round(math.degrees(p["alpha"]), 6)) for p in points] == [
        (re, a) for re in (1e5, 2e5) for a in (0, 3, 6)
    ]
    for one in points:
        assert one["state"] in ("converged", "bridged")
        assert one["cl_band"][0] < one["cl"] < one["cl_band"][1]
        assert one["cd_band"][0] < one["cd"] < one["cd_band"][1]
        assert one["cm_band"][0] < one["cm"] < one["cm_band"][1]
    assert [p["cl"] for p in points[3:]] == sorted(p["cl"] for p in points[3:])
    assert drawn.read_text(encoding="utf-8").startswith("<svg") and document["picture"] == str(drawn)
    table = command("section", "Clark Y", "--re", "200k, 100k", "--alpha", "0 to 6 by 3").out
    assert f"{points[-1]['cl']:.3f}" in table and f"{points[-1]['cd']:.4f}" in table


def test_files_of_any_make_give_the_same_section(command: Callable, tmp_path: Path) -> None:
    """Commas or spaces, either way round, millimetres, two runs from the nose: the same outline, the same answer."""
    points = named_points("Clark Y")
    nose = int(np.argmin(points[:, 0]))
    ways = {
        "round.csv": "x,y\n" + "\n".join(f"{x},{y}" for x, y in points),
        "back.dat": "my section\n" + "\n".join(f" {x}  {y}" for x, y in points[::-1]),
        "mm.txt": "# in mm\n" + "\n".join(f"{250 * x}\t{250 * y}" for x, y in points),
        "runs.dat": "\n".join(f"{x} {y}" for x, y in [*points[: nose + 1][::-1], *points[nose:]]),
    }
    found = []
    for name, text in ways.items():
        (tmp_path / name).write_text(text + "\n", encoding="utf-8")
        said = command("section", tmp_path / name, "--re", "300k", "--alpha", "2", "--json")
        assert said.code == 0, said.err
        found.append(said.document["points"][0])
    for one in found:
        assert one["cl"] == pytest.approx(found[0]["cl"], abs=1e-4)
        assert one["cd"] == pytest.approx(found[0]["cd"], rel=1e-3)


def test_a_flap_down_lifts_and_a_trip_costs(command: Callable) -> None:
    """Trailing edge down lifts more and pitches nose down; a trip at 5 % costs drag where the layer was laminar."""
    plain, flap, trip = (
        command("section", "NACA 2412", "--re", "400k", "--alpha", "2", *more, "--json").document["points"][0]
        for more in ((), ("--flap", "25 %, 5"), ("--trip", "5 %"))
    )
    assert flap["cl"] > plain["cl"] + 0.15 and flap["cm"] < plain["cm"] - 0.02
    assert trip["cd"] > 1.15 * plain["cd"] and trip["transition"] == pytest.approx([0.05, 0.05], abs=0.02)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("NACA 24",), "NACA 2415"),
        (("missing.dat",), "is not there"),
        (("Clark Y", "--re", "12"), "20000"),
        (("Clark Y", "--alpha", "40"), "25"),
        (("Clark Y", "--alpha", "up"), "range such as"),
        (("Clark Y", "--flap", "25 %"), "25 %, 10"),
        (("Clark Y", "--trip", "200 %"), "10 %"),
        (("Clark Y", "--alpha", "0 to 10 by 0.01"), "at most"),
    ],
)
def test_wrong_words_are_advice(command: Callable, words: tuple[str, ...], said: str) -> None:
    answer = command("section", *words)
    assert answer.code == 2
    assert said.lower() in (answer.out + answer.err).lower().replace("\n", " ")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1 0\n0 0\n1 0\n", "3 points"),
        ("\n".join(f"{k} 0" for k in range(12)), "once round"),
        ("\n".join("5 5" for _ in range(12)), "one x"),
        ("1 0\n.9 .02\nhello\n" + ".5 .1\n" * 9, "line 3"),
        ("\n".join(f"{x} {20 * y}" for x, y in named_points("Clark Y")), "deep"),
    ],
)
def test_a_file_that_is_no_section(command: Callable, tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "mine.dat"
    path.write_text(text, encoding="utf-8")
    answer = command("section", path, "--re", "200k")
    assert answer.code == 2 and said in (answer.out + answer.err).replace("\n", " ")
