"""Saving: comments kept, undo to the opening, other programs' changes merged or both kept."""

from __future__ import annotations

import json
import threading
import tomllib

import pytest

from planewright.web import actions
from planewright.web.desk import Desk
from web.conftest import BARE, Opened, Opener

COMMENTED = '# ours\nname = "Bare"   # the name\nconfiguration = "A" # letter\nmass_limit = "5 kg"\n'


def rewrite_outside(opened: Opened, old: str, new: str, name: str = "aeroplane.toml") -> None:
    """What a text editor does."""
    path = opened.folder / name
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")


def test_comments_and_form_survive_an_edit(bare: Opened) -> None:
    (bare.folder / "aeroplane.toml").write_text(COMMENTED, encoding="utf-8")
    bare.desk.take_in()
    got = bare.set("mass_limit", "4.5 kg")
    assert got.status_code == 200, got.text
    assert bare.text() == COMMENTED.replace("5 kg", "4.5 kg")


def test_undo_and_redo_to_the_opening(bare: Opened) -> None:
    names = ["One", "Two", "Three"]
    texts = [bare.text()]
    for name in names:
        assert bare.set("name", name).status_code == 200
        texts.append(bare.text())
    for want in reversed(texts[:-1]):
        assert bare.client.post("/api/undo").status_code == 200
        assert bare.text() == want
    assert bare.client.post("/api/undo").status_code == 400
    assert bare.text() == BARE
    for want in texts[1:]:
        assert bare.client.post("/api/redo").status_code == 200
        assert bare.text() == want
    assert bare.client.post("/api/redo").status_code == 400


def test_undo_survives_a_restart(bare: Opened) -> None:
    bare.set("name", "One")
    again = Desk(bare.folder)
    try:
        again.step(-1)
        assert bare.text() == BARE
    finally:
        again.close()


def test_an_edit_after_undo_ends_the_way_forward(bare: Opened) -> None:
    bare.set("name", "One")
    bare.client.post("/api/undo")
    bare.set("name", "Other")
    assert bare.state()["redo"] == ""
    bare.client.post("/api/undo")
    assert bare.text() == BARE


def test_history_and_differences(bare: Opened) -> None:
    bare.set("name", "One")
    entries = bare.client.get("/api/history").json()["entries"]
    assert [one["number"] for one in entries] == [1, 0]
    assert entries[0]["now"] and entries[1]["by"] == "opening"
    files = bare.client.get("/api/history/1").json()["files"]
    assert files[0]["file"] == "aeroplane.toml"
    assert any(line.startswith('+name = "One"') for line in files[0]["lines"])
    assert bare.client.get("/api/history/99").status_code == 404
    assert bare.client.post("/api/history/0/back").status_code == 200
    assert bare.text() == BARE


def test_a_text_editor_is_noticed_and_can_be_undone(bare: Opened) -> None:
    rewrite_outside(bare, "Bare", "Edited")
    assert bare.desk.take_in() is not None
    assert bare.desk.take_in() is None
    assert bare.state()["document"]["project"] == "Edited"
    assert bare.client.post("/api/undo").status_code == 200
    assert bare.text() == BARE


def test_changes_of_different_places_are_merged(bare: Opened) -> None:
    (bare.folder / "aeroplane.toml").write_text(COMMENTED, encoding="utf-8")
    bare.desk.take_in()
    seen = bare.desk.revision
    rewrite_outside(bare, '"A" # letter', '"B" # letter')
    got = bare.set("mass_limit", "4 kg", revision=seen)
    assert got.status_code == 200
    assert got.json()["merged"] == ["aeroplane.toml"]
    assert bare.text() == COMMENTED.replace("5 kg", "4 kg").replace('"A"', '"B"')


def test_changes_of_one_place_are_both_kept_and_said(bare: Opened) -> None:
    seen = bare.desk.revision
    rewrite_outside(bare, "Bare", "Theirs")
    got = bare.set("name", "Yours", revision=seen)
    assert got.status_code == 409
    conflict = got.json()["conflict"]
    assert "Theirs" in conflict["theirs"] and "Yours" in conflict["yours"]
    assert conflict["paths"] == ["name"]
    assert "Theirs" in bare.text()
    assert "Yours" in (bare.folder / conflict["kept"]).read_text(encoding="utf-8")


def test_two_pages_at_once(bare: Opened) -> None:
    """Two tabs edit from the same revision: different places go together, the same place is a conflict."""
    (bare.folder / "aeroplane.toml").write_text(COMMENTED, encoding="utf-8")
    bare.desk.take_in()
    seen = bare.desk.revision
    assert bare.set("name", "First tab", revision=seen).status_code == 200
    assert bare.set("mass_limit", "3 kg", revision=seen).status_code == 200
    assert bare.set("name", "Second tab", revision=seen).status_code == 409
    whole = tomllib.loads(bare.text())
    assert (whole["name"], whole["mass_limit"]) == ("First tab", "3 kg")


def test_many_threads_lose_nothing(bare: Opened) -> None:
    """Eight threads put lines into one table at once: every acknowledged line stands there."""

    def write(number: int) -> None:
        cells = {"check": "range", "passed": "yes", "when": "2026-05-01", "note": f"n{number}"}
        actions.append(bare.desk, "checks.csv", actions.CHECK_HEADS, cells, f"line {number}")

    threads = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert all(f"n{number}" in bare.text("checks.csv") for number in range(8))


def file_text(opened: Opened, name: str = "aeroplane.toml") -> dict[str, str]:
    """GET /api/file."""
    found: dict[str, str] = opened.client.get("/api/file", params={"name": name}).json()
    return found


def test_a_whole_file_is_saved_and_merged(bare: Opened) -> None:
    (bare.folder / "aeroplane.toml").write_text(COMMENTED, encoding="utf-8")
    bare.desk.take_in()
    read = file_text(bare)
    rewrite_outside(bare, "# ours", "# ours and theirs")
    body = {"name": "aeroplane.toml", "text": read["text"].replace("5 kg", "4 kg"), "hash": read["hash"]}
    got = bare.client.post("/api/file", json=body)
    assert got.status_code == 200 and got.json()["merged"] == ["aeroplane.toml"]
    assert bare.text() == COMMENTED.replace("5 kg", "4 kg").replace("# ours", "# ours and theirs")


def test_bad_toml_is_refused_and_named(bare: Opened) -> None:
    read = file_text(bare)
    got = bare.client.post(
        "/api/file", json={"name": "aeroplane.toml", "text": 'name = "a\n', "hash": read["hash"]}
    )
    assert got.status_code == 400
    fault = got.json()["faults"][0]
    assert fault["file"] == "aeroplane.toml" and fault["line"] == 1
    assert bare.text() == BARE


def test_bad_toml_from_outside_is_shown_and_can_be_mended(bare: Opened) -> None:
    (bare.folder / "aeroplane.toml").write_text('name = "a\n', encoding="utf-8")
    bare.desk.take_in()
    state = bare.state()
    assert state["document"] is None and state["faults"][0]["line"] == 1
    assert bare.set("name", "b").status_code == 400
    body = {"name": "aeroplane.toml", "text": BARE, "hash": file_text(bare)["hash"]}
    assert bare.client.post("/api/file", json=body).status_code == 200
    assert bare.state()["document"]["project"] == "Bare"


@pytest.mark.parametrize(
    ("path", "text"),
    [("mass_limit", "4,12"), ("mass_limit", "heavy"), ("nowhere.deep", "1 m"), ("limits.load", "-3")],
)
def test_a_value_that_cannot_be_read_changes_nothing(bare: Opened, path: str, text: str) -> None:
    got = bare.set(path, text)
    assert got.status_code == 400 and got.json()["faults"]
    assert bare.text() == BARE
    assert bare.desk.revision == 0


def test_wrong_bodies_are_refused(bare: Opened) -> None:
    for content in (
        b"",
        b"{",
        b"[]",
        b'{"revision": 0, "changes": [], "extra": 1}',
        b'{"revision": "x"}',
        b"\xff",
    ):
        got = bare.client.post("/api/edit", content=content)
        assert got.status_code == 400, content
        assert got.json()["says"]


def test_insert_and_remove(open_kind: Opener) -> None:
    plover = open_kind("plover")
    seen = plover.desk.revision
    add = {"file": "site.toml", "path": "stand.helper", "text": "[70, -30]", "do": "insert"}
    got = plover.client.post("/api/edit", json={"revision": seen, "changes": [add]})
    assert got.status_code == 200, got.text
    assert any(one["name"] == "helper" for one in got.json()["state"]["site"]["stands"])
    assert "# open sea, so that it is no real field" in plover.text("site.toml")
    take = {"file": "site.toml", "path": "stand.helper", "do": "remove"}
    point = {"file": "site.toml", "path": "outline.4", "text": "[-80, 30]", "do": "insert"}
    got = plover.client.post("/api/edit", json={"revision": plover.desk.revision, "changes": [take, point]})
    assert got.status_code == 200, got.text
    assert len(got.json()["state"]["site"]["outline"]) == 5
    assert tomllib.loads(plover.text("site.toml"))["outline"][4] == [-80, 30]


def test_weighings_and_checks(starter: Opened) -> None:
    body = {"part": "fin", "mass": "62 g", "when": "2026-05-28", "who": "bench, one", "note": 'said "ok"'}
    got = starter.client.post("/api/weigh", json=body)
    assert got.status_code == 200, got.text
    assert starter.text("weighings.csv").splitlines()[0] == "part,mass,when,who,note"
    row = got.json()["state"]["weighings"][-1]
    assert (row["part"], row["mass"], row["who"], row["note"]) == ("fin", 0.062, "bench, one", 'said "ok"')
    assert any(one["id"] == "mass" for one in got.json()["moved"])
    wrong = starter.client.post("/api/weigh", json={"part": "rudderless", "mass": "62 g"})
    assert wrong.status_code == 400
    check = {"name": "range", "passed": True, "when": "2026-05-28", "configuration": "A", "who": "two adults"}
    got = starter.client.post("/api/check", json=check)
    assert got.status_code == 200, got.text
    assert got.json()["state"]["checks"][0]["name"] == "range"


def test_a_table_keeps_its_separator_and_line_ends(starter: Opened) -> None:
    (starter.folder / "weighings.csv").write_bytes(b"mass;part;note\r\n60 g;fin;x\r\n")
    starter.desk.take_in()
    assert (
        starter.client.post("/api/weigh", json={"part": "fin", "mass": "61 g", "who": "y"}).status_code == 200
    )
    assert (starter.folder / "weighings.csv").read_bytes() == b"mass;part;note\r\n60 g;fin;x\r\n61 g;fin;\r\n"


def test_preview_writes_nothing_and_agrees_with_the_save(starter: Opened) -> None:
    starter.desk.settled(120.0)
    before = starter.text()
    changes = [{"file": "aeroplane.toml", "path": "battery.x", "text": "100 mm"}]
    body = {"revision": starter.desk.revision, "changes": changes}
    said = starter.client.post("/api/preview", json=body).json()
    assert starter.text() == before and starter.desk.revision == 0
    saved = starter.client.post("/api/edit", json=body).json()
    assert said["moved"] == saved["moved"] and said["moved"]
    assert any(one["id"] == "cg_x" and one["after"] > one["before"] for one in said["moved"])


@pytest.mark.parametrize("kind", ["starter", "plover", "empty"])
def test_start_from_nothing(open_kind: Opener, kind: str) -> None:
    opened = open_kind("nothing")
    state = opened.state()
    assert (
        state["empty"]
        and state["document"] is None
        and set(state["examples"]) >= {"plover", "gannet", "starter"}
    )
    got = opened.client.post("/api/start", json={"kind": kind, "name": 'Ours "one"'})
    assert got.status_code == 200, got.text
    assert not got.json()["state"]["empty"]
    assert got.json()["state"]["document"]["project"] == {"empty": 'Ours "one"', "starter": "First"}.get(
        kind, "Plover"
    )
    assert opened.client.post("/api/start", json={"kind": kind}).status_code == 400
    assert opened.client.post("/api/undo").status_code == 200
    assert opened.state()["empty"] or kind == "plover"


def test_units_are_each_readers_own(starter: Opened) -> None:
    metric, imperial = starter.state(), starter.state(units="imperial")
    assert metric["words"]["mass"]["unit"] in ("g", "kg") and imperial["words"]["mass"]["unit"] in (
        "oz",
        "lb",
    )
    assert metric["document"]["figures"] == imperial["document"]["figures"]
    assert starter.state(units="cubits")["units"] == "metric"


def test_a_damaged_history_loses_no_file(bare: Opened) -> None:
    bare.set("name", "One")
    log = bare.folder / ".planewright" / "history" / "log.jsonl"
    log.write_bytes(log.read_bytes()[:-30] + b"\x00garbage")
    again = Desk(bare.folder)
    try:
        assert 'name = "One"' in bare.text()
        again.commit({"aeroplane.toml": b'name = "Two"\n'}, "after")
        assert [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    finally:
        again.close()


def test_what_changes_nothing_makes_no_state(bare: Opened) -> None:
    got = bare.set("name", "Bare")
    assert got.status_code == 200 and got.json()["revision"] == 0
    assert bare.state()["undo"] == ""


def test_raw_tables_and_knowledge_are_not_written_by_hand(open_kind: Opener) -> None:
    plover = open_kind("plover")
    name = "trials/2026-04-18-bend/readings.csv"
    read = file_text(plover, name)
    assert read["editable"] is False
    body = {"name": name, "text": read["text"] + "x", "hash": read["hash"]}
    assert plover.client.post("/api/file", json=body).status_code == 400
    assert (
        plover.client.post("/api/file", json={"name": "knowledge.toml", "text": "", "hash": ""}).status_code
        == 400
    )
    assert plover.text(name) == read["text"]


def test_a_file_that_the_description_names_goes_along(starter: Opened) -> None:
    """Points of a section in a file of its own are seen by a save as by a plain reading."""
    points = [
        (1, 0),
        (0.75, 0.05),
        (0.5, 0.08),
        (0.25, 0.07),
        (0, 0),
        (0.25, -0.03),
        (0.5, -0.03),
        (0.75, -0.02),
        (1, 0),
    ]
    place = starter.folder / "sections"
    place.mkdir()
    (place / "own.csv").write_text("\n".join(f"{x},{y}" for x, y in points) + "\n", encoding="utf-8")
    table = {"file": "aeroplane.toml", "path": "wing.section"}
    changes = [{**table, "do": "remove"}, {**table, "do": "insert", "text": '{ file = "sections/own.csv" }'}]
    plain = starter.client.post("/api/edit", json={"revision": 0, "changes": changes})
    assert plain.status_code == 200, plain.text
    assert any(one["id"] == "level_angle" for one in plain.json()["moved"])
    (place / "own.csv").unlink()
    missing = starter.set("name", "Second")
    assert missing.status_code == 400 and "own.csv" in missing.text
