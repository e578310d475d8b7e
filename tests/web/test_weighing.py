"""A weighing tried before it is saved: what it would move, what is asked about it; and nothing is written."""

from __future__ import annotations

from typing import Any

import pytest

from web.conftest import Opened


def tried(opened: Opened, part: str, mass: str, note: str = "") -> Any:
    """POST /api/weigh/preview."""
    return opened.client.post("/api/weigh/preview", json={"part": part, "mass": mass, "note": note})


def test_a_tried_weighing_is_the_saved_one(starter: Opened) -> None:
    """What the preview shows is what the save brings, to the last bit; the preview alone writes nothing."""
    revision = starter.desk.revision
    future = tried(starter, "fin", "40 g").json()
    assert not (starter.folder / "weighings.csv").exists() and starter.desk.revision == revision
    assert future["faults"] == []
    saved = starter.client.post("/api/weigh", json={"part": "fin", "mass": "40 g"}).json()
    for name in ("mass", "cg_x", "static_margin"):
        was, now = future["document"]["figures"][name], saved["state"]["document"]["figures"][name]
        assert (was["value"], was["low"], was["high"]) == (now["value"], now["low"], now["high"])
    assert [one["id"] for one in future["moved"]][:3] == [one["id"] for one in saved["moved"]][:3]


def test_an_unlikely_weight_is_asked_about_until_checked(starter: Opened) -> None:
    """Ten times the drawn mass: one question naming what was read and what passes; it moves nothing until its note
    says that it was checked."""
    doubted = tried(starter, "equipment.receiver", "600 g").json()
    (fault,) = doubted["faults"]
    assert fault["severity"] == "question" and "600 g is 10.0 times" in fault["read"]
    masses = [row["used"] for row in doubted["document"]["weights"] if row["part"] == "equipment.receiver"]
    assert masses == [pytest.approx(0.060)]
    sure = tried(starter, "equipment.receiver", "600 g", "checked").json()
    assert sure["faults"] == []
    masses = [row["used"] for row in sure["document"]["weights"] if row["part"] == "equipment.receiver"]
    assert masses == [pytest.approx(0.600)]


@pytest.mark.parametrize(
    ("part", "mass"), [("fin", "many"), ("fin", "-3 g"), ("fin", "2 m"), ("rudder?", "3 g")]
)
def test_what_cannot_be_read_is_answered_with_its_line(starter: Opened, part: str, mass: str) -> None:
    """No mass, a negative one, another unit, no such part: tried, the fault is the answer, since a weight half typed
    is no refusal; saved, it is refused. Nothing is written either way."""
    answer = tried(starter, part, mass)
    assert answer.status_code == 200 and answer.json()["document"] is None
    fault = answer.json()["faults"][0]
    assert fault["file"] == "weighings.csv" and fault["severity"] == "fault"
    refused = starter.client.post("/api/weigh", json={"part": part, "mass": mass})
    assert refused.status_code == 400 and refused.json()["faults"][0]["file"] == "weighings.csv"
    assert not (starter.folder / "weighings.csv").exists()
