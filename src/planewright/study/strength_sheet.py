"""The whole sheet of strength as one record, and its pictures as data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal

import numpy as np
from pydantic import Field

from planewright import __version__
from planewright.analysis.strength import StrengthModel, bend_prediction, known_materials, modes
from planewright.analysis.strength.beams import cantilever
from planewright.analysis.strength.cases import LoadCase, along
from planewright.analysis.strength.loads import Along
from planewright.errors import PlanewrightError
from planewright.findings.model import Record
from planewright.study.chart import Axis, Chart, Mark
from planewright.study.charts import line
from planewright.study.propulsion import Band, band, middle_of
from planewright.study.strength_rows import (
    BayRow,
    CaseRow,
    DetailRow,
    JointRow,
    ModeRow,
    bay_rows,
    case_rows,
    detail_rows,
    joint_rows,
    mode_rows,
)
from planewright.study.strength_twist import TwistSheet, twist_sheet
from planewright.study.study import STALE, Study

CAUTIONS = (
    "Bags and sand: nobody under the wing, feet clear, eyes covered when it may break; add slowly, from the middle "
    "out, and stop at the limit load on the wing that will fly.",
    "Cut sticks and wire with covered eyes; hot glue burns; foam and glue fumes outdoors.",
    "A wing that creaked, creased or was wet is a new piece of evidence: look at every joint before it flies.",
    "Local rules and licensed practice come first; this tool permits nothing.",
)
THIN_WALL = (
    "Thin-wall limit of e: everything scaled 2; board kept and caps scaled about 1 to 2; board and caps kept 0 to 1. "
    "The e shown here are those of the two drawings."
)


class ScaleMode(Record):
    """One mode in both drawings: sand a side at which it is reached, kg, and e in small = scale^e full."""

    mode: str
    small: Band
    full: Band
    exponent: float


class ScaleRow(Record):
    """A bent specimen beside the real wing: what was scaled, each mode, what first, g of the real wing."""

    trial: str
    scale: float
    stated: tuple[str, ...]
    modes: tuple[ScaleMode, ...]
    small: Band
    full: Band
    first_small: str
    first_full: str
    full_factor: Band
    says: tuple[str, ...]


class MaterialValue(Record):
    """One value of the table of materials."""

    material: str
    what: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str
    kind: str
    source: str
    says: str = ""


class StrengthSheet(Record):
    """Everything `planewright strength` shows. SI units throughout; bands are 95 %."""

    schema_: Literal["planewright/strength/1"] = Field("planewright/strength/1", serialization_alias="schema")
    version: str
    project: str
    inputs_hash: str
    stale: bool
    why: str
    load_factor: Band | None = None
    needed: float = 0.0
    first: str = ""
    modes: tuple[ModeRow, ...] = ()
    cases: tuple[CaseRow, ...] = ()
    joints: tuple[JointRow, ...] = ()
    details: tuple[DetailRow, ...] = ()
    twist: TwistSheet | None = None
    bags: tuple[BayRow, ...] = ()
    scale: tuple[ScaleRow, ...] = ()
    materials: tuple[MaterialValue, ...] = ()
    says: tuple[str, ...] = ()
    not_covered: tuple[str, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS

    def as_dict(self) -> dict[str, object]:
        """The JSON document."""
        data = self.model_dump(mode="json", exclude_none=True)
        return {"schema": data.pop("schema_"), **data}


def strength_sheet(
    study: Study, specimens: Mapping[str, Mapping[str, Any]] | None = None, inputs_hash: str = ""
) -> StrengthSheet:
    """The sheet of a study; ``specimens``: what differs in each bent specimen, by trial (see ``bend_prediction``).
    Without a wing whose strength can be worked out ``why`` says what lacks."""
    model = study.models.strength
    head: dict[str, object] = {
        "version": __version__,
        "project": study.plane.name,
        "inputs_hash": inputs_hash,
        "stale": bool(study.knowledge.stale),
        "materials": materials(),
    }
    if model is None or "load_factor_at_failure" not in study.outer[0]:
        why = study.models.why.get("strength", "") or study.outer[0].absent.get("load_factor_at_failure", "")
        return StrengthSheet.model_validate({**head, "why": why or "there is no wing in the file"})
    rows = tuple(mode_rows(study, model))
    load = study.outer[0]["load_factor_at_failure"]
    first = max(rows, key=lambda row: row.first)
    return StrengthSheet.model_validate(
        {
            **head,
            "why": "",
            "load_factor": band(load, "1"),
            "needed": model.needed,
            "first": first.mode,
            "modes": rows,
            "cases": tuple(case_rows(study, model)),
            "joints": tuple(joint_rows(study, model)),
            "details": tuple(detail_rows(study, model)),
            "twist": twist_sheet(study, model),
            "bags": bay_rows(study, model),
            "scale": tuple(_scales(study, model, specimens or {})),
            "says": tuple(_says(study, model, rows)),
            "not_covered": model.not_covered,
        }
    )


def materials() -> tuple[MaterialValue, ...]:
    """The table of materials as it ships."""
    keep = MaterialValue.model_fields
    return tuple(
        MaterialValue.model_validate({key: value for key, value in row.items() if key in keep})
        for row in known_materials()
    )


def _says(study: Study, model: StrengthModel, rows: tuple[ModeRow, ...]) -> Iterator[str]:
    if study.knowledge.stale:
        yield f"Note: {STALE}."
    first = max(rows, key=lambda row: row.first)
    others = [row.mode for row in rows if row.mode != first.mode and row.first > 0.05]
    more = f"; in the others {' or '.join(others)}" if others else ""
    where = "at the middle" if first.place < 0.005 else f"{1000 * first.place:.0f} mm out from the middle"
    yield f"In {100 * first.first:.0f} of 100 draws {first.mode} comes first, {where}{more}."
    if len(others) > 0 and rows[1].first > 0.2:
        yield "Two modes compete: breaking a small wing settles only the one that breaks. A coupon settles the other."
    ends = model.spar_ends(study.draws, _level(study, model))
    for place, force in ends.items():
        yield (
            f"A stick ends {1000 * place:.0f} mm out: {middle_of(force) * model.needed:.1f} N must go over into the "
            "skins there at the ultimate load; wings break at spar ends."
        )


def _level(study: Study, model: StrengthModel) -> Along:
    return along(
        model, LoadCase("level", "level flight", 1.0, 1.0, False, ""), middle_of(study.outer[0]["mass"])
    )


def stated_of(specimen: Mapping[str, Any]) -> Iterator[str]:
    """What a specimen says of itself, and what it leaves to be asked."""
    skin, caps = specimen.get("skin"), specimen.get("caps")
    yield f"all lengths times {float(specimen.get('scale', 1.0)):g}"
    yield (
        f"board {1000 * float(skin['thickness']):.1f} mm" if skin and "thickness" in skin
        else "board not stated: taken as the aeroplane's own"
    )  # fmt: skip
    yield (
        f"caps {1000 * caps[0]:g} x {1000 * caps[1]:g} mm" if caps
        else "caps not stated: taken as the aeroplane's own"
    )  # fmt: skip
    pitch = specimen.get("ribs")
    yield (
        f"ribs {1000 * pitch:.0f} mm apart" if pitch else "rib pitch not stated: taken as the aeroplane's own"
    )
    yield "no joint in it" if specimen.get("joint") == "none" else "with the joints of the aeroplane"


def _scales(
    study: Study, model: StrengthModel, specimens: Mapping[str, Mapping[str, Any]]
) -> Iterator[ScaleRow]:
    for trial, specimen in specimens.items():
        try:
            yield _scale(study, model, trial, specimen)
        except PlanewrightError:
            continue


def _scale(study: Study, model: StrengthModel, trial: str, specimen: Mapping[str, Any]) -> ScaleRow:
    prediction = bend_prediction(study.plane, specimen, float(specimen.get("support", 0.0)))
    draws = study.draws
    small, full = prediction.fails(draws), prediction.fails_full(draws)
    exponents = prediction.exponents(draws) if prediction.scale < 0.999 else {}
    least_small, least_full = (np.min(np.array(list(one.values())), axis=0) for one in (small, full))
    moment = least_full * prediction.full.moment
    one_g = model.moment_at(0.0, study.outer[0]["mass"], draws)
    order = sorted(small, key=lambda mode: float(np.median(small[mode])))
    return ScaleRow(
        trial=trial,
        scale=prediction.scale,
        stated=tuple(stated_of(specimen)),
        modes=tuple(
            ScaleMode(
                mode=mode,
                small=band(np.minimum(small[mode], 1e3), "kg"),
                full=band(np.minimum(full[mode], 1e4), "kg"),
                exponent=exponents.get(mode, 0.0),
            )
            for mode in order
        ),
        small=band(least_small, "kg"),
        full=band(least_full, "kg"),
        first_small=order[0],
        first_full=min(full, key=lambda mode: float(np.median(full[mode]))),
        full_factor=band(moment / one_g, "1"),
        says=(
            "Only what each mode's factor teaches passes to the real wing, never kilograms: scatter between pieces and "
            "the weakness of larger pieces come on top.",
            f"The real wing wants a proof of its own at {study.plane.limits.load:g} g with its joints in it.",
            THIN_WALL,
        ),
    )


# Pictures


def along_chart(study: Study) -> Chart | None:
    """Bending strength against load along the span, and where it breaks first."""
    model = study.models.strength
    if model is None or "mass" not in study.outer[0]:
        return None
    holds, level = model.along_the_span(study.draws, study.outer[0]["mass"])
    inside = level[:, 0] > 0.02 * float(np.max(level[:, 0]))
    y = model.half.y[inside]
    first = max(model.governing(study.draws, study.outer[0]["mass"]), key=lambda one: one.share)
    ends = sorted({float(model.half.y[np.flatnonzero(one.present)[-1]]) for one in model.half.sticks})
    return Chart(
        id="strength",
        title="Bending that the wing holds, against what it needs",
        x=Axis(words="out from the middle", unit="m", low=0.0, zero=True),
        y=Axis(words="moment", unit="N m", low=0.0, zero=True),
        series=(
            line("what it holds", y, holds[inside]),
            line(f"needed: {model.needed:g} g", y, model.needed * level[inside], "dashed"),
        ),
        marks=(
            Mark(words="breaks first", x=first.place),
            *(Mark(words=f"joint {one.name}", x=one.out) for one in model.joints),
            *(Mark(words="spar ends", x=place) for place in ends if place < model.half.half_span - 1e-3),
        ),
        notes=(
            f"First in {100 * first.share:.0f} of 100 draws: {first.mode}. Joints are not in the upper line.",
        ),
    )


def deflection_chart(study: Study) -> Chart | None:
    """Rise of the half wing in level flight."""
    model = study.models.strength
    if model is None or "mass" not in study.outer[0]:
        return None
    case = model.case(study.outer[0]["mass"], study.draws)
    stiff = modes.section_bending(model.half, study.draws).stiffness * study.draws.factor("work.stiffness")
    rise = 1000 * model.half.tip_by_sweep * cantilever(model.half.y, case.moment / stiff)[1]
    return Chart(
        id="deflection",
        title="How far the half wing rises",
        x=Axis(words="out from the middle", unit="m", low=0.0, zero=True),
        y=Axis(words="rise", unit="mm", low=0.0, zero=True),
        series=(
            line("level flight", model.half.y, rise),
            line(f"{model.limit:g} times", model.half.y, model.limit * rise, "dashed"),
        ),
        notes=("By bending; shear of the webs adds about a twentieth at the tip.",),
    )


def strength_charts(study: Study) -> tuple[Chart, ...]:
    """Pictures of the sheet."""
    return tuple(one for one in (along_chart(study), deflection_chart(study)) if one is not None)
