"""From a geometry to the sheets of its lattice.

The wing is carried through the body to the centreline; no body panels. Every section enters as its angle of zero
lift and its moment (thin-section theory of the mean line). A fin gets strips as wide as the tailplane's inner one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.sheets import Flap, Sheet
from planewright.geometry import Geometry, SurfaceShape, zero_lift
from planewright.plane.model import Control

Array = npt.NDArray[np.float64]

WING_STRIPS, TAIL_STRIPS, ROWS = 12, 8, 4


def flap_of(control: Control, shape: SurfaceShape, arc: Array) -> Flap:
    """A control as the lattice sees it; places along the drawing's ``out`` become arc length of the sheet."""
    out = np.array([one.out for one in shape.surface.stations])
    start, end = np.interp([control.start, control.end], out, arc)
    sign = -1.0 if shape.surface.kind == "fin" else 1.0
    left = -1.0 if control.kind == "aileron" else 1.0
    return Flap(control.name, float(start), float(end), control.chord, left, sign)


def sheet_of(
    shape: SurfaceShape, controls: Sequence[Control] = (), strips: int = WING_STRIPS, scale: float = 1.0
) -> Sheet:
    """The sheet of one surface.

    Arguments: shape; controls of the whole aeroplane (only those on this surface are used); strips per half;
    scale: all lengths over those of the drawing.
    """
    zero, moment = np.array([zero_lift(one.section) for one in shape.surface.stations]).T
    plain = Sheet(
        name=shape.surface.name,
        leading=scale * shape.leading,
        chord=scale * shape.chord,
        twist=shape.twist,
        zero_lift=zero,
        moment=moment,
        mirrored=shape.surface.paired,
        strips=strips,
        rows=ROWS,
    )
    mine = [one for one in controls if one.on == shape.surface.name]
    return replace(plain, flaps=tuple(flap_of(one, shape, plain.arc) for one in mine))


def fin_strips(height: float, width: float) -> int:
    """Strips of a fin whose lowest one is about as wide as ``width``; at least 3, at most 12."""
    share = float(np.clip(width / height, 0.01, 1.0))
    return int(np.clip(round(np.pi / 2 / np.arcsin(share)), 3, 12))


def sheets_of(geometry: Geometry) -> tuple[Sheet, ...]:
    """All sheets, the reference wing first, then in file order."""
    controls = geometry.plane.controls
    shapes = sorted(geometry.surfaces.values(), key=lambda one: one.surface.name != geometry.reference)
    sheets: list[Sheet] = []
    tails = [one for one in shapes if one.surface.kind == "tailplane"]
    inner = tails[0].span / 2 * np.sin(np.pi / 2 / TAIL_STRIPS) if tails else None
    for shape in shapes:
        kind = shape.surface.kind
        strips = WING_STRIPS if kind == "wing" else TAIL_STRIPS
        if kind == "fin":
            strips = fin_strips(shape.span, inner or shape.span / 6)
        sheets.append(sheet_of(shape, controls, strips))
    return tuple(sheets)
