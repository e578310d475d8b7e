"""Wrong input of every kind: one clear message each, exit code 2, nothing changed on disk, never a traceback."""

from __future__ import annotations

import errno
import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest

from planewright.cli.main import run

TEN_FAULTS = """name = "Ten"
configuration = "A"
wobble = "1 m"
[stock]
board = { kind = "foam board", sheet = "20 x 30", thickness = "-4.8 mm", mass = "147 g" }
[wing]
x = "430"
z = "118 g"
span = "1,2 m"
chord = "0 mm"
section = "Clark Z"
build = { way = "origami", skin = "bord" }
[control]
aileron = { on = "wing", from = "100 mm", to = "9 m", chord = "140 %", travel = "18 deg" }
area = "0.5 m2"
"""


def snapshot(folder: Path) -> dict[str, str]:
    """Name and hash of every file below a folder."""
    return {
        str(one.relative_to(folder)): hashlib.sha256(one.read_bytes()).hexdigest()
        for one in sorted(folder.rglob("*"))
        if one.is_file()
    }


def project(tmp_path: Path, text: str | bytes) -> Path:
    folder = tmp_path / "project"
    folder.mkdir(exist_ok=True)
    data = text.encode() if isinstance(text, str) else text
    (folder / "aeroplane.toml").write_bytes(data)
    return folder


def test_ten_faults_are_all_reported_with_their_lines(tmp_path: Path, command: Callable) -> None:
    answer = command("check", project(tmp_path, TEN_FAULTS))
    assert answer.code == 2
    for line in (3, 5, 7, 8, 9, 10, 11, 12, 14):
        assert f"line {line}" in answer.err, f"nothing said about line {line}:\n{answer.err}"
    assert answer.err.count("aeroplane.toml line") >= 10


def test_ten_faults_as_json_is_one_document(tmp_path: Path, command: Callable) -> None:
    answer = command("check", project(tmp_path, TEN_FAULTS), "--json")
    assert answer.code == 2
    faults = [one for one in answer.document["faults"] if one["severity"] == "fault"]
    assert len(faults) >= 10
    assert all(one["file"] and one["advice"] for one in faults)
    assert [one["line"] for one in faults] == sorted(one["line"] for one in faults)


@pytest.mark.parametrize(
    "content",
    [
        b"\x00\x01\x02\xff\xfe binary",
        b"name = ",
        b"[wing\n",
        ("a = " + "[" * 5000 + "]" * 5000).encode(),
        b'name = "x"\nmass_limit = nan\n',
        b'name = "x"\nmass_limit = inf\n',
        b'name = "x"\n[wing]\nspan = "1e999 m"\nchord = "200 mm"\n',
        b'name = "x"\n[wing]\nspan = true\nchord = "200 mm"\n',
    ],
    ids=["binary", "cut short", "open bracket", "deep", "nan", "inf", "overflow", "bool"],
)
def test_files_that_cannot_be_read(tmp_path: Path, command: Callable, content: bytes) -> None:
    folder = project(tmp_path, content)
    before = snapshot(folder)
    for words in (("check", folder), ("figures", folder), ("calibrate", folder), ("book", folder)):
        answer = command(*words)
        assert answer.code == 2, (words, answer)
        assert "aeroplane.toml" in answer.err
        assert "Traceback" not in answer.err
    assert snapshot(folder) == before


def test_an_empty_sheet_says_what_is_missing(tmp_path: Path, command: Callable) -> None:
    """An empty aeroplane.toml is a beginning, not a fault: nothing is worked out, and everything says why."""
    document = command("check", project(tmp_path, ""), "--json").document
    assert document["figures"] == {}
    assert document["verdict"]["id"] == "needs_evidence"
    assert {"mass", "stall_speed", "thrust_static"} <= {one["figure"] for one in document["absent"]}


def test_empty_folder_and_missing_folder(tmp_path: Path, command: Callable) -> None:
    (tmp_path / "empty").mkdir()
    for folder in (tmp_path / "empty", tmp_path / "nowhere"):
        answer = command("check", folder)
        assert answer.code == 2
        assert "aeroplane.toml" in answer.err or "folder" in answer.err


def test_a_file_of_50_megabytes(tmp_path: Path, command: Callable) -> None:
    answer = command("check", project(tmp_path, b"# long\n" * (50_000_000 // 7)))
    assert answer.code == 2
    assert "aeroplane.toml" in answer.err


def test_missing_and_empty_trial_csv(plover: Path, command: Callable) -> None:
    (plover / "trials/2026-04-18-bend/readings.csv").unlink()
    (plover / "trials/2026-04-11-vehicle/readings.csv").write_text("")
    before = snapshot(plover)
    answer = command("calibrate", plover)
    assert answer.code == 2
    assert "2026-04-18-bend" in answer.err and "2026-04-11-vehicle" in answer.err
    assert snapshot(plover) == before


@pytest.mark.parametrize("words", [("calibrate",), ("book",)])
def test_an_error_of_the_system_on_writing(
    plover: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    before = snapshot(plover)

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", str(plover / "knowledge.toml"))

    monkeypatch.setattr("os.replace", full)
    code = run([*words, str(plover)])
    said = capsys.readouterr().err
    assert code == 2
    assert "No space left" in said and "Traceback" not in said
    after = snapshot(plover)
    assert {name: digest for name, digest in after.items() if not name.startswith("out/")} == before


def test_new_refuses_a_folder_that_holds_files(tmp_path: Path, command: Callable) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full/diary.txt").write_text("mine")
    answer = command("new", tmp_path / "full")
    assert answer.code == 2
    assert snapshot(tmp_path / "full") == {"diary.txt": hashlib.sha256(b"mine").hexdigest()}


def test_stale_knowledge_is_said_everywhere(plover: Path, command: Callable) -> None:
    assert command("calibrate", plover).code == 0
    toml = plover / "trials/2026-04-18-bend/trial.toml"
    toml.write_text(toml.read_text() + "\n")
    assert "trials not taken in" in command("check", plover).out.lower()
    assert "trials not taken in" in command("figures", plover).out.lower()


def test_damaged_knowledge_file(plover: Path, command: Callable) -> None:
    (plover / "knowledge.toml").write_text("schema = 1\n[quantity\n")
    answer = command("check", plover)
    assert answer.code == 2
    assert "knowledge.toml" in answer.err


def test_wrong_words_on_the_command_line(command: Callable) -> None:
    for words in (("frobnicate",), ("check",), ("book", "x", "--paper", "A9")):
        assert command(*words).code == 2


def test_cancelled(plover: Path, monkeypatch: pytest.MonkeyPatch, command: Callable) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("planewright.documents.opening.evaluate", stop)
    answer = command("figures", plover)
    assert answer.code == 130
    assert "Stopped" in answer.err
