"""Polars of common sections that ship with the tool, made by its own solver and kept as plain tables.

They spare everyone the same minute of work. Each table names in its head the digest of what it was made from; a test
makes a part of each anew and compares. ``python -m planewright.analysis.section.shipping FOLDER``
writes them all again.
"""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.polars import SectionPolars

Array = npt.NDArray[np.float64]

NAMES = (
    "E387", "NACA 0006", "NACA 0008", "NACA 0009", "NACA 0010", "NACA 0012", "NACA 0015",
    "NACA 2410", "NACA 2412", "NACA 4412",
)  # fmt: skip
HEADS = ("reynolds", "alpha_deg", "cl", "cd", "cm", "state", "upper", "lower")


def file_of(name: str) -> str:
    """Name of its table."""
    return name.lower().replace(" ", "_") + ".csv"


@lru_cache(maxsize=32)
def shipped(name: str) -> SectionPolars | None:
    """The polars of a section that ships (any capitals, "naca 0010"); None when it does not.

    States: 0 converged, 1 bridged.
    """
    known = {one.lower(): one for one in NAMES}
    if name.lower() not in known:
        return None
    text = (files("planewright.analysis.section") / "tables" / file_of(name)).read_text(encoding="utf-8")
    lines = text.splitlines()
    digest, thickness = lines[0].split()[-1], float(lines[1].split()[-1])
    rows = np.array([[float(x) for x in row] for row in list(csv.reader(lines[3:]))[1:]])
    reynolds, alpha = np.unique(rows[:, 0]), np.unique(rows[:, 1])
    table = rows.reshape(reynolds.size, alpha.size, len(HEADS))
    return SectionPolars(
        known[name.lower()], digest, thickness, np.deg2rad(alpha), reynolds,
        table[..., 2], table[..., 3], table[..., 4], table[..., 5].astype(np.int8), (0.0, 0.0), table[..., 6:8],
    )  # fmt: skip
