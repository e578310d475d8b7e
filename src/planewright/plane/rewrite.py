"""Writing a description back: only what was changed changes; comments, units and form stay."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, MutableMapping, MutableSequence
from typing import Any

from planewright.errors import Fault, InputError
from planewright.plane.names import canonical, listed, nearest
from planewright.plane.reader import parse


def _refuse(path: str, read: str, expected: str, advice: str) -> InputError:
    return InputError([Fault("", 0, path, read, expected, advice)])


def _step(here: Any, step: str, path: str) -> Any:
    """The key or index that one step of a path means inside ``here``; None if a table has no such key."""
    if isinstance(here, MutableSequence):
        if step.isdecimal() and len(step) < 6 and int(step) < len(here):
            return int(step)
        raise _refuse(
            path, f'has no entry "{step[:20]}".', f"The list has {len(here)}.", "Entries count from nought."
        )
    if not isinstance(here, MutableMapping):
        raise _refuse(path, "goes on below a single value.", "A path ends at a value.", "Shorten the path.")
    return next((key for key in here if canonical(str(key)) == canonical(step)), None)


def _holder(document: Any, path: str) -> tuple[Any, Any]:
    """(what holds the value, its key or index). A key that is not there yet is added to its table."""
    steps = path.split(".")
    here = document
    for number, step in enumerate(steps[:-1]):
        if isinstance(here, MutableMapping) and number == 0 and _step(here, step, path) is None:
            near = nearest(step, map(str, here))
            hint = f'Did you mean "{near}"?' if near else "Add the table by hand first."
            raise _refuse(
                path,
                f'names "{step[:40]}", which is not in the file.',
                f"It has: {listed(map(str, here))}.",
                hint,
            )
        key = _step(here, step, path)
        if key is None:
            raise _refuse(
                path,
                f'names "{step[:40]}", which is not in the file.',
                "A table is wanted.",
                "Add the table by hand first.",
            )
        here = here[key]
    last = _step(here, steps[-1], path)
    return here, canonical(steps[-1]) if last is None else last


def _value(old: object, new: str) -> object:
    """The new text in the kind of value it replaces: a count stays a bare number, all else is a text."""
    if isinstance(old, bool) or not isinstance(old, int | float):
        return new
    try:
        return int(new)
    except ValueError:
        pass
    try:
        return float(new)
    except ValueError:
        return new


def rewrite(text: str, changes: Mapping[str, str]) -> str:
    """Change values in a TOML text and nothing else.

    Arguments:
        text: the file as it is.
        changes: new values as written ("150 mm"), by path as in ``Plane.written``
            (``battery.x``, ``wing.stations.1.chord``, ``control.rudder.servo``). Names are as forgiving as in
            the file. A key that is not in its table yet is added there; a table is not.

    Returns:
        The text with those values changed: comments, spaces, order, form and line endings elsewhere are
        those of ``text``, byte for byte.

    Raises:
        InputError: the text is not TOML, or a path leads nowhere; nothing is half done.
    """
    wanted, lines = parse(text, "")
    plain: str | None = text
    for path, new in changes.items():
        holder, key = _changeable(wanted, path)
        old = holder[key] if not isinstance(holder, MutableMapping) or key in holder else None
        value = _value(old, new)
        plain = (
            None
            if plain is None
            else _in_its_line(plain, lines.get(_whole(wanted, path, key)), key, old, value)
        )
        holder[key] = value
    if plain is not None and _loads(plain) == wanted:
        return plain
    written = _through_parser(text, changes)
    if tomllib.loads(written) != wanted:
        raise _refuse("", "could not be changed without changing more.", "", "Change the file by hand.")
    return written


def _changeable(document: Any, path: str) -> tuple[Any, Any]:
    """What holds the value of a path, and its key. Raises InputError where the path ends above values."""
    holder, key = _holder(document, path)
    old = holder[key] if not isinstance(holder, MutableMapping) or key in holder else None
    if isinstance(old, MutableMapping | MutableSequence):
        raise _refuse(path, "is a table or a list.", "A path ends at a value.", "Name the value in it.")
    return holder, key


def _whole(document: Any, path: str, last: Any) -> tuple[str | int, ...]:
    """A path by the keys as the file writes them, ``last`` at its end."""
    here, found = document, list[str | int]()
    for step in path.split(".")[:-1]:
        key = _step(here, step, path)
        found.append(key)
        here = here[key]
    return (*found, last)


def _in_its_line(text: str, line: int | None, key: object, old: object, new: object) -> str | None:
    """The text with one plain value replaced where it stands; None where that is not as plain as it looks."""
    if (
        line is None
        or not isinstance(key, str)
        or isinstance(old, bool)
        or not isinstance(old, str | int | float)
    ):
        return None
    if isinstance(new, str) and re.search(r'["\\\x00-\x1f\x7f]', new):
        return None
    rows = text.split("\n")
    if line > len(rows):
        return None
    value = r"\"[^\"\\]*\"|'[^']*'" if isinstance(old, str) else r"[-+.\w]+"
    found = list(re.finditer(rf"(?<![\w\"'-]){re.escape(key)}\s*=\s*({value})", rows[line - 1]))
    if len(found) != 1:
        return None
    first, last = found[0].span(1)
    literal = f'"{new}"' if isinstance(new, str) else str(new)
    rows[line - 1] = rows[line - 1][:first] + literal + rows[line - 1][last:]
    return "\n".join(rows)


def _loads(text: str) -> object:
    try:
        return tomllib.loads(text)
    except ValueError:
        return None


def _through_parser(text: str, changes: Mapping[str, str]) -> str:
    """The text with all changes, by way of a parser that keeps comments and form."""
    import tomlkit
    import tomlkit.exceptions

    try:
        document = tomlkit.parse(text)
    except (ValueError, RecursionError, tomlkit.exceptions.TOMLKitError) as error:
        raise _refuse("", "cannot be changed by program.", "", "Change the file by hand.") from error
    for path, new in changes.items():
        holder, key = _changeable(document, path)
        old = holder[key] if not isinstance(holder, MutableMapping) or key in holder else None
        holder[key] = _value(old, new)
    return tomlkit.dumps(document)
