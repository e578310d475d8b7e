"""Sections as the stall of the whole wing needs them: their curves through and past the greatest lift.

Three kinds answer the same question (:class:`planewright.analysis.air.curves.Section`): measured ones (published
tables beside this module), computed ones (tables over angle and Reynolds number, from the section solver), and,
for a section nobody measured or computed, an assumed curve with the greatest lift of
:mod:`planewright.analysis.air.polars`. Each says which it is.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Protocol

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.curves import ANGLES, Curve, Section, extended
from planewright.analysis.air.polars import Polar

Array = npt.NDArray[np.float64]

_LIFT = {"clark y": "clark_y_lift.csv", "naca 2415": "naca_2415_lift.csv", "flat": "flat_plate_lift.csv"}
MEASURED_BAND, ASSUMED_BAND = 0.10, 0.30
"""Half width of the 95 % band of the greatest lift coefficient: measured on another model in another tunnel at these
Reynolds numbers (judgement), and assumed."""
KNEE, FALL = np.deg2rad(1.2), 1.5
"""Roundness of an assumed curve's top, rad, and its fall past it, per rad (judgement)."""
BELOW = 0.7
"""Greatest downward lift of an assumed cambered section over its greatest upward lift (judgement)."""
SOLVED_TO = 1
"""Highest state of a computed point that is an answer of the method (0 solved, 1 bridged between solved ones)."""


class Tables(Protocol):
    """Polars over angle (a,) rad and Reynolds number (r,): what the section solver publishes."""

    @property
    def alpha(self) -> Array: ...
    @property
    def reynolds(self) -> Array: ...
    @property
    def lift(self) -> Array: ...
    @property
    def drag(self) -> Array: ...
    @property
    def moment(self) -> Array: ...
    @property
    def state(self) -> npt.NDArray[np.int8]: ...


def _blend(logs: Array, reynolds: float) -> tuple[int, int, float]:
    """Two neighbouring rows and the share of the upper one, held beyond the ends."""
    place = float(np.interp(np.log(max(reynolds, 1.0)), logs, np.arange(logs.size)))
    low = min(int(place), max(logs.size - 2, 0))
    return low, min(low + 1, logs.size - 1), place - low


@dataclass(frozen=True)
class Computed:
    """A section whose polars were worked out. ``tables``: see :class:`Tables`; ``top_band`` as measured comparison
    gives it (95 %, lift coefficient)."""

    tables: Tables
    top_band: float = 0.15
    method: str = "computed"

    def curve(self, reynolds: float) -> Curve:
        """Its curve, linear in ln Re between computed Reynolds numbers."""
        one = self.tables
        low, high, share = _blend(np.log(one.reynolds), reynolds)
        lift, drag, moment = (
            (1 - share) * table[low] + share * table[high] for table in (one.lift, one.drag, one.moment)
        )
        solved = (one.state[low] <= SOLVED_TO) & (one.state[high] <= SOLVED_TO)
        inner = one.alpha[solved]
        firm = (float(inner[0]), float(inner[-1])) if inner.size else (0.0, 0.0)
        near = np.abs(one.alpha) <= ANGLES[-1]
        return Curve(one.alpha[near], lift[near], drag[near], moment[near], firm)


@dataclass(frozen=True)
class Measured:
    """A section with a published lift curve. ``logs`` (k,) ln Re of the runs; ``lift``, ``moment`` (k, n) on
    ``angle`` (n,) rad; ``low``, ``high``: measured angles; ``polar``: for its drag."""

    logs: Array
    angle: Array
    lift: Array
    moment: Array
    low: float
    high: float
    polar: Polar
    top_band: float = MEASURED_BAND
    method: str = "measured"

    def curve(self, reynolds: float) -> Curve:
        """Its curve, linear in ln Re between runs and held beyond them."""
        low, high, share = _blend(self.logs, reynolds)
        lift = (1 - share) * self.lift[low] + share * self.lift[high]
        moment = (1 - share) * self.moment[low] + share * self.moment[high]
        drag = past_the_top(self.angle, lift, self.polar.profile_drag(np.full(lift.size, reynolds), lift))
        return Curve(self.angle, lift, drag, moment, (self.low, self.high))


@dataclass(frozen=True)
class Assumed:
    """A section nobody measured: slope 2 pi, a rounded top at the assumed greatest lift, a gentle fall.
    ``zero`` rad angle of no lift, ``moment`` about the quarter chord."""

    polar: Polar
    zero: float
    moment: float
    top_band: float = ASSUMED_BAND
    method: str = "assumed"

    def curve(self, reynolds: float) -> Curve:
        """Its curve; firm up to the angle of its greatest lift."""
        top = round(float(self.polar.maximum(np.array([reynolds]))[0]), 3)
        angle, up = _rounded(top)
        _, down = _rounded(round(top * (BELOW if abs(self.zero) > 1e-6 else 1.0), 3))
        lift = np.concatenate((-down[:0:-1], up))
        whole = np.concatenate((-angle[:0:-1], angle)) + self.zero
        drag = past_the_top(whole, lift, self.polar.profile_drag(np.full(lift.size, reynolds), lift))
        firm = (float(whole[np.argmin(lift)]), float(whole[np.argmax(lift)]))
        return Curve(whole, lift, drag, np.full(lift.size, self.moment), firm)


@dataclass(frozen=True)
class Between:
    """A section between two stations: ``lower`` turning into ``upper`` as ``blend`` goes from 0 to 1."""

    lower: Section
    upper: Section
    blend: float

    @property
    def method(self) -> str:
        """The weaker of the two: assumed before computed before measured."""
        words = {self.lower.method, self.upper.method}
        return next(one for one in ("assumed", "computed", "measured") if one in words)

    @property
    def top_band(self) -> float:
        """The wider of the two."""
        return max(self.lower.top_band, self.upper.top_band)

    def curve(self, reynolds: float) -> Curve:
        """Both curves, weighted."""
        one, other = self.lower.curve(reynolds), self.upper.curve(reynolds)
        if self.lower is self.upper:
            return one
        lift, drag, moment = (
            (1 - self.blend) * a + self.blend * b for a, b in zip(extended(one), extended(other), strict=True)
        )
        firm = (max(one.firm[0], other.firm[0]), min(one.firm[1], other.firm[1]))
        return Curve(ANGLES, lift, drag, moment, firm)


def past_the_top(angle: Array, lift: Array, drag: Array) -> Array:
    """Drag of a curve that was read by its lift: beyond the greatest (and least) lift it rises as a plate's does,
    2 sin^2 of the angle (common practice, no source). All (n,)."""
    out = drag.copy()
    for top, side in ((int(np.argmax(lift)), slice(None)), (int(np.argmin(lift)), slice(None))):
        beyond = (angle > angle[top]) if lift[top] > 0 else (angle < angle[top])
        out[side] = np.where(
            beyond, drag[top] + 2 * (np.sin(angle) ** 2 - np.sin(angle[top]) ** 2), out[side]
        )
    return out


@lru_cache(maxsize=64)
def _rounded(top: float) -> tuple[Array, Array]:
    """Angle above no lift (n,) and lift of an assumed curve whose maximum is ``top``."""
    angle = np.deg2rad(np.arange(0.0, 24.01, 0.25))

    def shape(knee: float) -> Array:
        soft = KNEE * (np.logaddexp(0, (angle - knee) / KNEE) - np.logaddexp(0, -knee / KNEE))
        return np.asarray(2 * np.pi * np.sin(angle) - (2 * np.pi + FALL) * soft)

    low, high = 0.0, np.deg2rad(23.0)
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if shape(middle).max() < top else (low, middle)
    return angle, shape((low + high) / 2)


def _runs(name: str) -> list[Array]:
    """Measured runs of one table, each (n, 4): reynolds, angle rad, cl, cm (nan where it was not measured)."""
    text = (files("planewright.analysis.air") / "tables" / name).read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    table = np.array(
        [[float(r[k]) for k in ("reynolds", "alpha_deg", "cl")] + [float(r.get("cm") or "nan")] for r in rows]
    )
    table[:, 1] = np.deg2rad(table[:, 1])
    return [table[table[:, 0] == one] for one in np.unique(table[:, 0])]


def section_of(polar: Polar, zero: float, moment: float, measured_shape: bool = True) -> Section:
    """The section behind a drag polar.

    Arguments: polar: of :func:`planewright.analysis.air.polars.polar`. zero: angle of no lift, rad, and moment: by
    thin-section theory, used where nothing was measured. measured_shape: False takes the assumed curve anyway.
    """
    if polar.computed is not None and measured_shape:
        return Computed(polar.computed)
    if polar.key not in _LIFT or not measured_shape:
        return Assumed(polar, zero, moment)
    logs, angle, lift, cm = _measured(polar.key)
    cm = np.where(np.isfinite(cm), cm, moment)
    return Measured(logs, angle, lift, cm, float(angle[0]), float(angle[-1]), polar)


@lru_cache(maxsize=8)
def _measured(key: str) -> tuple[Array, Array, Array, Array]:
    """ln Re (k,), angle (n,), lift and moment (k, n) of a measured section (moment nan where nobody measured it)."""
    runs = _runs(_LIFT[key])
    low, high = max(one[0, 1] for one in runs), min(one[-1, 1] for one in runs)
    angle = ANGLES[(low <= ANGLES) & (high >= ANGLES)]
    lift = np.array([np.interp(angle, one[:, 1], one[:, 2]) for one in runs])
    moment = np.array([np.interp(angle, one[:, 1], one[:, 3]) for one in runs])
    logs = np.log([one[0, 0] for one in runs])
    if key != "flat":
        return logs, angle, lift, moment
    keep = angle >= 0
    upper = lift[:, keep] - lift[:, keep][:, :1] * np.exp(-angle[keep] / np.deg2rad(2.0))
    both = np.concatenate((-angle[keep][:0:-1], angle[keep]))
    return (
        logs,
        both,
        np.concatenate((-upper[:, :0:-1], upper), axis=1),
        np.full((len(runs), both.size), np.nan),
    )
