"""One matrix of seeded draws serves every figure.

Each quantity has its own stream, seeded by its id, so that a new quantity disturbs no other and the same
draws serve before and after a calibration. A stream is a random order of the N mid-point quantiles of the
standard normal (stratified sampling), so medians of single inputs are exact.

Source of propagation by draws: JCGM 101:2008, Evaluation of measurement data, Supplement 1 (method, not
digits).
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

from planewright.knowledge.model import Kind, Knowledge, Quantity

Array = npt.NDArray[np.float64]

SEED = 20260
COUNT = 4000


@lru_cache(maxsize=512)
def normal_stream(name: str, count: int, seed: int) -> Array:
    """Standard normal stream of one quantity, shape (count,), stratified, in an order fixed by its name."""
    key = int.from_bytes(hashlib.sha256(f"{seed}:{name}".encode()).digest()[:8], "little")
    order = np.random.default_rng(key).permutation(count)
    stream = np.asarray(ndtri((order + 0.5) / count), dtype=np.float64)
    stream.flags.writeable = False
    return stream


def scoped(base: str, owner: str = "") -> str:
    """Full id of a quantity: ``base`` alone, or ``base[owner]``."""
    return f"{base}[{owner}]" if owner else base


class Draws:
    """Seeded draws of a Knowledge. Ask for ``factor`` (form "ln") or ``shift`` by id; each is shape (count,).

    ``kinds``: quantities whose kind is not listed stand at their median; this gives the nested intervals.
    """

    def __init__(
        self,
        knowledge: Knowledge,
        count: int = COUNT,
        seed: int = SEED,
        kinds: frozenset[Kind] = frozenset(("assumed", "published", "measured")),
    ) -> None:
        self.knowledge, self.count, self.seed, self.kinds = knowledge, count, seed, kinds

    def only(self, *kinds: Kind) -> Draws:
        """The same draws with all quantities of other kinds set to their median."""
        return Draws(self.knowledge, self.count, self.seed, frozenset(kinds))

    @cached_property
    def _correlated(self) -> Mapping[str, Array]:
        """Draws of z about its mean for the quantities with a stored covariance, by id."""
        order = self.knowledge.order
        if not order:
            return {}
        full = np.zeros((len(order), len(order)))
        for i, row in enumerate(self.knowledge.covariance):
            full[i, : i + 1] = row
        full = full + np.tril(full, -1).T
        scale = np.sqrt(np.diag(full))
        scale[scale == 0] = 1.0
        root = np.linalg.cholesky(full / np.outer(scale, scale) + 1e-12 * np.eye(len(order)))
        streams = np.array([normal_stream(name, self.count, self.seed) for name in order])
        mixed = scale[:, None] * (root @ streams)
        return dict(zip(order, mixed, strict=True))

    def quantity(self, base: str, owner: str = "") -> Quantity:
        """The quantity of that id. Raises KeyError naming the id when the prior table lacks it."""
        name = scoped(base, owner)
        if name not in self.knowledge.quantities:
            raise KeyError(f"no quantity of knowledge is called {name!r}")
        return self.knowledge.quantities[name]

    def state(self, base: str, owner: str = "") -> Array:
        """Draws of z (ln factor, or the shift in its unit), shape (count,)."""
        quantity = self.quantity(base, owner)
        if quantity.kind not in self.kinds:
            return np.full(self.count, quantity.mean)
        if quantity.id in self._correlated:
            return quantity.mean + self._correlated[quantity.id]
        return quantity.mean + quantity.sd * normal_stream(quantity.id, self.count, self.seed)

    def factor(self, base: str, owner: str = "") -> Array:
        """Draws of a factor, exp(z), shape (count,); the quantity must have form "ln"."""
        if self.quantity(base, owner).form != "ln":
            raise TypeError(f"{scoped(base, owner)} is a shift, not a factor")
        return np.exp(self.state(base, owner))

    def shift(self, base: str, owner: str = "") -> Array:
        """Draws of a shift in the quantity's own unit, shape (count,); its form must be "shift"."""
        if self.quantity(base, owner).form != "shift":
            raise TypeError(f"{scoped(base, owner)} is a factor, not a shift")
        return self.state(base, owner)

    def matrix(self) -> tuple[tuple[str, ...], Array]:
        """Ids with a spread, sorted, and their centred states, shape (ids, count)."""
        names = tuple(sorted(name for name, one in self.knowledge.quantities.items() if one.sd > 0))
        return names, np.array([self.state(name) - self.knowledge.quantities[name].mean for name in names])


def at_medians(knowledge: Knowledge) -> Draws:
    """A single draw in which everything stands at its median: the middle values of worked examples."""
    return Draws(knowledge, count=1, kinds=frozenset())
