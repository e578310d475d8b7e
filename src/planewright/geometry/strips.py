"""Strips between two point rows, unrolled triangle by triangle into the plane.

Cones, frusta, tapered skins of one section and rounded boxes unroll exactly this way; twisted ones to some hundredths
of a millimetre (trial of our own). A corner is placed from its two distances to corners already placed (plane
trigonometry); the shorter diagonal of each four-cornered piece is taken.
Flat strips lie as the sheet lies under the knife: inside face up.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Strip:
    """A strip laid flat: ``first`` and ``second`` rows, each (n, 2), in the unit of the rows given."""

    first: Array
    second: Array

    @property
    def outline(self) -> Array:
        """Ring round the strip, (2 n, 2): along the first row and back along the second."""
        return np.vstack((self.first, self.second[::-1]))

    def at(self, index: float, part: float) -> Array:
        """Point (2,) at a fractional ``index`` along the rows and ``part`` (0 to 1) from first to second row."""
        places = np.arange(len(self.first), dtype=np.float64)
        a, b = (
            np.array([np.interp(index, places, row[:, k]) for k in range(2)])
            for row in (self.first, self.second)
        )
        return np.asarray(a + part * (b - a))


def place(p: Array, q: Array, from_p: float, from_q: float, side: float) -> Array:
    """The corner at distances ``from_p`` and ``from_q`` from two placed points; ``side`` +1 lies left of p to q.

    When the distances do not meet, the nearest point on the line is taken. ``p`` and ``q`` must differ.
    """
    d = q - p
    length = float(np.hypot(*d))
    u = d / length
    along = (from_p**2 - from_q**2 + length**2) / (2 * length)
    off = np.sqrt(max(from_p**2 - along**2, 0.0))
    return np.asarray(p + along * u + side * off * np.array([-u[1], u[0]]))


def unroll(first: Array, second: Array) -> Strip:
    """Lay the strip between two rows flat.

    Arguments:
        first, second: (n, 3) rows of matching points; the first pair may coincide (a strip that starts in a point).
    Returns:
        Strip with first[0] at the origin, second[0] straight above it, growing to the right.
    Raises:
        ValueError: rows of different length, or shorter than two points.
    """
    if first.shape != second.shape or len(first) < 2:
        raise ValueError("a strip needs two rows of the same number of points, at least two")
    a, b = [np.zeros(2)], [np.array([0.0, _far(first[0], second[0])])]
    for i in range(len(first) - 1):
        a_next, b_next = _quad(a[i], b[i], first[i : i + 2], second[i : i + 2])
        a.append(a_next)
        b.append(b_next)
    return Strip(np.array(a), np.array(b))


def _quad(a: Array, b: Array, first: Array, second: Array) -> tuple[Array, Array]:
    """Next corners (of the first row, of the second row) right of the placed ruling a to b."""
    (a0, a1), (b0, b1) = first, second
    if np.hypot(*(b - a)) < 1e-9:
        a_next = a + np.array([_far(a0, a1), 0.0])
        return a_next, place(a, a_next, _far(b0, b1), _far(a1, b1), 1.0)
    if _far(a0, b1) <= _far(b0, a1):
        b_next = place(a, b, _far(a0, b1), _far(b0, b1), -1.0)
        return place(a, b_next, _far(a0, a1), _far(a1, b1), -1.0), b_next
    a_next = place(a, b, _far(a0, a1), _far(b0, a1), -1.0)
    return a_next, place(a_next, b, _far(a1, b1), _far(b0, b1), -1.0)


def _far(p: Array, q: Array) -> float:
    return float(np.linalg.norm(q - p))


def faces_up(first: Array, second: Array, outward: Array) -> bool:
    """True when the unrolled strip lies inside face up: (ruling x growth) . outward > 0 in the middle of the rows."""
    i = len(first) // 2
    ruling, growth = second[i] - first[i], first[min(i + 1, len(first) - 1)] - first[i - 1]
    return float(np.cross(ruling, growth) @ outward) > 0


def unroll_inside_up(first: Array, second: Array, outward: Array) -> Strip:
    """``unroll`` with the rows exchanged if that is needed for the inside face to lie up.

    Arguments:
        outward: (3,) a direction that points away from the inside at the middle of the strip.
    """
    return unroll(first, second) if faces_up(first, second, outward) else unroll(second, first)


def level(strip: Strip) -> Strip:
    """The strip turned so that the line between the middles of its two rows lies along x, first row at the left."""
    ends = [row.mean(axis=0) for row in (strip.first, strip.second)]
    return _turned(strip, ends[1] - ends[0])


def lengthwise(strip: Strip) -> Strip:
    """The strip turned so that its rows run along x: from the middle of its first ruling to that of its last."""
    ends = [(strip.first[k] + strip.second[k]) / 2 for k in (0, -1)]
    return _turned(strip, ends[1] - ends[0])


def _turned(strip: Strip, along: Array) -> Strip:
    u = along / np.hypot(*along)
    turn = np.array([[u[0], -u[1]], [u[1], u[0]]])
    return Strip(strip.first @ turn, strip.second @ turn)


@dataclass(frozen=True)
class Chain:
    """Strips laid flat side by side: ``strips`` in order, each joined to the one before on their shared row.

    ``misfits``: for each shared row, how far its points are apart at worst between both strips, unit of the rows.
    ``defects``: (rows - 2, n - 2) rad, 360 deg less the flat angles round each inner point: how far the surface is
    from one that unrolls.
    """

    strips: tuple[Strip, ...]
    misfits: tuple[float, ...]
    defects: Array

    def row(self, k: int) -> Array:
        """Row k laid flat, (n, 2); an inner row is the middle between its places on both strips."""
        if k == 0:
            return self.strips[0].first
        if k == len(self.strips):
            return self.strips[-1].second
        return np.asarray((self.strips[k - 1].second + self.strips[k].first) / 2)


def chain(rows: Array) -> Chain:
    """Unroll neighbouring strips and lay them side by side.

    Arguments:
        rows: (m, n, 3), m >= 2 rows of n >= 2 matching points; strip k lies between rows k and k + 1.
    Returns:
        Chain with the first strip as :func:`unroll` lays it. Later strips are moved by the best rigid fit on the
        shared row, never mirrored (least squares, the plane case of Kabsch's rotation).
    """
    strips = [unroll(rows[0], rows[1])]
    misfits = []
    for first, second in pairwise(rows[1:]):
        loose = unroll(first, second)
        moved, misfit = _fitted(loose, strips[-1].second)
        strips.append(moved)
        misfits.append(misfit)
    return Chain(tuple(strips), tuple(misfits), _defects(rows))


def rigid_fit(points: Array, onto: Array) -> tuple[Array, Array]:
    """Best turn (2, 2) and shift (2,) that lay ``points`` (n, 2) on ``onto``, not mirrored: points @ turn + shift."""
    here, there = points.mean(axis=0), onto.mean(axis=0)
    a, b = points - here, onto - there
    angle = float(np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum()))
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    return turn, there - here @ turn


def _fitted(strip: Strip, onto: Array) -> tuple[Strip, float]:
    turn, shift = rigid_fit(strip.first, onto)
    moved = Strip(strip.first @ turn + shift, strip.second @ turn + shift)
    return moved, float(np.linalg.norm(moved.first - onto, axis=1).max())


def _defects(rows: Array) -> Array:
    m, n = rows.shape[:2]
    found = np.zeros((max(m - 2, 0), max(n - 2, 0)))
    for j in range(1, m - 1):
        for i in range(1, n - 1):
            ring = [
                rows[j - 1, i - 1 : i + 2],
                rows[j, i + 1][None],
                rows[j + 1, i - 1 : i + 2][::-1],
                rows[j, i - 1][None],
            ]
            around = np.vstack(ring) - rows[j, i]
            around /= np.linalg.norm(around, axis=1)[:, None]
            turns = np.arccos(np.clip((around * np.roll(around, -1, axis=0)).sum(axis=1), -1, 1))
            found[j - 1, i - 1] = 2 * np.pi - turns.sum()
    return found


def facet_normals(rows: Array) -> Array:
    """Unit normals of the four-cornered pieces between rows, (m - 1, n - 1, 3): ruling x growth, outward for rows that
    unroll inside face up. A twisted piece gives the mean of its two triangles."""
    ruling = (rows[1:, :-1] - rows[:-1, :-1] + rows[1:, 1:] - rows[:-1, 1:]) / 2
    growth = (rows[:-1, 1:] - rows[:-1, :-1] + rows[1:, 1:] - rows[1:, :-1]) / 2
    return _unit(np.cross(ruling, growth))


def triangle_normals(rows: Array) -> tuple[Array, Array, Array]:
    """Unit normals of the two triangles that each four-cornered piece is unrolled in.

    Returns:
        (near, far, falls): (m - 1, n - 1, 3) normals of the triangle on row k and of that on row k + 1, and where the
        diagonal runs from the start of row k to the end of row k + 1 (m - 1, n - 1), bool.
    """
    a0, a1, b0, b1 = rows[:-1, :-1], rows[:-1, 1:], rows[1:, :-1], rows[1:, 1:]
    falls = np.linalg.norm(b1 - a0, axis=-1) <= np.linalg.norm(a1 - b0, axis=-1)
    pick = falls[..., None]
    near = np.where(pick, np.cross(b1 - a0, a1 - a0), np.cross(b0 - a0, a1 - a0))
    far = np.where(pick, np.cross(b0 - a0, b1 - a0), np.cross(b0 - a1, b1 - a1))
    return _unit(near), _unit(far), falls


def row_folds(rows: Array) -> Array:
    """Signed fold angles along inner rows, (m - 2, n - 1) rad: positive where the outside is a ridge, that is where the
    board comes up toward whoever looks at its inside face. Between the triangles that meet at the row."""
    near, far, _ = triangle_normals(rows)
    return _signed(far[:-1], near[1:], rows[1:-1, 1:] - rows[1:-1, :-1])


def ruling_folds(rows: Array) -> Array:
    """Signed fold angles along inner rulings, (m - 1, n - 2) rad, signs as for :func:`row_folds`."""
    near, far, falls = triangle_normals(rows)
    pick = falls[..., None]
    first, last = np.where(pick, far, near), np.where(pick, near, far)
    return _signed(last[:, :-1], first[:, 1:], rows[:-1, 1:-1] - rows[1:, 1:-1])


def _unit(vectors: Array) -> Array:
    size = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return np.asarray(vectors / np.where(size > 1e-12, size, 1.0))


def _signed(before: Array, after: Array, along: Array) -> Array:
    sine = (np.cross(before, after) * _unit(along)).sum(axis=-1)
    return np.asarray(np.arctan2(sine, (before * after).sum(axis=-1)))
