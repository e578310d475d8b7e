"""Drawn mass of what is bought and stated: servos, undercarriage, engines, battery, equipment.

Where a thing's own parts sit is judgement: half of a leg's mass at its axle and half midway to the body; a motor
30 mm behind its propeller; the rotor and motor of a fan 50 mm behind its face; a servo in a surface a fifth of the
chord ahead of its hinge.
"""

from __future__ import annotations

import numpy as np

from planewright.analysis.mass.items import Item, bought
from planewright.geometry import sections
from planewright.geometry.model import Geometry
from planewright.geometry.surfaces import at
from planewright.plane.model import Control, Engine, Servo, Wheel

MOTOR_BEHIND = 0.030
FAN_BEHIND = 0.050
SERVO_AHEAD = 0.20


def bought_items(geometry: Geometry) -> tuple[Item, ...]:
    """Items of everything that is not built."""
    plane = geometry.plane
    items = [one for control in plane.controls for one in _control_servos(geometry, control)]
    items += [one for leg in plane.wheels for one in _leg(geometry, leg)]
    items += [one for engine in plane.engines for one in _engine(engine)]
    for thing in plane.equipment:
        name = thing.name if thing.name.startswith("equipment.") else f"equipment.{thing.name}"
        items.append(bought(name, thing.name, thing.mass, thing.x, thing.y, thing.z))
    if plane.battery is not None:
        pack = plane.battery
        items.append(bought("battery", "packs", pack.mass * pack.count, pack.x, 0.0, pack.z))
    return tuple(items)


def _control_servos(geometry: Geometry, control: Control) -> list[Item]:
    servo = geometry.plane.servos.get(control.servo)
    if servo is None:
        return []
    places = [_servo_place(geometry, control, servo, number) for number in range(control.count)]
    return [bought(f"servo.{servo.name}", f"servo of {control.name}", servo.mass, *place) for place in places]


def _servo_place(
    geometry: Geometry, control: Control, servo: Servo, number: int
) -> tuple[float, float, float]:
    """Where a servo sits: as written, or in its surface at the middle of what it moves.

    The sides of a pair take turns; an odd one left over sits on the centreline.
    """
    shape = geometry.surfaces.get(control.on)
    if servo.x is not None or shape is None:
        return servo.x or 0.0, 0.0, servo.z or 0.0
    cut = at(shape, (control.start + control.end) / 2)
    along = max(1 - control.chord - SERVO_AHEAD, 0.1)
    above = sections.middle_at(cut.section_lower, along) * cut.chord - along * cut.chord * np.sin(cut.twist)
    x, y, z = (float(one) for one in cut.leading)
    x += along * cut.chord * float(np.cos(cut.twist))
    if shape.surface.kind == "fin":
        return x, y, z
    side = 1.0
    if shape.surface.paired:
        left_over = control.count % 2 == 1 and number == control.count - 1
        side = 0.0 if left_over else (1.0, -1.0)[number % 2]
    return x, side * y, z + float(above)


def in_surface(geometry: Geometry, control: Control) -> bool:
    """True when the control's servos sit in its own surface."""
    servo = geometry.plane.servos.get(control.servo)
    return servo is not None and servo.x is None and control.on in geometry.surfaces


def _leg(geometry: Geometry, leg: Wheel) -> list[Item]:
    mount = _mount(geometry, leg)
    axle = np.array([leg.x, leg.y, leg.z + leg.diameter / 2])
    name = f"gear.{leg.name}"
    part = f"{name}.right" if leg.y > 0 else name
    items = [
        bought(part, "wheel", leg.mass / 2, *axle),
        bought(part, "leg", leg.mass / 2, *((axle + mount) / 2)),
    ]
    if leg.y > 0:
        items += [one.mirrored(f"{name}.left") for one in items]
    servo = geometry.plane.servos.get(leg.servo or "")
    if servo is not None:
        x, z = (leg.x if servo.x is None else servo.x), (0.0 if servo.z is None else servo.z)
        items.append(bought(f"servo.{servo.name}", "servo of the steering", servo.mass, x, 0.0, z))
    return items


def _mount(geometry: Geometry, leg: Wheel) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Where a leg meets the body: the lower edge of its side above the wheel; the body line without a body."""
    body = next((one for one in geometry.bodies if one.body.y == 0), None)
    if body is None:
        return np.array([leg.x, 0.0, 0.0])
    width, height, z = (float(np.interp(leg.x, body.stations[:, 0], body.stations[:, i])) for i in (1, 2, 3))
    return np.array([leg.x, min(leg.y, width / 2), z - height / 2])


def _engine(engine: Engine) -> list[Item]:
    y, z, items = engine.y, engine.z, []
    if engine.propeller is not None and engine.propeller.mass:
        items.append(bought(engine.name, "propeller", engine.propeller.mass, engine.x, y, z))
    if engine.motor is not None:
        items.append(bought(engine.name, "motor", engine.motor.mass, engine.x + MOTOR_BEHIND, y, z))
    if engine.fan is not None:
        items.append(bought(engine.name, "fan", engine.fan.mass, engine.x + FAN_BEHIND, y, z))
    if engine.controller is not None:
        x = engine.x + MOTOR_BEHIND if engine.controller.x is None else engine.controller.x
        items.append(bought(engine.name, "controller", engine.controller.mass, x, y, z))
    return items
