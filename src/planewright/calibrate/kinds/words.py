"""Standing words of every kind of trial: what it settles, needs, cautions, steps, the heads of its data sheet.

Numbers never stand here: they come from the plan and the record. Cautions are the usual ones (common practice, no
source); local codes and licensed practice come first.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Any


@lru_cache(maxsize=1)
def standing_words() -> Mapping[str, Any]:
    """Words by kind (``cards.toml`` beside this module)."""
    text = resources.files("planewright.calibrate.kinds").joinpath("cards.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def words_of(kind: str) -> Mapping[str, Any]:
    """Words of one kind of trial ("joint" has its own)."""
    found: Mapping[str, Any] = standing_words()[kind]
    return found
