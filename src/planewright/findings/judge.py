"""A figure against its limit: clear, crosses or short, by the whole 95 % stick."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.findings.limits import Limit
from planewright.findings.model import Finding, Side, State

Array = npt.NDArray[np.float64]
LOW, HIGH = 2.5, 97.5


@dataclass(frozen=True)
class Row:
    """Draws of one figure: ``all``, ``measured_published`` and ``measured`` inputs varying, each (N,), in ``unit``.

    ``evidence`` says in words how the figure is known.
    """

    all: Array
    measured_published: Array
    measured: Array
    unit: str
    evidence: str


def interval(draws: Array) -> tuple[float, float, float]:
    """2.5 % point, median, 97.5 % point of draws (N,). Draws that are not numbers count as the worst on both
    sides: they make the interval infinite, so that nothing which could not be worked out passes as clear."""
    if np.isnan(draws).any():
        draws = draws[~np.isnan(draws)]
        middle = float(np.median(draws)) if draws.size else float("nan")
        return -np.inf, middle, np.inf
    low, middle, high = np.percentile(draws, [LOW, 50.0, HIGH])
    return float(low), float(middle), float(high)


def state_of(low: float, high: float, limit: float, side: Side) -> State:
    """Clear when the whole interval lies on the good side (touching counts as good), short when wholly on the
    bad side, else crosses. ``low`` <= ``high`` in the unit of ``limit``."""
    if side == "at least":
        return "clear" if low >= limit else "short" if high < limit else "crosses"
    return "clear" if high <= limit else "short" if low > limit else "crosses"


def signed(value: float, limit: float, scale: float, side: Side) -> float:
    """(value - limit) / scale with good positive."""
    return (value - limit) / scale if side == "at least" else (limit - value) / scale


def judge(limit: Limit, bound: float, row: Row) -> Finding:
    """The finding of one row of draws against ``bound`` (SI, same unit as the row)."""
    low, middle, high = interval(row.all)
    scale = limit.scale or abs(bound) or 1.0
    sticks = tuple(
        tuple(sorted(signed(one, bound, scale, limit.side) for one in interval(draws)))
        for draws in (row.all, row.measured_published, row.measured)
    )
    return Finding(
        id=limit.id,
        name=limit.name,
        figure=limit.figure,
        value=middle,
        limit=bound,
        unit=row.unit,
        side=limit.side,
        kind=limit.kind,
        state=state_of(low, high, bound, limit.side),
        margin=signed(middle, bound, scale, limit.side),
        evidence=row.evidence,
        settles=limit.settles,
        sentence=limit.says.format(limit=bound, percent=100 * bound),
        source=limit.source,
        danger=limit.danger,
        stick=tuple((a, b, c) for a, b, c in sticks),
    )


def judge_number(limit: Limit, bound: float, value: float, unit: str, evidence: str) -> Finding:
    """The finding of an exact number (a drawn length, a held load) against ``bound``."""
    draws = np.array([value])
    return judge(limit, bound, Row(draws, draws, draws, unit, evidence))


def judge_evidence(
    id: str,
    name: str,
    present: bool,
    sentence: str,
    evidence: str,
    settles: str,
    danger: int,
    source: str,
) -> Finding:
    """A blocking row that asks whether named evidence is there: clear when it is, else missing."""
    return Finding(
        id=id,
        name=name,
        figure="",
        value=None,
        limit=None,
        unit="",
        side="present",
        kind="block",
        state="clear" if present else "missing",
        margin=None,
        evidence=evidence,
        settles=settles,
        sentence=sentence,
        source=source,
        danger=danger,
    )


def bounds_of(limits: Sequence[Limit], known: Mapping[str, float]) -> dict[str, float]:
    """Number of each limit by id: its own, or the one that ``known`` gives; left out where none is given."""
    found: dict[str, float] = {}
    for limit in limits:
        if limit.limit is not None:
            found[limit.id] = limit.limit
        elif limit.source_key is not None and limit.source_key in known:
            found[limit.id] = known[limit.source_key]
    return found
