"""Walking a parsed file along the schema: values in SI, faults with their place, texts and defaults kept."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from planewright.errors import Fault, InputError, Severity
from planewright.plane.lines import Path
from planewright.plane.model import Claim, Default, Section
from planewright.plane.names import canonical, in_words, listed, nearest
from planewright.plane.schema import SECTIONS, WORKED_OUT, Key, Table
from planewright.units import Dimension, misread, read, read_pair, read_phrase, read_travel, suggest
from planewright.units.pairs import read_one_or_slide
from planewright.units.reading import quoted
from planewright.units.symbols import noun

MOST_TEXT = 200
MOST_NAMED = 400
MOST_LISTED = 200


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
        if fault not in self.faults:
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


def _show(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and abs(value) > 10**15:
        return "a huge number"
    return str(value)


def _wanted(key: Key) -> str:
    if key.dimension is None or key.kind in ("travel", "pair"):
        return _ASKED.get(key.kind, "Something else is wanted here.")
    return f"{'An' if key.word[0] in 'aeio' else 'A'} {key.word} is {noun(key.dimension)}."


_ASKED: dict[str, str] = {
    "text": "A text in quotation marks is wanted.",
    "count": "A count is a whole number without a unit.",
    "number": "A number without a unit is wanted.",
    "choice": "One of the words below is wanted.",
    "name": "A name in quotation marks is wanted.",
    "pair": "Two figures of one kind are wanted, in quotation marks.",
    "travel": "A travel is an angle with its direction.",
    "section": 'A section is a name in quotation marks, or { file = "mine.csv" }.',
    "claim": "A claim is a text with its figures.",
    "fractions": "A list of percentages is wanted.",
    "table": "A table is wanted.",
    "list": "A list of tables is wanted.",
    "named": "A table of names is wanted.",
    "file": "The name of a file is wanted.",
}
_SAMPLES: dict[str, str] = {
    "length": "360 mm", "mass": "147 g", "angle": "2 deg", "fraction": "25 %", "speed": "12.5 m/s", "time": "3 min",
    "charge": "4000 mAh", "speed constant": "440 rpm/V", "resistance": "80 mohm", "torque": "5 kg cm",
    "voltage": "5 V", "current": "40 A",
}  # fmt: skip
_EXAMPLES: dict[str, str] = {
    "ends": "260 mm to 220 mm", "pair": "20 x 30 in", "travel": "18 deg up, 12 deg down", "apart": "150 mm apart",
    "share": "12 % of board", "text": "tape", "name": "board", "section": "Clark Y", "file": "mine.csv",
    "claim": "20 N at 24 V and 48 A", "mass of stock": "147 g",
}  # fmt: skip


def example(key: Key) -> str:
    """A value for the key as it might be written."""
    if key.choices:
        return f'"{key.choices[0]}"'
    if key.kind in ("count", "number"):
        return key.default or "2"
    if key.sample:
        return f'"{key.sample}"'
    if key.kind in _EXAMPLES:
        return f'"{_EXAMPLES[key.kind]}"'
    if key.kind == "fractions":
        return '["10 %", "40 %"]'
    return f'"{_SAMPLES.get(key.dimension, "...")}"' if key.dimension else "{ ... }"


def _refuse(key: Key, value: object, why: str = "") -> InputError:
    return misread(f"reads {_show(value)}{why}.", _wanted(key), f"Write {key.name} = {example(key)}.")


def _finite_number(key: Key, value: object) -> float:
    if not isinstance(value, int | float) or value is True or value is False:
        raise _refuse(key, value)
    if isinstance(value, float) and not math.isfinite(value):
        raise _refuse(key, value, ", which is not a number anything can measure")
    if abs(value) > 1e12:
        raise _refuse(key, value, ", which is beyond anything built")
    return float(value)


def _text_of(key: Key, value: object) -> str:
    """The text of a quantity; a bare number is a missing unit, except nought."""
    if isinstance(value, str):
        return value
    number = _finite_number(key, value)
    if number == 0:
        return "0"
    if key.dimension is None:
        raise _refuse(key, value)
    raise misread(
        f'reads "{value}", which has no unit.', _wanted(key), suggest(Fraction(str(value)), key.dimension)
    )


def _bounds(key: Key, value: float, text: str) -> float:
    if key.sign == "positive" and value <= 0:
        size = "nought" if value == 0 else "negative"
        raise misread(
            f"reads {quoted(text)}, which is {size}.",
            f"{_wanted(key)} It is more than nought.",
            "Measure it again.",
        )
    if key.sign == "not negative" and value < 0:
        raise misread(
            f"reads {quoted(text)}, which is negative.",
            _wanted(key),
            f'Did you mean "{text.strip().lstrip("-−–").strip()}"?',
        )
    if key.most is not None and value > key.most:
        limit = {"fraction": f"over {100 * key.most:g} %", "angle": "beyond a steep bank"}.get(
            key.dimension or "", f"over {key.most:g}"
        )
        raise misread(f"reads {quoted(text)}, which is {limit}.", _wanted(key), "Write the number again.")
    return value


def _quantity(key: Key, value: object) -> float:
    text = _text_of(key, value)
    assert key.dimension is not None
    return _bounds(key, read(text, key.dimension, key.word), text)


def _ends(key: Key, value: object) -> tuple[float, float]:
    text = _text_of(key, value)
    assert key.dimension is not None
    first, second = read_one_or_slide(text, key.dimension, key.word)
    return _bounds(key, first, text), _bounds(key, second, text)


def _pair(key: Key, value: object) -> tuple[float, float]:
    text = _text_of(key, value)
    assert key.dimension is not None
    first, second = read_pair(text, key.dimension, key.word)
    return _bounds(key, first, text), _bounds(key, second, text)


def _travel(key: Key, value: object) -> tuple[float, float]:
    text = value if isinstance(value, str) else str(_finite_number(key, value))
    return read_travel(text)


def _apart(key: Key, value: object) -> float:
    text = _text_of(key, value)
    assert key.dimension is not None
    return _bounds(key, read_phrase(text, key.dimension, "apart", "pitch"), text)


def _share(key: Key, value: object) -> float:
    text = _text_of(key, value)
    return _bounds(key, read_phrase(text, "fraction", "of board", key.word), text)


def _mass_of_stock(key: Key, value: object) -> tuple[str, float]:
    """(dimension, SI value): a mass, a mass per length, or a mass per area."""
    mass = replace(key, dimension="mass", noun="mass", sign="positive")
    text = _text_of(mass, value)
    others: tuple[Dimension, ...] = ("line mass", "areal mass")
    for dimension in others:
        try:
            return dimension, _bounds(mass, read(text, dimension, "mass"), text)
        except InputError:
            continue
    return "mass", _bounds(mass, read(text, "mass", "mass"), text)


def _text(key: Key, value: object) -> str:
    if not isinstance(value, str):
        raise _refuse(key, value)
    if not value.strip():
        raise _refuse(key, value, ", which is empty")
    if len(value) > MOST_TEXT:
        raise _refuse(key, value, f", which is longer than {MOST_TEXT} letters")
    return value.strip()


def _name(key: Key, value: object) -> str:
    return canonical(_text(key, value))


def _choice(key: Key, value: object) -> str:
    word = _text(key, value)
    for one in key.choices:
        if canonical(one) == canonical(word):
            return one
    near = nearest(word, key.choices)
    raise misread(
        f"reads {quoted(word)}.",
        f"The words for it are: {listed(key.choices)}.",
        f'Did you mean "{near}"?' if near else "Write one of these.",
    )


def _count(key: Key, value: object) -> int:
    number = _finite_number(key, value)
    if number != int(number):
        raise _refuse(key, value)
    if not 1 <= number <= 10_000:
        raise _refuse(
            key, value, ", which is no count of things" if number < 1 else ", which is beyond anything built"
        )
    return int(number)


def _number(key: Key, value: object) -> float:
    return _bounds(key, _finite_number(key, value), str(value))


_NACA = re.compile(r"naca[\s_-]*([0-9]+)", re.IGNORECASE)


def _section(key: Key, value: object) -> Section | str:
    """A Section, or the name of a file of points (read by the builder, who knows the folder)."""
    if isinstance(value, dict):
        if set(map(canonical, value)) != {"file"} or not isinstance(next(iter(value.values())), str):
            raise _refuse(key, value)
        return str(next(iter(value.values())))
    word = _text(key, value)
    if canonical(word) == "flat":
        return Section("flat", "flat")
    if hit := _NACA.fullmatch(word):
        return _naca(word, hit[1])
    for one in SECTIONS:
        if canonical(one) == canonical(word):
            return Section("named", one)
    near = nearest(word, (*SECTIONS, "flat", "NACA"))
    raise misread(
        f"names {quoted(word)}. There is no section of that name here.",
        f'Sections are: {listed(SECTIONS)}, "NACA" and four figures, "flat", or {{ file = "mine.csv" }}.',
        f'Did you mean "{near}"?' if near else "Write one of these.",
    )


def _naca(word: str, figures: str) -> Section:
    expected = '"NACA" and four figures: camber and its place in parts of the chord, then the thickness in hundredths.'
    if len(figures) != 4:
        raise misread(
            f"reads {quoted(word)}, which has {len(figures)} figures.",
            expected,
            'Write for example "NACA 2415".',
        )
    camber, place, thickness = int(figures[0]), int(figures[1]), int(figures[2:])
    if thickness == 0 or (camber > 0) != (place > 0):
        raise misread(
            f"reads {quoted(word)}, which is no section.", expected, 'Write for example "NACA 2415".'
        )
    return Section("naca", f"NACA {figures}")


_CLAIMED: tuple[tuple[str, Dimension], ...] = (("volts", "voltage"), ("amps", "current"), ("thrust", "force"))
_CLAIM = re.compile(r"(.+?)(?:\s+at\s+(.+?))?(?:\s+and\s+(.+))?", re.IGNORECASE)


def _claim(key: Key, value: object) -> Claim:
    text = _text(key, value)
    hit = _CLAIM.fullmatch(text)
    assert hit is not None
    found: dict[str, float] = {}
    for part in hit.groups():
        if part is None:
            continue
        for name, dimension in _CLAIMED:
            try:
                found[name] = _bounds(
                    replace(key, sign="positive", dimension=dimension), read(part, dimension), part
                )
                break
            except InputError:
                continue
        else:
            sample = 'Write for example "20 N at 24 V and 48 A".'
            raise misread(f"reads {quoted(text)}.", _ASKED["claim"], sample)
    return Claim(text=text, **found)


def _fractions(key: Key, value: object) -> tuple[float, ...]:
    if not isinstance(value, list) or len(value) > MOST_LISTED:
        raise _refuse(key, value)
    return tuple(_quantity(replace(key, noun="fold"), one) for one in value)


READ: dict[str, Callable[[Key, object], Any]] = {
    "text": _text, "count": _count, "number": _number, "choice": _choice, "name": _name, "quantity": _quantity,
    "ends": _ends, "pair": _pair, "travel": _travel, "apart": _apart, "share": _share, "fractions": _fractions,
    "mass of stock": _mass_of_stock, "section": _section, "claim": _claim, "file": _text,
}  # fmt: skip


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
            place, f"reads {_show(raw)}.", "A table is wanted here.", f"It holds: {listed(table.by_name)}."
        )
        return None
    values = Values(place, {}, True, {})
    seen: dict[str, str] = {}
    for written, value in raw.items():
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
            f"reads {_show(raw)}.",
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
            f"reads {_show(raw)}.",
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
                values.place, f'has no "{key.name}".', _wanted(key), f"Write {key.name} = {example(key)}."
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
