"""Greatest lift and drag of a section by Reynolds number, until the section solver takes over.

Clark Y, NACA 2415 and a flat plate of 2 % come from published measurements (tables beside this module, each with
its source in its first line). Other common sections were worked out by the section solver
(:mod:`planewright.analysis.section.shipped`). Any other section gets skin friction times a form factor and a greatest
lift coefficient of 1.2: assumed, wide. Beyond a table's Reynolds numbers its nearest one is held.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from planewright.analysis.section import SectionPolars
from planewright.analysis.section.shipped import shipped
from planewright.plane.model import Section

Array = npt.NDArray[np.float64]

OTHER_MAXIMUM = 1.2
"""Greatest lift coefficient of a section nobody measured (assumed, ln sd .15)."""
LIFT_DRAG = 0.010
"""Rise of cd with (cl - cl at zero incidence)^2 of a section nobody measured (judgement)."""
STEEP = 0.15
"""Rise of cd with the square of cl beyond a measured table's end (judgement: never extrapolate a polar flat)."""
SAME = 0.003
"""Difference in thickness over chord up to which shipped polars are taken for a section."""
_GRID = np.linspace(-1.0, 1.5, 101)
_DRAG = {"clark y": "clark_y_drag.csv", "naca 2415": "naca_2415_drag.csv", "flat": "flat_plate_drag.csv"}


@dataclass(frozen=True)
class Polar:
    """A section's figures. ``key``: its name in the tables, or "". ``logs`` (k,): ln of the Reynolds numbers;
    ``drag`` (k, 101): cd over a common grid of cl from -1 to 1.5; ``maxima``: (ln Re, clmax) arrays. For an
    section neither measured nor worked out ``logs`` is empty and ``thickness`` and ``zero_incidence_lift`` are used.
    ``computed``: the polars behind it, when they were worked out."""

    key: str
    logs: Array
    drag: Array
    maxima: tuple[Array, Array]
    thickness: float = 0.12
    zero_incidence_lift: float = 0.0
    computed: SectionPolars | None = None

    @property
    def measured(self) -> bool:
        """True when the figures rest on a published measurement of this section."""
        return bool(self.logs.size) and self.computed is None

    def maximum(self, reynolds: Array) -> Array:
        """Greatest lift coefficient at Reynolds numbers of any shape."""
        logs, top = self.maxima
        return np.interp(np.log(np.maximum(reynolds, 1.0)), logs, top)

    def profile_drag(self, reynolds: Array, lift: Array) -> Array:
        """cd at Reynolds numbers and lift coefficients that broadcast together."""
        if not self.logs.size:
            rise = LIFT_DRAG * (lift - self.zero_incidence_lift) ** 2
            return np.asarray(2 * friction(reynolds) * _form(self.thickness) + rise)
        place = np.interp(np.log(np.maximum(reynolds, 1.0)), self.logs, np.arange(self.logs.size))
        row = np.clip(place.astype(int), 0, max(self.logs.size - 2, 0))
        along = np.clip((lift - _GRID[0]) / (_GRID[1] - _GRID[0]), 0, _GRID.size - 1.000001)
        column = along.astype(int)
        x, y = along - column, place - row
        low = (1 - x) * self.drag[row, column] + x * self.drag[row, column + 1]
        high = (1 - x) * self.drag[row + 1, column] + x * self.drag[row + 1, column + 1]
        return np.asarray((1 - y) * low + y * high)


@dataclass(frozen=True)
class Mixed:
    """Figures of a section between two stations: ``lower`` turning into ``upper`` with ``blend`` from 0 to 1."""

    lower: Polar
    upper: Polar
    blend: float

    def maximum(self, reynolds: Array) -> Array:
        """Greatest lift coefficient, as :meth:`Polar.maximum`."""
        first = self.lower.maximum(reynolds)
        if self.upper is self.lower:
            return first
        return np.asarray((1 - self.blend) * first + self.blend * self.upper.maximum(reynolds))

    def profile_drag(self, reynolds: Array, lift: Array) -> Array:
        """cd, as :meth:`Polar.profile_drag`."""
        first = self.lower.profile_drag(reynolds, lift)
        if self.upper is self.lower:
            return first
        return np.asarray((1 - self.blend) * first + self.blend * self.upper.profile_drag(reynolds, lift))


def friction(reynolds: Array) -> Array:
    """Skin friction coefficient of one side, turbulent from the nose.

    Source: Prandtl and Schlichting, 0.455/(log10 Re)^2.58; valid from about 1e5. Smooth foam at lower Reynolds
    numbers may keep laminar flow and less friction, or separate and have more drag.
    """
    return np.asarray(0.455 / np.log10(np.maximum(reynolds, 1.0e4)) ** 2.58)


def _form(thickness: float) -> float:
    """Form factor of a section."""
    return 1 + 2 * thickness + 60 * thickness**4


def _rows(name: str) -> list[dict[str, str]]:
    """Rows of one of the tables beside this module."""
    text = (files("planewright.analysis.air") / "tables" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def _spread(lift: Array, drag: Array) -> Array:
    """One measured polar on the common grid; beyond its ends cd rises with the square of the excess."""
    order = np.argsort(lift)
    lift, drag = lift[order], drag[order]
    excess = np.maximum(lift[0] - _GRID, 0) + np.maximum(_GRID - lift[-1], 0)
    return np.asarray(np.interp(_GRID, lift, drag) + STEEP * excess**2)


def _runs(name: str) -> tuple[Array, Array]:
    """ln Re (k,) and cd on the common grid (k, 101) of one drag table; runs within 3 % in Re are one run."""
    rows = np.array([[float(row[key]) for key in ("reynolds", "cl", "cd")] for row in _rows(name)])
    group = np.round(np.log(rows[:, 0]) / 0.1)
    runs = [rows[group == one] for one in np.unique(group)]
    return np.log([run[:, 0].mean() for run in runs]), np.array(
        [_spread(run[:, 1], run[:, 2]) for run in runs]
    )


def has_measurement(section: Section) -> bool:
    """True when a section stands in the measured tables."""
    return section_key(section) in _DRAG


def section_key(section: Section) -> str:
    """Name under which a section stands in the tables: "clark y", "naca 2415", "flat" or another."""
    return "flat" if section.kind == "flat" else " ".join(section.name.lower().replace("-", " ").split())


@lru_cache(maxsize=64)
def polar(key: str, thickness: float, zero_incidence_lift: float) -> Polar:
    """The figures of a section.

    Arguments:
        key: from :func:`section_key`. thickness: over chord. zero_incidence_lift: cl at zero incidence.
    """
    tops = [
        (float(row["reynolds"]), float(row["clmax"])) for row in _rows("maxima.csv") if row["section"] == key
    ]
    maxima = np.array(tops or [(1e5, OTHER_MAXIMUM)])
    pair = (np.log(maxima[:, 0]), maxima[:, 1])
    made = None if key in _DRAG else shipped(key)
    if made is not None and abs(made.thickness - thickness) < SAME:
        return worked_out(key, made, zero_incidence_lift)
    if key not in _DRAG:
        return Polar(key, np.zeros(0), np.zeros((0, _GRID.size)), pair, thickness, zero_incidence_lift)
    logs, drag = _runs(_DRAG[key])
    return Polar(key, logs, drag, pair, thickness, zero_incidence_lift)


@lru_cache(maxsize=64)
def worked_out(key: str, made: SectionPolars, zero_incidence_lift: float) -> Polar:
    """The figures of computed polars.

    The solver's surface is smooth; a surface of foam and tape is not. Its drag is therefore at least that of a layer
    that is turbulent from the nose (judgement); a bubble may cost more.
    """
    logs = np.log(made.reynolds)
    drag = made.drag_at_lift(_GRID[None, :], made.reynolds[:, None])
    rough = 2 * friction(made.reynolds) * _form(made.thickness)
    pair = (logs, made.maximum(made.reynolds))
    return Polar(key, logs, np.maximum(drag, rough[:, None]), pair, made.thickness, zero_incidence_lift, made)
