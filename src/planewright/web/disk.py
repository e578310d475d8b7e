"""The files of a project folder as they stand on the disk: which ones, their digests, read and written safely."""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from planewright.errors import Fault, InputError
from planewright.files import LARGEST, write_atomically
from planewright.web.kept import KeptTrials

TRIALS = "trials"
TOP = (".toml", ".csv")
BELOW = (".toml", ".csv", ".txt", ".md")
HIDDEN = ".planewright"
MOST_FILES = 5000


def digest_of(data: bytes) -> str:
    """SHA-256, hexadecimal."""
    return hashlib.sha256(data).hexdigest()


@dataclass(frozen=True)
class Seen:
    """What was seen of one file: when changed, size, inode; digest of its bytes."""

    stamp: tuple[int, int, int]
    digest: str


@dataclass
class Disk:
    """The tracked files of one folder: TOML and CSV at the top, TOML, CSV, TXT and MD below ``trials``.

    Hidden files, ``out``, links that lead out of the folder and files above the largest size that is read are left
    alone: neither read nor written nor removed by the page.
    """

    folder: Path
    seen: dict[str, Seen] = field(default_factory=dict)
    kept: KeptTrials = field(default_factory=KeptTrials)

    def names(self) -> Iterator[tuple[str, Path]]:
        """(name with "/", path) of each tracked file that is there, at most ``MOST_FILES``."""
        for place, folders, files in os.walk(self.folder):
            here = Path(place)
            top = here == self.folder
            folders[:] = sorted(
                one for one in folders if not one.startswith(".") and (one == TRIALS or not top)
            )
            for name in sorted(files):
                suffix = Path(name).suffix.lower()
                if not name.startswith(".") and suffix in (TOP if top else BELOW):
                    yield (here / name).relative_to(self.folder).as_posix(), here / name

    def scan(self) -> Mapping[str, str]:
        """Digest of every tracked file by name. A file is read again only when its stamp changed."""
        found: dict[str, Seen] = {}
        for number, (name, path) in enumerate(self.names()):
            if number >= MOST_FILES:
                break
            with contextlib.suppress(OSError):
                one = self._look(name, path)
                if one is not None:
                    found[name] = one
        self.seen = found
        return {name: one.digest for name, one in found.items()}

    def _look(self, name: str, path: Path) -> Seen | None:
        status = path.stat()
        if path.is_symlink() or status.st_size > LARGEST:
            return None
        stamp = (status.st_mtime_ns, status.st_size, status.st_ino)
        old = self.seen.get(name)
        if old is not None and old.stamp == stamp:
            return old
        return Seen(stamp, digest_of(path.read_bytes()))

    def path(self, name: str) -> Path:
        """Where a tracked file lies. Raises InputError for a name that leads elsewhere or is not tracked."""
        pure = PurePosixPath(name)
        parts = pure.parts
        plain = bool(parts) and not pure.is_absolute() and "\\" not in name and "\x00" not in name
        inside = plain and all(one not in ("..", ".") and not one.startswith(".") for one in parts)
        known = inside and (
            (len(parts) == 1 and pure.suffix.lower() in TOP)
            or (len(parts) == 3 and parts[0] == TRIALS and pure.suffix.lower() in BELOW)
        )
        whole = self.folder.joinpath(*parts) if known else self.folder
        if not known or whole.is_symlink() or not _below(whole, self.folder):
            advice = "Name a TOML or CSV file of the project."
            raise InputError([Fault(name[:80], 0, "", "is no file of this project.", "", advice)])
        return whole

    def read(self, name: str) -> bytes | None:
        """The bytes of a tracked file; None when it is not there."""
        path = self.path(name)
        try:
            return path.read_bytes() if path.stat().st_size <= LARGEST else None
        except OSError:
            return None

    def put(self, name: str, data: bytes | None) -> None:
        """Write a file whole and flushed to the disk, its folder too; None takes it away.

        Raises InputError when the system refuses.
        """
        path = self.path(name)
        if data is None:
            _take_away(path, self.folder)
            return
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise refused(name, error) from error
        write_atomically(path, data)
        flush_folder(path.parent)
        with contextlib.suppress(OSError):
            status = path.stat()
            stamp = (status.st_mtime_ns, status.st_size, status.st_ino)
            self.seen[name] = Seen(stamp, digest_of(data))


def _below(path: Path, folder: Path) -> bool:
    """True when the real place of the file is inside the folder, links resolved."""
    return path.parent.resolve().is_relative_to(folder.resolve())


def _take_away(path: Path, folder: Path) -> None:
    try:
        path.unlink(missing_ok=True)
        if path.parent != folder and path.parent.is_dir() and not any(path.parent.iterdir()):
            path.parent.rmdir()
    except OSError as error:
        raise refused(path.name, error) from error


def refused(name: str, error: OSError) -> InputError:
    """What the operating system refused, as advice."""
    why = error.strerror or type(error).__name__
    advice = "Look at the free space and at who may write there, then do it again."
    return InputError([Fault(name, 0, "", f"could not be written: {why}.", "Nothing was lost.", advice)])


def flush_folder(folder: Path) -> None:
    """Flush a folder's own entries to the disk, where the system knows that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
