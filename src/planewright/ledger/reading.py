"""Reading weighings.csv and checks.csv."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from pathlib import Path
from typing import Protocol

from planewright.errors import Fault, InputError
from planewright.ledger.model import Check, Ledger, Weighing
from planewright.plane.model import Plane
from planewright.plane.parts import nameable, weighable
from planewright.text.located import is_there
from planewright.text.names import meant, same_name, tidy_name
from planewright.text.reader import parse_date, shown
from planewright.text.tables import RawTable, read_table
from planewright.units import read
from planewright.units.reading import unit_of

WEIGHINGS, CHECKS = "weighings.csv", "checks.csv"
WEIGHING_HEADS = ("part", "mass", "when", "who", "note")
CHECK_HEADS = ("check", "passed", "when", "configuration", "serial", "who", "note")
CHECK_NAMES = ("controls", "range", "battery", "failsafe", "look-over")
_YES = {"yes": True, "y": True, "no": False, "n": False}
_LAST = re.compile(r"([0-9]+\s*/\s*[0-9]+|[0-9]*\.?[0-9]+)\s*([^0-9./]+[0-9]?)$")


class _Say(Protocol):
    """The shape of the function that notes a fault of one line."""

    def __call__(self, path: str, read_: str, expected: str, advice: str) -> None: ...


def read_ledger(folder: Path, plane: Plane | None) -> tuple[Ledger, tuple[Fault, ...]]:
    """Read the weighings and checks of a project folder.

    A missing file is an empty one. Nothing a file holds raises; nothing on the disk changes.

    Arguments:
        folder: the project folder.
        plane: the aeroplane, whose part names are the ones that may stand there; None checks no names.

    Returns:
        The ledger (of every line that could be read) and all faults, in file order: weighings, then checks.
    """
    weighings, weighing_faults = _from_file(folder / WEIGHINGS, WEIGHINGS, WEIGHING_HEADS[:2], WEIGHING_HEADS)
    checks, check_faults = _from_file(folder / CHECKS, CHECKS, CHECK_HEADS[:3], CHECK_HEADS)
    pieces = None if plane is None else weighable(plane)
    names = None if plane is None else nameable(plane)
    weighed = read_weighings(weighings, pieces, weighing_faults) if weighings else ()
    passed = read_checks(checks, names, check_faults) if checks else ()
    return Ledger(weighed, passed), (*_in_order(weighing_faults), *_in_order(check_faults))


def _in_order(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted(faults, key=lambda one: one.line))


def _from_file(
    path: Path, file: str, needed: Collection[str], known: Collection[str]
) -> tuple[RawTable | None, list[Fault]]:
    if not is_there(path):
        return None, []
    table, faults = read_table(path, file)
    found = list(faults)
    if table is None:
        return None, found
    table = replace(table, head=tuple(same_name(head, known) or head for head in table.head))
    unknown = [head for head in table.head if head and head not in known]
    missing = [head for head in needed if head not in table.head]
    if len(missing) == len(needed):
        expected = f"Its first line reads: {','.join(known)}"
        return None, [*found, Fault(file, 1, "", "does not begin with its heads.", expected, "")]
    found += [_head(file, head, "is not known here.", *meant(head, known, "Heads")) for head in unknown]
    found += [
        _head(file, head, "is missing.", f"The first line reads: {','.join(known)}", "") for head in missing
    ]
    return (None if missing else table), found


def _head(file: str, head: str, read_: str, expected: str, advice: str) -> Fault:
    return Fault(file, 1, f'head "{head[:40]}"', read_, expected, advice)


def read_weighings(
    table: RawTable, pieces: Mapping[str, tuple[str, ...]] | None, faults: list[Fault]
) -> tuple[Weighing, ...]:
    """The weighings of a table, earlier lines of a part struck; faults are added to ``faults``.

    ``pieces`` maps the part names of the aeroplane to what they cover, as ``weighable`` gives it; None if unknown.
    """
    found = [_weighing(table, row, pieces, faults) for row in range(len(table.rows))]
    read_lines = [one for one in found if one is not None]
    last = {one.part: one.line for one in read_lines}
    weighings = tuple(replace(one, struck=last[one.part] != one.line) for one in read_lines)
    if pieces is not None:
        faults += overlaps([one for one in weighings if not one.struck], pieces, table.file)
    return weighings


def _weighing(
    table: RawTable, row: int, pieces: Mapping[str, tuple[str, ...]] | None, faults: list[Fault]
) -> Weighing | None:
    line, cell = table.lines[row], {head: table.column(head)[row] for head in WEIGHING_HEADS}

    def fault(path: str, read_: str, expected: str, advice: str) -> None:
        faults.append(Fault(table.file, line, path, read_, expected, advice))

    part: str | None = tidy_part(cell["part"])
    if not part:
        fault("part", "is empty.", "Each weighing names its part.", "")
    elif pieces is not None:
        part = _known_part(part, pieces, fault)
    when, advice = parse_date(cell["when"]) if cell["when"] else (None, "")
    if advice:
        fault("when", f"reads {shown(cell['when'])}.", "A date is wanted, year first.", advice)
    mass = _mass(cell["mass"], part or cell["part"], fault)
    if not part or mass is None:
        return None
    checked = "checked" in cell["note"].lower().split() or cell["note"].lower().startswith("checked")
    resolution = resolution_of(cell["mass"])
    return Weighing(
        line, part, mass, resolution, cell["mass"], when, cell["who"], cell["note"], False, checked
    )


def tidy_part(name: str) -> str:
    """A part name as the description language spells it: dots between, spaces and hyphens as underscores."""
    return ".".join(tidy_name(part) for part in name.strip().split("."))


def _known_part(part: str, pieces: Collection[str], fault: _Say) -> str | None:
    found = next((one for one in pieces if tidy_part(one) == part), None)
    if found is None:
        fault("part", f"reads {shown(part)}. There is no such part to weigh.", *meant(part, pieces, "Parts"))
    return found


def _mass(written: str, part: str, fault: _Say) -> float | None:
    try:
        mass = read(written, "mass", "weighing")
    except InputError as error:
        one = error.faults[0]
        fault(f"{part}, mass" if part else "mass", one.read, one.expected, one.advice)
        return None
    if mass <= 0:
        fault(f"{part}, mass", f"reads {shown(written)}.", "A mass is more than nought.", "Weigh it again.")
        return None
    return mass


def resolution_of(written: str) -> float:
    """One unit in the last digit written, kg: 0.01 kg of ``"1.66 kg"``, 0.01 oz of ``"2 lb 9.66 oz"``.

    0 if the text is no mass.
    """
    hit = _LAST.search(" ".join(written.split()))
    unit = unit_of(hit[2].strip()) if hit else None
    if hit is None or unit is None or unit.dimension != "mass":
        return 0.0
    if "/" in hit[1]:
        step = Fraction(1, int(hit[1].split("/")[1]) or 1)
    else:
        step = Fraction(1, 10 ** len(hit[1].partition(".")[2]))
    return float(step * unit.factor)


def overlaps(
    weighings: Collection[Weighing], pieces: Mapping[str, tuple[str, ...]], file: str = WEIGHINGS
) -> list[Fault]:
    """A fault for every pair of a whole and its parts, both weighed, that do not agree.

    They agree if the parts' sum equals the whole within the resolutions of the scales (all parts weighed), or
    does not exceed it by more (some weighed).
    """
    faults = []
    by_part = {one.part: one for one in weighings if one.part in pieces}
    for whole in by_part.values():
        inside = _largest_inside(whole.part, by_part, pieces)
        if not inside:
            continue
        parts = [by_part[name] for name in inside]
        covered = {leaf for name in inside for leaf in pieces[name]}
        total, room = sum(one.mass for one in parts), whole.resolution + sum(one.resolution for one in parts)
        complete = covered == set(pieces[whole.part])
        apart = total - whole.mass
        if apart > room * (1 + 1e-9) or (complete and -apart > room * (1 + 1e-9)):
            faults.append(_disagree(whole, parts, total, complete, file))
    return faults


def _largest_inside(
    whole: str, weighed: Mapping[str, Weighing], pieces: Mapping[str, tuple[str, ...]]
) -> tuple[str, ...]:
    """The weighed names inside ``whole`` that are not inside another of them."""
    leaves = set(pieces[whole])
    inside = [name for name in weighed if name != whole and set(pieces[name]) < leaves]
    nested = {
        a if set(pieces[a]) < set(pieces[b]) else b
        for a, b in combinations(inside, 2)
        if _nested(a, b, pieces)
    }
    return tuple(name for name in inside if name not in nested)


def _nested(a: str, b: str, pieces: Mapping[str, tuple[str, ...]]) -> bool:
    return set(pieces[a]) < set(pieces[b]) or set(pieces[b]) < set(pieces[a])


def _disagree(whole: Weighing, parts: list[Weighing], total: float, complete: bool, file: str) -> Fault:
    later = max([whole, *parts], key=lambda one: one.line)
    names = " and ".join(f"{one.part} {one.written} (line {one.line})" for one in parts)
    says = "are" if complete else "are already"
    read_ = f"{whole.written} (line {whole.line}) holds {names}, which {says} {total * 1000:.4g} g."
    expected = "A whole and its parts agree within the last digit of the scale."
    advice = "Weigh again, or give the same name to the line that shall count."
    return Fault(file, later.line, whole.part, read_, expected, advice)


def read_checks(table: RawTable, names: Collection[str] | None, faults: list[Fault]) -> tuple[Check, ...]:
    """The checks of a table; faults are added to ``faults``. ``names``: part names a proof may be of."""
    found = [_check(table, row, names, faults) for row in range(len(table.rows))]
    return tuple(one for one in found if one is not None)


def _check(table: RawTable, row: int, names: Collection[str] | None, faults: list[Fault]) -> Check | None:
    line, cell = table.lines[row], {head: table.column(head)[row] for head in CHECK_HEADS}

    def fault(path: str, read_: str, expected: str, advice: str) -> None:
        faults.append(Fault(table.file, line, path, read_, expected, advice))

    name = _check_name(cell["check"], names, fault)
    passed = _YES.get(cell["passed"].lower())
    if passed is None:
        fault("passed", f"reads {shown(cell['passed'])}.", 'It reads "yes" or "no".', "")
    when = _check_date(cell["when"], fault)
    if name is None or passed is None or when is None:
        return None
    return Check(line, name, passed, when, cell["configuration"], cell["serial"], cell["who"], cell["note"])


def _check_date(written: str, fault: _Say) -> dt.date | None:
    when, advice = parse_date(written)
    if when is None:
        expected = "A check holds from a day on, so it says which."
        fault("when", f"reads {shown(written)}." if written else "is empty.", expected, advice)
    return when


def _check_name(written: str, names: Collection[str] | None, fault: _Say) -> str | None:
    first, _, rest = written.strip().partition(" ")
    if first.lower() == "proof" and rest:
        part = tidy_part(rest)
        known = part if names is None else next((one for one in names if tidy_part(one) == part), None)
        if known is None:
            known_ones = meant(part, names or (), "Parts")
            fault("check", f"reads {shown(written)}. There is no part of that name.", *known_ones)
        return None if known is None else f"proof {known}"
    found = same_name(written, CHECK_NAMES)
    if found is None:
        fault("check", f"reads {shown(written)}.", *meant(written, [*CHECK_NAMES, "proof PART"], "Checks"))
    return found
