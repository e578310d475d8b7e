"""Reading and writing files so that nothing is ever half there."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from pathlib import Path

from planewright.errors import Fault, InputError

LARGEST = 20_000_000
"""Largest description or record that is read, bytes. A season of logging at ten rows a second is below it."""


def _refuse(path: Path, read: str, expected: str, advice: str, line: int = 0) -> InputError:
    return InputError([Fault(path.name, line, "", read, expected, advice)])


def _why(error: OSError) -> str:
    return error.strerror or type(error).__name__


def read_bytes(path: Path, limit_bytes: int = LARGEST) -> bytes:
    """The bytes of a file of at most ``limit_bytes``. Raises InputError if it is missing, too large, no file."""
    try:
        if path.is_dir():
            raise _refuse(path, "is a folder.", "A file is wanted.", "Give the file inside it.")
        with path.open("rb") as stream:
            data = stream.read(limit_bytes + 1)
    except FileNotFoundError as error:
        raise _refuse(
            path, "is not there.", "A file is wanted.", f"Make {path.name}, or name the right folder."
        ) from error
    except (OSError, ValueError) as error:
        why = _why(error) if isinstance(error, OSError) else "the name is not one a file can have"
        raise _refuse(
            path, f"cannot be read: {why}.", "", "Look at the disk and at who may read it."
        ) from error
    if len(data) > limit_bytes:
        raise _refuse(
            path,
            f"is larger than {limit_bytes / 1e6:g} MB.",
            "A description or a record is a small text file.",
            "Nothing of it was read. Is this the right file?",
        )
    return data


def read_text(path: Path, limit_bytes: int = LARGEST) -> str:
    """The text of a UTF-8 file, line endings as they are, a byte order mark dropped.

    Raises InputError (one fault: file, and line where it can be told) if the file is missing, larger than
    ``limit_bytes``, holds nought bytes as a program or picture does, or is not UTF-8.
    """
    data = read_bytes(path, limit_bytes)
    if b"\x00" in data:
        line = data[: data.index(b"\x00")].count(b"\n") + 1
        raise _refuse(
            path,
            "is not text: it holds a nought byte.",
            "A text file is wanted.",
            "Is this the right file?",
            line,
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise _refuse(
            path,
            f"is not UTF-8 text (byte {data[error.start]:#04x}).",
            "Files are written in UTF-8.",
            "Save it again as UTF-8 (every text editor offers it).",
            line,
        ) from error


def digest(path: Path) -> str:
    """SHA-256 of the file's bytes, hexadecimal. Raises InputError as ``read_bytes`` does."""
    return hashlib.sha256(read_bytes(path, 1 << 30)).hexdigest()


def write_atomically(path: Path, data: str | bytes, keep: bool = False) -> None:
    """Write a file whole or not at all.

    A temporary file in the same folder is written, flushed to the disk and moved over the old one, so a
    reader sees the old file or the new one. Text is UTF-8 with its line endings as given.

    Arguments:
        path: the file; its folder must exist.
        data: text or bytes.
        keep: keep the version before this one as the hidden file ``.NAME.previous`` beside it.

    Raises:
        InputError: the system refused; nothing on the disk was changed.
    """
    content = data.encode("utf-8") if isinstance(data, str) else data
    try:
        _replace(path, content, keep)
    except OSError as error:
        raise _refuse(
            path,
            f"could not be written: {_why(error)}.",
            "Nothing on the disk was changed.",
            "Look at the free space and at who may write there, then do it again.",
        ) from error


def _temporary(path: Path, content: bytes) -> Path:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
    except BaseException:
        _drop(Path(name))
        raise
    return Path(name)


def _replace(path: Path, content: bytes, keep: bool) -> None:
    """Both files are ready before either is moved; if the second cannot be, the first is moved back."""
    fresh = _temporary(path, content)
    old: Path | None = None
    previous = path.with_name(f".{path.name}.previous")
    try:
        if keep and path.exists():
            old = _temporary(path, path.read_bytes())
        fresh.replace(path)
        if old is not None:
            _move_or_undo(old, previous, path)
    finally:
        _drop(fresh)
        if old is not None:
            _drop(old)


def _move_or_undo(old: Path, previous: Path, path: Path) -> None:
    try:
        old.replace(previous)
    except OSError:
        old.replace(path)
        raise


def _drop(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink()
