"""The knowledge file: same bytes both ways, and one clear fault for what cannot be read."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.knowledge import (
    Draws,
    Knowledge,
    TrialInForce,
    evidence_hash,
    prior_knowledge,
    read_knowledge,
    rounded,
    write_knowledge,
)
from planewright.plane.model import Plane, Stock

PLANE = Plane("x", "A", {"board": Stock("board", "foam board")})
PRIOR = prior_knowledge(PLANE)
ORDER = ("board.wrinkle[board]", "sec.alpha0", "sec.clmax")
TRIAL = TrialInForce(
    "2026-05-02-bend", "bend", "wing", "2026-05-02", "B", "", "ab" * 32, 14, 3, 1.2345678, 0.7212345, (9,),
    ('row 9: "938" — the figures look swapped\nfor 983',), 21.3456789,
)  # fmt: skip


def known(seed: int = 1) -> Knowledge:
    rng = np.random.default_rng(seed)
    sd = np.array([PRIOR.quantities[name].prior_sd for name in ORDER]) * rng.uniform(0.2, 1, 3)
    root = np.linalg.qr(rng.normal(size=(3, 3)))[0] * np.array([1.0, 0.5, 1e-3])
    full = root @ root.T
    full = full / np.sqrt(np.outer(np.diag(full), np.diag(full))) * np.outer(sd, sd)
    moved = {
        name: replace(PRIOR.quantities[name], mean=float(rng.normal() * s), sd=float(s), kind="measured",
                      moved_by=(("2026-05-02-bend", 0.53),), conflict="no")
        for name, s in zip(ORDER, sd, strict=True)
    }  # fmt: skip
    lower = tuple(tuple(full[i, : i + 1]) for i in range(3))
    return replace(PRIOR, quantities={**PRIOR.quantities, **moved}, order=ORDER, covariance=lower, trials=(TRIAL,),
                   evidence="sha256:00", conflicts=("these two disagree",))  # fmt: skip


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000))
def test_round_trip_is_byte_identical(tmp_path_factory: pytest.TempPathFactory, seed: int) -> None:
    path = tmp_path_factory.mktemp("k") / "knowledge.toml"
    first = rounded(known(seed))
    path.write_text(write_knowledge(first), encoding="utf-8")
    back, faults = read_knowledge(path, PRIOR)
    assert not faults and not back.stale
    assert back == first
    assert write_knowledge(back) == path.read_text(encoding="utf-8")
    Draws(back, 50).matrix()


def test_rounding_keeps_six_figures() -> None:
    plain, short = known(), rounded(known())
    for name in ORDER:
        assert short.quantities[name].sd == pytest.approx(plain.quantities[name].sd, rel=1e-5)
    assert np.allclose(
        [v for row in short.covariance for v in row], [v for row in plain.covariance for v in row], rtol=1e-4
    )


def test_no_file_is_the_prior(tmp_path: Path) -> None:
    assert read_knowledge(tmp_path / "knowledge.toml", PRIOR) == (PRIOR, ())


@pytest.mark.parametrize(
    "text",
    ["", "schema = 2", "not toml", "\x00\x01", "schema = 1\ncovariance = 3", "[" * 30000, "schema = nan"],
)
def test_what_cannot_be_read_is_one_fault_and_the_prior(tmp_path: Path, text: str) -> None:
    path = tmp_path / "knowledge.toml"
    path.write_text(text, encoding="utf-8")
    back, faults = read_knowledge(path, PRIOR)
    assert len(faults) == 1 and faults[0].file == "knowledge.toml" and back.stale
    assert back.quantities == PRIOR.quantities


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("sd = ", "sd = nan #"),
        ('kind = "measured"', 'kind = "certain"'),
        ("  [", "  [-"),
        ("lower = [", "lower = [[1.0],"),
    ],
)
def test_a_damaged_file_is_refused(tmp_path: Path, old: str, new: str) -> None:
    path = tmp_path / "knowledge.toml"
    path.write_text(write_knowledge(rounded(known())).replace(old, new), encoding="utf-8")
    back, faults = read_knowledge(path, PRIOR)
    assert len(faults) == 1 and back.quantities == PRIOR.quantities and back.stale


def test_another_description_makes_it_stale(tmp_path: Path) -> None:
    path = tmp_path / "knowledge.toml"
    path.write_text(write_knowledge(rounded(known())), encoding="utf-8")
    other = prior_knowledge(Plane("x", "A", {"skin": Stock("skin", "foam board")}))
    back, faults = read_knowledge(path, other)
    assert back.stale and faults[0].severity == "note" and "board.wrinkle[board]" in faults[0].read
    assert back.order == ORDER[1:] and len(back.covariance[1]) == 2


def test_evidence_does_not_depend_on_order_but_on_everything_else() -> None:
    one, two = ("a", "11", ""), ("b", "22", "")
    assert evidence_hash([one, two]) == evidence_hash([two, one])
    others = [[one], [one, ("b", "23", "")], [one, ("b", "22", "hit by a lorry")], [one, ("c", "22", "")]]
    assert len({evidence_hash(pairs) for pairs in others} | {evidence_hash([one, two])}) == 5
