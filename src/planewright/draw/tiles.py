"""Parts at true size on pages a home printer has, with everything needed to join and to check them.

Every page carries two check bars as long as the page allows; their printed length is read with a ruler, and asked over
read gives the printer's factors, which then stretch the drawing (never the words). Pages of one part overlap by 10 mm;
equal numbers of crosses lie on each other; a string line runs through all pages of a row, because short edges alone
let a chain of pages bend (trial of our own: 14 mm across at the end of 1 m without it, 0.6 mm with it).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, cos, pi, sin

import numpy as np
from shapely import LinearRing, LineString, Polygon, get_coordinates, get_parts, intersection
from shapely import box as rectangle

from planewright.draw import fonts
from planewright.draw import paper as sheets
from planewright.draw.marks import labels, moved_part
from planewright.draw.paper import COLUMNS, LETTERING, MARGIN, Paper
from planewright.draw.pieces import outline, warn_words, words
from planewright.draw.place import placed
from planewright.draw.printer import FINE, UNCORRECTED, Printer, check_bars, foot_line, usable
from planewright.draw.scene import (
    PAPER,
    Circle,
    Path,
    Point,
    Scene,
    Shape,
    Text,
    bounds,
    box,
    flat,
    hatch,
    line,
    moved,
    polygon,
)
from planewright.geometry.parts import Part, Ring

OVERLAP = 10.0


@dataclass(frozen=True)
class Grid:
    """How a part is cut into pages: windows of ``width`` x ``height`` true mm every (width - 10, height - 10) from
    ``origin``; ``kept`` the (column, row) that carry a line, rows from the bottom."""

    origin: Point
    width: float
    height: float
    columns: int
    rows: int
    kept: tuple[tuple[int, int], ...]

    def corner(self, column: int, row: int) -> Point:
        """Lower left corner of a window, true mm."""
        return self.origin[0] + column * (self.width - OVERLAP), self.origin[1] + row * (
            self.height - OVERLAP
        )

    def window(self, column: int, row: int) -> Polygon:
        """The window as a polygon."""
        x, y = self.corner(column, row)
        return rectangle(x, y, x + self.width, y + self.height)


def page_name(column: int, row: int) -> str:
    """Column letter (I, O and Q left out; AA after Z) and row number from the bottom: "C2"."""
    more, last = divmod(column, len(COLUMNS))
    return f"{COLUMNS[more - 1] if more else ''}{COLUMNS[last]}{row + 1}"


def grid_for(part: Part, paper: Paper, factors: Printer) -> Grid:
    """The fewest columns and rows that hold a part, centred on it, and which of the pages carry a line."""
    wide, tall = usable(paper)
    width, height = wide / factors.across, tall / factors.up
    size = part.size
    columns, rows = (
        max(1, ceil((length + 4.0 - OVERLAP) / (window - OVERLAP)))
        for length, window in zip(size, (width, height), strict=True)
    )
    spans = columns * (width - OVERLAP) + OVERLAP, rows * (height - OVERLAP) + OVERLAP
    origin = (size[0] - spans[0]) / 2, (size[1] - spans[1]) / 2
    whole = Grid(origin, width, height, columns, rows, ())
    edges = [LinearRing(ring) for ring in part.rings] + [LineString(one.points) for one in part.marks]
    every = [(column, row) for row in range(rows) for column in range(columns)]
    kept = tuple(one for one in every if any(edge.intersects(whole.window(*one)) for edge in edges))
    return replace(whole, kept=kept)


def turned(part: Part) -> Part:
    """The part turned by a quarter to the left on the paper."""
    return moved_part(part, pi / 2)


def best_way(part: Part, paper: Paper, factors: Printer) -> Part:
    """The part as it is or turned by a quarter, whichever needs fewer pages."""
    other = turned(part)
    counts = [len(grid_for(one, paper, factors).kept) for one in (part, other)]
    return part if counts[0] <= counts[1] else other


# one page of a part ------------------------------------------------------------------------------------------------


def tiled(part: Part, paper: Paper, owner: str, factors: Printer = UNCORRECTED) -> tuple[Scene, ...]:
    """One part over as many pages as it needs, blank pages left out.

    Arguments:
        part: as worked out; it is turned by a quarter if that saves pages.
        paper: portrait pages of this size.
        owner: name and letter of the aeroplane for the foot of each page.
        factors: of the printer; everything measured is stretched by them.
    """
    lying = best_way(part, paper, factors)
    grid = grid_for(lying, paper, factors)
    drawn = outline(lying)
    return tuple(
        _page((lying, drawn), grid, one, paper, (owner, f"{k} of {len(grid.kept)}"), factors)
        for k, one in enumerate(grid.kept, start=1)
    )


def _page(
    lying: tuple[Part, Sequence[Shape]],
    grid: Grid,
    at: tuple[int, int],
    paper: Paper,
    foot: tuple[str, str],
    factors: Printer,
) -> Scene:
    part, drawn = lying
    width, height = sheets.size(paper)
    name = page_name(*at)
    title = f"{part.title}, page {name}"
    stretched = _stretch(_content(drawn, grid, at), grid.corner(*at), factors)
    scene = Scene(width, height, stretched, title, margin=MARGIN - 0.5)
    if not part.ready:
        scene = scene.plus(sheets.warning((MARGIN, MARGIN, width - MARGIN, height - MARGIN)))
    scene = scene.plus(
        _seams(grid, at, paper, factors), check_bars(paper, factors), foot_line(paper, foot, factors)
    )
    scene = scene.plus(_info(part, grid, at, scene, foot[1]))
    return scene.plus(placed(scene, _line_words(part, grid, at, factors)))


def _stretch(shapes: Sequence[Shape], corner: Point, factors: Printer) -> tuple[Shape, ...]:
    """Shapes in true mm put on the page: the window's corner to the printable corner, lengths by the factors."""
    return tuple(
        replace(one, rings=tuple(tuple(_put(p, corner, factors) for p in ring) for ring in one.rings))
        for one in shapes
        if isinstance(one, Path)
    )


def _put(point: Point, corner: Point, factors: Printer) -> Point:
    return MARGIN + (point[0] - corner[0]) * factors.across, MARGIN + (point[1] - corner[1]) * factors.up


def _content(drawn: Sequence[Shape], grid: Grid, at: tuple[int, int]) -> tuple[Shape, ...]:
    """Outline and marks inside one window, in true mm."""
    window = grid.window(*at)
    found: list[Shape] = []
    for one in drawn:
        if isinstance(one, Circle):
            x, y = one.centre
            ring = tuple(
                (x + one.radius * cos(a), y + one.radius * sin(a)) for a in np.linspace(0, 2 * pi, 25)[:-1]
            )
            if window.contains(Polygon(ring)):
                found.append(polygon(ring, one.layer, fill=one.fill))
        elif isinstance(one, Path):
            edges = [LinearRing(ring) if one.closed else LineString(ring) for ring in one.rings]
            found += [
                replace(one, rings=rings, closed=False) for edge in edges if (rings := _cut(edge, window))
            ]
    return tuple(found)


def _cut(edge: LineString, window: Polygon) -> tuple[tuple[Point, ...], ...]:
    pieces = get_parts(intersection(edge, window))
    return tuple(
        tuple((float(x), float(y)) for x, y in get_coordinates(piece))
        for piece in pieces
        if piece.length > 1e-6
    )


def _line_words(part: Part, grid: Grid, at: tuple[int, int], factors: Printer) -> list[list[Text]]:
    """Words of lines as far as they lie on this page, the face that lies up; places best first."""
    window, corner = grid.window(*at), grid.corner(*at)
    left, low, right, high = window.bounds

    def seen(points: Ring) -> Ring:
        if len(points) == 1:
            (x, y) = points[0]
            return points if left < x < right and low < y < high else ()
        pieces = _cut(LineString(points), window)
        longest = max(pieces, key=lambda one: LineString(one).length, default=())
        return longest if longest and LineString(longest).length > 45.0 else ()

    found = [list(one) for one in labels(part, seen)]
    inside = intersection(Polygon(part.rings[0], part.rings[1:]), window)
    if part.face and inside.area > 4000.0:
        spot = inside.representative_point()
        found.insert(0, [Text((spot.x, spot.y), part.face, LETTERING, "middle", "middle", halo=0.6)])
    return [[replace(one, at=_put(one.at, corner, factors)) for one in places] for places in found]


def _seams(grid: Grid, at: tuple[int, int], paper: Paper, factors: Printer) -> tuple[Shape, ...]:
    """Frame, hatched overlaps with the neighbours' names, numbered crosses and the string line."""
    wide, tall = usable(paper)
    shapes: list[Shape] = [box(MARGIN, MARGIN, wide, tall, "thin")]
    shapes += _neighbours(grid, at, (wide, tall), factors)
    shapes += _crosses(grid, at, (wide, tall), factors)
    return (*shapes, *_string(grid, (wide, tall)))


def _neighbours(grid: Grid, at: tuple[int, int], size: tuple[float, float], factors: Printer) -> list[Shape]:
    (column, row), (wide, tall) = at, size
    lap_x, lap_y = OVERLAP * factors.across, OVERLAP * factors.up
    right, top = MARGIN + wide, MARGIN + tall
    shapes: list[Shape] = []
    if (column + 1, row) in grid.kept:
        shapes += hatch(_corners(right - lap_x, MARGIN, right, top), 4.4, layer="grid")
        words = f"{page_name(column + 1, row)} goes on top here"
        shapes.append(_edge_words((right - lap_x / 2, MARGIN + 0.68 * tall), words, pi / 2))
    if (column, row + 1) in grid.kept:
        shapes += hatch(_corners(MARGIN, top - lap_y, right, top), 4.4, layer="grid")
        words = f"{page_name(column, row + 1)} goes on top here"
        shapes.append(_edge_words((MARGIN + 0.60 * wide, top - lap_y / 2), words, 0.0))
    if (column - 1, row) in grid.kept:
        words = f"{page_name(column - 1, row)} is under here"
        shapes.append(_edge_words((MARGIN + lap_x / 2, MARGIN + 0.68 * tall), words, pi / 2))
    if (column, row - 1) in grid.kept:
        words = f"{page_name(column, row - 1)} is under here"
        shapes.append(_edge_words((MARGIN + 0.60 * wide, MARGIN + lap_y / 2), words, 0.0))
    return shapes


def _corners(left: float, low: float, right: float, high: float) -> tuple[Point, ...]:
    return (left, low), (right, low), (right, high), (left, high)


def _edge_words(at: Point, words: str, angle: float) -> Text:
    return Text(at, words, LETTERING, "middle", "middle", angle, halo=0.6)


def _crosses(grid: Grid, at: tuple[int, int], size: tuple[float, float], factors: Printer) -> list[Shape]:
    """Crosses in the middle of the overlaps at the corners and half way up: equal numbers lie on each other."""
    (column, row), (wide, tall) = at, size
    half_x, half_y = OVERLAP / 2 * factors.across, OVERLAP / 2 * factors.up
    shapes: list[Shape] = []
    for dc in (0, 1):
        for step in (0, 1, 2):
            if not _shared(grid, (column, row), dc, step):
                continue
            x = MARGIN + half_x + dc * (wide - 2 * half_x)
            y = MARGIN + half_y + step / 2 * (tall - 2 * half_y)
            number = (2 * row + step) * (grid.columns + 1) + column + dc + 1
            shapes += _cross((x, y), f"{number}", inward=-1.0 if dc else 1.0, down=step == 2)
    return shapes


def _shared(grid: Grid, at: tuple[int, int], dc: int, step: int) -> bool:
    """True when another page that is printed also carries this cross."""
    column, row = at
    beside = (column + (1 if dc else -1), row)
    if step == 1:
        return beside in grid.kept
    up = row + (1 if step == 2 else -1)
    return any(one in grid.kept for one in (beside, (column, up), (beside[0], up)))


def _cross(at: Point, number: str, inward: float, down: bool) -> tuple[Shape, ...]:
    x, y = at
    lines = (line((x - 4, y), (x + 4, y), "mark"), line((x, y - 4), (x, y + 4), "mark"))
    place = (x + inward * 4.6, y + (-4.6 if down else 1.6))
    anchor = "start" if inward > 0 else "end"
    return (Circle(at, 2.4, "mark"), *lines, Text(place, number, LETTERING, anchor, halo=0.4))  # type: ignore[arg-type]


def _string(grid: Grid, size: tuple[float, float]) -> tuple[Shape, ...]:
    """The straight line through all pages of a row, or of the one column."""
    (wide, tall), words = size, "string line: lay it on a line drawn on the board"
    if grid.columns > 1:
        y = MARGIN + 0.36 * tall
        text = Text((MARGIN + 26, y - 4.6), words, LETTERING, halo=0.4)
        return line((MARGIN, y), (MARGIN + wide, y), "centre"), text
    if grid.rows > 1:
        x = MARGIN + 0.80 * wide
        text = Text((x + 4.6, MARGIN + 60), words, LETTERING, angle=pi / 2, halo=0.4)
        return line((x, MARGIN), (x, MARGIN + tall), "centre"), text
    return ()


def _info(part: Part, grid: Grid, at: tuple[int, int], scene: Scene, count: str) -> tuple[Shape, ...]:
    """Page name, part, words and map, set where they cross the fewest lines."""
    block = _info_block(part, grid, at, count)
    left, low, right, high = bounds(block)
    wide, tall = right - left, high - low
    xs = np.linspace(MARGIN + 24.0, scene.width - MARGIN - 12.0 - wide, 5)
    ys = np.linspace(MARGIN + 30.0, scene.height - MARGIN - 12.0 - tall, 9)
    drawn = [
        LineString(ring)
        for one in scene.shapes
        if isinstance(one, Path) and one.layer not in ("overlay", "thin", "grid", "fill", "text")
        for ring in one.rings
    ]
    texts = [Polygon(one.points()) for one in scene.texts()]

    def cost(place: tuple[float, float]) -> tuple[float, float]:
        area = rectangle(place[0] - 2, place[1] - 2, place[0] + wide + 2, place[1] + tall + 2)
        hit = sum(100.0 for one in texts if one.intersects(area))
        return hit + sum(intersection(one, area).length for one in drawn), place[1]

    x, y = min(((float(a), float(b)) for b in ys for a in xs), key=cost)
    ground = box(x - 1.5, y - 1.5, wide + 3, tall + 3, "fill", fill=PAPER)
    return (ground, *moved(block, x - left, y - low))


def _info_block(part: Part, grid: Grid, at: tuple[int, int], count: str) -> tuple[Shape, ...]:
    """Map at the left, page name and words at the right of it, 75 mm wide for the words."""
    plan = _map(part, grid, at)
    x = bounds(plan)[2] + 5.0
    name = Text((x, 18.8), page_name(*at), 15.0, face="head", bold=True)
    title = Text((x, 10.2), part.title, 5.0, face="head", bold=True)
    lines = [f"page {count}", *words(part)[:2]]
    broken = [piece for one in lines for piece in fonts.wrap(one, FINE, 74.0)]
    body = [Text((x, 5.2 - 4.8 * k), one, FINE) for k, one in enumerate(broken)]
    warn = Text((x + name.length + 4.0, 18.8), warn_words([part]), FINE, bold=True)
    return flat(plan, name, warn, title, body)


def _map(part: Part, grid: Grid, at: tuple[int, int]) -> tuple[Shape, ...]:
    """The part small in its grid of pages; this page black, pages left out crossed."""
    left, low = grid.corner(0, 0)
    step = grid.width - OVERLAP, grid.height - OVERLAP
    wide, tall = grid.columns * step[0], grid.rows * step[1]
    scale = min(46.0 / wide, 30.0 / tall, 16.0 / step[0])
    shapes: list[Shape] = []
    for row in range(grid.rows):
        for column in range(grid.columns):
            x, y = column * step[0] * scale, row * step[1] * scale
            cell = box(
                x, y, step[0] * scale, step[1] * scale, "thin", fill="#000000" if (column, row) == at else ""
            )
            shapes.append(cell)
            if (column, row) not in grid.kept:
                shapes.append(line((x, y), (x + step[0] * scale, y + step[1] * scale), "thin"))
    shift = left + OVERLAP / 2, low + OVERLAP / 2
    ring = [((x - shift[0]) * scale, (y - shift[1]) * scale) for x, y in part.rings[0]]
    shapes.append(polygon(ring, "wide", width=0.35, halo=0.3))
    return tuple(shapes)
