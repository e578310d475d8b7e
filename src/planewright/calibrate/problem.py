"""What a reduction hands to the fit: rows, held events and the unknowns of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from planewright.knowledge import Knowledge, Points, Quantity

Array = npt.NDArray[np.float64]
Predict = Callable[[Points], Array]


@dataclass(frozen=True)
class Block:
    """Rows of one trial and one channel: measurements that share a scatter.

    ``rows``: 1-based data rows of the raw file, one for each measurement (0 for a summary of the whole file);
    ``measured``, ``sigma``: shape (n,), in the unit of the prediction, sigma as declared (proportional
    parts use the value predicted at the prior); ``predict``: points of knowledge (K of them) -> shape (n, K).
    """

    trial: str
    channel: str
    rows: tuple[int, ...]
    measured: Array
    sigma: Array
    predict: Predict


@dataclass(frozen=True)
class Event:
    """Something held: ``margin`` gives ln capacity - ln bound at each point, shape (K,), with error
    ``sigma``."""

    trial: str
    name: str
    sigma: float
    margin: Predict


@dataclass(frozen=True)
class Reduction:
    """One trial, reduced.

    ``locals``: id -> (mean, sd) of unknowns that live inside the fit only; instruments carry ids of their
    own and are shared by every trial that used them. ``findings``: sentences that the reduction itself can
    say, each naming its row. ``facts``: named numbers for tests and for the book. ``held``: moment (N m)
    that held in a proof.
    ``words``: how a row is called and what its reading was, by row, for sentences about weights. ``passed``: what
    two people saw in a check (controls, range); None where nothing was checked.
    """

    trial: str
    blocks: tuple[Block, ...] = ()
    events: tuple[Event, ...] = ()
    locals: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    findings: tuple[str, ...] = ()
    facts: Mapping[str, float] = field(default_factory=dict)
    doubted: tuple[int, ...] = ()
    held: float | None = None
    withdrawn: bool = False
    used: int = 0
    suspect: Callable[[str, int, float], str] | None = None
    passed: bool | None = None


@dataclass(frozen=True)
class Problem:
    """Everything one fit needs. ``knowledge`` holds the prior of every unknown, those of the trials included.

    ``robust`` rows are Student t with 4 degrees of freedom, else Gaussian; ``scatter`` lets a channel be
    found noisier than declared.
    """

    knowledge: Knowledge
    blocks: tuple[Block, ...]
    events: tuple[Event, ...] = ()
    robust: bool = True
    scatter: bool = True


def local(name: str, mean: float, sd: float) -> Quantity:
    """An unknown of a trial or an instrument as a quantity: a shift with its prior."""
    return Quantity(name, "shift", "1", "trial", mean, sd, mean, sd, "assumed", "declared with the trial")


def assemble(
    prior: Knowledge, reductions: Iterable[Reduction], robust: bool = True, scatter: bool = True
) -> Problem:
    """One problem of all reductions, sorted by trial id, so that no order of arrival matters."""
    chosen = sorted(reductions, key=lambda one: one.trial)
    own = {name: local(name, *value) for one in chosen for name, value in sorted(one.locals.items())}
    knowledge = replace(prior, quantities={**prior.quantities, **own})
    blocks = tuple(block for one in chosen for block in one.blocks if len(block.measured))
    events = tuple(event for one in chosen for event in one.events)
    return Problem(knowledge, blocks, events, robust, scatter)


T = TypeVar("T")


def once(predict: Callable[[Points], T]) -> Callable[[Points], T]:
    """A prediction that is worked out once for the same points, however many rows and events ask for it."""
    held: list[tuple[Points, T]] = []

    def same(at: Points) -> T:
        if not held or held[0][0] is not at:
            held[:] = [(at, predict(at))]
        return held[0][1]

    return same
