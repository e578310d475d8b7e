"""Sections of wings, tailplanes and fins where they stand in the aeroplane."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.geometry import sections
from planewright.geometry.model import SurfaceShape

Array = npt.NDArray[np.float64]

POINTS = 61


def section_rings(shape: SurfaceShape, points: int = POINTS) -> tuple[Array, ...]:
    """Section outline at each station in the aeroplane's axes, each (points + 1, 3) m: from the upper trailing edge
    over the nose (there twice) to the lower trailing edge. Right half, or the fin from its foot up."""
    found = []
    for k, station in enumerate(shape.surface.stations):
        thin = float(shape.thickness[k]) if station.section.kind == "flat" else None
        flat = sections.outline(station.section, thin, points)
        if len(flat) == points:
            flat = np.insert(flat, points // 2, flat[points // 2], axis=0)
        along = (shape.trailing[k] - shape.leading[k]) / shape.chord[k]
        square = np.array([0.0, 1.0, 0.0]) if shape.surface.kind == "fin" else np.array([0.0, 0.0, 1.0])
        upward = square - (square @ along) * along
        upward /= np.linalg.norm(upward)
        found.append(shape.leading[k] + shape.chord[k] * (flat[:, :1] * along + flat[:, 1:] * upward))
    return tuple(found)


def ring_at(shape: SurfaceShape, out: float, rings: tuple[Array, ...]) -> Array:
    """The section outline at ``out``, straight between stations, in the aeroplane's axes."""
    outs = [one.out for one in shape.surface.stations]
    k = min(max(int(np.searchsorted(outs, out, side="right")) - 1, 0), len(outs) - 2)
    part = (out - outs[k]) / (outs[k + 1] - outs[k])
    return np.asarray(rings[k] + part * (rings[k + 1] - rings[k]))
