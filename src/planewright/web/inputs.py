"""What figures rest on, in plain words: every quantity of knowledge with its kind, band, source and trials."""

from __future__ import annotations

import math
from collections.abc import Iterable

from planewright.knowledge import Knowledge, Quantity, band
from planewright.study.model import Figure
from planewright.study.plain import plain_name
from planewright.units.showing import System, show, show_range
from planewright.web.api import InputRecord

REST = "rest"


def input_records(figures: Iterable[Figure], knowledge: Knowledge, system: System) -> tuple[InputRecord, ...]:
    """Every quantity that a figure rests on, in order of its id; the unexplained rest is none."""
    ids = {name for figure in figures for name, _ in figure.rests_on} - {REST}
    found = [knowledge.quantities[name] for name in sorted(ids) if name in knowledge.quantities]
    return tuple(input_record(one, system) for one in found)


def input_record(one: Quantity, system: System) -> InputRecord:
    """One quantity in words."""
    low, high = band(one)
    middle = math.exp(one.mean) if one.form == "ln" else one.mean
    return InputRecord(
        id=one.id,
        words=plain_name(one.id),
        kind=one.kind,
        value=_value(one, middle, system),
        band="exact" if one.sd <= 0 else _band(one, low, high, system),
        source=one.source,
        owner=one.owner,
        moved_by=tuple((trial, round(share, 4)) for trial, share in one.moved_by),
    )


def _places(one: Quantity) -> int:
    """Decimals of a factor: the last digit at the first figure of its deviation."""
    return max(2, -math.floor(math.log10(one.sd))) if one.sd > 0 else 2


def _value(one: Quantity, middle: float, system: System) -> str:
    if one.form == "ln":
        return f"{show(middle, '1', system, _places(one))} times"
    return show(middle, one.unit, system)


def _band(one: Quantity, low: float, high: float, system: System) -> str:
    if one.form == "ln":
        return f"{show_range(low, high, '1', system, _places(one))} times"
    return show_range(low, high, one.unit, system)
