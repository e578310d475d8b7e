"""Writing a description back: only what was changed changes; comments, units and form stay."""

from __future__ import annotations

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
    import tomlkit
    import tomlkit.exceptions

    wanted, _ = parse(text, "")
    try:
        document = tomlkit.parse(text)
    except (ValueError, RecursionError, tomlkit.exceptions.TOMLKitError) as error:
        raise _refuse("", "cannot be changed by program.", "", "Change the file by hand.") from error
    for path, new in changes.items():
        for whole in (wanted, document):
            holder, key = _holder(whole, path)
            old = holder[key] if not isinstance(holder, MutableMapping) or key in holder else None
            if isinstance(old, MutableMapping | MutableSequence):
                raise _refuse(
                    path, "is a table or a list.", "A path ends at a value.", "Name the value in it."
                )
            holder[key] = _value(old, new)
    written = tomlkit.dumps(document)
    if tomllib.loads(written) != wanted:
        raise _refuse("", "could not be changed without changing more.", "", "Change the file by hand.")
    return written
