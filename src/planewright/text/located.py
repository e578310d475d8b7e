"""TOML together with the line of every key."""

from __future__ import annotations

import contextlib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path as FilePath
from typing import Any

from planewright.errors import Fault, InputError
from planewright.files import read_text

Path = tuple[str | int, ...]
"""A place in a TOML document: table and key names, and 0-based places in arrays."""

_LINE = re.compile(r"\s*\(at line (\d+), column \d+\)")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}\n#]*")
_ESCAPE = re.compile(r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})|\\(.)")


@dataclass(frozen=True)
class Located:
    """A TOML document: its data, and the 1-based line on which each key stands.

    ``file`` is the name that faults carry. ``line`` answers for any path: if a key is not there, with the line
    of the nearest table around it.
    """

    file: str
    data: Mapping[str, Any] = field(default_factory=dict)
    lines: Mapping[Path, int] = field(default_factory=dict)

    def line(self, path: Path) -> int:
        """Line of ``path``, or of the nearest table around it; 0 for the document as a whole."""
        for size in range(len(path), 0, -1):
            if path[:size] in self.lines:
                return self.lines[path[:size]]
        return 0


def read_toml(path: FilePath, file: str) -> tuple[Located | None, tuple[Fault, ...]]:
    """Read a TOML 1.0 file with the lines of its keys.

    Arguments:
        path: the file.
        file: the name that faults shall carry, such as ``trials/2026-04-18-bend/trial.toml``.

    Returns:
        The document and no fault, or None and one fault: missing, too large, not text, not TOML, nested too deeply.
    """
    try:
        return _parse(read_text(path), file), ()
    except InputError as error:
        return None, tuple(named(fault, file) for fault in error.faults)
    except RecursionError:
        return None, (_fault(file, 0, "is nested too deeply to be read.", "A few levels are enough.", ""),)
    except ValueError as error:
        return None, (_not_toml(file, str(error)),)


def is_there(path: FilePath) -> bool:
    """True if something lies at ``path``, or if the system will not say (reading it then tells why)."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return True


def named(fault: Fault, file: str) -> Fault:
    """The same fault under another file name."""
    return Fault(file, fault.line, fault.path, fault.read, fault.expected, fault.advice, fault.severity)


def _parse(text: str, file: str) -> Located:
    text = text.replace("\r\n", "\n")
    return Located(file, tomllib.loads(text), lines_of(text))


def _fault(file: str, line: int, read: str, expected: str, advice: str) -> Fault:
    return Fault(file, line, "", read, expected, advice)


def _not_toml(file: str, message: str) -> Fault:
    hit = _LINE.search(message)
    what = _LINE.sub("", message).strip().rstrip(".")
    said = f"is not TOML here: {what[:1].lower()}{what[1:200]}."
    advice = "A text stands in quotation marks, and a table of one line stays on one line."
    return _fault(file, int(hit[1]) if hit else 0, said, "A TOML file is wanted.", advice)


def lines_of(text: str) -> dict[Path, int]:
    """The line of every key, table and array element of a TOML text that ``tomllib`` has already accepted.

    Of a text that is not TOML the lines up to the place where it could not be followed.
    """
    return dict(_scanned(text))


@lru_cache(maxsize=128)
def _scanned(text: str) -> Mapping[Path, int]:
    """Lines of a text; those of the texts read last are kept, for a page asks for them again with every change."""
    scanner = _Scanner(text)
    with contextlib.suppress(ValueError, IndexError):
        scanner.scan()
    return scanner.lines


class _Scanner:
    """Walks over a valid TOML text and notes where keys stand; it does not read values."""

    def __init__(self, text: str) -> None:
        self.text, self.at, self.row = text, 0, 1
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}

    def scan(self) -> None:
        table: Path = ()
        while self._skip_blank():
            if self._peek("[["):
                table = self._header(2)
            elif self._peek("["):
                table = self._header(1)
            else:
                self._pair(table)

    def _peek(self, what: str) -> bool:
        return self.text.startswith(what, self.at)

    def _move(self, count: int) -> None:
        self.row += self.text.count("\n", self.at, self.at + count)
        self.at += count

    def _skip_blank(self, newlines: bool = True) -> bool:
        blank = re.compile(r"(?:[ \t\n]|#[^\n]*)+" if newlines else r"[ \t]+")
        if hit := blank.match(self.text, self.at):
            self._move(hit.end() - hit.start())
        return self.at < len(self.text)

    def _key(self) -> Path:
        parts: list[str] = []
        while True:
            self._skip_blank(newlines=False)
            if self.text[self.at : self.at + 1] in ('"', "'"):
                parts.append(self._string())
            else:
                hit = _BARE.match(self.text, self.at)
                if hit is None:
                    raise ValueError("a key cannot be followed")
                parts.append(hit[0])
                self._move(len(hit[0]))
            self._skip_blank(newlines=False)
            if not self._peek("."):
                return tuple(parts)
            self._move(1)

    def _header(self, brackets: int) -> Path:
        row = self.row
        self._move(brackets)
        path = self._inside(self._key())
        self._skip_blank(newlines=False)
        self._move(brackets)
        if brackets == 2:
            self.lines.setdefault(path, row)
            self.counts[path] = self.counts.get(path, -1) + 1
            path = (*path, self.counts[path])
        self._note(path, row)
        return path

    def _inside(self, names: Path) -> Path:
        """The path of a header, with the place of the last element of every array of tables on the way."""
        path: Path = ()
        for place, name in enumerate(names):
            path = (*path, name)
            if path in self.counts and place < len(names) - 1:
                path = (*path, self.counts[path])
        return path

    def _note(self, path: Path, row: int) -> None:
        for size in range(1, len(path)):
            self.lines.setdefault(path[:size], row)
        self.lines[path] = row

    def _pair(self, table: Path) -> None:
        row = self.row
        path = (*table, *self._key())
        self._note(path, row)
        self._skip_blank(newlines=False)
        self._move(1)
        self._value(path)

    def _value(self, path: Path) -> None:
        self._skip_blank(newlines=False)
        first = self.text[self.at : self.at + 1]
        if first in ('"', "'"):
            self._string()
        elif first == "[":
            self._array(path)
        elif first == "{":
            self._inline(path)
        elif hit := _SCALAR.match(self.text, self.at):
            self._move(hit.end() - hit.start())

    def _array(self, path: Path) -> None:
        self._move(1)
        count = 0
        while self._skip_blank() and not self._peek("]"):
            self.lines[(*path, count)] = self.row
            self._value((*path, count))
            count += 1
            self._skip_blank()
            self._move(self._peek(","))
        self._move(1)

    def _inline(self, path: Path) -> None:
        self._move(1)
        while self._skip_blank() and not self._peek("}"):
            self._pair(path)
            self._skip_blank()
            self._move(self._peek(","))
        self._move(1)

    def _string(self) -> str:
        """Skip a string; what it says."""
        quote = self.text[self.at]
        mark = quote * 3 if self._peek(quote * 3) else quote
        start = self.at + len(mark)
        end = start
        while not self.text.startswith(mark, end):
            end += 2 if quote == '"' and self.text[end] == "\\" else 1
            if end >= len(self.text):
                raise ValueError("a string cannot be followed")
        while len(mark) == 3 and self.text.startswith(quote, end + 3):
            end += 1
        self._move(end + len(mark) - self.at)
        return self.text[start:end] if quote == "'" else _unescape(self.text[start:end])


_PLAIN = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r"}


def _unescape(text: str) -> str:
    def one(hit: re.Match[str]) -> str:
        code = hit[1] or hit[2]
        return chr(int(code, 16)) if code else _PLAIN.get(hit[3], hit[3])

    return _ESCAPE.sub(one, text) if "\\" in text else text
