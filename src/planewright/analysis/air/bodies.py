"""What bodies do to pitch: Munk's slender-body moment in the wing's own wash.

The wing is carried through the body. What lift a body adds to that (0 to 3 % at model widths; potential results
of up to 1.075 at d/b about 0.2: V. A. Frolov, in Aerodynamics, 2019, abstract) is left to the band of ``sec.slope``.

Sources: M. M. Munk, The aerodynamic forces on airship hulls, NACA Report 184, 1924 (moment of a hull, inertia
factors); H. Multhopp, Aerodynamics of the fuselage, NACA TM 1036, 1942 (the wing's wash along the body, as strips).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.flow import induced
from planewright.analysis.air.lattice import Grid
from planewright.geometry import BodyShape

Array = npt.NDArray[np.float64]

STEPS = 60
CUT, NEAR = 2.0, 0.3
REAL = 0.85
"""Moment of a foam body over the ideal one: middle of a band of 0.6 to 1.1 (isolated round bodies 0.6 to 0.8,
square ones unknown; judgement)."""


def munk_factor(fineness: float) -> float:
    """k2 - k1 of a prolate spheroid, transverse less axial inertia factor.

    Arguments: fineness: length over diameter, > 1. Source: H. Lamb, Hydrodynamics, closed form (0.778 at 4,
    0.916 at 8). Raises ValueError for 1 or less.
    """
    if not fineness > 1:
        raise ValueError("a spheroid's fineness must be above 1")
    e = float(np.sqrt(1 - 1 / fineness**2))
    log = float(np.log((1 + e) / (1 - e)))
    along = 2 * (1 - e**2) / e**3 * (log / 2 - e)
    across = 1 / e**2 - (1 - e**2) / (2 * e**3) * log
    return across / (2 - across) - along / (2 - along)


def slope_along(grid: Grid, gain: Array, x: Array, y: float, z: float) -> Array:
    """d(beta)/d(alpha) at stations of a body: local flow angle per angle of attack, shape (n,).

    1 + the wing's wash ahead, cut at 2 within 0.3 chord of the leading edge; 0 beside the chord; 1 - downwash
    behind. ``gain`` (P,) circulation per radian at unit speed, of the wing's panels only.
    """
    wing = grid.sheet == 0
    nearest = int(np.argmin(np.where(wing, np.abs(grid.middle[:, 1] - y), np.inf)))
    lead = grid.middle[nearest, 0] - 0.25 * grid.chord[nearest]
    chord = float(grid.chord[nearest])
    place = grid.middle[nearest, 1] if y else 0.0
    mine = wing[grid.strip]
    points = np.column_stack((x, np.full_like(x, place), np.full_like(x, z)))
    wash = induced(points, grid.start[mine], grid.end[mine])[2] @ gain[mine]
    local = 1 + wash
    ahead = x < lead
    local = np.where(ahead, np.minimum(local, CUT), local)
    local = np.where(ahead & (x > lead - NEAR * chord), CUT, local)
    return np.where((x >= lead) & (x <= lead + chord), 0.0, local)


def pitch_slope(shape: BodyShape, grid: Grid | None, gain: Array | None) -> float:
    """Moment of all bodies of one shape per radian and per unit dynamic pressure, nose up, m3.

    M = 0.85 q (k2 - k1) (pi/2) integral of w^2 (dbeta/dalpha) dx, w the width. Without a wing the slope is 1 all along.
    """
    stations = shape.stations
    x = np.linspace(stations[0, 0], stations[-1, 0], STEPS + 1)
    x = (x[1:] + x[:-1]) / 2
    width = np.interp(x, stations[:, 0], stations[:, 1])
    middle = float(np.interp(x.mean(), stations[:, 0], stations[:, 3]))
    local = (
        np.ones_like(x) if grid is None or gain is None else slope_along(grid, gain, x, shape.body.y, middle)
    )
    depth = np.sqrt(4 * shape.frontal / np.pi)
    factor = munk_factor(max(shape.length / depth, 1.05))
    total = float((width**2 * local).sum()) * shape.length / STEPS
    return REAL * shape.count * factor * np.pi / 2 * total
