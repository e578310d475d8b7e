"""Long work: a book, tiles, a calibration. One at a time, with a bar and a cancel; whole files only."""

from __future__ import annotations

import datetime as dt
import json
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from queue import SimpleQueue
from typing import Literal

from planewright.documents.cutting.doing import keep, read_saved, record_of
from planewright.documents.cutting.drawings import drawing_pieces
from planewright.documents.cutting.files import cutting_pieces, part_pieces
from planewright.documents.cutting.plan import make_plan
from planewright.documents.cutting.store import NOTHING, Saved
from planewright.documents.everything import pieces
from planewright.documents.order import Order, Piece
from planewright.draw.nest.model import USUAL
from planewright.draw.printer import Printer, bars, printer
from planewright.errors import Cancelled, InputError, PlanewrightError
from planewright.files import write_atomically
from planewright.study import Document, Study
from planewright.units.showing import System
from planewright.web.api import Job, Moved, Print, Push
from planewright.web.desk import Desk, nothing, unforeseen
from planewright.web.evaluation import Watched, never, whole_study
from planewright.web.records import fault_records
from planewright.web.state import OUT
from planewright.web.trialwork import take_in
from planewright.web.words import sentence_of

Kind = Literal["book", "tiles", "sheets", "calibrate"]
Tell = Callable[[float, str], None]


@dataclass
class Task:
    """A job, whether it is to stop, and what it does: tells how far it is, and gives files and what moved."""

    job: Job
    work: Callable[[Tell], tuple[tuple[str, ...], tuple[Moved, ...], str]]
    stop: threading.Event = field(default_factory=threading.Event)


class Jobs:
    """All jobs of this run of the server, newest last."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.tasks: dict[str, Task] = {}
        self._queue: SimpleQueue[Task | None] = SimpleQueue()
        self._thread = threading.Thread(target=self._run, name="jobs", daemon=True)
        self._thread.start()

    def all(self) -> tuple[Job, ...]:
        """Every job as it stands."""
        return tuple(one.job for one in tuple(self.tasks.values()))

    def find(self, name: str) -> Job:
        """One job. Raises InputError when there is none of that id."""
        if name not in self.tasks:
            raise nothing("There is no such job.")
        return self.tasks[name].job

    def cancel(self, name: str) -> Job:
        """Ask a job to stop; it does between two pieces."""
        self.find(name)
        task = self.tasks[name]
        task.stop.set()
        if task.job.state == "waiting":
            self._set(task, state="cancelled", says="stopped before it began")
        return task.job

    def book(self, asked: Print, system: System) -> Job:
        """Everything into out/: book, drawings, parts, tiles, cut list, study."""

        def work(tell: Tell) -> tuple[tuple[str, ...], tuple[Moved, ...], str]:
            return make(
                self.desk, asked, system, tell, partial(everything, saved=read_saved(self.desk.folder))
            )

        return self._start("book", work)

    def tiles(self, asked: Print, system: System) -> Job:
        """The parts alone into out/parts."""
        return self._start("tiles", lambda tell: make(self.desk, asked, system, tell, parts_only))

    def sheets(self, asked: Print, system: System) -> Job:
        """Boards, patterns, cut list and bill into out/; where everything lies is kept."""
        return self._start("sheets", lambda tell: self._cut(asked, system, tell))

    def _cut(
        self, asked: Print, system: System, tell: Tell
    ) -> tuple[tuple[str, ...], tuple[Moved, ...], str]:
        study, folder = settled_study(self.desk, tell), self.desk.folder
        saved = read_saved(folder)
        plan = make_plan(study.models.geometry, saved, USUAL, lambda done, says: tell(0.3 * done, says))
        today = dt.date.today()
        order = Order((asked.paper,), f"{today.day} {today:%B %Y}", system, factors(asked))
        record = record_of(plan, study.plane, asked.paper)
        chosen = (*cutting_pieces(plan, record, order), *drawing_pieces(study, plan, order))
        made = []
        for number, piece in enumerate(chosen):
            tell(0.3 + 0.7 * number / max(1, len(chosen)), piece.says)
            made.append(put(folder / OUT, piece))
        if plan.parts:
            keep(folder, plan)
        self.desk.recut()
        return tuple(made), (), f"{len(made)} files in {OUT}; where everything lies is kept"

    def calibrate(self) -> Job:
        """Take the trials in."""
        return self._start("calibrate", self._take_in)

    def _take_in(self, tell: Tell) -> tuple[tuple[str, ...], tuple[Moved, ...], str]:
        tell(0.1, "the trials are read and fitted")
        name, data = take_in(self.desk)
        tell(0.8, "what they say is written down")
        _, moved = self.desk.commit({name: data}, "trials taken in")
        return (), moved, sentence_of(moved)

    def _start(
        self, kind: Kind, work: Callable[[Tell], tuple[tuple[str, ...], tuple[Moved, ...], str]]
    ) -> Job:
        job = Job(id=f"{kind}-{len(self.tasks) + 1}", kind=kind, state="waiting", done=0.0, says="waiting")
        task = Task(job, work)
        self.tasks[job.id] = task
        self._queue.put(task)
        return job

    def _run(self) -> None:
        while (task := self._queue.get()) is not None:
            if task.job.state == "waiting":
                self._one(task)

    def _one(self, task: Task) -> None:
        def tell(done: float, says: str) -> None:
            if task.stop.is_set():
                raise Cancelled("stopped by hand")
            self._set(task, state="running", done=done, says=says)

        try:
            files, moved, says = task.work(tell)
        except Cancelled:
            self._set(task, state="cancelled", says="Stopped. Nothing half-written is left.")
        except InputError as error:
            self._set(task, state="refused", says="Nothing was made.", faults=fault_records(error.faults))
        except PlanewrightError as error:
            self._set(task, state="refused", says=str(error))
        except OSError as error:
            self._set(task, state="refused", says=f"The system says: {error.strerror or error}.")
        except Exception as error:
            self._set(
                task, state="refused", says="Nothing was made.", faults=fault_records([unforeseen(error)])
            )
        else:
            self._set(task, state="done", done=1.0, says=says, files=files, moved=moved)

    def _set(self, task: Task, **changes: object) -> None:
        task.job = task.job.model_copy(update=changes)
        self.desk.push(Push(kind="progress", revision=self.desk.revision, boot=self.desk.boot, job=task.job))

    def close(self) -> None:
        """Stop after the piece that is being made."""
        for task in self.tasks.values():
            task.stop.set()
        self._queue.put(None)
        self._thread.join(timeout=20.0)


Wanted = Callable[[Study, Document, Order, str], tuple[Piece, ...]]


def everything(
    study: Study, document: Document, order: Order, text: str, saved: Saved = NOTHING
) -> tuple[Piece, ...]:
    """All pieces of out/."""
    return pieces(study, document, order, text, saved)


def parts_only(study: Study, document: Document, order: Order, text: str) -> tuple[Piece, ...]:
    """The parts of out/."""
    del document, text
    plan = make_plan(study.models.geometry, NOTHING)
    return tuple(part_pieces(plan, record_of(plan, study.plane, order.papers[0]), order))


def factors(asked: Print) -> Printer:
    """Printer factors from what 100 mm measured. Raises OutOfRange above 3 %."""
    across, up = bars(asked.paper)
    return printer(asked.paper, across * asked.across / 100.0, up * asked.along / 100.0)


def as_json(document: Document) -> str:
    """A document as ``--json`` prints it: keys that do not apply are left out."""
    data = document.model_dump(mode="json", by_alias=True)
    for name, figure in data["figures"].items():
        data["figures"][name] = {key: value for key, value in figure.items() if value is not None}
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)


def settled_study(desk: Desk, tell: Tell) -> Study:
    """The study of the latest view, worked out whole. Raises InputError when nothing can be worked out."""
    tell(0.0, "the study is worked out")
    view = desk.settled(300.0)
    if view.study is None or view.document is None or view.working:
        raise (
            InputError(view.project.faults)
            if view.project.faults
            else nothing("There is nothing to make yet.")
        )
    assert view.project.knowledge is not None
    return whole_study(view.project, Watched(view.project.knowledge, never))


def make(
    desk: Desk, asked: Print, system: System, tell: Tell, wanted: Wanted
) -> tuple[tuple[str, ...], tuple[Moved, ...], str]:
    """Make pieces of a settled study into out/, one after the other."""
    study = settled_study(desk, tell)
    document = desk.view.document
    assert document is not None
    today = dt.date.today()
    order = Order((asked.paper,), f"{today.day} {today:%B %Y}", system, factors(asked))
    chosen = wanted(study, document, order, as_json(document))
    made = []
    for number, piece in enumerate(chosen):
        tell(number / len(chosen), piece.says)
        made.append(put(desk.folder / OUT, piece))
    return tuple(made), (), f"{len(made)} files in {OUT}"


def put(place: Path, piece: Piece) -> str:
    """Write one piece whole."""
    path = place / piece.name
    path.parent.mkdir(parents=True, exist_ok=True)
    write_atomically(path, piece.make())
    return piece.name
