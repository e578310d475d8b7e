"""The page shows the study: key by key what --json prints, and within a blink what it will be to the last bit."""

from __future__ import annotations

import json
import time

import pytest

from planewright.cli.main import run
from planewright.web.evaluation import quick_figures, start_study, whole_view
from web.conftest import Opener


@pytest.mark.parametrize("kind", ["plover", "gannet", "starter"])
def test_the_page_and_json_agree_key_by_key(
    open_kind: Opener, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    opened = open_kind(kind)
    assert not opened.desk.settled(300.0).working
    page = opened.state()["document"]
    capsys.readouterr()
    assert run(["figures", str(opened.folder), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert set(page) == set(printed)
    for key in printed:
        if key != "figures":
            assert page[key] == printed[key], key
    assert list(page["figures"]) == list(printed["figures"])
    for name, figure in printed["figures"].items():
        assert {key: value for key, value in page["figures"][name].items() if value is not None} == figure, (
            name
        )


@pytest.mark.parametrize("kind", ["plover", "starter"])
def test_quick_figures_are_those_of_the_whole_study(open_kind: Opener, kind: str) -> None:
    opened = open_kind(kind)
    study = start_study(opened.desk.view.project)
    assert study is not None
    quick = quick_figures(study)
    whole = whole_view(opened.desk.view).document
    assert whole is not None and {"mass", "cg_x", "stall_speed", "static_margin", "lift_curve_slope"} <= set(
        quick
    )
    for name, figure in quick.items():
        assert figure == whole.figures[name].model_copy(update={"rests_on": ()}), name


def test_after_a_change_outer_bands_are_fresh_and_their_parts_follow(open_kind: Opener) -> None:
    """Value and outer band of every quick figure are those of the whole study at once; its parts, named in ``bands``,
    lie in order inside it, and are those of the study once everything is worked out."""
    plover = open_kind("plover")
    plover.desk.settled(300.0)
    state = plover.set("wing.stations.2.chord", "252 mm").json()["state"]
    assert {"mass", "stall_speed", "static_margin"} <= set(state["bands"])
    early = state["document"]["figures"]
    view = plover.desk.settled(300.0)
    assert view.document is not None and not view.bands
    for name in state["bands"]:
        one, whole = early[name], view.document.figures[name]
        assert (one["value"], one["low"], one["high"]) == (whole.value, whole.low, whole.high), name
        assert one["decimals"] == whole.decimals
        outer, middle, core = (one["low"], one["high"]), one["measured_published"], one["measured_only"]
        assert outer[0] <= middle[0] <= core[0] <= core[1] <= middle[1] <= outer[1]
        assert whole.measured_only is not None


def test_slow_rows_say_working_out_and_follow(open_kind: Opener) -> None:
    plover = open_kind("plover")
    plover.desk.settled(300.0)
    saved = plover.set("limits.load", "4").json()
    assert {"verdict", "load_factor_at_failure", "endurance"} <= set(saved["state"]["working"])
    assert "mass" not in saved["state"]["working"]
    assert saved["state"]["document"]["verdict"] is not None
    view = plover.desk.settled(300.0)
    assert not view.working and view.document is not None
    row = next(one for one in view.document.findings if one.figure == "load_factor_at_failure")
    assert row.limit == pytest.approx(6.0)


def test_a_newer_change_supersedes_the_one_being_worked_out(open_kind: Opener) -> None:
    plover = open_kind("plover")
    for place in range(151, 157):
        assert plover.set("battery.x", f"{place} mm").status_code == 200
    began = time.monotonic()
    view = plover.desk.settled(300.0)
    assert time.monotonic() - began < 60.0
    assert view.revision == 6 and view.project.plane is not None
    assert view.project.plane.battery is not None and view.project.plane.battery.x == pytest.approx(0.156)
