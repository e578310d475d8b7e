"""Everything that crosses the wire between page and server: frozen records, no unknown keys.

All lengths are metres, masses kilograms, angles radians unless a field says otherwise; words are ready to be shown
in the units the page asked for (``?units=metric`` or ``imperial``; else those of the file). Text is data: the page
writes it as text, never as markup. ``TYPES`` lists the records from which the page's types are generated.

=======================  ==================================================================================
route                    what it does
=======================  ==================================================================================
GET  /                   the built page; GET /assets/... its files
GET  /api/state          -> State. ``?units=`` as each reader likes
GET  /api/mesh           -> bytes, little endian: u32 vertices, u32 triangles, f32 xyz per vertex,
                         u32 three per triangle. ``State.shape.parts`` says which triangles are which part
POST /api/preview        Edit -> Moves: what these changes would move. Nothing is written
POST /api/edit           Edit -> Saved, or 409 Refusal with ``conflict``
POST /api/weigh          Weigh -> Saved: one line at the end of weighings.csv
POST /api/weigh/preview  Weigh -> Moves: what that line would move, and what is asked about it. Nothing is written
POST /api/check          TwoPersonCheck -> Saved: one line at the end of checks.csv
POST /api/trial          NewTrial -> Saved (``made``: the trial's id): a planned trial in a new folder
PUT  /api/trial/ID/readings
                         raw body (text/csv, at most 4 MB) -> Saved. The bytes are kept as dropped.
                         ``?name=readings.csv`` or ``calibration.csv``; ``?mend=1`` also keeps what was
                         dropped beside a table in which cells that are no reading are empty. Readings
                         once there are never replaced
POST /api/trial/ID/readings/look
                         raw body -> TableRecord: how the rows would be read. Nothing is written
POST /api/trial/ID/set-aside
                         SetAside -> Saved (an empty reason takes the trial into force again)
POST /api/trial/ID/remark  RemarkOn -> Saved: one remark about one row at the end of trial.toml
POST /api/calibrate      {} -> Job: takes the trials in, writes knowledge.toml, says what moved
GET  /api/file?name=     -> FileText; one of ``State.files``
POST /api/file           WholeFile -> Saved, or 409 Refusal with ``conflict``
POST /api/undo, /api/redo  {} -> Saved
GET  /api/history        -> History, newest first, to the opening of the project
GET  /api/history/N      -> Differences between state N and the state before it (``?with=M``: with M)
POST /api/history/N/back  {} -> Saved: the files as they stood in state N (itself a new state, can be undone)
POST /api/start          Start -> Saved: into an empty folder only
GET  /api/engines        -> Engines: the sheet that ``planewright engine --json`` prints, and its pictures as data
GET  /api/handling       -> Flying: the sheet that ``planewright handling --json`` prints, its pictures in it as data
GET  /api/strength       -> Strength: the sheet that ``planewright strength --json`` prints, and its pictures
GET  /api/cutting        -> Cuts: the record that ``planewright sheets --json`` prints
GET  /api/sheets/N.svg   sheet N of it, full size, as a picture
POST /api/cutting/mark   Boards -> Cuts: boards printed, cut or free again; kept in sheets.json
POST /api/cutting/printer  PrinterRead -> Cuts: what a ruler showed, kept by the printer's name
POST /api/cutting/tidy   Tidy -> Tidied: what laying anew would move, or doing it
POST /api/jobs/sheets    Print -> Job: boards, patterns, cut list, bill; keeps where everything lies
POST /api/jobs/book      Print -> Job; POST /api/jobs/tiles the same; files land in out/
GET  /api/jobs/ID        -> Job; POST /api/jobs/ID/cancel -> Job
GET  /api/download/NAME  a file below out/ (``State.downloads`` lists them)
WS   /ws                 Push, server to page only
=======================  ==================================================================================

Every POST and PUT that cannot be done answers 4xx with a Refusal: 400 wrong input, 404 no such thing, 409 the file
changed meanwhile, 413 too large. Nothing is changed then. The page sends the header ``X-Planewright: 1`` with
every POST and PUT; without it they are refused.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field as Filled

from planewright.documents.cutting.record import Cutting
from planewright.draw.paper import Paper
from planewright.findings.model import Record
from planewright.study.chart import Chart
from planewright.study.engine_sheet import EngineSheet
from planewright.study.handling_sheet import HandlingSheet
from planewright.study.model import Document, FaultRecord
from planewright.web import asked
from planewright.web.strengthwire import Strength

Change = asked.Change
Edit = asked.Edit
Weigh = asked.Weigh
TwoPersonCheck = asked.TwoPersonCheck
NewTrial = asked.NewTrial
SetAside = asked.SetAside
RemarkOn = asked.RemarkOn
WholeFile = asked.WholeFile
Start = asked.Start
Print = asked.Print

Point = tuple[float, float]
Point3 = tuple[float, float, float]
Question = Literal["material", "mass", "lift", "known"]


class Words(Record):
    """A figure as shown: "8.6 m/s", "8.2 to 9.1 m/s", "mostly measured"; ``fine`` with one place more.

    ``factor`` and ``unit``: SI value over ``factor`` is the number shown in ``unit``; ``decimals`` its places.
    """

    value: str
    band: str
    known: str
    fine: str
    unit: str
    factor: float
    decimals: int


class Handle(Record):
    """A ring that drags a field: seen in ``view``, at ``at`` (m; drawing axes, or the site's x, y, 0).

    Moving the ring by ``along`` (m) adds ``per`` to the value in SI. ``step``: SI value of one arrow key.
    """

    view: Literal["plan", "side", "field"]
    at: Point3
    along: Point3
    per: float
    step: float


class Field(Record):
    """A number that can be edited, as written in its file.

    ``path`` is what ``Change`` takes. ``value`` SI (None: not a plain quantity), ``least`` and ``most`` the ends of
    what is taken (None: open); ``unit`` the SI unit; ``written``
    the unit as typed ("mm"), for a handle to write in; ``defaulted`` True when silence gave it (``text`` is how it
    would be written). ``line`` 0 when it is not in the file.
    """

    file: str
    path: str
    name: str
    group: str
    text: str
    value: float | None
    unit: str
    dimension: str
    written: str
    says: str
    defaulted: bool = False
    required: bool = False
    choices: tuple[str, ...] = ()
    line: int = 0
    least: float | None = None
    most: float | None = None
    handle: Handle | None = None


class MeshPart(Record):
    """Triangles ``first`` .. ``first + count - 1`` of the mesh, and what can be asked of them.

    ``mass`` kg of the whole part; ``lift`` its share of the wing's lift at level flight, per metre of span over the
    mean (None: carries none); ``known``: weighed, stated or drawn. ``material`` the stock's kind.
    """

    name: str
    part: str
    material: str
    first: int
    count: int
    mass: float | None = None
    lift: float | None = None
    known: Literal["weighed", "stated", "drawn"] = "drawn"


class Outline(Record):
    """A line of the plan or side view in m: plan (y right, x aft), side (x aft, z up)."""

    part: str
    view: Literal["plan", "side"]
    points: tuple[Point, ...]
    closed: bool = True


class Shape(Record):
    """The aeroplane to look at. ``mesh`` changes with the triangles: fetch /api/mesh again when it does.

    ``marks``: points worth showing in the views, m: balance point, neutral point, battery, with their words.
    """

    mesh: str
    parts: tuple[MeshPart, ...] = ()
    outlines: tuple[Outline, ...] = ()
    marks: tuple[tuple[str, Point3], ...] = ()
    size: Point3 = (0.0, 0.0, 0.0)


class TreesRecord(Record):
    """A line or outline of trees, m."""

    name: str
    points: tuple[Point, ...]
    closed: bool
    height: float
    leaves: str = ""


class StandRecord(Record):
    """A person or a camera on the field."""

    name: str
    at: Point
    camera: bool = False
    looks: str = ""
    on: str = ""


class PathRecord(Record):
    """The planned pattern: middle line and both edges of its 95-in-100 band, m; ``radius`` of the turns."""

    kind: str
    centre: Point
    height: float
    radius: float
    line: tuple[Point, ...]
    outer: tuple[Point, ...]
    inner: tuple[Point, ...]


class SiteRecord(Record):
    """The field: as described, and what follows for the planned flight. ``says``: sentences to read beside it.

    ``cones``: letter and both places; ``people_line``: behind it everybody stays; ``wind`` (the way the air goes) and
    ``sun`` (towards it): unit vectors, None where the day is not planned. ``ahead``: what stands straight ahead of
    the run: name, distance to it, height to gain (with the margin) and place along the run where the climb is
    counted from (cone B), m.
    """

    name: str
    surface: str
    outline: tuple[Point, ...]
    runway: tuple[Point, Point, float] | None
    trees: tuple[TreesRecord, ...]
    stands: tuple[StandRecord, ...]
    x_bearing: float
    take_off_from: Point | None
    take_off_towards: Literal["x", "-x"]
    margins: dict[str, float]
    path: PathRecord | None
    take_off: tuple[float, float, float] | None
    cones: tuple[tuple[str, Point, Point], ...] = ()
    people_line: tuple[Point, ...] = ()
    wind: Point | None = None
    sun: Point | None = None
    ahead: tuple[str, float, float, float] | None = None
    says: tuple[str, ...] = ()


class WeighingRecord(Record):
    """A line of weighings.csv. ``struck``: a later line of the same part counts instead."""

    line: int
    part: str
    mass: float
    written: str
    when: str
    who: str
    note: str
    struck: bool


class CheckRecord(Record):
    """A line of checks.csv."""

    line: int
    name: str
    passed: bool
    when: str
    configuration: str
    serial: str
    who: str
    note: str


class TableRecord(Record):
    """Raw rows as logged: ``rows[i]`` the cells of file line ``lines[i]``. ``set_aside``: row (1-based) and reason."""

    file: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    set_aside: tuple[tuple[int, str], ...] = ()
    faults: tuple[FaultRecord, ...] = ()


class Moved(Record):
    """A figure or finding that moved: SI values, and words ("7 g more"). ``kind`` finding: states in ``before``,
    ``after``; its ``difference`` is a sentence."""

    kind: Literal["figure", "finding", "verdict"]
    id: str
    name: str
    unit: str = ""
    before: float | None = None
    after: float | None = None
    before_words: str = ""
    after_words: str = ""
    difference: str = ""
    band_before: Point | None = None
    band_after: Point | None = None


class TrialRecord(Record):
    """One trial: what was asked, said before and read; ``charts`` with points, fit, band and residuals.

    Its state and what it moved stand in ``State.document.trials`` under the same id. ``claims``: words, value and
    limit of each quality figure (rows used, out against back, repeat, what is claimed).
    """

    id: str
    kind: str
    of: str
    date: str
    planned: bool
    set_aside: str
    done_by: dict[str, str]
    said_before: tuple[tuple[str, str], ...]
    tables: tuple[TableRecord, ...]
    charts: tuple[Chart, ...] = ()
    claims: tuple[tuple[str, str, str], ...] = ()
    says: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


class TrialKind(Record):
    """A kind of trial that can be planned: what it is of, which columns are read, which words its form asks.

    ``asks``: (key such as ``rig.held``, plain words, a sample as it may be written).
    """

    kind: str
    words: str
    of: tuple[str, ...]
    columns: tuple[str, ...]
    asks: tuple[tuple[str, str, str], ...]
    cautions: tuple[str, ...]


class HistoryEntry(Record):
    """A saved state. ``by``: page, file (a text editor or another program) or opening. ``now``: where we stand."""

    number: int
    when: str
    says: str
    by: Literal["page", "file", "opening"]
    files: tuple[str, ...]
    now: bool = False


class History(Record):
    """Saved states, newest first; ``undo`` and ``redo`` say what they would do ("" when there is nothing)."""

    entries: tuple[HistoryEntry, ...]
    undo: str
    redo: str


class FileDifference(Record):
    """One file in two states: unified difference lines (" same", "-before", "+after"); "" for "not there"."""

    file: str
    lines: tuple[str, ...]
    before: bool
    after: bool


class Differences(Record):
    """Two saved states: their files, and the figures that moved where both can be worked out."""

    before: int
    after: int
    files: tuple[FileDifference, ...]
    moved: tuple[Moved, ...] = ()


class Conflict(Record):
    """A file changed since the page read it, and the two changes touch the same place.

    ``yours`` the text as this page would have saved it (kept under ``kept`` in the history folder), ``theirs`` what
    stands on the disk, ``merged`` their text with those of your changes that touch nothing of theirs.
    """

    file: str
    yours: str
    theirs: str
    merged: str
    paths: tuple[str, ...]
    kept: str
    says: str


class Refusal(Record):
    """Why nothing was done. ``says`` is one sentence; ``faults`` name the places."""

    says: str
    faults: tuple[FaultRecord, ...] = ()
    conflict: Conflict | None = None


class Job(Record):
    """Long work: ``done`` 0 to 1, ``says`` what it is at; ``files`` names to download when done."""

    id: str
    kind: Literal["book", "tiles", "sheets", "calibrate"]
    state: Literal["waiting", "running", "done", "cancelled", "refused"]
    done: float
    says: str
    files: tuple[str, ...] = ()
    faults: tuple[FaultRecord, ...] = ()
    moved: tuple[Moved, ...] = ()


class Download(Record):
    """A made file below out/: ``name`` for /api/download/, bytes, and whether inputs changed since it was made."""

    name: str
    bytes: int
    stale: bool


class InputRecord(Record):
    """A quantity that figures rest on: its plain name, kind, middle and band in words, where it comes from, who
    carries it, and the trials that narrowed it with the share of its prior variance each took away."""

    id: str
    words: str
    kind: Literal["assumed", "published", "measured"]
    value: str
    band: str
    source: str
    owner: str
    moved_by: tuple[tuple[str, float], ...] = ()


class Engines(Record):
    """The engines as far as they are worked out. ``sheet`` is key by key what ``planewright engine --json`` prints
    (without its ``pictures``, which are files; a key that does not apply is null), that of revision ``revision``;
    ``working``: a newer one follows. None where nothing can be worked out: ``why`` then says what lacks. ``charts``
    are its pictures as data: ids "engines", "map NAME", "bench TRIAL"."""

    revision: int
    working: bool
    why: str = ""
    sheet: EngineSheet | None = None
    charts: tuple[Chart, ...] = ()


class Flying(Record):
    """Air and handling as far as they are worked out. ``sheet`` is key by key what ``planewright handling --json``
    prints (without its ``pictures``, which are files), that of revision ``revision``; ``working``: a newer one follows.
    None where nothing can be worked out: ``why`` then says what lacks."""

    revision: int
    working: bool
    why: str = ""
    sheet: HandlingSheet | None = None


class Cuts(Record):
    """What is cut, as far as it is worked out. ``record`` is key by key what ``planewright sheets --json`` prints of
    the same folder; ``working``: a newer one follows. None where nothing can be worked out: ``why`` says what lacks."""

    revision: int
    working: bool
    why: str = ""
    record: Cutting | None = None


class Boards(Record):
    """Boards by name, and what became of them."""

    names: tuple[str, ...]
    state: Literal["free", "printed", "cut"]


class PrinterRead(Record):
    """What a ruler showed on the two bars of a page printed without correction, mm."""

    name: str
    paper: Paper
    across_mm: float
    up_mm: float


class Tidy(Record):
    """Materials to lay anew from nothing. ``do`` False: only say what would move."""

    materials: tuple[str, ...]
    do: bool = False


class Tidied(Record):
    """How many pieces moved or would, the boards that needs, and both in a sentence."""

    says: str
    moved: int
    boards: int


class State(Record):
    """All the page shows of one revision.

    ``revision`` counts saved states of the folder; ``boot`` names this run of the server (a changed one: load anew).
    ``document`` is key by key what ``--json`` prints, once ``working`` is empty; until then the ids in ``working``
    (figures and findings; "verdict") are those of the revision before, still being worked out. Of the figures in
    ``bands`` value and outer band are fresh already, and what is measured and published of the band is that of before.
    None while the folder is ``empty`` or a fault stops the work; ``faults`` then say why. ``words`` by figure id.
    """

    revision: int
    boot: str
    folder: str
    units: Literal["metric", "imperial"]
    empty: bool
    examples: tuple[str, ...]
    files: tuple[str, ...]
    faults: tuple[FaultRecord, ...]
    document: Document | None = None
    words: dict[str, Words] = Filled(default_factory=dict)
    working: tuple[str, ...] = ()
    bands: tuple[str, ...] = ()
    drawn_mass: dict[str, float] = Filled(default_factory=dict)
    charts: tuple[Chart, ...] = ()
    shape: Shape | None = None
    fields: tuple[Field, ...] = ()
    site: SiteRecord | None = None
    weighable: tuple[str, ...] = ()
    weighings: tuple[WeighingRecord, ...] = ()
    checks: tuple[CheckRecord, ...] = ()
    check_names: tuple[str, ...] = ()
    trials: tuple[TrialRecord, ...] = ()
    trial_kinds: tuple[TrialKind, ...] = ()
    knowledge: tuple[tuple[str, str, str, str], ...] = ()
    inputs: tuple[InputRecord, ...] = ()
    undo: str = ""
    redo: str = ""
    downloads: tuple[Download, ...] = ()
    jobs: tuple[Job, ...] = ()
    study_ms: float = 0.0
    quick_ms: float = 0.0


class FileText(Record):
    """A text file of the folder, its SHA-256, and whether the page may write it."""

    name: str
    text: str
    hash: str
    editable: bool


class Moves(Record):
    """What changes would move, largest first, one sentence for the page, figures with their bands after, and the
    shape that would be (its mesh is not kept: lines and marks only). Where the changes cannot be taken ``faults``
    and ``says`` tell why and ``document`` is None."""

    says: str
    moved: tuple[Moved, ...]
    words: dict[str, Words] = Filled(default_factory=dict)
    faults: tuple[FaultRecord, ...] = ()
    document: Document | None = None
    working: tuple[str, ...] = ()
    bands: tuple[str, ...] = ()
    shape: Shape | None = None


class Saved(Record):
    """What was saved. ``merged``: other people's changes that were met on the disk and kept."""

    revision: int
    says: str
    moved: tuple[Moved, ...]
    merged: tuple[str, ...] = ()
    made: str = ""
    state: State


class Push(Record):
    """A word from the server. ``state``: fetch the state again (``by`` as in the history); ``moved``: slow rows have
    followed; ``progress``: a job; ``file-changed``: another program wrote these files; ``stopping``: good-bye."""

    kind: Literal["hello", "state", "moved", "progress", "file-changed", "stopping"]
    revision: int
    boot: str
    by: Literal["", "page", "file", "opening"] = ""
    files: tuple[str, ...] = ()
    moved: tuple[Moved, ...] = ()
    job: Job | None = None
    says: str = ""


TYPES: tuple[type[Record], ...] = (
    State, Edit, Moves, Saved, Refusal, Weigh, TwoPersonCheck, NewTrial, SetAside, RemarkOn, WholeFile, FileText,
    Start, Print, Job, History, Differences, Push, TableRecord, Engines, Flying, Cuts, Boards, PrinterRead, Tidy,
    Tidied, Strength,
)  # fmt: skip
"""The records a route takes or gives; the page's types are generated from these and what they hold."""
