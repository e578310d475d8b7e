"""From values to the Plane: every part that is whole is built, so that all faults show at once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from planewright.plane.engines import Engines
from planewright.plane.model import (
    Battery,
    Body,
    Control,
    Engine,
    Equipment,
    FirstFlight,
    Limits,
    Plane,
    Servo,
    Stock,
    Surface,
    SurfaceKind,
    Wheel,
)
from planewright.plane.names import canonical
from planewright.plane.stock import Shelf, read_stock, unknown
from planewright.plane.surfaces import Surfaces, sides
from planewright.plane.walk import Notes, Values

CONTROL_KINDS = ("aileron", "elevator", "rudder", "flap")
_NAMED_SURFACES: tuple[SurfaceKind, ...] = ("wing", "tailplane", "fin")


def build_plane(notes: Notes, top: Values, folder: Path | None) -> Plane:
    """The Plane of one file. Parts with faults are left out; the faults are in ``notes``."""
    named: dict[str, Values] = top.get("stock", {})
    unread = "stock" in top.places and "stock" not in top
    stock = read_stock(notes, named)
    kinds = {name: values.get("kind") for name, values in named.items()}
    shelf = Shelf(notes, stock, kinds | {name: one.kind for name, one in stock.items()}, unread)
    made = Surfaces(notes, shelf, folder)
    surfaces = _surfaces(notes, made, top)
    servos = _servos(top)
    return Plane(
        name=top.get("name", "Unnamed"),
        configuration=top.get("configuration", "A"),
        stock=shelf.stock,
        surfaces=surfaces,
        bodies=_bodies(made, top),
        controls=_controls(notes, top, surfaces, servos),
        servos=servos,
        wheels=_wheels(notes, top, servos),
        engines=_engines(notes, top, folder),
        battery=_battery(notes, top),
        equipment=_equipment(top),
        limits=Limits(**top.get("limits").got) if "limits" in top else Limits(),
        first_flight=FirstFlight(**top.get("first_flight").got) if "first_flight" in top else FirstFlight(),
        mass_limit=top.get("mass_limit"),
        show=top.get("show", "metric"),
        defaults=tuple(notes.defaults),
        written=dict(notes.written),
    )


def _surfaces(notes: Notes, made: Surfaces, top: Values) -> tuple[Surface, ...]:
    found: list[Surface] = []
    plain = ((kind, top.get(kind)) for kind in _NAMED_SURFACES)
    named = (made.surface(kind, kind, values) for kind, values in plain if values is not None)
    found += [one for one in named if one is not None]
    more: dict[str, Values] = top.get("surface", {})
    for name, values in more.items():
        kind_said = values.get("kind")
        if kind_said is None and "kind" not in values.places:
            notes.say(
                values.place,
                'has no "kind".',
                "A further surface says what it does.",
                'Write kind = "tailplane" (or "wing", or "fin").',
            )
        one = made.surface(f"surface.{name}", kind_said or "tailplane", values)
        if one is not None and kind_said is not None:
            found.append(one)
    return tuple(found)


def _bodies(made: Surfaces, top: Values) -> tuple[Body, ...]:
    named = [(name, top.get(name)) for name in ("body", "nacelle")]
    pods: dict[str, Values] = top.get("pod", {})
    named += [(f"pod.{name}", values) for name, values in pods.items()]
    built = [made.body(name, values) for name, values in named if values is not None]
    return tuple(one for one in built if one is not None)


def _servos(top: Values) -> dict[str, Servo]:
    named: dict[str, Values] = top.get("servo", {})
    return {name: Servo(name, **values.got) for name, values in named.items() if values.complete}


def _part_named(surfaces: tuple[Surface, ...], name: str) -> Surface | None:
    """The surface a control is on: by its path, or a further surface by its own name alone."""
    for one in surfaces:
        if name in (one.name, canonical(one.name), one.name.removeprefix("surface.")):
            return one
    return None


def _controls(
    notes: Notes, top: Values, surfaces: tuple[Surface, ...], servos: dict[str, Servo]
) -> tuple[Control, ...]:
    named: dict[str, Values] = top.get("control", {})
    built = [_control(notes, top, name, values, surfaces, servos) for name, values in named.items()]
    return tuple(one for one in built if one is not None)


def _control(
    notes: Notes,
    top: Values,
    name: str,
    values: Values,
    surfaces: tuple[Surface, ...],
    servos: dict[str, Servo],
) -> Control | None:
    kind = _control_kind(notes, name, values)
    part = _control_part(notes, top, values, surfaces)
    servo = _servo(notes, top, values, servos)
    if (
        kind is None
        or part is None
        or servo is None
        or not values.complete
        or ("end" in values.places and "end" not in values)
    ):
        return None
    count = values.get("count")
    if count is None:
        count = 2 if kind in ("aileron", "flap") and part.paired else 1
    up, down = values.get("travel")
    end = values.get("end")
    if end is None:
        end = part.stations[-1].out
        notes.assume(values.place.into("to"), f"{1000 * end:.6g} mm")
    return Control(
        name, kind, part.name, values.get("start", 0.0), end, values.get("chord"), up, down,
        values.get("hinge", "tape"), servo, count,
    )  # fmt: skip


def _control_kind(notes: Notes, name: str, values: Values) -> Any:
    if "kind" in values.places:
        return values.get("kind")
    if name in CONTROL_KINDS:
        return name
    notes.say(
        values.place,
        'has no "kind".',
        "A control is an aileron, elevator, rudder or flap, by its name or by its kind.",
        'Write kind = "aileron".',
    )
    return None


def _control_part(notes: Notes, top: Values, values: Values, surfaces: tuple[Surface, ...]) -> Surface | None:
    name = values.get("on")
    if name is None:
        return None
    part = _part_named(surfaces, name)
    written = [kind for kind in _NAMED_SURFACES if kind in top.places]
    further: dict[str, Values] = top.get("surface", {})
    written_more = [f"surface.{one}" for one in further]
    known = (*written, *written_more)
    if part is None and name not in known and f"surface.{name}" not in known:
        unknown(
            notes,
            values.at("on"),
            name,
            known,
            "wing], [tailplane], [fin] or [surface",
            "parts in this file are",
        )
    return part


def _servo(notes: Notes, top: Values, values: Values, servos: dict[str, Servo]) -> str | None:
    if "servo" in top.places and "servo" not in top:
        return None
    named: dict[str, Values] = top.get("servo", {})
    name = values.get("servo")
    if name is not None:
        if name not in named:
            unknown(notes, values.at("servo"), name, tuple(named), "servo", "servos in this file are")
            return None
        return str(name)
    if "servo" in values.places:
        return None
    if len(named) == 1:
        only = next(iter(named))
        notes.assume(values.place.into("servo"), only)
        return only
    notes.say(
        values.place,
        f'has no "servo", and [servo] holds {len(named)} to choose from.',
        f"The servos in this file are: {', '.join(named) or 'none'}.",
        f'Write servo = "{next(iter(named))}".'
        if named
        else 'Write [servo] and below it all = { mass = "20 g", torque = "2.5 kg cm" }.',
    )
    return None


def _wheels(notes: Notes, top: Values, servos: dict[str, Servo]) -> tuple[Wheel, ...]:
    gear: Values | None = top.get("gear")
    if gear is None:
        return ()
    found: list[Wheel] = []
    for name in ("nose", "main", "tail"):
        values: Values | None = gear.get(name)
        if values is None:
            continue
        if "servo" in values.places and _servo(notes, top, values, servos) is None:
            continue
        if values.complete:
            found.append(Wheel(name, **values.got))
    return tuple(found)


def _engines(notes: Notes, top: Values, folder: Path | None) -> tuple[Engine, ...]:
    values: Values | None = top.get("engine")
    return () if values is None else Engines(notes, folder).engines(values)


def _battery(notes: Notes, top: Values) -> Battery | None:
    values: Values | None = top.get("battery")
    if values is None or not values.complete:
        return None
    got = dict(values.got)
    if "serial" not in got:
        got["serial"] = "pack-1"
        notes.assume(values.place.into("serial"), "pack-1")
    if "resistance" not in got:
        got["resistance"] = None
    if "slide" in got:
        got["slide"] = (min(got["slide"]), max(got["slide"]))
    return Battery(**got)


def _equipment(top: Values) -> tuple[Equipment, ...]:
    named: dict[str, Values] = top.get("equipment", {})
    found: list[Equipment] = []
    for name, values in named.items():
        if not values.complete:
            continue
        paired, y = sides(values, alone=True)
        got = {k: v for k, v in values.got.items() if k not in ("y", "side")}
        if paired:
            found += [Equipment(f"{name}.left", y=-y, **got), Equipment(f"{name}.right", y=y, **got)]
        else:
            found.append(Equipment(name, y=y, **got))
    return tuple(found)


def used_stock(plane: Plane) -> frozenset[str]:
    """Names of the stock that some part is made of."""
    names: set[str | None] = set()
    builds = [surface.build for surface in plane.surfaces] + [body.build for body in plane.bodies]
    for build in builds:
        names |= {build.skin, build.rib, build.edge, build.corners, build.former, build.floor}
    for surface in plane.surfaces:
        names |= {spar.caps for spar in surface.spars} | {spar.web for spar in surface.spars}
        names |= {joint.joiner for joint in surface.joints}
    return frozenset(name for name in names if name is not None)


def declared(stock: dict[str, Stock], top: Values) -> tuple[str, ...]:
    """Names of the stock the file itself lists."""
    named: dict[str, Values] = top.get("stock", {})
    return tuple(name for name in named if name in stock)
