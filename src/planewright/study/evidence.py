"""Named evidence: what must have been tried or seen, for this letter and these serials, before a pilot decides.

The list is that of the design: a thrust run in force for each engine serial in its place; a bend or proof of the
wing; a proof of each joint; a balance on scales since the last letter; checks of controls, range and battery
since the last letter. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

from planewright.findings import Finding, judge_evidence
from planewright.findings.judge import signed
from planewright.findings.model import State
from planewright.knowledge import FLYING_WING
from planewright.knowledge.model import Knowledge, TrialInForce
from planewright.ledger.model import Check, Ledger
from planewright.plane.model import Engine, Joint, Plane, Surface
from planewright.site.model import Site

SOURCE = "common practice, no source"
CHECKS: Mapping[str, tuple[str, str, int]] = {
    "controls": ("Controls seen", "Two people saw every surface move the right way", 1),
    "range": ("Radio reaches", "The radio reached far enough, motors off and at half", 1),
    "battery": ("Battery strap", "The battery strap held ten times the battery's weight", 3),
}


def same_letter(written: str, plane: Plane) -> bool:
    """True when a record belongs to the aeroplane's letter; one without a letter belongs to none."""
    return written.strip().upper() == plane.configuration.strip().upper()


def checks_rows(plane: Plane, ledger: Ledger, knowledge: Knowledge) -> tuple[Finding, ...]:
    """One row for each named check: clear when its last line or trial for this letter says passed."""
    return tuple(check_row(name, *CHECKS[name], plane, ledger, knowledge) for name in CHECKS)


def last_check(name: str, plane: Plane, ledger: Ledger) -> Check | None:
    """The last line of that check for the aeroplane's letter, or None."""
    lines = [one for one in ledger.checks if one.name == name and same_letter(one.configuration, plane)]
    return lines[-1] if lines else None


def check_row(
    name: str, short: str, sentence: str, danger: int, plane: Plane, ledger: Ledger, knowledge: Knowledge
) -> Finding:
    """The row of one check, by the later of its last line and its last trial; "no" is a blocking row that is short."""
    passed, said = last_seen(name, plane, ledger, knowledge)
    row = judge_evidence(
        f"check.{name}",
        short,
        passed is True,
        sentence,
        said or f"no line in checks.csv for letter {plane.configuration}",
        f"check the {name}, two people, for this letter",
        danger,
        SOURCE,
    )
    return row.model_copy(update={"state": "short"}) if passed is False else row


def last_seen(name: str, plane: Plane, ledger: Ledger, knowledge: Knowledge) -> tuple[bool | None, str]:
    """Whether a check passed when it was last seen for this letter, and where that stands; None and "" when never.

    A trial of the same day as a line counts as the later one: it has its readings.
    """
    line = last_check(name, plane, ledger)
    trials = [
        one
        for one in knowledge.trials
        if one.kind == name and one.passed is not None and same_letter(one.configuration, plane)
    ]
    trial = max(trials, key=lambda one: (one.date, one.id), default=None)
    when = line.when.isoformat() if line is not None and line.when is not None else ""
    if trial is not None and (line is None or trial.date >= when):
        return trial.passed, ", ".join((trial.id, *(trial.findings if not trial.passed else ())))
    if line is None:
        return None, ""
    return line.passed, f"checks.csv line {line.line}: {line.when}, {line.who}"


def thrust_row(engine: Engine, knowledge: Knowledge) -> Finding:
    """Clear when a thrust run of this serial was taken in and its unit was not withdrawn."""
    runs = [
        one
        for one in knowledge.trials
        if one.kind == "thrust" and one.of == engine.name and one.serial in ("", engine.serial)
    ]
    withdrawn = any(one.withdrawn for one in runs)
    names = ", ".join(one.id for one in runs)
    said = (
        f"{engine.serial} was found damaged in {names} and is withdrawn"
        if withdrawn
        else names or f"nobody has run {engine.serial} on the bench"
    )
    return judge_evidence(
        f"evidence.thrust.{engine.name}",
        f"Push of {engine.name}",
        bool(runs) and not withdrawn,
        f"The push of {engine.name} ({engine.serial}) was measured in its place",
        said,
        f"run {engine.name} on the bench, in its nacelle",
        2,
        SOURCE,
    )


def wing_row(wing: Surface, plane: Plane, ledger: Ledger, knowledge: Knowledge) -> Finding:
    """Clear when a smaller wing was bent till it broke, or this one was proved; what was proved of a wing that was
    repaired or replaced since (another ``article``) does not count."""
    flying = wing.article or FLYING_WING
    of_wing = [one for one in knowledge.trials if one.kind in ("bend", "proof") and one.of == wing.name]
    trials = [one.id for one in of_wing if one.serial in ("", flying)]
    proof = last_check(f"proof {wing.name}", plane, ledger)
    ours = proof is not None and (proof.serial or FLYING_WING) == flying
    lines = [f"checks.csv line {proof.line}"] if proof is not None and ours and proof.passed else []
    said = ", ".join([*trials, *lines]) or "no wing like it has been bent or proved"
    return judge_evidence(
        f"evidence.strength.{wing.name}",
        f"Strength of the {wing.name} shown",
        bool(trials or lines),
        f"Somebody has shown what the {wing.name} holds",
        said,
        "bend a smaller wing until it breaks, or prove the real one",
        1,
        SOURCE,
    )


def proofs_of(name: str, plane: Plane, knowledge: Knowledge) -> list[TrialInForce]:
    """Proof trials of one joint for the aeroplane's letter, in order."""
    return [
        one
        for one in knowledge.trials
        if one.kind == "proof" and one.of == name and same_letter(one.configuration, plane)
    ]


def joint_row(
    wing: Surface,
    joint: Joint,
    needs: tuple[float, float] | None,
    plane: Plane,
    ledger: Ledger,
    knowledge: Knowledge,
) -> Finding:
    """The row of one joint. ``needs``: moment at limit load, and with 1.5 and the joint factor, N m.

    A proof with a load is held against both: under the limit moment it is short, between them it crosses, above
    it is clear. A line "proof PART" in checks.csv that passed for this letter is clear without a number.
    """
    name = f"{wing.name}.joint.{joint.name}"
    line = last_check(f"proof {name}", plane, ledger)
    if line is not None and (line.serial or FLYING_WING) != (wing.article or FLYING_WING):
        line = None
    proofs = proofs_of(name, plane, knowledge)
    held = max((one.held for one in proofs if one.held is not None), default=None)
    said = ", ".join([one.id for one in proofs] + ([f"checks.csv line {line.line}"] if line else []))
    row = judge_evidence(
        f"evidence.{name}",
        f"Joint {joint.name} proved",
        bool(line is not None and line.passed) or held is not None,
        f"The {joint.name} joint of the {wing.name} has been proved",
        said or f"nobody has loaded it since letter {plane.configuration}",
        f"hang a weight on the {joint.name} joint",
        1,
        "factor 1.5: 14 CFR 25.303; joint factor 1.15: common practice, no source",
    )
    if line is not None and not line.passed:
        return row.model_copy(update={"state": "short"})
    if held is None or needs is None or (line is not None and line.passed):
        return row
    return with_load(row, held, *needs)


def with_load(row: Finding, held: float, limit: float, ultimate: float) -> Finding:
    """The evidence row of a joint with the moment it held against what it needs, N m."""
    state: State = "short" if held < limit else "crosses" if held < ultimate else "clear"
    margin = signed(held, ultimate, ultimate, "at least")
    return row.model_copy(
        update={
            "figure": row.id.removeprefix("evidence.") + ".held",
            "value": held,
            "limit": ultimate,
            "unit": "N m",
            "side": "at least",
            "state": state,
            "margin": margin,
            "stick": ((margin, margin, margin),),
            "sentence": f"{row.sentence}: it held {held:.2f} N m, {limit:.2f} is needed at limit load, "
            f"{ultimate:.2f} with the factors",
        }
    )


def balance_row(plane: Plane, knowledge: Knowledge) -> Finding:
    """Clear when the aeroplane was weighed on its wheels since the last letter."""
    runs = [
        one.id for one in knowledge.trials if one.kind == "balance" and same_letter(one.configuration, plane)
    ]
    return judge_evidence(
        "evidence.balance",
        "Balance weighed",
        bool(runs),
        "The balance point was weighed since the last letter",
        ", ".join(runs) or f"not weighed since letter {plane.configuration}",
        "weigh it on wheel scales",
        2,
        SOURCE,
    )


def field_row(site: Site | None) -> Finding:
    """Clear when the field is described with its outline, strip, people and the planned figure."""
    lacks = (
        ["site.toml"]
        if site is None
        else [
            words
            for words, there in (
                ("an outline", len(site.outline) > 2),
                ("a runway", site.runway is not None),
                ("where the pilot and the spectators stand", len(site.stands) > 1),
                ("a planned figure", site.pattern is not None),
            )
            if not there
        ]
    )
    return judge_evidence(
        "evidence.field",
        "Field described",
        not lacks,
        "The field is described: outline, strip, people, planned figure",
        site.name if site is not None and not lacks else f"missing: {', '.join(lacks)}",
        "write site.toml, and walk the field with it",
        3,
        SOURCE,
    )


def taken_in_row(knowledge: Knowledge) -> Finding:
    """Clear when what is known was made from the trials that stand in the folder."""
    return judge_evidence(
        "evidence.taken_in",
        "Trials taken in",
        not knowledge.stale,
        "The trials in the folder are taken in",
        "knowledge.toml does not belong to them" if knowledge.stale else "all trials in force are in",
        "planewright calibrate",
        1,
        "common practice, no source",
    )


def conflict_rows(knowledge: Knowledge) -> tuple[Finding, ...]:
    """Trials that contradict each other: they block below one in a thousand, and are watched below one in a hundred."""
    rows = []
    for one in knowledge.trials:
        if one.p_conflict >= 0.01:
            continue
        row = judge_evidence(
            f"conflict.{one.id}",
            "Tests disagree",
            False,
            f"{one.id} and the other evidence disagree (chance {one.p_conflict:.2g})",
            "; ".join((one.id, *one.findings)),
            "repeat the trial, and look at its rows",
            2,
            "chi-square of the trial left out against the rest",
        )
        kind = "block" if one.p_conflict < 0.001 else "watch"
        rows.append(row.model_copy(update={"state": "conflict", "kind": kind}))
    return tuple(rows)


def evidence_rows(
    plane: Plane,
    ledger: Ledger,
    knowledge: Knowledge,
    joint_needs: Mapping[str, tuple[float, float]],
) -> tuple[Finding, ...]:
    """All rows of named evidence for this aeroplane. ``joint_needs``: joint name ("wing.joint.tip") -> moments, N m."""
    rows = [*checks_rows(plane, ledger, knowledge)]
    rows += [thrust_row(engine, knowledge) for engine in plane.engines]
    for wing in plane.of_kind("wing"):
        rows.append(wing_row(wing, plane, ledger, knowledge))
        for joint in wing.joints:
            needs = joint_needs.get(f"{wing.name}.joint.{joint.name}")
            rows.append(joint_row(wing, joint, needs, plane, ledger, knowledge))
    rows.append(balance_row(plane, knowledge))
    return (*rows, *conflict_rows(knowledge))
