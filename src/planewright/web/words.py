"""Figures as words in the units a reader likes, and what moved between two documents."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from planewright.study.model import Document, Figure
from planewright.study.words import band_text, known_words, places, unit_for, value_text
from planewright.units.showing import System, show, shown_unit
from planewright.web.api import Moved, Words

LEAST = 1e-9
NOUGHT = 1e-3
"""Below a billionth of this (SI) a difference is rounding, not a move."""
HABIT = 2
MOST_PLACES = 4


def words_of(name: str, figure: Figure, system: System) -> Words:
    """One figure as shown."""
    unit = unit_for(name, figure.unit)
    symbol, factor = shown_unit(abs(figure.value), unit, system)
    digits = places(figure, unit, system, abs(figure.value))
    fine = show(figure.value, unit, system, None if digits is None else digits + 1)
    return Words(
        value=value_text(name, figure, system),
        band=band_text(name, figure, system),
        known=known_words(figure),
        fine=fine,
        unit=symbol,
        factor=factor,
        decimals=HABIT if digits is None else digits,
    )


def all_words(figures: Mapping[str, Figure], system: System) -> dict[str, Words]:
    """Words of every figure, by id."""
    return {name: words_of(name, one, system) for name, one in figures.items()}


def difference_words(name: str, before: Figure, after: Figure, system: System) -> str:
    """ "7 g more", "0.2 m/s less": two figures of the difference, in the unit that fits it."""
    unit = unit_for(name, after.unit)
    step = abs(after.value - before.value)
    way = "more" if after.value > before.value else "less"
    if step <= LEAST * max(abs(after.value), abs(before.value)):
        return "only its band" if after.low != before.low else "as before"
    _, factor = shown_unit(step, unit, system)
    digits = 1 - math.floor(math.log10(step / factor))
    return f"{show(step, unit, system, min(max(digits, 0), MOST_PLACES))} {way}"


def band_of(figure: Figure) -> tuple[float, float] | None:
    """The outer band, or None."""
    return None if figure.low is None or figure.high is None else (figure.low, figure.high)


def _changed(before: Figure, after: Figure) -> bool:
    scale = max(abs(before.value), abs(after.value), NOUGHT)
    if abs(after.value - before.value) > LEAST * scale:
        return True
    old, new = band_of(before), band_of(after)
    if old is None or new is None:
        return old != new
    width = max(old[1] - old[0], new[1] - new[0], LEAST * scale)
    step = max(1e-6 * width, LEAST * NOUGHT)
    return any(abs(a - b) > step for a, b in zip(old, new, strict=True))


def weight_of(row: Moved) -> float:
    """How much a figure moved, for the order of telling: by its own band, else by its value."""
    if row.before is None or row.after is None:
        return math.inf
    band = row.band_after or row.band_before
    scale = (band[1] - band[0]) if band and band[1] > band[0] else abs(row.before) or 1.0
    return abs(row.after - row.before) / scale


def moved_figures(
    before: Mapping[str, Figure], after: Mapping[str, Figure], system: System
) -> Iterator[Moved]:
    """Each figure of both whose value or band changed, and those that came or went."""
    for name, new in after.items():
        old = before.get(name)
        if old is None or not _changed(old, new):
            continue
        yield Moved(
            kind="figure",
            id=name,
            name=new.name,
            unit=new.unit,
            before=old.value,
            after=new.value,
            before_words=value_text(name, old, system),
            after_words=value_text(name, new, system),
            difference=difference_words(name, old, new, system),
            band_before=band_of(old),
            band_after=band_of(new),
        )


STATE_WORDS = {
    "clear": "clear", "crosses": "across the fence", "short": "short", "missing": "missing", "conflict": "in conflict",
}  # fmt: skip


def moved_findings(before: Document, after: Document) -> Iterator[Moved]:
    """Findings that changed side, and the verdict when it changed."""
    was = {one.id: one.state for one in before.findings}
    for one in after.findings:
        old = was.get(one.id)
        if old is not None and old != one.state:
            said = f"{one.sentence} is now {STATE_WORDS[one.state]}."
            yield Moved(
                kind="finding", id=one.id, name=one.sentence, before_words=old, after_words=one.state, difference=said
            )  # fmt: skip
    if before.verdict and after.verdict and before.verdict.id != after.verdict.id:
        yield Moved(
            kind="verdict",
            id="verdict",
            name="verdict",
            before_words=before.verdict.says,
            after_words=after.verdict.says,
            difference=f"The verdict is now: {after.verdict.says}.",
        )


def moved_between(
    before: Document | None, after: Document | None, system: System, waiting: Iterable[str] = ()
) -> tuple[Moved, ...]:
    """What moved from one document to another, findings first, then figures by how far; those still being worked
    out (``waiting``) are left out."""
    if before is None or after is None:
        return ()
    left = frozenset(waiting)
    rows = [one for one in moved_findings(before, after) if one.id not in left]
    figures = [one for one in moved_figures(before.figures, after.figures, system) if one.id not in left]
    return (*rows, *sorted(figures, key=weight_of, reverse=True))


def sentence_of(moved: tuple[Moved, ...]) -> str:
    """One sentence for the page."""
    rows = [one for one in moved if one.kind != "figure"]
    figures = [one for one in moved if one.kind == "figure"]
    if rows:
        return " ".join(one.difference for one in rows[:2])
    if not figures:
        return "Nothing moves."
    told = " ".join(f"{one.name}: {one.difference}." for one in figures[:2])
    rest = len(figures) - 2
    return told + (f" {rest} more figures move." if rest > 1 else " One more figure moves." if rest else "")
