"""The one record that every door shows: figures, findings, verdict. Plain and finished."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from planewright.findings.model import Finding, Record, State, VerdictId

FigureKind = Literal["drawn", "assumed", "published", "measured", "computed"]


class Shares(Record):
    """Shares of the variance by the kind of input it comes from; they add up to 1."""

    assumed: float
    published: float
    measured: float


class Figure(Record):
    """One number. A drawn or typed number has ``kind`` "drawn" and no band.

    ``value`` is the median of the seeded draws, ``low`` and ``high`` the outer 95 % interval, the two pairs the
    nested intervals (equal to ``value`` where no such input is). ``unit`` is SI in ASCII; angles in rad.
    """

    value: float
    unit: str
    kind: FigureKind
    low: float | None = None
    high: float | None = None
    measured_only: tuple[float, float] | None = None
    measured_published: tuple[float, float] | None = None
    coverage: float | None = None
    shares: Shares | None = None
    decimals: int | None = None
    rests_on: tuple[tuple[str, float], ...] = ()
    condition: dict[str, float | str] = Field(default_factory=dict)
    name: str = ""
    term: str = ""
    method: str = ""
    group: str = ""


class Test(Record):
    """A test that would narrow open rows: what, minutes, people, which findings it settles."""

    name: str
    minutes: float
    people: int
    settles: tuple[str, ...]
    says: str
    effects: tuple[str, ...] = ()


class Expected(Record):
    """One reading of a trial that was not done yet: what, SI unit, 95 % band. ``form`` "flag": ``middle`` is the
    chance that it holds. ``said``: under which name a trial file says it before ("" for none)."""

    what: str
    unit: str
    low: float
    middle: float
    high: float
    form: Literal["ln", "shift", "flag", "label"] = "ln"
    said: str = ""


class NextRow(Record):
    """What a test would do to one open row: ``share`` of the variance removed, that share ``per_hour``, the chance
    that the whole stick then lies on one side (``settles``) or on the good side (``clears``)."""

    finding: str
    name: str
    kind: Literal["block", "watch"]
    share: float
    per_hour: float
    settles: float
    clears: float


class NextTest(Record):
    """A test worth doing now: its kind and part, time, people, rows of evidence it ``closes``, what it does to open
    rows, and the chance that it ``breaks`` the ``article`` (the part that will fly, or a piece made for it)."""

    kind: str
    of: str
    minutes: float
    people: int
    closes: tuple[str, ...] = ()
    rows: tuple[NextRow, ...] = ()
    article: Literal["nothing", "piece", "flying"] = "nothing"
    breaks: float = 0.0
    most: str = ""
    notes: tuple[str, ...] = ()
    expects: tuple[Expected, ...] = ()


class MovedRow(Record):
    """A finding that the trials moved: its state before and after, its value before and after (None for evidence), and
    the trials that moved what it rests on, largest share first."""

    finding: str
    name: str
    before: State
    after: State
    value_before: float | None
    value_after: float | None
    unit: str
    by: tuple[str, ...]


class Verdict(Record):
    """``says`` is the word of the page; ``sentence`` the first reason."""

    id: VerdictId
    says: str
    sentence: str
    configuration: str
    mass_range: tuple[float, float] | None
    field: str
    limits: tuple[str, ...]
    today: str


class TrialRow(Record):
    """A trial as the book lists it: run, planned, or set aside with its reason.

    ``says``: what it gave and what was found in its rows. ``moved``: quantity, band before, band after, in words.
    ``expects``: of a planned trial, what it should read by what is known now.
    """

    id: str
    kind: str
    of: str
    date: str
    state: Literal["taken in", "planned", "set aside", "not taken in"]
    done_by: str = ""
    said_before: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    moved: tuple[tuple[str, str, str], ...] = ()
    expects: tuple[Expected, ...] = ()


class Absent(Record):
    """A figure that could not be computed, and why."""

    figure: str
    why: str


class FaultRecord(Record):
    """A fault of reading as the JSON shows it."""

    file: str
    line: int
    path: str
    read: str
    expected: str
    advice: str
    severity: Literal["fault", "question", "note"]


class MassRow(Record):
    """One part in the weight table: kg and m. ``state`` tells whether it was weighed."""

    part: str
    drawn: float
    weighed: float | None
    used: float
    x: float
    y: float
    z: float
    state: Literal["weighed", "drawn", "stated"]


class Document(Record):
    """The JSON document of every command with ``--json``."""

    schema_: str = Field("planewright/study/1", alias="schema")
    version: str
    project: str
    faults: tuple[FaultRecord, ...] = ()
    figures: dict[str, Figure] = Field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    verdict: Verdict | None = None
    inputs_hash: str = ""
    absent: tuple[Absent, ...] = ()
    weights: tuple[MassRow, ...] = ()
    trials: tuple[TrialRow, ...] = ()
    tests: tuple[Test, ...] = ()
    following: tuple[NextTest, ...] = ()
    moved: tuple[MovedRow, ...] = ()
    verdict_before: VerdictId | None = None
    defaults: tuple[tuple[str, str], ...] = ()
