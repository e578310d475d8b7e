"""A board as a grid of pixels: where a piece may lie, found for all places at once by a Fourier transform.

A piece is drawn as the pixels whose centres lie within half the gap and 0.71 pixel of it. If two pieces come nearer
than the gap, the middle of the shortest line between them is within half the gap of both, and the pixel centre next
to it is within 0.71 pixel of that, so both carry that pixel: pieces without a common pixel keep the gap. What the
pixels waste is taken back by sliding each piece down and left against exact polygons.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from math import ceil, floor

import numpy as np
import numpy.typing as npt
import shapely
from scipy.fft import irfft2, next_fast_len, rfft2
from shapely import Polygon, get_coordinates
from shapely.affinity import rotate, translate

from planewright.draw.nest.model import Board, Ring, Rules

Bits = npt.NDArray[np.bool_]
Waves = npt.NDArray[np.complex64]


def filled(rings: list[npt.NDArray[np.float64]], across: int, up: int, pixel: float) -> Bits:
    """Pixels (up, across) whose centres lie inside rings by the even-odd rule.

    ``rings``: points (n, 2), mm from the corner of the grid; pixel (j, i) has its centre at ((i, j) + 0.5) ``pixel``.
    """
    start = np.concatenate(rings)
    end = np.concatenate([np.roll(one, -1, axis=0) for one in rings])
    centres = (np.arange(up) + 0.5) * pixel
    low, high = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
    hit = (low[:, None] <= centres) & (centres < high[:, None])
    edge, row = np.nonzero(hit)
    a, b = start[edge], end[edge]
    x = a[:, 0] + (centres[row] - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    column = np.clip(np.ceil(x / pixel - 0.5), 0, across).astype(np.intp)
    flips = np.zeros((up, across + 1), dtype=np.int32)
    np.add.at(flips, (row, column), 1)
    return (np.cumsum(flips, axis=1)[:, :across] % 2).astype(np.bool_)


def rings_of(shape: Polygon) -> list[npt.NDArray[np.float64]]:
    """Outline and holes of a polygon as points (n, 2)."""
    return [get_coordinates(one)[:-1] for one in (shape.exterior, *shape.interiors)]


@dataclass(frozen=True)
class Stamp:
    """A piece in one turn: ``shape`` with its box at the origin, ``grown`` with the margin, its ``bits`` and the pad
    of pixels round its box."""

    shape: Polygon
    grown: Polygon
    bits: Bits
    pad: int
    turn_deg: float

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the box round the piece, mm."""
        _, _, width, height = self.shape.bounds
        return width, height


def margin(rules: Rules) -> float:
    """Half the gap and the half diagonal of a pixel, with 1.5 % for the chords of round corners, mm."""
    return 1.015 * (rules.gap / 2 + 0.7072 * rules.pixel)


@lru_cache(maxsize=4096)
def stamp(rings: tuple[Ring, ...], turn_deg: float, rules: Rules) -> Stamp:
    """The stamp of a piece given by its rings, mm."""
    shape = Polygon(rings[0], rings[1:])
    shape = rotate(shape, turn_deg, origin=(0.0, 0.0)) if turn_deg else shape
    shape = translate(shape, -shape.bounds[0], -shape.bounds[1])
    grown = shape.buffer(margin(rules), quad_segs=5)
    pad = ceil(margin(rules) / rules.pixel)
    across, up = (ceil(side / rules.pixel) + 2 * pad for side in shape.bounds[2:])
    shift = np.full(2, pad * rules.pixel)
    bits = filled([one + shift for one in rings_of(grown)], across, up, rules.pixel)
    return Stamp(shape, grown, bits, pad, turn_deg)


@dataclass
class Grid:
    """One board while parts are being laid on it."""

    board: Board
    rules: Rules
    shapes: list[Polygon] = field(default_factory=list)
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)
    area_free: float = 0.0
    taken: Bits = field(init=False, repr=False)
    _waves: Waves | None = field(default=None, repr=False)
    _full_for: set[tuple[str, float]] = field(default_factory=set, repr=False)

    def __post_init__(self) -> None:
        pad = ceil(margin(self.rules) / self.rules.pixel)
        across, up = (
            ceil(side / self.rules.pixel) + 2 * pad + 1 for side in self.board.room(self.rules.border)
        )
        self._pad = pad
        self._size = next_fast_len(max(up, 1), True), next_fast_len(max(across, 1), True)
        self.taken = np.zeros((max(up, 1), max(across, 1)), dtype=np.bool_)
        wide, tall = self.board.room(self.rules.border)
        self.area_free = max(wide, 0.0) * max(tall, 0.0)
        for ring in self.board.damaged:
            self.add(Polygon(ring), damaged=True)

    def add(self, shape: Polygon, grown: Polygon | None = None, damaged: bool = False) -> None:
        """Take the place of a piece (in board coordinates, mm) or of a damaged area."""
        self.shapes.append(shape)
        self.boxes.append(shape.bounds)
        if not damaged:
            self.area_free -= shape.area
        bigger = grown if grown is not None else shape.buffer(margin(self.rules), quad_segs=5)
        shift = self._pad * self.rules.pixel - self.rules.border
        up, across = self.taken.shape
        self.taken |= filled([one + shift for one in rings_of(bigger)], across, up, self.rules.pixel)
        self._waves = None

    def place(self, digest: str, one: Stamp) -> tuple[float, float] | None:
        """Lower left corner of the lowest, then leftmost free place for a piece, mm on the board; None: no place."""
        wide, tall = self.board.room(self.rules.border)
        spare = wide - one.size[0], tall - one.size[1]
        if min(spare) < -1e-9 or one.shape.area > self.area_free or (digest, one.turn_deg) in self._full_for:
            return None
        found = self.places(one, spare)
        if found is not None:
            rows, columns = found
            first = np.lexsort((columns, rows))[0]
            step, border = self.rules.pixel, self.rules.border
            return self.slid(one, border + float(columns[first]) * step, border + float(rows[first]) * step)
        at = self.boxed(one)
        if at is None:
            self._full_for.add((digest, one.turn_deg))
        return at

    def boxed(self, one: Stamp) -> tuple[float, float] | None:
        """The lowest, then leftmost place where the box round the piece keeps the gap from all other boxes, to the
        last hundredth of a millimetre: what the grid is too coarse for."""
        (width, height), gap, border = one.size, self.rules.gap, self.rules.border
        boxes = np.array(self.boxes).reshape(-1, 4)
        most = self.board.width - border - width, self.board.height - border - height
        xs = np.unique(np.concatenate(([border], boxes[:, 2] + gap, boxes[:, 0] - gap - width)))
        ys = np.unique(np.concatenate(([border], boxes[:, 3] + gap, boxes[:, 1] - gap - height)))
        xs = xs[(xs >= border - 1e-9) & (xs <= most[0] + 1e-9)]
        ys = ys[(ys >= border - 1e-9) & (ys <= most[1] + 1e-9)]
        y, x = (one.ravel() for one in np.meshgrid(ys, xs, indexing="ij"))
        near, far = gap - 1e-9, (x[:, None], y[:, None])
        apart = (
            (boxes[:, 0] - far[0] - width >= near)
            | (far[0] - boxes[:, 2] >= near)
            | (boxes[:, 1] - far[1] - height >= near)
            | (far[1] - boxes[:, 3] >= near)
        )
        free = np.flatnonzero(apart.all(axis=1))
        return (float(x[free[0]]), float(y[free[0]])) if len(free) else None

    def places(
        self, one: Stamp, spare: tuple[float, float]
    ) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]] | None:
        """Rows and columns of all free places on the grid, ``spare`` mm to move in; None when there is none."""
        across, up = (floor(side / self.rules.pixel + 1e-9) + 1 for side in spare)
        if self._waves is None:
            self._waves = rfft2(self.taken.astype(np.float32), self._size).astype(np.complex64)
        hits = irfft2(self._waves * _waves(_Bits(one.bits), self._size), self._size)[:up, :across]
        rows, columns = np.nonzero(hits < 0.5)
        return (rows, columns) if len(rows) else None

    def slid(self, one: Stamp, x: float, y: float) -> tuple[float, float]:
        """The place pushed down, then left, by less than four pixels, as far as the gap allows."""
        reach = 4 * self.rules.pixel
        near = self._near(one, x, y, reach)
        y -= self._free_run(one, near, (x, y), (0.0, -1.0), min(reach, y - self.rules.border))
        x -= self._free_run(one, near, (x, y), (-1.0, 0.0), min(reach, x - self.rules.border))
        return x, y

    def _near(self, one: Stamp, x: float, y: float, reach: float) -> list[Polygon]:
        keep = reach + self.rules.gap
        width, height = one.size
        return [
            shape
            for shape, (left, low, right, high) in zip(self.shapes, self.boxes, strict=True)
            if left < x + width + keep and right > x - keep and low < y + height + keep and high > y - keep
        ]

    def _free_run(
        self, one: Stamp, near: list[Polygon], at: tuple[float, float], way: tuple[float, float], most: float
    ) -> float:
        """How far the piece can go from ``at`` along ``way``, at most ``most`` mm, keeping the gap all along."""
        if most <= 0:
            return 0.0
        if not near:
            return most
        steps = np.linspace(0.0, most, 9)[1:]
        last = 0.0
        for step in steps:
            if not self._clear(one, near, at, way, float(step)):
                break
            last = float(step)
        else:
            return most
        low, high = last, last + most / 8
        for _ in range(6):
            middle = (low + high) / 2
            low, high = (middle, high) if self._clear(one, near, at, way, middle) else (low, middle)
        return low

    def _clear(
        self, one: Stamp, near: list[Polygon], at: tuple[float, float], way: tuple[float, float], step: float
    ) -> bool:
        moved = translate(one.shape, at[0] + step * way[0], at[1] + step * way[1])
        return bool(np.all(shapely.distance(np.array(near, dtype=object), moved) >= self.rules.gap))


class _Bits:
    """Bits that can be looked up: equal pictures of a piece have one transform."""

    def __init__(self, bits: Bits) -> None:
        self.bits = bits
        self._key = (bits.shape, np.packbits(bits).tobytes())

    def __hash__(self) -> int:
        return hash(self._key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Bits) and self._key == other._key


@lru_cache(maxsize=512)
def _waves(one: _Bits, size: tuple[int, int]) -> Waves:
    waves: Waves = np.conj(rfft2(one.bits.astype(np.float32), size)).astype(np.complex64)
    return waves
