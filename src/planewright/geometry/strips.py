"""Strips between two point rows, unrolled triangle by triangle into the plane.

Cones, frusta, tapered skins of one section and rounded boxes unroll exactly this way; twisted ones to some hundredths
of a millimetre (trial of our own). A corner is placed from its two distances to corners already placed (plane
trigonometry); the shorter diagonal of each four-cornered piece is taken.
Flat strips lie as the sheet lies under the knife: inside face up.
"""

from __future__ import annotations

from dataclasses import dataclass

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
