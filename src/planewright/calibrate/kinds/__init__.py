"""Every kind of trial by its name: one module each, with the same five verbs (see ``calibrate.protocol``)."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from planewright.calibrate.common import sound
from planewright.calibrate.kinds import (
    balance,
    battery,
    bend,
    controls,
    coupon,
    flight,
    joint,
    proof,
    pull,
    range_,
    swing,
    taxi,
    thrust,
    vehicle,
    weighing,
)
from planewright.calibrate.problem import Reduction
from planewright.calibrate.protocol import Bench, Judged, Kind
from planewright.errors import Fault, InputError, OutOfRange
from planewright.records.model import Trial

KINDS: Mapping[str, Kind] = MappingProxyType({
    "weighing": weighing, "coupon": coupon, "bend": bend, "proof": proof, "joint": joint, "vehicle": vehicle,
    "thrust": thrust, "battery": battery, "balance": balance, "swing": swing, "controls": controls, "range": range_,
    "taxi": taxi, "pull": pull, "flight": flight,
})  # fmt: skip
"""Kinds by name. A record of kind "proof" whose ``of`` is a joint is of the kind "joint"."""


def kind_name(kind: str, of: str) -> str:
    """The name in ``KINDS`` for a record of that kind and part."""
    return "joint" if kind == "proof" and ".joint." in of else kind


def kind_of(trial: Trial) -> Kind:
    """The module of a trial's kind."""
    return KINDS[kind_name(trial.kind, trial.of)]


def reduce_trial(at: Bench, trial: Trial) -> Reduction:
    """One trial, reduced by its kind. Raises InputError when the trial's files lack what its kind needs, or when its
    readings are so far off that no finite number comes of them."""
    try:
        with np.errstate(all="ignore"):
            return sound(trial, kind_of(trial).reduce(at, trial))
    except OutOfRange as error:
        advice = 'Correct the trial\'s file, or set the trial aside with in_force = { no = "..." }.'
        fault = Fault(
            f"trials/{trial.id}/trial.toml", 0, error.what, f"is {error.value:g}.", str(error), advice
        )
        raise InputError([fault]) from error


def judged(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said before against what was found, by the trial's kind."""
    return kind_of(trial).judge(trial, found)
