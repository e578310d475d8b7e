"""Which test to do next, in words: what each closes, the share of doubt it takes away, the chance that it settles a row
and that it breaks what will fly. The numbers are those of ``study.next``; nothing here is a promise.
"""

from __future__ import annotations

import fnmatch
import tomllib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib import resources
from typing import Any

from planewright.findings import Finding
from planewright.knowledge.model import Knowledge
from planewright.study.model import Figure, NextRow, NextTest, Test

LEAST_SHARE = 0.05
MOST_ROWS = 4


@lru_cache(maxsize=1)
def table() -> tuple[Mapping[str, Any], ...]:
    """All tests of this release, in file order (``tests.toml`` beside this module)."""
    text = resources.files("planewright.study").joinpath("tests.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["test"])


def answers(test: Mapping[str, Any], finding: Finding) -> bool:
    """True when the test is the evidence that an open row asks for."""
    patterns: Sequence[str] = test.get("answers", ())
    return any(fnmatch.fnmatchcase(finding.id, pattern) for pattern in patterns)


def left_removed(figure: Figure, narrows: Mapping[str, float], knowledge: Knowledge) -> float:
    """Part of the figure's variance (0 to 1) that goes when each quantity keeps only its stated spread: for what is
    weighed part by part, of which no draws of readings are made."""
    removed = 0.0
    for name, share in figure.rests_on:
        left = narrows.get(name.split("[")[0])
        quantity = knowledge.quantities.get(name)
        if left is not None and quantity is not None and quantity.sd > left:
            removed += share * (1.0 - (left / quantity.sd) ** 2)
    return min(removed, 1.0)


def by_hand(
    test: Mapping[str, Any],
    findings: Sequence[Finding],
    figures: Mapping[str, Figure],
    knowledge: Knowledge,
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Rows and sentences of a test that is no trial: checks that two people sign, parts weighed as they are built."""
    rows, words = [], []
    for finding in findings:
        figure = figures.get(finding.figure)
        if finding.state == "missing" and answers(test, finding):
            rows.append(finding.id)
            words.append(f"closes: {finding.sentence}")
        elif finding.state == "crosses" and figure is not None and test.get("narrows"):
            share = left_removed(figure, test["narrows"], knowledge)
            if share >= LEAST_SHARE:
                rows.append(finding.id)
                words.append(f"{finding.name}: takes away about {percent(share)} of its variance")
    return tuple(rows), tuple(words)


def row_words(row: NextRow) -> str:
    """What a trial does to one open row: share, share per hour, chance that it settles it."""
    return (
        f"{row.name}: takes away {percent(row.share)} of its variance, {percent(row.per_hour)} an hour; "
        f"chance that this settles it: {chance(row.settles)}"
    )


def percent(part: float) -> str:
    """A share in words."""
    return f"{100 * part:.0f} %"


def chance(part: float) -> str:
    """A chance in words: never 0 or 100 %, which draws cannot show."""
    return "under 1 %" if part < 0.005 else "over 99 %" if part > 0.995 else percent(part)


def trial_words(one: NextTest, sentences: Mapping[str, str], many: bool) -> tuple[str, ...]:
    """Everything a trial would do, each a sentence; headed by its part where several of its kind are offered."""
    head = f"{one.of}: " if many else ""
    words = [f"{head}closes: {sentences[name]}" for name in one.closes]
    words += [head + row_words(row) for row in one.rows if row.share >= LEAST_SHARE][:MOST_ROWS]
    if one.article == "flying":
        words.append(f"{head}chance that it breaks what will fly: {chance(one.breaks)}; {one.most}")
    return tuple(words)


def tests_for(
    findings: Sequence[Finding],
    figures: Mapping[str, Figure],
    knowledge: Knowledge,
    following: Sequence[NextTest],
) -> tuple[Test, ...]:
    """Tests worth doing now, in their order: ``following`` by kind, with what two people sign and what is weighed by
    hand put where it belongs (what closes a blocking row first, the shorter first)."""
    open_rows = [one for one in findings if one.state != "clear"]
    sentences = {one.id: one.sentence for one in findings}
    words = {test["id"]: test for test in table()}
    found: list[tuple[tuple[int, float], Test]] = []
    for test in table():
        rows, said = by_hand(test, open_rows, figures, knowledge) if test.get("by_hand") else ((), ())
        if rows:
            place = (0 if any(words.startswith("closes") for words in said) else 1, float(test["minutes"]))
            found.append((place, _test(test, float(test["minutes"]), rows, said)))
    for kind in dict.fromkeys(one.kind for one in following if one.kind in words):
        own = [one for one in following if one.kind == kind]
        said = tuple(line for one in own for line in trial_words(one, sentences, len(own) > 1))
        rows = tuple(
            dict.fromkeys(name for one in own for name in (*one.closes, *(row.finding for row in one.rows)))
        )
        if said:
            place = (0 if any(one.closes for one in own) else 1, sum(one.minutes for one in own))
            found.append((place, _test(words[kind], place[1], rows, said, max(one.people for one in own))))
    return tuple(test for _, test in sorted(found, key=lambda one: one[0]))


def _test(
    test: Mapping[str, Any], minutes: float, rows: tuple[str, ...], said: tuple[str, ...], people: int = 0
) -> Test:
    return Test(
        name=test["id"],
        minutes=minutes,
        people=people or test["people"],
        settles=rows,
        says=f"{test['says']}.",
        effects=said,
    )
