"""Starting a project from one of the examples that come with the package."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
from collections.abc import Iterator
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path, PurePosixPath

from planewright.errors import Fault, InputError
from planewright.files import write_atomically
from planewright.text.names import meant, same_name

EXAMPLES = ("starter", "plover", "gannet")


def example_names() -> tuple[str, ...]:
    """What a project can be started from: a small starter, and two complete invented examples."""
    return EXAMPLES


def example_files(kind: str) -> tuple[tuple[PurePosixPath, bytes], ...]:
    """(path inside the project, bytes) of every file of an example, by path.

    Raises InputError for an unknown ``kind``.
    """
    name = same_name(kind, EXAMPLES)
    if name is None:
        raise InputError([Fault(kind[:40], 0, "", "is no example.", *meant(kind, EXAMPLES, "Examples"))])
    root = resources.files("planewright.project") / "examples" / name
    return tuple(sorted(_walk(root, PurePosixPath())))


def _walk(place: Traversable, path: PurePosixPath) -> Iterator[tuple[PurePosixPath, bytes]]:
    for one in place.iterdir():
        if one.name.startswith((".", "__")):
            continue
        if one.is_dir():
            yield from _walk(one, path / one.name)
        else:
            yield path / one.name, one.read_bytes()


def new_project(folder: Path, kind: str = "starter") -> tuple[Path, ...]:
    """Start a project: copy an example byte for byte into a new or empty folder, whole or not at all.

    Arguments:
        folder: the folder to make; it may exist if it is empty. Folders above it are made.
        kind: one of ``example_names()``.

    Returns:
        The files written, by path.

    Raises:
        InputError: the folder holds files, is a file, or the system refused; then nothing is left behind.
    """
    files = example_files(kind)
    folder = folder.absolute()
    try:
        _refuse(folder)
        made = _make_parents(folder.parent)
        try:
            _place(folder, files)
        except BaseException:
            _remove(made)
            raise
    except OSError as error:
        why = error.strerror or type(error).__name__
        advice = "Look at the free space and at who may write there, then do it again."
        fault = Fault(folder.name, 0, "", f"could not be made: {why}.", "Nothing was left behind.", advice)
        raise InputError([fault]) from error
    return tuple(folder / path for path, _ in files)


def _refuse(folder: Path) -> None:
    if not folder.exists():
        return
    if not folder.is_dir():
        read_, advice = "is a file.", "Give the name of a new folder."
    elif any(folder.iterdir()):
        read_, advice = "holds files.", "Nothing in it was touched. Give the name of a new or empty folder."
    else:
        return
    raise InputError([Fault(folder.name, 0, "", read_, "A project starts in a new or empty folder.", advice)])


def _make_parents(parent: Path) -> list[Path]:
    """Make the folders above; those that were made, outermost first."""
    missing = [one for one in (parent, *parent.parents) if not one.exists()][::-1]
    made: list[Path] = []
    try:
        for one in missing:
            one.mkdir()
            made.append(one)
    except BaseException:
        _remove(made)
        raise
    return made


def _remove(folders: list[Path]) -> None:
    for one in reversed(folders):
        with contextlib.suppress(OSError):
            one.rmdir()


def _place(folder: Path, files: tuple[tuple[PurePosixPath, bytes], ...]) -> None:
    """Write everything beside the folder first, then move it into place."""
    scratch = Path(tempfile.mkdtemp(prefix=".new-project-", dir=folder.parent))
    try:
        fresh = scratch / folder.name
        fresh.mkdir()
        for path, data in files:
            target = fresh / path
            target.parent.mkdir(parents=True, exist_ok=True)
            write_atomically(target, data)
        if folder.exists():
            _move_inside(fresh, folder)
        else:
            fresh.rename(folder)
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _move_inside(fresh: Path, folder: Path) -> None:
    """Move what stands in ``fresh`` into the empty ``folder``, all or nothing."""
    moved: list[Path] = []
    try:
        for one in sorted(fresh.iterdir()):
            one.rename(folder / one.name)
            moved.append(folder / one.name)
    except BaseException:
        for one in moved:
            with contextlib.suppress(OSError):
                one.rename(fresh / one.name)
        raise
