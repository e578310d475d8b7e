"""One trial card as a page of its own, with the page design of the book."""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

from planewright.documents import content
from planewright.documents.book import PAGES, BookPaper
from planewright.draw.pdf import actual_size, typeset

TITLE = "// ---------------------------------------------------------------- title"
CARDS = "// ---------------------------------------------------------------- trial cards"
AFTER = "// ---------------------------------------------------------------- flight day"


def card_source() -> str:
    """The part of the book's design that sets cards."""
    source = resources.files("planewright.documents").joinpath("book.typ").read_text(encoding="utf-8")
    head, _, rest = source.partition(TITLE)
    cards = rest.partition(CARDS)[2].partition(AFTER)[0]
    return head + cards


def card_pdf(card: dict[str, Any], project: str, paper: BookPaper = "A4") -> bytes:
    """A card (as ``documents.cards.card`` makes it) as PDF bytes. Raises TypesettingFault when a letter is missing."""
    width, height = PAGES[paper]
    data = {
        "title": card["title"],
        "foot": project,
        "page": {"width": width, "height": height},
        "key": content.keys(),
        "cards": [card],
    }
    return actual_size(typeset(card_source(), {"d": json.dumps(data)}))
