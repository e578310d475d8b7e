"""The chapter of air and handling: the sheet of ``planewright handling`` on paper, its pictures with it."""

from __future__ import annotations

from typing import Any

import numpy as np

from planewright.documents.chapters import named_pictures, sentences
from planewright.study import Study
from planewright.study.handling_rows import MotionRow
from planewright.study.handling_sheet import HandlingSheet, handling_sheet
from planewright.study.model import Document
from planewright.study.propulsion import Band
from planewright.units.showing import System, show, show_range

PICTURES = (
    "balance_window", "trim_curve", "span_loading", "stall_from_above", "lift_curve", "drag_polar", "roots_quick",
    "roots_slow",
)  # fmt: skip
Table = dict[str, Any]


def flying(study: Study, document: Document, system: System) -> dict[str, Any] | None:
    """The chapter, or None where nothing can be worked out."""
    sheet = handling_sheet(study)
    if sheet.why:
        return None
    return {
        "title": "How it flies",
        "line": sentences(
            document,
            (
                "static_margin",
                "cg_fore_limit_x",
                "cg_aft_limit_x",
                "elevator_left_stall",
                "servo_margin_range",
            ),
            system,
        ),
        "pictures": named_pictures(sheet.charts, *PICTURES),
        "tables": [one for one in tables(sheet, system) if one["rows"]],
        "notes": [*sheet.says, *sheet.proofs, *(sheet.fit.says if sheet.fit else ()), *sheet.cautions],
    }


def pair(found: Band, system: System, decimals: int | None = None) -> tuple[str, str]:
    """Middle, and both ends of the band."""
    unit = found.unit
    return show(found.value, unit, system, decimals), show_range(
        found.low, found.high, unit, system, decimals
    )


def tables(sheet: HandlingSheet, system: System) -> list[Table]:
    """All tables of the sheet."""
    return [
        limits(sheet, system),
        motions(sheet, system),
        hinges(sheet, system),
        sideways(sheet, system),
        derivatives(sheet),
        car(sheet, system),
        fit(sheet, system),
    ]


def limits(sheet: HandlingSheet, system: System) -> Table:
    """Limits of the balance point."""
    rows = [[one.words, *pair(one.x, system)] for one in sheet.limits]
    return {
        "title": "Where it may balance, behind the nose",
        "head": ["", "Middle", "95 in 100"],
        "rows": rows,
    }


def ending(one: MotionRow) -> str:
    """Time to half or to double."""
    time = abs(one.half.value)
    words = "halves" if one.half.value > 0 else "doubles"
    return f"{words} in {time:.2f} s" if time < 1.0 else f"{words} in {time:.{1 if time < 10.0 else 0}f} s"


def motions(sheet: HandlingSheet, system: System) -> Table:
    """Natural motions at the middle one of the speeds."""
    speeds = sorted({one.speed for one in sheet.motions})
    speed = speeds[len(speeds) // 2] if speeds else 0.0
    rows = [
        [
            one.motion,
            "" if one.period is None else show(one.period.value, "s", system),
            "" if one.damping is None else f"{one.damping.value:.2f}",
            ending(one),
        ]
        for one in sheet.motions
        if one.speed == speed
    ]
    head = ["Motion", "One swing", "Damping", "Left alone"]
    return {"title": f"Left alone at {show(speed, 'm/s', system)}", "head": head, "rows": rows}


def hinges(sheet: HandlingSheet, system: System) -> Table:
    """Hinge moments, servos, proof of linkages."""
    rows = [
        [
            one.control,
            *pair(one.moment, system),
            pair(one.margin, system, 1)[0],
            show(one.prove.value, "kg", system),
        ]
        for one in sheet.hinges
    ]
    head = ["Control", "Moment", "95 in 100", "Servo over it", "Hang at trailing edge"]
    return {"title": "Servos and linkages, the greatest of the whole range", "head": head, "rows": rows}


def sideways(sheet: HandlingSheet, system: System) -> Table:
    """Roll, wind across, one engine stopped."""
    rows = [
        [f"full aileron at {show(one.speed, 'm/s', system)}", *pair(one.rate, system)] for one in sheet.roll
    ]
    rows += [[f"wind across held at {one.words} speed", *pair(one.across, system)] for one in sheet.sideslip]
    rows += [
        [
            f"{one.engine} stopped, other at {100 * one.power:.0f} %: rudder holds from",
            *pair(one.speed, system),
        ]
        for one in sheet.stopped
    ]
    return {"title": "Roll and yaw", "head": ["", "Middle", "95 in 100"], "rows": rows}


def derivatives(sheet: HandlingSheet) -> Table:
    """The whole set, one row for each force or moment."""
    rows = [
        [row.row, ", ".join(f"{name.replace('_', ' ')} {one.value:.3f}" for name, one in row.by.items())]
        for row in sheet.derivatives
    ]
    return {"title": "Derivatives, body axes, per radian", "head": ["", "by"], "rows": rows}


def car(sheet: HandlingSheet, system: System) -> Table:
    """Pieces for the car."""
    if sheet.folded is None:
        return {"title": "For the car", "head": [], "rows": []}
    rows = [
        [one.name, *(show(v, "m", system) for v in (one.length, one.width, one.height))]
        for one in sheet.folded.pieces
    ]
    title = (
        f"For the car; folded {show(sheet.folded.span, 'm', system)} wide, "
        f"{show(sheet.folded.height, 'm', system)} high"
    )
    return {"title": title, "head": ["Piece", "Long", "Wide", "High"], "rows": rows}


def fit(sheet: HandlingSheet, system: System) -> Table:
    """The field at three weights."""
    rows = [
        [
            show(one.mass, "kg", system),
            show(one.run, "m", system, 0),
            f"{100 * one.gradient:.0f} %",
            show(one.needed, "m", system, 0),
            show(one.spare, "m", system, 0) if np.isfinite(one.spare) else "",
        ]
        for one in (sheet.fit.rows if sheet.fit else ())
    ]
    head = ["Weight", "Run", "Climb", "Needed, times 1.3", "To spare"]
    return {"title": "Will it fit the field?", "head": head, "rows": rows}
