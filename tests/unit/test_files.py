"""Files are read with limits and written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from planewright import files
from planewright.errors import InputError


def test_writes_and_keeps_the_version_before(tmp_path: Path) -> None:
    path = tmp_path / "aeroplane.toml"
    files.write_atomically(path, "one\r\n")
    files.write_atomically(path, "two µ\n", keep=True)
    assert path.read_bytes() == "two µ\n".encode()
    assert (tmp_path / ".aeroplane.toml.previous").read_bytes() == b"one\r\n"
    assert sorted(p.name for p in tmp_path.iterdir()) == [".aeroplane.toml.previous", "aeroplane.toml"]
    files.write_atomically(path, b"\x00\x01")
    assert path.read_bytes() == b"\x00\x01"


@pytest.mark.parametrize("step", ["fsync", "mkstemp", "replace"])
def test_a_refusing_system_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "aeroplane.toml"
    files.write_atomically(path, "one")

    def refuse(*_args: object, **_more: object) -> None:
        raise OSError(28, "No space left on device")

    target = {"fsync": (os, "fsync"), "mkstemp": (files.tempfile, "mkstemp"), "replace": (Path, "replace")}[
        step
    ]
    monkeypatch.setattr(*target, refuse)
    with pytest.raises(InputError) as caught:
        files.write_atomically(path, "two", keep=True)
    assert "could not be written: No space left on device" in str(caught.value)
    monkeypatch.undo()
    assert [p.name for p in tmp_path.iterdir()] == ["aeroplane.toml"]
    assert path.read_text() == "one"


@pytest.mark.parametrize("failing", [1, 2])
def test_a_move_that_fails_leaves_both_files_as_they_were(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    path = tmp_path / "aeroplane.toml"
    for text in ("one", "two"):
        files.write_atomically(path, text, keep=True)
    real, calls = Path.replace, []

    def sometimes(self: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) == failing:
            raise OSError(5, "Input/output error")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", sometimes)
    with pytest.raises(InputError, match="Input/output error"):
        files.write_atomically(path, "three", keep=True)
    assert path.read_text() == "two"
    assert (tmp_path / ".aeroplane.toml.previous").read_text() == "one"
    assert len(list(tmp_path.iterdir())) == 2


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="could not be written"):
        files.write_atomically(tmp_path / "nowhere" / "x.toml", "one")


def test_reading_refuses_what_is_no_text(tmp_path: Path) -> None:
    cases = {
        "latin.toml": ("line\nna\u00efve = 1\n".encode("latin-1"), "not UTF-8", 2),
        "binary.toml": (b"a\nb\n\x00\x01", "nought byte", 3),
        "large.toml": (b"x" * 2001, "larger than", 0),
    }
    for name, (data, said, line) in cases.items():
        (tmp_path / name).write_bytes(data)
        with pytest.raises(InputError) as caught:
            files.read_text(tmp_path / name, 2000)
        fault = caught.value.faults[0]
        assert said in fault.read and fault.line == line and fault.file == name
    for path in (tmp_path, tmp_path / "missing.toml", tmp_path / "a\x00b"):
        with pytest.raises(InputError):
            files.read_text(path)


def test_a_byte_order_mark_is_dropped_and_line_endings_stay(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_bytes(b"\xef\xbb\xbfa = 1\r\n")
    assert files.read_text(tmp_path / "a.toml") == "a = 1\r\n"


def test_a_huge_file_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "aeroplane.toml"
    with path.open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(InputError, match="larger than 20 MB"):
        files.read_text(path)
