"""What the page asks of the server: frozen records, no unknown keys. ``api`` holds them with all the others."""

from __future__ import annotations

from typing import Literal

from pydantic import Field as Filled

from planewright.findings.model import Record


class Change(Record):
    """One change of a TOML file. ``set``: a value as written ("150 mm"). ``insert``: a TOML value (``[60, -18]``,
    ``{ at = [1, 2] }``) put in under a new key, or before an index of a list. ``remove``: takes the key or the
    entry out."""

    file: str
    path: str
    text: str = ""
    do: Literal["set", "insert", "remove"] = "set"


class Edit(Record):
    """Changes made on top of ``revision``; ``says`` is kept in the history."""

    revision: int
    changes: tuple[Change, ...]
    says: str = ""


class Weigh(Record):
    """A weighing as typed. ``when`` is a date (year first) or "" for none; the page fills today."""

    part: str
    mass: str
    when: str = ""
    who: str = ""
    note: str = ""


class TwoPersonCheck(Record):
    """A check as two people saw it. ``name``: one of ``State.check_names``."""

    name: str
    passed: bool
    when: str
    configuration: str = ""
    serial: str = ""
    who: str = ""
    note: str = ""


class NewTrial(Record):
    """A planned trial. ``fields``: answers to ``TrialKind.asks`` by key, as written."""

    kind: str
    of: str
    date: str
    fields: dict[str, str] = Filled(default_factory=dict)


class SetAside(Record):
    """Why a trial shall not count, and who decided it (a role)."""

    reason: str
    by: str = ""


class RemarkOn(Record):
    """A remark about one data row (1-based)."""

    row: int
    says: str
    use: Literal["leave out", "keep"] = "leave out"
    file: str = "readings.csv"


class WholeFile(Record):
    """A whole file as edited in the page, on top of the text whose ``hash`` the page read."""

    name: str
    text: str
    hash: str


class Start(Record):
    """What to start from: one of ``State.examples``, or ``empty`` for a sheet with a name only."""

    kind: str
    name: str = ""


class Print(Record):
    """Paper and printer correction: what 100 mm measured across and along the paper, mm."""

    paper: Literal["A4", "A3", "Letter", "Tabloid"] = "A4"
    across: float = 100.0
    along: float = 100.0
