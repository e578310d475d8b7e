"""Skins: one sheet folded round the nose, or a top and a bottom skin, laid flat with everything that is drawn on them.

A skin keeps its outside paper, so all lengths are those of the outside; grooves and slopes are taken out of the inside
face, which lies up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
from shapely import Polygon, get_coordinates

from planewright.geometry.parts import thickness
from planewright.geometry.parts.draft import Draft, moved, ring
from planewright.geometry.parts.loft import Loft, largest
from planewright.geometry.parts.model import (
    Array,
    Bevel,
    Edge,
    Facet,
    Fold,
    Glue,
    Hand,
    Mark,
    Move,
    Point,
    Ring,
    Word,
    flat_points,
    solid_points,
)
from planewright.geometry.strips import Chain, chain, row_folds, ruling_folds


@dataclass(frozen=True)
class Sheet:
    """Rows ``start`` to ``stop`` (both in) of a loft laid flat as one sheet; ``flown``: the same panel with its
    washout, where it is drawn without."""

    loft: Loft
    start: int
    stop: int
    flown: Loft | None = None

    @cached_property
    def rows(self) -> Array:
        """The rows in space as they are drawn, (m, n, 3)."""
        return self.loft.rows[self.start : self.stop + 1]

    @cached_property
    def places(self) -> Array:
        """The rows in space as they are flown: with the washout that the jig builds in, (m, n, 3)."""
        return (self.flown or self.loft).rows[self.start : self.stop + 1]

    @cached_property
    def chain(self) -> Chain:
        """The strips laid flat."""
        return chain(self.rows)

    @cached_property
    def flat(self) -> Array:
        """The rows laid flat, (m, n, 2).

        The border is moved, by less than the misfit of the strips, so that each piece of it has exactly its length in
        space: edges that meet are equally long."""
        found = np.array([self.chain.row(k) for k in range(len(self.rows))])
        if max(self.chain.misfits, default=0.0) < 1e-9:
            return found
        ids = _border(*found.shape[:2])
        found[ids[:, 0], ids[:, 1]] = exact_ring(found[ids[:, 0], ids[:, 1]], self.rows[ids[:, 0], ids[:, 1]])
        return found

    def across(self, out: float) -> Array:
        """Line across the sheet at ``out``, (m, 2)."""
        part = self._along(out)
        k = min(int(part), self.flat.shape[1] - 2)
        return np.asarray(self.flat[:, k] + (part - k) * (self.flat[:, k + 1] - self.flat[:, k]))

    def put(self, out: float, x: float, top: bool) -> Point:
        """Where the point ``x`` mm aft, at ``out``, on the top or bottom face lies on the sheet."""
        section, line = self.loft.ring(out)[self.start : self.stop + 1], self.across(out)
        nose = self.loft.nose - self.start
        rows = slice(max(nose, 0), None) if top else slice(0, nose + 1)
        xs, flat = section[rows, 0], line[rows]
        order = np.argsort(xs, kind="stable")
        return tuple(float(np.interp(x, xs[order], flat[order, k])) for k in range(2))  # type: ignore[return-value]

    def _along(self, out: float) -> float:
        return float(np.interp(out, self.loft.outs, np.arange(len(self.loft.outs))))

    @property
    def outline(self) -> Array:
        """The edge of the sheet: along its first row, the outer end, back along its last row, the inner end."""
        flat = self.flat
        return np.vstack((flat[0], flat[1:, -1], flat[-1, -2::-1], flat[-2:0:-1, 0]))


def sound(outline: Array) -> Ring:
    """An outline as a ring; where a needle-like tip crosses itself, the largest sound piece of it."""
    shape = Polygon(outline)
    if not shape.is_valid:
        outline = get_coordinates(largest(shape.buffer(0)).exterior)[:-1]
    return ring(outline)


def _border(m: int, n: int) -> npt.NDArray[np.int_]:
    """Indices of the points round a net of m by n, (k, 2)."""
    first = [(0, i) for i in range(n)]
    last = [(m - 1, i) for i in range(n - 1, -1, -1)]
    outer = [(k, n - 1) for k in range(1, m - 1)]
    inner = [(k, 0) for k in range(m - 2, 0, -1)]
    return np.array([*first, *outer, *last, *inner])


def exact_ring(flat: Array, solid: Array) -> Array:
    """A flat ring (k, 2) moved as little as possible until each side is as long as in space (k, 3): least-norm Newton
    steps on the squared lengths."""
    count = len(flat)
    want = ((np.roll(solid, -1, axis=0) - solid) ** 2).sum(axis=1)
    here = flat.copy()
    for _ in range(8):
        side = np.roll(here, -1, axis=0) - here
        error = (side**2).sum(axis=1) - want
        if np.abs(error).max() < 1e-10 * max(float(want.max()), 1.0):
            break
        slope = np.zeros((count, count, 2))
        k = np.arange(count)
        slope[k, k] -= 2 * side
        slope[k, (k + 1) % count] += 2 * side
        step = np.linalg.lstsq(slope.reshape(count, -1), -error, rcond=None)[0]
        here = here + step.reshape(count, 2)
    return here


def exact_line(flat: Array, solid: Array) -> Array:
    """A flat line (k, 2) with each piece as long as in space (k, 3), its directions and its middle kept."""
    step = np.diff(flat, axis=0)
    size = np.maximum(np.linalg.norm(step, axis=1, keepdims=True), 1e-12)
    want = np.linalg.norm(np.diff(solid, axis=0), axis=1, keepdims=True)
    line = np.vstack((flat[:1], flat[0] + np.cumsum(step / size * want, axis=0)))
    return np.asarray(line + (flat - line).mean(axis=0))


def facets(sheet: Sheet) -> tuple[Facet, ...]:
    """Every strip of a sheet in space and flat."""
    gaps = (*sheet.chain.misfits, 0.0)
    return tuple(
        Facet(
            solid_points(first), solid_points(second), flat_points(flat.first), flat_points(flat.second), gap
        )
        for first, second, flat, gap in zip(
            sheet.rows[:-1], sheet.rows[1:], sheet.chain.strips, gaps, strict=True
        )
    )


def folds(sheet: Sheet) -> tuple[Fold, ...]:
    """Fold lines along the rows and across them, each between two neighbouring points; those too small are left out."""
    found = []
    along, over = row_folds(sheet.rows), ruling_folds(sheet.rows)
    for k, angles in enumerate(along, 1):
        for i, angle in enumerate(angles):
            found.append(_fold(sheet, sheet.flat[k, i : i + 2], float(angle)))
    for k, angles in enumerate(over):
        for i, angle in enumerate(angles, 1):
            found.append(_fold(sheet, sheet.flat[k : k + 2, i], float(angle)))
    return joined(one for one in found if one is not None)


def _fold(sheet: Sheet, points: Array, angle: float) -> Fold | None:
    return fold(points, angle, sheet.loft.t)


def fold(points: Array, angle: float, t: float) -> Fold | None:
    """A fold line with the way it is cut in board of thickness ``t``; None when it is too small to mark."""
    how = thickness.how_to_fold(angle)
    if how is None:
        return None
    wide = thickness.groove_width(t, angle) if how == "groove" else 0.0
    degrees = np.degrees(abs(angle))
    words = f"V {wide:.0f} wide" if how == "groove" else f"{degrees:.0f} deg"
    return Fold(flat_points(points), angle, how, (wide, wide), words)


def joined(found: Iterator[Fold] | Sequence[Fold]) -> tuple[Fold, ...]:
    """Neighbouring fold lines of one angle (to half a degree) that run on straight, taken as one."""
    kept: list[Fold] = []
    for one in found:
        last = kept[-1] if kept else None
        if last is not None and last.how == one.how and abs(last.angle - one.angle) < np.radians(0.5):
            a, b = np.array(last.points), np.array(one.points)
            if np.hypot(*(a[-1] - b[0])) < 0.2 and _straight(a[0], b[0], b[-1]):
                kept[-1] = Fold(
                    flat_points(np.array([a[0], b[-1]])), one.angle, one.how, one.width, one.words
                )
                continue
        kept.append(one)
    return tuple(kept)


def _straight(a: Array, b: Array, c: Array) -> bool:
    d = c - a
    return bool(abs(d[0] * (b - a)[1] - d[1] * (b - a)[0]) / max(float(np.hypot(*d)), 1e-9) < 0.15)


def leveller(first: Array, second: Array) -> Move:
    """A turn that lays the line between the middles of two ends along x, ``first`` at the left."""
    d = second.mean(axis=0) - first.mean(axis=0)
    u = d / np.hypot(*d)
    turn = np.array([[u[0], -u[1]], [u[1], u[0]]])
    return lambda points: points @ turn


def levelled(draft: Draft, first: Array, second: Array) -> Draft:
    """The draft turned so that its two ends lie left and right of each other."""
    stiff = draft.stiff
    turned = moved(draft, leveller(first, second))
    return turned if stiff is None else _with_stiff(turned, stiff)


def _with_stiff(draft: Draft, stiff: float) -> Draft:
    return replace(draft, stiff=stiff)


@dataclass(frozen=True)
class Names:
    """What a panel is called: ``word`` of its parts, ``key`` of the panel ("wing/1"), ``stock`` of its skin, ``hand``,
    ``words`` for its extent, ``ends`` on the part, and whether its inner and outer end are glued to a neighbour."""

    word: str
    key: str
    surface: str
    stock: str
    hand: Hand
    extent: str
    ends: tuple[str, str]
    open_ends: tuple[bool, bool] = (False, False)


def _end_edges(sheet: Sheet, names: Names) -> Iterator[Edge]:
    for which, (i, opened) in enumerate(zip((0, -1), names.open_ends, strict=True)):
        if opened:
            continue
        row, points = sheet.places[:, i], sheet.flat[:, i]
        way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(row, axis=0), axis=1))))
        inward = sheet.flat[:, 1 if which == 0 else -2] - points
        yield edge(f"{names.surface}/end/{sheet.loft.outs[i]:.1f}/{sheet.start}", row, points, way, inward)


def edge(seam: str, row: Array, points: Array, stations: Array, into: Array) -> Edge:
    """An edge from arrays; ``into`` need not have unit length."""
    size = np.linalg.norm(into, axis=1, keepdims=True)
    unit = into / np.where(size > 1e-9, size, 1.0)
    return Edge(
        seam, solid_points(row), flat_points(points), tuple(float(s) for s in stations), flat_points(unit)
    )


def folded_skin(loft: Loft, names: Names, flown: Loft | None = None) -> tuple[Draft, Sheet]:
    """One sheet round the nose: folds, the slope of the trailing edge, glue, ticks along the trailing edge."""
    sheet = Sheet(loft, 0, len(loft.rows) - 1, flown)
    flat = sheet.flat
    middle = (sheet.places[0] + sheet.places[-1]) / 2
    edges = (
        edge(f"{names.key}/trailing edge", middle, flat[0], loft.outs, flat[1] - flat[0]),
        edge(f"{names.key}/trailing edge", middle, flat[-1], loft.outs, flat[-2] - flat[-1]),
        *_end_edges(sheet, names),
    )
    slope, glued = trailing_edge(sheet)
    draft = Draft(
        word=names.word,
        name=f"skin, {names.extent}",
        hand=names.hand,
        copies=1,
        stock=names.stock,
        rings=(sound(sheet.outline),),
        stiff=0.0,
        seen_from="inside",
        ends=names.ends,
        key=f"{names.key}/skin",
        group="skin",
        folds=folds(sheet),
        bevels=slope,
        glue=glued,
        words=tuple(side_words(sheet, loft.fin)),
        facets=facets(sheet),
        edges=edges,
        ready=True,
    )
    return draft, sheet


def trailing_edge(sheet: Sheet) -> tuple[tuple[Bevel, ...], tuple[Glue, ...]]:
    """The slope on the top skin (both where the edge is thinner than the board) and the glue on the bottom skin.

    With T the thickness of the edge and d the angle between the skins, they touch over (2 t - T)/tan d.
    """
    loft, t = sheet.loft, sheet.loft.t
    low, high = sheet.rows[0], sheet.rows[-1]
    edge_t = float(np.linalg.norm(high - low, axis=1).mean())
    inner: dict[bool, list[Point]] = {True: [], False: []}
    slope = 0.0
    for out in loft.outs:
        section = loft.plane(loft.ring(out))
        angle = _opening(section)
        slope = max(slope, angle)
        back = loft.edges(out)[1]
        reach = min(thickness.touch_length(t, edge_t, angle), 0.4 * (back - loft.edges(out)[0]))
        for top in (True, False):
            inner[top].append(sheet.put(out, back - reach, top))
    if 2 * t <= edge_t:
        return (), ()
    ends = {True: sheet.flat[-1], False: sheet.flat[0]}
    shaved = (True,) if edge_t >= t else (True, False)
    thin = edge_t - t if edge_t >= t else edge_t / 2
    bevels = tuple(
        Bevel(
            flat_points(ends[top]),
            tuple(inner[top]),
            thin,
            slope / len(shaved),
            True,
            "shave the foam to the edge",
        )
        for top in shaved
    )
    glue = Glue((*flat_points(ends[False]), *inner[False][::-1]), "glue, then close the top on it")
    return bevels, (glue,)


def _opening(section: Array) -> float:
    """Angle between the last faces below and above, measured over the last tenth of the chord."""

    def slope(side: Array) -> float:
        back = side[np.argmax(side[:, 0])]
        reach = 0.1 * np.ptp(section[:, 0])
        order = np.argsort(side[:, 0], kind="stable")
        z = np.interp(back[0] - reach, side[order, 0], side[order, 1])
        return float(np.arctan2(z - back[1], reach))

    nose = int(np.argmin(section[:, 0]))
    return max(slope(section[nose:]) - slope(section[: nose + 1]), 1e-3)


def side_words(sheet: Sheet, fin: bool) -> Iterator[Word]:
    """TOP and BOTTOM (LEFT and RIGHT on a fin) in the middle of their largest faces."""
    names = ("RIGHT", "LEFT") if fin else ("BOTTOM", "TOP")
    nose = sheet.loft.nose - sheet.start
    for text, rows in zip(names, ((0, nose), (nose, len(sheet.rows) - 1)), strict=True):
        a, b = max(rows[0], 0), min(rows[1], len(sheet.rows) - 1)
        if b > a:
            wide = [np.linalg.norm(sheet.flat[k + 1] - sheet.flat[k], axis=1).mean() for k in range(a, b)]
            k = a + int(np.argmax(wide)) if len(wide) < 8 else (a + b) // 2
            at = sheet.flat[k : k + 2].reshape(-1, 2).mean(axis=0)
            yield Word((float(at[0]), float(at[1])), text, 0.0, 7.0)


def two_skins(loft: Loft, names: Names, flown: Loft | None = None) -> tuple[tuple[Draft, Sheet], ...]:
    """Bottom and top skin that meet at the nose and at the trailing edge, each with its sheet."""
    last, nose = len(loft.rows) - 1, loft.nose
    sides = ("right", "left") if loft.fin else ("bottom", "top")
    made = []
    for side, start, stop in zip(sides, (0, nose), (nose, last), strict=True):
        sheet = Sheet(loft, start, stop, flown)
        made.append((_side_skin(sheet, names, side), sheet))
    return tuple(made)


def _side_skin(sheet: Sheet, names: Names, side: str) -> Draft:
    loft, flat, under = sheet.loft, sheet.flat, sheet.start == 0
    back, nose = (0, -1) if under else (-1, 0)
    solid = (sheet.flown or loft).rows
    tail = (solid[0] + solid[-1]) / 2
    into_back = flat[1] - flat[0] if under else flat[-2] - flat[-1]
    into_nose = flat[-2] - flat[-1] if under else flat[1] - flat[0]
    edges = (
        edge(f"{names.key}/trailing edge", tail, flat[back], loft.outs, into_back),
        edge(f"{names.key}/nose", solid[loft.nose], flat[nose], loft.outs, into_nose),
        *_end_edges(sheet, names),
    )
    return Draft(
        word=names.word,
        name=f"{side} skin, {names.extent}",
        hand=names.hand,
        copies=1,
        stock=names.stock,
        rings=(sound(sheet.outline),),
        stiff=0.0,
        seen_from="inside",
        ends=names.ends,
        key=f"{names.key}/{side} skin",
        group="skin",
        bevels=_shaved(sheet, under),
        words=tuple(side_words(sheet, loft.fin)),
        facets=facets(sheet),
        edges=edges,
        ready=True,
    )


def _shaved(sheet: Sheet, under: bool) -> tuple[Bevel, ...]:
    """The slope along the trailing edge of one of two skins: each gives half."""
    loft, t = sheet.loft, sheet.loft.t
    edge_t = float(np.linalg.norm(loft.rows[-1] - loft.rows[0], axis=1).mean())
    if 2 * t <= edge_t:
        return ()
    top_only = edge_t >= t
    if top_only and under:
        return ()
    inner, slope = [], 0.0
    for out in loft.outs:
        angle = _opening(loft.plane(loft.ring(out)))
        slope, (front, back) = max(slope, angle), loft.edges(out)
        reach = min(thickness.touch_length(t, edge_t, angle), 0.4 * (back - front))
        inner.append(sheet.put(out, back - reach, not under))
    row = sheet.flat[0 if under else -1]
    thin = edge_t - t if top_only else edge_t / 2
    return (
        Bevel(
            flat_points(row),
            tuple(inner),
            thin,
            slope if top_only else slope / 2,
            True,
            "shave the foam to the edge",
        ),
    )


def marks_across(sheet: Sheet, outs: Sequence[float], meaning: str, word: str) -> tuple[Mark, ...]:
    """Lines across a sheet at places out, with ``word`` and the distance."""
    found = []
    for out in outs:
        if sheet.loft.outs[0] - 1e-6 <= out <= sheet.loft.outs[-1] + 1e-6:
            line = sheet.across(out)
            found.append(Mark(meaning, flat_points(line), f"{word} {out:.0f}"))  # type: ignore[arg-type]
    return tuple(found)
