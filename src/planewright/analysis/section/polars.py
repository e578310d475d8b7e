"""A section's finished polars: lift, drag and moment over angle and Reynolds number, and where each came from.

Angles in rad from the chord line (leading to trailing edge). Moments about the quarter chord, nose up positive.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.bands import Band, drag_band, lift_band

Array = npt.NDArray[np.float64]
States = npt.NDArray[np.int8]

CONVERGED, BRIDGED, EXTENDED = 0, 1, 2
"""States of a point: solved; interpolated between solved neighbours; beyond stall by flat-plate figures."""


@dataclass(frozen=True, eq=False)
class SectionPolars:
    """Polars of one outline on a common grid; two sets are the same when they are one object.

    ``name`` as a builder writes it; ``digest`` content hash of what it was made from ("" when handed in);
    ``thickness`` over chord; ``flap``: (chord part, deflection rad, trailing edge down positive), (0, 0) when none.
    ``alpha`` (a,) rad, rising; ``reynolds`` (r,), rising; ``lift``, ``drag``, ``moment`` (r, a); ``state`` (r, a) as
    above; ``transition`` (r, a, 2) chordwise places where the layers turn turbulent, upper and lower (1: nowhere), or
    None. Nothing is missing: a point that did not converge is bridged and says so.
    """

    name: str
    digest: str
    thickness: float
    alpha: Array
    reynolds: Array
    lift: Array
    drag: Array
    moment: Array
    state: States
    flap: tuple[float, float] = (0.0, 0.0)
    transition: Array | None = None

    def _over(self, table: Array, alpha: Array, reynolds: Array) -> Array:
        """Linear in angle and in ln Re; held beyond the ends. Arguments broadcast."""
        alpha, reynolds = np.broadcast_arrays(np.asarray(alpha, float), np.asarray(reynolds, float))
        x = np.interp(alpha, self.alpha, np.arange(self.alpha.size))
        y = np.interp(np.log(np.maximum(reynolds, 1.0)), np.log(self.reynolds), np.arange(self.reynolds.size))
        i = np.clip(x.astype(int), 0, max(self.alpha.size - 2, 0))
        k = np.clip(y.astype(int), 0, max(self.reynolds.size - 2, 0))
        up, after = np.minimum(k + 1, self.reynolds.size - 1), np.minimum(i + 1, self.alpha.size - 1)
        u, v = x - i, y - k
        low = (1 - u) * table[k, i] + u * table[k, after]
        return np.asarray((1 - v) * low + v * ((1 - u) * table[up, i] + u * table[up, after]))

    def lift_at(self, alpha: Array, reynolds: Array) -> Array:
        """cl at angles (rad) and Reynolds numbers that broadcast together; held beyond the ends."""
        return self._over(self.lift, alpha, reynolds)

    def drag_at(self, alpha: Array, reynolds: Array) -> Array:
        """cd, as :meth:`lift_at`."""
        return self._over(self.drag, alpha, reynolds)

    def moment_at(self, alpha: Array, reynolds: Array) -> Array:
        """cm about the quarter chord, as :meth:`lift_at`."""
        return self._over(self.moment, alpha, reynolds)

    def _by_reynolds(self, values: Array, reynolds: Array) -> Array:
        return np.asarray(np.interp(np.log(np.maximum(reynolds, 1.0)), np.log(self.reynolds), values))

    @property
    def tops(self) -> npt.NDArray[np.intp]:
        """Column of the greatest lift at each Reynolds number, (r,): first peak beyond which cl falls by .02, else
        the greatest."""
        return np.array([_first_peak(row, self.alpha) for row in self.lift])

    @property
    def bottoms(self) -> npt.NDArray[np.intp]:
        """Column of the least lift of the attached branch, (r,)."""
        size = self.alpha.size - 1
        return np.array([size - _first_peak(-row[::-1], -self.alpha[::-1]) for row in self.lift])

    @property
    def rows(self) -> npt.NDArray[np.intp]:
        """Index of each Reynolds number, (r,)."""
        return np.arange(self.reynolds.size)

    def maximum(self, reynolds: Array) -> Array:
        """Greatest cl at Reynolds numbers of any shape."""
        return self._by_reynolds(self.lift[self.rows, self.tops], reynolds)

    def stall_angle(self, reynolds: Array) -> Array:
        """Angle of the greatest cl, rad."""
        return self._by_reynolds(self.alpha[self.tops], reynolds)

    @property
    def zero_lifts(self) -> Array:
        """Angle of no lift at each Reynolds number, rad, (r,): the crossing between least and greatest lift that
        lies nearest to 0."""
        found = [
            _crossing(self.alpha[low : high + 1], row[low : high + 1])
            for row, low, high in zip(self.lift, self.bottoms, self.tops, strict=True)
        ]
        return np.array(found)

    def alpha_zero_lift(self, reynolds: Array) -> Array:
        """Angle of no lift, rad, at Reynolds numbers of any shape."""
        return self._by_reynolds(self.zero_lifts, reynolds)

    def slope(self, reynolds: Array) -> Array:
        """Lift slope per rad: least squares over 6 degrees above the angle of no lift."""
        values = []
        for row, zero in zip(self.lift, self.zero_lifts, strict=True):
            angle = zero + np.deg2rad(np.arange(7.0))
            values.append(float(np.polyfit(angle, np.interp(angle, self.alpha, row), 1)[0]))
        return self._by_reynolds(np.array(values), reynolds)

    def drag_at_lift(self, lift: Array, reynolds: Array) -> Array:
        """cd at equal lift on the attached branch; beyond its ends cd rises with .15 times the square of the excess.

        Arguments broadcast together.
        """
        lift, reynolds = np.broadcast_arrays(np.asarray(lift, float), np.asarray(reynolds, float))
        each = np.stack([self._drag_row(k, lift) for k in self.rows], axis=-1)
        place = self._by_reynolds(self.rows.astype(float), reynolds)
        k = np.clip(place.astype(int), 0, max(self.reynolds.size - 2, 0))
        v, up = place - k, np.minimum(k + 1, self.reynolds.size - 1)
        low = np.take_along_axis(each, k[..., None], -1)[..., 0]
        return np.asarray((1 - v) * low + v * np.take_along_axis(each, up[..., None], -1)[..., 0])

    def _drag_row(self, k: int, lift: Array) -> Array:
        part = slice(self.bottoms[k], self.tops[k] + 1)
        cl = np.maximum.accumulate(self.lift[k, part])
        keep = np.append(True, np.diff(cl) > 1e-9)
        excess = np.maximum(lift - cl[-1], 0) + np.maximum(cl[0] - lift, 0)
        return np.asarray(np.interp(lift, cl[keep], self.drag[k, part][keep]) + 0.15 * excess**2)

    def profile_drag(self, reynolds: Array, lift: Array) -> Array:
        """As :meth:`drag_at_lift`, with its arguments turned about."""
        return self.drag_at_lift(lift, reynolds)

    def bridged_at(self, alpha: Array, reynolds: Array) -> npt.NDArray[np.bool_]:
        """True where a figure leans on a point that was not solved."""
        return np.asarray(self._over((self.state == BRIDGED).astype(float), alpha, reynolds) > 1e-9)

    def drag_band_at(self, alpha: Array, reynolds: Array) -> Band:
        """Band of ln cd at angles and Reynolds numbers."""
        alpha, reynolds = np.asarray(alpha, float), np.asarray(reynolds, float)
        nearness = np.abs(self.lift_at(alpha, reynolds)) / self.maximum(reynolds)
        past = alpha > self.stall_angle(reynolds)
        return drag_band(
            reynolds, np.where(past, 1.0, nearness), self.thickness, self.bridged_at(alpha, reynolds)
        )

    def drag_band_of(self, lift: Array, reynolds: Array) -> Band:
        """Band of ln cd at equal lift on the attached branch."""
        nearness = np.abs(lift) / self.maximum(reynolds)
        return drag_band(reynolds, nearness, self.thickness)

    def lift_band_at(self, alpha: Array, reynolds: Array) -> Band:
        """Band of cl at angles and Reynolds numbers."""
        alpha, reynolds = np.asarray(alpha, float), np.asarray(reynolds, float)
        return lift_band(reynolds, alpha - self.stall_angle(reynolds), self.bridged_at(alpha, reynolds))


def _first_peak(lift: Array, alpha: Array) -> int:
    """Index of the first peak above 0 angle beyond which cl falls by .02; else of the greatest up to 25 degrees."""
    use = np.flatnonzero((alpha >= 0) & (alpha <= np.deg2rad(25.0)))
    if not use.size:
        return int(np.argmax(alpha))
    best = int(use[0])
    for k in use:
        if lift[k] >= lift[best]:
            best = int(k)
        elif lift[best] - lift[k] > 0.02 and lift[best] > 0.3:
            break
    return best


def _crossing(alpha: Array, lift: Array) -> float:
    """Angle at which lift crosses 0 rising, nearest to 0; the end nearest to no lift when it never does."""
    at = np.flatnonzero((lift[:-1] <= 0) & (lift[1:] > 0))
    if not at.size:
        return float(alpha[np.argmin(np.abs(lift))])
    part = -lift[at] / (lift[at + 1] - lift[at])
    found = alpha[at] + part * (alpha[at + 1] - alpha[at])
    return float(found[np.argmin(np.abs(found))])
