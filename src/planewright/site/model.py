"""The field as described: outline, runway, trees, stands, margins, plan of the flight. SI units; angles in rad.

Points are (x, y) in m in the site's own axes: x along ``x_bearing`` (true), y to its left.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]


@dataclass(frozen=True)
class Runway:
    """From, to, width in m."""

    start: Point
    end: Point
    width: float


@dataclass(frozen=True)
class Trees:
    """A line (open) or an outline (closed) of trees of one ``height`` (m)."""

    name: str
    points: tuple[Point, ...]
    closed: bool
    height: float
    leaves: str = ""


@dataclass(frozen=True)
class Stand:
    """Where a person (``pilot``, ``safety``, ``spectators`` ...) or a camera stands."""

    name: str
    at: Point
    camera: bool = False
    looks: str = ""
    on: str = ""


@dataclass(frozen=True)
class Margins:
    """Distances to keep, m; ``run_share`` is the greatest part of the runway a take-off run may use."""

    outline: float = 15.0
    people: float = 50.0
    helpers: float = 30.0
    pilot: float = 15.0
    over_trees: float = 5.0
    run_share: float = 0.5


@dataclass(frozen=True)
class Pattern:
    """The planned figure: an "eight" (two circles side by side along x) or an "oval" (two half circles
    whose middles are two radii apart along x) about ``centre`` at ``height`` m above the ground."""

    kind: Literal["eight", "oval"]
    centre: Point
    height: float


@dataclass(frozen=True)
class Day:
    """The planned day: local date and time, wind speed m/s and the true bearing it comes FROM (rad), gust m/s."""

    date: dt.date | None = None
    time: dt.time | None = None
    wind: float | None = None
    wind_from: float | None = None
    gust: float | None = None


@dataclass(frozen=True)
class Site:
    """One field, whole. ``surface`` is the words of the file ("mown grass, dry"); ``unit`` as written."""

    name: str
    outline: tuple[Point, ...]
    runway: Runway | None
    surface: str = ""
    latitude: float | None = None
    longitude: float | None = None
    utc_offset_h: float = 0.0
    x_bearing: float = 0.0
    unit: str = "m"
    trees: tuple[Trees, ...] = ()
    stands: tuple[Stand, ...] = ()
    margins: Margins = Margins()
    take_off_from: Point | None = None
    take_off_towards: Literal["x", "-x"] = "x"
    pattern: Pattern | None = None
    day: Day = Day()
