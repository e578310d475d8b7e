"""What a part is made of: items of drawn mass with a place, and the factors of knowledge that move each.

An item is a handful of point masses. Its eight moments (mass; mass times x, y, z; mass times xx, yy, zz, xz) add up
over items and are linear in the factors, so thousands of draws cost no more than a small matrix product.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Factors = tuple[tuple[str, str], ...]

GROWTH: tuple[str, str] = ("build.growth", "")
GLUE_TAPE: tuple[str, str] = ("build.glue_tape", "")


class Drawn:
    """Knowledge that changes nothing: one point, every factor 1, every shift 0. Gives drawn masses (a States)."""

    count = 1

    def factor(self, base: str, owner: str = "") -> Array:
        """1 for every factor, shape (1,)."""
        return np.ones(1)

    def shift(self, base: str, owner: str = "") -> Array:
        """0 for every shift, shape (1,)."""
        return np.zeros(1)


DRAWN = Drawn()


@dataclass(frozen=True)
class Item:
    """Something of one kind in one part.

    Arguments:
        part: leaf name, such as ``wing.right`` or ``equipment.logger``.
        what: in builders' words, such as ``skin`` or ``glue``.
        masses: (n,) kg drawn, of points at ``places`` (n, 3) m.
        spread: (n,) m2, mean square distance fore and aft of each point's mass about it (its own inertia in pitch
            and yaw; what is thin stays 0).
        factors: (base, owner) of every factor that multiplies it, build.growth not among them.
        built: True for what the team makes (it grows until weighed), False for what is bought and stated.
    """

    part: str
    what: str
    masses: Array
    places: Array
    spread: Array
    factors: Factors = ()
    built: bool = False

    @property
    def mass(self) -> float:
        """Drawn mass, kg."""
        return float(self.masses.sum())

    @property
    def centre(self) -> Array:
        """Centre of mass, (3,) m."""
        return np.asarray(self.masses @ self.places / self.masses.sum())

    @property
    def moments(self) -> Array:
        """(8,): m; mx, my, mz; mxx, myy, mzz, mxz in drawing axes about the nose tip, kg, m."""
        return moments_of(self.masses, self.places, self.spread)

    def mirrored(self, part: str) -> Item:
        """The same on the other side of the centreline, as part ``part``."""
        return replace(self, part=part, places=self.places * np.array([1.0, -1.0, 1.0]))

    def scaled(self, what: str, share: float, factors: Factors) -> Item:
        """Something spread along this item with ``share`` of its mass, such as its glue."""
        return replace(self, what=what, masses=self.masses * share, factors=factors)


def moments_of(masses: Array, places: Array, spread: Array) -> Array:
    """Eight moments of point masses, (8,)."""
    x, y, z = places.T
    terms = np.vstack((np.ones_like(x), x, y, z, x * x + spread, y * y, z * z, x * z))
    return np.asarray(terms @ masses)


def item(
    part: str, what: str, masses: Array, places: Array, spread: Array | float = 0.0, factors: Factors = ()
) -> Item:
    """A built item from arrays; ``spread`` may be one number for all points."""
    masses = np.atleast_1d(np.asarray(masses, dtype=np.float64))
    places = np.broadcast_to(np.asarray(places, dtype=np.float64), (len(masses), 3))
    return Item(part, what, masses, places, np.broadcast_to(spread, masses.shape), factors, built=True)


def bought(part: str, what: str, mass: float, x: float, y: float, z: float) -> Item:
    """One bought thing, a point of ``mass`` kg."""
    return Item(part, what, np.array([mass]), np.array([[x, y, z]]), np.zeros(1))


def total(items: Iterable[Item]) -> Array:
    """Sum of the items' moments, (8,)."""
    return np.asarray(sum((one.moments for one in items), np.zeros(8)))
