"""Trials as the book lists them: run, planned or set aside, with what was said before and what they moved."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Protocol

from planewright.knowledge.model import Knowledge, Quantity, TrialInForce
from planewright.study.model import Expected, TrialRow
from planewright.study.plain import plain_name
from planewright.units.showing import System, show_range

LEAST_MOVED = 0.03
WIDE = 1.959964


class SaidLike(Protocol):
    """A prediction written before: what, and its words."""

    @property
    def what(self) -> str: ...
    @property
    def words(self) -> str: ...


class TrialLike(Protocol):
    """What the list needs to know of a record."""

    @property
    def id(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def of(self) -> str: ...
    @property
    def date(self) -> dt.date: ...
    @property
    def planned(self) -> bool: ...
    @property
    def in_force(self) -> str: ...
    @property
    def done_by(self) -> Mapping[str, str]: ...
    @property
    def failure(self) -> Mapping[str, Any]: ...
    @property
    def said_before(self) -> Sequence[SaidLike]: ...


def band(mean: float, sd: float, quantity: Quantity, system: System) -> str:
    """The 95 % band of a quantity in words: a factor from its logarithm, or a shift in its unit."""
    low, high = mean - WIDE * sd, mean + WIDE * sd
    if quantity.form == "ln":
        low, high = math.exp(low), math.exp(high)
    return show_range(low, high, quantity.unit, system)


def moved_by(trial: str, knowledge: Knowledge, system: System) -> tuple[tuple[str, str, str], ...]:
    """Quantities of which the trial took away at least 2 % of the prior variance, most first."""
    rows = []
    for one in knowledge.quantities.values():
        share = dict(one.moved_by).get(trial, 0.0)
        if share >= LEAST_MOVED:
            before = band(one.prior_mean, one.prior_sd, one, system)
            after = band(one.mean, one.sd, one, system)
            if after != before:
                rows.append((share, (plain_name(one.id), before, after)))
    return tuple(row for _, row in sorted(rows, key=lambda row: (-row[0], row[1])))


def result_words(taken: TrialInForce) -> tuple[str, ...]:
    """What the rows of a trial taken in amount to, and everything that was found in them."""
    weighed = f", {len(taken.downweighted)} weighted down" if taken.downweighted else ""
    events = f", {taken.events} held or broke" if taken.events else ""
    first = f"{taken.rows} rows used{weighed}{events}; scatter {taken.scatter:.2f} of what was declared"
    agrees = (
        f"agrees with the rest (p = {taken.p_conflict:.2g})"
        if taken.p_conflict >= 0.01
        else (f"disagrees with the rest (p = {taken.p_conflict:.2g})")
    )
    return (first, agrees, *taken.findings)


def broke_words(trial: TrialLike) -> tuple[str, ...]:
    """How and where the article broke, and between which loads, as the record says."""
    mode, place, between = (trial.failure.get(key) for key in ("mode", "at", "between"))
    if not mode:
        return ()
    where = f" at {place}" if place else ""
    loads = (
        f", between {between[0]:g} and {between[1]:g} {trial.failure.get('unit', 'kg')}" if between else ""
    )
    return (f"broke: {mode}{where}{loads}",)


def state_of(trial: TrialLike, taken: TrialInForce | None) -> tuple[str, tuple[str, ...]]:
    """How a trial stands, and what is to be said of it."""
    if trial.planned:
        return "planned", ("not run yet",)
    if trial.in_force:
        return "set aside", (f"set aside: {trial.in_force}",)
    if taken is None:
        return "not taken in", ("run, and not taken in yet",)
    return "taken in", (*broke_words(trial), *result_words(taken))


def trial_row(
    trial: TrialLike, knowledge: Knowledge, system: System, expects: tuple[Expected, ...] = ()
) -> TrialRow:
    """One trial as a row. A trial that was run but is not in the knowledge file says so."""
    taken = next((one for one in knowledge.trials if one.id == trial.id), None)
    state, says = state_of(trial, taken)
    return TrialRow.model_validate(
        {
            "id": trial.id,
            "kind": trial.kind,
            "of": trial.of,
            "date": trial.date.isoformat(),
            "state": state,
            "done_by": "; ".join(f"{what}: {who}" for what, who in trial.done_by.items()),
            "said_before": tuple(f"{one.what.replace('_', ' ')}: {one.words}" for one in trial.said_before),
            "says": says,
            "moved": moved_by(trial.id, knowledge, system) if taken is not None else (),
            "expects": expects,
        }
    )


def trial_rows(
    trials: Iterable[TrialLike],
    knowledge: Knowledge,
    system: System = "metric",
    expects: Mapping[str, tuple[Expected, ...]] = MappingProxyType({}),
) -> tuple[TrialRow, ...]:
    """All trials by date and id. ``expects``: trial -> what it should read, for planned ones."""
    return tuple(
        trial_row(one, knowledge, system, expects.get(one.id, ()))
        for one in sorted(trials, key=lambda one: (one.date, one.id))
    )


def planned_text(kind: str, date: dt.date, of: str, configuration: str, expects: Iterable[Expected]) -> str:
    """The trial.toml of a planned trial, with what should be read written down before anybody begins."""
    said: dict[str, str] = {}
    for one in expects:
        if one.said and one.said not in said:
            said[one.said] = said_words(one)
    lines = [
        f'kind = "{kind}"',
        f"date = {date.isoformat()}",
        f'of = "{of}"',
        f'configuration = "{configuration}"',
    ]
    if said:
        lines += ["[said_before]", *(f'{name} = "{words}"' for name, words in said.items())]
    return "\n".join(lines) + "\n"


def said_words(one: Expected) -> str:
    """A band as a trial file writes it: "11.2 N to 14.1 N at 15.8 V"."""
    unit, factor, decimals = WRITTEN.get(one.unit, (one.unit, 1.0, 2))
    low, high = (f"{value / factor:.{decimals}f}" for value in (one.low, one.high))
    _, at, where = one.what.partition(" at ")
    return f"{low} {unit} to {high} {unit}" + (f" at {where}" if at and where[:1].isdigit() else "")


WRITTEN: Mapping[str, tuple[str, float, int]] = {
    "m": ("mm", 0.001, 0),
    "kg": ("kg", 1.0, 2),
    "A": ("A", 1.0, 1),
}
