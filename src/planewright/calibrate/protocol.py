"""One protocol for every kind of trial: plan, read, reduce, judge, feed.

A kind is a module with these five functions. **plan** writes down what should come out before anybody begins, with
bands from what is known now. **read** checks that the columns are there and turns them into SI. **reduce** makes
estimates of them, with weights and named odd rows; no row is dropped without a word. **judge** holds the result
against what was said before. **feed** hands rows, held events and unknowns to the one fit.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.calibrate.common import READINGS, Sheet, sheet
from planewright.calibrate.problem import Block, Event, Reduction
from planewright.geometry import Geometry
from planewright.knowledge import Knowledge
from planewright.ledger.model import Ledger
from planewright.plane.model import Plane
from planewright.records.model import Said, Trial

Array = npt.NDArray[np.float64]

Article = Literal["nothing", "piece", "flying"]
Form = Literal["ln", "shift", "flag", "label"]


@dataclass(frozen=True)
class Bench:
    """Everything that stays the same over the trials of one calibration."""

    prior: Knowledge
    geometry: Geometry
    ledger: Ledger

    @property
    def plane(self) -> Plane:
        """The aeroplane as drawn."""
        return self.geometry.plane


@dataclass(frozen=True)
class Point:
    """One reading to be taken, as it is expected before the trial.

    ``what``: its name; ``unit``: SI, "1" for a bare number. ``draws``: (N,) what it would read without errors of
    reading, for N draws of what is known. ``noise``: standard deviation of the error of reading, relative for form
    "ln" and in ``unit`` for "shift". Form "flag": draws are 1 where it holds and 0 where it does not; "label": a
    number that only names (which mode gives first). ``said``: the name under which a trial file says it before.
    """

    what: str
    unit: str
    draws: Array
    noise: float = 0.0
    form: Form = "ln"
    said: str = ""

    def readings(self, standard: Array) -> Array:
        """Readings with their errors; ``standard``: (N,) standard normal numbers."""
        if self.form == "ln":
            return np.asarray(self.draws * np.exp(self.noise * standard))
        return np.asarray(self.draws + (self.noise * standard if self.form == "shift" else 0.0))

    def band(self) -> tuple[float, float, float]:
        """2.5, 50 and 97.5 per cent of what will be read, errors of reading included (normal, seeded)."""
        standard = np.random.default_rng(len(self.what)).standard_normal(len(self.draws))
        good = self.readings(standard)
        good = good[np.isfinite(good)]
        if not len(good):
            return math.nan, math.nan, math.nan
        low, middle, high = np.percentile(good, [2.5, 50.0, 97.5])
        return float(low), float(middle), float(high)


@dataclass(frozen=True)
class Plan:
    """What a trial would be, before it is begun.

    ``of``: part or stock; ``points``: readings with their expected bands; ``common``: relative error that all
    readings share (a scale's gain). ``minutes``, ``people``: judgement. ``article``: what is loaded. ``breaks``:
    share of the draws in which the article breaks under the greatest load of the plan (0 where nothing is loaded;
    1 for a piece made to be broken). ``most``: the greatest load in words, never above limit load on the flying
    article. ``notes``: sentences for the one who plans.
    """

    kind: str
    of: str
    points: tuple[Point, ...]
    minutes: float
    people: int
    common: float = 0.0
    article: Article = "nothing"
    breaks: float = 0.0
    most: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Judged:
    """What was said before against what was found. ``inside``: None where they cannot be compared."""

    what: str
    said: str
    found: float | None
    unit: str
    inside: bool | None

    def sentence(self) -> str:
        """The comparison in words."""
        if self.inside is None or self.found is None:
            return f'said before of {self.what}: "{self.said}"; this trial has no figure to hold against it'
        where = "as was said" if self.inside else "not as was said"
        return f'said before of {self.what}: "{self.said}"; found {self.found:.3g} {self.unit}: {where}'


@dataclass(frozen=True)
class Fed:
    """What a trial hands to the fit: rows, held events, unknowns of its own, and a check passed or failed."""

    blocks: tuple[Block, ...]
    events: tuple[Event, ...]
    locals: Mapping[str, tuple[float, float]]
    passed: bool | None = None


class Kind(Protocol):
    """The five verbs. Every module of this package that stands for a kind of trial has them."""

    def plan(self, bench: Bench, of: str, states: States) -> Plan:
        """What to do and what to expect. Raises InputError when the drawing does not say enough."""

    def read(self, trial: Trial) -> Sheet:
        """The readings in SI with their remarks. Raises InputError naming the columns that are missing."""

    def reduce(self, bench: Bench, trial: Trial) -> Reduction:
        """Estimates with weights, odd rows named. Raises InputError when the readings do not suffice."""

    def judge(self, trial: Trial, found: Reduction) -> tuple[Judged, ...]:
        """What was said before against what was found."""

    def feed(self, found: Reduction) -> Fed:
        """Rows and events for the fit."""


def feed(found: Reduction) -> Fed:
    """Rows, events and unknowns of a reduction, as every kind hands them on."""
    return Fed(found.blocks, found.events, found.locals, found.passed)


def read_columns(trial: Trial, *wanted: str) -> Sheet:
    """The readings of a trial, with the named columns. Raises InputError when one is missing."""
    log = sheet(trial, trial.readings, READINGS)
    for name in wanted:
        log.column(name)
    return log


AT = re.compile(r"at ([0-9.]+) ?(V|km/h|m/s|m)\b")


def compared(trial: Trial, found: Reduction, facts: Mapping[str, tuple[str, str]]) -> tuple[Judged, ...]:
    """Each prediction against the fact of that name.

    ``facts``: what was said -> (name of the fact, its SI unit). A prediction of another name, in another unit, or
    "at" a voltage that the run did not have is not compared.
    """
    return tuple(_judged(one, found, facts) for one in trial.said_before)


def _judged(said: Said, found: Reduction, facts: Mapping[str, tuple[str, str]]) -> Judged:
    name, unit = facts.get(said.what, ("", ""))
    value = found.facts.get(name)
    low, high = said.low, said.high
    if value is None or low is None or high is None or said.unit != unit or _elsewhere(said, found):
        return Judged(said.what, said.words, None, unit, None)
    inside = low <= value <= high if high > low else value >= low
    return Judged(said.what, said.words, value, unit, inside)


def _elsewhere(said: Said, found: Reduction) -> bool:
    """True when the words name a voltage that is not the run's (within 2 %)."""
    hit = AT.search(said.words)
    if hit is None or hit[2] != "V" or "volts" not in found.facts:
        return False
    return abs(found.facts["volts"] / float(hit[1]) - 1.0) > 0.02
