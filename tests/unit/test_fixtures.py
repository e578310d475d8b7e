"""The generator of the invented records: the same bytes everywhere, and the packaged examples are its output.

The hashes are those printed when the invented worlds were made; they pin the generator, not any computation.
"""

from __future__ import annotations

import csv
import hashlib
import io
import tomllib
from pathlib import Path

import pytest

from fixtures import generator, truths
from fixtures.worlds import (
    EXAMPLES,
    LATER,
    WORLDS,
    drop_remarks,
    raw_files,
    rename,
    scale_wing_chord,
    write_world,
)

HASHES = {
    "2026-04-11-vehicle": ("d554af021621d2cc", 50),
    "2026-04-18-bend": ("a54d60d0bfa0e443", 15),
    "2026-05-02-thrust-left": ("a30be6c9a07a4d6d", 115),
    "2026-05-02-thrust-right": ("0e1c157ee2559a58", 115),
    "2026-05-02-thrust-right-low": ("2491d27e51657f06", 115),
    "2026-04-25-vehicle": ("99f4477023717922", 56),
    "2026-05-01-bend": ("7a3281c19f85b805", 13),
    "2026-05-03-thrust-left": ("915841336f03fb6e", 115),
    "2026-05-03-thrust-right": ("493640073679f4b6", 115),
    "2026-05-10-hinge": ("0b993e3ac0d47797", 4),
    "2026-05-17-thrust-right": ("1ad5ba798c2d9325", 115),
    "2026-05-17-thrust-left": ("7fff60397db1bf6d", 115),
    "2026-05-17-thrust-left-low": ("c70a96a5f35c013f", 115),
    "2026-05-23-hinge": ("6dc2a7fd3580c708", 10),
}
PLACES = {"plover": EXAMPLES / "plover", "gannet": EXAMPLES / "gannet", "gannet_later": LATER}
ALL = [(world, trial) for world, trials in WORLDS.items() for trial in trials]


def rows_of(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text)))[1:]


@pytest.mark.parametrize(("world", "trial"), ALL)
def test_generator_gives_the_printed_hashes(world: str, trial: str) -> None:
    text = raw_files(*WORLDS[world][trial])["readings.csv"]
    wanted, count = HASHES[trial]
    assert hashlib.sha256(text.encode()).hexdigest()[:16] == wanted
    assert len(rows_of(text)) == count


@pytest.mark.parametrize(("world", "trial"), ALL)
def test_packaged_files_are_the_generators_bytes(world: str, trial: str) -> None:
    for name, text in raw_files(*WORLDS[world][trial]).items():
        assert (PLACES[world] / "trials" / trial / name).read_bytes() == text.encode()


def test_every_hash_belongs_to_a_trial() -> None:
    assert set(HASHES) == {trial for _, trial in ALL}


def test_nothing_under_src_reads_the_truth() -> None:
    source = Path(__file__).parents[2] / "src" / "planewright"
    for path in source.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        assert "fixtures" not in text, path
        assert "5025" not in text and "4011" not in text, path


def test_another_seed_is_another_day() -> None:
    a = raw_files("bend", truths.PLOVER_BEND)["readings.csv"]
    b = raw_files("bend", {**truths.PLOVER_BEND, "seed": 1})["readings.csv"]
    assert a != b and rows_of(a)[0][:2] == rows_of(b)[0][:2]


def test_lift_follows_the_truth() -> None:
    low = generator.vehicle({**truths.PLOVER_VEHICLE, "top": 0.95}, 4011)[1]
    high = generator.vehicle(truths.PLOVER_VEHICLE, 4011)[1]
    assert low[40][5] < high[40][5]  # at 14 degrees the top decides
    assert low[28][5] == pytest.approx(high[28][5], abs=0.05)  # at -4 degrees it does not


def test_world_of_another_truth(tmp_path: Path) -> None:
    change = {"2026-04-18-bend": {"fails": 2500, "typed": 99}, "2026-05-02-thrust-left": {"newton": 9.0}}
    folder = write_world(tmp_path / "p", "plover", change)
    sheet = tomllib.loads((folder / "trials/2026-04-18-bend/trial.toml").read_text())
    assert sheet["failure"]["between"] == "2400 g and 2600 g each side"
    thrust = rows_of((folder / "trials/2026-05-02-thrust-left/readings.csv").read_text())
    full = [float(row[2]) for row in thrust if row[1] == "100" and row[2]]
    assert 900 < sum(full) / len(full) < 1000
    untouched = folder / "trials/2026-04-11-vehicle/readings.csv"
    assert untouched.read_bytes() == (EXAMPLES / "plover/trials/2026-04-11-vehicle/readings.csv").read_bytes()


def test_world_whose_wing_held(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p", "plover", {"2026-04-18-bend": {"fails": 9000}})
    sheet = tomllib.loads((folder / "trials/2026-04-18-bend/trial.toml").read_text())
    assert "failure" not in sheet
    assert sheet["ids"]["article"] == "wing-half-1"


def test_later_gannet_is_letter_c(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "g", "gannet", later=True)
    plane = tomllib.loads((folder / "aeroplane.toml").read_text())
    assert plane["configuration"] == "C"
    assert len(list((folder / "trials").iterdir())) == 4 + 6
    failure = tomllib.loads((folder / "trials/2026-05-10-hinge/trial.toml").read_text())["failure"]
    assert failure["between"] == "600 g and 900 g"
    assert "failure" not in tomllib.loads((folder / "trials/2026-05-23-hinge/trial.toml").read_text())


def test_remarks_can_be_dropped(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    before = tomllib.loads((folder / "trials/2026-04-11-vehicle/trial.toml").read_text())
    drop_remarks(folder)
    for sheet in (folder / "trials").glob("*/trial.toml"):
        assert "remark" not in tomllib.loads(sheet.read_text())
    after = tomllib.loads((folder / "trials/2026-04-11-vehicle/trial.toml").read_text())
    assert after == {key: value for key, value in before.items() if key != "remark"}


def test_the_same_world_of_another_drawing(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    rename(folder, "Dunlin")
    scale_wing_chord(folder, 1.03)
    plane = tomllib.loads((folder / "aeroplane.toml").read_text())
    assert plane["name"] == "Dunlin"
    assert [one["chord"] for one in plane["wing"]["stations"]] == ["370.8 mm", "370.8 mm", "257.5 mm"]
    assert plane["tailplane"]["stations"][0]["chord"] == "250 mm"
