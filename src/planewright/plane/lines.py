"""On which line each key of a TOML text stands. The text must already have been accepted by ``tomllib``."""

from __future__ import annotations

import json
import re

Path = tuple[str | int, ...]

DEEPEST = 40
"""Deepest nesting of lists and inline tables that is followed."""

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_KEY = re.compile(r"[A-Za-z0-9_-]+|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}(?!")|\'\'\'.*?\'{3,5}(?!\')|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'', re.DOTALL
)
_BARE = re.compile(r"[^,\]}#\n]*")


class TooDeep(ValueError):
    """Lists or inline tables inside each other beyond ``DEEPEST``."""


def _plain_key(token: str) -> str:
    if token[0] == "'":
        return token[1:-1]
    if token[0] == '"':
        try:
            return str(json.loads(token))
        except ValueError:
            return token[1:-1]
    return token


class _Scanner:
    """One pass over a valid TOML text; ``found`` maps each path to its 1-based line."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.found: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}
        self._line, self._counted = 1, 0

    def line(self) -> int:
        self._line += self.text.count("\n", self._counted, self.at)
        self._counted = self.at
        return self._line

    def skip(self, pattern: re.Pattern[str]) -> None:
        hit = pattern.match(self.text, self.at)
        self.at = hit.end() if hit else self.at

    def peek(self, token: str) -> bool:
        return self.text.startswith(token, self.at)

    def note(self, path: Path) -> None:
        line = self.line()
        for size in range(1, len(path) + 1):
            self.found.setdefault(path[:size], line)

    def keys(self) -> tuple[str, ...]:
        """A dotted key."""
        found: list[str] = []
        while hit := _KEY.match(self.text, self.at):
            found.append(_plain_key(hit[0]))
            self.at = hit.end()
            self.skip(_SPACE)
            if not self.peek("."):
                break
            self.at += 1
            self.skip(_SPACE)
        return tuple(found)

    def run(self) -> None:
        here: Path = ()
        while True:
            self.skip(_BLANK)
            if self.at >= len(self.text):
                return
            before = self.at
            if self.peek("["):
                here = self.header()
            else:
                self.pair(here, 0)
            if self.at == before:
                return

    def header(self) -> Path:
        many = self.peek("[[")
        self.at += 2 if many else 1
        self.skip(_SPACE)
        path: Path = ()
        names = self.keys()
        for number, name in enumerate(names):
            path = (*path, name)
            if many and number == len(names) - 1:
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
        self.note(path)
        self.at += 2 if many else 1
        return path

    def pair(self, here: Path, depth: int) -> None:
        path = here + self.keys()
        self.note(path)
        self.skip(_SPACE)
        self.at += 1
        self.skip(_SPACE)
        self.value(path, depth)

    def value(self, path: Path, depth: int) -> None:
        if depth > DEEPEST:
            raise TooDeep
        if self.peek("["):
            self.array(path, depth)
        elif self.peek("{"):
            self.inline(path, depth)
        elif hit := _STRING.match(self.text, self.at):
            self.at = hit.end()
        else:
            self.skip(_BARE)

    def array(self, path: Path, depth: int) -> None:
        self.at += 1
        number = 0
        while True:
            self.skip(_BLANK)
            if self.at >= len(self.text) or self.peek("]"):
                self.at += 1
                return
            if self.peek(","):
                self.at += 1
                continue
            before = self.at
            self.note((*path, number))
            self.value((*path, number), depth + 1)
            number += 1
            if self.at == before:
                return

    def inline(self, path: Path, depth: int) -> None:
        self.at += 1
        while True:
            self.skip(_BLANK)
            if self.at >= len(self.text) or self.peek("}"):
                self.at += 1
                return
            if self.peek(","):
                self.at += 1
                continue
            before = self.at
            self.pair(path, depth + 1)
            if self.at == before:
                return


def locate(text: str) -> dict[Path, int]:
    """The 1-based line of every key, table and list entry, by its path as written.

    Raises:
        TooDeep: nesting beyond ``DEEPEST``.
    """
    scanner = _Scanner(text)
    scanner.run()
    return scanner.found
