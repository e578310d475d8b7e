"""Parts longer than the board: cut into pieces with stepped joints, with straps inside.

n pieces of usable length B with a step s between the two halves of a joint need n B >= L + (n - 1) s. Cuts are square
to the nose line of a wing skin and stepped on it, those of other parts square to their length, stepped half-way up.
Cut places are searched on a grid of 10 mm: fewest pieces, then farthest from what must not be cut, then the smallest
largest piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from shapely import LineString, Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

from planewright.geometry.parts.draft import Draft, moved, rectangle, thickness_of
from planewright.geometry.parts.fit import clipped
from planewright.geometry.parts.inside import rings_of
from planewright.geometry.parts.loft import largest
from planewright.geometry.parts.model import MM, Advice, Array, Glue, Ring, flat_points
from planewright.plane.model import Stock

BORDER = 5.0
"""Border of a board that is not used, mm (common practice, no source)."""
GRID = 10.0
STEP_SKIN = 100.0
"""Step between the joints of top and bottom of a wing skin, mm (assumed)."""
STEP = 40.0
"""Step of other joints, mm (assumed)."""
SHORTEST = 60.0
STRAP = 12.0
"""Width of a strap over the thickness of the board (assumed)."""


@dataclass(frozen=True)
class Cuts:
    """Where a part is cut: ``places`` mm along it (below the step), the ``step``, ``level``: height of the step, and
    ``clear``: distance to the nearest place that must not be cut, mm (0: through one)."""

    places: tuple[float, ...]
    step: float
    level: float
    clear: float


@dataclass(frozen=True)
class Spliced:
    """What became of a part: its pieces and straps, or itself; and what to decide where it cannot be made."""

    drafts: tuple[Draft, ...]
    advice: tuple[Advice, ...] = ()


def usable(stock: Stock) -> tuple[tuple[float, float], ...]:
    """Rooms (along the part, across it) that a board of this stock offers, mm; both ways where it has no stiff way."""
    if stock.sheet is None:
        return ()
    low, high = (side * MM - 2 * BORDER for side in sorted(stock.sheet))
    return {"long": ((high, low),), "short": ((low, high),)}.get(str(stock.stiff), ((high, low), (low, high)))


def spliced(draft: Draft, stock: Stock) -> Spliced:
    """A part in pieces that come out of the boards of its stock.

    ``draft.keep`` says where it must not be cut: spar and joiner ends, cranks, servo holes, the inner part of the
    half span.

    Returns:
        Spliced; the part itself where it fits, or where nobody wrote the size of the board; advice and the part where
        it may not be spliced or is too wide.
    """
    rooms = usable(stock)
    shape = Polygon(draft.rings[0])
    if not rooms or _fits(shape, rooms, free=draft.stiff is None):
        return Spliced((draft,))
    short, long = sorted(_box(shape))
    if draft.whole or draft.group in ("wrap", "duct"):
        return Spliced((draft,), (_too_large(draft, stock, (long, short), "may not be spliced"),))
    base = _line_up(replace(draft, thick=thickness_of(stock) * MM))
    found = [one for one in (_cuts(base, room, draft.keep) for room in rooms) if one is not None]
    if not found:
        return Spliced((draft,), (_too_large(draft, stock, (long, short), "is too wide for it"),))
    best = min(found, key=lambda one: (len(one.places), -min(one.clear, 50.0), -one.step))
    return Spliced(tuple(_pieces(base, best)) + tuple(_straps(base, best, stock)))


def _box(shape: Polygon) -> tuple[float, float]:
    a, b, c, d = shape.bounds
    return c - a, d - b


def _fits(shape: Polygon, rooms: Sequence[tuple[float, float]], free: bool) -> bool:
    angles = np.radians(np.arange(0.0, 180.0, 2.0)) if free else (0.0,)
    points = np.array(shape.exterior.coords)
    for angle in angles:
        turned = points @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        wide, high = np.ptp(turned, axis=0)
        if any(wide <= room[0] + 1e-6 and high <= room[1] + 1e-6 for room in rooms):
            return True
    return False


def _too_large(draft: Draft, stock: Stock, size: tuple[float, float], why: str) -> Advice:
    sheet = sorted((stock.sheet or (0.0, 0.0)), reverse=True)
    need = (np.ceil((size[0] + 2 * BORDER) / 10) * 10, np.ceil((size[1] + 2 * BORDER) / 10) * 10)
    other = {
        "skin": 'Or build the panel with two skins on ribs (way = "ribs"), or put a joint into the wing.',
        "wrap": "Or put a station into the body there: each bay is a wrap of its own.",
    }.get(draft.group, "Or make the part smaller.")
    room = max(usable(stock))[0]
    return Advice(
        "larger than its board",
        draft.name,
        f"{draft.word} {draft.name} is {size[0]:.0f} x {size[1]:.0f} mm and {why}; a board of {stock.name} is "
        f"{sheet[0] * MM:.0f} x {sheet[1] * MM:.0f} mm with {BORDER:.0f} mm of border",
        f"A board of {need[0]:.0f} x {need[1]:.0f} mm would do. {other}",
        size[0],
        room,
        stop=True,
    )


def _line_up(draft: Draft) -> Draft:
    """The part turned so that cuts square to its nose line (a skin) or its length stand upright, left end at x = 0."""
    line = _nose_line(draft)
    if line is not None:
        d = line[-1] - line[0]
        u = d / np.hypot(*d) * (1.0 if d[0] >= 0 else -1.0)
        turn = np.array([[u[0], -u[1]], [u[1], u[0]]])
        draft = moved(draft, lambda points: points @ turn)
    left = np.array(draft.rings[0]).min(axis=0)
    return moved(draft, lambda points: points - left)


def _nose_line(draft: Draft) -> Array | None:
    """The flat row at the nose of a folded skin: the fold with the largest angle."""
    if draft.group != "skin" or not draft.folds:
        return None
    best = max(draft.folds, key=lambda one: one.angle)
    same = [
        one for one in draft.folds if abs(one.angle - best.angle) < np.radians(4.0) and one.how == best.how
    ]
    points = np.array([point for one in same for point in one.points])
    return np.asarray(points[np.argsort(points[:, 0])][[0, -1]])


def _cuts(draft: Draft, room: tuple[float, float], avoid: Sequence[tuple[float, float]]) -> Cuts | None:
    shape = Polygon(draft.rings[0])
    length, high = _box(shape)
    if high > room[1] + 1e-6:
        return None
    line = _nose_line(draft)
    level = float(line[:, 1].mean()) if line is not None else high / 2
    full = STEP_SKIN if line is not None else STEP if high > 80.0 else 0.0
    least = int(np.ceil(length / room[0]))
    for count in range(max(least, 2), 12):
        steps = [step for step in (full, full / 4) if count * room[0] >= length + (count - 1) * step]
        if steps:
            places, clear = _best_places(length, count, room[0], steps[0], avoid)
            if places:
                return Cuts(places, steps[0], level, clear)
    return None


def _best_places(
    length: float, count: int, room: float, step: float, avoid: Sequence[tuple[float, float]]
) -> tuple[tuple[float, ...], float]:
    """Cut places on the grid: farthest from what must not be cut, then the smallest largest piece."""
    grid = np.arange(GRID, length, GRID)

    def clear(x: float) -> float:
        gaps = [max(a - (x + step), x - b, 0.0) for a, b in avoid]
        return min(gaps, default=50.0)

    @cache
    def best(done: int, start: float) -> tuple[float, float, tuple[float, ...]] | None:
        """(least clearance, -largest piece, cuts) for the rest, begun at ``start`` with ``done`` cuts made."""
        if done == count - 1:
            piece = length - start
            return (50.0, -piece, ()) if SHORTEST <= piece <= room + 1e-6 else None
        tries = []
        for x in grid:
            piece = float(x) + step - start
            if piece < SHORTEST or piece > room + 1e-6 or x + step > length - SHORTEST:
                continue
            rest = best(done + 1, float(x))
            if rest is not None:
                tries.append(
                    (min(clear(float(x)), 50.0, rest[0]), min(-piece, rest[1]), (float(x), *rest[2]))
                )
        return max(tries, default=None)

    found = best(0, 0.0)
    return ((), 0.0) if found is None else (found[2], found[0])


def _region(cuts: Cuts, k: int, bounds: tuple[float, float, float, float]) -> BaseGeometry:
    """What lies between cut k - 1 and cut k."""
    low, high = bounds[1] - 10.0, bounds[3] + 10.0
    ends = (bounds[0] - 10.0, *cuts.places, bounds[2] + 10.0)
    shift = (0.0, *(cuts.step for _ in cuts.places), 0.0)
    below = box(ends[k], low, ends[k + 1], cuts.level)
    above = box(ends[k] + shift[k], cuts.level, ends[k + 1] + shift[k + 1], high)
    return unary_union([below, above])


def _pieces(draft: Draft, cuts: Cuts) -> Iterator[Draft]:
    shape = Polygon(draft.rings[0], draft.rings[1:]).buffer(0)
    count = len(cuts.places) + 1
    lines = _joint_lines(draft, cuts)
    half = STRAP / 2 * draft_thickness(draft)
    for k in range(count):
        part = largest(shape.intersection(_region(cuts, k, shape.bounds)))
        glue = [
            Glue(_band(line, half, part), "strap, glue")
            for j, found in enumerate(lines)
            if j in (k - 1, k)
            for line in found
        ]
        ends = (draft.ends[0] if k == 0 else "", draft.ends[1] if k == count - 1 else "")
        note = "; ".join(one for one in (draft.note, "joint stepped, strap inside, tape outside") if one)
        piece = replace(
            draft,
            rings=rings_of(part),
            key=f"{draft.key}#{k + 1}",
            ends=ends,
            note=note,
            piece=(k + 1, count),
        )
        held = clipped(piece, part)
        yield replace(held, glue=(*_clipped_glue(draft.glue, part), *(one for one in glue if one.ring)))


def _clipped_glue(found: Sequence[Glue], part: Polygon) -> Iterator[Glue]:
    for one in found:
        kept = largest(Polygon(one.ring).buffer(0).intersection(part))
        if kept.area > 20.0:
            yield replace(one, ring=rings_of(kept)[0])


def _joint_lines(draft: Draft, cuts: Cuts) -> list[list[Array]]:
    """For each cut the stretches where a strap goes: clear of grooves and of what is glued there."""
    t = draft_thickness(draft)
    shape = Polygon(draft.rings[0], draft.rings[1:]).buffer(0)
    low, high = shape.bounds[1], shape.bounds[3]
    taken: list[BaseGeometry] = [
        LineString(one.points).buffer(2 * t + max(one.width) / 2)
        for one in draft.folds
        if one.how == "groove"
    ]
    taken += [Polygon(one.ring).buffer(2 * t) for one in draft.glue]
    taken += [Polygon([*one.edge, *one.inner[::-1]]).buffer(0).buffer(2 * t) for one in draft.bevels]
    closed = unary_union(taken) if taken else Polygon()
    found = []
    for place in cuts.places:
        lines = [
            LineString([(place, low), (place, cuts.level)]),
            LineString([(place + cuts.step, cuts.level), (place + cuts.step, high)]),
        ]
        free = [line.intersection(shape).difference(closed) for line in lines]
        runs = [
            np.array(run.coords)
            for line in free
            for run in getattr(line, "geoms", [line])
            if isinstance(run, LineString) and run.length > min(30.0, 0.4 * (high - low))
        ]
        found.append(runs)
    return found


def draft_thickness(draft: Draft) -> float:
    """Thickness of the board of a draft as its splices need it, mm."""
    return draft.thick or 5.0


def _band(line: Array, half: float, part: Polygon) -> Ring:
    """The half of a strap that lies on one piece."""
    strip = LineString(line).buffer(half, cap_style="flat")
    kept = largest(strip.intersection(part))
    return () if kept.is_empty else flat_points(np.array(kept.exterior.coords[:-1]))


def _straps(draft: Draft, cuts: Cuts, stock: Stock) -> Iterator[Draft]:
    """A strap for each stretch, 12 t wide, half on each piece."""
    t = thickness_of(stock) * MM
    for k, lines in enumerate(_joint_lines(draft, cuts)):
        for n, line in enumerate(lines):
            length = float(np.hypot(*(line[-1] - line[0])))
            yield Draft(
                word=draft.word,
                name=f"strap for {draft.name}, joint {k + 1}",
                hand="none",
                copies=2 * draft.copies if draft.hand == "right" else draft.copies,
                stock=draft.stock,
                rings=(rectangle(length, STRAP * t),),
                stiff=np.pi / 2,
                note="inside, half on each piece; tape outside",
                key=f"{draft.key}/strap {k + 1}.{n + 1}",
                group="strap",
                whole=True,
                ready=True,
                thick=t,
            )


def keep_out(marks: Sequence[float], around: float) -> list[tuple[float, float]]:
    """Stretches of ``around`` mm both ways of places along a part."""
    return [(x - around, x + around) for x in marks]
