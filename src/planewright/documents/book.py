"""The build book: one PDF from a study and scenes, the same bytes for the same study and date."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from importlib import resources
from typing import Any, Literal

from planewright.documents import chapters, content
from planewright.documents.cards import card
from planewright.documents.flight import flight_card
from planewright.documents.flying import flying
from planewright.draw.pdf import actual_size, typeset
from planewright.draw.scene import Scene, picture
from planewright.draw.views import view
from planewright.findings.verdict import LAW
from planewright.study import STALE, Study
from planewright.study.chart import Chart
from planewright.study.model import Document
from planewright.units.showing import System, show

BookPaper = Literal["A4", "Letter"]
PAGES: Mapping[BookPaper, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
SIDE_WIDTH, SIDE_HEIGHT, SIDE_SCALE = 150.0, 62.0, 10.0


def one_line(study: Study, system: System) -> str:
    """The aeroplane in one line: engines, span, what it is made of."""
    plane, wing = study.plane, study.models.geometry.wing
    words = []
    if wing is not None:
        words.append(f"{show(wing.span, 'm', system)} span")
    if plane.engines:
        count = {1: "one", 2: "two", 3: "three", 4: "four"}.get(len(plane.engines), str(len(plane.engines)))
        kind = {"propeller": "propeller", "fan": "ducted fan"}[plane.engines[0].kind]
        words.append(f"{count} {kind}{'s' if len(plane.engines) > 1 else ''}")
    boards = sorted({one.kind for one in plane.stock.values() if one.kind in ("foam board", "cardboard")})
    words += boards
    return (", ".join(words)[:1].upper() + ", ".join(words)[1:] + ".") if words else ""


def side_view(study: Study) -> dict[str, Any] | None:
    """The side view for the cover, as large as its place allows."""
    geometry = study.models.geometry
    if not geometry.surfaces and not geometry.bodies:
        return None
    shapes = view(geometry, "side", SIDE_SCALE, dimensions=False)
    return fitted(picture(shapes, 1.0), SIDE_WIDTH, SIDE_HEIGHT)


def fitted(scene: Scene, width: float, height: float) -> dict[str, Any]:
    """A picture of a scene no larger than ``width`` x ``height`` mm, in proportion."""
    made = content.image(scene, "side view")
    assert made is not None
    factor = min(width / scene.width, height / scene.height)
    return made | {"width": scene.width * factor, "height": scene.height * factor}


def field_page(study: Study, document: Document, plan: Scene | None, system: System) -> dict[str, Any] | None:
    """The field plan with its sentence and the site's own limits."""
    if study.site is None or plan is None:
        return None
    names = (
        "takeoff_run_tired",
        "climb_out_needed",
        "turn_radius",
        "path_outline",
        "path_pilot",
        "path_spectators",
    )
    return {
        "line": chapters.sentences(document, names, system),
        "plan": content.image(plan, "field plan"),
        "notes": list(study.field_words),
    }


def book_data(
    study: Study,
    document: Document,
    charts: Sequence[Chart],
    plan: Scene | None,
    date: str,
    system: System,
    paper: BookPaper,
    more_chapters: Sequence[dict[str, Any] | None] = (),
) -> dict[str, Any]:
    """Everything the page design shows. ``date`` is given by the door: the study reads no clock."""
    fence, more = content.cover_fence(document.findings)
    verdict = document.verdict
    assert verdict is not None
    width, height = PAGES[paper]
    made = (
        chapters.lift_and_drag(study, document, charts, system),
        chapters.strength(study, document, charts, system),
        flying(study, document, system),
        chapters.power(study, document, charts, system),
        *more_chapters,
    )
    return {
        "title": document.project,
        "letter": verdict.configuration,
        "foot": f"{document.project}, letter {verdict.configuration}",
        "line": one_line(study, system),
        "date": date,
        "page": {"width": width, "height": height},
        "side": side_view(study),
        "verdict": verdict.model_dump(mode="json"),
        "stale": f"{STALE}." if study.knowledge.stale else "",
        "fence": content.image(fence, "findings against one fence"),
        "more-rows": more,
        "bar": content.image(content.check_bar(), "check bar of 100 mm"),
        "law": LAW,
        "figures": content.figure_groups(document, system),
        "key": content.keys(),
        "absent": [one.model_dump(mode="json") for one in document.absent],
        "findings": [content.finding_row(one, system) for one in document.findings],
        "findings-line": content.findings_line(document.findings),
        "tests": content.tests_rows(document),
        "weights": chapters.weights(study, document, charts, system),
        "chapters": [one for one in made if one is not None],
        "cards": [card(row, system, document.moved) for row in document.trials],
        "flight": flight_card(document, study.site, study.plane.first_flight.time, system),
        "field": field_page(study, document, plan, system),
        "sources": content.sources(document),
        "defaults": content.defaults_list(document.defaults),
    }


def build_book(
    study: Study,
    document: Document,
    charts: Sequence[Chart],
    plan: Scene | None,
    date: str,
    system: System = "metric",
    paper: BookPaper = "A4",
    more_chapters: Sequence[dict[str, Any] | None] = (),
) -> bytes:
    """The build book as PDF bytes.

    Arguments:
        study, document: of one aeroplane. charts: of the study. plan: the field plan, None without a site.
        date: as printed. system: units shown. paper: A4 or Letter.
        more_chapters: as ``chapters`` makes them, set after those of the analyses.
    Raises TypesettingFault when the typesetter warns (a missing letter, an unknown font).
    """
    source = resources.files("planewright.documents").joinpath("book.typ").read_text(encoding="utf-8")
    data = book_data(study, document, charts, plan, date, system, paper, more_chapters)
    return actual_size(typeset(source, {"d": json.dumps(data)}))
