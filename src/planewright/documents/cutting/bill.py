"""The cut list and the bill of materials as rows and as comma-separated text (RFC 4180)."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from math import ceil
from typing import TYPE_CHECKING

from planewright.findings.model import Record

if TYPE_CHECKING:
    from planewright.documents.cutting.plan import Plan

SPARE = 0.15
"""Spare boards and sticks over what is used (common practice, no source)."""
HALF = 0.5
"""A board used to less than this is its own spare."""
MM = 1000.0


class BillRow(Record):
    """One line of the bill: ``needed`` with spare ``spare``, ``owned``, ``buy``; ``mass_goal_g`` of what is used."""

    item: str
    kind: str
    size: str
    unit: str
    used: float
    spare: float
    owned: float | None
    buy: float
    mass_goal_g: float | None
    note: str = ""


def bill_rows(plan: Plan) -> tuple[BillRow, ...]:
    """Boards, sticks, then glue, as the parts need them."""
    return (*_boards(plan), *_sticks(plan), *_glue(plan))


def _spare(used: int) -> int:
    return ceil(SPARE * used) if used else 0


def _boards(plan: Plan) -> Iterable[BillRow]:
    for layout in plan.layouts:
        stock = plan.stock[layout.material]
        whole = [one for one in layout.used if layout.on(one.name) and not one.offcut]
        used, cuts = len(whole), sum(one.offcut for one in layout.used)
        owned = sum(one.owned and not one.offcut for one in layout.boards)
        uses = [one.use for one in plan.sheets if one.board in whole]
        spare = 0 if min(uses, default=0.0) < HALF else _spare(used)
        sides = sorted((round(side * MM) for side in stock.sheet or (0.0, 0.0)), reverse=True)
        yield BillRow(
            item=layout.material,
            kind=stock.kind,
            size=f"{sides[0]} x {sides[1]} x {(stock.thickness or 0.0) * MM:.1f} mm",
            unit="board",
            used=used,
            spare=spare,
            owned=owned,
            buy=max(0, used + spare - owned),
            mass_goal_g=_mass(plan, layout.material),
            note=f"and {cuts} off-cuts" if cuts else "",
        )


def _mass(plan: Plan, material: str) -> float | None:
    goals = [(one.mass_goal, one.copies) for one in plan.parts if one.material == material]
    if not goals or any(goal is None for goal, _ in goals):
        return None
    return round(sum((goal or 0.0) * copies for goal, copies in goals) * MM, 1)


def _sticks(plan: Plan) -> Iterable[BillRow]:
    for material, sticks in plan.sticks.items():
        stock = plan.stock[material]
        sides = [round(side * MM, 1) for side in stock.section or (0.0, 0.0)]
        used = len(sticks)
        yield BillRow(
            item=material,
            kind=stock.kind,
            size=f"{sides[0]:g} x {sides[1]:g} mm, {(stock.length or 0.0) * MM:.0f} long",
            unit="stick",
            used=used,
            spare=_spare(used),
            owned=stock.count,
            buy=max(0, used + _spare(used) - (stock.count or 0)),
            mass_goal_g=_mass(plan, material),
        )


def _glue(plan: Plan) -> Iterable[BillRow]:
    boards = [one.material for one in plan.layouts if plan.stock[one.material].kind == "foam board"]
    masses = [_mass(plan, one) for one in boards]
    total = sum(one or 0.0 for one in masses)
    for stock in plan.stock.values():
        if stock.allowance is not None and total:
            grams = round(total * stock.allowance, 1)
            yield BillRow(
                item=stock.name, kind=stock.kind, size="", unit="g", used=grams, spare=round(SPARE * grams, 1),
                owned=None, buy=round((1 + SPARE) * grams, 1), mass_goal_g=grams,
                note=f"{100 * stock.allowance:.0f} % of the board that is glued",
            )  # fmt: skip


def bill_csv(plan: Plan) -> str:
    """The bill as text, heads carry the unit."""
    head = ["item", "kind", "size", "unit", "used", "spare", "owned", "buy", "mass_goal_g", "note"]
    rows = [
        [one.item, one.kind, one.size, one.unit, _figure(one.used), _figure(one.spare), _figure(one.owned),
         _figure(one.buy), _figure(one.mass_goal_g), one.note]
        for one in bill_rows(plan)
    ]  # fmt: skip
    return as_csv([head, *rows])


def cut_csv(plan: Plan) -> str:
    """The cut list as text: one line a part and hand, with its boards and revision and blanks for the workshop."""
    head = [
        "number", "name", "hand", "piece", "copies", "material", "thickness_mm", "length_mm", "width_mm", "area_cm2",
        "mass_goal_g", "boards", "revision", "sheet", "mass_g", "cut_by", "checked_by", "note",
    ]  # fmt: skip
    where: dict[str, list[str]] = {}
    for sheet in plan.sheets:
        for one in sheet.places:
            names = where.setdefault(one.key.partition(", ")[0], [])
            if sheet.board.name not in names:
                names.append(sheet.board.name)
    for sticks in plan.sticks.values():
        for stick in sticks:
            for cut in stick.cuts:
                names = where.setdefault(cut.key.partition(", ")[0], [])
                if (name := f"{stick.material} {stick.number}") not in names:
                    names.append(name)
    rows = []
    for part in plan.parts:
        width, height = part.size
        goal = "" if part.mass_goal is None else f"{part.mass_goal * MM:.1f}"
        piece = "" if part.piece[1] == 1 else f"{part.piece[0]} of {part.piece[1]}"
        rows.append(
            [
                part.number, part.name, part.hand, piece, str(part.copies), part.material, f"{part.thickness:.1f}",
                f"{max(width, height):.0f}", f"{min(width, height):.0f}", f"{part.area * 1e4:.1f}", goal,
                "; ".join(where.get(part.title, ())), plan.letter[part.title], part.sheet, "", "", "", part.note,
            ]
        )  # fmt: skip
    return as_csv([head, *rows])


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def as_csv(rows: Sequence[Sequence[str]]) -> str:
    """Rows as comma-separated text with line feeds."""
    held = io.StringIO()
    csv.writer(held, lineterminator="\n").writerows(rows)
    return held.getvalue()
