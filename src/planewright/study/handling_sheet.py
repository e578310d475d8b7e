"""The whole sheet of air and handling as one record, its pictures as data with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import numpy as np
from pydantic import Field

from planewright import __version__
from planewright.analysis import handling
from planewright.findings.model import Record
from planewright.study.chart import Chart
from planewright.study.fit import FitRow, fit_row
from planewright.study.handling_charts import handling_charts
from planewright.study.handling_rows import (
    DerivativeRow,
    FoldedRow,
    HingeRow,
    LimitRow,
    MotionRow,
    RollRow,
    RudderRow,
    SlipRow,
    StallRow,
    TrimRow,
    derivative_rows,
    folded_row,
    hinge_rows,
    limit_rows,
    middle,
    motion_rows,
    prove_words,
    roll_rows,
    rudder_rows,
    slip_rows,
    stall_of,
    stall_row,
    trim_rows,
)
from planewright.study.numbers import Flown
from planewright.study.study import STALE, Study

CAUTIONS = (
    "Hinge loads are tried with the propellers off or the fans unplugged, fingers away from horns.",
    "A taxi run in steps of speed comes before any flight: nobody ahead, a person at the switch, the strip clear.",
    "Local rules and licensed practice come first; this tool permits nothing.",
)
AXES = (
    "Body axes about the balance point: x forward, y right, z down. Elevator, flap and right aileron positive trailing "
    "edge down, rudder trailing edge left."
)


class HandlingSheet(Record):
    """Everything `planewright handling` shows. SI units and rad throughout; bands are 95 %."""

    schema_: Literal["planewright/handling/1"] = Field("planewright/handling/1", serialization_alias="schema")
    version: str
    project: str
    inputs_hash: str
    stale: bool
    why: str
    speed: float = 0.0
    axes: str = AXES
    stall: StallRow | None = None
    limits: tuple[LimitRow, ...] = ()
    trim: tuple[TrimRow, ...] = ()
    derivatives: tuple[DerivativeRow, ...] = ()
    motions: tuple[MotionRow, ...] = ()
    roll: tuple[RollRow, ...] = ()
    sideslip: tuple[SlipRow, ...] = ()
    stopped: tuple[RudderRow, ...] = ()
    hinges: tuple[HingeRow, ...] = ()
    folded: FoldedRow | None = None
    fit: FitRow | None = None
    says: tuple[str, ...] = ()
    proofs: tuple[str, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS
    charts: tuple[Chart, ...] = ()

    def as_dict(self) -> dict[str, object]:
        """The JSON document."""
        data = self.model_dump(mode="json", exclude_none=True)
        return {"schema": data.pop("schema_"), **data}


def handling_sheet(study: Study, inputs_hash: str = "") -> HandlingSheet:
    """The sheet of a study; without a wing, or without level flight, ``why`` says what lacks."""
    head = {
        "version": __version__,
        "project": study.plane.name,
        "inputs_hash": inputs_hash,
        "stale": bool(study.knowledge.stale),
        "folded": folded_row(study),
    }
    flown, air = study.outer[1], study.models.air
    if air is None or flown is None or study.models.prepared is None:
        why = study.models.why.get("air") or study.outer[0].absent.get(
            "level_speed", "there is no wing in the file"
        )
        return HandlingSheet.model_validate({**head, "why": why})
    d = handling.derivatives_at(
        study.models.prepared, study.draws, flown.mass, flown.trim, flown.drag.coefficient
    )
    trims, hinges = tuple(trim_rows(study, flown)), tuple(hinge_rows(study, flown))
    stalled = stall_of(study, flown)
    stall = None if stalled is None else stall_row(stalled[1])
    rows = {
        **head,
        "why": "",
        "speed": middle(flown.speed),
        "stall": stall,
        "limits": tuple(limit_rows(study)),
        "trim": trims,
        "derivatives": tuple(derivative_rows(study, d)),
        "motions": tuple(motion_rows(study, flown)),
        "roll": tuple(roll_rows(study, flown)),
        "sideslip": tuple(slip_rows(study, flown)),
        "stopped": tuple(rudder_rows(study, flown)),
        "hinges": hinges,
        "proofs": tuple(prove_words(hinges)),
        "fit": fit_row(study),
        "charts": handling_charts(study, flown, trims, None if stalled is None else stalled[0]),
    }
    return HandlingSheet.model_validate({**rows, "says": tuple(sentences(study, flown, stall, hinges))})


def sentences(
    study: Study, flown: Flown, stall: StallRow | None, hinges: tuple[HingeRow, ...]
) -> Iterator[str]:
    """What the numbers say, one thing to a sentence."""
    if study.knowledge.stale:
        yield f"Note: {STALE}."
    yield from balance_words(study)
    if stall is not None:
        yield from stall_words(stall)
    found = study.outer[0]
    if "nose_load_power" in found and middle(found["nose_load_power"]) < 0.02:
        yield "At full power the nose wheel carries almost nothing: it does not steer. Give power slowly."
    if "spiral_rate" in found:
        rate = middle(found["spiral_rate"])
        ends = np.nanpercentile(found["spiral_rate"], [2.5, 97.5])
        way = f"doubles in {np.log(2) / rate:.0f} s" if rate > 0 else f"halves in {-np.log(2) / rate:.0f} s"
        unsure = " (whether it grows or dies is not known)" if ends[0] < 0 < ends[1] else ""
        yield f"Left alone in a bank, the bank {way}{unsure}; the pilot holds it."
    if "phugoid_period" in found:
        old = handling.phugoid_period(middle(flown.speed))
        yield (
            f"The slow rise and fall takes {middle(found['phugoid_period']):.0f} s, not the {old:.0f} s of the closed "
            "form pi sqrt(2) V/g: light models damp their pitching."
        )
    if hinges and all(one.margin.low > 0 for one in hinges):
        worst = min(hinges, key=lambda one: one.margin.value)
        yield f"The weakest servo is that of {worst.control}: {worst.margin.value:.1f} times what it needs."


def balance_words(study: Study) -> Iterator[str]:
    """Where the balance point lies between its limits, what moves it, and weight at the nose for weight at the tail."""
    found = study.outer[0]
    if "cg_fore_limit_x" in found:
        fore, aft, here = (
            1e3 * middle(found[name]) for name in ("cg_fore_limit_x", "cg_aft_limit_x", "cg_x")
        )
        yield f"The balance point lies at {here:.0f} mm; it may lie from {fore:.0f} to {aft:.0f} mm behind the nose."
    if "battery_window_aft" in found and study.plane.battery is not None:
        limit = np.nanpercentile(found["battery_window_aft"], [2.5, 50.0])
        yield (
            f"For 10 % balance margin the middle of the battery lies at most {1e3 * limit[1]:.0f} mm behind the nose "
            f"(at most {1e3 * limit[0]:.0f} mm to be sure of it, 95 in 100); a fixed stop belongs there. One mm of "
            f"battery moves the balance point by {middle(found['battery_effect']):.2f} mm."
        )
    yield from tail_words(study)


def tail_words(study: Study) -> Iterator[str]:
    """A tail heavier than drawn: what it asks at the nose."""
    heavy = sum(
        row.used - row.drawn
        for row in study.weights
        if row.part in tail_parts(study) and row.state == "weighed"
    )
    if heavy <= 0.002 or "cg_x" not in study.outer[0]:
        return
    here = middle(study.outer[0]["cg_x"])
    rows = [row for row in study.weights if row.part in tail_parts(study) and row.state == "weighed"]
    arm = sum((row.used - row.drawn) * row.x for row in rows) / heavy - here
    nose = study.plane.bodies[0].stations[0].x if study.plane.bodies else 0.0
    front = here - nose
    if arm > 0 and front > 0:
        yield (
            f"The tail is {1e3 * heavy:.0f} g over what was drawn. Take {1e3 * heavy:.0f} g off it, or the balance "
            f"asks for {1e3 * heavy * arm / front:.0f} g in the very nose ({arm / front:.1f} times as much)."
        )


def tail_parts(study: Study) -> frozenset[str]:
    """Names of the weighed parts behind the wing: tailplanes and fins, their halves too."""
    tails = {one.name for one in study.plane.surfaces if one.kind != "wing"}
    return frozenset(row.part for row in study.weights if row.part.split(".")[0] in tails)


def stall_words(stall: StallRow) -> Iterator[str]:
    """How it stalls, in sentences."""
    if stall.part is not None and stall.surface is not None:
        place = 100 * stall.part
        yield (
            f"The {stall.surface} lets go first at {place:.0f} % of its half span; the strip near the wing's tip then "
            f"works at {100 * stall.tip_share:.0f} % of what its section can give."
        )
    if stall.autorotates is not None:
        degrees = np.rad2deg(stall.autorotates - stall.alpha)
        when = "after" if degrees >= 0 else "before"
        yield (
            f"Damping in roll turns over {abs(degrees):.1f} degrees {when} the greatest lift: beyond that a "
            "dropping wing drops faster."
        )
    if stall.drop is not None:
        yield (
            f"At the stall a quarter of a degree of twist between the wings rolls as much as {100 * stall.drop:.0f} % "
            "of full aileron."
        )
    for name in stall.outside:
        yield f"The {name} works beyond what its section's curve was measured for: its part of the stall is a guess."
    if stall.failed:
        yield f"{stall.failed} angles did not converge and are left out."
