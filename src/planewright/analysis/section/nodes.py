"""Nodes on a section's outline for the panel method: spread by curvature, trailing edge opened, folds rounded."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.interpolate import CubicSpline
from scipy.ndimage import gaussian_filter1d

Array = npt.NDArray[np.float64]

PANELS = 121
"""Panels of the usual layout. Odd, so that a symmetric section at zero angle has no node on its stagnation point."""
LEAST_GAP = 0.002
"""Opening of the trailing edge, over chord, below which it is opened to this."""
FINE = 2001


@dataclass(frozen=True)
class Nodes:
    """Nodes of one section on a chord of 1. ``points`` (N, 2) run from the upper trailing edge over the nose to the
    lower one. ``thickness`` over chord, of the outline as given."""

    points: Array
    thickness: float


def arc(points: Array) -> Array:
    """Length along a run of points, from 0, (n,)."""
    return np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))


def dense(points: Array, smooth: bool) -> Array:
    """Points every 1/2000 of the way round: a cubic spline through a smooth section, straight lines otherwise."""
    keep = np.append(True, np.hypot(*np.diff(points, axis=0).T) > 1e-9)
    points = points[keep]
    way = arc(points)
    fine = np.linspace(0.0, way[-1], FINE)
    if smooth:
        return np.asarray(CubicSpline(way, points, axis=0)(fine))
    return np.column_stack([np.interp(fine, way, points[:, k]) for k in (0, 1)])


def rounded(fine: Array, sigma: float) -> Array:
    """Evenly spaced points with every fold rounded: x(s) and y(s) run through a Gaussian of width ``sigma`` (over
    chord). The ends stay where they are."""
    step = arc(fine)[-1] / (len(fine) - 1)
    reach = int(4 * sigma / step) + 1
    first, last = 2 * fine[0] - fine[reach:0:-1], 2 * fine[-1] - fine[-2 : -reach - 2 : -1]
    padded = np.vstack((first, fine, last))
    return np.asarray(gaussian_filter1d(padded, sigma / step, axis=0)[reach : reach + len(fine)])


def opened(fine: Array, least: float = LEAST_GAP) -> Array:
    """The outline with its trailing edge open by at least ``least``: each side is moved by half of it times x^3."""
    gap = float(np.hypot(*(fine[0] - fine[-1])))
    if gap >= least:
        return fine
    nose = int(np.argmin(fine[:, 0]))
    side = np.where(np.arange(len(fine)) <= nose, 1.0, -1.0)
    move = side * (least - gap) / 2 * np.clip(fine[:, 0], 0, 1) ** 3
    return np.column_stack((fine[:, 0], fine[:, 1] + move))


def curvature(fine: Array) -> Array:
    """Size of the curvature of evenly spaced points, per chord, smoothed over 1 % of the chord."""
    step = arc(fine)[-1] / (len(fine) - 1)
    first = np.gradient(fine, step, axis=0)
    second = np.gradient(first, step, axis=0)
    value = np.abs(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    return np.asarray(gaussian_filter1d(value, 0.01 / step, mode="nearest"))


def spread(fine: Array, panels: int) -> Array:
    """``panels`` + 1 nodes along a dense outline, closest where it bends, at the nose and at the trailing edge."""
    way = arc(fine)
    nose = way[int(np.argmin(fine[:, 0]))]
    edge = np.minimum(way, way[-1] - way)
    weight = 1 + 0.12 * np.minimum(curvature(fine), 80.0)
    weight += 3.5 / (1 + ((way - nose) / 0.05) ** 2) + 1.5 / (1 + (edge / 0.03) ** 2)
    total = np.append(0.0, np.cumsum((weight[1:] + weight[:-1]) / 2 * np.diff(way)))
    at = np.interp(np.linspace(0.0, total[-1], panels + 1), total, way)
    return np.asarray(CubicSpline(way, fine, axis=0)(at))


def place(
    points: Array, panels: int = PANELS, smooth: bool = True, sigma: float = 0.0, least: float = LEAST_GAP
) -> Nodes:
    """Nodes of an outline.

    Arguments:
        points: (n, 2) on a chord of 1, from the upper trailing edge over the nose to the lower one.
        panels: number of panels.
        smooth: pass a cubic spline through the points (a smooth section) or straight lines (a folded one).
        sigma: rounding of folds over chord, 0 for none (.010 for sheet folds, at most .0015 for the round nose of a
            plate).
        least: opening of the trailing edge.
    """
    fine = dense(np.asarray(points, float), smooth)
    thickness = _thickness(fine)
    if sigma > 0:
        fine = rounded(fine, sigma)
    fine = dense(opened(fine, least), False)
    return Nodes(spread(fine, panels), thickness)


def _thickness(fine: Array) -> float:
    """Greatest depth between the sides, square to the chord."""
    nose = int(np.argmin(fine[:, 0]))
    x = np.linspace(0.02, 0.98, 200)
    upper, lower = fine[: nose + 1][::-1], fine[nose:]
    depth = np.interp(x, upper[:, 0], upper[:, 1]) - np.interp(x, lower[:, 0], lower[:, 1])
    return float(depth.max())
