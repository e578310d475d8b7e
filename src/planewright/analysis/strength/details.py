"""What else must hold: tail boom, legs, engine mounts, battery strap, splices, hinges with pin and latch.

First checks of parts that a drawing tells little of: the load each must carry, with its rule, and where the drawing
says enough, what it carries. SI.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.strength import cases
from planewright.analysis.strength.beams import Lumps, bending, sums
from planewright.analysis.strength.half import HalfWing
from planewright.analysis.strength.joints import JointNeed
from planewright.analysis.strength.loads import GRAVITY
from planewright.analysis.strength.materials import MPA, Board, board_of, tables, wood_of
from planewright.analysis.strength.modes import face_limit
from planewright.geometry import Geometry, SurfaceShape
from planewright.plane.model import Joint, Plane, Stock, Wheel

Array = npt.NDArray[np.float64]

TAIL_LIFT, STRAP, MOUNT = 0.7, 10.0, 4.0
CUTS = 12


@dataclass(frozen=True)
class Detail:
    """One part: what it must carry (``need``, with ``unit``), what it carries (``holds`` (N,), None where no drawing
    tells), where, and the rule with its source."""

    id: str
    words: str
    need: float
    unit: str
    holds: Array | None
    where: str
    says: tuple[str, ...]


def tail_load(shape: SurfaceShape, pressure: float) -> float:
    """Load of a tail surface, N: q S .7 (largest lift figure of a flat tail: common practice, no source)."""
    return pressure * shape.area * TAIL_LIFT


def box_moment(
    board: Board, size: tuple[float, float], corner: Stock | None, states: States, owner: str
) -> Array:
    """Moment (N,) at which a box of board bent over its height first wrinkles, buckles or crushes a corner stick.

    ``size``: width, height, m. Walls as lumps with their own bending, four corner sticks; the upper wall a flat panel
    between the sides (k = 4).
    """
    width, height = size
    per = 2 * board.face * board.face_modulus + board.core * board.core_modulus
    deep = max(height - board.thickness, 1e-3)
    x, z = [0.0, 0.0, -width / 2, width / 2], [deep / 2, -deep / 2, 0.0, 0.0]
    ea, ei = [per * width, per * width, per * deep, per * deep], [0.0, 0.0, *([per * deep**3 / 12] * 2)]
    stick_limit = np.inf
    if corner is not None and corner.section is not None:
        wood, area = wood_of(corner), corner.section[0] * corner.section[1]
        place = deep / 2 - board.thickness / 2 - min(corner.section) / 2
        for sx, sz in ((-1, -1), (-1, 1), (1, -1), (1, 1)):
            x += [sx * width / 2]
            z, ea, ei = [*z, sz * place], [*ea, wood.modulus * area], [*ei, 0.0]
        stick_limit = wood.compression / wood.modulus / max(place, 1e-4)
    bent = bending(sums(Lumps(*(np.array(part) for part in (x, z, ea, ei)))))
    stiff = float(bent.stiffness)
    outer = 2 / height
    wrinkle = (
        face_limit(board, owner, states)
        / board.face_modulus
        / states.factor("paper.stiffness", owner)
        * outer
    )
    flat = 4 * np.pi**2 * board.bending_stiffness * states.factor("board.D", owner) / width**2
    panel = 1 / (1 / flat + 1 / (board.shear_of_core * states.factor("board.S", owner))) / per * outer
    crush = np.full(states.count, stick_limit)
    if corner is not None:
        crush = (
            crush
            * states.factor("stick.compression", corner.name)
            * states.factor("stick.grade", corner.name)
        )
    return np.asarray(stiff * np.min([wrinkle, panel, crush], axis=0) * states.factor("work.strength"))


def tail_boom(geometry: Geometry, pressure: float, states: States) -> Detail | None:
    """The body behind the wing under the load of the tailplane, and of the fin sideways."""
    body = next((one for one in geometry.bodies if one.body.y == 0), None)
    tail = next((one for one in geometry.surfaces.values() if one.surface.kind == "tailplane"), None)
    wing = geometry.wing
    plane = geometry.plane
    if body is None or tail is None or wing is None or body.body.build.skin not in plane.stock:
        return None
    owner = body.body.build.skin or ""
    board = board_of(plane.stock[owner])
    corner = plane.stock.get(body.body.build.corners or "")
    force, at = tail_load(tail, pressure), tail.centre_x
    start = float(wing.trailing[0, 0])
    places = np.linspace(start, max(start + 1e-3, min(at, float(body.stations[-1, 0])) - 1e-3), CUTS)
    rows = []
    for x in places:
        width, height = (float(np.interp(x, body.stations[:, 0], body.stations[:, k])) for k in (1, 2))
        holds = np.minimum(
            box_moment(board, (width, height), corner, states, owner),
            box_moment(board, (height, width), corner, states, owner),
        )
        rows.append((holds / max(force * (at - x), 1e-9), x, force * (at - x)))
    worst = min(rows, key=lambda row: float(np.median(row[0])))
    says = (
        f"Tailplane with {force:.0f} N ({TAIL_LIFT:g} of the flow's pressure on its area: common practice, no source), "
        "up, down or sideways by the fin.",
    )
    return Detail(
        "tail boom", "body behind the wing", worst[2], "N m", worst[0] * worst[2],
        f"{worst[1]:.2f} m behind the nose", says,
    )  # fmt: skip


def wire_of(leg: str) -> float | None:
    """Diameter, m, of a leg written like "4 mm wire"; None for anything else."""
    found = re.search(r"([\d.]+)\s*mm\s+(?:steel\s+)?wire", leg)
    return float(found.group(1)) / 1000 if found else None


def leg_reach(geometry: Geometry, wheel: Wheel) -> tuple[float, float]:
    """(length m, how far it reaches sideways m) of a straight leg from the axle to the lower edge of the body."""
    body = next((one for one in geometry.bodies if one.body.y == 0), None)
    if body is None:
        return abs(wheel.z), abs(wheel.y)
    width, height, middle = (
        float(np.interp(wheel.x, body.stations[:, 0], body.stations[:, k])) for k in (1, 2, 3)
    )
    out = max(abs(wheel.y) - width / 2, 0.0)
    down = max(middle - height / 2 - (wheel.z + wheel.diameter / 2), 0.0)
    return float(np.hypot(out, down)), out


def legs(geometry: Geometry, mass: float, drop: float = cases.DROP) -> Iterator[Detail]:
    """Wire legs in a drop: each main leg carries half of n times the weight."""
    for wheel in geometry.plane.wheels:
        wire = wire_of(wheel.leg)
        length, out = leg_reach(geometry, wheel)
        if wheel.name != "main" or wire is None or out < 0.01:
            continue
        share = mass * GRAVITY / (2 if wheel.y else 1)
        sag = cases.leg_sag(share, length, out, wire)
        factor = cases.landing_factor(drop, sag)
        says = (
            f"Sags {1000 * sag:.0f} mm at rest; a drop of {1000 * drop:.0f} mm makes {factor:.1f} g (a linear spring "
            "that takes all of the energy; the wheel's give and friction left out).",
            f"It bends for good from about {cases.wire_moment(wire) / (share * out):.1f} g (1200 MPa, from memory): "
            "it bends before it breaks; look at it after every hard landing.",
        )
        holds = np.array([cases.wire_moment(wire)])
        yield Detail(
            "main leg",
            "main leg, a wire",
            share * factor * out,
            "N m",
            holds,
            "where it enters the body",
            says,
        )


def landing_of(geometry: Geometry, mass: float, drop: float = cases.DROP) -> float | None:
    """Load factor of a drop on the main legs, None where they are not wires that reach out."""
    for wheel in geometry.plane.wheels:
        wire, (length, out) = wire_of(wheel.leg), leg_reach(geometry, wheel)
        if wheel.name == "main" and wire is not None and out >= 0.01:
            return cases.landing_factor(drop, cases.leg_sag(mass * GRAVITY / 2, length, out, wire))
    return None


def mounts(
    plane: Plane, masses: dict[str, float], limit: float, thrust: dict[str, float]
) -> Iterator[Detail]:
    """What holds each engine: the greater of 1.5 times the limit load and four times its weight in a landing."""
    for engine in plane.engines:
        weight = masses.get(engine.name, 0.0) * GRAVITY
        if weight <= 0.0:
            continue
        factor = max(1.5 * limit, MOUNT)
        glue = weight * factor / (tables()["foam"]["shear"] * MPA / 3)
        says = (
            f"{factor:g} times its weight down (limit load with 1.5, or a landing of {MOUNT:g} g: common practice, no "
            f"source) and {1.5 * thrust.get(engine.name, 0.0):.0f} N forward, its push with 1.5.",
            f"On board it wants at least {1e4 * glue:.0f} cm2 of glued foam (a third of the foam's shear strength: "
            "it shakes), or screws through plywood.",
        )
        yield Detail(
            f"mount {engine.name}", f"mount of {engine.name}", weight * factor, "N", None, "nacelle", says
        )


def strap(plane: Plane) -> Detail | None:
    """What holds the battery: ten times its weight in a hard landing."""
    pack = plane.battery
    if pack is None:
        return None
    need = STRAP * pack.mass * pack.count * GRAVITY
    says = (
        "Ten times its weight, forward and up (common practice, no source): pull it with a spring scale.",
    )
    return Detail("strap", "battery strap", need, "N", None, "tray", says)


def splices(plane: Plane, half: HalfWing, joints: tuple[Joint, ...], force: Array) -> Iterator[Detail]:
    """Sticks that are longer than they are sold, between joints: where the first splice falls and how long it must be.

    ``force`` (s,): force in the cap at ultimate load. A slope of 1 in 8 and a glue line of 2 MPa on wood (white glue
    reaches the wood's own shear: published; a quarter of it taken: judgement).
    """
    for stick in half.sticks:
        length, side = plane.stock[stick.stock].length, plane.stock[stick.stock].section
        end = float(half.y[np.flatnonzero(stick.present)[-1]])
        cuts = sorted({0.0, *(one.out for one in joints if one.out < end), end})
        if not stick.upper or length is None or side is None:
            continue
        for a, b in pairwise(cuts):
            if b - a > length:
                at = a + length
                pull = float(np.interp(at, half.y, force))
                lap = max(8 * min(side), pull / (max(side) * 2 * MPA))
                says = ("Glue two sloping faces, never two ends; stagger upper and lower.",)
                where = f"{1000 * at:.0f} mm out if it starts inboard; {1000 * lap:.0f} mm long"
                yield Detail(
                    f"splice {stick.stock}", f"splice of {stick.stock}", pull, "N", None, where, says
                )


def hinge(plane: Plane, half: HalfWing, need: JointNeed) -> Detail:
    """A folding joint: push at the hinge, pull at the latch, and the pin through the ribs of both panels."""
    joint, says = need.joint, []
    found = re.search(r"([\d.]+)\s*mm", joint.pin or "")
    wing = plane.wing
    rib = plane.stock.get((wing.build.rib or wing.build.skin or "") if wing else "")
    if found and rib is not None and rib.thickness:
        pin, board = float(found.group(1)) / 1000, board_of(rib)
        bearing = need.force_ultimate / (2 * pin * board.thickness)
        paper = 2 * 2 * board.face * pin * tables()["paper"]["bearing"] * MPA
        doubler = need.force_ultimate / (2 * pin * 0.003)
        says.append(
            f"The {1000 * pin:g} mm pin presses two ribs with {bearing / MPA:.1f} MPa; their papers alone take about "
            f"{paper:.0f} N (judgement), so plywood doublers belong there: {doubler / MPA:.1f} MPa on two of 3 mm."
        )
    says.append(
        "A latch near the skin's edge twists its rib: two ribs, tied together. Pass: no gap under load."
    )
    return Detail(
        f"hinge {joint.name}", f"hinge and latch of the {joint.name} joint", need.force_ultimate, "N", None,
        f"{1000 * joint.out:.0f} mm out", tuple(says),
    )  # fmt: skip


def handed_over(half: HalfWing, force: float) -> str:
    """How a stick's force leaves it at its end: the faces take it within 3 sqrt(EA_face tc/Gc)."""
    skin = half.skin
    length = 3 * np.sqrt(skin.face_modulus * skin.face * skin.core / skin.core_shear_modulus)
    return f"{force:.0f} N must leave the stick within {1000 * length:.0f} mm of its end"
