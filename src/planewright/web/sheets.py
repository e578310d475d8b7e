"""Sheets to be cut as the page shows them before printing, and the list of parts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from planewright.draw.paper import Paper, Title
from planewright.draw.pieces import overview
from planewright.draw.scene import Scene
from planewright.draw.svg import svg
from planewright.geometry.parts import Part
from planewright.geometry.parts import parts as all_parts
from planewright.study import Study
from planewright.web.api import PartCard, Sheet

MM = 1000.0


def cards(found: Sequence[Part]) -> tuple[PartCard, ...]:
    """One card a part, in building order."""
    return tuple(
        PartCard(
            number=one.title,
            name=one.name,
            stock=one.material,
            count=one.copies,
            size=(one.size[0] / MM, one.size[1] / MM),
            mass=one.mass_goal,
            note=" ".join(words for words in (one.note, one.sheet) if words),
        )
        for one in found
    )


def scenes(study: Study, paper: Paper = "A4") -> tuple[tuple[Scene, ...], tuple[Part, ...]]:
    """The overview of all parts, material by material, and the parts themselves; empty where nothing can be cut."""
    found = all_parts(study.models.geometry)
    if not found:
        return (), ()
    today = dt.date.today()
    title = Title(study.plane.name, "parts", "2", study.plane.configuration, f"{today.day} {today:%B %Y}")
    return overview(found, paper, title), found


def sheet_records(drawn: Sequence[Scene], found: Sequence[Part]) -> tuple[Sheet, ...]:
    """What each sheet is, without its picture."""
    titles = [one.title for one in found if one.hand != "left"]
    records = []
    for number, scene in enumerate(drawn, 1):
        words = {text.words for text in scene.texts()}
        own = tuple(one for one in titles if one.removesuffix(" RIGHT") in words)
        records.append(
            Sheet(
                number=number,
                title=scene.title or f"sheet {number}",
                material="",
                width_mm=scene.width,
                height_mm=scene.height,
                parts=own,
                notes=scene.notes,
            )
        )
    return tuple(records)


def picture(scene: Scene) -> str:
    """A sheet as SVG: shapes and plain text, no script, nothing from outside."""
    return svg(scene, background="#ffffff")
