"""What the page is told of strength."""

from __future__ import annotations

from planewright.findings.model import Record
from planewright.study.chart import Chart
from planewright.study.strength_sheet import StrengthSheet


class Strength(Record):
    """Strength as far as it is worked out. ``sheet`` is key by key what ``planewright strength --json`` prints (without
    its ``pictures``; a key that does not apply is null), that of revision ``revision``; ``working``: a newer one
    follows. ``why``: what lacks. ``charts``: ids "strength", "deflection"."""

    revision: int
    working: bool
    why: str = ""
    sheet: StrengthSheet | None = None
    charts: tuple[Chart, ...] = ()
