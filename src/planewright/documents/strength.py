"""The chapter of strength in the book: what gives first and where, load cases, joints, other parts, twist, bags."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np

from planewright.documents.strength_reports import HALF
from planewright.study import Study
from planewright.study.propulsion import Band
from planewright.study.strength_sheet import StrengthSheet, strength_sheet
from planewright.units.showing import System, show

MANY = 99.0
Table = dict[str, Any]


def multiple(found: Band) -> list[str]:
    """Middle and band of a load factor; what nothing reaches is "never"."""
    if found.low > MANY:
        return ["never", ""]
    high = f"{found.high:.1f}" if found.high < MANY else "more"
    return [f"{found.value:.1f}" if found.value < MANY else "more", f"{found.low:.1f} to {high}"]


def modes_table(sheet: StrengthSheet) -> Table:
    """Modes that were looked at."""
    rows = [
        [one.mode, *multiple(one.load), f"{100 * one.first:.0f} %", f"{1000 * one.place:.0f} mm out"]
        for one in sheet.modes
    ]
    head = ["What gives", "Middle, g", "95 in 100, g", "First in", "Where"]
    return {"title": "What was looked at", "head": head, "rows": rows}


def cases_table(sheet: StrengthSheet, system: System) -> Table:
    """Load cases, lift less own weight."""
    rows = [
        [one.words, f"{one.factor:.1f}", show(one.root, "N m", system, 1), " ".join(multiple(one.holds)[:1]),
         multiple(one.holds)[1], f"{one.needs:g}", one.weakest]
        for one in sheet.cases
    ]  # fmt: skip
    head = ["Case", "g", "At the root", "Holds, times", "95 in 100", "Needs", "Weakest"]
    return {"title": "Load cases", "head": head, "rows": rows}


def joints_table(sheet: StrengthSheet, system: System) -> Table:
    """What each joint must carry."""
    rows = [
        [one.name, show(one.one_g, "N m", system, 2), show(one.limit, "N m", system, 2),
         show(one.ultimate, "N m", system, 2), show(one.hung_ultimate, "N m", system, 2),
         "a proof tells" if one.holds is None else f"{one.holds.low:.1f} N m"]
        for one in sheet.joints
    ]  # fmt: skip
    head = ["Joint", "Level", "Limit load", "With 1.5 and 1.15", "To hang, upside down", "Holds at least"]
    return {"title": "What each joint must carry", "head": head, "rows": rows}


def details_table(sheet: StrengthSheet, system: System) -> Table:
    """Other parts."""
    rows = [
        [one.words, show(one.need, one.unit, system, 1),
         "not told by the drawing" if one.holds is None else show(one.holds.low, one.unit, system, 1), one.where]
        for one in sheet.details
    ]  # fmt: skip
    head = ["Part", "Must carry", "Carries at least", "Where"]
    return {"title": "Other parts", "head": head, "rows": rows}


def twist_table(sheet: StrengthSheet, system: System) -> Table:
    """States of the wing in air."""
    assert sheet.twist is not None

    def speed(value: float | None) -> str:
        return "none found" if value is None else show(value, "m/s", system, 0)

    rows = [
        [one.words, speed(one.divergence), speed(one.half_roll),
         "none" if one.kept is None or one.kept <= 0 else f"{100 * one.kept:.0f} %", speed(one.rule),
         speed(one.unsteady)]
        for one in sheet.twist.rows
    ]  # fmt: skip
    head = ["State", "Twists off", "Half of the roll", "Roll left", "Simple rule", "Bending and twist"]
    return {"title": "Twist: for comparing, none is a limit", "head": head, "rows": rows}


def scale_tables(sheet: StrengthSheet) -> Iterator[Table]:
    """Small wing beside the real one."""
    for row in sheet.scale:
        rows = [
            [
                one.mode,
                *(" ".join(multiple(found)[:1]) for found in (one.small, one.full)),
                f"{one.exponent:.2f}",
            ]
            for one in row.modes
        ]
        words = f"{row.trial}: {'; '.join(row.stated)}"
        head = ["What gives", "Small, kg a side", "Real, kg a side", "e"]
        yield {"title": f"Small wing and real wing. {words}", "head": head, "rows": rows}


def bags_table(sheet: StrengthSheet, system: System) -> Table:
    """Bags on the wing upside down."""
    rows = [
        [f"{show(one.start, 'm', system)} to {show(one.end, 'm', system)}", show(one.limit, "kg", system, 0),
         show(one.ultimate, "kg", system, 0)]
        for one in sheet.bags
    ]  # fmt: skip
    title = "Bags on each half, wing upside down, engines in their places (the wing that flies: to the limit load only)"
    return {"title": title, "head": ["Out from the middle", "Limit load", "1.5 times"], "rows": rows}


def materials_table(sheet: StrengthSheet) -> Table:
    """The values the tool starts from and how each is known."""
    rows = [
        [f"{one.material}: {one.what}", f"{one.value:g} {one.unit}".strip(),
         f"{one.low:g} to {one.high:g}" if one.low is not None else "", one.kind]
        for one in sheet.materials
        if one.value is not None
    ]  # fmt: skip
    head = ["Material", "Value", "Band", "Known"]
    return {"title": "Materials (sources: the page of materials in the manual)", "head": head, "rows": rows}


def notes(sheet: StrengthSheet) -> Iterator[str]:
    """Sentences under the tables, cautions last."""
    yield from sheet.says
    for joint in sheet.joints:
        yield f"Joint {joint.name}, lifted by the tips: {joint.tip_lift_holds}."
        if joint.force_limit is not None and joint.force_ultimate is not None:
            at = "latch and hinge" if joint.kind == "hinge" else "the blades' ends"
            yield f"Joint {joint.name}: {joint.force_limit:.0f} and {joint.force_ultimate:.0f} N at {at}."
        yield from joint.says
    for one in sheet.details:
        yield from (f"{one.words[:1].upper()}{one.words[1:]}: {words}" for words in one.says)
    if sheet.twist is not None:
        turn = np.rad2deg(sheet.twist.tip_per_torque.value)
        yield f"The tip turns {turn:.2f} deg for each N m hung there; stiffness {sheet.twist.stiffness.value:.0f} N m2."
        yield from sheet.twist.says
    for row in sheet.scale:
        yield from row.says
    yield from dict.fromkeys(
        f"{one.material[:1].upper()}{one.material[1:]}: {one.says}." for one in sheet.materials if one.says
    )
    yield from (f"{one[:1].upper()}{one[1:]}." for one in sheet.not_covered)
    yield from sheet.cautions


def strength_chapter(
    study: Study, line: str, pictures: Iterable[dict[str, Any]], system: System
) -> dict[str, Any] | None:
    """The chapter, None without a wing whose strength can be worked out. ``line``: its figures in sentences."""
    if study.models.strength is None:
        return None
    sheet = strength_sheet(study, {"a half-size wing of the same sheets and sticks": HALF})
    if sheet.why:
        return {
            "title": "Strength", "line": line, "pictures": [], "tables": [], "notes": [f"No numbers: {sheet.why}."],
        }  # fmt: skip
    tables = [modes_table(sheet), cases_table(sheet, system)]
    tables += [joints_table(sheet, system)] if sheet.joints else []
    tables += [details_table(sheet, system)] if sheet.details else []
    tables += [twist_table(sheet, system)] if sheet.twist is not None else []
    tables += [*scale_tables(sheet), bags_table(sheet, system), materials_table(sheet)]
    return {
        "title": "Strength",
        "line": line,
        "pictures": list(pictures),
        "tables": tables,
        "notes": list(notes(sheet)),
    }
