"""The stock as bought and weighed, and what silence means when a part does not name its board or stick."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from planewright.plane.model import Damage, Pile, Stock
from planewright.plane.names import listed, nearest
from planewright.plane.schema import GLUES, SHEETS, STICKS, TAPES
from planewright.plane.walk import Notes, Place, Values

ASSUMED: dict[str, tuple[str, Stock]] = {
    "board": (
        '{ kind = "foam board", sheet = "500 x 700 mm", thickness = "5 mm" }',
        Stock("board", "foam board", sheet=(0.5, 0.7), thickness=0.005),
    ),
    "stick": (
        '{ kind = "pine stick", size = "5 x 10 mm", length = "1 m" }',
        Stock("stick", "pine stick", section=(0.005, 0.010), length=1.0),
    ),
    "tape": ('{ kind = "packing tape", width = "48 mm" }', Stock("tape", "packing tape", width=0.048)),
    "glue": (
        '{ kind = "hot melt", allowance = "12 % of board" }',
        Stock("glue", "hot melt", allowance=0.12),
    ),
}
"""Stock taken when none of its sort is listed. Sizes are common practice, no source; no mass is assumed here."""

_SORTS = (("board", SHEETS), ("stick", STICKS), ("tape", TAPES), ("glue", GLUES))
_NEEDS = {"board": ("sheet", "thickness"), "stick": ("section",), "tape": (), "glue": ()}
_WRITTEN = {"section": "size"}


def sort_of(kind: str) -> str:
    """ "board", "stick", "tape" or "glue"."""
    return next(sort for sort, kinds in _SORTS if kind in kinds)


def read_stock(notes: Notes, found: dict[str, Values]) -> dict[str, Stock]:
    """All stock by canonical name, with assumed stock for each sort of which the file lists none."""
    stock: dict[str, Stock] = {}
    for name, values in found.items():
        one = _one(notes, name, values)
        if one is not None:
            stock[name] = one
    _complete(notes, stock, found)
    return stock


def _one(notes: Notes, name: str, values: Values) -> Stock | None:
    kind = values.get("kind")
    if kind is None:
        return None
    missing = [field for field in _NEEDS[sort_of(kind)] if field not in values.places]
    for field in missing:
        written = _WRITTEN.get(field, field)
        samples = {"sheet": "20 x 30 in", "thickness": "5 mm", "size": "5 x 10 mm"}
        advice = f'Write {written} = "{samples[written]}".'
        notes.say(values.place, f'has no "{written}".', f"A {kind} is known by its {written}.", advice)
    if missing or any(field not in values for field in _NEEDS[sort_of(kind)]):
        return None
    got: dict[str, Any] = {k: v for k, v in values.got.items() if k not in ("mass", "pile")}
    stock = Stock(name=name, pile=_pile(values), **got)
    return _weighed(notes, stock, values)


def _pile(values: Values) -> tuple[Pile, ...]:
    """The sheets that differ, those that could not be read left out."""
    written: list[Values] = values.get("pile", [])
    found = []
    for one in written:
        corners: list[Values] = one.get("damaged", [])
        damaged = tuple(Damage(spot.get("at"), spot.get("size")) for spot in corners if spot.complete)
        rest = {key: value for key, value in one.got.items() if key != "damaged"}
        found.append(Pile(damaged=damaged, **rest))
    return tuple(found)


def _weighed(notes: Notes, stock: Stock, values: Values) -> Stock:
    """The stock with its mass, however it was written (of one piece, per length, per area)."""
    from dataclasses import replace

    measured: tuple[str, float] | None = values.get("mass")
    if measured is None:
        return (
            stock
            if stock.allowance or sort_of(stock.kind) != "glue"
            else replace(stock, allowance=_glue(notes, values))
        )
    dimension, mass = measured
    sort = sort_of(stock.kind)
    if sort == "stick" and stock.length is None:
        notes.say(
            values.place, 'has no "length".', "A stick's mass needs its length.", 'Write length = "1 m".'
        )
    elif dimension == "mass" and sort in ("board", "stick"):
        return replace(stock, mass=mass)
    elif dimension == "line mass" and sort == "tape":
        return replace(stock, line_mass=mass)
    elif dimension == "line mass" and stock.length is not None:
        return replace(stock, mass=mass * stock.length)
    elif dimension == "areal mass" and stock.sheet is not None:
        return replace(stock, mass=mass * stock.sheet[0] * stock.sheet[1])
    elif sort == "tape" and dimension == "mass" and stock.length:
        return replace(stock, line_mass=mass / stock.length)
    else:
        meant = {
            "tape": 'per length: mass = "2 g/m"',
            "glue": 'not needed: write allowance = "12 % of board"',
        }
        notes.say(
            values.at("mass"),
            f"is a {dimension}.",
            f"The mass of a {stock.kind} is {meant.get(sort, 'that of one piece')}.",
            "Write it so.",
        )
    return stock


def _glue(notes: Notes, values: Values) -> float:
    notes.assume(values.place.into("allowance"), "12 % of board")
    return 0.12


def _complete(notes: Notes, stock: dict[str, Stock], found: dict[str, Values]) -> None:
    kinds = {str(values.get("kind")) for values in found.values()}
    for sort, members in _SORTS:
        if not kinds & set(members) and sort not in found:
            written, assumed = ASSUMED[sort]
            stock[sort] = assumed
            notes.assume(Place(("stock",), ("stock", sort)), written)


@dataclass(frozen=True)
class Shelf:
    """The stock with its rules of silence, for one reading.

    ``kinds`` holds also stock that could not be read; ``unread``: [stock] is there but could not be read."""

    notes: Notes
    stock: dict[str, Stock]
    kinds: dict[str, str | None]
    unread: bool = False

    def only(self, sort: str) -> str | None:
        """The one board (or stick) that need not be named: the only foam board, else the only sheet."""
        of_sort = [one for one in self.stock.values() if sort_of(one.kind) == sort]
        if sort == "board":
            foam = [one for one in of_sort if one.kind == "foam board"]
            of_sort = foam or [one for one in of_sort if one.kind != "plywood"] or of_sort
        return of_sort[0].name if len(of_sort) == 1 else None

    def named(self, values: Values | None, field: str, sorts: tuple[str, ...] = ("board",)) -> str | None:
        """The stock a field names, if it is there and of the right sort; faults are noted."""
        name = values.get(field) if values is not None else None
        if values is None or name is None:
            return None
        place = values.at(field)
        kind = self.kinds.get(name)
        if name not in self.kinds:
            if not self.unread:
                unknown(self.notes, place, name, tuple(self.stock), "stock", "stock in this file is")
            return None
        if kind is not None and sort_of(kind) not in sorts:
            right = (one for one, its in self.kinds.items() if its is not None and sort_of(its) in sorts)
            self.notes.say(
                place,
                f'names "{name}", which is a {kind}.',
                f"A {' or '.join(sorts)} is wanted here.",
                f"Those in this file are: {listed(right)}.",
            )
            return None
        return str(name) if name in self.stock else None

    def or_only(self, values: Values | None, field: str, sort: str, place: Place, needed: bool) -> str | None:
        """The stock named, else the only one of its sort (noted as assumed), else a fault if ``needed``."""
        if values is not None and field in values.places:
            return self.named(values, field, (sort,))
        only = self.only(sort)
        if only is not None:
            self.notes.assume(place.into(field), only)
        elif needed:
            names = [one.name for one in self.stock.values() if sort_of(one.kind) == sort]
            self.notes.say(
                place,
                f'has no "{field}", and [stock] holds {len(names)} to choose from.',
                f"A {sort} is wanted: {listed(names)}.",
                f'Write {field} = "{names[0]}".' if names else f"List a {sort} in [stock].",
            )
        return only


def unknown(notes: Notes, place: Place, name: str, known: tuple[str, ...], table: str, many: str) -> None:
    """Note a name that points to nothing, in the wording of the language."""
    near = nearest(name, known)
    notes.say(
        place,
        f'names "{name[:60]}". There is no [{table}] of that name.',
        f"The {many}: {listed(known)}.",
        f'Did you mean "{near}"?' if near else "Choose one of these, or add it.",
    )
