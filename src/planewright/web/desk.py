"""The desk: one open folder. Its files are the truth; every save is written down first, then put into the files.

A desk is asked from several threads. ``lock`` guards the disk and the history; evaluation of what is not needed at
once runs in one thread of its own and is given up when a newer change comes.
"""

from __future__ import annotations

import secrets
import sys
import threading
import time
import traceback
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path

from planewright.errors import Cancelled, Fault, InputError, PlanewrightError
from planewright.project import Project
from planewright.units.showing import System
from planewright.web.api import Moved, Push
from planewright.web.disk import HIDDEN, Disk, digest_of
from planewright.web.engines import with_engines
from planewright.web.evaluation import (
    Stopped,
    View,
    bare_view,
    never,
    quick_view,
    start_study,
    whole_view,
    with_charts,
    with_trials,
)
from planewright.web.flying import with_flying
from planewright.web.history import By, History, Move, Saved, difference
from planewright.web.polars import wanted_sections, with_sections
from planewright.web.reading import clear_tries, read_with, refuse_new_faults, rehashed
from planewright.web.sheets import with_cuts
from planewright.web.strength import with_strength
from planewright.web.words import moved_between

Listener = Callable[[Push], None]
OPENING = "the opening of the project"
# After a save the slow rows wait this long: the answer, its picture and the next change come first.
REST_S = 0.06


class Desk:
    """One folder, open. ``view`` is the latest revision as far as it is worked out; it is replaced, never changed."""

    def __init__(self, folder: Path) -> None:
        """Open a folder: finish a save that a killed server left, take in what other programs changed, evaluate the
        quick part. Raises InputError when the folder cannot be written at all."""
        self.folder = folder
        self.boot = secrets.token_hex(8)
        self.lock = threading.RLock()
        self.listeners: list[Listener] = []
        self.disk = Disk(folder)
        self._wanted = 0
        self._news = threading.Condition()
        self._pending: tuple[View, int] | None = None
        self._closing = False
        (folder / HIDDEN).mkdir(parents=True, exist_ok=True)
        clear_tries(folder)
        self.history = History.of(folder)
        self._recover()
        self._note_disk("opening" if self.history.now is None else "file")
        self.view = self._evaluated(read_with(self.disk, {}), None)
        self._thread = threading.Thread(target=self._work, name="evaluation", daemon=True)
        self._thread.start()

    # Files and history

    def _recover(self) -> None:
        """Finish the last save when the server died between writing it down and writing its files."""
        entry = self.history.unfinished
        if entry is None:
            return
        place = entry.number - self.history.entries[0].number
        before = self.history.entries[place - 1].files if place else {}
        for name, wanted in entry.changed.items():
            data = self.disk.read(name)
            stands = None if data is None else digest_of(data)
            blob = self.history.blob(wanted)
            if stands == before.get(name) and (wanted is None or blob is not None):
                self.disk.put(name, blob)
        self.history.finish(entry)

    def _note_disk(self, by: By) -> Saved | None:
        """Write down what stands on the disk when it is not what was last written down; the new state, or None."""
        files = dict(self.disk.scan())
        last = self.history.now
        if last is not None and not difference(last.files, files):
            return None
        changed = difference(last.files if last else {}, files)
        blobs = [data for name in changed if (data := self.disk.read(name)) is not None]
        says = OPENING if last is None else f"{listed(changed)} changed outside the page"
        return self.history.write(says, by, files, blobs)

    @property
    def revision(self) -> int:
        """Number of the last state."""
        last = self.history.now
        return last.number if last else 0

    def texts(self, revision: int, name: str) -> str | None:
        """A file's text as it stood in a state; None when that is not known."""
        entry = self.history.find(revision)
        data = self.history.blob(entry.files.get(name)) if entry else None
        return None if data is None else data.decode("utf-8", "replace")

    def commit(
        self, changes: Mapping[str, bytes | None], says: str, move: Move = "save", check: bool = True
    ) -> tuple[Saved, tuple[Moved, ...]]:
        """Save: check, write down, put into the files, evaluate the quick part, tell everybody.

        Arguments:
            changes: new bytes by file name; None takes the file away.
            says: what was done, for the history. move: how it stands on the trail.
            check: refuse a change that brings new faults.
        Returns: the state, and what moved so far (slow rows follow). Raises InputError; then nothing changed.
        """
        with self.lock:
            last = self.history.now
            if move == "save" and last is not None and not self._differs(changes, last):
                return last, ()
            project = read_with(self.disk, changes)
            if check:
                refuse_new_faults(self.view.project, project)
            entry = self._write(changes, says, move)
            before = self.view
            self.view = self._evaluated(rehashed(project), before)
            moved = self._moved(before, self.view)
        self.tell("state", by="page", files=tuple(entry.changed))
        return entry, moved

    @staticmethod
    def _differs(changes: Mapping[str, bytes | None], last: Saved) -> bool:
        """True when a change is not what stands already."""
        return any(
            last.files.get(name) != (None if data is None else digest_of(data))
            for name, data in changes.items()
        )

    def _write(self, changes: Mapping[str, bytes | None], says: str, move: Move) -> Saved:
        last = self.history.now
        files = dict(last.files) if last else {}
        for name, data in changes.items():
            self.disk.path(name)
            if data is None:
                files.pop(name, None)
            else:
                files[name] = digest_of(data)
        entry = self.history.write(
            says, "page", files, (one for one in changes.values() if one is not None), move
        )
        for name, data in changes.items():
            self.disk.put(name, data)
        self.history.finish(entry)
        return entry

    def take_in(self) -> Saved | None:
        """Look whether another program changed files; if so write that down, evaluate and tell everybody."""
        with self.lock:
            entry = self._note_disk("file")
            if entry is None:
                return None
            self.view = self._evaluated(read_with(self.disk, {}), self.view)
        self.tell("file-changed", by="file", files=tuple(entry.changed))
        return entry

    def step(self, by: int) -> tuple[Saved, tuple[Moved, ...]]:
        """Undo (-1) or redo (+1). Raises InputError when there is nothing to go to."""
        with self.lock:
            self.take_in()
            goal, says = self.history.step(by), self.history.says(by)
            if goal is None:
                raise nothing("There is nothing to undo." if by < 0 else "There is nothing to redo.")
            word = "undone" if by < 0 else "done again"
            return self.commit(
                self._towards(goal), f"{word}: {says}", "undo" if by < 0 else "redo", check=False
            )

    def back_to(self, number: int) -> tuple[Saved, tuple[Moved, ...]]:
        """The files as they stood in a state, as a new state that can be undone."""
        with self.lock:
            self.take_in()
            goal = self.history.find(number)
            if goal is None:
                raise nothing(f"There is no saved state {number}.")
            return self.commit(self._towards(goal), f"back to state {number}: {goal.says}", check=False)

    def _towards(self, goal: Saved) -> dict[str, bytes | None]:
        """What turns the files on the disk into those of a state. Raises InputError when a version was not kept."""
        changes: dict[str, bytes | None] = {}
        for name, wanted in difference(self.disk.scan(), goal.files).items():
            data = self.history.blob(wanted)
            if wanted is not None and data is None:
                raise nothing(f"The version of {name} in that state was not kept.")
            changes[name] = data
        return changes

    # Evaluation

    def _evaluated(self, project: Project, before: View | None) -> View:
        """The quick view of a project; the rest is handed to the worker."""
        with self._news:
            self._wanted += 1
            ticket = self._wanted
        began = time.perf_counter()
        project = with_sections(project)
        try:
            study = start_study(project, partial(self._passed, ticket))
            view = View(self.revision, project)
            if study is not None:
                view = quick_view(self.revision, project, study, before)
        except PlanewrightError as error:
            view, study = bare_view(self.revision, project, error), None
        except Exception as error:
            view, study = View(self.revision, project, failures=(unforeseen(error),)), None
        view = replace(view, quick_ms=(time.perf_counter() - began) * 1e3)
        with self._news:
            self._pending = (view, ticket) if study is not None else None
            self._news.notify_all()
        return view

    def _work(self) -> None:
        """The worker: finishes the latest view, gives up those that are superseded."""
        rest = 0.0
        while True:
            with self._news:
                while self._pending is None and not self._closing:
                    self._news.wait()
                if self._closing or self._pending is None:
                    return
                (view, ticket), self._pending = self._pending, None
            time.sleep(rest)
            rest = REST_S
            try:
                self._finish(view, partial(self._passed, ticket))
            except Cancelled:
                continue

    def _passed(self, ticket: int) -> bool:
        """True when a newer change came after this one."""
        return self._wanted != ticket

    def _finish(self, view: View, stopped: Stopped) -> None:
        """Study, then charts, trials, engines, handling and boards: each shown as soon as it is there."""
        began = time.perf_counter()
        steps: tuple[Callable[[View], View], ...] = (
            *wanted_sections(view, stopped),
            whole_view, with_charts, lambda one: with_trials(one, stopped), with_engines, with_flying,
            lambda one: with_cuts(one, stopped), with_strength,
        )  # fmt: skip
        for step in steps:
            try:
                fresh = step(view)
            except Cancelled:
                raise
            except PlanewrightError as error:
                fresh = replace(view, working=(), bands=(), failures=(*view.failures, later(error)))
            except Exception as error:
                fresh = replace(view, working=(), bands=(), failures=(*view.failures, unforeseen(error)))
            if view.working:
                fresh = replace(fresh, study_ms=view.quick_ms + (time.perf_counter() - began) * 1e3)
            view = self._show(view, fresh)

    def _show(self, before: View, fresh: View) -> View:
        """Put a view that is further worked out in the place of the one it came from."""
        with self.lock:
            if self.view is not before:
                raise Cancelled("a newer change is being worked out")
            self.view = fresh
        self.tell("moved", moved=self._moved(before, fresh))
        with self._news:
            self._news.notify_all()
        return fresh

    def recut(self) -> View:
        """The boards of the latest view worked out anew, after what is kept of them changed on the disk."""
        view = self.view
        return self._show(view, with_cuts(view, never)) if view.study is not None else view

    def settled(self, seconds: float) -> View:
        """The latest view once everything is worked out, or as it stands after ``seconds``."""
        end = time.monotonic() + seconds
        with self._news:
            while self.view.working and (left := end - time.monotonic()) > 0:
                self._news.wait(min(left, 0.2))
        return self.view

    @property
    def system(self) -> System:
        """Units that the file asks for."""
        plane = self.view.project.plane
        return plane.show if plane is not None else "metric"

    def _moved(self, before: View, after: View) -> tuple[Moved, ...]:
        if before.document is None or after.document is None:
            return ()
        return moved_between(before.document, after.document, self.system, after.working)

    # Talking

    def tell(
        self,
        kind: str,
        by: str = "",
        files: Iterable[str] = (),
        moved: tuple[Moved, ...] = (),
        says: str = "",
    ) -> None:
        """A word to every page."""
        push = Push.model_validate(
            {
                "kind": kind, "revision": self.revision, "boot": self.boot, "by": by, "files": tuple(files),
                "moved": moved, "says": says,
            }
        )  # fmt: skip
        self.push(push)

    def push(self, push: Push) -> None:
        """Hand a word to every listener."""
        for listener in tuple(self.listeners):
            listener(push)

    def close(self) -> None:
        """Stop the worker; nothing more is written."""
        with self._news:
            self._closing = True
            self._wanted += 1
            self._news.notify_all()
        self._thread.join(timeout=10.0)


def later(error: PlanewrightError) -> Fault:
    """Why a later part could not be worked out, as a note."""
    return Fault("aeroplane.toml", 0, "", f"could not be worked out to the end: {error}", "", "", "note")


def unforeseen(error: Exception) -> Fault:
    """A failure of the program itself, said on the page and written to the terminal; nothing saved is lost."""
    traceback.print_exception(error, file=sys.stderr)
    says = f"could not be worked out ({type(error).__name__})."
    return Fault(
        "planewright", 0, "", says, "", "Nothing saved is lost. Undo the last change, and tell the makers."
    )


def nothing(says: str) -> InputError:
    """A refusal that names no file."""
    return InputError([Fault("the page", 0, "", says, "", "")])


def listed(names: Iterable[str]) -> str:
    """ "aeroplane.toml", "aeroplane.toml and site.toml", "aeroplane.toml and 3 more"."""
    every = sorted(names)
    if len(every) <= 2:
        return " and ".join(every) or "nothing"
    return f"{every[0]} and {len(every) - 1} more"
