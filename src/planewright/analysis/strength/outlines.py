"""Outlines of a wing's sections in metres, and membranes laid inside them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import numpy.typing as npt

from planewright.analysis.strength.beams import Lumps
from planewright.analysis.strength.materials import Board
from planewright.geometry import outline
from planewright.plane.model import Section, Station, Surface

Array = npt.NDArray[np.float64]

OUTLINE_POINTS = 161


def round_at(surface: Surface, out: float, thickness: float) -> Array:
    """Outline (n, 2) in m at ``out``, sections blended straight between stations; a flat section is one board of
    ``thickness``."""
    inner, outer, share = _between(surface.stations, out)
    chord = (1 - share) * inner.chord + share * outer.chord
    sheet = thickness / chord
    low = _outline(inner.section, sheet)
    high = low if outer.section == inner.section else _outline(outer.section, sheet)
    if high.shape != low.shape:
        return chord * (low if share < 0.5 else high)
    return chord * ((1 - share) * low + share * high)


def _outline(section: Section, sheet: float) -> Array:
    return outline(section, sheet if section.kind == "flat" else None, points=OUTLINE_POINTS)


def _between(stations: tuple[Station, ...], out: float) -> tuple[Station, Station, float]:
    for a, b in pairwise(stations):
        if out <= b.out:
            return a, b, (out - a.out) / (b.out - a.out)
    return stations[-2], stations[-1], 1.0


def inward(points: Array, depth: float) -> Array:
    """The outline moved inward by ``depth`` (m), vertex by vertex, square to the run of its neighbours."""
    run = np.gradient(points, axis=0)
    length = np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-12)[:, None]
    turned = np.column_stack((-run[:, 1], run[:, 0]))
    return points + depth * turned / length


def membrane(points: Array, depth: float, stiffness: float) -> Lumps:
    """A membrane ``depth`` inside the outline, of axial stiffness per length ``stiffness`` (N/m).

    Where the outline bends so sharply that the moved line would run backward, it carries nothing.
    """
    line = inward(points, depth)
    step, along = np.diff(line, axis=0), np.diff(points, axis=0)
    length = np.hypot(step[:, 0], step[:, 1]) * ((step * along).sum(1) > 0)
    middle = (line[1:] + line[:-1]) / 2
    ea = stiffness * length
    return Lumps(middle[:, 0], middle[:, 1], ea, np.zeros_like(ea))


def is_sheet(points: Array, skin: Board) -> bool:
    """True when the outline holds but one board (a flat plate) and not a skin above and one below."""
    return float(np.ptp(points[:, 1])) < 1.5 * skin.thickness


def heights(points: Array, x: float) -> tuple[float, float]:
    """Heights of top and bottom of an outline at ``x``, m."""
    nose = int(np.argmin(points[:, 0]))
    top, bottom = points[: nose + 1][::-1], points[nose:]
    return float(np.interp(x, top[:, 0], top[:, 1])), float(np.interp(x, bottom[:, 0], bottom[:, 1]))
