"""Kept polars: read back as made, made anew when damaged or deleted, shared by two runs, stopped half way."""

from __future__ import annotations

import multiprocessing
from pathlib import Path

import numpy as np
import pytest

from planewright.analysis.section.making import Wanted
from planewright.analysis.section.outlines import drawn
from planewright.documents.polars import cache_folder, kept, place_of, polars_of
from planewright.errors import Cancelled
from planewright.plane.model import Section


def wanted(name: str) -> Wanted:
    return Wanted(drawn(Section("naca", name)), (2e5, 4e5), (0.0, 1.0, 2.0, 3.0), panels=81)


def test_read_back_as_made_and_made_anew_when_damaged(tmp_path: Path) -> None:
    one, told = wanted("NACA 2412"), []
    first = polars_of([one], tmp_path, lambda done, of: told.append((done, of)))[0]
    assert told[-1] == (8, 8)
    path = place_of(one, tmp_path)
    again = polars_of([one], tmp_path, lambda *_: pytest.fail("nothing had to be solved"))[0]
    assert np.array_equal(first.lift, again.lift) and np.array_equal(first.state, again.state)
    whole = path.read_bytes()
    for damage in (b"", b"PK\x03\x04 not a file", whole[:200]):
        path.write_bytes(damage)
        assert kept(one, tmp_path) is None
    mended = polars_of([one], tmp_path)[0]
    assert np.array_equal(first.drag, mended.drag) and kept(one, tmp_path) is not None
    path.unlink()
    assert polars_of([one], tmp_path)[0].digest == first.digest


def test_the_name_is_the_content() -> None:
    """Another thickness, Reynolds number or angle has another name; another label of the same outline has not."""
    base = wanted("NACA 2412")
    assert base.digest != wanted("NACA 2413").digest
    assert base.digest != Wanted(base.outline, (2e5, 5e5), base.angles_deg, panels=81).digest
    assert (
        base.digest
        == Wanted(drawn(Section("naca", "naca-2412")), base.reynolds, base.angles_deg, panels=81).digest
    )


def test_a_folder_that_cannot_be_written_costs_only_time(tmp_path: Path) -> None:
    (tmp_path / "polars").write_text("a file stands where the folder should", encoding="utf-8")
    assert polars_of([wanted("NACA 2412")], tmp_path)[0].lift.shape == (2, 4)


def test_stopping_keeps_what_was_finished(tmp_path: Path) -> None:
    """Two sets one after the other; stopped in the second, the first stays kept and nothing half-written lies about."""
    pair = [wanted("NACA 2412"), wanted("NACA 1410")]

    def watch() -> None:
        if place_of(pair[0], tmp_path).exists():
            raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        polars_of(pair, tmp_path, watch=watch, workers=1)
    assert kept(pair[0], tmp_path) is not None and kept(pair[1], tmp_path) is None
    assert not list(tmp_path.rglob("*.part"))


def _run(folder: str) -> float:
    return float(polars_of([wanted("NACA 2412")], Path(folder), workers=1)[0].lift.sum())


def test_two_runs_at_once_share_a_folder(tmp_path: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        sums = pool.map(_run, [str(tmp_path)] * 2)
    assert sums[0] == pytest.approx(sums[1], rel=1e-9)
    assert kept(wanted("NACA 2412"), tmp_path) is not None
    assert len(list(tmp_path.rglob("*.*"))) == 1


@pytest.mark.slow
def test_two_processes_give_what_one_gives(tmp_path: Path) -> None:
    pair = [wanted("NACA 2412"), wanted("NACA 1410")]
    told: list[tuple[int, int]] = []
    spread = polars_of(pair, tmp_path / "two", lambda done, of: told.append((done, of)), workers=2)
    alone = polars_of(pair, tmp_path / "one", workers=1)
    for one, other in zip(spread, alone, strict=True):
        assert np.allclose(one.lift, other.lift, atol=1e-9)
    assert told[-1] == (16, 16)


def test_the_folder_can_be_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PLANEWRIGHT_CACHE", str(tmp_path))
    assert cache_folder() == tmp_path
    monkeypatch.delenv("PLANEWRIGHT_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "x"))
    assert "planewright" in str(cache_folder())
