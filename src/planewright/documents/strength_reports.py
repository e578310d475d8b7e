"""The sheet of strength of a project with the specimens that were bent: every door asks here, so all say the same."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from planewright.documents.opening import Opened
from planewright.study import Study
from planewright.study.strength_sheet import StrengthSheet, strength_sheet

HALF: Mapping[str, Any] = {"scale": 0.5, "joint": "none"}


def specimens_of(one: Opened) -> dict[str, Mapping[str, Any]]:
    """What differs in each bent specimen of the reference wing, by trial; set-aside ones left out. Without any, a
    half-size wing of the same sheets and sticks stands in, under the name "half-size wing"."""
    wing = one.plane.wing
    found: dict[str, Mapping[str, Any]] = {}
    for trial in one.project.trials:
        if trial.kind == "bend" and wing is not None and trial.of == wing.name and not trial.in_force:
            found[trial.id] = {**trial.specimen, "support": float(trial.rig.get("saddle", 0.0)) / 2}
    return found or {"half-size wing": HALF}


def strength_sheet_of(one: Opened, study: Study) -> StrengthSheet:
    """The sheet of a project's strength, SI units, 95 % bands; without a wing its ``why`` says what lacks."""
    return strength_sheet(study, specimens_of(one), one.project.inputs_hash)
