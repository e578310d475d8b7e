"""The frozen record of one finding, as every door shows it."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

State = Literal["clear", "crosses", "short", "missing", "conflict"]
Side = Literal["at least", "at most", "present"]
Weight = Literal["block", "watch"]
VerdictId = Literal["not_ready", "needs_evidence", "pilot_decides"]


class Record(BaseModel):
    """Base of all records that leave the program: frozen, no unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Finding(Record):
    """A figure against a limit, or named evidence.

    ``margin`` is (value - limit) / scale, signed so that good is positive; None for evidence.
    ``stick`` holds the row on the fence scale: (low, middle, high) for all inputs, for measured and published
    inputs, and for measured inputs alone; empty for evidence and for exact numbers one triple of equal values.
    ``danger`` sorts rows, 1 first. ``settles`` names what would settle it. ``sentence`` is for people.
    ``source`` is where the limit comes from. ``name`` is two or three words for a narrow place.
    """

    id: str
    name: str
    figure: str
    value: float | None
    limit: float | None
    unit: str
    side: Side
    kind: Weight
    state: State
    margin: float | None
    evidence: str
    settles: str
    sentence: str
    source: str
    danger: int
    stick: tuple[tuple[float, float, float], ...] = ()
