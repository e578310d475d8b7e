"""From a folder, or from a folder with changes not yet written, to a project that can be evaluated."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from planewright.errors import Fault, InputError
from planewright.project import Project, load
from planewright.project.loading import AEROPLANE, inputs_hash
from planewright.web.disk import HIDDEN, TOP, TRIALS, Disk

SKIPPED = (TRIALS, "out")


@contextlib.contextmanager
def with_changes(disk: Disk, changes: Mapping[str, bytes | None]) -> Iterator[Path]:
    """A passing copy of the folder with some files changed (None: taken away). The folder itself is untouched."""
    place = disk.folder / HIDDEN
    place.mkdir(exist_ok=True)
    shadow = Path(tempfile.mkdtemp(prefix="try-", dir=place))
    try:
        for name, path in (*disk.names(), *_others(disk)):
            if name not in changes:
                _lend(path, shadow / name)
        for name, data in changes.items():
            if data is not None:
                target = shadow / disk.path(name).relative_to(disk.folder)
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(data)
        yield shadow
    finally:
        shutil.rmtree(shadow, ignore_errors=True)


def _others(disk: Disk) -> Iterator[tuple[str, Path]]:
    """Further plain files that a description may name, such as the points of a section; not those under trials,
    out and hidden folders."""
    for place, folders, files in os.walk(disk.folder):
        here = Path(place)
        top = here == disk.folder
        folders[:] = [one for one in folders if not one.startswith(".") and not (top and one in SKIPPED)]
        for name in files:
            tracked = top and Path(name).suffix.lower() in TOP
            if not tracked and not name.startswith("."):
                yield (here / name).relative_to(disk.folder).as_posix(), here / name


def _lend(path: Path, to: Path) -> None:
    """A second name for the same bytes, or a copy where the system has no such thing. Only read from."""
    to.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(path, to)
    except OSError:
        with contextlib.suppress(OSError):
            shutil.copyfile(path, to)


def clear_tries(folder: Path) -> None:
    """Take away what a killed server left: passing copies, and files that were never moved into their place."""
    for one in (folder / HIDDEN).glob("try-*"):
        shutil.rmtree(one, ignore_errors=True)
    for place in (folder, *(folder / TRIALS).glob("*/"), *(folder / HIDDEN).glob("history/**/")):
        for one in place.glob(".*.part"):
            with contextlib.suppress(OSError):
                one.unlink()


def read_with(disk: Disk, changes: Mapping[str, bytes | None]) -> Project:
    """The project as it would read with the changes, under the folder's own name."""
    if not changes:
        return load(disk.folder, disk.kept.read)
    with with_changes(disk, changes) as shadow:
        project = load(shadow, disk.kept.read)
    return replace(project, folder=disk.folder)


def is_empty(folder: Path) -> bool:
    """True when the folder holds no aeroplane and nothing else but hidden files."""
    try:
        return not any(not one.name.startswith(".") for one in folder.iterdir())
    except OSError:
        return False


def stopping(project: Project) -> tuple[Fault, ...]:
    """The faults that stop the work; questions and notes do not."""
    return tuple(one for one in project.faults if one.severity == "fault")


def same_fault(one: Fault) -> tuple[str, str, str, str]:
    """What makes a fault the same fault after lines moved."""
    return (one.file, one.path, one.read, one.expected)


def refuse_new_faults(before: Project, after: Project) -> None:
    """Raise InputError with every stopping fault that a change would bring; those that stood before are no bar."""
    old = {same_fault(one) for one in before.faults}
    fresh = [one for one in stopping(after) if same_fault(one) not in old]
    if fresh:
        raise InputError(fresh)


def rehashed(project: Project) -> Project:
    """The project with the hash of the files as they now stand."""
    return replace(project, inputs_hash=inputs_hash(project.folder))


__all__ = [
    "AEROPLANE", "clear_tries", "is_empty", "read_with", "refuse_new_faults", "rehashed", "stopping", "with_changes",
]  # fmt: skip
