"""The sheet of strength through the command line: both examples, stories of builders, wrong input."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planewright.analysis.strength.reference import page
from planewright.cli.main import run

FOUND: dict[str, Any] = {}


@pytest.fixture
def sheet(capsys: pytest.CaptureFixture[str]) -> Callable[[Path], Any]:
    """The sheet as JSON."""

    def call(folder: Path) -> Any:
        capsys.readouterr()
        assert run(["strength", str(folder), "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return call


def changed(folder: Path, *pairs: tuple[str, str]) -> None:
    path = folder / "aeroplane.toml"
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8")


def test_sheet_of_plover(plover: Path, command: Callable, sheet: Callable) -> None:
    """Stick crushing first at the root; 6.4 and 1.43 N m at 1 g, 21.3 and 12.6 N m lifted by the tips (6 %);
    stall-limited 5.7 g at 20 m/s (8 %), gust 2.6 (6 %), strap 49 N; the lift of 16 May is remembered."""
    command("calibrate", plover)
    found = sheet(plover)
    assert found["first"] == "stick crushing" and found["needed"] == 4.5
    assert found["load_factor"]["low"] > 4.5
    names = {row["mode"] for row in found["modes"]}
    assert {"glue line", "skin panel buckling", "web buckling", "stick buckling", "joint outer"} <= names
    assert sum(row["first"] for row in found["modes"]) == pytest.approx(1.0, abs=1e-6)
    case = {row["id"]: row for row in found["cases"]}
    assert case["manoeuvre"]["root"] / 3 == pytest.approx(6.4, rel=0.06)
    assert case["tips"]["root"] == pytest.approx(21.3, rel=0.06)
    assert case["tips"]["joints"]["outer"] == pytest.approx(12.6, rel=0.06)
    assert case["stall"]["factor"] == pytest.approx(5.7, rel=0.08)
    assert case["gust"]["factor"] == pytest.approx(2.6, rel=0.06)
    assert case["landing"]["root"] < 0 and 5.0 <= case["landing"]["factor"] <= 6.6
    (joint,) = found["joints"]
    assert joint["one_g"] == pytest.approx(1.43, rel=0.06) and "held on 2026-05-16" in joint["tip_lift_holds"]
    detail = {row["id"]: row for row in found["details"]}
    assert detail["strap"]["need"] == pytest.approx(49, abs=0.5)
    assert detail["tail boom"]["holds"]["low"] > detail["tail boom"]["need"]
    assert "17 N" in detail["tail boom"]["says"][0] or "18 N" in detail["tail boom"]["says"][0]
    states = {row["words"]: row for row in found["twist"]["rows"]}
    closed, tail = states["seams: closed"], states["seams: trailing edge open"]
    assert closed["divergence"] > tail["divergence"] and closed["kept"] > 0.8 > tail["kept"]
    assert any("none is a limit" in words for words in found["twist"]["says"])
    for name in found["pictures"]:
        assert (plover / name).read_text(encoding="utf-8").startswith("<svg")
    FOUND["plover"] = found


def test_half_size_wing_never_gives_one_number(plover: Path, sheet: Callable) -> None:
    """ "The half-size wing broke; what does the big one hold?": what was scaled is listed, what was not is asked,
    e of both drawings, a band, a mode, g at the root, and a proof of the real wing."""
    (row,) = FOUND["plover"]["scale"] if "plover" in FOUND else sheet(plover)["scale"]
    assert row["stated"][:4] == ["all lengths times 0.5", "board 3.0 mm", "caps 3 x 6 mm", "ribs 90 mm apart"]
    assert row["full"]["high"] > 1.3 * row["full"]["low"] and row["first_full"]
    sizes = {one["mode"]: one["exponent"] for one in row["modes"]}
    assert 1.0 < sizes["glue line"] < 1.6 < sizes["stick crushing"] < 2.0
    assert any("proof of its own at 3 g" in words for words in row["says"])


def test_sheet_of_gannet(gannet: Path, sheet: Callable) -> None:
    """Tip joint 2.52 and 4.35 N m, 70 and 121 N (8 %); lifted by the tips 13.3 N m: refused; mount, boom, strap 115 N;
    no promise about the hinge's strength."""
    found = sheet(gannet)
    (joint,) = found["joints"]
    assert (joint["limit"], joint["ultimate"]) == pytest.approx((2.52, 4.35), rel=0.08)
    assert (joint["force_limit"], joint["force_ultimate"]) == pytest.approx((70, 121), rel=0.08)
    assert joint["tip_lift"] == pytest.approx(13.3, rel=0.03)
    assert "never lift this aeroplane by its tips" in joint["tip_lift_holds"] and "holds" not in joint
    assert any("doublers" in words for words in joint["says"])
    detail = {row["id"]: row for row in found["details"]}
    assert detail["strap"]["need"] == pytest.approx(115, abs=1)
    assert "mount engine.right" in detail
    row = found["scale"][0]
    assert "board not stated: taken as the aeroplane's own" in row["stated"]
    assert {one["mode"]: one["exponent"] for one in row["modes"]}["stick crushing"] == pytest.approx(
        0.62, abs=0.2
    )
    assert any("swept" in words for words in found["twist"]["says"])


@pytest.mark.slow
def test_the_table_on_the_terminal(plover: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["strength", str(plover)]) == 0
    words = capsys.readouterr().out
    for one in (
        "Load cases",
        "Joint outer",
        "Twist",
        "Bags on each half",
        "Materials",
        "Cautions",
        "permits nothing",
    ):
        assert one in words, one


def test_wrong_input(
    starter: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], sheet: Callable
) -> None:
    """A wing without a board, a folder that is none, an unknown word: a clear message, never a traceback."""
    assert run(["strength", str(tmp_path / "nowhere")]) == 2
    assert run(["strength", str(starter), "--loud"]) == 2
    assert "Traceback" not in capsys.readouterr().err
    bare = 'name = "bare"\n[wing]\nx = "300 mm"\nspan = "2 m"\nchord = "250 mm"\nsection = "Clark Y"\n'
    (starter / "aeroplane.toml").write_text(bare + 'build = { way = "folded" }\n', encoding="utf-8")
    found = sheet(starter)
    assert found["why"] and not found.get("modes")


def test_the_page_of_materials_is_current() -> None:
    kept = Path(__file__).parents[2] / "docs/reference/materials.md"
    assert kept.read_text(encoding="utf-8") == page(), (
        "docs/reference/materials.md is stale: run `make reference`"
    )
