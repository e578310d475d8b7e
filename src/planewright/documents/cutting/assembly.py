"""Assembly cards: what is glued together, in which order, with what jigs, what to check before the glue dries, and the
weight that goes into weighings.csv."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

from planewright.draw.assembly_card import Card, WeightBox
from planewright.geometry.parts import Part
from planewright.plane.model import Body, Plane, Surface
from planewright.study import Study

MM = 1000.0
WORD = {"wing": "WING", "tailplane": "TAIL", "fin": "FIN"}


@cache
def words() -> dict[str, Any]:
    """The words of the cards."""
    return tomllib.loads(files("planewright.documents").joinpath("assembly.toml").read_text(encoding="utf-8"))


def cards(study: Study, parts: Sequence[Part]) -> tuple[Card, ...]:
    """One card for each surface and body in the order of building; surfaces without parts have none."""
    plane = study.plane
    made = [_surface(study, one, parts) for one in plane.surfaces] + [
        _body(study, one, parts) for one in plane.bodies
    ]
    made = [replace(one, jigs=one.jigs + _jigs_of(one, parts)) for one in made if one.parts]
    ranked = sorted(made, key=lambda one: words()["order"]["kinds"].index(one.kind))
    return tuple(replace(one, number=k, count=len(ranked)) for k, one in enumerate(ranked, 1))


def _jigs_of(card: Card, parts: Sequence[Part]) -> tuple[str, ...]:
    """Titles of the jigs cut for this card: cradles and templates with their surface, what serves all with the body."""
    jigs = [part for part in parts if part.number.startswith("JIG")]
    own = [part for part in jigs if part.key.startswith(f"jig/{card.title}/")]
    common = [part for part in jigs if part.key.count("/") == 1] if card.kind == "body" else []
    return tuple(part.title for part in own + common)


def _surface(study: Study, one: Surface, parts: Sequence[Part]) -> Card:
    found = tuple(part for part in parts if part.number.split(" ")[0] == WORD[one.kind])
    checks = list(words()[one.build.way]["checks"])
    if one.incidence:
        checks.append(
            f"Incidence at the root is {_deg(one.incidence)} deg within 0.3 deg, by a cradle on the chord."
        )
    steps = list(words()[one.build.way]["steps"])
    for joint in one.joints:
        at = f"{joint.out * MM:.0f} mm out"
        steps.append(
            f"Joint {at}: build both sides on it together, so that they fit; the joiner slides by hand."
        )
        checks.append(f"The joint {at} closes without a gap and comes apart again.")
    return _card(study, one.kind, one.name, one.paired, one.build.way, found, (steps, checks))


def _body(study: Study, one: Body, parts: Sequence[Part]) -> Card:
    main = one.name == "body"
    own = ("BODY", "GEAR", "DOOR") if main else ("POD",)
    found = tuple(part for part in parts if part.number.split(" ")[0] in own)
    way = one.build.way
    steps, checks = list(words()[way]["steps"]), list(words()[way]["checks"])
    return _card(study, "body" if main else "nacelle", one.name, one.paired, way, found, (steps, checks))


def _card(
    study: Study, kind: str, name: str, paired: bool, way: str, found: tuple[Part, ...],
    lines: tuple[Sequence[str], Sequence[str]],
) -> Card:  # fmt: skip
    said = words()[way]
    boxes = tuple(weight_boxes(study.plane, study, name, paired))
    jigs = tuple(said["jigs"])
    return Card(0, 0, kind, name, said["minutes"], found, tuple(lines[0]), jigs, tuple(lines[1]), boxes)  # fmt: skip


def weight_boxes(plane: Plane, study: Study, name: str, paired: bool) -> Iterable[WeightBox]:
    """The names under which the piece is weighed, with the weight it has as drawn, glue and tape in it."""
    del plane
    drawn = {row.part: row.drawn * MM for row in study.weights}
    names = [f"{name}.right", f"{name}.left"] if paired else [name]
    for one in names:
        if one in drawn:
            yield WeightBox(one, drawn[one])


def _deg(angle: float) -> str:
    from math import degrees

    return f"{degrees(angle):.1f}".rstrip("0").rstrip(".")
