"""Every number that can be edited, as written in its file, with what it means and the ring that drags it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import chain
from typing import Any, Literal

from planewright.errors import InputError
from planewright.plane.model import Body, Plane, Surface
from planewright.plane.schema import TOP, Key, Table
from planewright.project.loading import AEROPLANE
from planewright.site.model import Site
from planewright.text.located import lines_of
from planewright.units import Dimension, read
from planewright.web.api import Field, Handle, Point3

SITE = "site.toml"
SI: Mapping[str, str] = {
    "length": "m", "mass": "kg", "areal mass": "kg/m2", "line mass": "kg/m", "density": "kg/m3", "angle": "rad",
    "time": "s", "speed": "m/s", "fraction": "1", "charge": "A s", "speed constant": "rad/s/V", "resistance": "ohm",
    "torque": "N m", "force": "N", "voltage": "V", "current": "A", "power": "W", "temperature": "K",
    "pressure": "Pa", "area": "m2",
}  # fmt: skip
UNIT = re.compile(r"[-+−\d./\s]*(.*)$")
ARROW = 0.001
FIELD_ARROW = 0.5
View = Literal["plan", "side", "field"]


def key_at(path: Sequence[str]) -> Key | None:
    """What the description language says of a path; None for a path it does not know."""
    return _key_at(tuple(path))


@lru_cache(maxsize=4096)
def _key_at(path: tuple[str, ...]) -> Key | None:
    table: Table | None = TOP
    key: Key | None = None
    steps = list(path)
    while steps:
        if table is None:
            return None
        key = table.by_name.get(steps.pop(0))
        if key is None:
            return None
        if key.kind == "named" and steps:
            steps.pop(0)
        if key.kind == "list" and steps and steps[0].isdecimal():
            steps.pop(0)
        table = key.table
    return key


def written_unit(text: str) -> str:
    """The unit as typed: "mm" of "360 mm", "" of a bare number or of words with several quantities."""
    hit = UNIT.match(text)
    unit = hit.group(1).strip() if hit else ""
    return unit if unit and not any(one.isdigit() for one in unit) else ""


@lru_cache(maxsize=4096)
def si_value(text: str, dimension: str | None) -> float | None:
    """The SI value of a plain quantity or number; None for anything else."""
    try:
        if dimension is None:
            return float(text)
        return read(text, _known(dimension))
    except (InputError, ValueError):
        return None


def _known(dimension: str) -> Dimension:
    return dimension  # type: ignore[return-value]


def dotted(path: tuple[str | int, ...]) -> str:
    """A path of the line table as fields name it."""
    return ".".join(str(one) for one in path)


def place_words(path: Sequence[str]) -> str:
    """The table a field stands in, for people: "wing, station 2", "control aileron"."""
    words = [f"station {int(one) + 1}" if one.isdecimal() else one.replace("_", " ") for one in path[:-1]]
    said = ", ".join(one for one in words if one != "stations")
    return (
        said.replace(", ", " ", 1) if path[0] in ("control", "stock", "servo", "equipment", "gear") else said
    )


def plane_fields(plane: Plane, text: str) -> tuple[Field, ...]:
    """Every value of aeroplane.toml that is written, and every one that silence gave."""
    lines = {dotted(path): line for path, line in lines_of(text).items()}
    handles = dict(chain.from_iterable(_surface_handles(one) for one in plane.surfaces))
    handles |= dict(chain.from_iterable(_body_handles(one) for one in plane.bodies))
    handles |= dict(_thing_handles(plane))
    found = [
        _field(path, words, lines.get(path, 0), handles.get(path)) for path, words in plane.written.items()
    ]
    silent = {one.path: one.value for one in plane.defaults if one.path not in plane.written}
    return (*found, *(_field(path, words, 0, None, True) for path, words in silent.items()))


def _field(path: str, text: str, line: int, handle: Handle | None, silent: bool = False) -> Field:
    steps = path.split(".")
    key = key_at(steps)
    single = key is not None and key.kind in ("quantity", "number", "count")
    dimension = key.dimension if key is not None and key.kind == "quantity" else None
    return Field(
        file=AEROPLANE,
        path=path,
        name=key.word if key else steps[-1],
        group=place_words(steps) or "aeroplane",
        text=text,
        value=si_value(text, dimension) if single else None,
        unit=SI.get(dimension or "", ""),
        dimension=dimension or (key.dimension or "" if key else ""),
        written=written_unit(text) if dimension else "",
        says=key.says if key else "",
        defaulted=silent,
        required=bool(key and key.required),
        choices=key.choices if key else (),
        line=line,
        least=0.0 if key is not None and key.sign != "any" else None,
        most=key.most if key is not None else None,
        handle=handle,
    )


def ring(view: View, at: Point3, along: Point3, per: float = 1.0, step: float = ARROW) -> Handle:
    """A ring at a place; moving it by ``along`` adds ``per``."""
    return Handle(view=view, at=at, along=along, per=per, step=step)


AFT, RIGHT, UP = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def _surface_prefix(surface: Surface) -> str:
    return surface.name if surface.name in TOP.by_name else f"surface.{surface.name}"


def _surface_handles(surface: Surface) -> Iterator[tuple[str, Handle]]:
    name, fin = _surface_prefix(surface), surface.kind == "fin"
    view: View = "side" if fin else "plan"
    root = surface.stations[0]
    front = (surface.x + root.back, surface.y, surface.z + root.up)
    yield f"{name}.x", ring(view, front, AFT)
    yield f"{name}.z", ring("side", front, UP)
    tip = surface.stations[-1]
    end = _edge(surface, tip.out, tip.back, fin)
    yield f"{name}.span", ring(view, end, RIGHT, 2.0)
    yield f"{name}.height", ring(view, end, UP)
    for number, one in enumerate(surface.stations):
        lead = _edge(surface, one.out, one.back, fin)
        trail = (lead[0] + one.chord, lead[1], lead[2])
        path = f"{name}.stations.{number}"
        yield f"{path}.out", ring(view, ((lead[0] + trail[0]) / 2, *lead[1:]), UP if fin else RIGHT)
        yield f"{path}.chord", ring(view, trail, AFT)
        yield f"{path}.back", ring(view, lead, AFT)
        yield f"{path}.up", ring("side", (lead[0], 0.0, surface.z + one.up), UP)


def _edge(surface: Surface, out: float, back: float, fin: bool) -> Point3:
    """Leading edge of a station, twist and incidence left out."""
    x = surface.x + back
    return (x, surface.y, surface.z + out) if fin else (x, surface.y + out, surface.z)


def _body_handles(body: Body) -> Iterator[tuple[str, Handle]]:
    name = body.name if body.name in TOP.by_name else f"pod.{body.name}"
    yield f"{name}.y", ring("plan", (body.stations[0].x, body.y, body.stations[0].z), RIGHT)
    last = body.stations[-1]
    yield f"{name}.length", ring("plan", (last.x, body.y, last.z), AFT)
    for number, one in enumerate(body.stations):
        path = f"{name}.stations.{number}"
        yield f"{path}.x", ring("side", (one.x, body.y, one.z), AFT)
        yield f"{path}.width", ring("plan", (one.x, body.y + one.width / 2, one.z), RIGHT, 2.0)
        yield f"{path}.height", ring("side", (one.x, body.y, one.z + one.height / 2), UP, 2.0)
        yield f"{path}.z", ring("side", (one.x, body.y, one.z - one.height / 2), UP)


def _placed(path: str, at: Point3) -> Iterator[tuple[str, Handle]]:
    yield f"{path}.x", ring("plan", at, AFT)
    yield f"{path}.y", ring("plan", at, RIGHT)
    yield f"{path}.z", ring("side", at, UP)


def _thing_handles(plane: Plane) -> Iterator[tuple[str, Handle]]:
    if plane.battery is not None:
        yield from _placed("battery", (plane.battery.x, 0.0, plane.battery.z))
    for engine in plane.engines[-1:]:
        yield from _placed("engine", (engine.x, abs(engine.y), engine.z))
    for wheel in plane.wheels:
        yield from _placed(f"gear.{wheel.name}", (wheel.x, wheel.y, wheel.z))
    for one in plane.equipment:
        yield from _placed(f"equipment.{one.name.removeprefix('equipment.')}", (one.x, one.y, one.z))
    for servo in plane.servos.values():
        if servo.x is not None:
            yield from _placed(f"servo.{servo.name}", (servo.x, 0.0, servo.z or 0.0))
    for control in plane.controls:
        yield from _control_handles(plane, control.name, control.on, (control.start, control.end))


def _control_handles(
    plane: Plane, name: str, on: str, ends: tuple[float, float]
) -> Iterator[tuple[str, Handle]]:
    surface = plane.surface(on)
    if surface is None:
        return
    fin = surface.kind == "fin"
    for key, out in zip(("from", "to"), ends, strict=True):
        inner = [one for one in surface.stations if one.out <= out + 1e-9][-1:] or surface.stations[:1]
        lead = _edge(surface, out, inner[0].back, fin)
        at = (lead[0] + inner[0].chord, lead[1], lead[2])
        yield f"control.{name}.{key}", ring("side" if fin else "plan", at, UP if fin else RIGHT)


SITE_WORDS: Mapping[str, str] = {
    "outline": "corner of the field", "from": "beginning", "to": "end", "centre": "middle of the figure", "at": "place",
    "line": "point of the line",
}  # fmt: skip
MARGIN_SAYS = "distance to keep"


def site_fields(site: Site | None, text: str) -> tuple[Field, ...]:
    """Every single value of site.toml; those that are one half of a point carry a ring."""
    try:
        whole = tomllib.loads(text)
    except (ValueError, RecursionError):
        return ()
    lines = {dotted(path): line for path, line in lines_of(text).items()}
    found = []
    for path, value, point in leaves(whole, ()):
        if path[0] == "note":
            continue
        found.append(_site_field(site, path, value, point, lines.get(".".join(path), 0)))
    return tuple(found)


def leaves(
    here: Any, path: tuple[str, ...]
) -> Iterator[tuple[tuple[str, ...], object, tuple[float, float] | None]]:
    """(path, value, the point it is one half of) of every single value."""
    if isinstance(here, dict):
        for key, value in here.items():
            yield from leaves(value, (*path, key))
    elif isinstance(here, list):
        point = tuple(here) if len(here) == 2 and all(_number(one) for one in here) else None
        for number, value in enumerate(here):
            if point is not None:
                yield (*path, str(number)), value, (float(point[0]), float(point[1]))
            else:
                yield from leaves(value, (*path, str(number)))
    else:
        yield path, here, None


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _site_name(words: Sequence[str], last: str, point: bool) -> str:
    """A plain name of a value of the field; of one half of a point with its axis."""
    plain = words[-1].replace("_", " ")
    if not point:
        return plain
    said = "corner of the trees" if list(words[:1]) == ["trees"] and plain == "outline" else ""
    return f"{said or SITE_WORDS.get(words[-1], plain)} {'x' if last == '0' else 'y'}"


def _site_field(
    site: Site | None, path: tuple[str, ...], value: object, point: tuple[float, float] | None, line: int
) -> Field:
    bare = _number(value) and path[0] != "name"
    scale = 0.3048 if site is not None and site.unit == "ft" else 1.0
    length = bare and not path[-1].startswith("run_share")
    number = float(str(value)) * (scale if length else 1.0) if bare else None
    handle = None
    if point is not None:
        along = AFT if path[-1] == "0" else RIGHT
        handle = ring("field", (point[0] * scale, point[1] * scale, 0.0), along, step=FIELD_ARROW)
    words = [one for one in path if not one.isdecimal()]
    return Field(
        file=SITE,
        path=".".join(path),
        name=_site_name(words, path[-1], point is not None),
        group=" ".join(words[:-1]).replace("_", " ") or "field",
        text=str(value),
        value=number,
        unit="m" if length else "",
        dimension="length" if length else "",
        written=(site.unit if site else "m") if length else "",
        says=MARGIN_SAYS if path[0] == "margins" else "",
        line=line,
        handle=handle,
    )
