"""One assembly card: pieces as pictures, steps, jigs, checks before the glue dries, boxes for weights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planewright.draw import fonts
from planewright.draw import paper as sheets
from planewright.draw.pack import shelves
from planewright.draw.paper import FLOOR, Paper, Title
from planewright.draw.pieces import outline, scaled
from planewright.draw.scene import Path, Scene, Shape, Text, box, flat, moved
from planewright.geometry.parts import Part

TEXT = fonts.points(11.0)
STEP = 5.6
PICTURES = 78.0
"""Height for the pictures of the pieces, mm."""
BLANK = 8.0


@dataclass(frozen=True)
class WeightBox:
    """A name of weighings.csv and its weight as drawn, g."""

    name: str
    drawn_g: float


@dataclass(frozen=True)
class Card:
    """One card: ``number`` of ``count``, its ``kind`` in the order of building, ``title``, the ``parts``, and words."""

    number: int
    count: int
    kind: str
    title: str
    minutes: int
    parts: tuple[Part, ...]
    steps: tuple[str, ...]
    jigs: tuple[str, ...]
    checks: tuple[str, ...]
    weights: tuple[WeightBox, ...]


def card_scenes(cards: Sequence[Card], paper: Paper, title: Title) -> tuple[Scene, ...]:
    """All cards on pages of one paper, each on as many pages as it needs."""
    blocks = [page for one in cards for page in _pages(one, paper)]
    return tuple(
        sheets.framed(paper, title, (k, len(blocks)), "pieces small").plus(shapes)
        for k, shapes in enumerate(blocks, 1)
    )


def _pages(card: Card, paper: Paper) -> list[tuple[Shape, ...]]:
    left, low, right, high = sheets.room(paper)
    wide = right - left - 12.0
    name = f"Card {card.number} of {card.count}: {card.title}"
    head = [
        Text((left + 6.0, high - 10.0), name, 7.5, face="head", bold=True),
        Text((right - 6.0, high - 10.0), f"about {card.minutes} minutes, two people", FLOOR, "end"),
    ]
    pictures = _pictures(card.parts, (left + 6.0, high - 16.0 - PICTURES), wide, PICTURES)
    pages: list[list[Shape]] = [[*head, *pictures]]
    y = high - 16.0 - PICTURES - 8.0
    for block in _text_blocks(card, wide):
        tall = STEP * len(block) + 2.5
        if y - tall < low + 4.0:
            again = f"{name}, continued"
            pages.append([Text((left + 6.0, high - 10.0), again, 6.0, face="head", bold=True)])
            y = high - 20.0
        for k, (mark, words, bold) in enumerate(block):
            at = y - STEP * k
            if mark == "box":
                pages[-1].append(box(left + 6.0, at - 0.6, 3.6, 3.6, "stick"))
            elif mark:
                pages[-1].append(Text((left + 6.0, at), mark, TEXT, bold=True))
            pages[-1].append(Text((left + (6.0 if bold else 13.0), at), words, TEXT, bold=bold))
        y -= tall
    need = 16.0 + (BLANK + 3.0) * max(1, len(card.weights))
    if y - need < low + 4.0:
        pages.append([])
        y = high - 10.0
    pages[-1] += _weights(card, (left + 6.0, y - 2.0), wide)
    return [tuple(one) for one in pages]


def _text_blocks(card: Card, wide: float) -> list[list[tuple[str, str, bool]]]:
    """Blocks that stay together: (mark, words, heading)."""
    found: list[list[tuple[str, str, bool]]] = []

    def block(mark: str, words: str) -> list[tuple[str, str, bool]]:
        pieces = fonts.wrap(words, TEXT, wide - 8.0)
        return [(mark if k == 0 else "", piece, False) for k, piece in enumerate(pieces)]

    numbers = sorted({one.title for one in card.parts}, key=[one.title for one in card.parts].index)
    found.append([("", "Pieces, crossed off as they are laid out", True), *block("", ", ".join(numbers))])
    found.append([("", "Jigs", True), *block("", "; ".join(card.jigs))])
    found.append([("", "Steps", True), *block("1", card.steps[0])])
    found += [block(str(k), one) for k, one in enumerate(card.steps[1:], 2)]
    found.append([("", "Before the glue dries", True), *block("box", card.checks[0])])
    found += [block("box", one) for one in card.checks[1:]]
    return found


def _pictures(parts: Sequence[Part], at: tuple[float, float], wide: float, tall: float) -> tuple[Shape, ...]:
    """The pieces at one small scale that lets all fit, each with its number below; sticks are left out."""
    shown = [one for one in parts if one.kind != "pine stick" and one.hand != "left"]
    if not shown:
        return ()
    scale = 0.95 * wide / max(max(one.size) for one in shown)
    labels = [Text((0.0, -4.2), one.number, FLOOR, bold=True) for one in shown]
    while scale > 0.01:
        sizes = [
            (max(one.size[0] * scale, label.length) + 1.0, one.size[1] * scale + 6.5)
            for one, label in zip(shown, labels, strict=True)
        ]
        if all(size[0] <= wide and size[1] <= tall for size in sizes):
            places = shelves(sizes, wide, tall, 3.0)
            if all(one.page == 0 for one in places):
                return flat(
                    *(
                        moved(
                            (*_small(shown[p.index], scale), labels[p.index]), at[0] + p.x, at[1] + p.y + 6.0
                        )
                        for p in places
                    )
                )
        scale *= 0.93
    return ()


def _small(part: Part, scale: float) -> list[Path]:
    keep = ("cut", "score", "score back", "hidden")
    drawn = [one for one in scaled(outline(part), scale) if one.layer in keep]
    return [
        Path(one.rings, one.layer, one.closed, width=0.35 if one.layer == "cut" else 0.25) for one in drawn
    ]


def _weights(card: Card, at: tuple[float, float], wide: float) -> tuple[Shape, ...]:
    """A box for each name that is weighed, the weight as drawn beside it, and where the number goes."""
    x, y = at
    shapes: list[Shape] = [
        Text(
            (x, y - 4.0),
            "Weigh it, glue dry, and type it at The weight: it goes into weighings.csv",
            TEXT,
            bold=True,
        )
    ]
    y -= 8.0
    for one in card.weights:
        y -= BLANK + 3.0
        shapes += [
            Text((x, y + 2.4), one.name, TEXT),
            box(x + 44.0, y, 30.0, BLANK, "stick"),
            Text((x + 76.0, y + 2.4), f"g   drawn {one.drawn_g:.0f} g, glue and tape in it", TEXT),
            box(x + wide - 26.0, y, 12.0, BLANK, "stick"),
            box(x + wide - 12.0, y, 12.0, BLANK, "stick"),
        ]
    shapes.append(Text((x + wide, y - 5.0), "two initials", FLOOR, "end"))
    return tuple(shapes)
