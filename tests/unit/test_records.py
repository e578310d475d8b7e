"""Trials as read: quantities in SI, raw tables untouched, every fault at once."""

from __future__ import annotations

import datetime as dt
import shutil
from math import radians
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fixtures.worlds import EXAMPLES, LATER
from fixtures.wrong_kinds import WRONG_KINDS
from planewright.errors import Fault, InputError
from planewright.ledger.reading import CHECK_HEADS, CHECK_NAMES
from planewright.plane import read_plane
from planewright.records import (
    Table,
    Trial,
    changed_raw,
    dimension_of_head,
    numbers,
    raw_digests,
    read_trial,
    read_trials,
)
from planewright.records.fields import AIR, FAILURE, RIG, SPECIMEN
from planewright.records.model import TRIAL_KINDS
from planewright.records.reading import KEYS
from planewright.records.said import spoken_quantity
from planewright.site.reading import KEYS as SITE_KEYS
from planewright.site.reading import MARGINS

PLOVER, _ = read_plane(EXAMPLES / "plover" / "aeroplane.toml")
assert PLOVER is not None
BEND = "2026-04-18-bend"
HEAD = 'kind = "bend"\ndate = 2026-04-18\nof = "wing"\n'


def shipped(folder: Path = EXAMPLES / "plover") -> dict[str, Trial]:
    trials, faults = read_trials(folder, PLOVER if folder.name == "plover" else None)
    assert faults == ()
    return {one.id: one for one in trials}


def copy(folder: Path, trial: str = BEND) -> Path:
    shutil.copytree(EXAMPLES / "plover" / "trials" / trial, folder / "trials" / trial)
    return folder / "trials" / trial


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text()
    assert old in text
    path.write_bytes(text.replace(old, new, 1).encode())


def one_trial(folder: Path, sheet: str, readings: str | None = None) -> tuple[Trial | None, list[Fault]]:
    place = folder / "2026-04-18-bend"
    place.mkdir(exist_ok=True)
    (place / "trial.toml").write_text(sheet, encoding="utf-8")
    if readings is not None:
        (place / "readings.csv").write_text(readings, encoding="utf-8")
    trial, faults = read_trial(place, None)
    return trial, list(faults)


def test_plover_as_shipped() -> None:
    trials = shipped()
    assert [one.kind for one in trials.values()] == [
        "vehicle", "bend", "thrust", "thrust", "thrust", "balance", "pull",
    ]  # fmt: skip
    assert [one.id for one in trials.values() if one.planned] == ["2026-05-29-pull"]
    bend = trials[BEND]
    assert bend.date == dt.date(2026, 4, 18) and bend.of == "wing" and bend.article == "wing-half-1"
    assert bend.specimen["scale"] == 0.5 and bend.specimen["joint"] == "none"
    assert bend.specimen["skin"] == pytest.approx({"thickness": 0.003, "mass": 0.270})
    assert bend.specimen["caps"] == pytest.approx((0.003, 0.006)) and bend.specimen["ribs"] == pytest.approx(
        0.09
    )
    assert bend.rig["saddle"] == pytest.approx(0.09) and bend.rig["elliptical"] is True
    assert bend.failure["between"] == pytest.approx((3.0, 3.2)) and bend.failure["mode"] == "stick crushing"
    said = bend.said_before[0]
    assert (said.low, said.high, said.unit) == (pytest.approx(2.2), pytest.approx(3.9), "kg")
    assert bend.instruments == ("scale-1", "tape-1") and bend.remarks[0].row == 9


def test_vehicle_quantities() -> None:
    vehicle = shipped()["2026-04-11-vehicle"]
    assert vehicle.air == pytest.approx({"temperature": 286.15, "pressure": 101200.0, "wind": 0.6})
    assert vehicle.rig["cells"] == pytest.approx({"front": -0.06, "rear": 0.14})
    assert vehicle.rig["width"] == pytest.approx(1.8) and vehicle.rig["above"] == pytest.approx(1.1)
    assert vehicle.said_before[0].unit == "N"


def test_levers_are_those_of_the_cells() -> None:
    """A known mass hung at the engine reads lever times itself: the trial files and their calibrations agree."""
    for folder in (EXAMPLES / "plover", EXAMPLES / "gannet", LATER):
        for trial in shipped(folder).values():
            if trial.kind == "thrust":
                assert trial.calibration is not None
                hung, cell = (numbers(trial.calibration, name) for name in ("hung_g", "cell_g"))
                aside = [one.row - 1 for one in trial.remarks if one.file == "calibration.csv"]
                hung, cell = np.delete(hung, aside), np.delete(cell, aside)
                slope = np.sum(hung * cell) / np.sum(hung * hung)
                assert slope == pytest.approx(
                    trial.rig["arm"]["engine"] / trial.rig["arm"]["cell"], abs=0.004
                )


def test_remarks_stand_at_their_rows() -> None:
    for folder in (EXAMPLES / "plover", EXAMPLES / "gannet", LATER):
        for trial in shipped(folder).values():
            for remark in trial.remarks:
                table = trial.calibration if remark.file == "calibration.csv" else trial.readings
                assert table is not None
                row = " ".join(cells[remark.row - 1] for cells in table.columns.values())
                figures = [word.strip(";:,") for word in remark.says.split() if word[:1].isdigit()]
                assert (
                    remark.says == "lorry passed" or any(one in row.split() for one in figures) or "92" in row
                )


def test_story_of_the_balance() -> None:
    """The invented scales: 4.067 kg, centre of gravity x 571.1 mm and y 2.4 mm with mains 260 mm out."""
    trial = shipped()["2026-05-20-balance"]
    assert trial.readings is not None
    nose, right, left = (numbers(trial.readings, f"{name}_g").mean() for name in ("nose", "right", "left"))
    total = nose + right + left
    assert total == pytest.approx(4.067, abs=0.001)
    x = (nose * trial.rig["nose"] + (right + left) * trial.rig["mains"]) / total
    assert x == pytest.approx(0.5711, abs=0.0003)
    assert 0.26 * (right - left) / total == pytest.approx(0.0024, abs=0.0003)


def test_numbers_are_si() -> None:
    table = Table(
        "t.csv",
        {
            "speed_kmh": ("36", ""), "angle_deg": ("180", "−90"), "tip_left_mm": ("12,5", "1,250"),
            "cell_g": ("1.5", "x"),
            "throttle_pct": ("25", "100"), "minute": ("1", "2"), "run": ("1", "2"), "front_zero_N": ("0.4", "2"),
        },
        (2, 3),
        "",
    )  # fmt: skip
    assert numbers(table, "speed_kmh")[0] == pytest.approx(10.0) and np.isnan(numbers(table, "speed_kmh")[1])
    assert numbers(table, "angle_deg") == pytest.approx([radians(180), radians(-90)])
    assert numbers(table, "tip_left_mm") == pytest.approx([0.0125, 0.00125])
    assert numbers(table, "cell_g")[0] == pytest.approx(0.0015) and np.isnan(numbers(table, "cell_g")[1])
    assert numbers(table, "throttle_pct") == pytest.approx([0.25, 1.0])
    assert numbers(table, "minute") == pytest.approx([60.0, 120.0])
    assert numbers(table, "run") == pytest.approx([1.0, 2.0])
    assert numbers(table, "front_zero_N") == pytest.approx([0.4, 2.0])
    with pytest.raises(InputError, match='mean "cell_g"'):
        numbers(table, "cel_g")


@pytest.mark.parametrize(
    ("head", "dimension"),
    [
        ("front_N", "force"), ("pitot_Pa", "pressure"), ("volts", "voltage"), ("second", "time"), ("note", None),
        ("tip_left", None), ("speed_mps", "speed"), ("motor_rpm", "speed constant"), ("direction", None),
        ("hung_oz", "mass"), ("gap_in", "length"), ("temperature_C", "temperature"), ("used_mAh", "charge"),
    ],
)  # fmt: skip
def test_heads_carry_their_unit(head: str, dimension: str | None) -> None:
    assert dimension_of_head(head) == dimension


@pytest.mark.parametrize(
    ("words", "low", "high", "unit"),
    [
        ("36 N to 48 N at 60 km/h and 10 deg", 36, 48, "N"),
        ("11 to 14 N", 11, 14, "N"),
        ("4.35 N m with the latch gap under 1 mm", 4.35, 4.35, "N m"),
        ("3000 g and 3200 g each side", 3.0, 3.2, "kg"),
        ("600 mm to 580 mm", 0.58, 0.6, "m"),
        ("-2 deg", radians(-2), radians(-2), "rad"),
        ("1 1/2 lb at the tip", 1.5 * 0.45359237, 1.5 * 0.45359237, "kg"),
    ],
)
def test_quantities_in_sentences(words: str, low: float, high: float, unit: str) -> None:
    found = spoken_quantity(words)
    assert found is not None
    assert (found.low, found.high, found.unit) == (pytest.approx(low), pytest.approx(high), unit)


@pytest.mark.parametrize("words", ["", "it will hold", "12", "12 bananas", "3 N to 4 kg"])
def test_sentences_without_quantity(words: str) -> None:
    found = spoken_quantity(words)
    assert found is None or (words == "3 N to 4 kg" and found.unit == "N")


def test_same_is_the_aeroplanes_own() -> None:
    bend = shipped(EXAMPLES / "gannet")["2026-05-01-bend"]
    assert dict(bend.specimen) == {"scale": 0.5, "joint": "none"}


def test_set_aside_with_a_reason(tmp_path: Path) -> None:
    place = copy(tmp_path)
    edit(
        place / "trial.toml",
        'of = "wing"',
        'of = "wing"\nin_force = { no = "saddle slipped", by = "teacher" }',
    )
    trials, faults = read_trials(tmp_path, PLOVER)
    assert faults == () and trials[0].in_force == "saddle slipped (teacher)"
    edit(place / "trial.toml", ', by = "teacher"', "")
    assert "by" in read_trials(tmp_path, PLOVER)[1][0].path
    edit(place / "trial.toml", 'in_force = { no = "saddle slipped" }', "in_force = false")
    trials, faults = read_trials(tmp_path, PLOVER)
    assert "why" in faults[0].expected and trials[0].in_force


BROKEN = """kind = "bendd"
date = "18.04.2026"
off = "wing"
configuration = true
air = { temperature = "13", pressure = "1012 Pa", wind = "breeze" }
[specimen]
scale = 40
skin = "thin"
caps = "3 mm"
ribs = "-90 mm apart"
[rig]
cells = { front = "60 mm" }
arm = { engine = "500 mm" }
sped = "pitot"
[failure]
mode = "crush"
[sigma]
note = "3 g"
cell_g = "-3 g"
[readings]
file = "../../weighings.csv"
[[remark]]
row = "nine"
use = "delete"
"""


def test_all_faults_of_a_sheet_at_once(tmp_path: Path) -> None:
    trial, faults = one_trial(tmp_path, BROKEN)
    assert trial is None
    lines = [one.line for one in faults]
    assert lines == sorted(lines)
    assert set(lines) >= {1, 2, 3, 4, 5, 7, 8, 9, 10, 12, 13, 14, 15, 18, 19, 21, 22, 23, 24}
    text = "\n".join(one.text() for one in faults)
    for near in ("bend", "of", "speed"):
        assert f'Did you mean "{near}"?' in text
    assert all(one.file == "trials/2026-04-18-bend/trial.toml" for one in faults)


def test_raw_faults_at_once(tmp_path: Path) -> None:
    rows = "step,load_g,minute,tip_mm,throttle_pct\n1,0,3,9,0\n2,400,2,8,120\n3,eight,5,7\n"
    rows += "4,900,6,7,50,1\n5,1,250,7,9\n"
    trial, faults = one_trial(tmp_path, HEAD + '[readings]\nfile = "readings.csv"\n', rows)
    assert trial is not None and trial.readings is not None and len(trial.readings) == 5
    said = [(one.line, one.path) for one in faults]
    assert said == [
        (3, "minute"), (3, "throttle_pct"), (4, ""), (4, "row 3, load_g"), (5, ""),
    ]  # fmt: skip
    assert {one.file for one in faults} == {"trials/2026-04-18-bend/readings.csv"}


def test_a_missing_and_an_empty_file(tmp_path: Path) -> None:
    sheet = HEAD + '[readings]\nfile = "readings.csv"\n'
    for readings in (None, "", "step,load_g\n"):
        trial, faults = one_trial(tmp_path, sheet, readings)
        assert trial is None and len(faults) == 1 and faults[0].file.endswith("readings.csv")


def test_a_remark_for_a_row_that_is_not_there(tmp_path: Path) -> None:
    place = copy(tmp_path)
    edit(place / "trial.toml", "row = 9", "row = 16")
    _, faults = read_trials(tmp_path, PLOVER)
    assert len(faults) == 1 and "15 rows" in faults[0].expected and faults[0].path == "remark 1, row"


def test_a_reading_beyond_the_instrument(tmp_path: Path) -> None:
    sheet = HEAD + '[readings]\nfile = "readings.csv"\nlimit = { load_g = "1 kg", tip_m = "3 m" }\n'
    _, faults = one_trial(tmp_path, sheet, "step,load_g\n1,900\n2,1001\n")
    assert [(one.file.rpartition("/")[2], one.line) for one in faults] == [
        ("trial.toml", 6),
        ("readings.csv", 3),
    ]


def test_unknown_part_names_its_neighbour(tmp_path: Path) -> None:
    place = copy(tmp_path)
    edit(place / "trial.toml", 'of = "wing"', 'of = "wingg"')
    trials, faults = read_trials(tmp_path, PLOVER)
    assert trials == () and 'Did you mean "wing"?' in faults[0].advice


def test_a_folder_without_a_sheet(tmp_path: Path) -> None:
    (tmp_path / "trials" / "2026-01-01-x").mkdir(parents=True)
    _, faults = read_trials(tmp_path, PLOVER)
    assert len(faults) == 1 and faults[0].file == "trials/2026-01-01-x/trial.toml"


def test_letter_is_asked_where_it_matters(tmp_path: Path) -> None:
    place = copy(tmp_path, "2026-05-20-balance")
    edit(place / "trial.toml", 'configuration = "B"\n', "")
    trials, faults = read_trials(tmp_path, PLOVER)
    assert len(trials) == 1 and [one.severity for one in faults] == ["question"]


def test_another_day_than_the_folder_says(tmp_path: Path) -> None:
    place = copy(tmp_path)
    edit(place / "trial.toml", "date = 2026-04-18", "date = 2026-04-19")
    assert [one.severity for one in read_trials(tmp_path, PLOVER)[1]] == ["question"]


def test_digest_covers_sheet_and_raw_files(tmp_path: Path) -> None:
    place = copy(tmp_path)
    first = read_trials(tmp_path, PLOVER)[0][0]
    edit(place / "trial.toml", "look swapped", "may be swapped")
    second = read_trials(tmp_path, PLOVER)[0][0]
    edit(place / "readings.csv", "988,938", "988,983")
    third = read_trials(tmp_path, PLOVER)[0][0]
    assert len({first.digest, second.digest, third.digest}) == 3
    assert changed_raw([second], raw_digests([first])) == ()
    asked = changed_raw([third], raw_digests([first]))
    assert [(one.file, one.severity) for one in asked] == [(f"trials/{BEND}/readings.csv", "question")]


SHEET = (EXAMPLES / "plover" / "trials" / "2026-05-02-thrust-left" / "trial.toml").read_text()
VEHICLE = (EXAMPLES / "plover" / "trials" / "2026-04-11-vehicle" / "trial.toml").read_text()
RAW = (EXAMPLES / "plover" / "trials" / "2026-05-02-thrust-left" / "readings.csv").read_text()
PIECES = st.text(max_size=12) | st.sampled_from(
    [
        ",",
        '"',
        "\n",
        ";",
        "\t",
        "\x00",
        "9" * 400,
        "\ufeff",
        "1e999",
        "nan",
        "-",
        "[",
        "]",
        "{",
        "true",
        "''",
        "0",
        "=",
        ".",
    ]
)


def damaged(data: st.DataObject, sound: str, most: int = 40) -> bytes:
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(sound)))
        sound = sound[:start] + data.draw(PIECES) + sound[start + data.draw(st.integers(0, most)) :]
    return sound.encode("utf-8", "surrogatepass")


@settings(max_examples=250, deadline=None)
@given(st.data())
def test_damaged_tables_never_raise(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    place = tmp_path_factory.mktemp("t")
    (place / "trial.toml").write_text(SHEET)
    (place / "readings.csv").write_bytes(damaged(data, RAW))
    (place / "calibration.csv").write_bytes(
        damaged(data, "hung_g,cell_g,direction\n0,4,up\n500,508,up\n0,1,down\n", 8)
    )
    trial, faults = read_trial(place, None)
    assert all(one.text() for one in faults)
    if trial is not None and trial.readings is not None:
        for head in trial.readings.columns:
            assert numbers(trial.readings, head).shape == (len(trial.readings),)


@settings(max_examples=250, deadline=None)
@given(st.data())
def test_damaged_sheets_never_raise(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    place = tmp_path_factory.mktemp("t")
    (place / "trial.toml").write_bytes(damaged(data, data.draw(st.sampled_from([SHEET, VEHICLE]))))
    (place / "readings.csv").write_text(RAW)
    (place / "calibration.csv").write_text("hung_g,cell_g,direction\n0,4,up\n500,508,up\n0,1,down\n")
    trial, faults = read_trial(place, ("wing", "engine.left"))
    assert trial is not None or faults
    assert all(one.text() for one in faults)


LEAVES = st.sampled_from([*WRONG_KINDS, "[true]"])


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_wrong_kinds_never_raise(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    lines = VEHICLE.splitlines()
    place = data.draw(st.integers(0, len(lines) - 1))
    lines[place] = f"{lines[place].partition('=')[0]}= {data.draw(LEAVES)}"
    folder = tmp_path_factory.mktemp("t")
    (folder / "trial.toml").write_text("\n".join(lines))
    (folder / "readings.csv").write_text("angle_deg,front_N\n1,2\n")
    trial, faults = read_trial(folder, ("wing",))
    assert trial is not None or faults


def test_reference_page_names_every_key() -> None:
    """docs/reference/records.md keeps step with what the readers know."""
    page = (Path(__file__).parents[2] / "docs" / "reference" / "records.md").read_text()
    words = {
        *KEYS,
        *RIG,
        *SPECIMEN,
        *FAILURE,
        *AIR,
        *TRIAL_KINDS,
        *SITE_KEYS,
        *MARGINS,
        *CHECK_NAMES,
        *CHECK_HEADS,
    }
    assert [word for word in sorted(words) if word not in page] == []
    for word in sorted({*KEYS, *SITE_KEYS, *RIG}):
        assert f"`{word}`" in page, word
