"""The tables of a trial.toml that hold quantities: air, specimen, rig, failure, what was said before."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from planewright.errors import InputError
from planewright.records.model import Said
from planewright.records.numbers import dimension_of_head
from planewright.records.said import Spoken, length_before, spoken_quantity
from planewright.text.located import Path
from planewright.text.names import same_name
from planewright.text.reader import Reader, shown
from planewright.units import Dimension, read_pair, read_phrase

SAME = ("same", "as the aeroplane", "the aeroplane's own")
SPECIMEN = ("scale", "skin", "caps", "web", "ribs", "joint", "note")
RIG = (
    "on", "held", "load", "reading", "cells", "speed", "arm", "pack", "surface", "scale", "scales", "nose", "mains",
    "tail", "battery", "cord", "points", "spans", "note",
)  # fmt: skip
RIG_LENGTHS = ("nose", "mains", "tail", "battery")
FAILURE = ("mode", "at", "between", "photo", "note")
AIR: Mapping[str, Dimension] = {"temperature": "temperature", "pressure": "pressure", "wind": "speed"}
AHEAD, BEHIND = ("ahead", "before", "in front"), ("behind", "aft", "after")


def spoken_at(reader: Reader, path: Path, dimension: Dimension, example: str) -> Spoken | None:
    """A quantity with words after it; a fault if the text does not begin with one of that dimension."""
    value = reader.get(path)
    if value is None:
        return None
    found = spoken_quantity(value) if isinstance(value, str) else None
    if found is None or found.dimension != dimension:
        reader.fault(path, f"reads {shown(value)}.", f"A {dimension} is wanted first.", f'Write "{example}".')
        return None
    return found


def read_air(reader: Reader) -> dict[str, float]:
    """``air``: temperature K, pressure Pa, wind m/s (words may follow the wind's speed)."""
    reader.table(("air",), tuple(AIR))
    found: dict[str, float | None] = {
        name: reader.quantity(("air", name), AIR[name]) for name in ("temperature", "pressure")
    }
    wind = spoken_at(reader, ("air", "wind"), "speed", "0.6 m/s along the track")
    found["wind"] = None if wind is None else wind.low
    for name, low, high in (("temperature", 200.0, 340.0), ("pressure", 3e4, 1.2e5)):
        value = found[name]
        if value is not None and not low <= value <= high:
            advice = "Is the unit right? The pressure is that of the place, not reduced to the sea."
            reader.fault(
                ("air", name), f"reads {shown(reader.get(('air', name)))}.", "No such weather.", advice
            )
    return {name: value for name, value in found.items() if value is not None}


def read_specimen(reader: Reader) -> dict[str, Any]:
    """``specimen``: ``scale``, ``skin`` and ``web`` {thickness m, mass kg/m2}, ``caps`` of the main
    spar (m, m), ``ribs`` pitch m, ``joint`` words. What is "same" is left out, like what is silent."""
    table = reader.table(("specimen",), SPECIMEN)
    found: dict[str, Any] = {}
    for key in (one for one in SPECIMEN if one in table):
        path: Path = ("specimen", key)
        if isinstance(table[key], str) and same_name(table[key], SAME):
            continue
        value = _SPECIMEN_READERS[key](reader, path)
        if value is not None:
            found[key] = value
    return found


def _scale(reader: Reader, path: Path) -> float | None:
    return reader.number(path, 0.0, 0.1, 1.0) or None


def _sheet(reader: Reader, path: Path) -> dict[str, float] | None:
    if isinstance(reader.get(path), str):
        expected = "A sheet that differs has its own thickness and mass."
        advice = 'Write { thickness = "3.0 mm", mass = "270 g/m2" }, or "same".'
        reader.fault(path, f"reads {shown(reader.get(path))}.", expected, advice)
        return None
    reader.table(path, ("thickness", "mass"))
    values = {
        "thickness": reader.quantity((*path, "thickness"), "length", "thickness"),
        "mass": reader.quantity((*path, "mass"), "areal mass", "mass of a sheet"),
    }
    for key, value in values.items():
        if value is not None and value <= 0:
            reader.fault(
                (*path, key), f"reads {shown(reader.get((*path, key)))}.", "It is more than nought.", ""
            )
    return {key: value for key, value in values.items() if value is not None and value > 0} or None


def _cap(reader: Reader, path: Path) -> tuple[float, float] | None:
    value = reader.get(path)
    try:
        pair = read_pair(value if isinstance(value, str) else "", "length", "cap", "3 x 6 mm")
    except InputError as error:
        reader.take(error, path)
        return None
    if min(pair) <= 0:
        reader.fault(path, f"reads {shown(value)}.", "A stick has a width and a height.", "")
        return None
    return pair


def _pitch(reader: Reader, path: Path) -> float | None:
    value = reader.get(path)
    try:
        pitch = read_phrase(value if isinstance(value, str) else "", "length", "apart", "pitch")
    except InputError as error:
        reader.take(error, path)
        return None
    if pitch <= 0:
        reader.fault(path, f"reads {shown(value)}.", "Ribs stand apart.", "")
        return None
    return pitch


def _words(reader: Reader, path: Path) -> str | None:
    return reader.text(path) or None


_SPECIMEN_READERS = {
    "scale": _scale, "skin": _sheet, "web": _sheet, "caps": _cap, "ribs": _pitch, "joint": _words, "note": _words,
}  # fmt: skip


def read_rig(reader: Reader) -> dict[str, Any]:
    """``rig``: texts as they stand; besides

    ``cells`` {name: m aft of the quarter chord}, ``arm`` {engine m, cell m}, ``load`` {hung: m outboard} or words,
    ``nose``, ``mains``, ``tail``, ``battery`` m behind the nose tip; and, taken out of the words where they stand,
    ``width`` (vehicle, m) and ``above`` (wing above its roof, m) of ``on``, ``saddle`` (m wide) of ``held``,
    ``elliptical`` (True) of ``load``.
    """
    table = reader.table(("rig",), RIG)
    found: dict[str, Any] = {}
    for key in (one for one in RIG if one in table):
        value = _rig_value(reader, key)
        if value is not None:
            found[key] = value
    return found | _out_of_words(found)


def _rig_value(reader: Reader, key: str) -> Any:
    path: Path = ("rig", key)
    if key == "cells":
        return _cells(reader, path)
    if key == "arm":
        return _lengths(reader, path, ("engine", "cell"), "500 mm")
    if key in RIG_LENGTHS:
        spoken = spoken_at(reader, path, "length", "150 mm behind the nose tip")
        return None if spoken is None else spoken.low
    if key == "load" and isinstance(reader.get(path), Mapping):
        return _lengths(reader, path, ("hung",), "250 mm outboard of the pin")
    return reader.text(path) or None


def _lengths(reader: Reader, path: Path, keys: tuple[str, ...], example: str) -> dict[str, float] | None:
    reader.table(path, keys)
    found = {}
    for key in keys:
        where = (*path, key)
        spoken = spoken_at(reader, where, "length", example)
        if spoken is not None and spoken.low > 0:
            found[key] = spoken.low
        elif spoken is not None:
            reader.fault(where, f"reads {shown(reader.get(where))}.", "It is more than nought.", "")
        elif reader.get(where) is None:
            reader.need(where, "Its lever cannot be known without it.", f'Write {key} = "{example}".')
    return found or None


def _cells(reader: Reader, path: Path) -> dict[str, float] | None:
    """Places of the load cells, m aft of the quarter chord."""
    found = {}
    for name in reader.table(path):
        where = (*path, name)
        spoken = spoken_at(reader, where, "length", "60 mm ahead of the quarter chord")
        if spoken is None:
            continue
        sign = -1 if spoken.rest.startswith(AHEAD) else 1 if spoken.rest.startswith(BEHIND) else 0
        if not sign:
            advice = (
                f'Write "{shown(reader.get(where)).strip(chr(34))} ahead of the quarter chord", or behind it.'
            )
            reader.fault(
                where, f"reads {shown(reader.get(where))}.", "It says on which side of what.", advice
            )
        else:
            found[name] = sign * spoken.low
    return found or None


def _out_of_words(rig: Mapping[str, Any]) -> dict[str, Any]:
    on, held, load = (str(rig.get(key, "")) for key in ("on", "held", "load"))
    found = {"width": length_before(on, "wide"), "above": length_before(on, "above")}
    if "saddle" in held.lower():
        found["saddle"] = length_before(held, "wide")
    words: dict[str, Any] = {key: value for key, value in found.items() if value is not None}
    return words | ({"elliptical": True} if "ellip" in load.lower() else {})


def read_failure(reader: Reader) -> dict[str, Any]:
    """``failure``: ``mode``, ``at``, ``photo`` as words; ``between`` (low, high) in kg, with their ``unit``."""
    table = reader.table(("failure",), FAILURE)
    found: dict[str, Any] = {}
    for key in ("mode", "at", "photo", "note"):
        text = reader.text(("failure", key))
        found |= {key: text} if text else {}
    if "between" in table:
        found |= _between(reader, ("failure", "between"))
    elif table:
        advice = (
            'Write between = "3000 g and 3200 g each side": the last load that held and the one that did not.'
        )
        reader.need(("failure", "between"), "A failure says between which loads it came.", advice)
    return found


def _between(reader: Reader, path: Path) -> dict[str, Any]:
    value = reader.get(path)
    spoken = spoken_quantity(value) if isinstance(value, str) else None
    if spoken is None or spoken.dimension not in ("mass", "force", "torque") or spoken.low < 0:
        advice = 'Write "3000 g and 3200 g each side".'
        reader.fault(path, f"reads {shown(value)}.", "Two loads are wanted: held, and did not hold.", advice)
        return {}
    return {"between": (spoken.low, spoken.high), "unit": spoken.unit}


def read_said(reader: Reader) -> tuple[Said, ...]:
    """``said_before``: each prediction as written and, where it begins with a figure, its range in SI."""
    found = []
    for what in reader.table(("said_before",)):
        words = reader.text(("said_before", what))
        spoken = spoken_quantity(words) if words else None
        if spoken is None:
            found.append(Said(what, words))
        else:
            found.append(Said(what, words, spoken.low, spoken.high, spoken.unit))
    return tuple(found)


def read_sigma(reader: Reader) -> dict[str, float]:
    """``sigma``: column -> standard deviation in SI of the column's own unit."""
    found = {}
    for head in reader.table(("sigma",)):
        path: Path = ("sigma", head)
        dimension = dimension_of_head(head)
        if dimension is None:
            expected = "A standard deviation belongs to a column whose head carries a unit."
            reader.fault(path, "is for no such column.", expected, 'Write cell_g = "10 g".')
            continue
        value = reader.quantity(path, dimension, "standard deviation")
        if value is not None and value <= 0:
            reader.fault(path, f"reads {shown(reader.get(path))}.", "It is more than nought.", "")
        elif value is not None:
            found[head] = value
    return found
