"""Trial cards: one for each trial run or planned, with what was said before and what it moved."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from planewright.calibrate.kinds.words import words_of
from planewright.documents import content
from planewright.documents.expected import expected_scene
from planewright.study.before import moved_words
from planewright.study.model import MovedRow, TrialRow
from planewright.units.showing import System

STATES = {
    "taken in": "run, taken in",
    "planned": "planned, not yet run",
    "set aside": "set aside",
    "not taken in": "run, not taken in",
}
PICTURE = (
    "What should be read, by what is known today, 95 in 100; mark your own guess under it before you begin."
)


def kind_of_card(row: TrialRow) -> str:
    """The kind whose words stand on the card: a proof of a joint has its own."""
    return "joint" if row.kind == "proof" and ".joint." in row.of else row.kind


def card(row: TrialRow, system: System = "metric", moved: Iterable[MovedRow] = ()) -> dict[str, Any]:
    """The card of one trial. A planned trial has steps, the prediction as sticks and a blank data sheet; a trial run
    its result and the rows of the verdict that it moved (``moved``)."""
    words = words_of(kind_of_card(row))
    planned = row.state == "planned"
    picture = content.image(expected_scene(row.expects, system), PICTURE) if planned and row.expects else None
    return {
        "title": f"{words['title']}: {row.of}",
        "foot": f"trial {row.id}" if not planned else "fill in with pencil",
        "state": f"{row.date}, {STATES[row.state]}",
        "settles": words["settles"],
        "needs": row.done_by or words["needs"],
        "cautions": list(words["cautions"]),
        "said": list(row.said_before),
        "picture": picture,
        "picture-note": PICTURE if picture else "",
        "steps": list(words["steps"]) if planned else [],
        "blank": {"head": words["heads"], "count": words["rows"]} if planned and words["heads"] else None,
        "result": [] if planned else list(row.says),
        "moved": [list(one) for one in row.moved],
        "rows": [moved_words(one) for one in moved if row.id in one.by],
        "stop": words["stop"],
    }
