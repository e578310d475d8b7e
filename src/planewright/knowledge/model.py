"""Knowledge: factors and shifts on predictions, each with a band, a kind and a source.

A quantity's state is z = ln(factor), or the shift itself; z is Gaussian with ``mean`` and ``sd``; the
quantities of one Knowledge may be correlated (``covariance``). Analyses never see z: they ask a
:class:`~planewright.knowledge.draws.Draws` for a factor or a shift by id and get an array of draws.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Kind = Literal["assumed", "published", "measured"]


@dataclass(frozen=True)
class Quantity:
    """One quantity of knowledge.

    ``id``: a base id of the prior table, with its owner in brackets where several may exist, such as
    ``eng.serial[engine.left/1]`` or ``board.areal_mass[board]``. ``form`` "ln": factor = exp(z), median
    exp(mean); "shift": value = z in ``unit``. ``prior_mean``, ``prior_sd`` are those of the prior table.
    ``moved_by``: (trial id, share of the prior variance that this trial removed).
    """

    id: str
    form: Literal["ln", "shift"]
    unit: str
    owner: str
    mean: float
    sd: float
    prior_mean: float
    prior_sd: float
    kind: Kind
    source: str
    moves: str = ""
    moved_by: tuple[tuple[str, float], ...] = ()
    conflict: str = ""


@dataclass(frozen=True)
class TrialInForce:
    """A trial that was taken in, as the knowledge file lists it. ``held``: for a proof, the moment (N m)
    that held, else None. ``p_conflict``: chi-square probability that it agrees with the rest (1 when
    nothing to compare).
    ``findings``: sentences about rows that were weighted down and other remarks, each naming its row.
    ``withdrawn``: the run found its unit damaged; its serial may not fly until a repair makes it another.
    ``passed``: what two people saw in a check (controls, range), None for other kinds."""

    id: str
    kind: str
    of: str
    date: str
    configuration: str
    serial: str
    digest: str
    rows: int
    events: int
    scatter: float
    p_conflict: float
    downweighted: tuple[int, ...] = ()
    findings: tuple[str, ...] = ()
    held: float | None = None
    withdrawn: bool = False
    passed: bool | None = None


@dataclass(frozen=True)
class Knowledge:
    """All quantities of one aeroplane. ``covariance``: (ids in order, lower triangle row by row) of z for the
    quantities that trials moved; all others are independent. ``evidence``: hash of the trials taken in."""

    quantities: Mapping[str, Quantity]
    order: tuple[str, ...] = ()
    covariance: tuple[tuple[float, ...], ...] = ()
    trials: tuple[TrialInForce, ...] = ()
    prior_hash: str = ""
    evidence: str = ""
    stale: bool = False
    conflicts: tuple[str, ...] = field(default=())
