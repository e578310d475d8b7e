"""Changes to TOML texts: values set, put in and taken out; comments, order and form elsewhere stay."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, MutableMapping, MutableSequence
from dataclasses import replace
from itertools import groupby
from typing import Any

from planewright.errors import Fault, InputError
from planewright.plane.names import canonical
from planewright.plane.rewrite import rewrite
from planewright.web.api import Change

MISSING = object()


def wrong(file: str, path: str, read: str, expected: str = "", advice: str = "") -> InputError:
    """A refusal of one change."""
    return InputError([Fault(file, 0, path, read, expected, advice)])


def edited(file: str, text: str, changes: Iterable[Change]) -> str:
    """The text with all changes, in order. Raises InputError naming file and path; nothing is half done."""
    for kind, group in groupby(changes, lambda one: one.do):
        try:
            if kind == "set":
                text = rewrite(text, {one.path: one.text for one in group})
            else:
                for one in group:
                    text = _insert(text, one) if kind == "insert" else _remove(text, one)
        except InputError as error:
            raise InputError([replace(one, file=file) for one in error.faults]) from error
    return text


def _document(text: str) -> Any:
    import tomlkit
    import tomlkit.exceptions

    try:
        return tomlkit.parse(text)
    except (ValueError, RecursionError, tomlkit.exceptions.TOMLKitError) as error:
        raise wrong("", "", "is not TOML.", "", "Mend the file first.") from error


def _literal(change: Change) -> Any:
    """The value that a change puts in, read as TOML."""
    import tomlkit
    import tomlkit.exceptions

    try:
        return tomlkit.parse(f"value = {change.text}\n")["value"]
    except (ValueError, RecursionError, KeyError, tomlkit.exceptions.TOMLKitError) as error:
        advice = 'Write a value such as [60, -18] or { out = "620 mm", chord = "360 mm" }.'
        raise wrong("", change.path, "is no TOML value.", "", advice) from error


def key_in(here: Any, step: str) -> Any:
    """The key or index that one step of a path means; None when there is no such thing."""
    if isinstance(here, MutableSequence | list | tuple):
        return int(step) if step.isdecimal() and len(step) < 6 and int(step) < len(here) else None
    if isinstance(here, MutableMapping | dict):
        return next((key for key in here if canonical(str(key)) == canonical(step)), None)
    return None


def _parent(document: Any, path: str) -> tuple[Any, str]:
    """What holds the last step of a path, and that step."""
    *steps, last = path.split(".")
    here = document
    for step in steps:
        key = key_in(here, step)
        if key is None:
            raise wrong("", path, f'names "{step[:40]}", which is not in the file.')
        here = here[key]
    return here, last


def _with_tables(document: Any, path: str) -> None:
    """Begin the top table of a path that the file does not have yet: [trees], [stand]."""
    import tomlkit

    first, *rest = path.split(".")
    if len(rest) == 1 and key_in(document, first) is None:
        document[first] = tomlkit.table()


def _insert(text: str, change: Change) -> str:
    document, value = _document(text), _literal(change)
    _with_tables(document, change.path)
    here, last = _parent(document, change.path)
    if isinstance(here, MutableSequence):
        if not last.isdecimal() or int(last) > len(here):
            raise wrong("", change.path, "is no place in the list.", f"It has {len(here)} entries.")
        here.insert(int(last), value)
    elif isinstance(here, MutableMapping):
        if key_in(here, last) is not None:
            raise wrong("", change.path, "is there already.", "", "Give it another name.")
        here[last] = value
    else:
        raise wrong("", change.path, "lies below a single value.")
    return _written(document, change)


def _remove(text: str, change: Change) -> str:
    document = _document(text)
    here, last = _parent(document, change.path)
    key = key_in(here, last)
    if key is None:
        raise wrong("", change.path, "is not in the file.", "", "Nothing needs to be taken out.")
    del here[key]
    return _written(document, change)


def _written(document: Any, change: Change) -> str:
    import tomlkit

    text = tomlkit.dumps(document)
    try:
        tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise wrong("", change.path, "cannot be changed here.", "", "Change the file by hand.") from error
    return text


def value_at(text: str, path: str) -> object:
    """The plain value at a path of a TOML text; ``MISSING`` when there is none (or the text is not TOML)."""
    try:
        here: Any = tomllib.loads(text)
    except (ValueError, RecursionError):
        return MISSING
    for step in path.split("."):
        key = key_in(here, step)
        if key is None:
            return MISSING
        here = here[key]
    return here
