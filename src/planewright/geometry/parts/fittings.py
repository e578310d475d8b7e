"""Joiners, folding joints, fin tongue, gear plate, pockets and hatch of a body.

Sizes that the description does not hold are assumed and said to be so in the note of each part; a builder trims them to
what is really bought.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from planewright.geometry.parts import thickness
from planewright.geometry.parts.draft import Draft, rectangle, ring, thickness_of
from planewright.geometry.parts.frame import Frame
from planewright.geometry.parts.inside import panel_at, rib_shape, rings_of, stick_of
from planewright.geometry.parts.loft import largest
from planewright.geometry.parts.model import MM, Mark, Ring
from planewright.plane.model import Body, Joint, Plane, Stock

TAB, TAB_PITCH = 20.0, 80.0
"""Length and pitch of the tabs of a fin's foot, mm (assumed)."""
BATTERY_PLAY, TRAVEL = 2.0, 60.0
SERVO = (23.0, 12.5)
"""A small servo's body, mm (common practice, no source): the pocket is 0.5 larger."""
PIN_EDGE = 6.0


def joiners(frame: Frame) -> Iterator[Draft]:
    """Plates of plug-in joiners: two a side between the spar sticks, reaching both ways."""
    surface = frame.surface
    for joint in surface.joints:
        if joint.joiner not in frame.stock or not joint.reach or not surface.spars:
            continue
        spar, out = surface.spars[0], joint.out * MM
        loft = panel_at(frame, out, -1)
        x = loft.at(spar.at, out)
        low, high = loft.depth(x, out)
        stick = stick_of(frame.stock.get(spar.caps))[0]
        height = high - low - 2 * stick
        if height < 3.0:
            continue
        reach = joint.reach * MM
        least = 6.0 * (high - low)
        note = "two a side, between the spar sticks; half its length in each panel"
        if reach < least:
            note += f"; six spar heights would be {least:.0f} each way"
        yield Draft(
            word=frame.word,
            name=f"joiner at {out:.0f} mm",
            hand="none",
            copies=2 * frame.pair,
            stock=str(joint.joiner),
            rings=(rectangle(2 * reach, height),),
            marks=(Mark("joint", ((reach, 0.0), (reach, height)), "joint"),),
            note=note,
            key=f"{surface.name}/joiner {joint.name}",
            group="joiner",
            whole=True,
            ready=True,
        )


def folding_joint(frame: Frame) -> Iterator[Draft]:
    """Doublers of the parting ribs, tongue and red flag of a hinged panel."""
    for joint in frame.surface.joints:
        if joint.folds:
            yield from _doublers(frame, joint)
            yield from _tongue_and_flag(frame, joint)


def hard_board(stock: Mapping[str, Stock], otherwise: str) -> str:
    """Name of the plywood in the stock, else ``otherwise``."""
    return next((name for name, one in stock.items() if one.kind == "plywood"), otherwise)


def _doublers(frame: Frame, joint: Joint) -> Iterator[Draft]:
    """A second layer on each parting rib, drilled for the latch pin at its foot."""
    t, out = frame.rib_thickness(), joint.out * MM
    material = str(frame.surface.build.rib or frame.surface.build.skin)
    if material not in frame.stock:
        return
    pin = 2.0
    for side, name in ((-1, "inner"), (1, "outer")):
        loft = panel_at(frame, out, side)
        shape = largest(rib_shape(frame, loft, out + side * 1.5 * t, t))
        if shape.is_empty:
            continue
        x = loft.at(frame.surface.spars[0].at if frame.surface.spars else 0.3, out)
        low, high = loft.depth(x, out)
        apart = (joint.apart or 0.7 * (high - low) / MM) * MM
        hinge = high + frame.t
        foot = max(hinge - apart, low + PIN_EDGE)
        hole = _circle((x, foot), pin + thickness.CLEARANCE / 2)
        shape = largest(shape.difference(hole))
        yield Draft(
            word=frame.word,
            name=f"doubler of the parting rib, {name}, at {out:.0f} mm",
            hand="none",
            copies=frame.pair,
            stock=material,
            rings=rings_of(largest(shape.simplify(0.02))),
            ends=("NOSE", "BACK"),
            note=f"hole for the latch pin {apart:.0f} below the hinge; the pin pulls, so back it with hard board",
            key=f"{frame.surface.name}/doubler {joint.name} {name}",
            group="rib",
            whole=True,
            ready=True,
        )


def _circle(at: tuple[float, float], radius: float) -> Polygon:
    turn = np.linspace(0.0, 2 * np.pi, 25)[:-1]
    return Polygon(np.column_stack((at[0] + radius * np.cos(turn), at[1] + radius * np.sin(turn))))


def _tongue_and_flag(frame: Frame, joint: Joint) -> Iterator[Draft]:
    out = joint.out * MM
    loft = panel_at(frame, out, -1)
    front, back = loft.edges(out)
    hard = hard_board(frame.stock, str(frame.surface.build.skin))
    length = 0.25 * (back - front)
    pieces = (
        (
            "tongue",
            (rectangle(length, 40.0),),
            2 * frame.pair,
            "glued into the outer panel, slides between the doublers",
        ),
        (
            "red flag of the latch",
            (_flag(),),
            frame.pair,
            "paint it red; it stands out while the latch is open",
        ),
        ("pin plate", _drilled(30.0, 24.0, 4.0 + thickness.CLEARANCE), 2 * frame.pair, "one on each doubler"),
    )
    for name, rings, copies, note in pieces:
        yield Draft(
            word=frame.word,
            name=f"{name} at {out:.0f} mm",
            hand="none",
            copies=copies,
            stock=hard,
            rings=rings,
            note=f"{note}; size assumed",
            key=f"{frame.surface.name}/{name} {joint.name}",
            group="joiner",
            whole=True,
            ready=True,
        )


def _flag() -> Ring:
    return ((0.0, 0.0), (12.0, 0.0), (12.0, 30.0), (36.0, 40.0), (12.0, 50.0), (0.0, 50.0))


def _drilled(wide: float, high: float, bore: float) -> tuple[Ring, Ring]:
    hole = np.array(_circle((wide / 2, high / 2), bore / 2).exterior.coords[:-1])
    return rectangle(wide, high), ring(hole)


def fin_tongue(fin: Frame) -> Iterator[Draft]:
    """A strip with tabs at the foot of a flat fin, and the doubler with the slots that takes them."""
    surface = fin.surface
    if surface.build.way not in ("sheet", "kinked") or surface.build.skin not in fin.stock:
        return
    t, chord = fin.t, float(fin.shape.chord[0]) * MM
    long = 0.75 * chord
    starts = np.arange(10.0, long - TAB, TAB_PITCH)
    comb: BaseGeometry = Polygon(rectangle(long, 25.0))
    doubler: BaseGeometry = Polygon(rectangle(long + 20.0, 40.0))
    width = thickness.slot_width(t, t, 0.0)
    for at in starts:
        comb = comb.union(Polygon(_box(float(at), -t, TAB - 1.0, t + 0.5)))
        doubler = doubler.difference(Polygon(_box(float(at) + 10.0, 20.0 - width / 2, TAB, width)))
    for name, shape, copies in (
        ("tongue of the fin", comb, 2),
        ("doubler with slots for the fin", doubler, 1),
    ):
        yield Draft(
            word=fin.word,
            name=name,
            hand="none",
            copies=copies * fin.pair,
            stock=str(surface.build.skin),
            rings=rings_of(largest(shape)),
            ends=("FRONT", "BACK"),
            note="one each side of the fin's foot" if copies == 2 else "under the roof of the body",
            key=f"{surface.name}/{name}",
            group="joiner",
            whole=True,
            ready=True,
        )


def _box(x: float, y: float, wide: float, high: float) -> Ring:
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def body_fittings(plane: Plane, body: Body) -> Iterator[Draft]:
    """Gear plate, battery tray with strap slots, servo tray and hatch of the middle body."""
    skin = str(body.build.skin)
    if body.y or skin not in plane.stock:
        return
    t = thickness_of(plane.stock[skin]) * MM
    hard = hard_board(plane.stock, skin)
    for name, stock, rings, copies, note in (
        *_gear(plane, body, hard, t),
        *_battery(plane, hard, skin),
        *_servos(plane, hard),
    ):
        yield Draft(
            word="GEAR" if name.startswith("gear") else "DOOR" if name.startswith("hatch") else "BODY",
            name=name,
            hand="none",
            copies=copies,
            stock=stock,
            rings=rings,
            note=note,
            key=f"{body.name}/{name}",
            group="fitting",
            whole=True,
            ready=True,
        )


Row = tuple[str, str, tuple[Ring, ...], int, str]


def _inner_width(body: Body, x: float, t: float) -> float:
    xs = [one.x for one in body.stations]
    return float(np.interp(x, xs, [one.width for one in body.stations])) * MM - 2 * t


def _gear(plane: Plane, body: Body, hard: str, t: float) -> Iterator[Row]:
    for wheel in plane.wheels:
        if not body.stations[0].x <= wheel.x <= body.stations[-1].x:
            continue
        wide = _inner_width(body, wheel.x, t)
        if wide < 30.0:
            continue
        holes = [
            ring(
                np.array(
                    _circle((wide / 2 + sx * min(20.0, wide / 4), 30.0 + sy * 20.0), 1.6).exterior.coords[:-1]
                )
            )
            for sx in (-1, 1)
            for sy in (-1, 1)
        ]
        note = "holes 40 apart for 3 mm screws (assumed): drill to your leg"
        yield f"gear plate, {wheel.name}", hard, (rectangle(wide, 60.0), *holes), 1, note


def _battery(plane: Plane, hard: str, skin: str) -> Iterator[Row]:
    battery = plane.battery
    if battery is None or battery.slide is None:
        return
    long = (battery.slide[1] - battery.slide[0]) * MM + TRAVEL
    slots = [_box(x, y, 3.0, 22.0) for x in (0.25 * long, 0.75 * long) for y in (8.0, 60.0)]
    note = f"strap through the slots; room of {BATTERY_PLAY:.0f} round the pack, a stop at the aft limit"
    yield "battery tray", hard, (rectangle(long, 90.0), *slots), 1, note
    yield (
        "hatch over the battery",
        skin,
        (rectangle(long, 100.0),),
        1,
        "tape hinge in front; trim to the opening",
    )
    outer, inner = rectangle(long + 30.0, 130.0), _box(20.0, 20.0, long - 10.0, 90.0)
    yield "doubler ring of the hatch", skin, (outer, inner), 1, "inside round the opening, rim 20"


def _servos(plane: Plane, hard: str) -> Iterator[Row]:
    inside = [one for one in plane.servos.values() if one.x is not None]
    count = len(inside)
    if not count:
        return
    wide, play = SERVO[0] + 0.5, 0.5
    holes = [_box(12.0 + k * (SERVO[1] + 14.0), 12.0, SERVO[1] + play, wide) for k in range(count)]
    tray = rectangle(24.0 + count * (SERVO[1] + 14.0), wide + 24.0)
    yield "servo tray", hard, (tray, *holes), 1, "openings 0.5 larger than a servo of 23 x 12.5 (assumed)"


def servo_pockets(frame: Frame) -> Iterator[Draft]:
    """A doubler ring and a lid for each servo that sits in the surface."""
    inside = [
        one
        for one in frame.controls()
        if one.servo in frame.plane.servos and frame.plane.servos[one.servo].x is None
    ]
    if not inside or frame.surface.build.skin not in frame.stock:
        return
    copies = sum(one.count for one in inside)
    wide, high = SERVO[0] + 0.5, SERVO[1] + 0.5
    ringed = (rectangle(wide + 36.0, high + 36.0), _box(18.0, 18.0, wide, high))
    lid = (rectangle(wide + 16.0, high + 16.0),)
    for name, rings in (("doubler ring of a servo pocket", ringed), ("lid of a servo pocket", lid)):
        yield Draft(
            word=frame.word,
            name=name,
            hand="none",
            copies=copies,
            stock=str(frame.surface.build.skin),
            rings=rings,
            note="for a servo of 23 x 12.5 (assumed)",
            key=f"{frame.surface.name}/{name}",
            group="fitting",
            whole=True,
            ready=True,
        )


def surface_fittings(frame: Frame) -> Iterator[Draft]:
    """Joiners, folding joints, pockets and the fin's tongue of one surface."""
    yield from joiners(frame)
    yield from folding_joint(frame)
    yield from servo_pockets(frame)
    if frame.surface.kind == "fin":
        yield from fin_tongue(frame)
