"""The contract of ``--json``: one document, keyed by the field's terms, every number with its kind and its bands."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planewright.study.model import Document

NAMED = (
    "mass", "cg_x", "wing_area", "aspect_ratio", "mean_aerodynamic_chord", "lift_curve_slope", "neutral_point_x",
    "static_margin", "maximum_lift_coefficient", "stall_speed", "level_speed", "level_lift_coefficient", "drag",
    "thrust_static", "thrust_to_weight", "takeoff_run", "climb_gradient", "turn_radius", "load_factor_at_failure",
    "endurance",
)  # fmt: skip
TOP = ("schema", "version", "project", "faults", "figures", "findings", "verdict", "inputs_hash", "absent")
FINDING = ("id", "figure", "value", "limit", "side", "kind", "state", "margin", "evidence", "settles")


@pytest.fixture
def document(plover: Path, command: Callable) -> Any:
    answer = command("figures", plover, "--json")
    assert answer.code == 0
    return answer.document


def test_top_level_and_named_figures(document: Any) -> None:
    assert set(TOP) <= set(document)
    assert set(NAMED) <= set(document["figures"])
    assert document["verdict"]["id"] in ("not_ready", "needs_evidence", "pilot_decides")
    Document.model_validate(document)


def test_every_computed_number_carries_its_bands(document: Any) -> None:
    for name, one in document["figures"].items():
        assert one["unit"].isascii(), name
        assert math.isfinite(one["value"]), name
        if one["kind"] == "drawn":
            assert "low" not in one, name
            continue
        assert one["low"] <= one["value"] <= one["high"], name
        assert one["coverage"] == 0.95
        (inner_low, inner_high), (low, high) = one["measured_only"], one["measured_published"]
        assert one["low"] <= low <= inner_low <= inner_high <= high <= one["high"], name
        slack = 1e-9 * max(abs(one["value"]), 1e-3)
        assert inner_low - slack <= one["value"] <= inner_high + slack, name
        if one["shares"]["measured"] < 1e-9:
            # a share of 1e-9 of the variance is 3e-5 of the spread
            little = 1e-4 * (one["high"] - one["low"]) + 1e-9
            assert inner_low == pytest.approx(one["value"], abs=little) == inner_high, name
        assert sum(one["shares"].values()) == pytest.approx(1.0, abs=1e-6), name
        shares = [share for _, share in one["rests_on"]]
        assert shares == sorted(shares, reverse=True), name
        assert isinstance(one["decimals"], int), name


def test_every_finding_is_whole(document: Any) -> None:
    assert document["findings"]
    for one in document["findings"]:
        assert set(FINDING) <= set(one)
        assert one["kind"] in ("block", "watch")
        assert one["sentence"] and one["source"]


def test_angles_are_in_radians(document: Any) -> None:
    assert document["figures"]["overturn_angle"]["unit"] == "rad"
    assert 0.5 < document["figures"]["overturn_angle"]["value"] < 1.5


def test_every_command_prints_the_same_study(plover: Path, command: Callable) -> None:
    """check and figures show one Study; calibrate and book too, once the trials are in."""
    checked, shown = (command(name, plover, "--json").document for name in ("check", "figures"))
    assert checked["figures"] == shown["figures"] and checked["findings"] == shown["findings"]
    calibrated = command("calibrate", plover, "--json").document
    after = command("figures", plover, "--json").document
    assert calibrated["figures"] == after["figures"]


def test_units_change_what_is_shown_and_not_what_is_known(plover: Path, command: Callable) -> None:
    metric, imperial = (
        command("figures", plover, "--units", "metric"),
        command("figures", plover, "--units", "imperial"),
    )
    assert "m/s" in metric.out and "mph" in imperial.out
    assert (
        command("figures", plover, "--units", "imperial", "--json").document["figures"]
        == (command("figures", plover, "--json").document["figures"])
    )


def test_schema_in_the_manual_is_current() -> None:
    kept = Path(__file__).parents[2] / "docs/reference/study.schema.json"
    assert json.loads(kept.read_text(encoding="utf-8")) == Document.model_json_schema(by_alias=True), (
        "docs/reference/study.schema.json is stale: run `make reference`"
    )


def test_a_file_that_holds_only_a_wing(tmp_path: Path, command: Callable) -> None:
    """It is evaluated as far as it goes; what could not be worked out is named with the reason."""
    folder = tmp_path / "wing"
    folder.mkdir()
    (folder / "aeroplane.toml").write_text(
        'name = "Only a wing"\n[stock]\nboard = { kind = "foam board", sheet = "20 x 30 in", thickness = "5 mm", '
        'mass = "150 g" }\n[wing]\nx = "0"\nspan = "2 m"\nchord = "250 mm"\nsection = "NACA 2412"\n'
    )
    document = command("figures", folder, "--json").document
    figures, absent = document["figures"], {one["figure"]: one["why"] for one in document["absent"]}
    assert figures["wing_area"]["value"] == pytest.approx(0.5, rel=1e-9)
    assert figures["aspect_ratio"]["value"] == pytest.approx(8.0, rel=1e-9)
    assert 4.3 < figures["lift_curve_slope"]["value"] < 5.2
    for name in ("thrust_static", "takeoff_run", "endurance"):
        assert absent.get(name)
    assert document["verdict"]["id"] in ("needs_evidence", "not_ready")


def test_what_cannot_be_worked_out_is_never_clear(tmp_path: Path, command: Callable) -> None:
    """A wing alone holds nothing up: its strength is absent, and its row is open."""
    folder = tmp_path / "wing"
    folder.mkdir()
    (folder / "aeroplane.toml").write_text(
        'name = "Wing"\n[wing]\nx = "0"\nspan = "2 m"\nchord = "250 mm"\nsection = "NACA 2412"\n'
    )
    document = command("check", folder, "--json").document
    states = {one["id"]: one["state"] for one in document["findings"] if one["kind"] == "block"}
    assert states["wing_holds"] == "missing" and "load_factor_at_failure" not in document["figures"]
    assert states["evidence.field"] == "missing"


@pytest.mark.parametrize("added", ["0 kg", "3 kg", "6 kg", "9 kg"])
def test_heavier_aeroplanes_are_evaluated_too(plover: Path, command: Callable, added: str) -> None:
    """Up to well beyond what the tool is made for, nothing stops: numbers come, or a reason for each that does not."""
    path = plover / "aeroplane.toml"
    path.write_text(
        path.read_text() + f'ballast = {{ mass = "{added}", x = "570 mm" }}\n'
        if added[0] != "0"
        else path.read_text()
    )
    answer = command("check", plover, "--json")
    assert answer.code == 0, answer.out
    assert answer.document["figures"]["stall_speed"]["value"] > 7.5


def test_new_answers_in_the_same_keys(tmp_path: Path, command: Callable) -> None:
    assert set(TOP) <= set(command("new", tmp_path / "fresh", "--json").document)


def test_no_figure_prints_dust(starter: Path, command: Callable) -> None:
    assert "0.000000" not in command("figures", starter).out


def test_starter_stands(starter: Path, command: Callable) -> None:
    document = command("check", starter, "--json").document
    assert document["faults"] == [] or all(one["severity"] != "fault" for one in document["faults"])
    assert 1.2 < document["figures"]["mass"]["value"] < 2.2
    assert document["defaults"]
