"""Trials from the page: planned, given their readings as dropped, remarked, set aside, taken in."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re

from planewright.calibrate import calibrate
from planewright.errors import Fault, InputError
from planewright.knowledge import prior_knowledge, write_knowledge
from planewright.project import KNOWLEDGE
from planewright.records.model import TRIAL_KINDS
from planewright.records.tables import column_faults
from planewright.study.models import make_models
from planewright.text.tables import RawTable, parse_table
from planewright.web.actions import TRIAL, Done, quoted, text_of
from planewright.web.api import Change, NewTrial, RemarkOn, SetAside, TableRecord
from planewright.web.desk import Desk, nothing
from planewright.web.disk import TRIALS
from planewright.web.edits import MISSING, edited, value_at
from planewright.web.records import fault_records

NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,40}\.csv")
ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,80}")
FIELD = re.compile(r"(rig|specimen|air|said_before|done_by|ids)\.[a-z_]{1,30}|(configuration|serial)")
DROPPED = "as-dropped.csv"


def trial_file(desk: Desk, trial: str, name: str = TRIAL) -> str:
    """Name of a file of a trial that is there. Raises InputError when there is no such trial."""
    if not ID.fullmatch(trial) or desk.disk.read(f"{TRIALS}/{trial}/{TRIAL}") is None:
        raise nothing("There is no such trial.")
    return f"{TRIALS}/{trial}/{name}"


def free_id(desk: Desk, date: str, kind: str, of: str) -> str:
    """Date, kind and part, with a number when that is taken."""
    part = re.sub(r"[^a-z0-9]+", "-", of.lower()).strip("-")
    stem = f"{date}-{kind}" + (f"-{part}" if part and part != "aeroplane" else "")
    place = desk.folder / TRIALS
    names = (stem if number == 1 else f"{stem}-{number}" for number in range(1, 1000))
    return next(one for one in names if not (place / one).exists())


def trial_text(wanted: NewTrial) -> str:
    """The file of a planned trial."""
    heads = [f"kind = {quoted(wanted.kind)}", f"date = {wanted.date}", f"of = {quoted(wanted.of)}"]
    tables: dict[str, list[str]] = {}
    for key, words in wanted.fields.items():
        if not FIELD.fullmatch(key):
            raise nothing("That is nothing a trial asks.")
        table, _, name = key.rpartition(".")
        line = f"{name} = {_number_or_text(name, words)}"
        if words.strip():
            tables.setdefault(table, []).append(line)
    heads += tables.pop("", [])
    body = [f"[{table}]\n" + "\n".join(lines) for table, lines in tables.items()]
    return "\n".join((*heads, *body)) + "\n"


def _number_or_text(name: str, words: str) -> str:
    if name == "scale":
        try:
            return f"{float(words):g}"
        except ValueError:
            pass
    return quoted(words.strip())


def plan(desk: Desk, wanted: NewTrial) -> tuple[str, Done]:
    """A planned trial in a folder of its own; its id, and what was saved."""
    try:
        dt.date.fromisoformat(wanted.date)
    except ValueError as error:
        raise nothing(f"{wanted.date[:20]} is no date: write it year first, such as 2026-05-02.") from error
    if wanted.kind not in TRIAL_KINDS:
        raise nothing("There is no such kind of trial.")
    with desk.lock:
        desk.take_in()
        made = free_id(desk, wanted.date, wanted.kind, wanted.of)
        name = f"{TRIALS}/{made}/{TRIAL}"
        return made, desk.commit({name: trial_text(wanted).encode()}, f"trial planned: {made}")


def look(file: str, data: bytes) -> TableRecord:
    """How raw bytes would be read as a table, with every cell that is no reading."""
    table, faults = parse_table(_decoded(data), file)
    if table is None:
        return TableRecord(file=file, heads=(), rows=(), lines=(), faults=fault_records(faults))
    found = [*faults, *(one for head in table.head for one in column_faults(table, head))]
    return TableRecord(
        file=file, heads=table.head, rows=table.rows, lines=table.lines, faults=fault_records(found)
    )


def _decoded(data: bytes) -> str:
    if b"\x00" in data:
        raise nothing("The file is not text: it holds a nought byte. Is it the right file?")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def mended(file: str, data: bytes) -> tuple[bytes, tuple[str, ...]]:
    """The table with every cell that is no number left empty, as UTF-8 with commas; and what was left out, by row.

    Rows of another length are cut or filled as the reader does it.
    """
    table, _ = parse_table(_decoded(data), file)
    if table is None or not table.rows:
        raise nothing("There is no table with rows in it.")
    bad = {(one.line, head) for head in table.head for one in column_faults(table, head)}
    said, out = [], io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    heads = [one or f"column_{place + 1}" for place, one in enumerate(table.head)]
    writer.writerow(heads)
    for number, (row, line) in enumerate(zip(table.rows, table.lines, strict=True), 1):
        cells = []
        for head, cell in zip(table.head, row, strict=True):
            drop = (line, head) in bad
            cells.append("" if drop else _pointed(cell, table))
            said += [f"row {number}, {head}: read {cell[:40]!r}, left empty"] if drop else []
        writer.writerow(cells)
    return out.getvalue().encode(), tuple(said)


def _pointed(cell: str, table: RawTable) -> str:
    """A decimal comma of a table parted by other signs as a point."""
    return cell.replace(",", ".") if table.separator != "," and re.fullmatch(r"[-+−]?\d+,\d+", cell) else cell


def readings(desk: Desk, trial: str, name: str, data: bytes, mend: bool = False) -> Done:
    """The raw table of a trial, bytes as dropped. Readings that stand are never replaced.

    Arguments:
        name: readings.csv or calibration.csv. mend: keep the dropped bytes as ``as-dropped.csv`` and write a table
        in which what is no reading is empty, each named in a remark.
    """
    if not NAME.fullmatch(name) or name == DROPPED:
        raise nothing("A raw table has a short name in small letters that ends in .csv.")
    with desk.lock:
        desk.take_in()
        about, file = trial_file(desk, trial), trial_file(desk, trial, name)
        if desk.disk.read(file) is not None:
            raise nothing(
                f"{file} is there already and stays as it was logged. Plan another trial for another run."
            )
        text = _with_table(about, text_of(desk, about), name)
        changes: dict[str, bytes | None] = {file: data}
        if mend:
            changes[file], said = mended(file, data)
            changes[trial_file(desk, trial, f"{name[:-4]}-{DROPPED}")] = data
            text += "".join(f"# {name}: {one}\n" for one in said)
        changes[about] = text.encode()
        return desk.commit(changes, f"{name} of {trial} taken")


def _with_table(file: str, text: str, name: str) -> str:
    """trial.toml that names its raw table."""
    key = "calibration" if name.startswith("calibration") else "file"
    if value_at(text, f"readings.{key}") is not MISSING:
        return text
    if value_at(text, "readings") is MISSING:
        joint = "" if text.endswith("\n") else "\n"
        return f"{text}{joint}[readings]\n{key} = {quoted(name)}\n"
    return edited(file, text, [Change(file=file, path=f"readings.{key}", text=quoted(name), do="insert")])


def set_aside(desk: Desk, trial: str, wanted: SetAside) -> Done:
    """Set a trial aside with a reason, or take it into force again when the reason is empty."""
    with desk.lock:
        desk.take_in()
        file = trial_file(desk, trial)
        text = text_of(desk, file)
        changes = []
        if value_at(text, "in_force") is not MISSING:
            changes.append(Change(file=file, path="in_force", do="remove"))
        reason = " ".join(wanted.reason.split())
        if reason:
            value = f"{{ no = {quoted(reason)}, by = {quoted(' '.join(wanted.by.split()) or 'not said')} }}"
            changes.append(Change(file=file, path="in_force", text=value, do="insert"))
        says = f"{trial} set aside: {reason}" if reason else f"{trial} counts again"
        return desk.commit({file: edited(file, text, changes).encode()}, says)


def remark(desk: Desk, trial: str, wanted: RemarkOn) -> Done:
    """One remark about one row, at the end of trial.toml."""
    if not NAME.fullmatch(wanted.file):
        raise nothing("A remark is about a raw table of the trial.")
    with desk.lock:
        desk.take_in()
        file = trial_file(desk, trial)
        text = text_of(desk, file)
        joint = "" if text.endswith("\n") else "\n"
        named = f"file = {quoted(wanted.file)}\n" if wanted.file != "readings.csv" else ""
        words = quoted(" ".join(wanted.says.split()))
        block = f"[[remark]]\n{named}row = {wanted.row}\nsays = {words}\nuse = {quoted(wanted.use)}\n"
        return desk.commit({file: f"{text}{joint}{block}".encode()}, f"remark on row {wanted.row} of {trial}")


def take_in(desk: Desk) -> tuple[str, bytes]:
    """Calibrate with all trials in force: the name and bytes of the knowledge file. Nothing is written yet.

    Raises InputError when the aeroplane or a trial cannot be read.
    """
    project = desk.view.project
    stops = [one for one in project.faults if one.severity == "fault" and one.file != KNOWLEDGE]
    if project.plane is None or stops:
        raise InputError(stops or [Fault("aeroplane.toml", 0, "", "is not there.", "", "")])
    prior = prior_knowledge(project.plane, project.site.surface if project.site else "")
    models = make_models(project.plane, project.ledger, prior)
    after = calibrate(prior, models.geometry, project.ledger, project.trials, project.site)
    return KNOWLEDGE, write_knowledge(after).encode()
