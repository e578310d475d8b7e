"""Names, units, groups and methods of all figures (``labels.toml`` beside this module)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from planewright.study.figures import Label


@lru_cache(maxsize=1)
def labels() -> Mapping[str, Label]:
    """Label of each figure id, in the order in which figures are shown."""
    text = resources.files("planewright.study").joinpath("labels.toml").read_text(encoding="utf-8")
    return {
        name: Label(row["name"], row["term"], row["unit"], row["group"], row["method"])
        for name, row in tomllib.loads(text).items()
    }
