"""Surfaces moved and measured: travel each way, play, the right way round. It tells a check, no factor.

Rows: control, way (up, down, left, right, middle), angle_deg towards that way (negative: it went the other way), and
a note ("binds"). A surface passes when it goes the way it was called, reaches nine tenths of its drawn travel,
returns to the middle within a degree and a half, and nothing binds (common practice, no source).
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.calibrate.common import Sheet, lacking, missing
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.plane.model import Control
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

REACHED, PLAY = 0.9, math.radians(1.5)
READING = math.radians(0.7)
MIDDLE = "middle"


def read(trial: Trial) -> Sheet:
    """Columns control, way, angle_deg and note."""
    log = read_columns(trial, "angle_deg")
    for name in ("control", "way"):
        if name not in log.table.columns:
            log.column(name)
    return log


def plan(bench: Bench, of: str, states: States) -> Plan:
    """Drawn travel of every surface, both ways."""
    points = tuple(
        Point(f"{one.name}, {way}", "rad", np.full(states.count, travel), READING, "shift")
        for one in bench.plane.controls
        for way, travel in zip(_ways(one), (one.up, one.down), strict=True)
    )
    return Plan("controls", of, points, 30.0, 2, 0.0)


def _ways(one: Control) -> tuple[str, str]:
    return ("left", "right") if one.kind == "rudder" else ("up", "down")


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """What each surface did, in sentences; ``passed`` when two people saw all of them do it. No rows for the fit."""
    log = read(trial)
    angle = log.column("angle_deg")
    names = tuple(one.strip() for one in log.words("control"))
    way = tuple(one.strip().lower() for one in log.words("way"))
    use = np.isfinite(angle) & log.keep
    known = {one.name: one for one in bench.plane.controls}
    strange = sorted({one for one in names if one and one not in known})
    if strange:
        expected = f"Controls of the aeroplane's file: {', '.join(known)}."
        raise lacking(
            trial, f'column "control" ({", ".join(strange)})', expected, "Write one of these names."
        )
    wrong: list[str] = []
    facts: dict[str, float] = {}
    for one in bench.plane.controls:
        mine = [i for i in range(len(names)) if use[i] and names[i] == one.name]
        wrong += _faults_of(one, mine, way, angle, log, facts)
    seen = two_saw(trial)
    words = log.struck() + missing("an angle", log.rows[~np.isfinite(angle) & log.keep]) + tuple(wrong)
    words += () if seen else ("nobody is named as the second who saw it: two people see every surface move",)
    words += ("every surface moves the right way and far enough",) if not wrong else ()
    return Reduction(
        trial.id, findings=words, facts=facts, passed=bool(seen and not wrong), used=int(use.sum())
    )


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of a surface's travel: "aileron_up" and so on (rad)."""
    return compared(trial, found, {name: (name, "rad") for name in found.facts})


def _faults_of(
    one: Control, mine: list[int], way: tuple[str, ...], angle: Array, log: Sheet, facts: dict[str, float]
) -> list[str]:
    found = []
    for name, travel in zip(_ways(one), (one.up, one.down), strict=True):
        rows = [i for i in mine if way[i] == name]
        if not rows:
            found.append(f"{one.name} {name}: not tried")
            continue
        reached = float(np.median(angle[rows]))
        facts[f"{one.name}_{name}"] = reached
        if reached < 0:
            found.append(f"row {rows[0] + 1}: {one.name} goes the wrong way when {name} is called")
        elif reached < REACHED * travel:
            degrees = (math.degrees(reached), math.degrees(travel))
            found.append(
                f"row {rows[0] + 1}: {one.name} {name} reaches {degrees[0]:.1f} deg of {degrees[1]:.1f}"
            )
    rest = [i for i in mine if way[i] == MIDDLE]
    if rest and float(np.ptp(angle[rest])) > PLAY:
        found.append(
            f"{one.name} comes back to places {math.degrees(float(np.ptp(angle[rest]))):.1f} deg apart"
        )
    notes = log.words("note")
    found += [
        f"row {i + 1}: {one.name}: {notes[i]}"
        for i in mine
        if any(w in notes[i].lower() for w in ("bind", "stick", "rub"))
    ]
    return found


def two_saw(trial: Trial) -> bool:
    """True when the record names two people: two roles, or "two" of one."""
    words = " ".join(trial.done_by.values()).lower()
    return len(trial.done_by) >= 2 or words.startswith(("two", "three", "2 ", "3 "))
