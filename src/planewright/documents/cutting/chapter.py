"""The chapter of the book on what is cut: boards small with their parts, boards needed, changes, the bill."""

from __future__ import annotations

from typing import Any

from planewright.documents.content import image
from planewright.documents.cutting.files import board_words
from planewright.documents.cutting.plan import Plan
from planewright.documents.cutting.record import Cutting
from planewright.draw.board_sheet import sheet_title, small_sheet
from planewright.draw.scene import Scene

WIDTH = 130.0
MOST_CHANGES = 40


def what_is_cut(plan: Plan, record: Cutting) -> dict[str, Any] | None:
    """Pictures, tables and notes; None where nothing is cut."""
    if not record.parts:
        return None
    rows = {one.number: one for one in record.sheets}
    pictures = []
    for sheet in plan.sheets:
        shapes, tall = small_sheet(sheet, WIDTH)
        words = f"{sheet_title(sheet)}. {' '.join(board_words(rows[sheet.number]))}"
        pictures.append(image(Scene(WIDTH, tall, shapes, words, margin=-1.0), words))
    return {
        "title": "What is cut",
        "line": " ".join(record.says),
        "pictures": pictures,
        "tables": [one for one in _tables(record) if one["rows"]],
        "notes": _notes(record),
    }


def _tables(record: Cutting) -> list[dict[str, Any]]:
    boards = [
        [one.material, f"{one.used}", f"{one.bound}", f"{one.owned}", f"{100 * one.waste:.0f} %"]
        for one in record.materials
    ]
    bill = [
        [one.item, one.size, f"{one.used:g} {one.unit}", f"{one.spare:g}", f"{one.buy:g}"]
        for one in record.bill
    ]
    changed = [
        [one.title, one.what if one.what != "changed" else f"revision {one.revision}", one.says]
        for one in record.changes[:MOST_CHANGES]
    ]
    return [
        {
            "title": "Boards needed",
            "head": ["Stock", "Used", "At least", "Owned", "Thrown away"],
            "rows": boards,
        },
        {"title": "Bill of materials", "head": ["Item", "Size", "Used", "Spare", "To buy"], "rows": bill},
        {"title": "Changed since parts were last laid", "head": ["Part", "", "What"], "rows": changed},
    ]


def _notes(record: Cutting) -> list[str]:
    rules = record.rules
    found = [
        f"Gap {rules.gap_mm:g} mm, border {rules.border_mm:g} mm; four orders and up to {rules.shuffles} shuffles of "
        f"seed {rules.seed}: the same again gives the same layout. At least: no layout needs fewer, by area and by "
        "pieces of which no two can share a board.",
        "Patterns at true size, corner numbers, boards at full size, cut list and assembly cards lie beside this book.",
    ]
    found += [
        f"{one.title or 'All'}: {one.found}. What would work: {one.would_work}." for one in record.advice
    ]
    found += [
        f"{one.key} lies on no board: {one.why}. What would work: {one.would_work}." for one in record.left
    ]
    if len(record.changes) > MOST_CHANGES:
        found.append(
            f"{len(record.changes) - MOST_CHANGES} more parts changed; planewright sheets lists them all."
        )
    return found
