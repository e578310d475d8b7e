"""Before and after: what the trials moved."""

from __future__ import annotations

import math
from dataclasses import dataclass

from planewright.knowledge import Knowledge, Quantity, band

MOVED = 0.2
NARROWED = 0.95


@dataclass(frozen=True)
class Change:
    """One quantity before and after.

    ``before``, ``after``: median with its 95 % band, in words; ``change``: relative change of the median
    (of a shift: in prior deviations); ``narrowed``: deviation after over before; ``moved_by``: trials,
    largest share first;
    ``p``: the least probability of agreement among these.
    """

    id: str
    before: str
    after: str
    change: float
    narrowed: float
    moved_by: tuple[str, ...]
    p: float


def compare(before: Knowledge, after: Knowledge) -> tuple[Change, ...]:
    """Quantities whose median moved by more than 0.2 prior deviations or whose band narrowed by more than 5
    %, narrowest first. Both must be of one aeroplane; quantities of only one of them are left out."""
    agreed = {one.id: one.p_conflict for one in after.trials}
    rows = []
    for name in sorted(set(before.quantities) & set(after.quantities)):
        old, new = before.quantities[name], after.quantities[name]
        moved = abs(new.mean - old.mean) / old.prior_sd
        if moved > MOVED or new.sd < NARROWED * old.sd:
            rows.append(_change(old, new, agreed))
    return tuple(sorted(rows, key=lambda one: (one.narrowed, one.id)))


def _change(old: Quantity, new: Quantity, agreed: dict[str, float]) -> Change:
    step = new.mean - old.mean
    change = math.expm1(step) if new.form == "ln" else step / new.prior_sd
    trials = tuple(trial for trial, _ in new.moved_by)
    p = min((agreed.get(trial, 1.0) for trial in trials), default=1.0)
    return Change(new.id, words(old), words(new), change, new.sd / old.sd, trials, p)


def words(one: Quantity) -> str:
    """Median with its 95 % band: "0.89 (0.70 to 1.14)"; shifts with their unit."""
    low, high = band(one)
    middle = math.exp(one.mean) if one.form == "ln" else one.mean
    unit = "" if one.unit == "1" else f" {one.unit}"
    return f"{middle:.3g} ({low:.3g} to {high:.3g}){unit}"
