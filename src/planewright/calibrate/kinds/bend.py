"""A wing bent by sand: a smaller one until it breaks, or the whole one to a limit. Method: ``calibrate.bend``."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.strength import MODES, bend_prediction
from planewright.calibrate.bend import SCALE_SD, SIDES, named_modes
from planewright.calibrate.common import Sheet
from planewright.calibrate.kinds.proof import limit_load
from planewright.calibrate.predictions import bend as by_sections
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.knowledge import points
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

SCALE = 0.5
ARTICLE, SPLIT, READING = 0.09, 0.04, 0.02


def read(trial: Trial) -> Sheet:
    """Columns load_each_side_g, tip_left_mm, tip_right_mm; note for what was heard and seen."""
    return read_columns(trial, "load_each_side_g", *SIDES)


def plan(bench: Bench, of: str, states: States) -> Plan:
    """A half-size wing, same sheets and sticks, bent till it breaks: sinking per kilogram, load and mode.

    Raises InputError when no strength can be reckoned.
    """
    return plan_of(bench, of, states, {"scale": SCALE, "joint": "none"})


def plan_of(bench: Bench, of: str, states: States, specimen: Mapping[str, Any]) -> Plan:
    """The same for a specimen as its file describes it."""
    prediction = bend_prediction(bench.plane, specimen)
    fails = prediction.fails(states)
    modes = [mode for mode in MODES if mode in fails]
    loads = np.array([fails[mode] for mode in modes])
    first = np.argmin(loads, axis=0)
    noise = math.sqrt(ARTICLE**2 + SCALE_SD**2 + SPLIT**2 + READING**2)
    points = (
        Point("tip per kg a side", "mm/kg", prediction.slope_mm_per_kg(states), 0.05),
        Point("breaks at, each side", "kg", loads.min(axis=0), noise, said="fails_at"),
        Point("breaks by", "1", first.astype(np.float64), 0.0, "label"),
    )
    share = [(float(np.mean(first == i)), mode) for i, mode in enumerate(modes)]
    likely = " or ".join(f"{mode} ({part:.0%})" for part, mode in sorted(share, reverse=True) if part > 0.05)
    notes = (f"it should give by {likely}", *_other_first(prediction.fails_full(states), modes, first))
    return Plan("bend", of, points, 480.0, 4, 0.0, "piece", 1.0, "until it breaks", notes)


def _other_first(
    full: Mapping[str, Array], modes: list[str], first: npt.NDArray[np.int64]
) -> tuple[str, ...]:
    """A warning, before anything is built, when the two wings should give in different ways."""
    whole = np.argmin(np.array([full[mode] for mode in modes]), axis=0)
    small_mode, whole_mode = (
        modes[int(np.bincount(one, minlength=len(modes)).argmax())] for one in (first, whole)
    )
    if small_mode == whole_mode:
        return ()
    words = f"the small wing should give by {small_mode}, the real one by {whole_mode}"
    return (f"{words}: change its sticks or skins so that both give alike, or bend a coupon of the other",)


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows on stiffness and on the mode that broke, events for the modes that held; what the break means for the real
    wing, as a range by mode, never as one number."""
    found = by_sections(bench, trial)
    scale = float(trial.specimen.get("scale", 1.0))
    if "fails_kg" not in found.facts or scale >= 0.999:
        return found
    words = (*_as_on_the_aeroplane(trial), *_on_the_real_wing(bench, trial, found.facts["fails_kg"], scale))
    return replace(found, findings=(*found.findings, *words))


def _as_on_the_aeroplane(trial: Trial) -> tuple[str, ...]:
    """What the file does not say of the specimen: it is taken as on the aeroplane, not scaled."""
    silent = [name for name in ("skin", "caps", "ribs", "joint") if name not in trial.specimen]
    if not silent:
        return ()
    return (f"taken as on the aeroplane, not scaled: {', '.join(silent)}; say so if they were smaller",)


def _on_the_real_wing(bench: Bench, trial: Trial, broke: float, scale: float) -> tuple[str, ...]:
    prediction = bend_prediction(bench.plane, trial.specimen, float(trial.rig.get("saddle", 0.0)) / 2)
    middle = points(bench.prior)
    small, full = prediction.fails(middle), prediction.fails_full(middle)
    words = str(trial.failure.get("mode", ""))
    hit = named_modes(words, tuple(small))
    held = {mode: broke * float(full[mode][0] / small[mode][0]) for mode in hit}
    spread = math.exp(1.96 * math.sqrt(2 * ARTICLE**2 + SCALE_SD**2 + SPLIT**2))
    low, high = min(held.values()) / spread, max(held.values()) * spread
    _, sand, root = limit_load(bench)
    by = ", ".join(
        f"{mode} {value:.1f} kg (power {prediction.exponents(middle)[mode]:.2f})"
        for mode, value in held.items()
    )
    return (
        f"for the real wing, by its own drawing: {low:.1f} to {high:.1f} kg each side, "
        f"{low / sand * bench.plane.limits.load:.1f} to {high / sand * bench.plane.limits.load:.1f} g at the root "
        f"({root * low / sand:.0f} to {root * high / sand:.0f} N m); by mode: {by}. "
        f"Prove the real wing at {bench.plane.limits.load:g} g before it flies",
    )


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of "fails_at" or "holds" (kg each side)."""
    return compared(trial, found, {"fails_at": ("fails_kg", "kg"), "holds": ("held_kg", "kg")})
