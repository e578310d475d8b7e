"""Rows of the sheet of strength: modes, load cases, joints, other parts, twist, bags. Worked out from a study."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import numpy.typing as npt

from planewright.analysis.strength import (
    FACE,
    GLUE,
    PANEL,
    SPAR_END,
    STICK,
    STICK_BUCKLING,
    WEB,
    WEB_BUCKLING,
    JointNeed,
    StrengthModel,
    cases,
    details,
    modes,
)
from planewright.analysis.strength.cases import LoadCase
from planewright.analysis.strength.loads import Along, tip_lift
from planewright.findings.model import Record
from planewright.study.propulsion import Band, band, middle_of
from planewright.study.study import Study

Array = npt.NDArray[np.float64]

SQRT3 = float(np.sqrt(3.0))
MODE_SAYS: Mapping[str, str] = {
    STICK: "axial over crushing plus bending over bending strength (timber interaction, from memory); pines of the "
    "Wood Handbook with knots taken off by judgement",
    STICK_BUCKLING: "a long bar held by its glued web (Hetenyi, from memory)",
    FACE: "the lesser of wrinkling, .5 (Ef Ec Gc)^1/3 (Hoff and Mautner), and three quarters of crimping",
    PANEL: "flat plate with k 4 (Megson), shallow cylinder and foam shear joined; fitted to a shell model of our own",
    SPAR_END: "face stress just outside the end of a stick",
    GLUE: "shear flow V/h against .35 MPa over board and fillets (judgement)",
    WEB: "shear flow against both papers and the foam (judgement)",
    WEB_BUCKLING: "k = 5.34 + 4 (h/p)^2 (Timoshenko, from memory) and foam shear",
}


class ModeRow(Record):
    """One mode that was looked at: load factor at which it is reached, part of the draws in which it is the first and
    where (m out), what the prediction rests on."""

    mode: str
    load: Band
    first: float
    place: float
    says: str


class CaseRow(Record):
    """One load case: load factor or what stands for it, speed m/s, moment at the root and at each joint N m; ``holds``
    the multiple of it that the weakest mode carries, ``needs`` the multiple asked; ``weakest`` mode."""

    id: str
    words: str
    factor: float
    speed: float | None = None
    root: float
    joints: dict[str, float]
    holds: Band
    needs: float
    weakest: str
    says: str


class JointRow(Record):
    """One joint: moments at 1 g, limit and ultimate N m, forces at the fitting N, moments to hang upside down N m, what
    it holds (None: only a proof tells), what lifting by the tips asks and what is said of it."""

    name: str
    kind: str
    out: float
    one_g: float
    limit: float
    ultimate: float
    force_limit: float | None = None
    force_ultimate: float | None = None
    hung_limit: float
    hung_ultimate: float
    holds: Band | None = None
    tip_lift: float
    tip_lift_holds: str
    says: tuple[str, ...] = ()


class DetailRow(Record):
    """Another part: what it must carry, what it carries where the drawing tells, and the rule."""

    id: str
    words: str
    need: float
    unit: str
    holds: Band | None = None
    where: str
    says: tuple[str, ...]


class BayRow(Record):
    """Bags in one bay of a half wing turned upside down, from, to m out; kg at the limit load and at 1.5 times it."""

    start: float
    end: float
    limit: float
    ultimate: float


def mode_rows(study: Study, model: StrengthModel) -> Iterator[ModeRow]:
    """Every mode looked at, weakest first."""
    mass = study.outer[0]["mass"]
    first = {one.mode: one for one in model.governing(study.draws, mass)}
    found = dict(model.reached(study.draws, mass))
    for joiner in model.joiners:
        name = f"joint {joiner.joint.name}"
        load = model.joint_capacity(study.draws, mass)[name]
        found[name] = modes.Reached(load, np.full(load.shape, joiner.joint.out))
    for mode, one in sorted(found.items(), key=lambda row: float(np.median(row[1].load))):
        governs = first.get(mode)
        yield ModeRow(
            mode=mode,
            load=band(np.minimum(one.load, 1e3), "1"),
            first=governs.share if governs else 0.0,
            place=governs.place if governs else float(np.median(one.place)),
            says=MODE_SAYS.get(
                mode, "two blades against plywood's bending strength and crushing of the sticks"
            ),
        )


def load_cases(study: Study, model: StrengthModel) -> Iterator[tuple[LoadCase, float | None]]:
    """The cases with the speed each belongs to."""
    numbers, plane, limit = study.outer[0], study.plane, study.plane.limits.load
    stall = middle_of(numbers["stall_speed"])
    yield cases.manoeuvre(limit), stall * SQRT3 if limit == 3 else stall * float(np.sqrt(limit))
    placard = plane.limits.placard
    if placard is not None:
        most = middle_of(numbers["load_factor_at_stall"])
        says = f"above {stall * np.sqrt(limit):.1f} m/s the elevator can pull more than {limit:g} g: exact relation"
        yield LoadCase("stall", "hardest pull at the placard", most, most, False, says), placard
        gust = middle_of(numbers["gust_load_factor"])
        yield LoadCase("gust", "gust of 3 m/s at the placard", gust, gust, True, "14 CFR 23.341"), placard
    drop = details.landing_of(study.models.geometry, middle_of(numbers["mass"]))
    sag = "" if drop is None else " (from the wire legs, dropped 150 mm)"
    factor = 4.0 if drop is None else drop
    says = f"the wing still lifts the weight, all masses on it pull down with {factor:.1f} g{sag}; 1.15 on it"
    yield LoadCase("landing", "hard landing, wing bent down", 1.0, factor, False, says), None


def case_rows(study: Study, model: StrengthModel) -> Iterator[CaseRow]:
    """Load cases with what the wing holds of each; the lift by the tips last."""
    mass = middle_of(study.outer[0]["mass"])
    for case, speed in load_cases(study, model):
        load = cases.along(model, case, mass)
        needs = 1.15 if case.id == "landing" else cases.needed(case)
        yield _case_row(study, model, case, load, speed, needs)
    masses = study.models.mass.wing_masses(study.draws)
    lifted = tip_lift(model.half.y, model.half.half_span, mass, masses)
    says = "a proof many use; it over-tests whatever lies far out (common practice, no source)"
    case = LoadCase("tips", "lifted by both tips", 1.0, 1.0, False, says)
    yield _case_row(study, model, case, lifted, None, 1.0)


def _case_row(
    study: Study, model: StrengthModel, case: LoadCase, load: Along, speed: float | None, needs: float
) -> CaseRow:
    found = cases.held(model, load, study.draws)
    least = np.min(np.array(list(found.values())), axis=0)
    weakest = min(found, key=lambda mode: float(np.median(found[mode])))
    return CaseRow(
        id=case.id,
        words=case.words,
        factor=case.own if case.id == "landing" else case.lift,
        speed=speed,
        root=float(load.moment[0]),
        joints={one.name: float(np.interp(one.out, load.y, load.moment)) for one in model.joints},
        holds=band(np.minimum(least, 1e3), "1"),
        needs=needs,
        weakest=weakest,
        says=case.says,
    )


def joint_rows(study: Study, model: StrengthModel) -> Iterator[JointRow]:
    """Every joint with its needs, its strength and the lift by the tips."""
    mass = middle_of(study.outer[0]["mass"])
    needs = model.joint_needs(mass)
    masses = study.models.mass.wing_masses(study.draws)
    factor = study.draws.factor("joint.factor") * study.draws.factor("article.joint", "wing-1")
    nominal = {one.joint.name: one.moment for one in model.joiners}
    for joint in model.joints:
        need = needs[joint.name]
        lifted = float(tip_lift(np.array([joint.out]), model.half.half_span, mass, masses).moment[0])
        holds = nominal[joint.name] * factor if joint.name in nominal else None
        says = (
            details.hinge(study.plane, model.half, need).says
            if joint.folds
            else _joiner_says(need.force_ultimate)
        )
        yield JointRow(
            name=joint.name,
            kind=need.kind,
            out=joint.out,
            one_g=need.one_g,
            limit=need.limit,
            ultimate=need.ultimate,
            force_limit=need.force_limit if np.isfinite(need.force_limit) else None,
            force_ultimate=need.force_ultimate if np.isfinite(need.force_ultimate) else None,
            hung_limit=need.hung_limit,
            hung_ultimate=need.hung_ultimate,
            holds=band(holds, "N m") if holds is not None else None,
            tip_lift=lifted,
            tip_lift_holds=tip_lift_words(lifted, need, holds, lifted_on(study, model.wing, joint.name)),
            says=says,
        )


def _joiner_says(force: float) -> tuple[str, ...]:
    if not np.isfinite(force):
        return ()
    return (
        f"The ends of its blades press with up to {force:.0f} N: on the sticks, never on foam; ribs at both ends are "
        "saddles, not edges.",
    )


def lifted_on(study: Study, wing: str, joint: str) -> str:
    """When the flying wing was lifted by its tips and held, in words; empty when not under this letter."""
    for one in study.ledger.checks:
        same = one.configuration in ("", study.plane.configuration)
        if (
            one.passed
            and same
            and one.name == f"proof {wing}.joint.{joint}"
            and "tips" in one.note.lower().split()
        ):
            return f"held on {one.when}" if one.when else "held"
    return ""


def tip_lift_words(moment: float, need: JointNeed, holds: Array | None, done: str = "") -> str:
    """What lifting by the tips does to a joint; ``done``: when it was lifted so and held."""
    times = f"{moment:.1f} N m, {moment / max(need.one_g, 1e-9):.0f} times its load in level flight"
    if done:
        return f"{times}: {done}"
    if holds is None:
        if moment <= need.limit:
            return f"{times}: less than its limit load"
        return f"{times}: never lift this aeroplane by its tips; nobody has shown that the joint holds it"
    worst = float(np.percentile(holds, 5))
    if worst > moment:
        return f"{times}: held by the drawing (95 in 100 draws)"
    return f"{times}: 5 in 100 draws give it less than {worst:.1f} N m: do not lift it by the tips"


def detail_rows(study: Study, model: StrengthModel) -> Iterator[DetailRow]:
    """Tail boom, legs, mounts, strap, splices, spar ends."""
    numbers, draws, plane = study.outer[0], study.draws, study.plane
    mass, limit = middle_of(numbers["mass"]), plane.limits.load
    speed = middle_of(numbers["stall_speed"]) * float(np.sqrt(limit))
    pressure = 0.5 * study.models.density * speed**2
    found = [
        details.tail_boom(study.models.geometry, pressure, draws),
        *details.legs(study.models.geometry, mass),
        *details.mounts(plane, {row.part: row.used for row in study.weights}, limit, thrusts(study)),
        details.strap(plane),
        *details.splices(plane, model.half, model.joints, cap_force(study, model, mass)),
    ]
    for one in filter(None, found):
        yield DetailRow(
            id=one.id,
            words=one.words,
            need=one.need,
            unit=one.unit,
            holds=band(one.holds, one.unit) if one.holds is not None else None,
            where=one.where,
            says=one.says,
        )


def thrusts(study: Study) -> dict[str, float]:
    """Push of each engine at rest on a full pack, N; empty without power."""
    power = study.models.power
    if power is None:
        return {}
    return {name: middle_of(push) for name, push in power.thrust(study.draws, 0.0, 1.0).engine.items()}


def cap_force(study: Study, model: StrengthModel, mass: float) -> Array:
    """Force in the first upper cap at ultimate load along the half wing at medians, N, (s,)."""
    stick = next(one for one in model.half.sticks if one.upper) if model.half.sticks else None
    if stick is None or study.models.middle is None:
        return np.zeros(len(model.half.y))
    bent = modes.section_bending(model.half, study.models.middle)
    moment = model.needed * model.case(mass).moment
    strain = bent.strain(stick.x[:, None], stick.z[:, None])
    return np.asarray((moment * strain)[:, 0] * stick.wood.modulus * stick.area * stick.present)


def bay_rows(study: Study, model: StrengthModel) -> tuple[BayRow, ...]:
    """Bags for a test of the whole wing turned upside down."""
    mass = middle_of(study.outer[0]["mass"])
    limit, ultimate = (cases.bags(model, load, mass) for load in (model.limit, model.needed))
    return tuple(
        BayRow(start=a.start, end=a.end, limit=a.bags, ultimate=b.bags)
        for a, b in zip(limit, ultimate, strict=True)
    )
