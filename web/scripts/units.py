"""Prints the table of display units and worked cases, so that the page shows a value as every other door does."""

from __future__ import annotations

import json
import math
from dataclasses import asdict

from planewright.units.showing import _IMPERIAL, _METRIC, show

CASES = ((0.3351, "m"), (2.6, "m"), (-0.004, "m"), (0.0349066, "rad"), (4.58, "kg"), (0.412, "kg"), (8.64, "m/s"),
         (12345.0, "J"), (0.91, "m2"), (0.244, "kg/m2"), (293.15, "K"), (100.0, "s"), (0.1742, "%"), (0.0, "N"),
         (-0.00001, "m"), (1.29, "rad/s"), (700.0, "rad/s"), (5.0, "of its own"))  # fmt: skip


def tables() -> dict[str, dict[str, list[dict[str, object]]]]:
    """The rows of both systems; an open end as null."""
    found = {}
    for name, table in (("metric", _METRIC), ("imperial", _IMPERIAL)):
        rows = {unit: [asdict(one) for one in choices] for unit, choices in table.items()}
        for one in (row for unit in rows.values() for row in unit):
            one["below"] = one["below"] if math.isfinite(one["below"]) else None
        found[name] = rows
    return found


def cases() -> list[list[object]]:
    """Value, unit, system and the words for it."""
    return [
        [v, unit, system, show(v, unit, system)] for v, unit in CASES for system in ("metric", "imperial")
    ]


if __name__ == "__main__":
    print(json.dumps({"table": tables(), "cases": cases()}, ensure_ascii=True))
