"""Rows of the sheet of strength about twist: seams closed and open, engines on and off, balance moved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from planewright.analysis.strength import HONEST, StrengthModel, stiffness, torsion_factor
from planewright.analysis.strength.stiffness import STATES_OF_SEAMS, Stiffness
from planewright.findings.model import Record
from planewright.study.propulsion import Band, band, middle_of
from planewright.study.study import Study


class TwistRow(Record):
    """One state of the wing in air: speeds m/s (None: none found), roll kept at the placard."""

    words: str
    divergence: float | None
    half_roll: float | None
    kept: float | None
    rule: float
    unsteady: float | None
    omega: float


class TwistSheet(Record):
    """Stiffness in twist: GJ at the root N m2, turn of the tip per torque hung there rad/(N m), twist by camber at the
    planned and the placard speed rad, states of seams, engines and balance, the least of them, what is said."""

    stiffness: Band
    tip_per_torque: Band
    camber_planned: float | None
    camber_placard: float | None
    rows: tuple[TwistRow, ...]
    least: float
    least_of: str
    says: tuple[str, ...]


def twist_sheet(study: Study, model: StrengthModel) -> TwistSheet | None:
    """Twist with seams closed and open, engines on and off, balance moved, stiffness halved."""
    models = study.models
    if models.middle is None or models.stiffness is None:
        return None
    whole = stiffness(
        models.geometry, model.half, models.mass.wing_points(models.middle), models.middle, models.density,
        STATES_OF_SEAMS,
    )  # fmt: skip
    placard = study.plane.limits.placard
    rows = tuple(_twist_rows(whole, placard))
    speeds = [
        (value, f"{row.words}: {name}") for row in rows for value, name in _speeds(row) if value is not None
    ]
    least, of = min(speeds)
    ratio = torsion_factor(model.half, study.draws) / torsion_factor(model.half, models.middle)
    planned = middle_of(study.outer[0]["level_speed"])
    return TwistSheet(
        stiffness=band(whole.closed.torsion[0] * ratio, "N m2"),
        tip_per_torque=band(whole.tip_per_torque() / ratio, "rad/(N m)"),
        camber_planned=whole.camber_twist(planned),
        camber_placard=None if placard is None else whole.camber_twist(placard),
        rows=rows,
        least=least,
        least_of=of,
        says=tuple(_twist_says(least, of, placard, model)),
    )


def _speeds(row: TwistRow) -> tuple[tuple[float | None, str], ...]:
    return (
        (row.divergence, "twists off"), (row.half_roll, "ailerons keep half of their roll"),
        (row.rule, "simple rule"), (row.unsteady, "bending and twist grow"),
    )  # fmt: skip


def _twist_rows(whole: Stiffness, placard: float | None) -> Iterator[TwistRow]:
    for seams in STATES_OF_SEAMS:
        yield twist_row(f"seams: {seams}", whole.with_seams(seams), placard)
    yield twist_row("engines taken off the wing", whole.with_seams("closed, engines off"), placard)
    for words, behind in (
        ("wing balanced 5 % of the chord further aft", 0.05),
        ("5 % further forward", -0.05),
    ):
        yield twist_row(words, whole, placard, behind)
    yield twist_row("half the stiffness in twist", _halved(whole), placard)


def _halved(whole: Stiffness) -> Stiffness:
    half = replace(whole.closed, torsion=whole.closed.torsion / 2)
    return replace(whole, beams={**whole.beams, "closed": half})


def twist_row(words: str, wing: Stiffness, placard: float | None, behind: float = 0.0) -> TwistRow:
    """One state of the wing; the weakest pair of ailerons counts."""
    found = wing.unsteady(behind=behind)
    kept = [wing.kept(name, placard) for name in wing.ailerons] if placard is not None else []
    good = [one for one in kept if np.isfinite(one)]
    return TwistRow(
        words=words,
        divergence=wing.divergence if np.isfinite(wing.divergence) else None,
        half_roll=min(wing.reversal.values(), default=None),
        kept=min(good) if good and len(good) == len(kept) else None,
        rule=wing.rule,
        unsteady=float(found.speed) if np.isfinite(found.speed) else None,
        omega=float(found.omega),
    )


def _twist_says(least: float, of: str, placard: float | None, model: StrengthModel) -> Iterator[str]:
    if placard is not None:
        times = least / placard
        yield (
            f"The least of all states is {least:.0f} m/s ({of}), {times:.1f} times the placard"
            + (": a seam is structure. Photograph each one closed." if times < 2 else ".")
        )
    yield (
        "Measure it: hang a weight at the tip's nose, then at its tail, and read the turn; weigh a half wing on two "
        "edges for its balance; slop of an aileron under 1 mm at its trailing edge (common practice, no source)."
    )
    if np.rad2deg(model.half.sweep) > 5:
        yield "The wing is swept: these strips are not. Sweep helps against twisting off and costs aileron."
    yield HONEST
