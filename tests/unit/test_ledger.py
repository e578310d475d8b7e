"""Weighings and checks: what counts, what is struck, and every fault at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fixtures.worlds import EXAMPLES
from planewright.errors import Fault
from planewright.ledger import Ledger, read_ledger
from planewright.ledger.reading import resolution_of
from planewright.plane import read_plane
from planewright.plane.model import Equipment, Plane
from planewright.plane.parts import nameable, weighable

OUNCE = 0.45359237 / 16
"""Avoirdupois ounce in kg, exact (international pound of 1959; from memory)."""
HEAD = "part,mass,when,who,note\n"
CHECK = "check,passed,when,configuration,serial,who,note\n"


def plane(name: str = "plover") -> Plane:
    found, faults = read_plane(EXAMPLES / name / "aeroplane.toml")
    assert found is not None, faults
    return found


PLOVER, GANNET = plane(), plane("gannet")


def ledger(
    folder: Path, weighings: str = "", checks: str = "", of: Plane = PLOVER
) -> tuple[Ledger, list[Fault]]:
    if weighings:
        (folder / "weighings.csv").write_text(HEAD + weighings, encoding="utf-8")
    if checks:
        (folder / "checks.csv").write_text(CHECK + checks, encoding="utf-8")
    found, faults = read_ledger(folder, of)
    return found, list(faults)


def test_plover_as_shipped() -> None:
    found, faults = read_ledger(EXAMPLES / "plover", PLOVER)
    assert faults == ()
    assert [one.part for one in found.weighings if one.struck] == ["tailplane"]
    assert len(found.in_force) == 16
    assert next(one for one in found.in_force if one.part == "tailplane").mass == pytest.approx(0.166)
    nose = next(one for one in found.in_force if one.part == "gear.nose")
    assert nose.mass == pytest.approx(3.42 * OUNCE, rel=1e-12) and nose.resolution == pytest.approx(
        0.01 * OUNCE
    )
    assert found.checks[-1].name == "proof wing.joint.outer" and found.checks[-1].serial == "wing-1"
    assert all(one.passed for one in found.checks)


def test_plover_parts_add_up_to_the_story() -> None:
    """The invented story: 4.062 kg by parts, of which 58 g (receiver, regulator... as stated) are not weighed."""
    found, _ = read_ledger(EXAMPLES / "plover", PLOVER)
    stated = sum(one.mass for one in PLOVER.equipment if f"equipment.{one.name}" not in weighed(found))
    assert sum(one.mass for one in found.in_force) + stated == pytest.approx(4.062, abs=0.003)


def test_gannet_as_shipped() -> None:
    found, faults = read_ledger(EXAMPLES / "gannet", GANNET)
    assert faults == ()
    assert [one.written for one in found.weighings if one.struck] == ["349 g"]
    pack = next(one for one in found.in_force if one.part == "battery")
    assert pack.mass == pytest.approx(2 * 16 * OUNCE + 9.66 * OUNCE, rel=1e-12)
    stated = sum(one.mass for one in GANNET.equipment if f"equipment.{one.name}" not in weighed(found))
    assert sum(one.mass for one in found.in_force) + stated == pytest.approx(5.400, abs=0.003)
    assert [one.name for one in found.checks] == ["controls", "range", "battery"]


def weighed(found: Ledger) -> set[str]:
    return {one.part for one in found.in_force}


def test_names_cover_their_children() -> None:
    pieces = weighable(PLOVER)
    assert pieces["tailplane"] == ("tailplane.left", "tailplane.right")
    assert pieces["gear"] == ("gear.nose", "gear.main.left", "gear.main.right")
    assert set(pieces["engine"]) == {"engine.left", "engine.right"}
    assert pieces["fin"] == ("fin",)
    assert "wing.joint.outer" in nameable(PLOVER) and "control.rudder" in nameable(PLOVER)
    assert "wing.joint.outer" not in pieces


def test_paired_equipment_has_a_whole() -> None:
    lamps = tuple(Equipment(f"lamp.{side}", 0.02, 0.1) for side in ("left", "right"))
    pieces = weighable(Plane("P", "A", equipment=(*lamps, Equipment("logger", 0.02, 0.1))))
    assert pieces["equipment.lamp"] == ("equipment.lamp.left", "equipment.lamp.right")
    assert pieces["equipment"] == (*pieces["equipment.lamp"], "equipment.logger")


def test_no_files_is_an_empty_ledger(tmp_path: Path) -> None:
    assert ledger(tmp_path) == (Ledger(), [])


def test_names_are_forgiving(tmp_path: Path) -> None:
    found, faults = ledger(tmp_path, "Wing.Right,566 g,2026-05-06,bench 1,\nequipment.Wiring,171 g,,,\n")
    assert faults == [] and weighed(found) == {"wing.right", "equipment.wiring"}
    assert found.weighings[1].when is None


def test_all_faults_at_once(tmp_path: Path) -> None:
    found, faults = ledger(
        tmp_path,
        "wing.rihgt,566 g,2026-05-06,,\nfin,91,2026-05-06,,\nbody,795 g,06.05.2026,,\n,5 g,2026-05-06,,\n"
        "battery,-503 g,2026-05-08,,\nservo,146 mm,2026-05-08,,\nbattery,498 g,2026-05-08,bench\n",
        "controls,maybe,2026-05-20,B,,,\nragne,yes,2026-05-20,B,,,\nrange,yes,,B,,,\n"
        "proof wing.joint.outre,yes,2026-05-16,B,,,\n",
    )
    assert [(one.file, one.line) for one in faults] == [("weighings.csv", line) for line in range(2, 9)] + [
        ("checks.csv", line) for line in range(2, 6)
    ]
    assert 'Did you mean "wing.right"?' in faults[0].advice
    assert '"91 g"' in faults[1].advice
    assert 'Did you mean "range"?' in faults[8].advice
    assert 'Did you mean "wing.joint.outer"?' in faults[10].advice
    assert "battery" in weighed(found)


def test_missing_head(tmp_path: Path) -> None:
    (tmp_path / "weighings.csv").write_text("piece,mass\nfin,91 g\n")
    found, faults = read_ledger(tmp_path, PLOVER)
    assert found.weighings == () and [one.path for one in faults] == ['head "piece"', 'head "part"']


def test_semicolons_are_read(tmp_path: Path) -> None:
    (tmp_path / "weighings.csv").write_bytes(
        "\ufeffpart;mass;when;who;note\r\nfin;91 g;2026-05-06;;twice\r\n".encode()
    )
    found, faults = read_ledger(tmp_path, PLOVER)
    assert faults == () and found.weighings[0].mass == pytest.approx(0.091)


def test_checked_is_in_the_note(tmp_path: Path) -> None:
    found, _ = ledger(tmp_path, "fin,91 g,,,checked twice\nbody,1 kg,,,unchecked\n")
    assert [one.checked for one in found.weighings] == [True, False]


@pytest.mark.parametrize(
    ("lines", "count"),
    [
        ("wing,1118 g,,,\nwing.left,552 g,,,\nwing.right,566 g,,,\n", 0),  # exactly
        ("wing,1121 g,,,\nwing.left,552 g,,,\nwing.right,566 g,,,\n", 0),  # inside three times 1 g
        ("wing,1122 g,,,\nwing.left,552 g,,,\nwing.right,566 g,,,\n", 1),
        ("wing,1.12 kg,,,\nwing.left,552 g,,,\nwing.right,566 g,,,\n", 0),  # a coarser scale
        ("wing.left,552 g,,,\nwing,1118 g,,,\n", 0),  # the other half is what remains
        ("wing.left,552 g,,,\nwing,500 g,,,\n", 1),  # a half heavier than its whole
        ("gear,400 g,,,\ngear.main,300 g,,,\ngear.main.left,149 g,,,\ngear.main.right,151 g,,,\n", 0),
        ("gear,390 g,,,\ngear.nose,97 g,,,\ngear.main,300 g,,,\ngear.main.left,149 g,,,\n", 1),
    ],
)
def test_whole_and_parts_must_agree(tmp_path: Path, lines: str, count: int) -> None:
    _, faults = ledger(tmp_path, lines)
    assert len(faults) == count, faults


@pytest.mark.parametrize(
    ("written", "resolution"),
    [
        ("1.66 kg", 0.01), ("566 g", 0.001), ("0.50 kg", 0.01), ("3.42 oz", 0.01 * OUNCE),
        ("2 lb 9.66 oz", 0.01 * OUNCE), ("6 1/2 oz", 0.5 * OUNCE), ("nothing", 0.0), ("5 mm", 0.0), (".5 g", 0.0001),
    ],
)  # fmt: skip
def test_resolution_is_the_last_digit(written: str, resolution: float) -> None:
    assert resolution_of(written) == pytest.approx(resolution, rel=1e-12)


SOUND = (EXAMPLES / "plover" / "weighings.csv").read_text()
SOUND_CHECKS = (EXAMPLES / "plover" / "checks.csv").read_text()


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_damaged_files_never_raise(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    folder = tmp_path_factory.mktemp("p")
    for name, sound in (("weighings.csv", SOUND), ("checks.csv", SOUND_CHECKS)):
        start = data.draw(st.integers(0, len(sound)))
        length = data.draw(st.integers(0, 30))
        new = data.draw(
            st.text(max_size=12) | st.sampled_from([",", '"', "\n", ";", "\x00", "9" * 400, "\ufeff"])
        )
        text = sound[:start] + new + sound[start + length :]
        (folder / name).write_bytes(text.encode("utf-8", "surrogatepass"))
    found, faults = read_ledger(folder, PLOVER)
    assert all(0 < one.mass < 1e9 for one in found.weighings)
    assert all(one.file in ("weighings.csv", "checks.csv") and one.text() for one in faults)
