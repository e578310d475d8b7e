"""Trial cards: one for each trial run or planned, with what was said before and what it moved."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Any

from planewright.study.model import TrialRow

STATES = {
    "taken in": "run, taken in",
    "planned": "planned, not yet run",
    "set aside": "set aside",
    "not taken in": "run, not taken in",
}


@lru_cache(maxsize=1)
def standing_words() -> Mapping[str, Any]:
    """Words of the cards by kind (``cards.toml`` beside this module)."""
    text = resources.files("planewright.documents").joinpath("cards.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def card(row: TrialRow, picture: dict[str, Any] | None = None, picture_note: str = "") -> dict[str, Any]:
    """The card of one trial. A planned trial has steps and a blank data sheet, a trial run its result."""
    words = standing_words()[row.kind]
    planned = row.state == "planned"
    return {
        "title": f"{words['title']}: {row.of}",
        "foot": f"trial {row.id}" if not planned else "fill in with pencil",
        "state": f"{row.date}, {STATES[row.state]}",
        "settles": words["settles"],
        "needs": row.done_by or words["needs"],
        "cautions": list(words["cautions"]),
        "said": list(row.said_before),
        "picture": picture,
        "picture-note": picture_note,
        "steps": list(words["steps"]) if planned else [],
        "blank": {"head": words["heads"], "count": words["rows"]} if planned and words["heads"] else None,
        "result": [] if planned else list(row.says),
        "moved": [list(one) for one in row.moved],
        "stop": words["stop"],
    }
