"""Reading the trials of a project folder."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path as FilePath
from pathlib import PurePath
from typing import Any

from planewright.errors import Fault, InputError
from planewright.files import read_bytes
from planewright.plane.model import Plane
from planewright.plane.parts import WHOLE, nameable
from planewright.records.fields import (
    read_air,
    read_failure,
    read_rig,
    read_said,
    read_sigma,
    read_specimen,
)
from planewright.records.model import TRIAL_KINDS, Remark, Table, Trial
from planewright.records.numbers import dimension_of_head, no_column, numbers
from planewright.records.tables import beyond, read_raw
from planewright.text.located import Path, is_there, read_toml
from planewright.text.names import meant, tidy_name
from planewright.text.reader import Reader, shown

TRIALS, TRIAL = "trials", "trial.toml"
KEYS = (
    "kind", "date", "of", "configuration", "serial", "article", "batch", "instruments", "done_by", "air", "specimen",
    "rig", "sigma", "said_before", "failure", "ids", "in_force", "readings", "remark", "note", "photo",
)  # fmt: skip
OF_THE_WHOLE = ("balance", "swing", "controls", "range", "taxi", "flight")
OF_STOCK = ("weighing", "coupon")
LETTER_MATTERS = ("proof", "balance", "swing", "controls", "range", "pull", "taxi", "flight")
USES = ("leave out", "keep")
MOST_TRIALS = 1000

TrialReader = Callable[
    [FilePath, Collection[str] | None, Collection[str]], tuple[Trial | None, tuple[Fault, ...]]
]


def read_trials(
    folder: FilePath, plane: Plane | None, read: TrialReader | None = None
) -> tuple[tuple[Trial, ...], tuple[Fault, ...]]:
    """Read every trial of a project: each folder under ``trials`` with its trial.toml and raw tables.

    A project without a ``trials`` folder has none. Nothing a file holds raises; nothing on the disk changes.

    Arguments:
        folder: the project folder.
        plane: the aeroplane, whose part names a trial may be ``of``; None checks no names.
        read: what reads one trial folder; None for :func:`read_trial`.

    Returns:
        The trials that could be read, by id; and all faults, by trial and in file order.
    """
    place = folder / TRIALS
    if not is_there(place):
        return (), ()
    try:
        inside = sorted(one for one in place.iterdir() if one.is_dir() and not one.name.startswith("."))
    except OSError as error:
        why = error.strerror or type(error).__name__
        return (), (Fault(TRIALS, 0, "", f"cannot be read: {why}.", "A folder of trials is wanted.", ""),)
    names = None if plane is None else nameable(plane)
    stock = () if plane is None else tuple(plane.stock)
    found = [(read or read_trial)(one, names, stock) for one in inside[:MOST_TRIALS]]
    trials = tuple(trial for trial, _ in found if trial is not None)
    return trials, tuple(fault for _, faults in found for fault in faults)


def read_trial(
    folder: FilePath, names: Collection[str] | None, stock: Collection[str] = ()
) -> tuple[Trial | None, tuple[Fault, ...]]:
    """Read one trial folder: the trial, or None if what makes a trial is missing; and all its faults.

    ``names``: parts it may be of; ``stock``: what a weighing or a coupon may be of besides.
    """
    id_ = folder.name
    source, faults = read_toml(folder / TRIAL, f"{TRIALS}/{id_}/{TRIAL}")
    if source is None:
        return None, faults
    reader = Reader(source)
    head = _read_head(reader, names, stock, id_)
    fields = _read_fields(reader)
    tables, raw_faults = _read_tables(reader, folder)
    fields["remarks"] = _read_remarks(reader, tables, folder)
    found = (*reader.sorted_faults(), *raw_faults)
    planned = reader.get(("readings",)) is None
    if head is None or (not planned and "readings" not in tables):
        return None, found
    trial = Trial(
        id=id_,
        readings=tables.get("readings"),
        calibration=tables.get("calibration"),
        planned=planned,
        digest=trial_digest(folder, [table.file for table in tables.values()]),
        **head,
        **fields,
    )
    return trial, found


def _read_head(
    reader: Reader, names: Collection[str] | None, stock: Collection[str], id_: str
) -> dict[str, Any] | None:
    """``kind``, ``date`` and ``of``: what makes a trial; None if one is missing."""
    reader.table((), KEYS)
    kinds = ", ".join(TRIAL_KINDS)
    kind = reader.choice(("kind",), TRIAL_KINDS, "Kinds of trial")
    reader.need(("kind",), "A trial says what kind it is.", f'Write kind = "bend", or one of: {kinds}.')
    date = reader.date(("date",))
    if reader.need(("date",), "A trial has its day.", "Write date = 2026-05-02."):
        _compare_dates(reader, date, id_)
    of = _read_of(reader, kind, names if names is None or kind not in OF_STOCK else (*stock, *names))
    if kind in LETTER_MATTERS and not reader.text(("configuration",)) + reader.text(("ids", "configuration")):
        expected = "A record of the whole aeroplane holds for one configuration letter."
        advice = 'Write the letter of that day, such as configuration = "B".'
        reader.fault(("configuration",), "is missing.", expected, advice, "question")
    if kind is None or date is None or of is None:
        return None
    return {"kind": kind, "date": date, "of": of}


def _compare_dates(reader: Reader, date: dt.date | None, id_: str) -> None:
    try:
        named = dt.date.fromisoformat(id_[:10])
    except ValueError:
        return
    if date is not None and named != date:
        expected = f"The folder's name says {named}."
        reader.fault(("date",), f"reads {date}.", expected, "Give both the same day.", "question")


def _read_of(reader: Reader, kind: str | None, names: Collection[str] | None) -> str | None:
    if reader.get(("of",)) is None and kind in OF_THE_WHOLE:
        return WHOLE
    if not reader.need(("of",), "A trial names the part it is of.", 'Write of = "wing".'):
        return None
    of = reader.text(("of",))
    if names is None or not of:
        return of or None
    wanted = [tidy_name(part) for part in of.split(".")]
    found = next((one for one in names if [tidy_name(part) for part in one.split(".")] == wanted), None)
    if found is None:
        reader.fault(("of",), f"reads {shown(of)}. There is no such part.", *meant(of, names, "Parts"))
    return found


def _read_fields(reader: Reader) -> dict[str, Any]:
    reader.table(("ids",), ("article", "batch", "instruments", "configuration", "serial"))
    ids = {
        key: reader.text((key,)) or reader.text(("ids", key))
        for key in ("configuration", "serial", "article", "batch")
    }
    instruments = reader.texts(("instruments",)) or reader.texts(("ids", "instruments"))
    done_by = {who: reader.text(("done_by", who)) for who in reader.table(("done_by",))}
    return {
        **ids,
        "instruments": instruments,
        "done_by": done_by,
        "air": read_air(reader),
        "specimen": read_specimen(reader),
        "rig": read_rig(reader),
        "sigma": read_sigma(reader),
        "said_before": read_said(reader),
        "failure": read_failure(reader),
        "in_force": _read_in_force(reader),
    }


def _read_in_force(reader: Reader) -> str:
    """ "" if the trial counts, else the reason why it was set aside and by whom."""
    value = reader.get(("in_force",))
    if value is None or value is True:
        return ""
    if not isinstance(value, Mapping):
        advice = 'Write in_force = { no = "the arm had slipped", by = "teacher" }, or take the line out.'
        expected = "A trial that is set aside says why and who decided it."
        reader.fault(("in_force",), f"reads {shown(value)}.", expected, advice)
        return "set aside without a reason"
    reader.table(("in_force",), ("no", "by"))
    for key, what in (("no", "the reason"), ("by", "the role of the person who decided it")):
        reader.need(("in_force", key), f"It holds {what}.", f'Write {key} = "{what}".')
    reason, by = reader.text(("in_force", "no")), reader.text(("in_force", "by"))
    return f"{reason or 'set aside without a reason'}{f' ({by})' if by else ''}"


def _read_tables(reader: Reader, folder: FilePath) -> tuple[dict[str, Table], list[Fault]]:
    """The raw tables by role, "readings" and "calibration", and their faults."""
    table = reader.table(("readings",), ("file", "calibration", "limit"))
    if reader.get(("readings",)) is None:
        return {}, []
    wanted = {"readings": _file_name(reader, "file") if "file" in table else "readings.csv"}
    if "calibration" in table:
        wanted["calibration"] = _file_name(reader, "calibration")
    tables: dict[str, Table] = {}
    faults: list[Fault] = []
    for role, name in wanted.items():
        if name is None:
            continue
        raw, found = read_raw(folder / name, f"{TRIALS}/{folder.name}/{name}")
        faults += found
        if raw is not None:
            tables[role] = raw
    if "readings" in tables:
        faults += _read_limits(reader, tables["readings"])
    return tables, faults


def _file_name(reader: Reader, key: str) -> str | None:
    path: Path = ("readings", key)
    name = reader.text(path)
    if name and PurePath(name).name == name and "\\" not in name and "\x00" not in name:
        return name
    reader.fault(
        path, f"reads {shown(name)}.", "A raw file lies in the trial's own folder.", 'Write "readings.csv".'
    )
    return None


def _read_limits(reader: Reader, table: Table) -> list[Fault]:
    """``readings.limit``: the greatest reading of an instrument, by column; a fault for each reading beyond it."""
    limits: dict[str, tuple[float, str]] = {}
    for head in reader.table(("readings", "limit")):
        path: Path = ("readings", "limit", head)
        dimension = dimension_of_head(head)
        if head not in table.columns:
            known = no_column(table, head)
            reader.fault(path, "is for no such column.", known.expected, known.advice)
        elif dimension is None:
            reader.fault(path, "is for a column without unit.", "A limit has the unit of its column.")
        elif (limit := reader.quantity(path, dimension, "limit")) is not None:
            limits[head] = (limit, reader.text(path))
    return beyond(table, limits, {head: list(numbers(table, head)) for head in limits})


def _read_remarks(reader: Reader, tables: Mapping[str, Table], folder: FilePath) -> tuple[Remark, ...]:
    value = reader.get(("remark",))
    if value is None:
        return ()
    if not isinstance(value, list):
        reader.fault(
            ("remark",), f"reads {shown(value)}.", "Remarks are a list.", "Head each with [[remark]]."
        )
        return ()
    by_file = {table.file.rpartition("/")[2]: table for table in tables.values()}
    found = [_remark(reader, place, by_file) for place in range(len(value))]
    return tuple(one for one in found if one is not None)


def _remark(reader: Reader, place: int, tables: Mapping[str, Table]) -> Remark | None:
    path: Path = ("remark", place)
    reader.table(path, ("row", "says", "use", "file"))
    file = reader.text((*path, "file"), "readings.csv")
    reader.need((*path, "row"), "A remark names its row.", "Count the rows from 1, without the heads.")
    reader.need((*path, "says"), "A remark says what is wrong.", 'Write says = "lorry passed".')
    row, use = reader.whole((*path, "row")), reader.choice((*path, "use"), USES, "A row is used or not")
    if file not in tables:
        if tables:
            known = meant(file, tables, "Files of this trial")
            reader.fault((*path, "file"), f"reads {shown(file)}.", *known)
        return None
    if row is not None and not 1 <= row <= len(tables[file]):
        expected = f"{file} has {len(tables[file])} rows, counted from 1 without the heads."
        reader.fault(
            (*path, "row"), f"reads {row}.", expected, "Was the row counted by the lines of the file?"
        )
        return None
    return None if row is None else Remark(row, reader.text((*path, "says")), use or "leave out", file)


def trial_digest(folder: FilePath, files: Sequence[str]) -> str:
    """SHA-256 over the name and bytes of trial.toml and of the raw ``files``, sorted by name; hexadecimal.

    A file that can no longer be read counts as empty (its reading has already said so).
    """
    total = hashlib.sha256()
    for name in sorted({TRIAL, *(file.rpartition("/")[2] for file in files)}):
        try:
            data = read_bytes(folder / name)
        except InputError:
            data = b""
        total.update(f"{name}\n{len(data)}\n".encode() + data)
    return total.hexdigest()


def raw_digests(trials: Sequence[Trial]) -> dict[str, str]:
    """``TRIAL ID/FILE`` -> SHA-256 of each raw table's bytes, for the knowledge file to keep as seen."""
    return {
        f"{trial.id}/{table.file.rpartition('/')[2]}": table.digest
        for trial in trials
        for table in (trial.readings, trial.calibration)
        if table is not None
    }


def changed_raw(trials: Sequence[Trial], seen: Mapping[str, str]) -> tuple[Fault, ...]:
    """A question for every raw file that is no longer what it was when it was first taken in.

    Arguments:
        trials: the trials as they stand.
        seen: what ``raw_digests`` gave then.
    """
    advice = (
        "Raw files stay as logged. Put the first version back and write a [[remark]]; "
        "if the change was right, calibrate again and say why in a remark."
    )
    now = raw_digests(trials)
    return tuple(
        Fault(f"{TRIALS}/{name}", 0, "", "was changed since it was first read.", "", advice, "question")
        for name in sorted(now)
        if name in seen and seen[name] != now[name]
    )
