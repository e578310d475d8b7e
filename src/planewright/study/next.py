"""What to test next: share of the doubt that each test takes away per hour, the chance that it settles a row, and the
chance that it breaks what is tested, beside each other.

From the study's own draws: what each candidate trial would read is worked out for every draw, with its errors of
reading; the figure of each open row is regressed on these readings (with their squares; a mode or a pass as 0 and 1).
The share of its variance removed is R^2, less what chance alone would give. Slopes would mislead where the least of
several modes decides. The mean after the test is taken as normal, mean and deviation from the draws: it settles a row
when the whole 95 % stick then lies on one side.

A proof of the part that will fly is planned at limit load at most; one that may break it stands behind the coupons that
lower that chance. Source of the regression: any textbook of statistics; the rule is a trial of our own.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from planewright.analysis.model import States
from planewright.calibrate.kinds import KINDS, kind_name
from planewright.calibrate.protocol import Bench, Plan
from planewright.errors import InputError, NotConverged, OutOfRange
from planewright.findings import Finding
from planewright.knowledge.draws import Draws
from planewright.plane.model import Plane
from planewright.plane.parts import WHOLE
from planewright.study.model import Expected, NextRow, NextTest

Array = npt.NDArray[np.float64]

EVERY = 4
LEAST_SHARE = 0.02
STICK = 1.959964
RISKY = 0.05
TAIL = 0.5
SHEETS = ("foam board", "cardboard", "plywood", "pine stick", "packing tape")
BENT = ("foam board", "pine stick", "hot melt", "polyurethane", "white glue")


@dataclass(frozen=True)
class Thinned:
    """Every n-th of seeded draws, as States: enough for a plan, and matched draw by draw with the figures' own."""

    draws: Draws
    every: int

    @property
    def count(self) -> int:
        """How many draws are left."""
        return len(range(0, self.draws.count, self.every))

    def factor(self, base: str, owner: str = "") -> Array:
        """Draws of a factor, (count,)."""
        return self.draws.factor(base, owner)[:: self.every]

    def shift(self, base: str, owner: str = "") -> Array:
        """Draws of a shift, (count,)."""
        return self.draws.shift(base, owner)[:: self.every]


@dataclass(frozen=True)
class Candidate:
    """A trial that this aeroplane could have: its kind, what it would be of, and the evidence rows it closes."""

    kind: str
    of: str
    closes: tuple[str, ...] = ()


def candidates(plane: Plane) -> tuple[Candidate, ...]:
    """Every trial that this aeroplane has a part for."""
    return (*_of_stock(plane), *_of_wing(plane), *_of_engines(plane), *_of_whole(plane))


def _of_stock(plane: Plane) -> Iterator[Candidate]:
    for name, stock in plane.stock.items():
        if stock.kind in SHEETS:
            yield Candidate("weighing", name)
    for name, stock in plane.stock.items():
        if stock.kind in BENT:
            yield Candidate("coupon", name)


def _of_wing(plane: Plane) -> Iterator[Candidate]:
    wing = plane.wing
    if wing is None:
        return
    shown = (f"evidence.strength.{wing.name}",)
    yield Candidate("bend", wing.name, shown)
    yield Candidate("proof", wing.name, shown)
    yield Candidate("vehicle", wing.name)
    for joint in wing.joints:
        name = f"{wing.name}.joint.{joint.name}"
        yield Candidate("joint", name, (f"evidence.{name}",))


def _of_engines(plane: Plane) -> Iterator[Candidate]:
    for engine in plane.engines:
        yield Candidate("thrust", engine.name, (f"evidence.thrust.{engine.name}",))
    if plane.battery is not None:
        yield Candidate("battery", "battery")


def _of_whole(plane: Plane) -> Iterator[Candidate]:
    if plane.wheels:
        yield Candidate("balance", WHOLE, ("evidence.balance",))
        yield Candidate("pull", "gear")
        yield Candidate("taxi", WHOLE)
    yield Candidate("swing", WHOLE)
    if plane.controls:
        yield Candidate("controls", WHOLE, ("check.controls",))
    yield Candidate("range", WHOLE, ("check.range",))


def planned(bench: Bench, one: Candidate, states: States) -> Plan | None:
    """The plan of a candidate; None when the drawing does not say enough for one."""
    try:
        return KINDS[one.kind].plan(bench, one.of, states)
    except (InputError, OutOfRange, NotConverged):
        return None


def regressors(plan: Plan, seed: int) -> Array:
    """What the trial would read, draw by draw, as columns for a regression, shape (N, k): readings with their own and
    their common errors, in ln where they are relative; a label as one column for each name; squares of the rest."""
    rng = np.random.default_rng(seed)
    columns: list[Array] = []
    shared = plan.common * rng.standard_normal(len(plan.points[0].draws)) if plan.points else np.zeros(0)
    for point in plan.points:
        read = point.readings(rng.standard_normal(len(point.draws)))
        if point.form == "ln":
            read = np.log(np.maximum(read, 1e-12)) + shared
        if point.form == "label":
            columns += [(read == value).astype(np.float64) for value in np.unique(read)[1:]]
        elif np.all(np.isfinite(read)) and np.ptp(read) > 0:
            scaled = (read - read.mean()) / read.std()
            columns += [scaled] if point.form == "flag" else [scaled, scaled**2]
    return np.column_stack(columns) if columns else np.zeros((len(shared), 0))


def share_removed(y: Array, x: Array) -> float:
    """R^2 of y (N,) on columns x (N, k) and a constant, less what k columns of noise would give; 0 to 1."""
    good = np.isfinite(y)
    n, k = int(good.sum()), x.shape[1]
    if not k or n < 10 * (k + 1):
        return 0.0
    low, high = np.percentile(y[good], [TAIL, 100 - TAIL])
    target = np.clip(y[good], low, high)
    target = target - target.mean()
    whole = float(np.sum(target**2))
    if whole <= 0:
        return 0.0
    design = x[good] - x[good].mean(axis=0)
    fitted = design @ np.linalg.lstsq(design, target, rcond=1e-8)[0]
    r2 = float(np.sum(fitted**2)) / whole
    fair = 1.0 - (1.0 - r2) * (n - 1) / (n - k - 1)
    return float(min(max(fair, 0.0), 1.0))


def chances(y: Array, limit: float, share: float) -> tuple[float, float]:
    """Chance that after the test the whole stick lies above the limit, and below it; y (N,), the figure's draws."""
    good = y[np.isfinite(y)]
    low, middle, high = np.percentile(good, [2.5, 50.0, 97.5])
    near = low if middle > limit else high
    sd = max(abs(float(middle - near)) / STICK, 1e-12)
    after, moves = sd * math.sqrt(max(1.0 - share, 0.0)), sd * math.sqrt(max(share, 1e-12))
    off = float(middle) - limit
    return float(ndtr((off - STICK * after) / moves)), float(ndtr((-off - STICK * after) / moves))


def rows_of(
    plan: Plan, one: Candidate, open_rows: Sequence[Finding], figures: Mapping[str, Array]
) -> tuple[NextRow, ...]:
    """What a plan would do to each open row that has a figure, largest share first."""
    x = regressors(plan, zlib.crc32(f"{one.kind}:{one.of}".encode()))
    found = []
    for finding in open_rows:
        y = figures.get(finding.figure)
        if y is None or finding.limit is None or finding.state != "crosses":
            continue
        share = share_removed(y, x)
        if share < LEAST_SHARE:
            continue
        above, below = chances(y, finding.limit, share)
        clears = above if finding.side == "at least" else below
        found.append(
            NextRow(
                finding=finding.id,
                name=finding.name,
                kind=finding.kind,
                share=share,
                per_hour=share / (plan.minutes / 60.0),
                settles=min(above + below, 1.0),
                clears=clears,
            )
        )
    return tuple(sorted(found, key=lambda row: (-row.share, row.finding)))


def next_tests(
    bench: Bench, states: States, findings: Sequence[Finding], figures: Mapping[str, Array]
) -> tuple[NextTest, ...]:
    """Tests worth doing now, best first.

    Arguments:
        bench: the aeroplane and what was weighed, with what is known now.
        states: the study's draws.
        findings: all rows, ranked; figures: draws of each figure by name.
    Returns: first those that close a missing blocking row, shortest first; then by the share that they take away per
        hour from a blocking row; those that may break the part that will fly behind the rest.
    """
    open_rows = [one for one in findings if one.state != "clear"]
    found = []
    for one in candidates(bench.plane):
        plan = planned(bench, one, states)
        if plan is None:
            continue
        closes = tuple(row.id for row in open_rows if row.id in one.closes and row.state != "conflict")
        rows = rows_of(plan, one, open_rows, figures)
        if closes or rows:
            found.append(_record(plan, closes, rows))
    return tuple(sorted(found, key=_rank))


def _record(plan: Plan, closes: tuple[str, ...], rows: tuple[NextRow, ...]) -> NextTest:
    return NextTest(
        kind=plan.kind,
        of=plan.of,
        minutes=plan.minutes,
        people=plan.people,
        closes=closes,
        rows=rows,
        article=plan.article,
        breaks=plan.breaks,
        most=plan.most,
        notes=plan.notes,
        expects=expected(plan),
    )


def expected_of(bench: Bench, kind: str, of: str, states: States) -> tuple[Expected, ...]:
    """What a trial of that kind and part should read; () when no plan can be made."""
    plan = planned(bench, Candidate(kind_name(kind, of), of), states)
    return () if plan is None else expected(plan)


def expected(plan: Plan) -> tuple[Expected, ...]:
    """What the trial should read, with 95 % bands, in words for names."""
    found = []
    for point in plan.points:
        low, middle, high = point.band()
        if point.form == "label" or not math.isfinite(middle):
            continue
        if point.form == "flag":
            middle = float(np.mean(point.draws))
            low = high = middle
        found.append(
            Expected(
                what=point.what,
                unit=point.unit,
                low=low,
                middle=middle,
                high=high,
                form=point.form,
                said=point.said,
            )
        )
    return tuple(found)


def _rank(one: NextTest) -> tuple[int, int, float, str, str]:
    risky = int(one.article == "flying" and one.breaks > RISKY)
    best = max((row.per_hour * (1.0 if row.kind == "block" else 0.1) for row in one.rows), default=0.0)
    order = one.minutes if one.closes else -best
    return risky, 0 if one.closes else 1, order, one.kind, one.of
