"""Everything that ``out/`` holds, made one piece at a time so that a door can show a bar and stop between pieces."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any

from planewright.documents.book import BookPaper, build_book
from planewright.documents.cutting.chapter import what_is_cut
from planewright.documents.cutting.drawings import balance, drawing_pieces
from planewright.documents.cutting.files import cutting_pieces
from planewright.documents.cutting.plan import make_plan
from planewright.documents.cutting.record import cutting
from planewright.documents.cutting.store import NOTHING, Saved
from planewright.documents.order import Order, Piece
from planewright.draw.dxf import dxf
from planewright.draw.field import field_scene
from planewright.draw.paper import Paper, Title
from planewright.draw.pdf import pdf
from planewright.draw.scene import Scene
from planewright.draw.stick import band_of
from planewright.draw.svg import svg
from planewright.draw.views import three_view
from planewright.study import Study
from planewright.study.charts import charts
from planewright.study.model import Document

PAPERS: tuple[Paper, ...] = ("A4", "A3", "Letter", "Tabloid")
BOOK_PAPER: dict[Paper, BookPaper] = {"A4": "A4", "A3": "A4", "Letter": "Letter", "Tabloid": "Letter"}


def title(study: Study, words: str, number: str, date: str) -> Title:
    """The title strip of one drawing."""
    return Title(study.plane.name, words, number, study.plane.configuration, date)


def field_plan_scene(study: Study, width: float = 165.0, height: float = 130.0) -> Scene | None:
    """The field plan as a scene; None without a site."""
    if study.plan is None or study.site is None:
        return None
    figure = study.figures.get("takeoff_run")
    return field_scene(study.plan, width, height, band_of(figure) if figure is not None else None)


def pieces(
    study: Study, document: Document, order: Order, study_json: str, saved: Saved = NOTHING
) -> tuple[Piece, ...]:
    """Every file of this study in the order in which it is made. Nothing is worked out before its ``make`` is called,
    except the parts and where they lie. ``saved``: where they lay before."""
    plan = make_plan(study.models.geometry, saved)
    record = cutting(plan, study.plane.name, study.plane.configuration, order.papers[0])
    return (
        *book_pieces(study, document, order, (what_is_cut(plan, record),)),
        *view_pieces(study, order),
        *cutting_pieces(plan, record, order),
        *drawing_pieces(study, plan, order),
        Piece("study.json", "study as JSON", study_json.encode),
    )


def book_pieces(
    study: Study, document: Document, order: Order, more_chapters: Sequence[dict[str, Any] | None] = ()
) -> Iterator[Piece]:
    """The build book on the first paper, and the field plan as a drawing of its own."""
    paper = BOOK_PAPER[order.papers[0]]

    def make() -> bytes:
        plan = field_plan_scene(study)
        return build_book(
            study, document, charts(study), plan, order.date, order.system, paper, more_chapters
        )

    yield Piece("book.pdf", "build book", make)
    if study.site is not None:
        yield Piece(
            "drawings/field.svg", "field plan", lambda: svg(required(field_plan_scene(study))).encode()
        )


def required(scene: Scene | None) -> Scene:
    """The scene, which must be there."""
    if scene is None:
        raise ValueError("there is nothing to draw")
    return scene


def view_pieces(study: Study, order: Order) -> Iterator[Piece]:
    """The three-view as SVG and DXF on the first paper, as PDF on each."""
    geometry = study.models.geometry
    if not geometry.surfaces and not geometry.bodies:
        return

    def scene(paper: Paper) -> Scene:
        return three_view(
            geometry, paper, title(study, "three-view", "1", order.date), balance=balance(study)
        )

    first = order.papers[0]
    yield Piece("drawings/three-view.svg", "three-view", lambda: svg(scene(first)).encode())
    yield Piece("drawings/three-view.dxf", "three-view", lambda: dxf(scene(first)).encode())
    for paper in order.papers:
        yield Piece(
            f"drawings/three-view-{paper}.pdf",
            f"three-view on {paper}",
            partial(one_page, scene, paper, f"{study.plane.name} three-view"),
        )


def one_page(scene: Callable[[Paper], Scene], paper: Paper, words: str) -> bytes:
    """One scene on its paper as PDF."""
    return pdf([scene(paper)], words)
