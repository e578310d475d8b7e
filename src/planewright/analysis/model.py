"""Results that one analysis hands to another. SI units, rad; drawing axes (x aft, y right, z up)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


class States(Protocol):
    """Whatever answers for knowledge: seeded draws, medians, or the trial points of a fit.

    Every array that an analysis returns for a States has shape (count,) or (..., count).
    """

    @property
    def count(self) -> int:
        """Number of draws or points."""

    def factor(self, base: str, owner: str = "") -> Array:
        """A factor on a prediction, shape (count,)."""

    def shift(self, base: str, owner: str = "") -> Array:
        """A shift on a prediction in its own unit, shape (count,)."""


@dataclass(frozen=True)
class SpanLoad:
    """Lift along one half wing. ``y``, ``width``: middle and width of each strip, m, shape (n,), root to tip;
    ``share``: part of the whole wing's lift carried by each strip, shape (n,), summing to one half."""

    y: Array
    width: Array
    share: Array


@dataclass(frozen=True)
class WingMasses:
    """Mass carried by one half wing (mean of left and right): ``y``, ``width`` of strips (n,) m, ``strip`` kg of
    the wing's own structure in each, and ``points``: name -> (y m, mass kg) of engines, gear and so on hung on it."""

    y: Array
    width: Array
    strip: Array
    points: Mapping[str, tuple[float, float]]


@dataclass(frozen=True)
class Carried:
    """What one piece of the aeroplane puts on a half wing: ``unit``, where one kilogram of the whole piece lies (mean
    of left and right), and ``mass``: states -> mass of the piece (N,) kg."""

    name: str
    unit: WingMasses
    mass: Callable[[States], Array]


@dataclass(frozen=True)
class MassState:
    """Mass of the whole aeroplane: ``mass`` (N,) kg, ``cg`` (3, N) m, ``inertia`` (4, N) Ix, Iy, Iz, Ixz kg m2
    about the centre of gravity. Ixz is the sum of m x z in the drawing axes."""

    mass: Array
    cg: Array
    inertia: Array
