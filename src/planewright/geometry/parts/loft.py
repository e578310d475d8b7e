"""A panel of a wing, tailplane or fin as rows of points along the span, and its cuts, outside and inside.

A panel is what one sheet can cover: it ends at a joint and wherever the nose line kinks or the dihedral changes; a kink
of the trailing edge alone stays inside a panel, because straight fold lines cost nothing there. Rows run from the lower
trailing edge forward round the nose to the upper trailing edge; a fin lies as a wing that stands on its root, with its
right side below.
mm throughout, in the drawing axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from shapely import MultiPolygon, Polygon, box, buffer, polygons, union_all
from shapely.geometry.base import BaseGeometry

from planewright.geometry import sections
from planewright.geometry.model import SurfaceShape
from planewright.geometry.parts.model import MM, Array
from planewright.geometry.strips import facet_normals
from planewright.plane.model import Section, Surface

FOLDS = (0.02, 0.0, 0.12, 0.32)
"""Fold lines of a folded wing where the file gives none, parts of the chord: bottom, nose, two on top (assumed)."""
EDGE_EXTRA = 0.2
"""A folded trailing edge is the board's thickness and this, mm (assumed)."""
KINK = np.radians(0.05)
SIDE_POINTS = 41


@dataclass(frozen=True)
class Loft:
    """One panel.

    ``rows`` (m, n, 3) mm; ``outs`` (n,) mm out from the centreline (fin: above its foot); ``nose``: index of the row
    at the nose; ``fin``: sections lie in planes z = constant. ``t``: thickness of its skin, mm. ``cranks``: places of
    stations inside the panel; further rulings between them only follow the twist."""

    rows: Array
    outs: Array
    nose: int
    t: float
    fin: bool = False
    cranks: tuple[float, ...] = ()

    def ring(self, out: float) -> Array:
        """The outside at ``out``, (m, 3)."""
        k, part = self._bay(out)
        return np.asarray((1 - part) * self.rows[:, k] + part * self.rows[:, k + 1])

    def plane(self, points: Array) -> Array:
        """Points (n, 3) in the plane of a section: (aft, up), for a fin (aft, to the left)."""
        return points[:, [0, 1]] * np.array([1.0, -1.0]) if self.fin else points[:, [0, 2]]

    @cached_property
    def normals(self) -> Array:
        """Outward unit normals, (m - 1, n - 1, 3)."""
        return facet_normals(self.rows)

    @cached_property
    def _kept(self) -> dict[tuple[float, float], Polygon]:
        return {}

    def inside(self, out: float, t: float | None = None) -> Polygon:
        """What is left inside the skin in the section's own plane at ``out``, (aft, up) mm: the outside less the
        set-back of each face. Empty where the skins fill the section."""
        t = self.t if t is None else t
        key = (round(out, 4), t)
        if key not in self._kept:
            self._kept[key] = self._cut_inside(out, t)
        return self._kept[key]

    def _cut_inside(self, out: float, t: float) -> Polygon:
        k, _ = self._bay(out)
        flat = self.plane(self.ring(out))
        across = self.normals[:, k, 2 if self.fin else 1]
        whole = Polygon(flat).buffer(0)
        return largest(whole.difference(union_all(_bands(flat, t / np.sqrt(1 - across**2)))))

    def depth(self, x: float, out: float) -> tuple[float, float]:
        """Heights of the inner faces below and above the point ``x`` (mm aft in the drawing axes) at ``out``.

        The inner face of each side is the lowest (highest) of its faces set back; where the skins fill the section both
        heights are the same.
        """
        k, _ = self._bay(out)
        flat = self.plane(self.ring(out))
        a, b, inward = _inward(flat)
        across = self.normals[:, k, 2 if self.fin else 1]
        shift = (self.t / np.sqrt(1 - across**2))[:, None] * inward
        heights = _heights(a + shift, b + shift, x)
        under = heights[: self.nose][np.isfinite(heights[: self.nose])]
        over = heights[self.nose :][np.isfinite(heights[self.nose :])]
        if not len(under) or not len(over):
            return span_at(self.inside(out), x)
        low, high = float(under.max()), float(over.min())
        return (low, high) if high > low else ((low + high) / 2, (low + high) / 2)

    def outer(self, x: float, out: float) -> tuple[float, float]:
        """Heights of the outer faces below and above ``x`` at ``out``."""
        return span_at(Polygon(self.plane(self.ring(out))).buffer(0), x)

    def edges(self, out: float) -> tuple[float, float]:
        """x of the foremost and of the aftmost point at ``out``."""
        x = self.ring(out)[:, 0]
        return float(x.min()), float(x.max())

    def at(self, part: float, out: float) -> float:
        """x at a part of the chord."""
        nose, back = self.edges(out)
        return nose + part * (back - nose)

    def _bay(self, out: float) -> tuple[int, float]:
        k = min(max(int(np.searchsorted(self.outs, out, side="right")) - 1, 0), len(self.outs) - 2)
        return k, float((out - self.outs[k]) / (self.outs[k + 1] - self.outs[k]))


def _inward(flat: Array) -> tuple[Array, Array, Array]:
    """Starts, ends and inward unit vectors of the sides of a section; inside is right of the way round the nose."""
    a, b = flat[:-1], flat[1:]
    d = b - a
    size = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-12)
    return a, b, np.column_stack((d[:, 1], -d[:, 0])) / size[:, None]


def _bands(flat: Array, wide: Array) -> npt.NDArray[np.object_]:
    """The strips of skin on the inner side of each side of a section, as polygons."""
    a, b, inward = _inward(flat)
    keep = np.hypot(*(b - a).T) > 1e-9
    shift = wide[:, None] * inward
    quads = np.stack((a, b, b + shift, a + shift), axis=1)[keep]
    return np.asarray(buffer(polygons(quads), 1e-7, quad_segs=1))


def _heights(a: Array, b: Array, x: float) -> Array:
    """Height of each segment a to b over ``x``; not finite where it ends more than a tenth of a mm from there."""
    low, high = np.minimum(a[:, 0], b[:, 0]) - 0.1, np.maximum(a[:, 0], b[:, 0]) + 0.1
    run = b[:, 0] - a[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        height = a[:, 1] + (x - a[:, 0]) / run * (b[:, 1] - a[:, 1])
    return np.where((x >= low) & (x <= high) & (np.abs(run) > 1e-9), height, np.nan)


def largest(shape: BaseGeometry) -> Polygon:
    """The largest polygon of a shape, an empty one where there is none."""
    if isinstance(shape, Polygon):
        return shape
    found = [one for one in getattr(shape, "geoms", ()) if isinstance(one, Polygon)]
    return max(found, key=lambda one: one.area, default=Polygon())


def pieces(shape: BaseGeometry, least: float = 1.0) -> list[Polygon]:
    """All polygons of a shape of at least ``least`` area, from front to back."""
    found = [shape] if isinstance(shape, Polygon) else list(getattr(shape, "geoms", ()))
    kept = [one for one in found if isinstance(one, Polygon) and one.area >= least]
    return sorted(kept, key=lambda one: one.bounds[0])


def span_at(shape: Polygon | MultiPolygon, x: float) -> tuple[float, float]:
    """Lowest and highest point of a shape over ``x``; equal numbers (its middle) where it has nothing there."""
    if shape.is_empty:
        return 0.0, 0.0
    low, high = shape.bounds[1], shape.bounds[3]
    cut = shape.intersection(box(x - 1e-6, low - 1, x + 1e-6, high + 1))
    if cut.is_empty:
        middle = (low + high) / 2
        return middle, middle
    return float(cut.bounds[1]), float(cut.bounds[3])


def panel_ends(surface: Surface) -> tuple[tuple[int, ...], ...]:
    """Stations of each panel as runs of indices; a joint between stations must have been made one before."""
    stations, joints = surface.stations, {round(one.out, 6) for one in surface.joints}
    way = np.array([(one.out, one.back, one.up) for one in stations])
    runs: list[list[int]] = [[0]]
    for k in range(1, len(stations)):
        runs[-1].append(k)
        if k == len(stations) - 1:
            break
        before, after = way[k] - way[k - 1], way[k + 1] - way[k]
        turn = np.arccos(np.clip(before @ after / np.linalg.norm(before) / np.linalg.norm(after), -1, 1))
        ends = turn > KINK or round(stations[k].out, 6) in joints
        if ends or surface.build.way != "folded":
            runs.append([k])
    return tuple(tuple(run) for run in runs)


def folded_points(section: Section, folds: Sequence[float]) -> Array:
    """Fold points of a section on a chord of 1, (m, 2), without its trailing edge, from the bottom round the nose.

    ``folds``: parts of the chord in that order: falling along the bottom to the nose, then rising along the top.
    Each lies on the section, but the rear bottom face is the straight line from the trailing edge that touches the
    bottom from below, so that it lies flat on the bench.
    """
    folds = tuple(folds) or FOLDS
    lower, upper = _sides_of(section)
    nose = int(np.argmin(folds))
    points = []
    for k, x in enumerate(folds):
        if k < nose:
            points.append((x, float(np.interp(x, lower[:, 0], lower[:, 1]))))
        elif k == nose and x <= 0:
            points.append((0.0, float(lower[0, 1])))
        else:
            points.append((x, float(np.interp(x, upper[:, 0], upper[:, 1]))))
    found = np.array(points, dtype=np.float64)
    if nose > 0:
        x = folds[0]
        behind = lower[(lower[:, 0] >= x) & (lower[:, 0] < 0.999)]
        back = lower[-1]
        slopes = (back[1] - behind[:, 1]) / (back[0] - behind[:, 0])
        found[0, 1] = back[1] - float(slopes.max()) * (back[0] - x)
    return found


def _sides_of(section: Section) -> tuple[Array, Array]:
    """Lower and upper side of a section from the nose aft, (k, 2) each."""
    outline = sections.outline(section, None, 161)
    middle = len(outline) // 2
    return outline[middle:], outline[: middle + 1][::-1]


def lofts(shape: SurfaceShape, t: float, twisted: bool = True) -> tuple[Loft, ...]:
    """The panels of a surface.

    Arguments:
        t: thickness of its skin, mm.
        twisted: False draws every panel at the angle of its inner end: washout is then built in on the jig.
    """
    return tuple(_loft(shape, run, t, twisted) for run in panel_ends(shape.surface))


def _loft(shape: SurfaceShape, run: tuple[int, ...], t: float, twisted: bool) -> Loft:
    surface, fin = shape.surface, shape.surface.kind == "fin"
    frames = [_frame(shape, k if twisted else run[0]) for k in run]
    outs = np.array([surface.stations[k].out for k in run]) * MM
    lead = np.array([shape.leading[k] for k in run]) * MM
    chords = np.array([shape.chord[k] for k in run]) * MM
    ends = (0, len(run) - 1)
    if surface.build.way == "folded":
        shapes = {e: folded_points(surface.stations[run[e]].section, surface.build.folds) for e in ends}
        nose = int(np.argmin(shapes[0][:, 0])) + 1
    else:
        shapes = {e: _airfoil(surface.stations[run[e]].section, shape.thickness[run[e]]) for e in ends}
        nose = len(shapes[0]) // 2

    def solid(points: Array, e: int) -> Array:
        along, up = frames[e]
        return np.asarray(lead[e] + chords[e] * (points[:, :1] * along + points[:, 1:] * up))

    inner, outer = (solid(shapes[e], e) for e in ends)
    cranks = tuple(float(o) for o in outs[1:-1])
    part = (outs - outs[0]) / (outs[-1] - outs[0])
    lines = inner[:, None] + part[None, :, None] * (outer - inner)[:, None]
    up = _frame(shape, 0)[1]
    if surface.build.way == "folded":
        tails = [_sides_of(surface.stations[k].section)[0][-1, 1] for k in run]
        low = np.array(
            [lead[i] + chords[i] * (a + tails[i] * square) for i, (a, square) in enumerate(frames)]
        )
        lines = np.concatenate((low[None], lines, (low + (t + EDGE_EXTRA) * up)[None]))
    else:
        middle, half = (lines[0] + lines[-1]) / 2, edge_thickness(shape) / 2
        lines[0], lines[-1] = middle - half * up, middle + half * up
    twist = float(np.linalg.norm(frames[-1][1] - frames[0][1]))
    return Loft(*_followed(lines, outs, twist), nose, t, fin, cranks)


def edge_thickness(shape: SurfaceShape) -> float:
    """Thickness of the trailing edge of a surface with two skins, mm.

    One for the whole surface, so that both skins have edges of the same length: the mean of its sections', and 1 mm at
    least (assumed)."""
    stations = zip(shape.surface.stations, shape.chord, shape.thickness, strict=True)
    ends = [_airfoil(one.section, thick)[[0, -1]] * chord * MM for one, chord, thick in stations]
    return max(float(np.mean([np.linalg.norm(b - a) for a, b in ends])), 1.0)


def _followed(rows: Array, outs: Array, twist: float) -> tuple[Array, Array]:
    """Rows with further rulings where a panel twists, so that its twisted faces are followed: eight a panel or more."""
    if twist < 1e-9:
        return rows, outs
    steps = [max(int(np.ceil(8 * d / (outs[-1] - outs[0]))), 1) for d in np.diff(outs)]
    places = [outs[0] + 0.0 * outs[:1]]
    places += [
        a + (b - a) * np.arange(1, n + 1) / n for a, b, n in zip(outs[:-1], outs[1:], steps, strict=True)
    ]
    new = np.concatenate(places)
    k = np.clip(np.searchsorted(outs, new, side="right") - 1, 0, len(outs) - 2)
    part = ((new - outs[k]) / (outs[k + 1] - outs[k]))[None, :, None]
    return np.asarray((1 - part) * rows[:, k] + part * rows[:, k + 1]), new


def _airfoil(section: Section, thickness: float) -> Array:
    """A section from the lower trailing edge round the nose to the upper, (2 SIDE_POINTS - 1, 2)."""
    thin = float(thickness) if section.kind == "flat" else None
    return sections.outline(section, thin, 2 * SIDE_POINTS - 1)[::-1]


def _frame(shape: SurfaceShape, k: int) -> tuple[Array, Array]:
    """Unit vectors along the chord (aft) and square to it (up; a fin: to the left) at station k."""
    along = (shape.trailing[k] - shape.leading[k]) / shape.chord[k]
    square = np.array([0.0, -1.0, 0.0]) if shape.surface.kind == "fin" else np.array([0.0, 0.0, 1.0])
    up = square - (square @ along) * along
    return along, up / np.linalg.norm(up)
