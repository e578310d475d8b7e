"""Reading site.toml."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import fields
from fractions import Fraction
from itertools import combinations
from math import hypot, pi
from pathlib import Path as FilePath
from typing import Any, Literal

from planewright.errors import Fault
from planewright.site.model import Day, Margins, Pattern, Point, Runway, Site, Stand, Trees
from planewright.text.located import Path, is_there, read_toml
from planewright.text.reader import Reader, finite, shown
from planewright.units import Dimension
from planewright.units.reading import unit_of

SITE = "site.toml"
KEYS = (
    "name", "position", "clock", "x_bearing", "unit", "surface", "outline", "runway", "trees", "margins", "stand",
    "plan", "note",
)  # fmt: skip
MARGINS = tuple(one.name for one in fields(Margins))
FARTHEST = 20_000.0
"""Farthest point from the origin that is believed, m."""

_POSITION = re.compile(
    r"([0-9.]+)\s*(?:deg|°)?\s*([NS])\s*,\s*([0-9.]+)\s*(?:deg|°)?\s*([EW])", re.IGNORECASE
)
_CLOCK = re.compile(r"UTC\s*(?:([-+−])\s*([0-9]{1,2})(?::([0-9]{2}))?)?", re.IGNORECASE)
_WIND = re.compile(r"(.+?)\s+from\s+(.+)")


def read_site(path: FilePath) -> tuple[Site | None, tuple[Fault, ...]]:
    """Read a field: outline, runway, trees, stands, margins and the plan of the flight.

    Points and heights stand bare in the file's one ``unit``; everything else carries its unit.

    Arguments:
        path: the site.toml file. A missing file is no fault: a project may have no field yet.

    Returns:
        The site in SI units and radians, or None if there is no file, it could not be read or has no outline;
        and all faults in file order. Nothing a file holds raises; nothing on the disk changes.
    """
    if not is_there(path):
        return None, ()
    source, faults = read_toml(path, path.name)
    if source is None:
        return None, faults
    reader = _SiteReader(Reader(source))
    return reader.site(), reader.reader.sorted_faults()


class _SiteReader:
    """Reads one site; ``scale`` is the file's unit in m."""

    def __init__(self, reader: Reader) -> None:
        self.reader = reader
        self.scale = 1.0

    def site(self) -> Site | None:
        reader = self.reader
        reader.table((), KEYS)
        unit = reader.text(("unit",), "m")
        self.scale = self._unit(unit)
        latitude, longitude = self._position()
        outline = self._outline()
        take_off_from, towards = self._take_off()
        site = Site(
            name=reader.text(("name",), "a field without a name"),
            outline=outline,
            runway=self._runway(),
            surface=reader.text(("surface",)),
            latitude=latitude,
            longitude=longitude,
            utc_offset_h=self._clock(),
            x_bearing=reader.quantity(("x_bearing",), "angle", "bearing") or 0.0,
            unit=unit,
            trees=self._trees(),
            stands=self._stands(),
            margins=self._margins(),
            take_off_from=take_off_from,
            take_off_towards=towards,
            pattern=self._pattern(),
            day=self._day(),
        )
        return site if len(outline) >= 3 else None

    def _unit(self, unit: str) -> float:
        known = unit_of(unit)
        if known is None or known.dimension != "length":
            expected = "One unit of length serves all points and heights of the file."
            self.reader.fault(("unit",), f"reads {shown(unit)}.", expected, 'Write "m" or "ft".')
            return 1.0
        return known.to_si(Fraction(1))

    def _position(self) -> tuple[float | None, float | None]:
        """Latitude and longitude in rad, north and east positive."""
        value = self.reader.get(("position",))
        if value is None:
            return None, None
        hit = _POSITION.fullmatch(value.strip()) if isinstance(value, str) and len(value) < 100 else None
        degrees = _floats(hit[1], hit[3]) if hit else None
        if hit is None or degrees is None or degrees[0] > 90 or degrees[1] > 180:
            advice = 'Write "48.000 deg N, 20.000 deg W".'
            self.reader.fault(
                ("position",), f"reads {shown(value)}.", "A latitude and a longitude are wanted.", advice
            )
            return None, None
        north = -1 if hit[2].upper() == "S" else 1
        east = -1 if hit[4].upper() == "W" else 1
        return north * degrees[0] * pi / 180, east * degrees[1] * pi / 180

    def _clock(self) -> float:
        """Hours that the local clock is ahead of UTC."""
        value = self.reader.get(("clock",))
        if value is None:
            return 0.0
        hit = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) and len(value) < 20 else None
        hours = 0.0 if hit is None or hit[2] is None else int(hit[2]) + int(hit[3] or 0) / 60
        if hit is None or hours > 14:
            expected = "The difference of the local clock from UTC is wanted."
            self.reader.fault(("clock",), f"reads {shown(value)}.", expected, 'Write "UTC-1" or "UTC+5:30".')
            return 0.0
        return -hours if hit[1] in ("-", "−") else hours

    def _point(self, path: Path) -> Point | None:
        value = self.reader.get(path)
        pair = [finite(one) for one in value] if isinstance(value, list) and len(value) == 2 else []
        if len(pair) != 2 or pair[0] is None or pair[1] is None:
            expected = "A point is two bare numbers in the file's unit."
            self.reader.fault(path, f"reads {_shown_point(value)}.", expected, "Write [60, -18].")
            return None
        x, y = pair[0] * self.scale, pair[1] * self.scale
        if hypot(x, y) > FARTHEST:
            expected = f"A field lies within {FARTHEST / 1000:g} km."
            self.reader.fault(path, f"reads {_shown_point(value)}.", expected, "Is the unit right?")
            return None
        return x, y

    def _points(self, path: Path, least: int, what: str) -> tuple[Point, ...]:
        value = self.reader.get(path)
        if not isinstance(value, list) or len(value) < least:
            read_ = "is missing." if value is None else f"reads {_shown_point(value)}."
            expected = f"{what} has at least {least} points."
            self.reader.fault(path, read_, expected, "Write [[0, 0], [120, 0], [120, 60]].")
            return ()
        points = [self._point((*path, place)) for place in range(len(value))]
        found = tuple(one for one in points if one is not None)
        return found if len(found) == len(points) else ()

    def _outline(self) -> tuple[Point, ...]:
        outline = self._points(("outline",), 3, "An outline")
        if not outline:
            return ()
        if len(outline) <= 200 and crosses_itself(outline):
            expected = "An outline runs once round the field."
            self.reader.fault(("outline",), "crosses itself.", expected, "Put its points in walking order.")
        elif abs(polygon_area(outline)) < 1.0:
            self.reader.fault(
                ("outline",), "encloses no ground.", "An outline runs once round the field.", ""
            )
            return ()
        return outline

    def _length(self, path: Path, default: float, least: float = 0.0) -> float:
        return self.reader.number(path, default / self.scale, least) * self.scale

    def _runway(self) -> Runway | None:
        reader = self.reader
        if reader.get(("runway",)) is None:
            return None
        reader.table(("runway",), ("from", "to", "width"))
        start, end = self._point(("runway", "from")), self._point(("runway", "to"))
        reader.need(("runway", "width"), "A runway has a width.", "Write width = 12.")
        width = self._length(("runway", "width"), 0.0)
        if start is None or end is None:
            return None
        if hypot(end[0] - start[0], end[1] - start[1]) <= 0 or width <= 0:
            reader.fault(("runway",), "has no length or no width.", "A runway is a strip of ground.", "")
            return None
        return Runway(start, end, width)

    def _trees(self) -> tuple[Trees, ...]:
        found = [self._row_of_trees(name) for name in self.reader.table(("trees",))]
        return tuple(one for one in found if one is not None)

    def _row_of_trees(self, name: str) -> Trees | None:
        path: Path = ("trees", name)
        table = self.reader.table(path, ("line", "outline", "height", "leaves"))
        if ("line" in table) == ("outline" in table):
            expected = "Trees stand along a line or inside an outline."
            read_ = "has both a line and an outline." if "line" in table else "has no line and no outline."
            self.reader.fault(path, read_, expected, "Give one of the two.")
            return None
        closed = "outline" in table
        points = self._points((*path, "outline" if closed else "line"), 3 if closed else 2, "A line of trees")
        self.reader.need((*path, "height"), "Trees have a height.", "Write height = 20, in the file's unit.")
        height = self._length((*path, "height"), 0.0)
        return Trees(name, points, closed, height, self.reader.text((*path, "leaves"))) if points else None

    def _stands(self) -> tuple[Stand, ...]:
        found = [self._stand(name) for name in self.reader.table(("stand",))]
        return tuple(one for one in found if one is not None)

    def _stand(self, name: str) -> Stand | None:
        path: Path = ("stand", name)
        value, camera = self.reader.get(path), name.lower().startswith("camera")
        if not isinstance(value, Mapping):
            at = self._point(path)
            return None if at is None else Stand(name, at, camera)
        self.reader.table(path, ("at", "looks", "on"))
        at = self._point((*path, "at"))
        looks, on = self.reader.text((*path, "looks")), self.reader.text((*path, "on"))
        return None if at is None else Stand(name, at, camera, looks, on)

    def _margins(self) -> Margins:
        self.reader.table(("margins",), MARGINS)
        lengths = {name: getattr(Margins(), name) for name in MARGINS if name != "run_share"}
        kept = {name: self._length(("margins", name), default) for name, default in lengths.items()}
        share = self.reader.number(("margins", "run_share"), Margins().run_share, 0.01, 1.0)
        return Margins(**kept, run_share=share)

    def _take_off(self) -> tuple[Point | None, Literal["x", "-x"]]:
        reader = self.reader
        reader.table(("plan",), ("take_off", "eight", "oval", "day"))
        path: Path = ("plan", "take_off")
        if reader.get(path) is None:
            return None, "x"
        reader.table(path, ("from", "towards"))
        towards = reader.text((*path, "towards"), "x").strip().replace("−", "-")
        if towards not in ("x", "-x"):
            reader.fault(
                (*path, "towards"),
                f"reads {shown(towards)}.",
                "It is along the x axis.",
                'Write "x" or "-x".',
            )
        return self._point((*path, "from")), "-x" if towards == "-x" else "x"

    def _pattern(self) -> Pattern | None:
        plan = self.reader.table(("plan",))
        if "eight" in plan and "oval" in plan:
            expected = "The first flight has one figure."
            self.reader.fault(("plan",), "holds an eight and an oval.", expected, "Take one of them out.")
        kind: Literal["eight", "oval"] = "eight" if "eight" in plan else "oval"
        if kind not in plan:
            return None
        path: Path = ("plan", kind)
        self.reader.table(path, ("centre", "height"))
        self.reader.need(
            (*path, "height"), "A figure is flown at a height.", "Write height = 30, in the file's unit."
        )
        centre, height = self._point((*path, "centre")), self._length((*path, "height"), 0.0)
        return None if centre is None else Pattern(kind, centre, height)

    def _day(self) -> Day:
        path: Path = ("plan", "day")
        self.reader.table(path, ("date", "time", "wind", "gust"))
        wind, wind_from = self._wind((*path, "wind"))
        gust = self.reader.quantity((*path, "gust"), "speed", "gust")
        day = Day(self.reader.date((*path, "date")), self._time((*path, "time")), wind, wind_from, gust)
        if day.wind is not None and day.gust is not None and day.gust < day.wind:
            expected = "A gust is the strongest wind, so it is no weaker than the wind."
            self.reader.fault((*path, "gust"), "is weaker than the wind.", expected, "")
        return day

    def _wind(self, path: Path) -> tuple[float | None, float | None]:
        """Speed in m/s and the true bearing it comes from in rad."""
        value = self.reader.get(path)
        if value is None:
            return None, None
        hit = _WIND.fullmatch(value.strip()) if isinstance(value, str) and len(value) < 100 else None
        if hit is None and isinstance(value, str) and "from" not in value:
            return self.reader.quantity_of(value, path, "speed", "wind"), None
        if hit is None:
            expected = "A speed, and where the wind comes from, are wanted."
            self.reader.fault(path, f"reads {shown(value)}.", expected, 'Write "1.2 m/s from 90 deg".')
            return None, None
        wanted: Sequence[tuple[str, Dimension, str]] = (
            (hit[1], "speed", "wind"),
            (hit[2], "angle", "bearing"),
        )
        speed, bearing = (
            self.reader.quantity_of(text, path, dimension, what) for text, dimension, what in wanted
        )
        return speed, bearing

    def _time(self, path: Path) -> dt.time | None:
        value = self.reader.get(path)
        if value is None or isinstance(value, dt.time):
            return value
        try:
            return dt.time.fromisoformat(value if isinstance(value, str) else "")
        except ValueError:
            self.reader.fault(
                path, f"reads {shown(value)}.", "A time of the day is wanted.", 'Write "10:00".'
            )
            return None


def _floats(*texts: str) -> tuple[float, ...] | None:
    try:
        return tuple(float(text) for text in texts)
    except ValueError:
        return None


def _shown_point(value: Any) -> str:
    if isinstance(value, list) and len(value) <= 4 and all(isinstance(one, int | float) for one in value):
        return f"[{', '.join(shown(one) for one in value)}]"
    return shown(value)


def polygon_area(points: Sequence[Point]) -> float:
    """Area enclosed by a closed outline, m2; positive when it runs anticlockwise (shoelace formula)."""
    turned = [*points[1:], *points[:1]]
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, turned, strict=True)) / 2


def crosses_itself(points: Sequence[Point]) -> bool:
    """True if two sides of a closed outline that are not neighbours cross."""
    sides = list(zip(points, [*points[1:], *points[:1]], strict=True))
    count = len(sides)
    return any(
        _cross(*sides[i], *sides[j]) for i, j in combinations(range(count), 2) if 1 < j - i < count - 1
    )


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _turn(p: Point, q: Point, r: Point) -> float:
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
