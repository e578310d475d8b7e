"""A wing alone, as a trial on a vehicle or a stand meets it: no tail, no body, any scale."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.condensed import condense
from planewright.analysis.air.forms import Reference, Solution, solve
from planewright.analysis.air.layout import sheet_of
from planewright.analysis.air.making import place_along, polars_along
from planewright.analysis.air.model import VISCOSITY
from planewright.analysis.air.polars import Mixed
from planewright.analysis.air.stall import Setting, curves_of
from planewright.analysis.air.stalling import sections_along, wing_top
from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY
from planewright.analysis.model import SpanLoad, States
from planewright.errors import NotConverged
from planewright.geometry import SurfaceShape

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class WingAlone:
    """A wing in free air. Angles from the root chord line. Nominal figures:

    ``area`` m2, ``span``, ``chord`` (mean aerodynamic) m, ``centre_x`` quarter chord of the mean chord behind the
    root leading edge, m; ``slope`` per rad; ``zero_lift`` rad; ``cm0`` about ``centre_x``, at no lift;
    ``moment_slope`` dCm/dalpha about it, per rad. Strips of the right half: ``y``, ``width``, ``chords`` m,
    ``basic`` cl at no lift, ``additional`` cl per unit CL; ``polars`` section figures of each strip. ``spread``:
    greatest lift with the stall spreading over the strips, over that of the strip limit (1 where it is not known).
    """

    area: float
    span: float
    chord: float
    centre_x: float
    slope: float
    zero_lift: float
    cm0: float
    moment_slope: float
    y: Array
    width: Array
    chords: Array
    basic: Array
    additional: Array
    polars: tuple[Mixed, ...]
    spread: float = 1.0

    def slope_of(self, states: States) -> Array:
        """Lift slope per rad with ``sec.slope``, (N,)."""
        return states.factor("sec.slope") * self.slope

    def zero_lift_of(self, states: States) -> Array:
        """Angle of no lift, rad, with ``sec.alpha0``, (N,)."""
        return self.zero_lift + states.shift("sec.alpha0")

    def cm0_of(self, states: States) -> Array:
        """Moment coefficient at no lift with ``sec.cm0``, (N,)."""
        return self.cm0 + states.shift("sec.cm0")

    def section_maxima(self, speed: float, density: float = SEA_LEVEL_DENSITY) -> Array:
        """Nominal greatest section lift of each strip at a speed (m/s), (S,)."""
        reynolds = self.reynolds(speed, density)
        return np.array([float(one.maximum(re)) for one, re in zip(self.polars, reynolds, strict=True)])

    def maximum_lift(self, states: States, speed: float, density: float = SEA_LEVEL_DENSITY) -> Array:
        """Greatest CL by the strip limit times ``spread``, with ``sec.clmax``, (N,); Reynolds numbers at ``speed``."""
        limit = self.section_maxima(speed, density)[:, None] * states.factor("sec.clmax")
        basic = self.basic[:, None] * states.factor("sec.slope")
        return np.asarray(self.spread * ((limit - basic) / self.additional[:, None]).min(axis=0))

    def maximum_lift_nominal(self, speed: float, density: float = SEA_LEVEL_DENSITY) -> float:
        """The same at the measured section maxima themselves (factor 1)."""
        return self.spread * float(
            ((self.section_maxima(speed, density) - self.basic) / self.additional).min()
        )

    def reynolds(self, speed: float, density: float = SEA_LEVEL_DENSITY) -> Array:
        """Reynolds number of each strip at a speed (m/s), (S,)."""
        return np.asarray(density * speed * self.chords / VISCOSITY)

    def span_load(self, cl: float = 1.0) -> SpanLoad:
        """Lift along one half at a wing lift coefficient (not 0)."""
        load = (self.basic + self.additional * cl) * self.chords * self.width
        return SpanLoad(self.y, self.width, load / (2 * load.sum()))


BUILT = 0.92
"""Greatest lift of a built section over the measured one, at which the spreading of the stall is worked out (the median
of what is assumed before any trial)."""


def _spread(
    shape: SurfaceShape,
    solution: Solution,
    limit: float,
    chord: float,
    scale: float,
    speed: float,
    density: float,
) -> float:
    """Greatest lift with the stall spreading over the strips over ``limit``, that of the strip limit; 1 where the
    sections' curves are not known or no maximum is found."""
    made = condense(solution, solution.grid.even)
    sections = sections_along(shape, place_along(shape, made.place / scale), {})
    if any(one.method == "assumed" for one in sections):
        return 1.0
    curves = curves_of(made, sections, density * speed * made.chord / VISCOSITY, BUILT)
    area = shape.area * scale**2
    setting = Setting(made, curves, Reference(area, shape.span * scale, chord), float(solution.about[0]))
    try:
        return wing_top(setting, sections).lift / limit
    except NotConverged:
        return 1.0


def wing_alone(
    shape: SurfaceShape, scale: float = 1.0, speed: float | None = None, density: float = SEA_LEVEL_DENSITY
) -> WingAlone:
    """Solve one surface alone.

    Arguments: shape: of the wing, as :func:`planewright.geometry.derive` gives it. scale: its lengths over those.
    speed: m/s at which the spreading of the stall over the strips is worked out (None: the strip limit stands).
    Returns: WingAlone. Angles are from the root chord line: the drawn incidence is taken off.
    Valid: attached flow, free air (no ground, roof or tunnel).
    """
    sheet = sheet_of(shape, scale=scale)
    root = np.array([sheet.leading[0, 0], 0.0, 0.0])
    centre = scale * shape.centre_x
    solution = solve([sheet], np.array([centre, 0.0, scale * shape.mean_chord_z]))
    grid, area, chord = solution.grid, shape.area * scale**2, shape.mean_chord * scale
    u, w = solution.index("u"), solution.index("w")
    lift = 2 / area * solution.lift_rows.sum(axis=0)
    pitch = 2 / (area * chord) * solution.pitch_rows.sum(axis=0)
    zero = -lift[u] / lift[w]
    keep = ~grid.left
    cl = 2 * solution.strip_gain[keep] / grid.chord[keep, None]
    first = np.searchsorted(grid.strip, np.flatnonzero(keep))
    alone = WingAlone(
        area=area,
        span=shape.span * scale,
        chord=chord,
        centre_x=float(centre - root[0]),
        slope=float(lift[w]),
        zero_lift=float(zero + shape.twist[0]),
        cm0=float(pitch[u] + pitch[w] * zero),
        moment_slope=float(pitch[w]),
        y=grid.middle[keep, 1],
        width=np.abs((grid.end - grid.start)[first, 1]),
        chords=grid.chord[keep],
        basic=cl[:, u] + cl[:, w] * zero,
        additional=cl[:, w] / lift[w],
        polars=polars_along(shape, place_along(shape, grid.middle[keep] / scale)),
    )
    if speed is None:
        return alone
    tops = BUILT * alone.section_maxima(speed, density)
    limit = float(((tops - alone.basic) / alone.additional).min())
    return replace(alone, spread=_spread(shape, solution, limit, chord, scale, speed, density))
