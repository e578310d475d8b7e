"""States of knowledge other than seeded draws: the points at which a fit asks for predictions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.knowledge.draws import scoped
from planewright.knowledge.model import Knowledge

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Points:
    """Points of z: chosen quantities hold a value at each point, all others stand at their prior median.

    ``values``: id -> z (ln factor, or the shift in its unit), each of shape (count,).
    ``asked`` collects the ids that an analysis really read, so that a fit differentiates over these only.
    """

    knowledge: Knowledge
    values: Mapping[str, Array]
    count: int
    asked: set[str]

    def state(self, base: str, owner: str = "") -> Array:
        """z at each point, shape (count,). Raises KeyError naming the id when the prior table lacks it."""
        name = scoped(base, owner)
        self.asked.add(name)
        if name in self.values:
            return np.asarray(self.values[name], dtype=np.float64)
        if name not in self.knowledge.quantities:
            raise KeyError(f"no quantity of knowledge is called {name!r}")
        return np.full(self.count, self.knowledge.quantities[name].prior_mean)

    def factor(self, base: str, owner: str = "") -> Array:
        """exp(z) at each point, shape (count,)."""
        return np.exp(self.state(base, owner))

    def shift(self, base: str, owner: str = "") -> Array:
        """z at each point in the quantity's own unit, shape (count,)."""
        return self.state(base, owner)


def points(knowledge: Knowledge, values: Mapping[str, Array] | None = None, count: int = 1) -> Points:
    """Points about the prior medians of a Knowledge; ``values`` as in :class:`Points`."""
    return Points(knowledge, values or {}, count, set())


def perturbed(knowledge: Knowledge, at: Mapping[str, float], step: float) -> Points:
    """The 2K + 1 points of a central difference: the centre, then each quantity of ``at`` up and down.

    ``step`` is in prior standard deviations. Column 0 is the centre, 1..K up, K+1..2K down, in the order of
    ``at``.
    """
    names = tuple(at)
    count = 2 * len(names) + 1
    values = {}
    for i, name in enumerate(names):
        column = np.full(count, at[name])
        move = step * knowledge.quantities[name].prior_sd
        column[1 + i] += move
        column[1 + len(names) + i] -= move
        values[name] = column
    return Points(knowledge, values, count, set())
