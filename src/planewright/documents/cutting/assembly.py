"""Assembly cards: what is glued together, in which order, with what jigs, what to check before the glue dries, and the
weight that goes into weighings.csv."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
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
    ranked = sorted(
        (one for one in made if one.parts), key=lambda one: words()["order"]["kinds"].index(one.kind)
    )
    return tuple(
        Card(
            k,
            len(ranked),
            one.kind,
            one.title,
            one.minutes,
            one.parts,
            one.steps,
            one.jigs,
            one.checks,
            one.weights,
        )
        for k, one in enumerate(ranked, 1)
    )


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
    found = tuple(part for part in parts if part.number.split(" ")[0] == ("BODY" if main else "POD"))
    way = one.build.way
    steps, checks = list(words()[way]["steps"]), list(words()[way]["checks"])
    return _card(study, "body" if main else "nacelle", one.name, one.paired, way, found, (steps, checks))


def _card(
    study: Study, kind: str, name: str, paired: bool, way: str, found: tuple[Part, ...],
    lines: tuple[Sequence[str], Sequence[str]],
) -> Card:  # fmt: skip
    said = words()[way]
    boxes = tuple(weight_boxes(study.plane, study, name, paired))
    jigs = tuple(said["jigs"]) + tuple(part.title for part in found if part.number.startswith("JIG"))
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
