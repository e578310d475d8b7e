"""Drawings of the whole beside its parts: general arrangement, exploded view, assembly cards, solids."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from planewright.documents.cutting.assembly import cards
from planewright.documents.cutting.plan import Plan
from planewright.documents.order import Order, Piece, title_strip
from planewright.draw.arrangement import arrangement
from planewright.draw.assembly_card import card_scenes
from planewright.draw.dxf import dxf
from planewright.draw.exploded import exploded
from planewright.draw.paper import Paper
from planewright.draw.pdf import pdf
from planewright.draw.scene import Scene
from planewright.draw.solid import glb, shells, stl
from planewright.draw.svg import svg
from planewright.study import Study


def balance(study: Study) -> tuple[float, float, float] | None:
    """Median balance point, m, as the drawings show it."""
    values = [study.figures.get(name) for name in ("cg_x", "cg_y", "cg_z")]
    found = [one.value for one in values if one is not None]
    return (found[0], found[1], found[2]) if len(found) == 3 else None


def drawing_pieces(study: Study, plan: Plan, order: Order) -> Iterator[Piece]:
    """General arrangement, exploded view and cards on each paper, solids for a viewer or a printer of models."""
    geometry = study.models.geometry
    if not geometry.surfaces and not geometry.bodies:
        return
    name, first = study.plane.name, order.papers[0]

    def arranged(paper: Paper) -> Scene:
        strip = title_strip(name, study.plane.configuration, "general arrangement", "4", order.date)
        return arrangement(geometry, paper, strip, balance(study))

    def apart(paper: Paper) -> Scene:
        strip = title_strip(name, study.plane.configuration, "exploded view", "5", order.date)
        return exploded(geometry, plan.parts, paper, strip)

    yield Piece(
        "drawings/general-arrangement.dxf", "general arrangement", lambda: dxf(arranged(first)).encode()
    )
    yield Piece("drawings/exploded.svg", "exploded view", lambda: svg(apart(first)).encode())
    for paper in order.papers:
        for scene, words in ((arranged, "general-arrangement"), (apart, "exploded")):
            yield Piece(
                f"drawings/{words}-{paper}.pdf", f"{words} on {paper}", partial(_page, scene, paper, name)
            )
        if plan.parts:
            yield Piece(
                f"cards/assembly-{paper}.pdf",
                f"cards on {paper}",
                partial(cards_pdf, study, plan, paper, order),
            )
    yield Piece(
        "solid/aeroplane.stl", "solid, STL", lambda: stl(shells(geometry), f"{name}, mm, by planewright")
    )
    yield Piece("solid/aeroplane.glb", "solid, GLB", lambda: glb(shells(geometry), name))


def _page(scene: object, paper: Paper, name: str) -> bytes:
    assert callable(scene)
    return pdf([scene(paper)], name)


def cards_pdf(study: Study, plan: Plan, paper: Paper, order: Order) -> bytes:
    """All assembly cards on one paper."""
    name = study.plane.name
    strip = title_strip(name, study.plane.configuration, "assembly cards", "6", order.date)
    return pdf(card_scenes(cards(study, plan.parts), paper, strip), f"{name} assembly cards")
