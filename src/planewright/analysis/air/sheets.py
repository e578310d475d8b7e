"""Lifting surfaces as flat sheets, and the smooth map that cuts them into strips.

Drawing axes: x aft, y right, z up; m and rad. A sheet is described from root to tip (a fin from its foot up).

Source of the strip rule: trial of our own, 2026. Strip edges and control stations come from one smooth map
theta(i), with control stations at half-index; this is the semi-circle rule of lifting-line practice (Multhopp,
Die Berechnung der Auftriebsverteilung von Tragfluegeln, Luftfahrtforschung 15, 1938, from memory) carried
through cranks by a cubic spline.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.interpolate import CubicSpline, PchipInterpolator

Array = npt.NDArray[np.float64]

SWEPT = np.deg2rad(20.0)
ROOT_DENSER = 0.12


@dataclass(frozen=True)
class Flap:
    """A hinged part of a sheet.

    ``start``, ``end``: along the sheet from its root, m of arc length. ``chord``: fraction of the local chord.
    ``left``: sign of the left half's deflection against the right one's (1 elevator and flap, -1 aileron).
    ``sign``: 1 when a positive deflection adds to positive circulation, -1 for a rudder, whose trailing edge
    to the left makes a force to the right.
    """

    name: str
    start: float
    end: float
    chord: float
    left: float = 1.0
    sign: float = 1.0


@dataclass(frozen=True)
class Sheet:
    """One lifting surface, stations root to tip.

    ``leading`` (n, 3) m; ``chord`` (n,) m; ``twist`` (n,) rad, nose up; ``zero_lift`` (n,) rad and ``moment``
    (n,), the section's angle of zero lift and its quarter-chord moment coefficient at zero lift.
    ``mirrored``: there is an equal sheet on the left. ``strips`` along one half, ``rows`` along the chord.
    ``breaks``: numbers of the stations that are true kinks; None takes every inner station.
    """

    name: str
    leading: Array
    chord: Array
    twist: Array
    zero_lift: Array
    moment: Array
    mirrored: bool = True
    strips: int = 12
    rows: int = 4
    breaks: tuple[int, ...] | None = None
    flaps: tuple[Flap, ...] = ()

    @property
    def arc(self) -> Array:
        """Arc length of each station from the root, seen along x, m, shape (n,)."""
        step = np.diff(self.leading[:, 1:], axis=0)
        return np.concatenate(([0.0], np.cumsum(np.hypot(step[:, 0], step[:, 1]))))

    @property
    def area(self) -> float:
        """Area of both halves measured along the sheet, m2."""
        half = float(np.trapezoid(self.chord, self.arc))
        return half * (2 if self.mirrored else 1)

    @property
    def sweep(self) -> float:
        """Mean sweep of the quarter chord, rad."""
        quarter = self.leading[:, 0] + 0.25 * self.chord
        return float(np.arctan2(quarter[-1] - quarter[0], self.arc[-1]))


def trapezoid(
    name: str,
    half_span: float,
    root: float,
    tip: float,
    *,
    back: float | None = None,
    dihedral: float = 0.0,
    twist: float = 0.0,
    at: tuple[float, float, float] = (0.0, 0.0, 0.0),
    strips: int = 12,
    rows: int = 4,
    cranks: Sequence[float] = (),
) -> Sheet:
    """A plain straight-tapered sheet, for trials and checks.

    Arguments:
        half_span: root to tip in plan, m. ``root``, ``tip``: chords, m.
        back: leading edge of the tip behind that of the root, m; None keeps the quarter-chord line straight across.
        dihedral, twist: of the tip, rad (twist linear from a root of 0). at: leading edge of the root, m.
        cranks: places, as fractions of the half span, of stations that bend nothing.
    """
    share = np.array([0.0, *sorted(cranks), 1.0])
    shift = 0.25 * (root - tip) if back is None else back
    y = half_span * share
    leading = np.column_stack((at[0] + shift * share, at[1] + y, at[2] + y * np.tan(dihedral)))
    none = np.zeros_like(share)
    return Sheet(
        name, leading, root + (tip - root) * share, twist * share, none, none, strips=strips, rows=rows
    )


def _denser(u: Array, amount: float) -> Array:
    """theta/(pi/2) of a map that puts more strips at the root (and tip)."""
    return u - amount * np.sin(2 * np.pi * u) / np.pi


def _undo_denser(share: Array, amount: float) -> Array:
    """Inverse of :func:`_denser` by fixed-point iteration (a contraction for amount < 0.5)."""
    u = share.copy()
    for _ in range(80):
        u = share + amount * np.sin(2 * np.pi * u) / np.pi
    return u


def strip_map(breaks: Array, strips: int, amount: float = 0.0) -> tuple[Array, Array]:
    """Edges and control stations of the strips of one half, as fractions of its arc length.

    Arguments:
        breaks: (k,) fractions of arc length of the kinks, strictly between 0 and 1, rising.
        strips: wanted number of strips; every part between kinks has at least one, so there may be more.
        amount: 0, or how much the root is made denser (0.12 for swept sheets).
    Returns:
        edges (n + 1,), stations (n,). Source: trial of our own, see the module.
    """
    share = 2 / np.pi * np.arcsin(np.concatenate(([0.0], breaks, [1.0])))
    u = _undo_denser(share, amount)
    counts = np.maximum(1, np.round(strips * np.diff(u)).astype(int))
    index = np.concatenate(([0], np.cumsum(counts))).astype(float)
    total = int(index[-1])
    odd_i = np.concatenate((-index[:0:-1], index, 2 * total - index[-2::-1]))
    odd_u = np.concatenate((-u[:0:-1], u, 2 - u[-2::-1]))
    half = np.arange(2 * total + 1) / 2
    smooth = CubicSpline(odd_i, odd_u)(half)
    if np.any(np.diff(smooth) <= 0):
        smooth = PchipInterpolator(odd_i, odd_u)(half)
    place = np.sin(np.pi / 2 * _denser(smooth, amount))
    place[0], place[-1] = 0.0, 1.0
    place[::2][index.astype(int)] = np.concatenate(([0.0], breaks, [1.0]))
    return place[::2], place[1::2]


@dataclass(frozen=True)
class Strips:
    """Strips of one half of a sheet. ``inner``, ``outer``: leading-edge points (n, 3) of the two edges with their
    chords; ``part``: place of the control station between them, 0 to 1; ``station``, ``chord``: leading-edge point
    (n, 3) and chord there, of the true outline; ``width`` arc length of each, ``mean_chord`` its area over its
    width, m.
    ``incidence`` (n,): twist at the station; ``zero_lift``, ``moment``: of the section there. ``arc`` of the
    edges (n + 1,)."""

    inner: Array
    outer: Array
    inner_chord: Array
    outer_chord: Array
    part: Array
    station: Array
    chord: Array
    width: Array
    incidence: Array
    zero_lift: Array
    moment: Array
    arc: Array
    mean_chord: Array


def _mean_chords(sheet: Sheet, arc: Array, edges: Array) -> Array:
    """Area of the true outline between neighbouring edges over their distance, m, (n,)."""
    places = np.union1d(arc, edges)
    chord = np.interp(places, arc, sheet.chord)
    area = np.concatenate(([0.0], np.cumsum(np.diff(places) * (chord[1:] + chord[:-1]) / 2)))
    return np.asarray(np.diff(np.interp(edges, places, area)) / np.diff(edges))


def cut(sheet: Sheet) -> Strips:
    """Cut one half of a sheet into strips by the smooth map. Raises ValueError for fewer than two stations."""
    arc = sheet.arc
    if arc.size < 2 or arc[-1] <= 0:
        raise ValueError(f"{sheet.name}: a sheet needs two stations some way apart")
    inner = range(1, arc.size - 1) if sheet.breaks is None else sheet.breaks
    breaks = np.unique(np.round(arc[list(inner)] / arc[-1], 9)) if len(tuple(inner)) else np.zeros(0)
    amount = ROOT_DENSER if abs(sheet.sweep) > SWEPT and sheet.mirrored else 0.0
    edges, stations = (arc[-1] * part for part in strip_map(breaks, sheet.strips, amount))
    at = np.column_stack([np.interp(edges, arc, sheet.leading[:, k]) for k in range(3)])
    station = np.column_stack([np.interp(stations, arc, sheet.leading[:, k]) for k in range(3)])
    chord = np.interp(edges, arc, sheet.chord)
    tilt, zero, moment = (
        np.interp(stations, arc, one) for one in (sheet.twist, sheet.zero_lift, sheet.moment)
    )
    width = np.diff(edges)
    part, here = (stations - edges[:-1]) / width, np.interp(stations, arc, sheet.chord)
    return Strips(
        at[:-1],
        at[1:],
        chord[:-1],
        chord[1:],
        part,
        station,
        here,
        width,
        tilt,
        zero,
        moment,
        edges,
        _mean_chords(sheet, arc, edges),
    )


def flap_theory(chord: float) -> tuple[float, float]:
    """Lift and quarter-chord moment of a section per radian of flap, thin-section theory.

    Arguments: chord: flap chord over section chord, 0 to 1.
    Returns: (dcl/ddelta, dcm/ddelta) per rad, trailing edge down positive.
    Source: H. Glauert, Theoretical relationships for an aerofoil with hinged flap, ARC R&M 1095, 1927.
    """
    angle = np.arccos(np.clip(1 - 2 * (1 - chord), -1.0, 1.0))
    lift = 2 * (np.pi - angle + np.sin(angle))
    moment = -0.5 * np.sin(angle) * (1 - np.cos(angle))
    return float(lift), float(moment)


def coverage(arc: Array, start: float, end: float) -> Array:
    """Part of each strip's width that lies between ``start`` and ``end`` (m of arc), shape (n,)."""
    low, high = np.maximum(arc[:-1], start), np.minimum(arc[1:], end)
    return np.asarray(np.clip(high - low, 0.0, None) / np.diff(arc))
