"""Which pieces a weighing replaces, with what share, and which weighings are asked about first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planewright.errors import Fault
from planewright.ledger.model import Ledger, Weighing

LEAST, MOST = 0.5, 2.0
"""A weighed part outside these multiples of its drawn mass is asked about before it is believed."""
FILE = "weighings.csv"
KEPT = "Kept as written and left out of the sum."


@dataclass(frozen=True)
class Taken:
    """The weighed mass of one piece. ``mass`` kg; ``resolution`` kg, one unit of the last digit, its share of it;
    ``weighing``: the line it comes from; ``share``: the part of that line's mass."""

    part: str
    mass: float
    resolution: float
    weighing: Weighing
    share: float


def covered(name: str, pieces: Mapping[str, float]) -> tuple[str, ...]:
    """The single pieces that a name covers: itself, or all whose names begin with it and a dot."""
    return tuple(one for one in pieces if one == name or one.startswith(f"{name}."))


def take(pieces: Mapping[str, float], ledger: Ledger) -> tuple[Mapping[str, Taken], tuple[Fault, ...]]:
    """Lay the weighings in force over the drawn pieces.

    A name that covers several pieces is shared between them in the ratio of their drawn masses; pieces that were
    weighed by themselves come first, and the rest of a whole goes to what is left of it. The order of lines does
    not matter.

    Arguments:
        pieces: drawn mass of each piece, kg.
        ledger: the weighings; struck ones are passed over.
    Returns:
        piece -> what it weighs, and the questions: unlikely masses, which are left out of the sum.
    """
    taken: dict[str, Taken] = {}
    questions: list[Fault] = []
    ranked = sorted(ledger.in_force, key=lambda one: (len(covered(one.part, pieces)), one.line))
    for weighing in ranked:
        names = covered(weighing.part, pieces)
        asked = _asked(weighing, sum(pieces[one] for one in names), bool(names))
        questions += asked
        if not asked:
            questions += _share_out(weighing, names, pieces, taken)
    return taken, tuple(sorted(questions, key=lambda one: one.line))


def _share_out(
    weighing: Weighing, names: tuple[str, ...], pieces: Mapping[str, float], taken: dict[str, Taken]
) -> list[Fault]:
    """Give what a line says to the pieces not yet weighed; a question when nothing sensible is left for them."""
    free = [one for one in names if one not in taken]
    rest = weighing.mass - sum(taken[one].mass for one in names if one in taken)
    drawn = sum(pieces[one] for one in free)
    if not free:
        return _disagreement(weighing, rest, sum(taken[one].resolution for one in names))
    if drawn <= 0 or not (LEAST * drawn <= rest <= MOST * drawn or len(free) == len(names)):
        return [_no_rest(weighing, rest, free)]
    for one in free:
        part = pieces[one] / drawn
        taken[one] = Taken(
            one, rest * part, weighing.resolution * part, weighing, rest * part / weighing.mass
        )
    return []


def _grams(mass: float) -> str:
    return f"{mass * 1000:.0f} g"


def _asked(weighing: Weighing, drawn: float, known: bool) -> list[Fault]:
    """Question about a mass that is hard to believe."""
    if not known:
        read = f"{weighing.written} is of no part of this aeroplane."
        return [_question(weighing, read, KEPT, "Correct the part's name.")]
    if weighing.checked or drawn <= 0 or LEAST * drawn <= weighing.mass <= MOST * drawn:
        return []
    ratio = weighing.mass / drawn
    read = f"{weighing.written} is {ratio:.{1 if ratio >= 1 else 2}f} times its drawn mass of {_grams(drawn)}"
    return [
        _question(
            weighing,
            f"{read} ({_grams(LEAST * drawn)} to {_grams(MOST * drawn)} passes unasked).",
            KEPT,
            'Weigh it again and add a line, or put "checked" in its note.',
        )
    ]


def _disagreement(weighing: Weighing, rest: float, resolution: float) -> list[Fault]:
    """A whole and all its parts weighed: a question when they differ by more than the scales can tell."""
    if abs(rest) <= weighing.resolution + resolution:
        return []
    word = "more" if rest > 0 else "less"
    read = f"{weighing.written} is {_grams(abs(rest))} {word} than its parts weighed one by one."
    return [
        _question(
            weighing, read, "The parts are used.", "Weigh the whole again, or strike the line that is wrong."
        )
    ]


def _no_rest(weighing: Weighing, rest: float, free: list[str]) -> Fault:
    read = f"{weighing.written} leaves {_grams(rest)} for {', '.join(free)}, less what was weighed by itself."
    return _question(weighing, read, KEPT, "Weigh the rest by itself and add a line.")


def _question(weighing: Weighing, read: str, expected: str, advice: str) -> Fault:
    return Fault(FILE, weighing.line, weighing.part, read, expected, advice, "question")
