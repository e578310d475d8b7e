"""Two changes of one file at once: merged where they touch different places, else both are kept and said.

A change of single values is compared by its TOML paths. Whole texts are merged line by line against the text both
started from (the usual three-way merge), and only if the result is still TOML.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from planewright.web.api import Change
from planewright.web.edits import value_at


@dataclass(frozen=True)
class Merged:
    """``text`` with everything that could be put together; ``touching`` names the places that could not (theirs
    stand there)."""

    text: str
    touching: tuple[str, ...]


def _watched(change: Change) -> str:
    """The path whose value a change rests on: its own, or the list it counts in."""
    parent, _, last = change.path.rpartition(".")
    return parent if change.do != "set" and last.isdecimal() and parent else change.path


def touching(base: str, theirs: str, changes: Sequence[Change]) -> tuple[str, ...]:
    """Paths of the changes whose place is no longer as in ``base``, unless it already reads as wanted."""
    found = []
    for one in changes:
        path = _watched(one)
        was, now = value_at(base, path), value_at(theirs, path)
        if was != now and str(now) != one.text:
            found.append(one.path)
    return tuple(found)


@dataclass(frozen=True)
class Hunk:
    """Lines ``start`` to ``end`` of the base replaced by ``lines``."""

    start: int
    end: int
    lines: tuple[str, ...]

    def meets(self, other: Hunk) -> bool:
        """True when both touch one line, or put something in at the same place."""
        if self == other:
            return False
        return self.start <= other.end and other.start <= self.end


def hunks(base: Sequence[str], changed: Sequence[str]) -> list[Hunk]:
    """What turns the base lines into the changed lines."""
    codes = SequenceMatcher(None, base, changed, autojunk=False).get_opcodes()
    return [Hunk(a, b, tuple(changed[c:d])) for kind, a, b, c, d in codes if kind != "equal"]


def merge_lines(base: str, yours: str, theirs: str) -> Merged:
    """Three-way merge of whole texts. Lines both changed keep theirs and are named ("line 12")."""
    lines = base.splitlines(keepends=True)
    own, other = hunks(lines, yours.splitlines(keepends=True)), hunks(lines, theirs.splitlines(keepends=True))
    clash = [one for one in own if any(one.meets(two) for two in other)]
    free = [one for one in own if one not in clash and one not in other]
    for one in sorted([*free, *other], key=lambda one: (one.start, one.end), reverse=True):
        lines[one.start : one.end] = one.lines
    return Merged("".join(lines), tuple(f"line {one.start + 1}" for one in clash))


def merge_texts(name: str, base: str, yours: str, theirs: str) -> Merged:
    """``merge_lines``, and for a TOML file its result must read as TOML: else the whole file is the clash."""
    merged = merge_lines(base, yours, theirs)
    if not name.endswith(".toml") or merged.touching or _reads(merged.text) or not _reads(theirs):
        return merged
    return Merged(theirs, ("the whole file",))


def _reads(text: str) -> bool:
    try:
        tomllib.loads(text)
    except (ValueError, RecursionError):
        return False
    return True
