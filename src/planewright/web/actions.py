"""What a page can do to a project: each takes the desk and a record, saves, and says what it did."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from planewright.errors import InputError, PlanewrightError
from planewright.project import KNOWLEDGE
from planewright.project.starting import example_files, example_names
from planewright.text.names import same_name
from planewright.text.tables import find_separator
from planewright.web.api import Change, Conflict, Edit, Moved, Start, TwoPersonCheck, Weigh, WholeFile
from planewright.web.desk import Desk, listed, nothing
from planewright.web.disk import HIDDEN, digest_of
from planewright.web.edits import edited
from planewright.web.evaluation import View, quick_view, start_study
from planewright.web.history import Saved
from planewright.web.merge import Merged, merge_texts, touching
from planewright.web.reading import AEROPLANE, is_empty, read_with, refuse_new_faults
from planewright.web.words import moved_between

WEIGHINGS, CHECKS, TRIAL = "weighings.csv", "checks.csv", "trial.toml"
WEIGHING_HEADS = ("part", "mass", "when", "who", "note")
CHECK_HEADS = ("check", "passed", "when", "configuration", "serial", "who", "note")
EMPTY_SHEET = "empty"

Done = tuple[Saved, tuple[Moved, ...]]


class ConflictError(PlanewrightError):
    """Two changes of one place. Carries both, and what could be merged."""

    def __init__(self, conflict: Conflict) -> None:
        self.conflict = conflict
        super().__init__(conflict.says)


def text_of(desk: Desk, name: str) -> str:
    """A file as it stands on the disk. Raises InputError when it is missing or not UTF-8."""
    data = desk.disk.read(name)
    if data is None:
        raise nothing(f"{name} is not there.")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise nothing(f"{name} is not UTF-8 text: save it again as UTF-8.") from error


def editable(name: str) -> bool:
    """True for what people write by hand: descriptions and tables at the top but for the knowledge file, and
    trial.toml. Raw tables stay as they were logged; knowledge is written by taking trials in."""
    return name != KNOWLEDGE and ("/" not in name or name.endswith(f"/{TRIAL}"))


def refuse_unless_editable(name: str) -> None:
    """Raise InputError for a file that is not written by hand."""
    if not editable(name):
        raise nothing(
            f"{name} is not written by hand: raw tables stay as logged, knowledge comes from the trials."
        )


def by_file(changes: Sequence[Change]) -> dict[str, list[Change]]:
    """The changes of each file, in order."""
    found: dict[str, list[Change]] = {}
    for name, group in groupby(changes, lambda one: one.file):
        found.setdefault(name, []).extend(group)
    return found


def changed_texts(desk: Desk, edit: Edit) -> tuple[dict[str, bytes | None], tuple[str, ...]]:
    """New bytes of every file an edit touches, on top of what stands on the disk; and files in which somebody
    else's changes were met and kept. Raises ConflictError when both touch one place."""
    found: dict[str, bytes | None] = {}
    met = []
    for name, changes in by_file(edit.changes).items():
        refuse_unless_editable(name)
        theirs = text_of(desk, name)
        base = desk.texts(edit.revision, name)
        base = theirs if base is None else base
        clash = touching(base, theirs, changes) if base != theirs else ()
        if clash:
            raise _clash(desk, name, theirs, changes, clash)
        found[name] = edited(name, theirs, changes).encode()
        met += [name] if base != theirs else []
    return found, tuple(met)


def _clash(
    desk: Desk, name: str, theirs: str, changes: Sequence[Change], clash: tuple[str, ...]
) -> ConflictError:
    free = [one for one in changes if one.path not in clash]
    yours, merged = edited(name, theirs, changes), edited(name, theirs, free)
    return conflict(desk, name, yours, theirs, Merged(merged, clash))


def conflict(desk: Desk, name: str, yours: str, theirs: str, merged: Merged) -> ConflictError:
    """Keep the page's version beside the history, and say both."""
    kept = desk.folder / HIDDEN / "kept" / f"{desk.revision}-{name.replace('/', '-')}"
    kept.parent.mkdir(parents=True, exist_ok=True)
    kept.write_text(yours, encoding="utf-8", newline="")
    where = listed(merged.touching)
    return ConflictError(
        Conflict(
            file=name,
            yours=yours,
            theirs=theirs,
            merged=merged.text,
            paths=merged.touching,
            kept=kept.relative_to(desk.folder).as_posix(),
            says=f"{name} was changed meanwhile at the same place ({where}). Both versions are kept: choose one.",
        )
    )


def edit(desk: Desk, wanted: Edit) -> tuple[Saved, tuple[Moved, ...], tuple[str, ...]]:
    """Save changes of values; the files whose other changes were met and kept come third."""
    with desk.lock:
        desk.take_in()
        texts, met = changed_texts(desk, wanted)
        says = wanted.says or ", ".join(_told(one) for one in wanted.changes[:3]) or "nothing"
        saved, moved = desk.commit(texts, says)
    return saved, moved, met


def _told(change: Change) -> str:
    if change.do == "set":
        return f"{change.path} = {change.text}"
    return f"{change.path} {'added' if change.do == 'insert' else 'taken out'}"


def preview(desk: Desk, wanted: Edit) -> tuple[tuple[Moved, ...], View | None]:
    """What changes would move in the quick figures, and the document that would be; nothing is written."""
    with desk.lock:
        texts, _ = changed_texts(desk, wanted)
        before = desk.view
        project = read_with(desk.disk, texts)
        refuse_new_faults(before.project, project)
    study = start_study(project)
    if study is None:
        return (), None
    after = quick_view(before.revision, project, study, before)
    return moved_between(before.document, after.document, desk.system, after.working), after


def whole_file(desk: Desk, wanted: WholeFile) -> tuple[Saved, tuple[Moved, ...], tuple[str, ...]]:
    """Save a whole text; merged with what changed on the disk since the page read it, else ConflictError."""
    refuse_unless_editable(wanted.name)
    with desk.lock:
        desk.take_in()
        data = desk.disk.read(wanted.name)
        text, met = wanted.text, tuple[str, ...]()
        if data is not None and digest_of(data) != wanted.hash:
            theirs = text_of(desk, wanted.name)
            base = desk.history.blob(wanted.hash)
            merged = merge_texts(wanted.name, (base or b"").decode("utf-8", "replace"), text, theirs)
            if base is None or merged.touching:
                raise conflict(
                    desk, wanted.name, text, theirs, merged if base else Merged(theirs, ("the file",))
                )
            text, met = merged.text, (wanted.name,)
        saved, moved = desk.commit({wanted.name: text.encode()}, f"{wanted.name} edited")
    return saved, moved, met


def with_line(text: str | None, heads: Sequence[str], cells: Mapping[str, str]) -> str:
    """A table with one more line at its end, in the file's own separator, order of heads and line ends."""
    if not text or not text.strip():
        text = ",".join(heads) + "\n"
    separator = find_separator(text)
    first = next(line for line in text.splitlines() if line.strip())
    columns = next(csv.reader([first.lstrip("\ufeff")], delimiter=separator, skipinitialspace=True))
    known = [same_name(one.strip(), heads) for one in columns]
    ending = "\r\n" if "\r\n" in text else "\n"
    row = io.StringIO()
    values = [cells.get(one, "") if one else "" for one in known]
    csv.writer(row, delimiter=separator, lineterminator=ending).writerow(values)
    joint = "" if text.endswith(("\n", "\r")) else ending
    return text + joint + row.getvalue()


def one_line(cells: Mapping[str, str]) -> dict[str, str]:
    """Cells without line ends, as one line of a table wants them."""
    return {name: " ".join(value.split()) for name, value in cells.items()}


def append(desk: Desk, name: str, heads: Sequence[str], cells: Mapping[str, str], says: str) -> Done:
    """One line at the end of a table on the disk, whoever wrote the lines before."""
    with desk.lock:
        desk.take_in()
        data = desk.disk.read(name)
        text = None if data is None else data.decode("utf-8")
        return desk.commit({name: with_line(text, heads, one_line(cells)).encode()}, says)


def weigh(desk: Desk, one: Weigh) -> Done:
    """One line at the end of weighings.csv."""
    return append(desk, WEIGHINGS, WEIGHING_HEADS, one.model_dump(), f"{one.part} weighed: {one.mass}")


def check(desk: Desk, one: TwoPersonCheck) -> Done:
    """One line at the end of checks.csv."""
    cells = {key: str(value) for key, value in one.model_dump(exclude={"name", "passed"}).items()}
    cells |= {"check": one.name, "passed": "yes" if one.passed else "no"}
    return append(desk, CHECKS, CHECK_HEADS, cells, f"check {one.name}: {cells['passed']}")


def starts() -> tuple[str, ...]:
    """What a project can be started from."""
    return (*example_names(), EMPTY_SHEET)


def start(desk: Desk, wanted: Start) -> Done:
    """Start a project in the open, empty folder."""
    with desk.lock:
        if not is_empty(desk.folder):
            raise nothing("The folder holds files already; nothing in it was touched.")
        files: Iterable[tuple[str, bytes]]
        if wanted.kind == EMPTY_SHEET:
            files = [(AEROPLANE, f"name = {quoted(wanted.name or 'Unnamed')}\n".encode())]
        else:
            files = [(path.as_posix(), data) for path, data in example_files(wanted.kind)]
        own = {name: data for name, data in files if tracked(desk, name)}
        saved = desk.commit(dict(own), f"started from {wanted.kind}", check=False)
        for name, data in files:
            if name not in own:
                (desk.folder / name).write_bytes(data)
        return saved


def tracked(desk: Desk, name: str) -> bool:
    """True for a file that the desk keeps."""
    try:
        desk.disk.path(name)
    except InputError:
        return False
    return True


def quoted(words: str) -> str:
    """Words as a TOML text."""
    import tomlkit

    return tomlkit.item(words).as_string()
