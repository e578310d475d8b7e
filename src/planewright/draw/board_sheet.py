"""One board with the parts that lie on it: full size for a plotter or a cutter, or small as a plan of what to cut.

The board lies as it lies under the knife, inside face of the parts up. A ruler runs along two edges; the strip below
says for which board, thickness and revision the sheet was drawn, because an old print cuts parts that no longer fit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import pi, radians

import numpy as np
from shapely import Point as ShapelyPoint
from shapely import (
    Polygon,
    contains,
    get_coordinates,
    minimum_rotated_rectangle,
    polygons,
    prepare,
    union_all,
)

from planewright.draw import paper as sheets
from planewright.draw.marks import moved_part, readable
from planewright.draw.nest import Board, Placement
from planewright.draw.paper import FLOOR, LETTERING, STRIP, WARNING, Paper, Title
from planewright.draw.pieces import outline, scaled, warn_words, words_on
from planewright.draw.place import placed
from planewright.draw.scene import Anchor, Path, Point, Scene, Shape, Text, box, hatch, line, moved, polygon
from planewright.geometry.parts import Part

RULER = 12.0
EDGE = 10.0


@dataclass(frozen=True)
class Sheet:
    """A board and what lies on it. ``parts``: each placed item with the part as it was when it was laid;
    ``stale``: places whose part is no longer wanted as it was. ``number`` of ``count`` boards in all; ``revision``
    of the sheet as printed; ``thickness`` mm it was drawn for; ``use`` part of the board that is used."""

    board: Board
    places: tuple[Placement, ...]
    parts: Mapping[str, Part]
    number: int
    count: int
    revision: str
    thickness: float
    use: float
    stale: tuple[Placement, ...] = ()


def part_at(part: Part, place: Placement) -> Part:
    """The part turned and pushed to its place on the board, mm."""
    return moved_part(part, radians(place.turn_deg), (place.x, place.y))


def copy_words(place: Placement) -> str:
    """ "4 of 11" for a part made more than once, else nothing."""
    return place.key.partition(", ")[2]


def full_sheet(sheet: Sheet, title: Title) -> Scene:
    """A board at 1:1 with ruler, all lines and words of its parts, and the title strip below."""
    board = sheet.board
    wide = max(board.width + RULER + 2 * EDGE, 210.0)
    left, low = EDGE + RULER, EDGE + STRIP + 6.0
    tall = low + board.height + RULER + EDGE
    shapes = _on_board(sheet)
    scene = Scene(wide, tall, moved(shapes, left, low), sheet_title(sheet), margin=4.0)
    scene = scene.plus(moved(_ruler(board.width, board.height), left, low))
    strip_title = replace(title, title=sheet_words(sheet))
    strip = sheets.title_strip(
        strip_title, (EDGE, EDGE), min(wide - 2 * EDGE, 400.0), (sheet.number, sheet.count), "own size", "1:1"
    )
    scene = scene.plus(strip, moved(_rows_of_words(sheet), left, low))
    if warn_words(sheet.parts[one.key] for one in sheet.places):
        scene = scene.plus(sheets.warning((left, low, left + board.width, low + board.height)))
    return scene


def sheet_title(sheet: Sheet) -> str:
    """Name of the sheet: "board 3, sheet 5 of 9"."""
    return f"{sheet.board.name}, sheet {sheet.number} of {sheet.count}"


def sheet_words(sheet: Sheet) -> str:
    """What the strip says: which board, how thick, which revision."""
    return f"{sheet.board.name}, drawn for {sheet.thickness:.1f} mm, revision {sheet.revision}"


def _on_board(sheet: Sheet) -> tuple[Shape, ...]:
    """Board, damaged places, parts in the order of the knife; mm from the corner of the board."""
    board = sheet.board
    shapes: list[Shape] = [box(0.0, 0.0, board.width, board.height, "frame")]
    for ring in board.damaged:
        shapes += [polygon(ring, "thin"), *hatch(ring, 4.4, layer="grid")]
    for place in sheet.places:
        shapes += outline(part_at(sheet.parts[place.key], place))
    for place in sheet.stale:
        if place.key in sheet.parts:
            ring = part_at(sheet.parts[place.key], place).rings[0]
            shapes += [polygon(ring, "neighbour"), *hatch(ring, 8.8, layer="grid")]
    return tuple(shapes)


def _rows_of_words(sheet: Sheet) -> tuple[Shape, ...]:
    """Titles first, then what the lines say, each where there is room on its own part."""
    board = sheet.board
    canvas = Scene(board.width, board.height)
    lying = [(place, part_at(sheet.parts[place.key], place)) for place in sheet.places]
    titles = [title_places(part, copy_words(place)) for place, part in lying]
    first = placed(canvas, [one for one in titles if one])
    tiny = [(place, part) for (place, part), one in zip(lying, titles, strict=True) if not one]
    shapes: list[Shape] = [*first, *_beside(tiny, [part for _, part in lying], canvas.plus(first))]
    more = [one for _, part in lying for one in words_on(part)]
    return (*shapes, *placed(canvas.plus(shapes), more))


def _beside(
    tiny: Sequence[tuple[Placement, Part]], every: Sequence[Part], canvas: Scene
) -> tuple[Shape, ...]:
    """Titles of parts too small to carry them: on the bare board nearby, with a line to the part."""
    if not tiny:
        return ()
    bare = union_all([Polygon(one.rings[0]) for one in every]).buffer(0.5)
    prepare(bare)
    shapes: list[Shape] = []
    for place, part in tiny:
        left, low, right, high = Polygon(part.rings[0]).bounds
        middle = (left + right) / 2, (low + high) / 2
        copy = copy_words(place)
        words = part.title + (f" ({copy})" if copy else "")
        tries = []
        for far in (4.0, 8.0, 14.0, 22.0, 32.0, 45.0, 60.0):
            for k in range(16):
                dx, dy = np.cos(k * pi / 8), np.sin(k * pi / 8)
                at = middle[0] + dx * (far + (right - left) / 2), middle[1] + dy * (far + (high - low) / 2)
                anchor: Anchor = "start" if dx > 0.4 else "end" if dx < -0.4 else "middle"
                tries.append(Text(at, words, LETTERING, anchor, "middle", face="head", bold=True))
        clear = [one for one in tries if not bare.intersects(Polygon(one.points()))]
        found = placed(canvas, [clear or tries])
        if found:
            text = found[0]
            shapes += [line(text.at, nearest_on(part, text.at), "thin"), text]
            canvas = canvas.plus(text)
    return tuple(shapes)


def nearest_on(part: Part, at: Point) -> Point:
    """The point of a part's edge nearest to ``at``."""
    edge = Polygon(part.rings[0]).exterior
    near = edge.interpolate(edge.project(ShapelyPoint(at)))
    return near.x, near.y


def title_places(part: Part, copy: str, sizes: Sequence[float] = (6.0, 4.8, LETTERING)) -> list[Text]:
    """Places for the title of a part on itself, the largest letters first; empty when it is too small for any."""
    area = Polygon(part.rings[0], part.rings[1:])
    words = part.title + (f" ({copy})" if copy else "")
    found: list[Text] = []
    spots = _middles(part, area)
    for em in sizes:
        tries = [
            Text(at, words, em, "middle", "middle", angle, "head", True, halo=0.3) for at, angle in spots
        ]
        found += _inside(area, tries, [one.points() for one in tries])
        if len(found) > 5:
            break
    return found


def _inside(area: Polygon, texts: Sequence[Text], corners: Sequence[Sequence[Point]]) -> list[Text]:
    """Those of ``texts`` whose boxes (four corners each) lie in an area."""
    if not texts:
        return []
    prepare(area)
    there = np.atleast_1d(contains(area, polygons(np.array(corners))))
    return [one for one, fits in zip(texts, there, strict=True) if fits]


def _middles(part: Part, area: Polygon) -> list[tuple[Point, float]]:
    """Spots on a part with the ways words may run there: along it first, level, upright."""
    ring = get_coordinates(minimum_rotated_rectangle(area))
    edges = np.diff(ring[:3], axis=0)
    longest = edges[int(np.argmax(np.hypot(*edges.T)))]
    angle = readable(float(np.arctan2(longest[1], longest[0])))
    spot = area.representative_point()
    left, low, right, high = area.bounds
    spots: list[Point] = [(area.centroid.x, area.centroid.y), (spot.x, spot.y)]
    spots += [
        (left + u * (right - left), low + v * (high - low))
        for v in (0.5, 0.3, 0.7)
        for u in (0.5, 0.3, 0.7, 0.2, 0.8)
    ]
    return [(at, turn) for at in spots for turn in (angle, 0.0, pi / 2)]


def _ruler(width: float, height: float) -> tuple[Shape, ...]:
    """Ticks each 10 mm along the upper and the left edge, outside the board, a figure each 100."""
    shapes: list[Shape] = []
    for k in range(int(width // 10) + 1):
        tall = 6.0 if k % 10 == 0 else 4.0 if k % 5 == 0 else 2.5
        shapes.append(line((10.0 * k, height), (10.0 * k, height + tall), "thin"))
        if k % 10 == 0:
            shapes.append(Text((10.0 * k + 1.0, height + 7.0), f"{10 * k}", LETTERING))
    for k in range(int(height // 10) + 1):
        tall = 6.0 if k % 10 == 0 else 4.0 if k % 5 == 0 else 2.5
        shapes.append(line((0.0, 10.0 * k), (-tall, 10.0 * k), "thin"))
        if k % 10 == 0 and k:
            shapes.append(Text((-7.0, 10.0 * k), f"{10 * k}", LETTERING, "middle", angle=pi / 2))
    return tuple(shapes)


# small plans --------------------------------------------------------------------------------------------------------


def small_sheet(sheet: Sheet, width: float) -> tuple[tuple[Shape, ...], float]:
    """A board small, ``width`` mm wide, with the numbers of its parts; and the height it takes, mm.

    Parts too small for their number carry a figure that ``small_key`` explains.
    """
    scale = width / sheet.board.width
    shapes: list[Shape] = []
    for one in scaled(_without_fine(sheet), scale):
        thin = {"frame": 0.35, "cut": 0.35}.get(one.layer, 0.25)
        shapes.append(replace(one, width=thin))
    canvas = Scene(width, sheet.board.height * scale)
    texts = [one for one in (_small_word(sheet, place, scale) for place in sheet.places) if one]
    found = placed(canvas, texts)
    return (*shapes, *found), sheet.board.height * scale


def _without_fine(sheet: Sheet) -> tuple[Shape, ...]:
    keep = ("frame", "cut", "thin", "grid", "neighbour", "score", "score back")
    return tuple(one for one in _on_board(sheet) if isinstance(one, Path) and one.layer in keep)


def _small_word(sheet: Sheet, place: Placement, scale: float) -> list[Text]:
    part = part_at(sheet.parts[place.key], place)
    shrunk = Polygon([(x * scale, y * scale) for x, y in part.rings[0]])
    whole = replace(part, rings=(tuple((x * scale, y * scale) for x, y in part.rings[0]),))
    roomy = shrunk.buffer(0.2)
    for words in dict.fromkeys((part.title, part.number, short(part))):
        spots = _middles(whole, shrunk)
        tries = [Text(at, words, FLOOR, "middle", "middle", angle, bold=True) for at, angle in spots]
        if found := _inside(roomy, tries, [_tight(one) for one in tries]):
            return found
    return []


def _tight(text: Text) -> tuple[Point, ...]:
    """Corners of the capitals of a text: what really is inked."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = text.points()
    low, high = 0.26, 0.30
    return (
        (ax + low * (dx - ax), ay + low * (dy - ay)),
        (bx + low * (cx - bx), by + low * (cy - by)),
        (cx - high * (cx - bx), cy - high * (cy - by)),
        (dx - high * (dx - ax), dy - high * (dy - ay)),
    )


def short(part: Part) -> str:
    """First letter of the word and the number, for very small plans: "W3 L"."""
    word, number = part.number.split(" ")[0], part.number.split(" ")[-1]
    hand = "" if part.hand == "none" else f" {part.hand[0].upper()}"
    return f"{word[0]}{number}{hand}"


def plan_pages(
    drawn: Sequence[tuple[Sheet, Sequence[str]]], paper: Paper, title: Title, first: int, count: int
) -> tuple[Scene, ...]:
    """All boards small, two to a page, each with its words beside it: use, weight, what it is needed for."""
    left, low, right, high = sheets.room(paper)
    tallest = max((one.board.height / one.board.width for one, _ in drawn), default=1.0)
    lines_most = max((len(says) for _, says in drawn), default=0) + 1
    half = (high - low - 8.0) / 2 - 17.0 - 4.6 * lines_most
    wide = min(right - left - 12.0, half / tallest)
    pages: list[list[Shape]] = []
    top = 0.0
    for sheet, says in drawn:
        body, tall = small_sheet(sheet, wide)
        words = [piece for one in says for piece in _wrapped(one, right - left - 12.0)]
        need = tall + 9.0 + 4.6 * len(words) + 8.0
        if not pages or top - need < low:
            pages.append([])
            top = high - 4.0
        head = Text((left + 6.0, top - 6.5), sheet_title(sheet), 5.0, face="head", bold=True)
        warn = warn_words(sheet.parts[one.key] for one in sheet.places)
        note = Text((right - 6.0, top - 6.5), WARNING if warn else "", FLOOR, "end", bold=True)
        lines = [
            Text((left + 6.0, top - 9.0 - tall - 4.6 * (k + 1)), one, FLOOR) for k, one in enumerate(words)
        ]
        pages[-1] += [head, note, *moved(body, left + 6.0, top - 9.0 - tall), *lines]
        top -= need
    total = count or len(pages)
    return tuple(
        sheets.framed(paper, title, (first + k, total), "small").plus(one) for k, one in enumerate(pages)
    )


def _wrapped(words: str, room: float) -> tuple[str, ...]:
    from planewright.draw import fonts

    return tuple(fonts.wrap(words, FLOOR, room))
