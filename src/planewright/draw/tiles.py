"""Parts at true size on pages a home printer has, with everything needed to join and to check them.

Every page carries two check bars as long as the page allows; their printed length is read with a ruler, and asked over
read gives the printer's factors, which then stretch the drawing (never the words). Pages of one part overlap by 10 mm;
equal numbers of crosses lie on each other; a string line runs through all pages of a row, because short edges alone
let a chain of pages bend (trial of our own: 14 mm across at the end of 1 m without it, 0.6 mm with it).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, pi

import numpy as np
from shapely import LinearRing, LineString, Polygon, get_coordinates, get_parts, intersection
from shapely import box as rectangle

from planewright.draw import fonts
from planewright.draw import paper as sheets
from planewright.draw.corners import corner_pages, corners
from planewright.draw.legend import legend
from planewright.draw.pack import shelves
from planewright.draw.paper import COLUMNS, LETTERING, MARGIN, WARNING, Paper
from planewright.draw.pieces import free, mark_words, outline, words
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
from planewright.errors import OutOfRange
from planewright.geometry.parts import Part

OVERLAP = 10.0
LIMIT = 0.03
FINE = LETTERING


@dataclass(frozen=True)
class Printer:
    """Factors of one printer across and up the page (asked over read), from its check bars; 1 when not yet read."""

    across: float = 1.0
    up: float = 1.0

    def words(self) -> str:
        """The factors as printed on each page."""
        if self.across == self.up == 1.0:
            return "printer not yet measured"
        return f"printer factors {self.across:.4f} across, {self.up:.4f} up"


def printer(paper: Paper, read_across: float, read_up: float) -> Printer:
    """Factors from what a ruler shows on the two bars of a page printed without factors, mm.

    Raises ``OutOfRange`` when a bar is more than 3 % off: then the page was fitted to the paper, not printed at
    actual size.
    """
    asked = bars(paper)
    found = []
    for want, read, way in zip(asked, (read_across, read_up), ("across", "up"), strict=True):
        if not abs(read / want - 1.0) <= LIMIT:
            what = f"The bar {way} of {want:.0f} mm (was the page fitted to the paper? print at actual size), in mm,"
            raise OutOfRange(what, read, want * (1 - LIMIT), want * (1 + LIMIT))
        found.append(want / read)
    return Printer(*found)


def usable(paper: Paper) -> tuple[float, float]:
    """Width and height a printer can mark on a portrait page, mm: 10 mm kept free all round."""
    width, height = sheets.size(paper)
    return width - 2 * MARGIN, height - 2 * MARGIN


def bars(paper: Paper) -> tuple[float, float]:
    """Length of the check bars across and up a page, whole tens of mm."""
    width, height = usable(paper)
    return 10.0 * floor((width - 20.0) / 10.0), 10.0 * floor((height - 37.0) / 10.0)


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
    height = part.size[1]

    def turn(ring: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((height - y, x) for x, y in ring)

    rings = tuple(turn(ring) for ring in part.rings)
    marks = tuple(replace(one, points=turn(one.points)) for one in part.marks)
    stiff = None if part.stiff is None else part.stiff + pi / 2
    return replace(part, rings=rings, marks=marks, stiff=stiff, ends=("", ""))


def best_way(part: Part, paper: Paper, factors: Printer) -> Part:
    """The part as it is or turned by a quarter, whichever needs fewer pages."""
    other = turned(part)
    counts = [len(grid_for(one, paper, factors).kept) for one in (part, other)]
    return part if counts[0] <= counts[1] else other


# one page of a part ------------------------------------------------------------------------------------------------


def tiled(part: Part, paper: Paper, owner: str, factors: Printer = Printer()) -> tuple[Scene, ...]:
    """One part over as many pages as it needs, blank pages left out.

    Arguments:
        part: as worked out; it is turned by a quarter if that saves pages.
        paper: portrait pages of this size.
        owner: name and letter of the aeroplane for the foot of each page.
        factors: of the printer; everything measured is stretched by them.
    """
    lying = best_way(part, paper, factors)
    grid = grid_for(lying, paper, factors)
    return tuple(
        _page(lying, grid, one, paper, (owner, f"{k} of {len(grid.kept)}"), factors)
        for k, one in enumerate(grid.kept, start=1)
    )


def _page(
    part: Part, grid: Grid, at: tuple[int, int], paper: Paper, foot: tuple[str, str], factors: Printer
) -> Scene:
    width, height = sheets.size(paper)
    name = page_name(*at)
    title = f"{part.title}, page {name}"
    stretched = _stretch(_content(part, grid, at), grid.corner(*at), factors)
    scene = Scene(width, height, stretched, title, margin=MARGIN - 0.5)
    scene = scene.plus(sheets.warning((MARGIN, MARGIN, width - MARGIN, height - MARGIN)))
    scene = scene.plus(
        _seams(grid, at, paper, factors), check_bars(paper, factors), _foot(paper, foot, factors)
    )
    scene = scene.plus(_info(part, grid, at, scene, foot[1]))
    return scene.plus(free(scene, _line_words(part, grid, at, factors)))


def _stretch(shapes: Sequence[Shape], corner: Point, factors: Printer) -> tuple[Shape, ...]:
    """Shapes in true mm put on the page: the window's corner to the printable corner, lengths by the factors."""
    return tuple(
        replace(one, rings=tuple(tuple(_put(p, corner, factors) for p in ring) for ring in one.rings))
        for one in shapes
        if isinstance(one, Path)
    )


def _put(point: Point, corner: Point, factors: Printer) -> Point:
    return MARGIN + (point[0] - corner[0]) * factors.across, MARGIN + (point[1] - corner[1]) * factors.up


def _content(part: Part, grid: Grid, at: tuple[int, int]) -> tuple[Shape, ...]:
    """Outline and marks inside one window, in true mm."""
    window = grid.window(*at)
    found: list[Shape] = []
    for one in outline(part):
        if isinstance(one, Path):
            lines = [LinearRing(ring) if one.closed else LineString(ring) for ring in one.rings]
            found += [
                replace(one, rings=rings, closed=False) for edge in lines if (rings := _cut(edge, window))
            ]
    return tuple(found)


def _cut(edge: LineString, window: Polygon) -> tuple[tuple[Point, ...], ...]:
    pieces = get_parts(intersection(edge, window))
    return tuple(
        tuple((float(x), float(y)) for x, y in get_coordinates(piece))
        for piece in pieces
        if piece.length > 1e-6
    )


def _line_words(part: Part, grid: Grid, at: tuple[int, int], factors: Printer) -> list[Text]:
    """Names of marks, once for each mark on this page, and the face that lies up."""
    window, corner, found = grid.window(*at), grid.corner(*at), list[Text]()
    for mark in part.marks:
        pieces = _cut(LineString(mark.points), window) if mark.words else ()
        if pieces and LineString(pieces[0]).length > 45.0:
            text = mark_words(replace(mark, points=pieces[0]))
            found.append(replace(text, at=_put(text.at, corner, factors)))
    inside = intersection(Polygon(part.rings[0]), window)
    if part.face and inside.area > 4000.0:
        spot = inside.representative_point()
        place = _put((spot.x, spot.y), corner, factors)
        found.append(Text(place, part.face, LETTERING, "middle", "middle", halo=0.6))
    return found


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


def check_bars(paper: Paper, factors: Printer = Printer()) -> tuple[Shape, ...]:
    """Two bars with a tick at every 10 mm, across and up, as long as the page allows; they print at the asked length
    on the printer the factors belong to. Their ends are the ends of the drawn line."""
    across, up = bars(paper)
    x, y = MARGIN + 16.0, MARGIN + 26.0
    left, low = MARGIN + 10.0, MARGIN + 18.0
    shapes: list[Shape] = [
        line((left, low), (left + across * factors.across, low), "mark"),
        line((x, y), (x, y + up * factors.up), "mark"),
    ]
    for k in range(int(across / 10) + 1):
        at, tall = left + 10 * k * factors.across, 3.4 if k % 5 == 0 else 1.8
        shapes.append(line((at, low), (at, low + tall), "mark"))
    for k in range(int(up / 10) + 1):
        at, tall = y + 10 * k * factors.up, 3.4 if k % 5 == 0 else 1.8
        shapes.append(line((x, at), (x + tall, at), "mark"))
    level = f"{across:.0f} mm across: measure this bar; print at actual size"
    upright = f"{up:.0f} mm up: measure this bar"
    shapes.append(Text((left + 0.5 * across, low - 4.8), level, LETTERING, "middle", halo=0.4))
    shapes.append(Text((x - 1.6, y + 0.30 * up), upright, LETTERING, "middle", angle=pi / 2, halo=0.4))
    return tuple(shapes)


def _foot(paper: Paper, foot: tuple[str, str], factors: Printer) -> tuple[Shape, ...]:
    words = f"{foot[0]}; {factors.words()}; made by planewright"
    room = usable(paper)[0] - 34.0
    return (sheets.fitted(Text((MARGIN + 17.0, MARGIN + 8.8), words, FINE, halo=0.4), room),)


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
        if isinstance(one, Path) and one.layer in ("cut", "centre", "hidden", "neighbour", "score")
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
    warn = Text((x + name.length + 4.0, 18.8), WARNING, FINE, bold=True)
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


# several parts on one page -----------------------------------------------------------------------------------------


def shared(
    parts: Sequence[Part], paper: Paper, owner: str, factors: Printer = Printer()
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
        scene = scene.plus(sheets.warning((MARGIN, MARGIN, width - MARGIN, height - MARGIN)))
        scene = scene.plus(check_bars(paper, factors), _foot(paper, (owner, ""), factors))
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
        warn = Text((MARGIN + 22.0, height - MARGIN - 6.0), WARNING, LETTERING, bold=True)
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

    drawn = [
        replace(one, rings=tuple(tuple(map(put, ring)) for ring in one.rings))
        for one in outline(part)
        if isinstance(one, Path)
    ]
    return flat(drawn, moved(_caption(part), corner[0], corner[1]))


def fits_one_page(part: Part, paper: Paper, factors: Printer = Printer()) -> bool:
    """True when the part, as it is or turned by a quarter, shares a page with others."""
    wide, tall = _shared_room(paper, factors)
    return any(w <= wide and h <= tall for w, h in map(_shared_size, (part, turned(part))))


def templates(
    parts: Sequence[Part], paper: Paper, owner: str, factors: Printer = Printer(), by_corners: int = 16
) -> tuple[Scene, ...]:
    """Every sheet part at true size on pages of one paper: small ones several to a page, then each larger one tiled.

    Arguments:
        by_corners: larger parts with at most so many corners come as a table of corner numbers, measured from a
            straight edge of the board: no taping and no running error. 0 tiles them all.
    Sticks have no template: their length stands in the cut list.
    """
    flat_parts = [one for one in parts if one.kind != "pine stick"]
    small = [one for one in flat_parts if fits_one_page(one, paper, factors)]
    large = [one for one in flat_parts if one not in small]
    named = [one for one in large if len(corners(one)) <= by_corners]
    pages = list(shared(small, paper, owner, factors)) if small else []
    pages += corner_pages(named, paper, owner) if named else []
    for one in large:
        if one not in named:
            pages += tiled(one, paper, owner, factors)
    counts = (
        f"{len(small)} parts at true size, several to a page (pages S)",
        f"{len(named)} parts as corner numbers (pages N)",
        f"{len(large) - len(named)} parts over several pages each; with this page {len(pages) + 1} pages in all",
    )
    return (first_page(paper, owner, factors, counts), *pages) if pages else ()


def first_page(paper: Paper, owner: str, factors: Printer, counts: Sequence[str]) -> Scene:
    """The page that is printed first: rules, meanings of lines, and both check bars."""
    width, height = sheets.size(paper)
    scene = Scene(width, height, (), "how to use these pages", margin=MARGIN - 0.5)
    scene = scene.plus(sheets.warning((MARGIN, MARGIN, width - MARGIN, height - MARGIN)))
    scene = scene.plus(check_bars(paper, factors), _foot(paper, (owner, ""), factors))
    return scene.plus(legend((MARGIN + 27.0, height - MARGIN), width - 2 * MARGIN - 32.0, counts))
