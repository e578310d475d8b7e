"""The lattice condensed to one unknown for each strip: a lifting line with the lattice's own induction.

A uniform incidence added to a strip changes its circulation (the decambering of R. Mukherjee and
A. Gopalarathnam, Poststall prediction of multiple-lifting-surface configurations using a decambering approach,
Journal of Aircraft 43(3), 2006; abstract seen). With gamma = 2 Gamma/c the solved lattice gives

    gamma = C s + K w

for a normal wash w added to the strips, and so the sine of the angle at which each strip's section works,

    x V = K^-1 C s + V alpha_L0 - H gamma,    H = K^-1 - diag(1/(2 pi cos L)),

where V is the strip's own speed, alpha_L0 the section's angle of zero lift as it was built into the lattice and L
the sweep. H vanishes for an endless wing and stands where lifting-line theory has its downwash; the wash of one
surface on another is in it. Derivation and trial of our own, 2026.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.forms import Solution, onset

Array = npt.NDArray[np.float64]

LOSS_LENGTH = 0.35
"""Length, in chords, over which a loss of lift is smoothed along the span: the least that keeps the equations
stable for a lift curve that falls at -2 pi per rad (derivation and trial of our own)."""


@dataclass(frozen=True)
class Condensed:
    """A lattice seen strip by strip, S strips (of the right half when ``half``; a middle fin then has none).

    ``solution``: the lattice. ``strips`` (S,): their numbers in its grid. ``half``: loads are alike left and right.
    ``angle`` (S, 6): K^-1 C, normal wash equivalent to each unit of u, v, w, p, q, r. ``hold`` (S, S): H.
    ``loss`` (S, S): smoothing of lost lift. ``direct`` (S, 6), ``inverse`` (S, S): C and K^-1. ``chord`` (mean of the
    strip), ``width`` (S,) m; ``cosine`` (S,) of the sweep; ``zero_lift``, ``moment`` (S,) of the section as built in;
    ``across`` (S,) width seen from above, signed; ``count`` (S,): 2 for a strip that stands for its twin too, else 1.
    ``units`` (P, all): circulation of each panel per normal wash on each strip of the grid. ``stream`` (2, S, 6): air
    along x and along the strip's normal at its quarter chord per unit of u to r.
    """

    solution: Solution
    strips: npt.NDArray[np.int64]
    half: bool
    angle: Array
    hold: Array
    loss: Array
    direct: Array
    inverse: Array
    chord: Array
    width: Array
    cosine: Array
    zero_lift: Array
    moment: Array
    across: Array
    count: Array
    units: Array
    stream: Array

    @property
    def sheet(self) -> npt.NDArray[np.int64]:
        """Number of the sheet of each strip, (S,)."""
        return np.asarray(self.solution.grid.sheet[self.strips])

    @property
    def place(self) -> Array:
        """Quarter chord of each strip, (S, 3), m."""
        return np.asarray(self.solution.grid.middle[self.strips])

    def speeds(self, s: Array) -> Array:
        """Speed of the air past each strip in its section's plane, m/s, (S,), with what turning adds."""
        flow = self.stream @ s[:6]
        return np.asarray(np.hypot(flow[0], flow[1]))

    def speed_change(self, s: Array, change: Array) -> Array:
        """How :meth:`speeds` changes with the state (u, v, w, p, q, r) along ``change`` (6,), (S,)."""
        flow, rate = self.stream @ s[:6], self.stream @ change
        return np.asarray((flow[0] * rate[0] + flow[1] * rate[1]) / np.hypot(flow[0], flow[1]))

    def spread(self, values: Array) -> Array:
        """Values of these strips as values of all strips of the grid, (all,): twins mirrored, a middle fin at 0."""
        grid = self.solution.grid
        out = np.zeros(grid.width.size)
        out[self.strips] = values
        if self.half:
            twin, turned = twins(self.solution)
            paired = twin[self.strips] != self.strips
            out[twin[self.strips][paired]] = (turned[self.strips] * values)[paired]
        return out


def twins(solution: Solution) -> tuple[npt.NDArray[np.int64], Array]:
    """Mirror image of each strip and the sign of its circulation under a load alike left and right, each (all,)."""
    grid = solution.grid
    first = np.searchsorted(grid.strip, np.arange(grid.width.size))
    return np.asarray(grid.strip[grid.twin[first]]), np.asarray(grid.turned[first])


def _chains(solution: Solution) -> list[npt.NDArray[np.int64]]:
    """Strips of each surface in one row from end to end: a wing from its left tip to its right."""
    grid = solution.grid
    out: list[npt.NDArray[np.int64]] = []
    for number in range(len(grid.names)):
        right = np.flatnonzero((grid.sheet == number) & ~grid.left)
        left = np.flatnonzero((grid.sheet == number) & grid.left)
        first = np.searchsorted(grid.strip, right[0])
        joined = left.size and abs(grid.start[first, 1]) < 1e-6
        out.extend(
            [np.concatenate((left[::-1], right))] if joined else [one for one in (right, left) if one.size]
        )
    return out


def loss_matrix(chord: Array, width: Array, length: float = LOSS_LENGTH) -> Array:
    """(I - (length c)^2 d2/ds2)^-1 for a row of strips, shape (n, n).

    Arguments: chord, width: of the strips in order, m. length: in chords, and at least half a strip. Finite volumes
    without flux at the ends: a loss that is alike everywhere stays, and the loss summed over the row is kept.
    """
    count = width.size
    gap = (width[1:] + width[:-1]) / 2
    reach = np.maximum(length * chord, width / 2)
    between = ((reach[1:] + reach[:-1]) / 2) ** 2 / gap
    matrix = np.diag(width.astype(float))
    low = np.arange(count - 1)
    matrix[low, low] += between
    matrix[low + 1, low + 1] += between
    matrix[low, low + 1] -= between
    matrix[low + 1, low] -= between
    return np.asarray(np.linalg.solve(matrix, np.diag(width)))


def _losses(solution: Solution, length: float) -> Array:
    """The smoothing of all surfaces, (all, all)."""
    grid = solution.grid
    out = np.zeros((grid.width.size, grid.width.size))
    for chain in _chains(solution):
        out[np.ix_(chain, chain)] = loss_matrix(grid.mean_chord[chain], grid.width[chain], length)
    return out


def _stream(solution: Solution, strips: npt.NDArray[np.int64]) -> Array:
    """Air along x and along the normal of each strip per unit of motion, (2, S, 6)."""
    grid = solution.grid
    flow = onset(grid.middle[strips], solution.about)
    normal = grid.normal[np.searchsorted(grid.strip, strips)]
    return np.stack((flow[0], np.einsum("knm,nk->nm", flow, normal)))


def condense(solution: Solution, half: bool | None = None, length: float = LOSS_LENGTH) -> Condensed:
    """Condense a solved lattice to its strips.

    Arguments:
        solution: of :func:`planewright.analysis.air.forms.solve`. half: keep the right half only, for loads alike
        left and right (default: yes when the aeroplane is). length: of the smoothing of lost lift, chords.
    Raises: ValueError when ``half`` is asked of an aeroplane that is not alike left and right.
    """
    grid = solution.grid
    half = grid.even if half is None else half
    if half and not grid.even:
        raise ValueError("only an aeroplane that is alike left and right can be worked out by its right half")
    count = grid.width.size
    units = solution.strip_units()
    unit = np.zeros((count, count))
    np.add.at(unit, grid.strip, units)
    per_chord = 2 / grid.mean_chord[:, None]
    response, direct = per_chord * unit, per_chord * solution.strip_gain[:, :6]
    inverse: Array = np.asarray(np.linalg.inv(response), dtype=np.float64)
    loss = _losses(solution, length)
    strips = np.arange(count)
    twin, turned = twins(solution)
    if half:
        strips = np.flatnonzero(~grid.left & ((twin != strips) | (turned > 0)))
        other, sign = twin[strips], turned[strips]
        paired = (other != strips) * sign
        inverse = inverse[np.ix_(strips, strips)] + inverse[np.ix_(strips, other)] * paired
        loss = loss[np.ix_(strips, strips)] + loss[np.ix_(strips, other)] * paired
        direct = direct[strips]
    cosine = np.cos(grid.sweep[strips])
    first = np.searchsorted(grid.strip, strips)
    return Condensed(
        solution=solution,
        strips=strips,
        half=half,
        angle=inverse @ direct,
        hold=np.asarray(inverse - np.diag(1 / (2 * np.pi * cosine)), dtype=np.float64),
        loss=loss,
        direct=direct,
        inverse=inverse,
        chord=grid.mean_chord[strips],
        width=grid.width[strips],
        cosine=cosine,
        zero_lift=grid.zero_lift[strips],
        moment=grid.moment[strips],
        across=(grid.end - grid.start)[first, 1],
        count=np.where(half & (twin[strips] != strips), 2.0, 1.0),
        units=units,
        stream=_stream(solution, strips),
    )
