"""Before and after: which rows of the verdict the trials moved, and which trials did it."""

from __future__ import annotations

from collections.abc import Mapping

from planewright.findings import Finding
from planewright.knowledge.model import Knowledge
from planewright.study.model import Document, Figure, MovedRow

LEAST = 0.02
CHANGED = 0.01


def with_before(before: Document, after: Document, knowledge: Knowledge) -> Document:
    """The document after the trials, with what they moved.

    Arguments:
        before: the document at the prior; after: the same with ``knowledge``, in which the trials are taken in.
    """
    old = {one.id: one for one in before.findings}
    rows = [
        moved_row(old[one.id], one, after.figures, knowledge)
        for one in after.findings
        if one.id in old and changed(old[one.id], one)
    ]
    verdict = before.verdict.id if before.verdict is not None else None
    return after.model_copy(update={"moved": tuple(rows), "verdict_before": verdict})


def changed(before: Finding, after: Finding) -> bool:
    """True when a row changed side, or its stick moved or shrank by more than a hundredth of its scale."""
    if before.state != after.state:
        return True
    if not before.stick or not after.stick:
        return False
    return any(abs(a - b) > CHANGED for a, b in zip(before.stick[0], after.stick[0], strict=True))


def moved_row(
    before: Finding, after: Finding, figures: Mapping[str, Figure], knowledge: Knowledge
) -> MovedRow:
    """One row before and after."""
    return MovedRow(
        finding=after.id,
        name=after.name,
        before=before.state,
        after=after.state,
        value_before=before.value,
        value_after=after.value,
        unit=after.unit,
        by=movers(after, figures.get(after.figure), knowledge),
    )


def movers(row: Finding, figure: Figure | None, knowledge: Knowledge) -> tuple[str, ...]:
    """Trials that moved what a row rests on, largest share first; of a row of evidence those that it names.

    What counts is the share of the figure that rested on a quantity before the trials, as far as it is known now, times
    the share of that quantity's doubt that the trial took away.
    """
    if figure is None:
        return tuple(one.id for one in knowledge.trials if one.id in row.evidence)
    weight: dict[str, float] = {}
    for name, share in figure.rests_on:
        one = knowledge.quantities.get(name)
        if one is None or one.sd <= 0:
            continue
        was = share * (one.prior_sd / one.sd) ** 2
        for trial, part in one.moved_by:
            weight[trial] = weight.get(trial, 0.0) + was * part
    most = max(weight.values(), default=0.0)
    kept = [(trial, value) for trial, value in weight.items() if value >= max(LEAST * most, 1e-9)]
    return tuple(trial for trial, _ in sorted(kept, key=lambda pair: (-pair[1], pair[0])))


def moved_words(row: MovedRow) -> str:
    """One row in words: "Wing strength: crosses before, clear now (by 2026-04-18-bend)"."""
    said = (
        f"{row.name}: {row.before} before, {row.after} now"
        if row.before != row.after
        else f"{row.name}: {row.after}"
    )
    return said + (f" (by {', '.join(row.by)})" if row.by else "")
