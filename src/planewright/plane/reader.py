"""Reading an aeroplane file: text, TOML, schema, parts, checks; every fault at once, in file order."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

from planewright.errors import Fault, InputError
from planewright.files import read_text
from planewright.plane.build import build_plane
from planewright.plane.checks import Checks
from planewright.plane.lines import TooDeep, locate
from planewright.plane.model import Plane
from planewright.plane.schema import TOP
from planewright.plane.walk import Notes, Place, read_table

LARGEST = 1_000_000
"""Largest aeroplane file that is read, bytes: a few thousand lines."""
LONGEST_LINE = 20_000

_AT = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")


def parse(text: str, file: str) -> tuple[dict[str, Any], dict[tuple[str | int, ...], int]]:
    """The TOML of a text, and the line of every key.

    Raises InputError with one fault if it is not TOML, is nested too deeply, or holds a table twice.
    """
    for number, row in enumerate(text.split("\n"), start=1):
        if len(row) > LONGEST_LINE:
            said = f"is a line of {len(row)} letters."
            raise InputError([Fault(file, number, "", said, "Lines are shorter.", "Is this the right file?")])
    try:
        raw = tomllib.loads(text)
        return raw, locate(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError([_not_toml(str(error), text, file)]) from error
    except (RecursionError, TooDeep) as error:
        fault = Fault(
            file, 0, "", "is nested too deeply.", "Tables lie at most a few deep.", "Is this the right file?"
        )
        raise InputError([fault]) from error
    except (ValueError, OverflowError) as error:
        fault = Fault(
            file,
            0,
            "",
            "holds a number that cannot be read.",
            "Numbers are of ordinary size.",
            "Look for a very long one.",
        )
        raise InputError([fault]) from error


def _not_toml(message: str, text: str, file: str) -> Fault:
    hit = _AT.search(message)
    line = int(hit[1]) if hit and hit[1] else (text.count("\n") + 1 if hit else 0)
    what = _AT.sub("", message).strip().rstrip(".")
    if "twice" in message or "overwrite" in message.lower():
        name = re.search(r"\((.+?)\)", message)
        said = ".".join(re.findall(r"'([^']*)'", name[1])) if name else ""
        return Fault(
            file, line, said[:60], "is written twice.", "Each table and each key stands once.",
            "Put both into one, or delete the second.",
        )  # fmt: skip
    advice = _toml_advice(text, line)
    return Fault(
        file,
        line,
        "",
        f"is not TOML: {what[:120].lower()}.",
        'A file is lines such as name = "value".',
        advice,
    )


def _toml_advice(text: str, line: int) -> str:
    rows = text.splitlines()
    shown = rows[line - 1].strip() if 0 < line <= len(rows) else ""
    bare = re.fullmatch(r"(.*?=\s*)(-?[0-9][0-9.,]*\s*[A-Za-z%°][^\"#]*?)\s*(#.*)?", shown)
    if bare:
        return f'A quantity stands in quotation marks: {bare[1]}"{bare[2].strip()}".'
    return (
        "Look at that line and the one above: a quotation mark, a bracket or a comma is missing or too many."
    )


def read_text_plane(
    text: str, file: str = "aeroplane.toml", folder: Path | None = None
) -> tuple[Plane | None, tuple[Fault, ...]]:
    """As ``read_plane``, from a text. ``folder`` is where files it names are looked for."""
    try:
        raw, lines = parse(text, file)
    except InputError as error:
        return None, error.faults
    notes = Notes(file, lines)
    top = read_table(notes, TOP, raw, Place())
    assert top is not None
    plane = build_plane(notes, top, folder)
    Checks(notes, top, plane).run()
    faults = tuple(sorted(notes.faults, key=lambda fault: fault.line))
    if notes.full:
        more = "There may be more: mend these first, or look whether this is the right file."
        faults += (Fault(file, 0, "", f"has {len(faults)} faults or more.", "Only these are listed.", more),)
    if any(fault.severity == "fault" for fault in faults):
        return None, faults
    return plane, faults


def read_plane(path: Path) -> tuple[Plane | None, tuple[Fault, ...]]:
    """Read an aeroplane file.

    Arguments:
        path: the file ``aeroplane.toml``.

    Returns:
        (plane, faults). Faults are in file order; the plane is None if any of them has the severity
        "fault". Questions and notes come with a plane. Nothing is raised for what a person wrote.
    """
    try:
        text = read_text(path, LARGEST)
    except InputError as error:
        return None, tuple(replace(fault, file=path.name) for fault in error.faults)
    return read_text_plane(text, path.name, path.parent)
