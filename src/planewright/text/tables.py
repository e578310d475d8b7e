"""Comma-separated tables as people and loggers leave them (RFC 4180, loosely)."""

from __future__ import annotations

import csv
import hashlib
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

from planewright.errors import Fault, InputError
from planewright.files import read_bytes, read_text
from planewright.text.located import named

SEPARATORS = (",", ";", "\t")
MOST_COLUMNS = 200
LONGEST_LINE = 100_000
BLANKS = " \t\v\f\u00a0\u2009\u202f"
MOST_FAULTS = 50
"""Faults of one kind reported for one table before the rest is only counted."""

_COMMA_NUMBER = re.compile(r"\s*[-+−]?\d+,\d+\s*")


@dataclass(frozen=True)
class RawTable:
    """A table as text. ``rows`` are as long as ``head``; ``lines`` is the 1-based file line of each row.

    ``separator`` is the one the file uses; ``digest`` the SHA-256 of its bytes.
    """

    file: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    digest: str
    separator: str = ","

    def column(self, head: str) -> tuple[str, ...]:
        """The cells under ``head``; empty texts if there is no such column."""
        if head not in self.head or not self.rows:
            return ("",) * len(self.rows)
        return self._columns[self.head.index(head)]

    @cached_property
    def _columns(self) -> tuple[tuple[str, ...], ...]:
        return tuple(zip(*self.rows, strict=True))


def read_table(path: Path, file: str) -> tuple[RawTable | None, tuple[Fault, ...]]:
    """Read a comma-, semicolon- or tab-separated file with one line of heads.

    A byte order mark, blank lines, spaces round cells and empty cells at the end of a row are forgiven.

    Arguments:
        path: the file.
        file: the name that faults shall carry.

    Returns:
        The table, or None if there is no table to speak of; and all faults: missing or empty file, not text,
        heads that are empty or stand twice, rows with the wrong number of fields (kept, cut or filled with "").
    """
    try:
        text = read_text(path)
        digest = hashlib.sha256(read_bytes(path)).hexdigest()
    except InputError as error:
        return None, tuple(named(fault, file) for fault in error.faults)
    return parse_table(text, file, digest)


def parse_table(text: str, file: str, digest: str = "") -> tuple[RawTable | None, tuple[Fault, ...]]:
    """The table that ``text`` holds, as ``read_table`` gives it."""
    separator = find_separator(text)
    even = _even_table(text, file, digest, separator)
    if even is not None:
        return even, tuple(shortened(_head_faults(file, 1, even.head), file))
    try:
        rows = _split(text, separator)
    except csv.Error as error:
        return None, (Fault(file, 0, "", f"is no table: {error}.", "A table of commas is wanted.", ""),)
    if not rows:
        advice = "Put the heads in its first line, or take the file away."
        return None, (Fault(file, 0, "", "is empty.", "A line of heads and some rows are wanted.", advice),)
    head = tuple(cell.strip() for cell in _trimmed(rows[0][1]))
    if len(head) > MOST_COLUMNS:
        return None, (
            Fault(file, rows[0][0], "", f"has {len(head)} columns.", "Is this the right file?", ""),
        )
    faults = list(_head_faults(file, rows[0][0], head))
    fitted_rows, lines = [], []
    for line, cells in rows[1:]:
        fitted, fault = _fit(file, line, cells, head, separator)
        fitted_rows.append(fitted)
        lines.append(line)
        faults += [fault] if fault else []
    table = RawTable(file, head, tuple(fitted_rows), tuple(lines), digest, separator)
    return table, tuple(shortened(faults, file))


def find_separator(text: str) -> str:
    """The separator of the first line that is not blank: the one that stands there most often, else a comma."""
    first = next(iter(text.lstrip()[:LONGEST_LINE].splitlines()), "")
    bare = re.sub(r'"[^"]*"', "", first)
    best = max(SEPARATORS, key=bare.count)
    return best if bare.count(best) else ","


def _even_table(text: str, file: str, digest: str, separator: str) -> RawTable | None:
    """The table of a text in which nothing wants a closer look, as loggers write it: no quotation marks, no blanks, no
    empty line, every line with as many cells as the first. None for any other text. A long log is read fast by it."""
    if separator in BLANKS or '"' in text or any(sign in text for sign in BLANKS):
        return None
    lines = text.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n").split("\n")
    gaps = lines[0].count(separator)
    if len(lines) < 2 or gaps >= MOST_COLUMNS or separator * gaps in lines:
        return None
    if lines[0].endswith(separator) or any(line.count(separator) != gaps for line in lines):
        return None
    flat, size = separator.join(lines).split(separator), gaps + 1
    head, columns = tuple(flat[:size]), tuple(tuple(flat[size + k :: size]) for k in range(size))
    return RawTable(
        file, head, tuple(zip(*columns, strict=True)), tuple(range(2, len(lines) + 1)), digest, separator
    )


def _split(text: str, separator: str) -> list[tuple[int, list[str]]]:
    """(line on which the row starts, cells) of every row that is not blank."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    reader = csv.reader((line + "\n" for line in lines), delimiter=separator, skipinitialspace=True)
    found, before = [], 0
    for cells in reader:
        if any(map(str.strip, cells)):
            found.append((before + 1, cells))
        before = reader.line_num
    return found


def _trimmed(cells: Sequence[str]) -> list[str]:
    kept = list(cells)
    while kept and not kept[-1].strip():
        kept.pop()
    return kept


def _head_faults(file: str, line: int, head: tuple[str, ...]) -> list[Fault]:
    faults = []
    for place, name in enumerate(head):
        if not name:
            faults.append(Fault(file, line, f"head {place + 1}", "is empty.", "Every column has a head.", ""))
        elif name in head[:place]:
            advice = "Give each column its own head."
            faults.append(Fault(file, line, f"head {place + 1}", f'reads "{name[:40]}" again.', "", advice))
    return faults


def _fit(
    file: str, line: int, cells: list[str], head: tuple[str, ...], separator: str
) -> tuple[tuple[str, ...], Fault | None]:
    """The row made as long as the head, and the fault if it was not."""
    size = len(head)
    stripped = list(map(str.strip, cells))
    if len(stripped) == size:
        return tuple(stripped), None
    longest = len(_trimmed(stripped))
    fitted = tuple((stripped + [""] * size)[:size])
    if len(stripped) > size and longest <= size:
        return fitted, None
    advice = "A cell without a reading stays empty between its two separators."
    if len(stripped) > size and separator == ",":
        advice = 'A comma inside a cell wants quotation marks round the cell, such as "motor, propeller".'
    expected = f"The heads are {size}."
    return fitted, Fault(file, line, "", f"has {len(stripped)} fields.", expected, advice)


def shortened(faults: Sequence[Fault], file: str, most: int = MOST_FAULTS) -> list[Fault]:
    """At most ``most`` of the faults, and one more that counts the rest."""
    if len(faults) <= most:
        return list(faults)
    rest = len(faults) - most
    last = Fault(
        file, faults[most].line, "", f"has {rest} more faults from here on.", "", "Is this the right file?"
    )
    return [*faults[:most], last]


@lru_cache(maxsize=64)
def plain_numbers(cells: tuple[str, ...]) -> tuple[float, ...] | None:
    """A whole column at once, nan for an empty cell; None where a cell needs a closer look (a comma, words, infinity).

    What is read here is what ``parse_number`` reads; a log of many thousand rows takes no more time than it must.
    """
    try:
        values = tuple([float(cell) if cell else math.nan for cell in cells])
    except ValueError:
        return None
    odd = sum(map(math.isfinite, values)) != len(cells) - cells.count("")
    return None if odd or "_" in " ".join(cells) else values


def parse_number(text: str, separator: str = ",") -> tuple[float | None, str]:
    """The number in a cell: (value, "") or (None, advice). An empty cell is not asked here.

    A decimal comma is read in tables parted by semicolons or tabs, and asked about in the others when it could
    part thousands.
    """
    clean = text.strip().replace("−", "-")
    if _COMMA_NUMBER.fullmatch(clean):
        point = clean.replace(",", ".")
        if separator == "," and len(clean.rpartition(",")[2]) == 3:
            return None, f'Write "{point}", or "{clean.replace(",", "")}" if the comma parts the thousands.'
        clean = point
    try:
        value = float(clean) if "_" not in clean else float("nan")
    except ValueError:
        value = float("nan")
    if value - value != 0:
        return None, "Leave the cell empty if there was no reading, and put words into a column of notes."
    return value, ""
