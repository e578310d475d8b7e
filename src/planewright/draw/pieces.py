"""One flat part as a drawing, full size or small: outline, marks with their names, title, stiff way, the warning.

Widths of lines follow the table of line types in ``scene``. The outline stands as it lies under the knife.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import cos, hypot, pi, sin

import numpy as np
from shapely import Point as ShapelyPoint
from shapely import Polygon

from planewright.draw import fonts
from planewright.draw import paper as sheets
from planewright.draw.marks import labels, lines, readable
from planewright.draw.pack import shelves
from planewright.draw.paper import LETTERING, WARNING, Paper, Title
from planewright.draw.place import placed
from planewright.draw.scene import (
    Path,
    Point,
    Scene,
    Shape,
    Text,
    bounds,
    flat,
    line,
    moved,
    polygon,
)
from planewright.geometry.parts import Part

SMALL_TITLE = 5.0


def outline(part: Part) -> tuple[Shape, ...]:
    """Everything that is cut or drawn on a part, full size, without words, in the order of the knife: holes, scores
    and grooves, slopes, marks, the outline last. mm, lower left corner of its box at (0, 0)."""
    holes = (Path(part.rings[1:], "cut", closed=True),) if len(part.rings) > 1 else ()
    return (*holes, *lines(part), Path(part.rings[:1], "cut", closed=True))


def scaled(shapes: Iterable[Shape], scale: float) -> tuple[Path, ...]:
    """Lines with all lengths times ``scale`` (texts are left out)."""
    return tuple(
        replace(one, rings=tuple(tuple((x * scale, y * scale) for x, y in ring) for ring in one.rings))
        for one in shapes
        if isinstance(one, Path)
    )


def words(part: Part) -> tuple[str, ...]:
    """The lines of text that belong to a part: name, how many, material, goal, note."""
    goal = f", goal {part.mass_goal * 1000:.0f} g" if part.mass_goal and part.mass_goal > 0.0005 else ""
    material = f"{part.material}, {part.thickness:.1f} thick"
    lines = [part.name, f"make {part.copies}, {material}{goal}"]
    return (*lines, part.note) if part.note else tuple(lines)


def full_size(part: Part) -> Scene:
    """One part alone at 1:1 on a sheet of its own size, for a large printer or a cutter."""
    width, height = part.size
    pad = 15.0
    block = title_block(part)
    box = bounds(block)
    wide, low = max(width, box[2] - box[0]) + 2 * pad, box[3] - box[1] + 2 * pad
    shapes = moved(outline(part), pad, low)
    scene = Scene(wide, height + low + pad, shapes, part.title, margin=2.0)
    scene = scene.plus(moved(block, pad - box[0], pad - box[1]))
    inside = [_all_moved(one, pad, low) for one in words_on(part)]
    return scene.plus(placed(scene, inside), _across(part, pad, low))


def _all_moved(places: Iterable[Text], dx: float, dy: float) -> list[Text]:
    return [replace(one, at=(one.at[0] + dx, one.at[1] + dy)) for one in places]


def _across(part: Part, dx: float, dy: float) -> tuple[Shape, ...]:
    """The warning over a part whose folds and thickness are not worked out; nothing over a finished one."""
    if part.ready:
        return ()
    width, height = part.size
    return sheets.warning((dx, dy, dx + width, dy + height))


def warn_words(parts: Iterable[Part]) -> str:
    """The warning when one of the parts is an outline only, else nothing."""
    return "" if all(one.ready for one in parts) else WARNING


def title_block(part: Part) -> tuple[Shape, ...]:
    """Title and words of a part in a block with its lower left corner near (0, 0)."""
    lines = words(part)
    step = 5.0
    top = step * len(lines)
    title = Text((0.0, top), part.title, 7.0, face="head", bold=True)
    body = [Text((0.0, top - step * (k + 1) + 0.6), one, LETTERING) for k, one in enumerate(lines)]
    warn = [Text((title.length + 5.0, top), WARNING, LETTERING, bold=True)] if not part.ready else []
    return (title, *warn, *body)


def words_on(part: Part) -> tuple[list[Text], ...]:
    """Words that lie on the part: ends, its face, the stiff way, the words of its lines. For each the places it may
    take, best first; only places wholly on the board of the part."""
    width, height = part.size
    area = Polygon(part.rings[0], part.rings[1:])
    found: list[list[Text]] = []
    if part.face:
        found.append([_on(one, part.face) for one in _spots(area)])
    for word, x in zip(part.ends, (8.0, width - 8.0), strict=True):
        at = _on_edge(area, x, height)
        if word and at is not None:
            found.append([_on((x, at), word, pi / 2)])
    found += [list(one) for one in labels(part)]
    if part.stiff is not None and min(width, height) > 60:
        ways = "stiff way of the board along this line"
        found.append([_on(one, ways, readable(part.stiff)) for one in _spots(area)])
    kept = ([one for one in places if _lies_on(one, area)] for places in found)
    return tuple(one for one in kept if one)


def _spots(area: Polygon) -> list[Point]:
    """Some places well inside, the middle first."""
    middle = area.representative_point()
    left, low, right, high = area.bounds
    grid = [
        (left + u * (right - left), low + v * (high - low))
        for v in (0.5, 0.62, 0.38, 0.74, 0.26, 0.86, 0.14)
        for u in (0.5, 0.3, 0.7)
    ]
    return [(middle.x, middle.y + 9.0), (middle.x, middle.y), (middle.x, middle.y - 12.0), *grid]


def _on(at: Point, words: str, angle: float = 0.0) -> Text:
    return Text(at, words, LETTERING, "middle", "middle", angle, halo=0.4)


def _on_edge(area: Polygon, x: float, height: float) -> float | None:
    ys = [y for y in np.linspace(4.0, height - 4.0, 25) if area.contains(ShapelyPoint(x, y))]
    return float(ys[len(ys) // 2]) if ys else None


def _lies_on(text: Text, area: Polygon) -> bool:
    return bool(area.contains(Polygon(text.points())))


def free(scene: Scene, texts: Iterable[Text]) -> tuple[Text, ...]:
    """Those of ``texts`` that overlap neither what stands nor each other, and stay on the sheet."""
    return placed(scene, ([one] for one in texts))


def stiff_mark(at: Point, angle: float, length: float) -> tuple[Shape, ...]:
    """Three lines with a head at both ends: the stiff way of the board."""
    (x, y), u = at, (cos(angle), sin(angle))
    v = (-u[1], u[0])
    shapes: list[Shape] = []
    for k in (-1, 0, 1):
        off = (x + k * v[0], y + k * v[1])
        ends = [(off[0] + s * length / 2 * u[0], off[1] + s * length / 2 * u[1]) for s in (-1, 1)]
        shapes.append(line(ends[0], ends[1], "mark"))
    for s in (-1.0, 1.0):
        tip = (x + s * (length / 2 + 5) * u[0], y + s * (length / 2 + 5) * u[1])
        base = [
            (x + s * length / 2 * u[0] + k * v[0], y + s * length / 2 * u[1] + k * v[1]) for k in (-2.2, 2.2)
        ]
        shapes.append(polygon((tip, *base), "mark", fill="#000000"))
    return tuple(shapes)


def overview(
    parts: Sequence[Part], paper: Paper, title: Title, first_sheet: int = 1, all_sheets: int | None = None
) -> tuple[Scene, ...]:
    """All parts at a small scale with their words, as many sheets as needed.

    Arguments:
        first_sheet, all_sheets: numbers for the title strip when the pages belong to a larger set.
    """
    shown = [one for one in parts if one.hand != "left"]
    left, low, right, high = sheets.room(paper)
    wide, tall, gap = right - left - 8.0, high - low - 8.0, 7.0
    longest = max((max(one.size) for one in shown), default=1.0)
    scale = max(10, sheets.scale_that_fits(longest, wide - 2.0))
    cells = [_cell(one, scale, wide) for one in shown]
    sizes = [(b[2] - b[0], b[3] - b[1]) for b in map(bounds, cells)]
    places = shelves(sizes, wide, tall, gap)
    count = 1 + max((one.page for one in places), default=-1)
    pages = []
    for page in range(count):
        base = sheets.framed(paper, title, (first_sheet + page, all_sheets or count), f"1:{scale}")
        drawn = [
            moved(
                cells[p.index],
                left + 4 + p.x - bounds(cells[p.index])[0],
                low + 4 + p.y - bounds(cells[p.index])[1],
            )
            for p in places
            if p.page == page
        ]
        warn = sheets.warning((left, low, right, high)) if warn_words(shown) else ()
        pages.append(base.plus(warn, *drawn))
    return tuple(pages)


def _cell(part: Part, scale: float, room: float) -> tuple[Shape, ...]:
    """One part small, with title, name and size under it."""
    width, height = part.size
    hands = ", right and left" if part.hand == "right" else ""
    size = sheets.FLOOR
    lines = [f"{part.name}{hands}", f"make {part.copies}, {part.material}, {width:.0f} × {height:.0f}"]
    limit = max(width / scale, 42.0)
    broken = [piece for one in lines for piece in fonts.wrap(one, size, min(limit, room))]
    title = Text((0.0, -4.6), part.number, 4.2, face="head", bold=True)
    words = [Text((0.0, -4.6 - 4.4 * (k + 1)), one, size) for k, one in enumerate(broken)]
    thin = [
        replace(one, width=0.4 if one.layer == "cut" else 0.25)
        for one in scaled(outline(part), 1.0 / scale)
        if isinstance(one, Path)
    ]
    return flat(thin, title, words)


def plate(parts: Sequence[Part], width: float = 1500.0) -> Scene:
    """All parts at 1:1 side by side on one large sheet, for DXF and for a plotter: every part, both hands."""
    blocks = [_block(one) for one in parts if one.kind != "pine stick"]
    boxes = [bounds(one) for one in blocks]
    width = max(width, *(b[2] - b[0] for b in boxes))
    places = shelves([(b[2] - b[0], b[3] - b[1]) for b in boxes], width, 1e6, 25.0)
    tall = max(b[3] - b[1] + 1e6 - (p.y + b[3] - b[1]) for p, b in zip(places, boxes, strict=True))
    drawn = [
        moved(blocks[p.index], 20.0 + p.x - boxes[p.index][0], 20.0 + p.y - 1e6 + tall - boxes[p.index][1])
        for p in places
    ]
    return Scene(width + 40.0, tall + 40.0, flat(*drawn), "parts", margin=5.0)


def _block(part: Part) -> tuple[Shape, ...]:
    block = title_block(part)
    box = bounds(block)
    body = outline(part)
    inside = placed(Scene(*part.size), words_on(part))
    return flat(body, inside, _across(part, 0.0, 0.0), moved(block, 0.0, -8.0 - box[3]))


def diagonal(part: Part) -> float:
    """Diagonal of the box round the part, mm: the number to check after taping pages together."""
    return hypot(*part.size)
