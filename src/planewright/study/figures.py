"""From draws to figures: median, three nested intervals, shares by kind, what it rests on, decimals.

Source of the intervals: JCGM 101:2008 (propagation of distributions by draws). The three intervals are the same
seeded draws with columns set to their medians: all inputs vary; measured and published vary; measured vary.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.study.model import Figure, Shares

Array = npt.NDArray[np.float64]

COVERAGE = 0.95
LEAST_SHARE = 0.005
NO_SPREAD = 1e-12


@dataclass(frozen=True)
class Nested:
    """Draws of one number, shape (N,) each: everything varies; measured and published; measured only.

    Made by :meth:`about_median`, the inner draws lie about the median of the outer ones: a number at the medians of
    its inputs is not the median of the number, and an interval where nothing varies must be the value itself.
    """

    all: Array
    measured_published: Array
    measured: Array

    @classmethod
    def about_median(cls, outer: Array, middle: Array, core: Array) -> Nested:
        """The three sets of draws, the inner ones moved to the outer median; where an inner set holds no number at
        all (flight that the middle inputs do not allow) it stands at that median."""
        aim = finite_median(outer)
        return cls(outer, moved_to(aim, middle), moved_to(aim, core))

    @property
    def spread(self) -> float:
        """Standard deviation of the outer draws that are numbers."""
        return math.sqrt(variance(self.all))


def finite_median(draws: Array) -> float:
    """Median of the draws that are finite numbers; 0 when there is none."""
    good = draws[np.isfinite(draws)]
    return float(np.median(good)) if good.size else 0.0


def moved_to(aim: float, draws: Array) -> Array:
    """The draws with their finite median moved to ``aim``; all at ``aim`` when none is finite."""
    if not np.isfinite(draws).any():
        return np.full_like(draws, aim)
    return draws + (aim - finite_median(draws))


def variance(draws: Array) -> float:
    """Variance of the draws that are finite numbers; 0 when there is none."""
    good = draws[np.isfinite(draws)]
    return float(np.var(good)) if good.size else 0.0


@dataclass(frozen=True)
class Label:
    """How a number is shown: plain name, the engineer's term, SI unit, group, method with its source."""

    name: str
    term: str
    unit: str
    group: str
    method: str


def decimals_of(spread: float) -> int:
    """Decimals in the SI unit so that the last digit stands at the first significant figure of ``spread``
    (negative for tens, hundreds); 6 for a spread of zero."""
    if not math.isfinite(spread) or spread <= 0:
        return 6
    return -math.floor(math.log10(spread) + 1e-9)


def interval(draws: Array, outer: tuple[float, float] | None = None) -> tuple[float, float]:
    """2.5 and 97.5 % points of the draws that are numbers, clipped into ``outer`` when given."""
    good = draws[np.isfinite(draws)]
    if good.size == 0:
        return (math.nan, math.nan)
    low, high = (float(one) for one in np.percentile(good, [2.5, 97.5]))
    if outer is not None:
        low, high = max(low, outer[0]), min(high, outer[1])
    return low, high


def kind_shares(nested: Nested) -> Shares:
    """Shares of the variance by kind: what goes when assumed inputs stand still, then published, the rest
    measured. Negative differences (inputs that work against each other) count as zero; the three add up to 1."""
    whole, inner, core = (variance(one) for one in (nested.all, nested.measured_published, nested.measured))
    parts = np.array([max(whole - inner, 0.0), max(inner - core, 0.0), max(core, 0.0)])
    if parts.sum() <= 0:
        return Shares(assumed=0.0, published=0.0, measured=1.0)
    assumed, published, measured = (float(one) for one in parts / parts.sum())
    return Shares(assumed=assumed, published=published, measured=measured)


@dataclass(frozen=True)
class Inputs:
    """Centred states of all quantities with a spread: ``names`` (K), ``states`` (K, N), and ``solver`` (K, N), which
    gives the slopes of a straight-line fit of any draws (N,) on them (normal equations, solved once)."""

    names: Sequence[str]
    states: Array
    solver: Array

    @classmethod
    def of(cls, names: Sequence[str], states: Array) -> Inputs:
        """Prepare the fit for these states."""
        if not len(names):
            return cls(names, states, states)
        return cls(names, states, np.linalg.pinv(states @ states.T, hermitian=True) @ states)

    def slopes(self, values: Array, good: npt.NDArray[np.bool_]) -> Array:
        """Slopes (K,) of ``values`` on the states at the draws that are ``good``."""
        if good.all():
            return np.asarray(self.solver @ values)
        found, *_ = np.linalg.lstsq(self.states[:, good].T, values, rcond=None)
        return np.asarray(found)


def rests_on(draws: Array, inputs: Inputs) -> tuple[tuple[str, float], ...]:
    """Inputs by their share of the variance, largest first: linear regression of the draws (N,) on the centred
    states; share = coefficient x covariance / variance, so correlated inputs share what they have in common. What
    the straight line does not explain (curvature, the last digit of the scale) is shown as "rest" when above half
    a per cent."""
    good = np.isfinite(draws)
    values = draws[good] - draws[good].mean() if good.any() else draws[:0]
    total = float(values @ values)
    level = float(np.mean(draws[good]) ** 2) if good.any() else 0.0
    if total <= NO_SPREAD * max(1.0, level) or not len(inputs.names):
        return ()
    shares = np.clip(inputs.slopes(values, good) * (inputs.states[:, good] @ values) / total, 0.0, None)
    rows = [(name, round(float(share), 4)) for name, share in zip(inputs.names, shares, strict=True)]
    rows.append(("rest", round(1.0 - float(shares.sum()), 4)))
    return tuple(sorted((row for row in rows if row[1] >= LEAST_SHARE), key=lambda row: (-row[1], row[0])))


def drawn(value: float, label: Label, condition: Mapping[str, float | str] | None = None) -> Figure:
    """A number that was drawn or typed, or follows exactly from such: no band."""
    return Figure(
        value=value,
        unit=label.unit,
        kind="drawn",
        name=label.name,
        term=label.term,
        method=label.method,
        group=label.group,
        condition=dict(condition or {}),
    )


def computed(
    nested: Nested,
    label: Label,
    inputs: Inputs,
    condition: Mapping[str, float | str] | None = None,
) -> Figure:
    """A number worked out from knowledge: median of the outer draws, nested intervals, shares, inputs."""
    good = nested.all[np.isfinite(nested.all)]
    value = float(np.median(good))
    outer = interval(nested.all)
    middle = interval(nested.measured_published, outer)
    return Figure(
        value=value,
        unit=label.unit,
        kind="computed",
        low=outer[0],
        high=outer[1],
        measured_published=middle,
        measured_only=interval(nested.measured, middle),
        coverage=COVERAGE,
        shares=kind_shares(nested),
        decimals=decimals_of(nested.spread),
        rests_on=rests_on(nested.all, inputs),
        condition=dict(condition or {}),
        name=label.name,
        term=label.term,
        method=label.method,
        group=label.group,
    )
