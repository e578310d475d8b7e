"""A chart as data: what is drawn on page and paper alike. No picture is made here."""

from __future__ import annotations

from typing import Literal

from planewright.findings.model import Record


class Axis(Record):
    """One axis: words, unit as shown, ends in that unit (None: fit the data), whether zero must be on it."""

    words: str
    unit: str
    low: float | None = None
    high: float | None = None
    zero: bool = False


class Series(Record):
    """One line or set of points, x and y of the same length in the axes' units.

    ``low``, ``high``: a band about a line (empty: none). ``look``: line, dashed (a prediction), out (points, filled
    triangle), back (points, hollow triangle), dots, squares, aside (crosses: set aside, ``notes`` says why).
    """

    words: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    look: Literal["line", "dashed", "out", "back", "dots", "squares", "aside"] = "line"
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()
    kind: Literal["assumed", "published", "measured", "drawn"] = "assumed"
    notes: tuple[str, ...] = ()


class Mark(Record):
    """A vertical line at ``x``: ``fence`` (teeth on the ``bad`` side), or plain with words."""

    words: str
    x: float
    fence: bool = False
    bad: Literal["left", "right"] = "right"


class Stick(Record):
    """A stick lying on the x axis: middle and three nested intervals in the axis' unit."""

    middle: float
    all: tuple[float, float]
    measured_published: tuple[float, float]
    measured: tuple[float, float]


class Chart(Record):
    """A whole chart. ``id`` is stable; ``title`` a sentence; ``notes`` stand under it."""

    id: str
    title: str
    x: Axis
    y: Axis
    series: tuple[Series, ...] = ()
    marks: tuple[Mark, ...] = ()
    stick: Stick | None = None
    notes: tuple[str, ...] = ()
