"""Descriptions are written back with nothing changed but what was changed; the reference page is current."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.errors import InputError
from planewright.plane import read_text_plane, rewrite
from planewright.plane.reference import reference
from planewright.plane.rewrite import _through_parser
from unit.test_plane_reading import example

PLOVER = example("plover")
REFERENCE = Path(__file__).parents[2] / "docs" / "reference" / "description-language.md"


@pytest.mark.parametrize("name", ["plover", "gannet", "starter"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_no_change_is_no_change(name: str, ending: str) -> None:
    text = example(name).replace("\n", ending)
    assert rewrite(text, {}) == text


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_only_the_value_changes(ending: str) -> None:
    text = PLOVER.replace("\n", ending)
    changed = rewrite(
        text,
        {
            "battery.x": "160 mm",
            "wing.stations.1.chord": "14 in",
            "control.aileron.travel": "15 deg each way",
            "Battery.Cells": "3",
            "configuration": "C",
            "wing.joint.outer.reach": "170 mm",
        },
    )
    expected = (
        text.replace(
            'x = "150 mm"                         # its', 'x = "160 mm"                         # its'
        )
        .replace('{ out = "620 mm", chord = "360 mm" }', '{ out = "620 mm", chord = "14 in" }')
        .replace('"18 deg up, 12 deg down"', '"15 deg each way"')
        .replace("cells = 4", "cells = 3")
        .replace('configuration = "B"', 'configuration = "C"')
        .replace('reach = "160 mm"', 'reach = "170 mm"')
    )
    assert changed == expected
    plane, _ = read_text_plane(changed)
    assert plane is not None and plane.battery is not None and plane.battery.cells == 3


@pytest.mark.parametrize("name", ["plover", "gannet"])
@pytest.mark.parametrize("new", ["151 mm", "12", "a # word"])
def test_a_value_is_written_as_the_parser_would(name: str, new: str) -> None:
    """Values of the examples replaced where they stand give the text that a parser which keeps comments gives."""
    text = example(name)
    plane, _ = read_text_plane(text)
    assert plane is not None and len(plane.written) > 100
    paths = [path for path in plane.written if isinstance(value_of(text, path), str | int | float)]
    for path in paths[::5]:
        assert rewrite(text, {path: new}) == _through_parser(text, {path: new}), path


def value_of(text: str, path: str) -> object:
    """What stands at a path of a TOML text; None where the path is spelt otherwise."""
    here: Any = tomllib.loads(text)
    for step in path.split("."):
        try:
            here = here[int(step)] if isinstance(here, list) else here.get(step)
        except (IndexError, ValueError, AttributeError):
            return None
    return here


def test_a_new_key_goes_into_its_table() -> None:
    changed = rewrite(PLOVER, {"battery.serial": "P7"})
    plane, _ = read_text_plane(changed)
    assert plane is not None and plane.battery is not None and plane.battery.serial == "P7"
    assert [line for line in changed.splitlines() if line not in PLOVER.splitlines()] == ['serial = "P7"']


@pytest.mark.parametrize(
    "path",
    [
        "batery.x",
        "wing.stations.9.chord",
        "wing.stations.x.chord",
        "battery.x.y",
        "wing",
        "wing.stations",
        "rudder.x.y",
    ],
)
def test_a_path_that_leads_nowhere_is_refused(path: str) -> None:
    with pytest.raises(InputError):
        rewrite(PLOVER, {path: "1 m"})


def test_a_text_that_is_not_toml_is_refused() -> None:
    for text in ("[wing", "a = " + "[" * 5000):
        with pytest.raises(InputError):
            rewrite(text, {})


@settings(deadline=None, max_examples=60)
@given(
    st.text(max_size=30),
    st.sampled_from(["name", "wing.stations.2.twist", "stock.board.mass", "limits.load"]),
)
def test_any_new_text_comes_back(new: str, path: str) -> None:
    new = new.encode("utf-8", "replace").decode("utf-8")
    changed = rewrite(PLOVER, {path: new})
    here = tomllib.loads(changed)
    for step in path.split("."):
        here = here[int(step) if isinstance(here, list) else step]
    assert str(here) == new or (path == "limits.load" and float(here) == float(new))  # type: ignore[arg-type]
    assert len(changed.splitlines()) >= len(PLOVER.splitlines())


def test_the_reference_page_is_current() -> None:
    assert REFERENCE.read_text(encoding="utf-8") == reference(), (
        "run: python -m planewright.plane.reference > docs/reference/description-language.md"
    )


def test_the_examples_use_only_words_of_the_reference() -> None:
    page = reference()
    for word in ("stations", "joint", "travel", "slide", "nozzle", "placard", "mean_chord", "rpm/V"):
        assert f"`{word}`" in page
