"""Walking a parsed file along the schema: values in SI, faults with their place, texts and defaults kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from planewright.errors import Fault, InputError, Severity
from planewright.plane.lines import Path
from planewright.plane.model import Default
from planewright.plane.names import canonical, in_words, listed, nearest
from planewright.plane.schema import WORKED_OUT, Key, Table
from planewright.plane.values import MOST_LISTED, READ, example, shown, wanted
from planewright.units.reading import quoted

MOST_NAMED = 400
MOST_FAULTS = 300
"""More faults than anyone mends in one sitting; reading stops noting there, and says so."""


@dataclass(frozen=True)
class Place:
    """Where a value stands: ``raw`` as written (for its line), ``path`` in canonical names (for people)."""

    raw: Path = ()
    path: Path = ()

    def into(self, written: str | int, name: str | int | None = None) -> Place:
        """The place one step further in."""
        return Place((*self.raw, written), (*self.path, written if name is None else name))


@dataclass
class Notes:
    """What one reading collects: faults, texts as written, defaults used. ``lines`` maps raw paths to lines."""

    file: str
    lines: Mapping[Path, int]
    faults: list[Fault] = field(default_factory=list)
    written: dict[str, str] = field(default_factory=dict)
    defaults: list[Default] = field(default_factory=list)
    _said: set[Fault] = field(default_factory=set, repr=False)

    @property
    def full(self) -> bool:
        """True once so many faults are noted that the file cannot be what it is taken for."""
        return len(self.faults) >= MOST_FAULTS

    def line(self, raw: Path) -> int:
        """The line of the nearest thing that has one."""
        while raw:
            if raw in self.lines:
                return self.lines[raw]
            raw = raw[:-1]
        return 0

    def say(self, place: Place, read: str, expected: str, advice: str, severity: Severity = "fault") -> None:
        """Note one fault, question or note at a place."""
        fault = Fault(self.file, self.line(place.raw), in_words(place.path), read, expected, advice, severity)
        if fault not in self._said and len(self.faults) < MOST_FAULTS:
            self._said.add(fault)
            self.faults.append(fault)

    def assume(self, place: Place, value: str) -> None:
        """Note a value that silence gave."""
        self.defaults.append(Default(".".join(str(step) for step in place.path), value))


@dataclass
class Values:
    """One table read: ``got`` holds values by field name; ``complete`` is False if a needed one is missing."""

    place: Place
    got: dict[str, Any]
    complete: bool
    places: dict[str, Place]

    def __contains__(self, name: str) -> bool:
        return name in self.got

    def get(self, name: str, otherwise: Any = None) -> Any:
        return self.got.get(name, otherwise)

    def at(self, name: str) -> Place:
        """The place of one field, or of the table when it was left out."""
        return self.places.get(name, self.place)


def read_value(notes: Notes, key: Key, value: object, place: Place) -> Any:
    """One value in SI, or None after noting its fault."""
    try:
        result = READ[key.kind](key, value)
    except InputError as error:
        first = error.faults[0]
        notes.say(place, first.read, first.expected, first.advice)
        return None
    if isinstance(value, str | int | float):
        notes.written[".".join(str(step) for step in place.path)] = str(value)
    return result


def read_table(notes: Notes, table: Table, raw: object, place: Place) -> Values | None:
    """One table along its schema; None (with a fault) if it is no table at all."""
    if not isinstance(raw, dict):
        notes.say(
            place, f"reads {shown(raw)}.", "A table is wanted here.", f"It holds: {listed(table.by_name)}."
        )
        return None
    values = Values(place, {}, True, {})
    seen: dict[str, str] = {}
    for written, value in raw.items():
        if notes.full:
            break
        name = canonical(written)
        here = place.into(written, name)
        if name in seen:
            _twice(notes, here, written, seen[name])
            continue
        seen[name] = written
        key = table.by_name.get(name)
        if key is None:
            _unknown(notes, table, here, written, values)
            continue
        _take(notes, key, value, here, values)
    _silence(notes, table, seen, values)
    return values


def _take(notes: Notes, key: Key, value: object, here: Place, values: Values) -> None:
    into = key.into or key.name
    values.places[into] = here
    if key.kind == "table":
        assert key.table is not None
        result: Any = read_table(notes, key.table, value, here)
    elif key.kind == "named":
        result = _read_named(notes, key, value, here)
    elif key.kind == "list":
        result = _read_list(notes, key, value, here)
    else:
        result = read_value(notes, key, value, here)
    if result is None:
        values.complete = values.complete and not key.required
        if key.default is not None:
            values.got[into] = default_of(key)
    else:
        values.got[into] = result


def _read_named(notes: Notes, key: Key, raw: object, place: Place) -> dict[str, Values] | None:
    assert key.table is not None
    if not isinstance(raw, dict):
        notes.say(
            place,
            f"reads {shown(raw)}.",
            "A table of names is wanted here.",
            f"Write [{key.name}] and below it one line for each.",
        )
        return None
    found: dict[str, Values] = {}
    seen: dict[str, str] = {}
    for written, value in raw.items():
        name = canonical(written)
        here = place.into(written, name)
        if name in seen:
            _twice(notes, here, written, seen[name])
            continue
        if not name or len(name) > 60 or len(seen) >= MOST_NAMED:
            notes.say(
                here, f"is named {quoted(written)}.", "A name has 1 to 60 letters.", "Give it a short name."
            )
            continue
        seen[name] = written
        one = read_table(notes, key.table, value, here)
        if one is not None:
            found[name] = one
    return found


def _read_list(notes: Notes, key: Key, raw: object, place: Place) -> list[Values] | None:
    assert key.table is not None
    if isinstance(raw, dict):
        one = read_table(notes, key.table, raw, place)
        return None if one is None else [one]
    if not isinstance(raw, list) or len(raw) > MOST_LISTED:
        notes.say(
            place,
            f"reads {shown(raw)}.",
            "A list of tables is wanted here.",
            f"Write {key.name} = [ {{ ... }}, {{ ... }} ].",
        )
        return None
    found = [read_table(notes, key.table, one, place.into(number)) for number, one in enumerate(raw)]
    return [one for one in found if one is not None]


def _twice(notes: Notes, here: Place, written: str, first: str) -> None:
    notes.say(
        here,
        f"is written twice, as {quoted(first)} and as {quoted(written)}.",
        "A space, a hyphen, an underscore and capitals make no difference in a name.",
        "Keep one of them.",
    )


def _unknown(notes: Notes, table: Table, here: Place, written: str, values: Values) -> None:
    """Note an unknown key. The key that was probably meant counts as written, so that it is not missed too."""
    name = canonical(written)
    if name in WORKED_OUT:
        notes.say(here, "is written down.", f"This is worked out {WORKED_OUT[name]}.", "Delete the line.")
        return
    near = nearest(name, table.by_name)
    if near is not None:
        key = table.by_name[near]
        values.places.setdefault(key.into or near, here)
        values.complete = values.complete and not key.required
    notes.say(
        Place(here.raw, (*here.path[:-1], written[:40])),
        "is not a word that is known here.",
        f"The words here are: {listed(table.by_name)}.",
        f'Did you mean "{near}"?' if near else "Delete the line, or choose one of these.",
    )


def _silence(notes: Notes, table: Table, seen: Mapping[str, str], values: Values) -> None:
    for key in table.keys:
        if key.name in seen or (key.into or key.name) in values.places:
            continue
        if key.required:
            values.complete = False
            notes.say(
                values.place, f'has no "{key.name}".', wanted(key), f"Write {key.name} = {example(key)}."
            )
        elif key.default is not None:
            here = values.place.into(key.name)
            notes.assume(here, key.default)
            values.got[key.into or key.name] = default_of(key)


def default_of(key: Key) -> Any:
    """What silence means for a key that has a default, in SI."""
    assert key.default is not None
    raw: object = int(key.default) if key.kind in ("count", "number") else key.default
    return READ[key.kind](key, raw)
