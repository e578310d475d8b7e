"""The table of limits: one file, read once, each with its source."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from planewright.findings.model import Side, Weight


@dataclass(frozen=True)
class Limit:
    """One limit. ``limit`` is a number in the figure's SI unit, or None when ``source_key`` names where the
    aeroplane's or the site's own file gives it. ``scale``: what counts as 100 % on the fence; None: the limit."""

    id: str
    name: str
    figure: str
    side: Side
    kind: Weight
    danger: int
    says: str
    settles: str
    source: str
    limit: float | None = None
    source_key: str | None = None
    scale: float | None = None


@lru_cache(maxsize=1)
def load_limits() -> tuple[Limit, ...]:
    """All limits of this release, in file order (``limits.toml`` beside this module)."""
    text = resources.files("planewright.findings").joinpath("limits.toml").read_text(encoding="utf-8")
    return tuple(
        Limit(
            id=row["id"],
            name=row["name"],
            figure=row["figure"],
            side=row["side"],
            kind=row["kind"],
            danger=row["danger"],
            says=row["says"],
            settles=row["settles"],
            source=row["source"],
            limit=row.get("limit"),
            source_key=row.get("from"),
            scale=row.get("scale"),
        )
        for row in tomllib.loads(text)["limit"]
    )
