"""Reading one TOML document key by key, collecting every fault on the way."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection, Mapping
from typing import Any

from planewright.errors import Fault, InputError, Severity
from planewright.text.located import Located, Path
from planewright.text.names import meant, same_name
from planewright.units import Dimension, read

SHOWN = 60
"""Longest piece of a wrong value that a fault repeats."""


def shown(value: object) -> str:
    """A wrong value as a fault repeats it: short, in quotation marks when it was text."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        clean = "".join(c if c.isprintable() else "?" for c in value[: SHOWN + 1])
        return f'"{clean}"' if len(clean) <= SHOWN else f'"{clean[: SHOWN - 3]}..."'
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return "a list"
    try:
        text = str(value)
    except ValueError:
        return "a number of thousands of figures"
    return text if len(text) <= SHOWN else f"{text[: SHOWN - 3]}..."


def spoken(path: Path) -> str:
    """A path in builders' words: ``("remark", 1, "row")`` is ``remark 2, row``."""
    words = ""
    for part in path:
        if isinstance(part, int):
            words += f" {part + 1},"
        else:
            words += part if not words else (f" {part}" if words.endswith(",") else f".{part}")
    return words.rstrip(",")


class Reader:
    """Takes values out of one document and keeps a list of all faults found, in the order of asking.

    Every method takes the path of the value. What is missing gives the default and no fault unless it was asked
    with ``need``; what is wrong gives the default and one fault.
    """

    def __init__(self, source: Located) -> None:
        self.source = source
        self.faults: list[Fault] = []

    def fault(
        self, path: Path, read: str, expected: str, advice: str = "", severity: Severity = "fault"
    ) -> None:
        """Note one fault at ``path``."""
        line = self.source.line(path)
        self.faults.append(Fault(self.source.file, line, spoken(path), read, expected, advice, severity))

    def sorted_faults(self) -> tuple[Fault, ...]:
        """All faults in the order of the file."""
        return tuple(sorted(self.faults, key=lambda one: one.line))

    def get(self, path: Path) -> Any:
        """The raw value at ``path``, or None."""
        here: Any = self.source.data
        for part in path:
            if isinstance(here, Mapping):
                here = here.get(part)
            elif isinstance(here, list) and isinstance(part, int) and part < len(here):
                here = here[part]
            else:
                return None
        return here

    def need(self, path: Path, expected: str, advice: str) -> bool:
        """True if something stands at ``path``; else a fault."""
        if self.get(path) is not None:
            return True
        self.fault(path, "is missing.", expected, advice)
        return False

    def table(self, path: Path, known: Collection[str] | None = None) -> Mapping[str, Any]:
        """The table at ``path`` ({} if there is none), with a fault for each key that is not ``known``."""
        value = self.get(path) if path else self.source.data
        if value is None:
            return {}
        if not isinstance(value, Mapping):
            self.fault(
                path, f"reads {shown(value)}.", "A table is wanted.", "Write it in braces or under a heading."
            )
            return {}
        for key in value if known is not None else ():
            if key not in (known or ()):
                where = (*path, key)
                self.fault(where, "is not known here.", *meant(key, known or (), "Keys that stand here"))
        return value

    def text(self, path: Path, default: str = "") -> str:
        """A text; a bare number is taken as text too (a serial, a letter)."""
        value = self.get(path)
        if value is None:
            return default
        if isinstance(value, bool) or not isinstance(value, str | int):
            self.fault(path, f"reads {shown(value)}.", "A text is wanted.", "Put it in quotation marks.")
            return default
        return shown(value) if isinstance(value, int) else value

    def choice(self, path: Path, known: Collection[str], what: str) -> str | None:
        """One of the ``known`` words, forgiving capitals, hyphens and spaces."""
        value = self.get(path)
        if value is None:
            return None
        found = same_name(value, known) if isinstance(value, str) else None
        if found is None:
            known_ones = meant(value if isinstance(value, str) else "", known, what)
            self.fault(path, f"reads {shown(value)}.", *known_ones)
        return found

    def texts(self, path: Path) -> tuple[str, ...]:
        """A list of texts, or one text."""
        value = self.get(path)
        if value is None:
            return ()
        if isinstance(value, list):
            return tuple(self.text((*path, place)) for place in range(len(value)))
        return (self.text(path),)

    def number(self, path: Path, default: float, low: float = -math.inf, high: float = math.inf) -> float:
        """A bare number from ``low`` to ``high``."""
        value = self.get(path)
        if value is None:
            return default
        number = finite(value)
        if number is None:
            self.fault(
                path, f"reads {shown(value)}.", "A number is wanted.", "Write it bare, such as 15 or 0.5."
            )
            return default
        if not low <= number <= high:
            expected = (
                f"It is at least {low:g}." if high == math.inf else f"It lies from {low:g} to {high:g}."
            )
            self.fault(path, f"reads {shown(value)}.", expected)
            return default
        return number

    def whole(self, path: Path) -> int | None:
        """A whole number, or None with a fault."""
        value = self.get(path)
        if isinstance(value, int) and not isinstance(value, bool):
            return value
        self.fault(
            path, f"reads {shown(value)}.", "A whole number is wanted.", ""
        ) if value is not None else None
        return None

    def quantity(self, path: Path, dimension: Dimension, what: str = "") -> float | None:
        """One quantity with its unit, in SI; None if missing or wrong."""
        value = self.get(path)
        return None if value is None else self.quantity_of(value, path, dimension, what)

    def quantity_of(self, value: object, path: Path, dimension: Dimension, what: str = "") -> float | None:
        """The quantity that ``value``, found at ``path``, says; None with a fault if it says none."""
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            self.fault(path, f"reads {shown(value)}.", "A quantity with its unit is wanted, as a text.", "")
            return None
        try:
            return read(value if isinstance(value, str) else shown(value), dimension, what)
        except InputError as error:
            self.take(error, path)
            return None

    def take(self, error: InputError, path: Path) -> None:
        """Take over the faults of a reader of quantities, which knows neither file nor place."""
        for one in error.faults:
            self.fault(path, one.read, one.expected, one.advice)

    def date(self, path: Path) -> dt.date | None:
        """A date, bare or as an ISO 8601 text; None if missing or wrong."""
        value = self.get(path)
        if isinstance(value, dt.datetime):
            return value.date()
        if value is None or isinstance(value, dt.date):
            return value
        found, advice = parse_date(value if isinstance(value, str) else "")
        if found is None:
            self.fault(path, f"reads {shown(value)}.", "A date is wanted, year first.", advice)
        return found


def finite(value: object) -> float | None:
    """A bare TOML number as a finite float; None if it is anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def parse_date(text: str) -> tuple[dt.date | None, str]:
    """An ISO 8601 date, or None and the advice (with the corrected text where there is only one reading)."""
    clean = text.strip()
    try:
        return dt.date.fromisoformat(clean), ""
    except ValueError:
        pass
    parts = clean.replace("/", ".").split(".")
    if len(parts) == 3 and all(part.isascii() and part.isdigit() and len(part) < 5 for part in parts):
        day, month, year = (int(part) for part in parts)
        if day > 12 and 1 <= month <= 12 and day <= 31 and year > 1900:
            return None, f'Write "{year}-{month:02d}-{day:02d}".'
    return None, 'Write it as in ISO 8601: "2026-05-02".'
