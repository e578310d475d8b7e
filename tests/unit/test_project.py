"""The project folder: read whole, changed never; started whole or not at all."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fixtures.worlds import EXAMPLES, write_world
from planewright import files
from planewright.errors import InputError
from planewright.knowledge import Knowledge, write_knowledge
from planewright.ledger.model import Ledger
from planewright.project import (
    Project,
    evidence_hash,
    example_files,
    example_names,
    inputs_hash,
    load,
    new_project,
)


def snapshot(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {
        path.relative_to(folder).as_posix(): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def keep(project: Project, **changes: str) -> None:
    """Write the project's knowledge as if its trials had been taken in."""
    assert isinstance(project.knowledge, Knowledge)
    taken = replace(
        project.knowledge, evidence=changes.get("evidence", evidence_hash(project.trials, project.ledger))
    )
    (project.folder / "knowledge.toml").write_text(write_knowledge(taken), encoding="utf-8")


def break_in_two_places(folder: Path) -> None:
    text = (folder / "aeroplane.toml").read_text().replace('mass_limit = "5.2 kg"', 'mass_limit = "5.2"')
    (folder / "aeroplane.toml").write_text(text)
    (folder / "weighings.csv").write_text("part,mass\nfin,91\n")


@pytest.mark.parametrize("kind", ["starter", "plover", "gannet"])
def test_examples_read_without_fault(tmp_path: Path, kind: str) -> None:
    new_project(tmp_path / "p", kind)
    project = load(tmp_path / "p")
    assert not project.stops
    assert [one.text() for one in project.faults if one.severity == "question"] == []
    assert project.plane is not None and project.knowledge is not None


@pytest.mark.parametrize("kind", ["starter", "plover", "gannet"])
def test_examples_say_that_they_are_invented(kind: str) -> None:
    texts = {str(path): data.decode() for path, data in example_files(kind)}
    assert "invented" in texts["aeroplane.toml"].lower() or kind == "starter"
    for name, text in texts.items():
        if name.endswith(("site.toml", "trial.toml", "README.md")):
            assert "invented" in text.lower(), name


def test_new_project_is_the_example_byte_for_byte(tmp_path: Path) -> None:
    for kind in example_names():
        written = new_project(tmp_path / kind, kind)
        made = {path.relative_to(tmp_path / kind).as_posix() for path in written}
        source = {
            path.relative_to(EXAMPLES / kind).as_posix(): path.read_bytes()
            for path in (EXAMPLES / kind).rglob("*")
            if path.is_file()
        }
        assert {name: data for name, (data, _) in snapshot(tmp_path / kind).items()} == source
        assert made == set(source)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["gannet", "plover", "starter"]


def test_new_project_fills_an_empty_folder_and_makes_those_above(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    new_project(tmp_path / "empty", "starter")
    new_project(tmp_path / "a" / "b" / "c", "starter")
    assert (tmp_path / "empty" / "aeroplane.toml").is_file()
    assert (tmp_path / "a" / "b" / "c" / "aeroplane.toml").is_file()
    assert [one.name for one in (tmp_path / "a" / "b").iterdir()] == ["c"]


def test_new_project_refuses_what_holds_files(tmp_path: Path) -> None:
    (tmp_path / "p").mkdir()
    (tmp_path / "p" / ".hidden").write_text("mine")
    (tmp_path / "f").write_text("mine")
    before = snapshot(tmp_path)
    for name, said in (("p", "holds files"), ("f", "is a file")):
        with pytest.raises(InputError, match=said):
            new_project(tmp_path / name, "plover")
    with pytest.raises(InputError, match="plover"):
        new_project(tmp_path / "q", "plovr")
    assert snapshot(tmp_path) == before and not (tmp_path / "q").exists()


@pytest.mark.parametrize("existing", [False, True])
@pytest.mark.parametrize("after", [0, 5])
def test_an_error_of_the_system_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, existing: bool, after: int
) -> None:
    target = tmp_path / "above" / "p"
    if existing:
        target.mkdir(parents=True)
    real, count = files.os.replace, iter(range(100))

    def full(source: str, destination: str) -> None:
        if next(count) >= after:
            raise OSError(28, "No space left on device")
        real(source, destination)

    monkeypatch.setattr(files.os, "replace", full)
    with pytest.raises(InputError, match="No space left"):
        new_project(target, "plover")
    left = sorted(path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*"))
    assert left == (["above", "above/p"] if existing else [])


def test_an_error_on_moving_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "p").mkdir()
    real, count = Path.rename, iter(range(100))

    def stubborn(self: Path, target: Path) -> Path:
        if next(count) == 3:
            raise OSError(5, "Input/output error")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", stubborn)
    with pytest.raises(InputError, match="Input/output"):
        new_project(tmp_path / "p", "plover")
    assert sorted(tmp_path.rglob("*")) == [tmp_path / "p"]


def test_reading_changes_nothing(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    before = snapshot(folder)
    first, second = load(folder), load(folder)
    assert snapshot(folder) == before
    assert first.inputs_hash == second.inputs_hash and first.faults == second.faults
    assert first.trials == second.trials and first.ledger == second.ledger


def test_all_faults_of_all_files_in_file_order(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    break_in_two_places(folder)
    (folder / "site.toml").write_text("outline = 3\n")
    (folder / "checks.csv").write_text("check,passed,when\ncontrols,perhaps,2026-05-20\n")
    (folder / "trials/2026-04-18-bend/readings.csv").write_text("")
    (folder / "trials/2026-05-02-thrust-left/trial.toml").write_text("kind = 3\n")
    project = load(folder)
    assert project.plane is None and project.knowledge is None and project.stops
    seen = list(dict.fromkeys(one.file for one in project.faults))
    assert seen == [
        "aeroplane.toml", "site.toml", "weighings.csv", "checks.csv", "trials/2026-04-18-bend/readings.csv",
        "trials/2026-05-02-thrust-left/trial.toml",
    ]  # fmt: skip


@pytest.mark.parametrize("what", ["nothing", "empty", "file"])
def test_no_project_is_one_clear_fault(tmp_path: Path, what: str) -> None:
    folder = tmp_path / "p"
    if what == "empty":
        folder.mkdir()
    elif what == "file":
        folder.write_text("x")
    project = load(folder)
    assert len(project.faults) == 1 and project.stops and project.plane is None
    assert project.faults[0].advice


@pytest.mark.parametrize(
    "data",
    [
        b"\x00\x01\x02",
        b"\x89PNG\r\n\x1a\n" + bytes(100),
        b"a" * 6_000_000,
        b"x = " + b"[" * 30_000,
        b"\xff\xfe",
    ],
)
@pytest.mark.parametrize("name", ["aeroplane.toml", "site.toml", "weighings.csv", "knowledge.toml"])
def test_what_is_no_description_is_one_fault(tmp_path: Path, name: str, data: bytes) -> None:
    folder = write_world(tmp_path / "p")
    (folder / name).write_bytes(data)
    faults = [one for one in load(folder).faults if one.file == name and one.severity == "fault"]
    assert len(faults) == 1, faults


def test_fifty_megabytes_are_refused_quickly(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    with (folder / "trials/2026-04-18-bend/readings.csv").open("wb") as stream:
        stream.truncate(50_000_000)
    faults = [one for one in load(folder).faults if one.severity == "fault"]
    assert [one.file for one in faults] == ["trials/2026-04-18-bend/readings.csv"] and "larger" in faults[
        0
    ].read


def test_files_that_the_system_refuses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = write_world(tmp_path / "p")
    real = Path.open

    def refuse(self: Path, *arguments: object, **more: object) -> object:
        if self.suffix == ".csv":
            raise PermissionError(13, "Permission denied")
        return real(self, *arguments, **more)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", refuse)
    faults = [one for one in load(folder).faults if one.severity == "fault"]
    assert len(faults) == 2 + 6 + 3 and all("Permission denied" in one.read for one in faults)


def test_knowledge_is_stale_when_the_trials_are_others(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    fresh = load(folder)
    assert fresh.knowledge is not None and fresh.knowledge.stale  # six trials, none taken in
    assert [one.file for one in fresh.faults] == ["knowledge.toml"]
    keep(fresh)
    taken = load(folder)
    assert taken.knowledge is not None and not taken.knowledge.stale and taken.faults == ()
    sheet = folder / "trials/2026-04-18-bend/trial.toml"
    sheet.write_bytes(sheet.read_bytes() + b"\n")
    later = load(folder)
    assert later.knowledge is not None and later.knowledge.stale
    assert [(one.file, one.severity) for one in later.faults] == [("knowledge.toml", "note")]
    assert not later.stops


def test_a_later_weighing_makes_the_knowledge_stale(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    keep(load(folder))
    assert not load(folder).knowledge.stale  # type: ignore[union-attr]
    lines = folder / "weighings.csv"
    lines.write_text(lines.read_text() + "fin,93 g,2026-05-21,bench 2,\n")
    assert load(folder).knowledge.stale  # type: ignore[union-attr]


def test_planned_trials_are_no_evidence(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    trials = load(folder).trials
    run = tuple(one for one in trials if not one.planned)
    assert len(run) == len(trials) - 1
    assert evidence_hash(trials, Ledger()) == evidence_hash(run[::-1], Ledger())
    assert evidence_hash(run[1:], Ledger()) != evidence_hash(run, Ledger())
    aside = (replace(run[0], in_force="slipped"), *run[1:])
    assert evidence_hash(aside, Ledger()) != evidence_hash(run, Ledger())


def test_a_damaged_knowledge_file_is_one_fault(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    (folder / "knowledge.toml").write_text('schema = 1\nprior = 3\n[quantity."x"]\nmean = nan\n')
    project = load(folder)
    assert [(one.file, one.severity) for one in project.faults] == [("knowledge.toml", "fault")]


def test_inputs_hash_follows_inputs_only(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "p")
    first = inputs_hash(folder)
    (folder / "out").mkdir()
    (folder / "out" / "study.csv").write_text("made")
    (folder / ".DS_Store").write_text("x")
    (folder / "README.md").write_text("changed")
    assert inputs_hash(folder) == first
    moved = write_world(tmp_path / "renamed")
    assert inputs_hash(moved) == first
    raw = folder / "trials/2026-04-18-bend/readings.csv"
    raw.write_bytes(raw.read_bytes() + b"\n")
    second = inputs_hash(folder)
    (folder / "site.toml").rename(folder / "site2.toml")
    assert len({first, second, inputs_hash(folder)}) == 3


def test_later_gannet_reads(tmp_path: Path) -> None:
    project = load(write_world(tmp_path / "g", "gannet", later=True))
    assert not project.stops and project.plane is not None
    assert project.plane.configuration == "C" and len(project.trials) == 10
    assert [one.serial for one in project.trials if one.kind == "thrust"] == ["L1", "R1", "L1", "L1", "R2"]


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_damaged_projects_never_raise(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    folder = write_world(tmp_path_factory.mktemp("d") / "p")
    names = sorted(path for path in folder.rglob("*") if path.suffix in (".toml", ".csv"))
    path = data.draw(st.sampled_from(names))
    sound = path.read_bytes()
    start = data.draw(st.integers(0, len(sound)))
    path.write_bytes(
        sound[:start] + data.draw(st.binary(max_size=20)) + sound[start + data.draw(st.integers(0, 50)) :]
    )
    before = snapshot(folder)
    project = load(folder)
    assert snapshot(folder) == before
    assert project.plane is not None or project.stops
