"""The saved states of a project, appended and never rewritten: for undo, redo, differences and a killed server.

``FOLDER/.planewright/history/`` holds ``log.jsonl`` (one line a state, and one when its files are written) and
``blobs/`` (the bytes of each version, named by their digest). Deleting the folder loses the history and nothing else.
A save is written down here first, flushed, and only then put into the files: whatever moment the server dies, the
next opening finishes the last line.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from planewright.files import write_atomically
from planewright.web.disk import HIDDEN, digest_of, flush_folder

By = Literal["page", "file", "opening"]
Move = Literal["save", "undo", "redo"]
Files = Mapping[str, str]
"""Digest of every file of a state, by name."""


@dataclass(frozen=True)
class Saved:
    """One state: ``files`` is the whole state, ``changed`` what differs from the state before (None: not there)."""

    number: int
    when: str
    says: str
    by: By
    move: Move
    files: Files
    changed: Mapping[str, str | None]

    def line(self) -> str:
        """As it stands in the log: without the whole state, which follows from the lines before."""
        words = {"n": self.number, "when": self.when, "says": self.says, "by": self.by, "move": self.move}
        return json.dumps({**words, "changed": dict(self.changed)}, ensure_ascii=False) + "\n"


def difference(before: Files, after: Files) -> dict[str, str | None]:
    """What turns one state into another: name -> digest, None for "no longer there"."""
    gone = dict.fromkeys(set(before) - set(after))
    return {**gone, **{name: one for name, one in after.items() if before.get(name) != one}}


def applied(before: Files, changed: Mapping[str, str | None]) -> dict[str, str]:
    """The state after a change."""
    whole: dict[str, str | None] = {**before, **changed}
    return {name: one for name, one in whole.items() if one is not None}


@dataclass
class History:
    """All saved states of one folder. ``trail``: numbers of the states that undo and redo walk along; ``at`` where."""

    place: Path
    entries: list[Saved] = field(default_factory=list)
    trail: list[int] = field(default_factory=list)
    at: int = -1
    finished: int = -1

    @classmethod
    def of(cls, folder: Path) -> History:
        """Read the history of a folder; a torn or damaged end is left out (and cut off when next written)."""
        history = cls(folder / HIDDEN / "history")
        good = history._read()
        log = history.place / "log.jsonl"
        with contextlib.suppress(OSError):
            if log.stat().st_size > good:
                os.truncate(log, good)
        return history

    def _read(self) -> int:
        """Take in the log; how many of its bytes are good."""
        try:
            data = (self.place / "log.jsonl").read_bytes()
        except OSError:
            return 0
        good = 0
        for line in data.splitlines(keepends=True):
            if not line.endswith(b"\n") or not self._take(line):
                break
            good += len(line)
        return good

    def _take(self, line: bytes) -> bool:
        try:
            row: Any = json.loads(line)
            if "done" in row:
                self.finished = int(row["done"])
                return True
            before = self.entries[-1].files if self.entries else {}
            entry = Saved(
                int(row["n"]), str(row["when"]), str(row["says"]), row["by"], row["move"],
                applied(before, row["changed"]), row["changed"],
            )  # fmt: skip
        except (ValueError, KeyError, TypeError, AttributeError):
            return False
        self._follow(entry)
        return True

    def _follow(self, entry: Saved) -> None:
        self.entries.append(entry)
        if entry.move == "undo":
            self.at -= 1
        elif entry.move == "redo":
            self.at += 1
        else:
            self.trail = [*self.trail[: self.at + 1], entry.number]
            self.at = len(self.trail) - 1

    @property
    def now(self) -> Saved | None:
        """The last state written down."""
        return self.entries[-1] if self.entries else None

    @property
    def unfinished(self) -> Saved | None:
        """The last state, when its files may not all have been written."""
        last = self.now
        return last if last is not None and last.by == "page" and self.finished < last.number else None

    def find(self, number: int) -> Saved | None:
        """The state of that number."""
        index = number - (self.entries[0].number if self.entries else 0)
        return self.entries[index] if 0 <= index < len(self.entries) else None

    def step(self, by: int) -> Saved | None:
        """The state that undo (-1) or redo (+1) goes to; None at the end of the trail."""
        place = self.at + by
        return self.find(self.trail[place]) if 0 <= place < len(self.trail) else None

    def says(self, by: int) -> str:
        """What undo or redo would do, in words; "" when there is nothing."""
        if self.step(by) is None:
            return ""
        entry = self.find(self.trail[self.at if by < 0 else self.at + 1])
        return entry.says if entry else ""

    def write(
        self, says: str, by: By, after: Mapping[str, str], blobs: Iterable[bytes], move: Move = "save"
    ) -> Saved:
        """Write a state down, flushed to the disk, before any file is touched."""
        for data in blobs:
            self._keep(data)
        before = self.now
        when = dt.datetime.now().astimezone().isoformat(timespec="seconds")
        number = before.number + 1 if before else 0
        changed = difference(before.files if before else {}, after)
        entry = Saved(number, when, says, by, move, dict(after), changed)
        self._append(entry.line(), flush=True)
        self._follow(entry)
        return entry

    def finish(self, entry: Saved) -> None:
        """Note that all files of a state are written."""
        self.finished = entry.number
        self._append(json.dumps({"done": entry.number}) + "\n", flush=False)

    def _append(self, line: str, flush: bool) -> None:
        fresh = not (self.place / "log.jsonl").exists()
        self.place.mkdir(parents=True, exist_ok=True)
        with (self.place / "log.jsonl").open("ab") as stream:
            stream.write(line.encode("utf-8"))
            stream.flush()
            if flush:
                os.fsync(stream.fileno())
        if fresh:
            flush_folder(self.place)

    def _keep(self, data: bytes) -> None:
        blobs = self.place / "blobs"
        path = blobs / digest_of(data)
        if path.exists():
            return
        blobs.mkdir(parents=True, exist_ok=True)
        write_atomically(path, data)

    def blob(self, digest: str | None) -> bytes | None:
        """The bytes of a version; None when they were not kept or are damaged."""
        if digest is None or not digest.isalnum():
            return None
        try:
            data = (self.place / "blobs" / digest).read_bytes()
        except OSError:
            return None
        return data if digest_of(data) == digest else None
