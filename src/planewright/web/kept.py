"""Trials as they were read, by the bytes of their files: those that did not change are not read anew."""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from pathlib import Path

from planewright.errors import Fault
from planewright.records import read_trial
from planewright.records.model import Trial

Read = tuple[Trial | None, tuple[Fault, ...]]
MOST, LARGE = 2000, 1 << 21


class KeptTrials:
    """Reads trial folders; what was read stands for every folder of the same name with the same files."""

    def __init__(self) -> None:
        self._read: dict[tuple[str, bytes, frozenset[str] | None, tuple[str, ...]], Read] = {}

    def read(self, folder: Path, names: Collection[str] | None, stock: Collection[str] = ()) -> Read:
        """The trial of a folder and its faults, as :func:`planewright.records.read_trial` reads them."""
        key = (folder.name, digest(folder), None if names is None else frozenset(names), tuple(stock))
        found = self._read.get(key)
        if found is None:
            if len(self._read) >= MOST:
                self._read.clear()
            found = self._read[key] = read_trial(folder, names, stock)
        return found


def digest(folder: Path) -> bytes:
    """SHA-256 over name and bytes of every file of a folder; a file that cannot be read counts by its name, one as
    large as photographs are by its size and time."""
    total = hashlib.sha256()
    for path in sorted(folder.iterdir()):
        try:
            status = path.stat()
            large = status.st_size > LARGE
            data = f"{status.st_size} {status.st_mtime_ns}".encode() if large else path.read_bytes()
        except OSError:
            data = b""
        total.update(f"{path.name}\n{len(data)}\n".encode("utf-8", "surrogateescape") + data)
    return total.digest()
