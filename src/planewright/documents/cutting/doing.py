"""Laying parts of a project folder: what both doors do, and the readings they take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from planewright.documents.cutting.plan import Plan, make_plan, marked, measured, to_save
from planewright.documents.cutting.record import Cutting, cutting
from planewright.documents.cutting.store import NAME, PrinterReading, Saved, read_saved, write_saved
from planewright.draw.nest import Rules
from planewright.draw.nest.model import USUAL, State, Telling
from planewright.draw.nest.search import silent
from planewright.draw.paper import Paper
from planewright.draw.printer import Printer, bars
from planewright.errors import Fault, InputError, OutOfRange
from planewright.plane.model import Plane
from planewright.study import Study


@dataclass(frozen=True)
class Asked:
    """What is asked of the boards: marks to set first, materials to lay anew, how parts are laid, paper, printer."""

    printed: tuple[str, ...] = ()
    cut: tuple[str, ...] = ()
    free: tuple[str, ...] = ()
    tidy: tuple[str, ...] = ()
    rules: Rules = USUAL
    paper: Paper = "A4"
    readings: tuple[PrinterReading, ...] = ()


def laid_plan(study: Study, saved: Saved, asked: Asked, date: str, tell: Telling = silent) -> Plan:
    """The plan after what is asked. Raises ``InputError`` for a board that is not laid or a material that is not
    there, with the names that are."""
    faults = []
    marks: tuple[tuple[tuple[str, ...], State], ...] = (
        (asked.free, "free"),
        (asked.printed, "printed"),
        (asked.cut, "cut"),
    )
    for names, state in marks:
        saved, unknown = marked(saved, names, state, date)
        known = [one.name for layout in saved.layouts for one in layout.boards if one.held]
        faults += [_no_board(one, known) for one in unknown]
    materials = {one.material for one in saved.layouts}
    faults += [_no_material(one, sorted(materials)) for one in asked.tidy if one not in materials]
    if faults:
        raise InputError(faults)
    saved = measured(saved, asked.readings)
    return make_plan(study.models.geometry, saved, asked.rules, tell, asked.tidy)


def _no_board(name: str, known: Sequence[str]) -> Fault:
    where = f"Boards that carry parts: {', '.join(known)}." if known else "No parts were laid on boards yet."
    advice = "Name one of them." if known else "Lay them first: planewright sheets FOLDER"
    return Fault(NAME, 0, "", f'no board is called "{name}".', where, advice)


def _no_material(name: str, known: Sequence[str]) -> Fault:
    where = f"Materials that were laid: {', '.join(known) or 'none yet'}."
    return Fault(NAME, 0, "", f'nothing of "{name}" was laid.', where, "Name one of them.")


def reading(name: str, paper: Paper, across_mm: float, up_mm: float, date: str) -> PrinterReading:
    """A printer measured. Raises ``InputError`` with advice when a bar is more than 3 % off or no length at all."""
    one = PrinterReading(name=name or "printer", paper=paper, across_mm=across_mm, up_mm=up_mm, date=date)
    try:
        one.factors()
    except OutOfRange as error:
        wide, tall = bars(paper)
        raise InputError(
            [
                Fault(
                    "printer", 0, name, f"read {across_mm:g} mm across and {up_mm:g} mm up.",
                    f"The bars on {paper} are {wide:.0f} and {tall:.0f} mm; a printer is at most 3 % off. {error}",
                    "The page was fitted to the paper: print it again at actual size (100 %), then measure.",
                )
            ]
        ) from error  # fmt: skip
    return one


def printer_of(saved: Saved, name: str) -> Printer:
    """Factors of a printer by name; the last one measured when no name is given; none measured: no correction.

    Raises ``InputError`` for a name that is not known.
    """
    if not name:
        return saved.printers[-1].factors() if saved.printers else Printer()
    one = saved.printer(name)
    if one is None:
        known = ", ".join(printer.name for printer in saved.printers) or "none yet"
        advice = "Give its readings: --read-across and --read-up, in mm."
        raise InputError(
            [Fault(NAME, 0, "", f'no printer is called "{name}".', f"Measured: {known}.", advice)]
        )
    return one.factors()


def record_of(plan: Plan, plane: Plane, paper: Paper = "A4") -> Cutting:
    """The record that both doors show."""
    return cutting(plan, plane.name, plane.configuration, paper)


def keep(folder: Path, plan: Plan) -> Plan:
    """Write where everything lies; the plan as it stands when opened again."""
    saved = to_save(plan)
    write_saved(folder, saved)
    return plan


__all__ = ["Asked", "keep", "laid_plan", "printer_of", "read_saved", "reading", "record_of"]
