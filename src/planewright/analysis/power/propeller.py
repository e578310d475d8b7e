"""Propeller: thrust and power coefficients from measured tables of its size, else from a regression.

A table is fitted, never joined point by point: CT and CP by 1, J, J^2, J^3, J^4, ln N, J ln N (N in rpm).
Leaving one measured speed out inside the range gave 0.1 to 2 %, worst 6 % (trial of our own on seven tables).
Beyond the last measured J the curve goes on straight, less a square that makes the drag of a slow propeller
that of its blades held still (1.1 q on the blade area, judgement). First form: blade elements come later.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Protocol

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import standard
from planewright.plane.model import Propeller

Array = npt.NDArray[np.float64]

INCH = 0.0254
SAME_SIZE = 0.015
RPM_REACH = 1.3
FITTED_FROM = 0.45
BLADE_WIDTH = 0.076
"""Blade width at three quarters of the radius over the diameter where not measured: mean of seven fits."""
STOPPED_DRAG = 1.1


class Coefficients(Protocol):
    """What gives CT and CP of a propeller."""

    def at(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(CT, CP), each the shape of ``advance`` (J) and ``rpm``."""


@dataclass(frozen=True)
class MeasuredTable:
    """Rows of one measured propeller: ``name``, ``diameter`` and ``pitch`` m; ``rpm``, ``advance`` ratio,
    ``thrust`` and ``power`` coefficients, each shape (n,)."""

    name: str
    diameter: float
    pitch: float
    rpm: Array
    advance: Array
    thrust: Array
    power: Array


@lru_cache(maxsize=1)
def measured_tables() -> tuple[MeasuredTable, ...]:
    """Every measured table in the package, by name. Source: ``tables/SOURCES.md``."""
    folder = resources.files(__package__) / "tables"
    names = sorted(one.name for one in folder.iterdir() if one.name.endswith(".csv"))
    return tuple(_read(name, (folder / name).read_text("utf-8")) for name in names)


def tables_of_size(propeller: Propeller) -> tuple[MeasuredTable, ...]:
    """Measured tables of the propeller's diameter and pitch (within 1.5 %) when it has two blades; may be empty."""
    if propeller.blades != 2:
        return ()
    wanted = (propeller.diameter, propeller.pitch)
    return tuple(
        one
        for one in measured_tables()
        if np.allclose((one.diameter, one.pitch), wanted, rtol=SAME_SIZE, atol=0)
    )


def coefficients(
    propeller: Propeller, own: Sequence[tuple[float, float, float]] = ()
) -> tuple[Coefficients, str]:
    """(coefficients, words on where they come from) of a propeller.

    Arguments:
        propeller: its description. own: rows (J, CT, CP) measured by the builder; used alone when given.
    Order: the builder's own table, the mean of the measured tables of its size, the regression.
    """
    if len(own) >= 3:
        return OwnFit.of(own, propeller), "the builder's own table"
    found = tables_of_size(propeller)
    if found:
        names = " and ".join(one.name for one in found)
        return Mean(
            tuple(TableFit.of(one, propeller) for one in found)
        ), f"measured tables of its size ({names})"
    return Regression(propeller), "regression over seven measured propellers"


def blade_area(propeller: Propeller) -> float:
    """Area of all blades, m2, seen flat: width at three quarters times 0.9 of the radius each."""
    width = propeller.width if propeller.width is not None else BLADE_WIDTH * propeller.diameter
    return propeller.blades * 0.45 * propeller.diameter * width


@dataclass(frozen=True)
class Beyond:
    """How the curves go on after the last measured J: ``last`` J, and the blade area over D^2 of ``blades``."""

    last: float
    blades: float

    def extend(self, advance: Array, value: Array, slope: Array, square: float) -> Array:
        """value + slope x - square x^2 with x the part of J beyond the table; ``value`` unchanged inside."""
        rest = np.maximum(advance - self.last, 0.0)
        return value + slope * rest - square * rest**2

    @property
    def thrust_square(self) -> float:
        """CT per J^2 of blades held still: 1.1/2 times their area over D^2."""
        return 0.5 * STOPPED_DRAG * self.blades


@dataclass(frozen=True)
class TableFit:
    """Least-squares fit of one table: ``fits`` (7, 2) for CT and CP; ``reach`` (lowest, highest) ln rpm used."""

    fits: Array
    reach: tuple[float, float]
    beyond: Beyond

    @staticmethod
    def of(table: MeasuredTable, propeller: Propeller) -> TableFit:
        """Fit the rows from 0.45 of the highest rpm up; repeated rows were already dropped.

        Largest miss on the seven tables 7 % of the static value, median 0.2 to 1.5 % (one maker scatters).
        """
        used = table.rpm >= FITTED_FROM * table.rpm.max()
        log = np.log(table.rpm[used])
        rows = _terms(table.advance[used], log)
        wanted = np.column_stack([table.thrust, table.power])[used]
        fits = np.asarray(np.linalg.lstsq(rows, wanted, rcond=None)[0], dtype=np.float64)
        reach = (float(log.min()) - np.log(RPM_REACH), float(log.max()) + np.log(RPM_REACH))
        return TableFit(
            fits, reach, Beyond(float(table.advance.max()), blade_area(propeller) / propeller.diameter**2)
        )

    def at(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(CT, CP); rpm beyond 1.3 times the measured range is taken at that edge."""
        log = np.clip(np.log(np.maximum(rpm, 1.0)), *self.reach)
        inside = np.minimum(advance, self.beyond.last)
        both, slopes = _terms(inside, log) @ self.fits, _slopes(inside, log) @ self.fits
        thrust = self.beyond.extend(advance, both[..., 0], slopes[..., 0], self.beyond.thrust_square)
        return thrust, self.beyond.extend(advance, both[..., 1], slopes[..., 1], 0.0)


@dataclass(frozen=True)
class OwnFit:
    """Fit of the builder's own rows: polynomials in J of degree up to 4, no trend with rpm."""

    thrust: Array
    power: Array
    beyond: Beyond

    @staticmethod
    def of(rows: Sequence[tuple[float, float, float]], propeller: Propeller) -> OwnFit:
        """Fit rows (J, CT, CP); degree is one less than the number of different J, at most 4."""
        advance, thrust, power = np.array(rows, dtype=np.float64).T
        degree = min(4, len(np.unique(advance)) - 1)
        fits = [np.polynomial.polynomial.polyfit(advance, one, degree) for one in (thrust, power)]
        beyond = Beyond(float(advance.max()), blade_area(propeller) / propeller.diameter**2)
        return OwnFit(np.asarray(fits[0]), np.asarray(fits[1]), beyond)

    def at(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(CT, CP); ``rpm`` plays no part."""
        inside = np.minimum(advance, self.beyond.last)
        thrust, power = (
            self.beyond.extend(advance, *_polynomial(one, inside), square)
            for one, square in ((self.thrust, self.beyond.thrust_square), (self.power, 0.0))
        )
        return thrust, power


@dataclass(frozen=True)
class Mean:
    """Mean of several fits of one size."""

    parts: tuple[TableFit, ...]

    def at(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(CT, CP), each the mean over the tables."""
        both = [one.at(advance, rpm) for one in self.parts]
        return np.mean([one[0] for one in both], axis=0), np.mean([one[1] for one in both], axis=0)


@dataclass(frozen=True)
class Regression:
    """CT and CP from diameter, pitch and blades alone: a trial of our own on the seven tables of the package.

    On those seven (pitch/diameter 0.47 to 0.64, two blades) static CT is off by 7 % in the median and 21 % at
    worst, CP by 8 and 41 %; every trend outside is a guess. More blades: 1.36 and 1.48 for three (judgement).
    """

    propeller: Propeller

    def at(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(CT, CP); Reynolds number at three quarters of the radius, clipped to 8e3 to 5e5."""
        ratio = self.propeller.pitch / self.propeller.diameter
        reynolds = np.clip(self._reynolds(rpm), 8e3, 5e5)
        trend = np.log(reynolds / 6e4)
        zero = 0.33 + 0.64 * ratio + 0.08 * trend
        static = 0.088 + 0.027 * ratio + 0.010 * trend
        share = np.minimum(advance / zero, 1.15)
        thrust = static * (1.0 - share) * (1.0 + 0.24 * share)
        wake = 0.5 * (np.sqrt(advance**2 + 8.0 * np.maximum(thrust, 0.0) / np.pi) - advance)
        power = (
            thrust * np.minimum(advance, 1.15 * zero)
            + 1.16 * thrust * wake
            + 0.011 * (reynolds / 6e4) ** -0.43
        )
        rest = np.maximum(advance - 1.15 * zero, 0.0)
        thrust = (
            thrust - 0.5 * STOPPED_DRAG * blade_area(self.propeller) / self.propeller.diameter**2 * rest**2
        )
        blades = self.propeller.blades / 2.0
        return thrust * blades**0.758, power * blades**0.967

    def _reynolds(self, rpm: Array) -> Array:
        width = (
            self.propeller.width
            if self.propeller.width is not None
            else BLADE_WIDTH * self.propeller.diameter
        )
        ground = standard(0.0)
        tip = np.asarray(rpm) * np.pi / 30.0 * 0.375 * self.propeller.diameter
        return np.asarray(tip * width * ground.density / ground.viscosity)


def _terms(advance: Array, log: Array) -> Array:
    """Columns 1, J, J^2, J^3, J^4, ln N, J ln N, shape (..., 7)."""
    powers = [advance**k for k in range(5)]
    return np.stack([*powers, log + 0.0 * advance, advance * log], axis=-1)


def _slopes(advance: Array, log: Array) -> Array:
    """Derivatives of :func:`_terms` by J, shape (..., 7)."""
    nought = 0.0 * advance
    powers = [nought, *(k * advance ** (k - 1) for k in range(1, 5))]
    return np.stack([*powers, nought, log + nought], axis=-1)


def _polynomial(fit: Array, at: Array) -> tuple[Array, Array]:
    """(value, slope) of a polynomial with rising powers ``fit``."""
    poly = np.polynomial.polynomial
    return np.asarray(poly.polyval(at, fit)), np.asarray(poly.polyval(at, poly.polyder(fit)))


def _read(name: str, text: str) -> MeasuredTable:
    size = name.removesuffix(".csv").rsplit("_", 1)[1]
    diameter, pitch = (float(one) * INCH for one in size.split("x"))
    rows = np.array(list(csv.reader(text.splitlines()))[1:], dtype=np.float64)
    label = name.removesuffix(".csv").removeprefix("propeller_").replace("_", " ")
    return MeasuredTable(label, diameter, pitch, *np.ascontiguousarray(rows.T))
