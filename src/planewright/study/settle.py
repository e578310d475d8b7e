"""Which test to do next: what each would close, and how far it should shorten the open sticks.

The length expected after a test is linear: the share of the variance that the test takes away, the middle
staying where it is. It is a plan, not a promise.
"""

from __future__ import annotations

import fnmatch
import math
import tomllib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib import resources
from typing import Any

from planewright.findings import Finding
from planewright.knowledge.model import Knowledge
from planewright.study.model import Figure, Test

LEAST_CUT = 0.10


@lru_cache(maxsize=1)
def table() -> tuple[Mapping[str, Any], ...]:
    """All tests of this release, in file order (``tests.toml`` beside this module)."""
    text = resources.files("planewright.study").joinpath("tests.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["test"])


def share_removed(figure: Figure, narrows: Mapping[str, float], knowledge: Knowledge) -> float:
    """Part of the figure's variance (0 to 1) that goes when each quantity keeps only its stated spread."""
    removed = 0.0
    for name, share in figure.rests_on:
        left = narrows.get(name.split("[")[0])
        quantity = knowledge.quantities.get(name)
        if left is not None and quantity is not None and quantity.sd > left:
            removed += share * (1.0 - (left / quantity.sd) ** 2)
    return min(removed, 1.0)


def shrunk(stick: tuple[float, float, float], removed: float) -> tuple[float, float, float]:
    """The stick (low, middle, high) with its arms shortened by the square root of what remains."""
    low, middle, high = stick
    keep = math.sqrt(max(1.0 - removed, 0.0))
    return middle + (low - middle) * keep, middle, middle + (high - middle) * keep


def answers(test: Mapping[str, Any], finding: Finding) -> bool:
    """True when the test is the evidence that an open row asks for."""
    patterns: Sequence[str] = test.get("answers", ())
    return any(fnmatch.fnmatchcase(finding.id, pattern) for pattern in patterns)


def effect(
    test: Mapping[str, Any], finding: Finding, figures: Mapping[str, Figure], knowledge: Knowledge
) -> str:
    """What the test would do to one open row, in words; empty when nothing worth saying."""
    if finding.state == "missing":
        return f"closes: {finding.sentence}" if answers(test, finding) else ""
    figure = figures.get(finding.figure)
    if finding.state != "crosses" or figure is None or not finding.stick:
        return ""
    removed = share_removed(figure, test.get("narrows", {}), knowledge)
    cut = 1.0 - math.sqrt(1.0 - removed)
    if cut < LEAST_CUT:
        return ""
    low, middle, high = shrunk(finding.stick[0], removed)
    if low < 0 < high:
        return f"{finding.sentence}: about {cut:.0%} shorter, may still lie across"
    return f"{finding.sentence}: should then be {'clear' if middle > 0 else 'short'}"


def tests_for(
    findings: Sequence[Finding], figures: Mapping[str, Figure], knowledge: Knowledge
) -> tuple[Test, ...]:
    """Tests worth doing now: those that close or shorten an open row, those for blocking and dangerous rows
    first, the shorter first among equals."""
    found: list[tuple[tuple[int, int, float], Test]] = []
    for test in table():
        rows = [(one, effect(test, one, figures, knowledge)) for one in findings if one.state != "clear"]
        rows = [(one, words) for one, words in rows if words]
        if not rows:
            continue
        rank = min((one.kind == "watch", one.danger) for one, _ in rows)
        record = Test(
            name=test["id"],
            minutes=test["minutes"],
            people=test["people"],
            settles=tuple(one.id for one, _ in rows),
            says=f"{test['says']}.",
            effects=tuple(words for _, words in rows),
        )
        found.append(((int(rank[0]), rank[1], test["minutes"]), record))
    return tuple(record for _, record in sorted(found, key=lambda one: one[0]))
