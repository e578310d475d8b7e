"""The proof of the bands over two hundred fresh seeds a kind, fair and harsh; it writes the table of the manual."""

import os
from pathlib import Path

import pytest
from test_calibrate_coverage import bend, thrust, vehicle

from fixtures import home, proof

PAGE = Path(__file__).parents[2] / "docs" / "manual" / "bands.md"
KINDS: dict[str, proof.Cases] = {
    **{name: proof.home_cases(name) for name in home.WORLDS},
    "wing": proof.wing_cases,
    "vehicle": proof.of_generator(vehicle),
    "bend": proof.of_generator(bend),
    "thrust": proof.of_generator(thrust),
}
CASES = 200


@pytest.mark.parametrize("kind", ["wing", "vehicle", "bend", "thrust"])
def test_three_harsh_cases(kind: str) -> None:
    """Only gross failure shows in three cases: not more than two misses in all."""
    cases = [KINDS[kind](seed, True) for seed in (501, 502, 503)]
    assert sum(not value for one in cases for value in one.values()) <= 2, cases


@pytest.mark.slow
def test_two_hundred_cases_of_every_kind() -> None:
    """Each between 90 and 100 % (harsh 88 to 100), the pool between 93 and 99 %; the table is written when asked.

    The pool may be on the safe side: several reductions carry wider unknowns of form than these truths have.
    """
    rows = [
        row for kind, cases in KINDS.items() for row in proof.counted(kind, cases, range(3000, 3000 + CASES))
    ]
    if os.environ.get("PLANEWRIGHT_WRITE_PROOF"):
        PAGE.write_text(proof.page(rows), encoding="utf-8")
    for row in rows:
        assert row.fair >= 0.90 * row.cases and row.harsh >= 0.88 * row.cases, row
    cases = sum(row.cases for row in rows)
    for hits in (sum(row.fair for row in rows), sum(row.harsh for row in rows)):
        assert 0.93 <= hits / cases <= 0.99


def test_the_page_of_the_manual_is_kept_and_says_what_it_counted() -> None:
    text = PAGE.read_text(encoding="utf-8")
    table = [line for line in text.splitlines() if line.startswith("| ") and "+-" in line]
    kinds = {line.split("|")[1].strip() for line in table}
    assert kinds == {*proof.WORDS.values(), "all"}
    for line in table[:-1]:
        cases, fair, harsh = (cell.strip() for cell in line.split("|")[3:6])
        assert int(cases) >= CASES and float(fair.split(" ")[0]) >= 90 and float(harsh.split(" ")[0]) >= 88
