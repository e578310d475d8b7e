"""Charts of a trial: where lift meets weight, both ways up apart, one claim for each place on the axis."""

from __future__ import annotations

import time

import numpy as np
import pytest

from web.conftest import Opener


@pytest.fixture
def drive(open_kind: Opener) -> dict[str, dict[str, object]]:
    """The charts of the example's drive, by the end of their id."""
    plover = open_kind("plover")
    end = time.monotonic() + 120.0
    while not plover.desk.view.trials and time.monotonic() < end:
        time.sleep(0.05)
    trial = next(one for one in plover.desk.view.trials if one.id == "2026-04-11-vehicle")
    return {one.id.split(":")[1]: one.model_dump() for one in trial.charts}


def test_charts_of_a_drive(drive: dict[str, dict[str, object]]) -> None:
    """The middle of the stick is where the middle lines of lift and weight cross (the reader finds it by following the
    lines); its intervals are nested; rows upside down lie below the axis, in a line of their own; the claimed band has
    one width at each place."""
    speed, lift, left = drive["speed"], drive["lift"], drive["lift-left"]
    curve, weight = speed["series"][0], speed["series"][1]  # type: ignore[index]
    stick = speed["stick"]
    height = np.interp(stick["middle"], curve["x"], curve["y"])  # type: ignore[index]
    assert height == pytest.approx(weight["y"][0], rel=0.01)
    low, high = stick["all"]  # type: ignore[index]
    for inner in ("measured_published", "measured"):
        assert low - 1e-9 <= stick[inner][0] <= stick[inner][1] <= high + 1e-9  # type: ignore[index]
    by_words = {one["words"]: one for one in lift["series"]}  # type: ignore[attr-defined]
    assert len(by_words["upside down"]["x"]) == 6
    angles = np.array(by_words["upside down"]["x"])
    assert np.all(np.array(by_words["upside down"]["y"])[angles > 0] < 0)
    assert np.all(np.array(by_words["the same, upside down"]["y"])[1:] < 0)
    assert min(by_words["as worked out now"]["y"]) > -6.0
    before, now = by_words["expected before"], by_words["as worked out now"]
    assert before["look"] == "dashed" and before["x"] == now["x"]
    claimed = left["series"][0]  # type: ignore[index]
    assert len(set(claimed["x"])) == len(claimed["x"]) and all(one > 0 for one in claimed["high"])
