"""Do the trials agree, with each other and with what was believed before?

For each trial the expectation is the fit of all others, and then the prior alone; the worse of the two
counts. A trial of few rows is tested by its readings: T = d' V^-1 d with d = y - predicted and V the doubt
of the prediction and of the readings. A trial of many rows or of events is tested by how far it moved the
answer: T = d' S^-1 d with d = z(all) - z(without) and S = P(without) - P(all) in prior standard deviations,
over directions it narrowed (eigenvalue > 0.02). Both are chi-square when the trial agrees. p < .01 is a
finding; while it stands, the prior deviation of the quantities concerned is multiplied by |z|/2, with z the
two-sided normal deviate of p.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import chdtrc, ndtri

from planewright.calibrate.engine import Fit, slopes_at
from planewright.calibrate.problem import Block, Problem, Reduction
from planewright.knowledge import Points

Array = npt.NDArray[np.float64]

FEW_ROWS = 8
TOLD = 0.02
FINDING = 0.01
SERIOUS = 0.001
CONCERNED = 0.3
ROW_VARIANCE = 7.0 / 5.0
LEAST_P = 1e-12


@dataclass(frozen=True)
class Agreement:
    """``p`` that the trial agrees with the rest; ``concerned``: quantities it is about, with z before and
    with it."""

    p: float
    concerned: tuple[str, ...] = ()

    @property
    def widening(self) -> float:
        """Factor on the prior deviation of the quantities concerned, at least 1."""
        return max(1.0, -float(ndtri(max(self.p, LEAST_P) / 2)) / 2) if self.p < FINDING else 1.0


def agreement(everything: Fit, without: Fit, one: Reduction, quantities: frozenset[str]) -> Agreement:
    """Whether one trial agrees with all others and the prior. ``quantities``: ids of knowledge (no unknowns
    of trials)."""
    rows = sum(len(block.measured) for block in one.blocks)
    if not rows and not one.events:
        return Agreement(1.0)
    told = narrowed(everything, without, quantities)
    p = (
        by_readings(everything.problem, one.blocks, without)
        if 0 < rows <= FEW_ROWS
        else by_shift(everything, without)
    )
    most = max(told.values(), default=0.0)
    concerned = tuple(sorted(name for name, value in told.items() if value >= max(TOLD, CONCERNED * most)))
    return Agreement(max(p, LEAST_P), concerned)


def narrowed(everything: Fit, without: Fit, quantities: frozenset[str]) -> dict[str, float]:
    """Share of the prior variance of each quantity that the trial took away beside all others."""
    found = {}
    for name in everything.ids:
        if name in quantities:
            before = without.sd(name) ** 2 - everything.sd(name) ** 2
            found[name] = before / everything.problem.knowledge.quantities[name].prior_sd ** 2
    return found


def by_readings(problem: Problem, blocks: tuple[Block, ...], without: Fit) -> float:
    """Chi-square probability of the readings of a trial under the fit of all others."""
    whole = joined(blocks)
    value, doubt = slopes_at(problem, whole, without)
    off = whole.measured - value
    spread = doubt + np.diag(ROW_VARIANCE * whole.sigma**2)
    return float(chdtrc(len(off), off @ np.linalg.solve(spread, off)))


def joined(blocks: tuple[Block, ...]) -> Block:
    """Several blocks of one trial as one."""

    def predict(at: Points) -> Array:
        parts = [np.reshape(block.predict(at), (len(block.measured), at.count)) for block in blocks]
        return np.concatenate(parts)

    return Block(
        blocks[0].trial,
        "all",
        tuple(row for block in blocks for row in block.rows),
        np.concatenate([block.measured for block in blocks]),
        np.concatenate([block.sigma for block in blocks]),
        predict,
    )


def by_shift(everything: Fit, without: Fit) -> float:
    """Chi-square probability of how far a trial moved the answer of all others."""
    place = {name: i for i, name in enumerate(without.ids)}
    theta = np.array([without.theta[place[name]] if name in place else 0.0 for name in everything.ids])
    before = np.eye(len(theta))
    shared = [(i, place[name]) for i, name in enumerate(everything.ids) if name in place]
    for i, a in shared:
        for j, b in shared:
            before[i, j] = without.covariance[a, b]
    size, axes = np.linalg.eigh(before - everything.covariance)
    keep = size > TOLD
    if not np.any(keep):
        return 1.0
    moved = axes[:, keep].T @ (everything.theta - theta)
    return float(chdtrc(int(keep.sum()), np.sum(moved**2 / size[keep])))
