"""Propeller: thrust and power coefficients from measured tables of its size, else from blade elements.

A table is fitted, never joined point by point: CT and CP by 1, J, J^2, J^3, J^4, ln N, J ln N (N in rpm).
Leaving one measured speed out inside the range gave 0.1 to 2 %, worst 6 % (trial of our own on seven tables).
Beyond the last measured J, and beyond 1.3 times the measured shaft speeds, the curve goes on from the edge of the
table as that of blade elements does. A regression on size and pitch stands by as a second opinion.
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
from planewright.analysis.power.blades import BLADE_WIDTH, BladeTable, blade_of
from planewright.plane.model import Propeller

Array = npt.NDArray[np.float64]

INCH = 0.0254
SAME_SIZE = 0.015
RPM_REACH = 1.3
FITTED_FROM = 0.45
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
    Order: the builder's own table, the mean of the measured tables of its size, blade elements.
    """
    if len(own) >= 2:
        return OwnFit.of(own, propeller), "the builder's own table"
    found = tables_of_size(propeller)
    if found:
        names = " and ".join(one.name for one in found)
        return Mean(
            tuple(TableFit.of(one, propeller) for one in found)
        ), f"measured tables of its size ({names})"
    if propeller.width is None:
        return blade_table(propeller), "blade elements from its size and pitch"
    return blade_table(propeller), "blade elements from its size, pitch and measured blade width"


@lru_cache(maxsize=64)
def blade_table(propeller: Propeller) -> BladeTable:
    """Coefficients of a propeller by blade elements, reckoned once."""
    return BladeTable.of(blade_of(propeller))


def second_opinion(propeller: Propeller, rpm: float = 5500.0) -> float:
    """Largest relative difference in static CT and CP between blade elements and the regression; above 0.25 the
    propeller lies outside what the seven measured ones can say, and a bench run counts double."""
    still, turns = np.zeros(1), np.array([rpm])
    ours, other = blade_table(propeller).at(still, turns), Regression(propeller).at(still, turns)
    return float(max(abs(a[0] / b[0] - 1.0) for a, b in zip(other, ours, strict=True)))


def measured_coefficient(
    thrust: tuple[float, float],
    per_second: tuple[float, float],
    diameter: tuple[float, float],
    density: tuple[float, float],
) -> tuple[float, float]:
    """(CT, its relative standard uncertainty) of a bench run; each argument is (value, standard uncertainty): thrust N,
    turns a second, diameter m, density kg/m3. Independent inputs, JCGM 100:2008, 5.1."""
    value = thrust[0] / (density[0] * per_second[0] ** 2 * diameter[0] ** 4)
    powers = ((thrust, 1.0), (per_second, 2.0), (diameter, 4.0), (density, 1.0))
    return value, float(np.sqrt(sum((power * one[1] / one[0]) ** 2 for one, power in powers)))


def blade_area(propeller: Propeller) -> float:
    """Area of all blades, m2, seen flat: width at three quarters times 0.9 of the radius each."""
    width = propeller.width if propeller.width is not None else BLADE_WIDTH * propeller.diameter
    return propeller.blades * 0.45 * propeller.diameter * width


@dataclass(frozen=True)
class Beyond:
    """How a fit goes on outside its rows: from its edge as the blade elements do.

    ``last``: greatest measured J; ``reach``: (lowest, highest) ln rpm the fit may be asked; ``blades``: the
    propeller by blade elements.
    """

    last: float
    reach: tuple[float, float]
    blades: BladeTable

    def inside(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(J, ln rpm) brought to the edge of the fit."""
        return np.minimum(advance, self.last), np.clip(np.log(np.maximum(rpm, 1.0)), *self.reach)

    def further(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """What (CT, CP) change from the edge of the fit to the point asked; 0 inside."""
        advance, rpm = np.broadcast_arrays(advance, rpm)
        edge, log = self.inside(advance, rpm)
        out = (advance > self.last) | (np.abs(np.log(np.maximum(rpm, 1.0)) - log) > 1e-9)
        thrust, power = np.zeros(out.shape), np.zeros(out.shape)
        if out.any():
            there = self.blades.at(advance[out], rpm[out])
            here = self.blades.at(edge[out], np.exp(log[out]))
            thrust[out], power[out] = there[0] - here[0], there[1] - here[1]
        return thrust, power


@dataclass(frozen=True)
class TableFit:
    """Least-squares fit of one table: ``fits`` (7, 2) for CT and CP, and how it goes on outside its rows."""

    fits: Array
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
        return TableFit(fits, Beyond(float(table.advance.max()), reach, blade_table(propeller)))

    def at(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(CT, CP): the fit up to the last measured J and 1.3 times the measured shaft speeds, then on from there."""
        both = _terms(*self.beyond.inside(advance, rpm)) @ self.fits
        thrust, power = self.beyond.further(advance, rpm)
        return both[..., 0] + thrust, both[..., 1] + power


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
        beyond = Beyond(float(advance.max()), (-np.inf, np.inf), blade_table(propeller))
        return OwnFit(np.asarray(fits[0]), np.asarray(fits[1]), beyond)

    def at(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(CT, CP); ``rpm`` counts only beyond the last row."""
        inside, _ = self.beyond.inside(advance, rpm)
        further = self.beyond.further(advance, rpm)
        thrust, power = (np.polynomial.polynomial.polyval(inside, one) for one in (self.thrust, self.power))
        return np.asarray(thrust + further[0]), np.asarray(power + further[1])


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


def _read(name: str, text: str) -> MeasuredTable:
    size = name.removesuffix(".csv").rsplit("_", 1)[1]
    diameter, pitch = (float(one) * INCH for one in size.split("x"))
    rows = np.array(list(csv.reader(text.splitlines()))[1:], dtype=np.float64)
    label = name.removesuffix(".csv").removeprefix("propeller_").replace("_", " ")
    return MeasuredTable(label, diameter, pitch, *np.ascontiguousarray(rows.T))
