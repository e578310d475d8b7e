"""From all trials in force to new knowledge: always from the prior, never from an earlier result."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planewright.calibrate.agreement import FINDING, SERIOUS, Agreement, agreement
from planewright.calibrate.common import DOUBT
from planewright.calibrate.engine import Fit, fit
from planewright.calibrate.kinds import judged, reduce_trial
from planewright.calibrate.predictions import proved, serial_of
from planewright.calibrate.problem import Block, Reduction, assemble
from planewright.calibrate.protocol import Bench
from planewright.errors import Fault, InputError
from planewright.geometry import Geometry
from planewright.knowledge import FLYING_WING, Kind, Knowledge, Quantity, TrialInForce, evidence_hash, rounded
from planewright.ledger.model import Ledger
from planewright.plane.model import Plane
from planewright.records.model import Trial
from planewright.site.model import Site

Array = npt.NDArray[np.float64]

MEASURED = 0.25
LEAST_SHARE = 0.01
UNMOVED = 1e-3
NOISY = 1.6


@dataclass(frozen=True)
class Fits:
    """The fit of all trials; for each trial the fit of all others, and the fit of it alone; ``nothing``:
    the prior."""

    everything: Fit
    without: Mapping[str, Fit]
    alone: Mapping[str, Fit]
    nothing: Fit


def calibrate(
    prior: Knowledge, geometry: Geometry, ledger: Ledger, trials: Sequence[Trial], site: Site | None = None
) -> Knowledge:
    """Knowledge with all trials in force taken in.

    Arguments:
        prior: knowledge of this aeroplane before any trial (of its site's surface).
        geometry, ledger: the aeroplane and what was weighed.
        trials: all trials as read; planned ones and those set aside do not count.
        site: the field; not read yet (no trial kind in place tells anything about it).

    The result depends on the set of trials only, not on their order nor on what was known at any earlier
    time, and is exactly what its file reads back to. Raises InputError with every trial that cannot be
    reduced.
    """
    del site
    chosen = sorted((t for t in trials if not t.planned and not t.in_force), key=lambda one: one.id)
    evidence = evidence_hash(((t.id, t.digest, t.in_force) for t in trials if not t.planned), ledger.told)
    bench = Bench(prior, geometry, ledger)
    reductions = reduce_all(bench, chosen)
    fits, agreements = settle(prior, (*reductions, *proved(bench)))
    before = replace(prior, evidence=evidence, order=(), covariance=(), trials=(), conflicts=(), stale=False)
    known = with_quantities(before, fits, agreements, sums_of(geometry.plane))
    listed = tuple(
        in_force(geometry.plane, trial, one, fits, agreements[one.trial])
        for trial, one in zip(chosen, reductions, strict=True)
    )
    conflicts = tuple(
        _disagreement(fits, one, agreements[one]) for one in sorted(agreements) if agreements[one].p < FINDING
    )
    return rounded(replace(known, trials=listed, conflicts=conflicts))


def reduce_all(at: Bench, trials: Iterable[Trial]) -> tuple[Reduction, ...]:
    """Every trial reduced, in order. Raises one InputError with the faults of all that cannot be."""
    found: list[Reduction] = []
    faults: list[Fault] = []
    for trial in trials:
        try:
            found.append(reduce_trial(at, trial))
        except InputError as error:
            faults += [_placed(trial, fault) for fault in error.faults]
    if faults:
        raise InputError(faults)
    return tuple(found)


def _placed(trial: Trial, fault: Fault) -> Fault:
    return (
        fault if fault.file.startswith("trials/") else replace(fault, file=f"trials/{trial.id}/{fault.file}")
    )


def settle(prior: Knowledge, reductions: Sequence[Reduction]) -> tuple[Fits, Mapping[str, Agreement]]:
    """Fits of all trials and of all but one; where trials disagree, once more with the priors concerned
    widened."""
    fits = solve_all(prior, reductions)
    names = frozenset(prior.quantities)
    agreements = {one.trial: agreed(fits, one, names) for one in reductions}
    wide: dict[str, float] = {}
    for one in agreements.values():
        for name in one.concerned:
            wide[name] = max(wide.get(name, 1.0), one.widening)
    if all(value == 1.0 for value in wide.values()):
        return fits, agreements
    return solve_all(widened(prior, wide), reductions), agreements


def agreed(fits: Fits, one: Reduction, names: frozenset[str]) -> Agreement:
    """Agreement of a trial with all others, or with the prior alone where that is worse."""
    rest = agreement(fits.everything, fits.without[one.trial], one, names)
    prior = agreement(fits.alone[one.trial], fits.nothing, one, names)
    return min((rest, prior), key=lambda found: found.p)


def widened(prior: Knowledge, factors: Mapping[str, float]) -> Knowledge:
    """The prior with the deviations of some quantities multiplied."""
    changed = {
        name: replace(prior.quantities[name], prior_sd=prior.quantities[name].prior_sd * factor)
        for name, factor in factors.items()
    }
    return replace(prior, quantities={**prior.quantities, **changed})


def solve_all(prior: Knowledge, reductions: Sequence[Reduction]) -> Fits:
    """The fit of all trials, and of all but each."""
    everything, nothing = fit(assemble(prior, reductions)), fit(assemble(prior, ()))
    without, alone = {}, {}
    for one in reductions:
        told = bool(one.blocks or one.events)
        others = [other for other in reductions if other is not one]
        without[one.trial] = fit(assemble(prior, others)) if told else everything
        alone[one.trial] = (
            (everything if len(reductions) == 1 else fit(assemble(prior, [one]))) if told else nothing
        )
    return Fits(everything, without, alone, nothing)


def with_quantities(
    prior: Knowledge, fits: Fits, agreements: Mapping[str, Agreement], sums: Sequence[tuple[str, ...]]
) -> Knowledge:
    """The prior with every quantity that a trial moved or narrowed, and the covariance of these."""
    everything = fits.everything
    touched = [
        name for name in everything.ids if name in prior.quantities and _touched(prior, everything, name)
    ]
    order = tuple(sorted(touched))
    places = [everything.ids.index(name) for name in order]
    scale = np.array([everything.problem.knowledge.quantities[name].prior_sd for name in order])
    full = everything.covariance[np.ix_(places, places)] * np.outer(scale, scale)
    lower = tuple(tuple(float(v) for v in full[i, : i + 1]) for i in range(len(order)))
    kinds = measured_kinds(prior, everything, order, sums)
    quantities = {
        name: replace(
            prior.quantities[name],
            mean=everything.mean(name),
            sd=everything.sd(name),
            kind=kinds.get(name, prior.quantities[name].kind),
            source=_source(prior.quantities[name], kinds.get(name)),
            moved_by=shares(prior.quantities[name], fits),
            conflict=_conflict_of(name, fits, agreements),
        )
        for name in order
    }
    return replace(prior, quantities={**prior.quantities, **quantities}, order=order, covariance=lower)


def _touched(prior: Knowledge, found: Fit, name: str) -> bool:
    one = prior.quantities[name]
    moved = abs(found.mean(name) - one.prior_mean) > UNMOVED * one.prior_sd
    return moved or abs(found.sd(name) / one.prior_sd - 1) > UNMOVED


def _source(one: Quantity, kind: Kind | None) -> str:
    return "trials of this team" if kind == "measured" and one.kind != "measured" else one.source


def sums_of(plane: Plane) -> tuple[tuple[str, ...], ...]:
    """Quantities that predictions use only in their sum: make and serial of an engine; the two factors on a
    stick."""
    engines = [(f"eng.make[{one.make}]", f"eng.serial[{one.serial}]") for one in plane.engines]
    sticks = [
        (f"stick.compression[{name}]", f"stick.grade[{name}]")
        for name, stock in plane.stock.items()
        if stock.kind == "pine stick"
    ]
    return (*engines, *sticks)


def measured_kinds(
    prior: Knowledge, found: Fit, order: tuple[str, ...], sums: Sequence[tuple[str, ...]]
) -> Mapping[str, Kind]:
    """Which quantities count as measured: the variance, of the quantity or of a sum that predictions use,
    fell below a quarter of the prior's (judgement). A trial that told little earns no badge."""
    alone = [(name,) for name in order]
    kinds: dict[str, Kind] = {}
    for names in (*alone, *sums):
        if set(names) <= set(order) and _variance(found, names) < MEASURED * _prior_variance(prior, names):
            kinds |= dict.fromkeys(names, "measured")
    return kinds


def _variance(found: Fit, names: tuple[str, ...]) -> float:
    places = [found.ids.index(name) for name in names]
    scale = np.array([found.problem.knowledge.quantities[name].prior_sd for name in names])
    return float(scale @ found.covariance[np.ix_(places, places)] @ scale)


def _prior_variance(prior: Knowledge, names: tuple[str, ...]) -> float:
    return sum(prior.quantities[name].prior_sd ** 2 for name in names)


def shares(one: Quantity, fits: Fits) -> tuple[tuple[str, float], ...]:
    """(trial, share) of the removed prior variance, largest first: the mean of what the trial removes as
    the first and as the last one taken in, so that two trials that tell the same thing share it. They need
    not sum to 1."""
    wide, after = fits.nothing.sd(one.id) ** 2, fits.everything.sd(one.id) ** 2
    if wide - after <= 0:
        return ()
    found = []
    for trial, other in fits.without.items():
        last = other.sd(one.id) ** 2 - after
        first = wide - fits.alone[trial].sd(one.id) ** 2
        found.append((trial, min((first + last) / 2 / (wide - after), 1.0)))
    kept = [(trial, share) for trial, share in found if share >= LEAST_SHARE]
    return tuple(sorted(kept, key=lambda pair: (-pair[1], pair[0])))


def _conflict_of(name: str, fits: Fits, agreements: Mapping[str, Agreement]) -> str:
    hit = [trial for trial, one in sorted(agreements.items()) if one.p < FINDING and name in one.concerned]
    return "; ".join(
        f"{trial} pulls from {_value(fits.without[trial], name)} to {_value(fits.everything, name)}"
        for trial in hit
    )


def _value(found: Fit, name: str) -> str:
    quantity = found.problem.knowledge.quantities[name]
    mean = found.mean(name)
    return (
        f"{math.exp(mean):.3g}" if quantity.form == "ln" else f"{mean:.3g} {quantity.unit}".replace(" 1", "")
    )


def _disagreement(fits: Fits, trial: str, one: Agreement) -> str:
    pulls = ", ".join(
        f"{name} from {_value(fits.without[trial], name)} to {_value(fits.everything, name)}"
        for name in one.concerned[:3]
    )
    weight = "needs evidence" if one.p < SERIOUS else "finding"
    return f"{trial} and the rest disagree (p = {one.p:.2g}, {weight}): it pulls {pulls or 'on nothing that is kept'}"


def in_force(plane: Plane, trial: Trial, one: Reduction, fits: Fits, agreed: Agreement) -> TrialInForce:
    """The trial as the knowledge file lists it."""
    mine = [(i, b) for i, b in enumerate(fits.everything.problem.blocks) if b.trial == one.trial]
    scatter = max((fits.everything.scatter[i] for i, _ in mine), default=1.0)
    odd = {row for i, block in mine for row in odd_rows(block, fits.everything.weights[i])} | set(one.doubted)
    said = [*one.findings, *row_words(one, fits.everything, mine)]
    said += [each.sentence() for each in judged(trial, one)]
    if scatter > NOISY:
        said.append(f"its readings scatter {scatter:.1f} times as much as declared")
    if agreed.p < FINDING:
        said.append(_disagreement(fits, one.trial, agreed))
    return TrialInForce(
        id=trial.id,
        kind=trial.kind,
        of=trial.of,
        date=trial.date.isoformat(),
        configuration=trial.configuration,
        serial=mark_of(plane, trial),
        digest=trial.digest,
        rows=one.used or sum(len(block.measured) for _, block in mine),
        events=len(one.events),
        scatter=scatter,
        p_conflict=agreed.p,
        downweighted=tuple(sorted(odd)),
        findings=tuple(said),
        held=one.held,
        withdrawn=one.withdrawn,
        passed=one.passed,
    )


def mark_of(plane: Plane, trial: Trial) -> str:
    """What a trial was of, by its mark: the engine's serial; of a whole wing its article (silent: the first)."""
    if trial.kind == "thrust":
        return serial_of(plane, trial)
    whole = float(trial.specimen.get("scale", 1.0)) == 1.0
    if trial.kind in ("bend", "proof") and plane.wing is not None and trial.of == plane.wing.name and whole:
        return trial.article or FLYING_WING
    return trial.serial


def odd_rows(block: Block, weights: Array) -> tuple[int, ...]:
    """Raw rows of a block that hardly count (weight < 0.5); summary rows have no number and are left to
    conflicts."""
    return tuple(row for row, weight in zip(block.rows, weights, strict=True) if row and weight < DOUBT)


def row_words(one: Reduction, found: Fit, mine: Sequence[tuple[int, Block]]) -> tuple[str, ...]:
    """One sentence for each raw row that hardly counts: which channels, what was expected, a hint at a
    slip."""
    by_row: dict[int, list[str]] = {}
    hints: dict[int, str] = {}
    for i, block in mine:
        for place, row in enumerate(block.rows):
            if row and found.weights[i][place] < DOUBT:
                measured = float(block.measured[place])
                expected = measured - float(found.residuals[i][place] * block.sigma[place])
                by_row.setdefault(row, []).append(
                    f"{block.channel} {measured:.3g} where {expected:.3g} was expected"
                )
                if one.suspect is not None and not hints.get(row):
                    hints[row] = one.suspect(block.channel, row, expected)
    return tuple(
        f"row {row}: {' and '.join(words)}; it hardly counts" + (f"; {hints[row]}" if hints.get(row) else "")
        for row, words in sorted(by_row.items())
    )
