"""What pulls and rolls over the ground share: the aeroplane's weight, the slope, the wheels' friction.

Both move ``wheel.mu`` of this place. Friction at walking pace need not be that at take-off speed: an unknown of
form of 10 % (judgement) stands for it. The ground slopes by up to 1 in 100 (sd), which pulls both ways cancel.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from planewright.analysis.mass import mass_model
from planewright.calibrate.common import Sheet
from planewright.calibrate.problem import once
from planewright.calibrate.protocol import Bench
from planewright.knowledge import Points
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]

FORM, SLOPE = 0.10, 0.01
MU = "wheel.mu"


def weight_kg(bench: Bench) -> Callable[[Points], Array]:
    """Mass of the whole aeroplane at points of knowledge, kg."""
    model = mass_model(bench.geometry, bench.ledger)
    return once(lambda at: model.evaluate(at).mass)


def ways(log: Sheet) -> Array:
    """+1 out and -1 back for each row, by its heading (or way, or direction)."""
    words = next(
        (log.words(name) for name in ("heading", "way", "direction") if name in log.table.columns), None
    )
    if words is None:
        return np.ones(len(log.table))
    return np.array([-1.0 if one.strip().lower() in ("back", "return", "down") else 1.0 for one in words])


def unknowns(trial: Trial) -> dict[str, tuple[float, float]]:
    """Slope of the ground and form of the friction, for one trial."""
    return {f"{trial.id}:slope": (0.0, SLOPE), f"{trial.id}:form": (0.0, FORM)}


def friction(trial: Trial, way: Array, at: Points) -> Array:
    """Pull over weight, (n, K): friction with its form, and the slope the way it lies."""
    mu = np.exp(at.state(MU) + at.state(f"{trial.id}:form"))
    return np.asarray(mu + way[:, None] * at.state(f"{trial.id}:slope"))


def one_way_words(way: Array) -> tuple[str, ...]:
    """A sentence when all rows went one way."""
    if len(set(way.tolist())) > 1:
        return ()
    return ("one way only: the slope of the ground cannot be told from the wheels",)
