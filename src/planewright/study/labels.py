"""Names, units, groups and methods of all figures (``labels.toml`` beside this module)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from planewright.analysis.air.model import UNSETTLED
from planewright.study.figures import Label
from planewright.study.models import Models

HANDOVER = (
    "The sections' curves are {method}; the strip limit alone would give {part:.0%} of this. Stall followed over the"
    " strips by a lattice closed with section curves (after Mukherjee and Gopalarathnam, Journal of Aircraft 43(3),"
    " 2006), at the medians, carried to every draw as a factor."
)


@lru_cache(maxsize=1)
def labels() -> Mapping[str, Label]:
    """Label of each figure id, in the order in which figures are shown."""
    text = resources.files("planewright.study").joinpath("labels.toml").read_text(encoding="utf-8")
    return {
        name: Label(row["name"], row["term"], row["unit"], row["group"], row["method"])
        for name, row in tomllib.loads(text).items()
    }


UNFOLLOWED = "Following it over the strips did not converge, so this limit stands."
"""Said where the closed lattice found no greatest lift."""


def worded(name: str, label: Label, models: Models) -> Label:
    """A figure's label with the method that was really used: greatest lift by the strip limit or over the strips."""
    spread = None if models.air is None else models.air.spread
    if name != "maximum_lift_coefficient" or spread is None:
        return label
    if spread.method == UNSETTLED:
        said = label.method.split("The sections' own curves")[0] + UNFOLLOWED
        return Label(label.name, label.term, label.unit, label.group, said)
    said = HANDOVER.format(method=spread.method, part=1 / spread.share)
    return Label(label.name, label.term, label.unit, label.group, said)
