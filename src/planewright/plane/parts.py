"""The names of parts that can be weighed, checked or tried, and what each name covers."""

from __future__ import annotations

from collections.abc import Mapping

from planewright.plane.model import Plane

WHOLE = "aeroplane"
"""The name of the whole aeroplane in trials."""

_SIDES = ("left", "right")


def weighable(plane: Plane) -> Mapping[str, tuple[str, ...]]:
    """Every name that may stand in weighings.csv -> the single pieces it covers.

    ``tailplane`` covers ``tailplane.left`` and ``tailplane.right``; ``gear`` covers all its legs. The pieces of a
    name that has no children are the name itself.
    """
    pieces: dict[str, tuple[str, ...]] = {}
    for surface in plane.surfaces:
        pieces |= _pair(surface.name, surface.paired)
    for body in plane.bodies:
        pieces |= _pair(body.name, body.paired)
    pieces |= _family("gear", [_pair(f"gear.{leg.name}", leg.y > 0) for leg in plane.wheels])
    pieces |= _family("servo", [{f"servo.{name}": (f"servo.{name}",)} for name in plane.servos])
    pieces |= _family("engine", [{one.name: (one.name,)} for one in plane.engines])
    if plane.battery is not None:
        pieces["battery"] = ("battery",)
    carried = [_equipment(one.name) for one in plane.equipment]
    wholes = dict.fromkeys(name.removesuffix(".left").removesuffix(".right") for name in carried)
    pieces |= _family("equipment", [_pair(name, name not in carried) for name in wholes])
    return pieces


def nameable(plane: Plane) -> tuple[str, ...]:
    """Every name that a trial or a proof may be of: what can be weighed, and joints, controls, the whole."""
    joints = [f"{surface.name}.joint.{joint.name}" for surface in plane.surfaces for joint in surface.joints]
    controls = [f"control.{control.name}" for control in plane.controls]
    return (WHOLE, *weighable(plane), *joints, *controls)


def _equipment(name: str) -> str:
    return name if name.startswith("equipment.") else f"equipment.{name}"


def _pair(name: str, paired: bool) -> dict[str, tuple[str, ...]]:
    if not paired:
        return {name: (name,)}
    sides = tuple(f"{name}.{side}" for side in _SIDES)
    return {name: sides} | {side: (side,) for side in sides}


def _family(name: str, members: list[dict[str, tuple[str, ...]]]) -> dict[str, tuple[str, ...]]:
    if not members:
        return {}
    found: dict[str, tuple[str, ...]] = {}
    for member in members:
        found |= member
    leaves = tuple(dict.fromkeys(leaf for covered in found.values() for leaf in covered))
    return {name: leaves} | found
