"""Trials from the page: planned, dropped as a messy table, remarked, set aside, taken in."""

from __future__ import annotations

import time
import tomllib
from typing import Any

import pytest

from planewright.cli.main import run
from planewright.project import new_project
from planewright.project.starting import example_files
from web.conftest import Opened, Opener

MESSY = (
    "\ufeffstep;load_each_side_g;tip_left_mm;tip_right_mm;minute;note\r\n"
    "1;0;1013;1009;3;\r\n"
    "\r\n"
    "2;400;1007,5;1004;6;\r\n"
    "3;800;slipped;999;9;hand on the table\r\n"
    "4;1200;999;995;12;\r\n"
).encode()


def plan(opened: Opened, **more: Any) -> str:
    """Plan a bend of the wing; its id."""
    body = {"kind": "bend", "of": "wing", "date": "2026-04-18", "fields": {"specimen.scale": "0.5"}, **more}
    got = opened.client.post("/api/trial", json=body)
    assert got.status_code == 200, got.text
    made: str = got.json()["made"]
    return made


def drop(opened: Opened, trial: str, data: bytes, query: str = "") -> Any:
    """PUT the readings."""
    return opened.client.put(f"/api/trial/{trial}/readings{query}", content=data)


def test_a_trial_is_planned(starter: Opened) -> None:
    fields = {
        "said_before.fails_at": "2 kg to 3 kg each side",
        "rig.held": 'a "saddle"',
        "done_by.loads": "two adults",
    }
    made = plan(starter, fields={"specimen.scale": "0.5", **fields})
    assert made == "2026-04-18-bend-wing"
    written = tomllib.loads(starter.text(f"trials/{made}/trial.toml"))
    assert written["rig"]["held"] == 'a "saddle"' and written["specimen"]["scale"] == 0.5
    (row,) = starter.state()["trials"]
    assert (
        row["planned"] and row["said_before"] == [["fails_at", "2 kg to 3 kg each side"]] and row["cautions"]
    )
    assert plan(starter) == "2026-04-18-bend-wing-2"


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "poll"},
        {"of": "no such part"},
        {"date": "18 April"},
        {"date": "../../x"},
        {"fields": {"in_force": "x"}},
        {"fields": {"rig.held\n[x]": "1"}},
    ],
)
def test_a_wrong_plan_makes_no_folder(starter: Opened, wrong: dict[str, Any]) -> None:
    body = {"kind": "bend", "of": "wing", "date": "2026-04-18", "fields": {}, **wrong}
    assert starter.client.post("/api/trial", json=body).status_code == 400
    assert not list((starter.folder / "trials").glob("*/*"))


def test_a_messy_table_is_looked_at_refused_and_mended(starter: Opened) -> None:
    made = plan(starter)
    seen = starter.client.post(f"/api/trial/{made}/readings/look", content=MESSY).json()
    assert seen["heads"][1] == "load_each_side_g" and len(seen["rows"]) == 4
    assert [one["line"] for one in seen["faults"]] == [5]
    assert drop(starter, made, MESSY).status_code == 400
    assert not (starter.folder / "trials" / made / "readings.csv").exists()
    got = drop(starter, made, MESSY, "?mend=1")
    assert got.status_code == 200, got.text
    place = starter.folder / "trials" / made
    assert (place / "readings-as-dropped.csv").read_bytes() == MESSY
    assert "2,400,1007.5,1004,6," in (place / "readings.csv").read_text(encoding="utf-8")
    assert "3,800,,999,9,hand on the table" in (place / "readings.csv").read_text(encoding="utf-8")
    assert "row 3, tip_left_mm: read 'slipped'" in (place / "trial.toml").read_text(encoding="utf-8")
    (row,) = got.json()["state"]["trials"]
    assert not row["planned"] and len(row["tables"][0]["rows"]) == 4


def test_a_clean_table_is_kept_byte_for_byte_and_never_replaced(starter: Opened) -> None:
    made = plan(starter)
    data = MESSY.replace(b"slipped", b"1003")
    assert drop(starter, made, data).status_code == 200
    assert (starter.folder / "trials" / made / "readings.csv").read_bytes() == data
    assert drop(starter, made, data).status_code == 400
    assert starter.client.post("/api/undo").status_code == 200
    assert not (starter.folder / "trials" / made / "readings.csv").exists()


@pytest.mark.parametrize("data", [b"", b"\x00\x01\x02", b"\xff\xfe\x00x", b"just words", b"a\n"])
def test_what_is_no_table_is_refused(starter: Opened, data: bytes) -> None:
    made = plan(starter)
    assert drop(starter, made, data).status_code == 400
    assert drop(starter, made, data, "?mend=1").status_code == 400
    assert starter.state()["trials"][0]["planned"]


@pytest.mark.parametrize(
    "name", ["../x.csv", "x.toml", "a/b.csv", ".hidden.csv", "as-dropped.csv", "x" * 90 + ".csv"]
)
def test_raw_tables_have_plain_names(starter: Opened, name: str) -> None:
    made = plan(starter)
    assert (
        starter.client.put(
            f"/api/trial/{made}/readings", params={"name": name}, content=b"a\n1\n"
        ).status_code
        == 400
    )


def test_there_is_no_such_trial(starter: Opened) -> None:
    for made in ("none", "..", "%2e%2e"):
        assert drop(starter, made, b"a\n1\n").status_code in (400, 404, 405)


def test_set_aside_with_a_reason_and_back(open_kind: Opener) -> None:
    plover = open_kind("plover")
    trial = "2026-04-18-bend"
    name = f"trials/{trial}/trial.toml"
    before = plover.text(name)
    body = {"reason": 'the "saddle" slipped', "by": "teacher"}
    got = plover.client.post(f"/api/trial/{trial}/set-aside", json=body)
    assert got.status_code == 200, got.text
    row = next(one for one in got.json()["state"]["trials"] if one["id"] == trial)
    assert row["set_aside"] == 'the "saddle" slipped (teacher)'
    assert "# its lengths over those of the aeroplane" in plover.text(name)
    assert plover.client.post(f"/api/trial/{trial}/set-aside", json={"reason": ""}).status_code == 200
    assert tomllib.loads(plover.text(name)) == tomllib.loads(before)


def test_a_remark_is_added_and_a_wrong_row_refused(open_kind: Opener) -> None:
    plover = open_kind("plover")
    trial = "2026-04-18-bend"
    got = plover.client.post(f"/api/trial/{trial}/remark", json={"row": 3, "says": "door\nslammed"})
    assert got.status_code == 200, got.text
    row = next(one for one in got.json()["state"]["trials"] if one["id"] == trial)
    assert [3, "door slammed"] in row["tables"][0]["set_aside"]
    assert plover.client.post(f"/api/trial/{trial}/remark", json={"row": 99, "says": "x"}).status_code == 400


def wait_for_job(opened: Opened, job: dict[str, Any], seconds: float = 120.0) -> dict[str, Any]:
    """The job when it ended."""
    end = time.monotonic() + seconds
    while job["state"] in ("waiting", "running") and time.monotonic() < end:
        time.sleep(0.05)
        job = opened.client.get(f"/api/jobs/{job['id']}").json()
    return job


def test_trials_are_taken_in(open_kind: Opener) -> None:
    plover = open_kind("plover")
    assert plover.state()["knowledge"] == []
    job = wait_for_job(plover, plover.client.post("/api/calibrate").json())
    assert job["state"] == "done", job
    state = plover.state()
    assert job["moved"] and state["knowledge"]
    assert all(one["state"] in ("taken in", "planned") for one in state["document"]["trials"])
    assert plover.client.post("/api/undo").status_code == 200
    assert not (plover.folder / "knowledge.toml").exists()


@pytest.mark.slow
def test_trials_are_taken_in_as_the_command_does(open_kind: Opener) -> None:
    plover = open_kind("plover")
    assert wait_for_job(plover, plover.client.post("/api/calibrate").json())["state"] == "done"
    other = plover.folder.parent / "other"
    new_project(other, "plover")
    assert run(["calibrate", str(other), "--json"]) == 0
    assert (other / "knowledge.toml").read_bytes() == (plover.folder / "knowledge.toml").read_bytes()


def test_run_trials_carry_charts_and_claims(open_kind: Opener) -> None:
    plover = open_kind("plover")
    end = time.monotonic() + 120.0
    while not plover.desk.view.trials and time.monotonic() < end:
        time.sleep(0.05)
    rows = {one["id"]: one for one in plover.state()["trials"]}
    drive = rows["2026-04-11-vehicle"]
    drawn = {one["id"].split(":")[1]: one for one in drive["charts"]}
    lift, left = drawn["lift"], drawn["lift-left"]
    looks = {one["look"]: one for one in lift["series"]}
    assert {"line", "out", "back", "aside"} <= set(looks)
    assert looks["aside"]["notes"] == [
        "row 33: lorry passed", "row 36: front 2.97 where the run out at this angle reads 25.04"
    ]  # fmt: skip
    rows_used = sum(len(one["x"]) for one in left["series"] if one["look"] not in ("line", "dashed", "aside"))
    assert drive["claims"][0] == ["rows used", f"{rows_used} of {len(drive['tables'][0]['rows'])}", ""]
    sink = rows["2026-04-18-bend"]["charts"][0]
    stick = sink["stick"]
    assert stick["all"][0] < stick["middle"] < stick["all"][1]
    assert [one["x"] for one in sink["marks"]] == [3.0, 3.2]


def test_the_examples_raw_files_are_what_the_page_shows(open_kind: Opener) -> None:
    plover = open_kind("plover")
    files = {path.as_posix(): data for path, data in example_files("plover")}
    for trial in plover.state()["trials"]:
        for table in trial["tables"]:
            lines = files[table["file"]].decode().splitlines()
            assert lines[0].split(",") == table["heads"]
            assert len(table["rows"]) == len(lines) - 1
