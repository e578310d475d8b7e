"""Parts that each fit a page, several to a page at true size: no seams."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from planewright.draw import paper as sheets
from planewright.draw.pack import shelves
from planewright.draw.paper import LETTERING, MARGIN, Paper
from planewright.draw.pieces import outline, warn_words, words_on
from planewright.draw.place import placed
from planewright.draw.printer import FINE, UNCORRECTED, Printer, check_bars, foot_line, usable
from planewright.draw.scene import Path, Point, Scene, Shape, Text, flat, moved
from planewright.draw.tiles import turned
from planewright.geometry.parts import Part


def shared(
    parts: Sequence[Part], paper: Paper, owner: str, factors: Printer = UNCORRECTED
) -> tuple[Scene, ...]:
    """Parts that each fit a page, several to a page at true size. Raises ``ValueError`` if one does not fit."""
    wide, tall = _shared_room(paper, factors)
    lying = [_upright(one, (wide, tall)) for one in parts]
    sizes = [_shared_size(one) for one in lying]
    places = shelves(sizes, wide, tall, 6.0)
    count = 1 + max((one.page for one in places), default=-1)
    pages = []
    for page in range(count):
        width, height = sheets.size(paper)
        scene = Scene(width, height, (), f"small parts, page S{page + 1}", margin=MARGIN - 0.5)
        there = [lying[one.index] for one in places if one.page == page]
        if warn_words(there):
            scene = scene.plus(sheets.warning((MARGIN, MARGIN, width - MARGIN, height - MARGIN)))
        scene = scene.plus(check_bars(paper, factors), foot_line(paper, (owner, ""), factors))
        for place in (one for one in places if one.page == page):
            scene = scene.plus(_shared_part(lying[place.index], place.x, place.y, factors))
        name = Text(
            (width - MARGIN - 2.0, height - MARGIN - 11.0),
            f"S{page + 1}",
            13.0,
            "end",
            face="head",
            bold=True,
        )
        count_words = Text(
            (width - MARGIN - 36.0, height - MARGIN - 6.0), f"page {page + 1} of {count}", FINE, "end"
        )
        warn = Text((MARGIN + 22.0, height - MARGIN - 6.0), warn_words(there), LETTERING, bold=True)
        pages.append(scene.plus(name, count_words, warn))
    return tuple(pages)


def _shared_room(paper: Paper, factors: Printer) -> tuple[float, float]:
    """Width and height for parts beside the bars and under the page name, in true mm."""
    wide, tall = usable(paper)
    return (wide - 28.0) / factors.across, (tall - 46.0) / factors.up


def _upright(part: Part, room: tuple[float, float]) -> Part:
    """The part as it is if it fits the room, else turned by a quarter."""
    size = _shared_size(part)
    return part if size[0] <= room[0] and size[1] <= room[1] else turned(part)


CAPTION = 15.5


def _caption(part: Part) -> tuple[Text, ...]:
    goal = f", goal {part.mass_goal * 1000:.0f} g" if part.mass_goal and part.mass_goal > 0.0005 else ""
    return (
        Text((0.0, -4.4), part.title, 4.2, face="head", bold=True),
        Text((0.0, -9.2), part.name.split(",")[0].split(";")[0], FINE),
        Text((0.0, -13.8), f"make {part.copies}, {part.material}{goal}", FINE),
    )


def _shared_size(part: Part) -> tuple[float, float]:
    width, height = part.size
    return max(width, *(one.length for one in _caption(part))) + 1.0, height + CAPTION


def _shared_part(part: Part, x: float, y: float, factors: Printer) -> tuple[Shape, ...]:
    corner = MARGIN + 24.0 + x * factors.across, MARGIN + 30.0 + (y + CAPTION) * factors.up

    def put(point: Point) -> Point:
        return corner[0] + point[0] * factors.across, corner[1] + point[1] * factors.up

    drawn = [_stretched(one, put) for one in outline(part)]
    inside = placed(Scene(*part.size), words_on(part))
    texts = [replace(one, at=put(one.at)) for one in inside]
    return flat(drawn, texts, moved(_caption(part), corner[0], corner[1]))


def _stretched(shape: Shape, put: Callable[[Point], Point]) -> Shape:
    if isinstance(shape, Path):
        return replace(shape, rings=tuple(tuple(map(put, ring)) for ring in shape.rings))
    if isinstance(shape, Text):
        return replace(shape, at=put(shape.at))
    return replace(shape, centre=put(shape.centre))


def fits_one_page(part: Part, paper: Paper, factors: Printer = UNCORRECTED) -> bool:
    """True when the part, as it is or turned by a quarter, shares a page with others."""
    wide, tall = _shared_room(paper, factors)
    return any(w <= wide and h <= tall for w, h in map(_shared_size, (part, turned(part))))
