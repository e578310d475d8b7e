"""A smaller wing bent by sand until it breaks: one row on stiffness, one on the mode that broke, events on
the rest.

    ln P_m(specimen) = ln P_predicted,m(its own drawing) + z_m + work + article_m + scale_m

Only factors pass to the real wing. The mode has to be named (from the photograph); the other modes held at
least the load at which this one broke. Where two modes are named the row is on the least of them, softly;
where none is, on the least of all. Larger pieces are weaker: scale_m has mean +0.05 ln(volume ratio) and
deviation 0.10 at half size (form after W. Weibull, J. Appl. Mech. 1951, from memory; the exponent is a
judgement).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Protocol

import numpy as np
import numpy.typing as npt

from planewright.calibrate.common import Sheet, lacking, missing, sheet
from planewright.calibrate.lines import LinearFit, likely_slip, robust_fit
from planewright.calibrate.problem import Block, Event, Reduction, once
from planewright.knowledge import Points
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]

READING = 0.02
SPLIT = 0.04
SCALE_MEAN, SCALE_SD = 0.07, 0.10
TIP_FLOOR = 0.001
CREEP = 0.02
CURVE = 0.12
SOFT = 20.0
SIDES = ("tip_left_mm", "tip_right_mm")
ARTICLE = {"stick": ("stick", 0.10), "glue": ("joint", 0.12), "joint": ("joint", 0.12)}
SKIN = ("skin", 0.08)
WORDS: Mapping[str, tuple[str, ...]] = {
    "stick": ("stick", "cap", "spar"),
    "glue": ("glue", "bond"),
    "web": ("web",),
    "face": ("skin", "face", "crease", "wrinkl", "paper", "board"),
}


class Bent(Protocol):
    """What strength predicts of a specimen, for every point of knowledge."""

    def fails(self, states: Points) -> Mapping[str, Array]:
        """kg of sand a side at which each mode is reached, (K,)."""

    def slope_mm_per_kg(self, states: Points) -> Array:
        """Tip deflection, mm per kg a side, (K,)."""


@dataclass(frozen=True)
class Broke:
    """What the readings and the trial file say: greatest load ``held`` and first load that did not hold, kg
    a side (None: nothing broke), and the words of the mode."""

    held: float
    gone: float | None
    words: str


def broke(trial: Trial, log: Sheet) -> Broke:
    """Loads between which the specimen broke, by the trial file, else by the readings."""
    load = log.column("load_each_side_g")
    tips = np.array([log.column(side) for side in SIDES])
    last = np.all(~np.isfinite(tips), axis=0) & np.isfinite(load)
    between = trial.failure.get("between")
    words = str(trial.failure.get("mode", "")) or " ".join(log.words("note")[-1:])
    stood = load[~last & np.isfinite(load)]
    if between is not None:
        return Broke(float(between[0]), float(between[1]), words)
    if last[-1] and len(stood) and load[-1] > np.max(stood):
        return Broke(float(np.max(stood)), float(load[-1]), words)
    return Broke(float(np.max(stood)) if len(stood) else 0.0, None, "")


def named_modes(words: str, modes: Sequence[str]) -> tuple[str, ...]:
    """The predicted modes that a person's words name; all of them when the words name none."""
    said = words.lower()
    kinds = [kind for kind, marks in WORDS.items() if any(mark in said for mark in marks)]
    found = tuple(mode for mode in modes if kind_of(mode) in kinds)
    return found or tuple(modes)


def kind_of(mode: str) -> str:
    """Which part of a wing a mode is about: stick, glue, web, joint or face."""
    return next((kind for kind in ("stick", "glue", "web", "joint") if kind in mode), "face")


def tip_slopes(
    trial: Trial, log: Sheet, upto: float
) -> tuple[dict[str, LinearFit], dict[str, npt.NDArray[np.int64]]]:
    """Height of each tip as a + b w + c w^3, robust, over loads up to ``upto`` kg; rows used, by side.

    The first load cycle may leave a set: it is in the residuals and in the floor of 1 mm.
    """
    load = log.column("load_each_side_g")
    fits: dict[str, LinearFit] = {}
    rows: dict[str, npt.NDArray[np.int64]] = {}
    for side in SIDES:
        height = log.column(side)
        use = np.isfinite(height) & (load >= 0) & log.keep & (load <= upto)
        if use.sum() > 4 and np.ptp(load[use]) > 0:
            fits[side] = _tip_fit(load[use], height[use])
            rows[side] = log.rows[use]
    if not fits:
        raise lacking(
            trial, "tip_left_mm", "At least five readings of a tip.", "Add them as they were logged."
        )
    return fits, rows


def _tip_fit(load: Array, height: Array) -> LinearFit:
    """a + b w + c w^3 with c held near a stiffness that falls by 12 % up to the greatest load, give or take
    as much: else one slip of the pen at the greatest load would be bent into the curve."""
    start = _start(load, height)
    curve = CURVE * start[1] / float(np.max(load)) ** 2
    hold = TIP_FLOOR / abs(curve) if curve else 0.0
    design = np.column_stack([np.ones(len(load)), load, load**3])
    whole = np.vstack([design, [0.0, 0.0, hold]])
    found = robust_fit(whole, np.append(height, hold * curve), TIP_FLOOR, start + np.array([0.0, 0.0, curve]))
    return replace(found, residual=found.residual[:-1], weight=found.weight[:-1])


def _start(load: Array, height: Array) -> Array:
    i, j = np.triu_indices(len(load), 1)
    apart = load[i] != load[j]
    slope = float(np.median((height[j] - height[i])[apart] / (load[j] - load[i])[apart]))
    return np.array([float(np.median(height - slope * load)), slope, 0.0])


def soft_least(values: Sequence[Array]) -> Array:
    """Soft minimum of several ln loads, (K,): the least where they lie apart, a little under where they
    meet."""
    stacked = np.array(values)
    return np.asarray(-np.logaddexp.reduce(-SOFT * stacked, axis=0) / SOFT)


@dataclass(frozen=True)
class _Specimen:
    """ln load of each mode of one specimen, with the unknowns of its own."""

    name: str
    wing: Bent
    other_sheet: bool
    fails: Callable[[Points], Mapping[str, Array]]
    article: str = ""

    def load(self, at: Points, mode: str, fails: Mapping[str, Array]) -> Array:
        kind = kind_of(mode)
        article = ARTICLE.get(kind, SKIN)[0]
        out = np.log(fails[mode]) + at.state(f"{self.name}:split")
        if self.article:
            return np.asarray(out + at.state(f"article.{article}", self.article))
        out = out + at.state(f"{self.name}:article.{article}") + at.state(f"{self.name}:scale.{mode}")
        if self.other_sheet and article == "skin":
            out = out + at.state(f"{self.name}:sheet")
        return np.asarray(out)

    def failure(self, modes: tuple[str, ...], at: Points) -> Array:
        fails = self.fails(at)
        return soft_least([self.load(at, mode, fails) for mode in modes])[None, :]

    def margin(self, mode: str, bound: float, at: Points) -> Array:
        return self.load(at, mode, self.fails(at)) - math.log(bound)

    def slope(self, at: Points) -> Array:
        out = np.log(self.wing.slope_mm_per_kg(at)) - at.state(f"{self.name}:split")
        if self.other_sheet:
            out = out - 0.5 * at.state(f"{self.name}:sheet")
        return np.asarray(out)[None, :]

    def unknowns(self, modes: Sequence[str], scale: float) -> dict[str, tuple[float, float]]:
        if self.article:
            return {f"{self.name}:split": (0.0, SPLIT)}
        size = abs(math.log(scale)) / math.log(2.0) if scale > 0 else 0.0
        own = {f"article.{name}": (0.0, sd) for name, sd in (SKIN, *ARTICLE.values())}
        own |= {f"scale.{mode}": (SCALE_MEAN * size, max(SCALE_SD * size, 1e-6)) for mode in modes}
        own |= {"split": (0.0, SPLIT)} | ({"sheet": (0.0, 0.10)} if self.other_sheet else {})
        return {f"{self.name}:{key}": value for key, value in own.items()}


def reduce_bend(
    trial: Trial, wing: Bent, modes: Sequence[str], moment_per_kg: float | None = None, article: str = ""
) -> Reduction:
    """Rows and events of a bend test.

    Arguments:
        trial: kind "bend", columns load_each_side_g, tip_left_mm, tip_right_mm; ``failure`` where it broke.
        wing: the prediction for the specimen's own drawing.
        modes: the modes that ``wing.fails`` returns.
        moment_per_kg: bending moment where it is held, N m per kg a side, for the facts.
        article: id of a built wing whose own factors are knowledge (the flying wing); "" for a test piece.

    Moves the factors that the prediction reads. Raises InputError for missing columns or too few readings.
    """
    log = sheet(trial, trial.readings)
    said = broke(trial, log)
    specimen = _Specimen(trial.id, wing, bool(trial.specimen.get("skin")), once(wing.fails), article)
    stiffness, about_tips, doubted, slope = _stiffness(trial, log, specimen, said)
    blocks = [stiffness]
    events, words = _strength(trial, specimen, modes, said, blocks)
    facts = {"mm_per_kg": slope, "held_kg": said.held}
    facts |= {"fails_kg": math.sqrt(said.held * said.gone)} if said.gone and said.held > 0 else {}
    if moment_per_kg is not None:
        facts["moment_Nm"] = moment_per_kg * (math.sqrt(said.held * said.gone) if said.gone else said.held)
    own = specimen.unknowns(modes, float(trial.specimen.get("scale", 1.0)))
    words = log.struck() + about_tips + words
    return Reduction(
        trial.id, tuple(blocks), events, own, words, facts, doubted=doubted, used=int(log.keep.sum())
    )


def _strength(
    trial: Trial, specimen: _Specimen, modes: Sequence[str], said: Broke, blocks: list[Block]
) -> tuple[tuple[Event, ...], tuple[str, ...]]:
    """Events of the modes that held; the row of the mode that broke is added to the blocks."""
    hit: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    if said.gone is not None:
        hit = named_modes(said.words, modes)
        middle = 0.5 * math.log(said.held * said.gone)
        sigma = math.hypot(READING, math.log(said.gone / said.held) / math.sqrt(12))
        y, error = np.array([middle]), np.array([sigma])
        row = Block(trial.id, "failure", (0,), y, error, partial(specimen.failure, hit))
        blocks.append(row)
        words = _mode_words(said, hit, modes)
    stood = [mode for mode in modes if mode not in hit and said.held > 0]
    held = tuple(Event(trial.id, one, READING, partial(specimen.margin, one, said.held)) for one in stood)
    return held, words


def _mode_words(said: Broke, hit: tuple[str, ...], modes: Sequence[str]) -> tuple[str, ...]:
    if len(hit) == len(modes):
        return ("no mode is named: the break counts for whichever gives first; look at the photograph",)
    return (f'broke by "{said.words}", read as {" or ".join(hit)}: the other modes held at least as much',)


def _stiffness(
    trial: Trial, log: Sheet, specimen: _Specimen, said: Broke
) -> tuple[Block, tuple[str, ...], tuple[int, ...], float]:
    """The row ln(mm per kg), sentences about readings that do not fit, their rows, and the slope itself."""
    fits, rows = tip_slopes(trial, log, said.held)
    slope = {side: -1000.0 * float(one.value[1]) for side, one in fits.items()}
    if min(slope.values()) <= 0:
        raise lacking(trial, "tip_left_mm", "Tips that sink under load.", "Are the heights above the floor?")
    middle = float(np.mean(list(slope.values())))
    apart = float(np.ptp(list(slope.values()))) / middle / 2
    stated = float(np.mean([one.sd[1] * 1000.0 for one in fits.values()])) / middle / math.sqrt(len(fits))
    sigma = math.sqrt(stated**2 + READING**2 + CREEP**2 + apart**2)
    block = Block(trial.id, "slope", (0,), np.array([math.log(middle)]), np.array([sigma]), specimen.slope)
    words, odd = [], []
    for side, one in fits.items():
        for row, residual, weight in zip(rows[side], one.residual, one.weight, strict=True):
            if weight < 0.5:
                odd.append(int(row))
                words.append(_odd_tip(log, side, int(row), float(residual), one.s))
    empty = missing("a tip", log.rows[_no_tip(log) & log.keep][:-1])
    return block, tuple(words) + empty, tuple(sorted(set(odd))), middle


def _no_tip(log: Sheet) -> npt.NDArray[np.bool_]:
    return np.asarray(np.any([~np.isfinite(log.column(side)) for side in SIDES], axis=0))


def _odd_tip(log: Sheet, side: str, row: int, residual: float, scale: float) -> str:
    written = log.words(side)[row - 1]
    wanted = float(written) - 1000.0 * residual
    meant = likely_slip(written, wanted, 4000.0 * scale) if abs(residual) > 6 * scale else ""
    hint = f"; perhaps {meant} was meant" if meant else ""
    return f"row {row}: {side} {written} lies {abs(residual) * 1000:.0f} mm off the others and hardly counts{hint}"
