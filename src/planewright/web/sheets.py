"""Boards to be cut as the page shows them: the record that ``planewright sheets --json`` prints, pictures, marks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from planewright.documents.cutting.doing import Asked, keep, laid_plan, read_saved, reading, record_of
from planewright.documents.cutting.plan import Plan, make_plan, measured
from planewright.documents.cutting.store import write_saved
from planewright.documents.order import title_strip
from planewright.draw.board_sheet import full_sheet
from planewright.draw.nest.items import digest_of
from planewright.draw.nest.model import USUAL
from planewright.draw.svg import svg
from planewright.errors import Cancelled, InputError, PlanewrightError
from planewright.geometry.parts import part_set
from planewright.study import Study
from planewright.web.api import Boards, Cuts, PrinterRead, Tidied
from planewright.web.evaluation import Stopped, View

NOTHING = "the files do not give an aeroplane that can be worked out yet"


def with_cuts(view: View, stopped: Stopped) -> View:
    """The view with its parts laid on boards. Raises Cancelled when superseded meanwhile."""
    study = view.study
    assert study is not None

    def tell(_done: float, _says: str) -> None:
        if stopped():
            raise Cancelled("a newer change is being worked out")

    try:
        saved = read_saved(view.project.folder)
        plan = same_again(view.plan, study, saved) or make_plan(study.models.geometry, saved, USUAL, tell)
    except Cancelled:
        raise
    except InputError as error:
        why = " ".join(f"{one.file} {one.read} {one.advice}" for one in error.faults)
        return replace(view, plan=None, cuts=Cuts(revision=view.revision, working=False, why=why))
    except PlanewrightError as error:
        return replace(view, plan=None, cuts=Cuts(revision=view.revision, working=False, why=str(error)))
    record = record_of(plan, study.plane)
    return replace(view, plan=plan, cuts=Cuts(revision=view.revision, working=False, record=record))


def same_again(before: Plan | None, study: Study, saved: object) -> Plan | None:
    """The plan before when neither parts, stock nor what was saved changed: laying them again gives the same."""
    if before is None or before.saved != saved or before.stock != study.plane.stock:
        return None
    found = part_set(study.models.geometry, before.saved.numbers)
    now, then = (
        [(one.title, one.copies, digest_of(one)) for one in each.parts] for each in (found, before.found)
    )
    return replace(before, found=found) if now == then else None


def cuts_record(view: View) -> Cuts:
    """What is worked out of a view's boards, and whether more follows."""
    if view.study is None:
        return Cuts(revision=view.revision, working=False, why=NOTHING)
    if view.cuts is None:
        return Cuts(revision=view.revision, working=True)
    return view.cuts.model_copy(update={"working": view.cuts.revision != view.revision})


def picture(view: View, number: int) -> str | None:
    """One board as SVG: shapes and plain text, no script, nothing from outside; None when there is no such board."""
    plan, plane = view.plan, view.project.plane
    if plan is None or plane is None or not 1 <= number <= len(plan.sheets):
        return None
    today = dt.date.today()
    strip = title_strip(plane.name, plane.configuration, "boards", "3", f"{today.day} {today:%B %Y}")
    return svg(full_sheet(plan.sheets[number - 1], strip), background="#ffffff")


def mark(folder: Path, view: View, asked: Boards) -> None:
    """Boards printed, cut or free again; what lies now is kept first. InputError for names that carry nothing."""
    study, plan = settled(view)
    if not plan.saved.layouts:
        keep(folder, plan)
    names = tuple(asked.names)
    wanted = Asked(
        printed=names if asked.state == "printed" else (),
        cut=names if asked.state == "cut" else (),
        free=names if asked.state == "free" else (),
    )
    keep(folder, laid_plan(study, read_saved(folder), wanted, dt.date.today().isoformat()))


def tidy(folder: Path, view: View, materials: Sequence[str], do: bool) -> Tidied:
    """Lay materials anew from nothing: how many pieces would move and how many boards that needs; kept when ``do``."""
    study, plan = settled(view)
    if not plan.saved.layouts:
        return Tidied(says="Nothing was kept yet: parts lie as a new layout has them.", moved=0, boards=0)
    new = make_plan(study.models.geometry, read_saved(folder), USUAL, tidy=tuple(materials))
    moved = sum(len(one.moved) for one in new.layouts if one.material in materials)
    before, after = (
        sum(len(one.used) for one in each.layouts if one.material in materials) for each in (plan, new)
    )
    if do:
        keep(folder, new)
    pieces = "1 piece" if moved == 1 else f"{moved} pieces"
    says = f"{pieces} {'moved' if do else 'would move'}; {after} boards instead of {before}."
    return Tidied(says=says, moved=moved, boards=after)


def measure(folder: Path, asked: PrinterRead) -> None:
    """Keep what a ruler showed. Raises InputError beyond 3 %."""
    today = dt.date.today().isoformat()
    one = reading(asked.name, asked.paper, asked.across_mm, asked.up_mm, today)
    write_saved(folder, measured(read_saved(folder), [one]))


def settled(view: View) -> tuple[Study, Plan]:
    """Study and plan of a view that is worked out. Raises InputError when it is not."""
    from planewright.web.desk import nothing

    if view.study is None or view.plan is None or view.cuts is None or view.cuts.revision != view.revision:
        raise nothing("The boards are still being worked out. Ask again in a moment.")
    return view.study, view.plan
