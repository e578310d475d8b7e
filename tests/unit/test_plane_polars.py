"""An aeroplane with sections of its own: what has to be worked out, and that every study uses it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fixtures import planes
from planewright.analysis.air import air_model
from planewright.analysis.air.making import polar_of
from planewright.analysis.section.making import Wanted, make
from planewright.documents import plane_polars
from planewright.documents.plane_polars import carrying, needs, with_kept, with_polars
from planewright.geometry import derive
from planewright.geometry.sections import named_points
from planewright.plane.model import Plane, Section

MINE = Section("file", "mine", tuple((float(x), float(y) * 1.1) for x, y in named_points("Clark Y")))


def with_wing(section: Section) -> Plane:
    """Plover with another section along its wing."""
    plane = planes.plover()
    surfaces = tuple(
        replace(one, stations=tuple(replace(s, section=section) for s in one.stations))
        if one.kind == "wing"
        else one
        for one in plane.surfaces
    )
    return replace(plane, surfaces=surfaces)


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Few points, and a cache of its own."""
    monkeypatch.setattr(
        plane_polars, "Wanted", lambda outline: Wanted(outline, (1e5, 2e5), tuple(range(-2, 15)), panels=81)
    )
    monkeypatch.setenv("PLANEWRIGHT_CACHE", str(tmp_path))
    return tmp_path


def test_measured_and_shipped_sections_need_nothing() -> None:
    assert needs(planes.plover()) == {} and needs(planes.gannet()) == {}
    assert needs(with_wing(Section("named", "E387"))) == {}


def test_one_outline_is_asked_once_for_all_its_stations() -> None:
    asked = needs(with_wing(MINE))
    assert {name for name, _ in asked} == {"wing"} and len(asked) == 3
    assert len({one.digest for one in asked.values()}) == 1
    plane = planes.plover()
    kinked = replace(
        plane,
        surfaces=tuple(
            replace(one, build=replace(one.build, way="kinked")) if one.kind == "tailplane" else one
            for one in plane.surfaces
        ),
    )
    assert {one.outline.name for one in needs(kinked).values()} == {"kinked plate 0.25 0.03"}


def test_the_answer_reaches_the_air_and_the_section_stays_the_same(small: Path) -> None:
    plane = with_wing(MINE)
    bare, missing = with_kept(plane)
    assert bare is plane and len(missing) == 1
    full = with_polars(plane)
    assert with_kept(plane)[1] == () and full == plane, "figures do not make another aeroplane"
    shape = derive(full).surfaces["wing"]
    found = polar_of(shape, 0)
    assert found.computed is not None and not found.measured
    assert polar_of(shape, 1) is found, "one section along the wing is one section"
    model, plain = air_model(derive(full)), air_model(derive(plane))
    top = float(model.strips.polars[0].maximum(np.array(2e5)))
    assert top == pytest.approx(float(found.computed.maximum(np.array(2e5))), rel=1e-6)
    assert top != pytest.approx(float(plain.strips.polars[0].maximum(np.array(2e5))), abs=1e-3)


def test_a_kinked_sheet_carries_its_figures_through_the_geometry(small: Path) -> None:
    plane = planes.plover()
    build = {"tailplane": "kinked"}
    plane = replace(
        plane,
        surfaces=tuple(
            replace(one, build=replace(one.build, way=build.get(one.kind, one.build.way)))
            for one in plane.surfaces
        ),
    )
    asked = needs(plane)
    made = make([next(iter(asked.values()))])[0]
    full = carrying(plane, {made.digest: made}, asked)
    assert polar_of(derive(full).surfaces["tailplane"], 0).computed is made


def test_the_doors_hand_them_in(small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A project with a section file of its own: figures work it out once, with a bar; the second run reads it."""
    from planewright.cli.main import run
    from planewright.project import new_project

    folder = tmp_path / "plover"
    new_project(folder, "plover")
    (folder / "mine.csv").write_text("\n".join(f"{x},{y}" for x, y in MINE.points), encoding="utf-8")
    path = folder / "aeroplane.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('section = "Clark Y"', 'section = { file = "mine.csv" }'), encoding="utf-8")
    assert run(["figures", str(folder), "--json"]) == 0
    first = capsys.readouterr()
    assert "mine" in first.err and len(list((small / "polars").glob("*.npz"))) == 1
    assert run(["figures", str(folder), "--json"]) == 0
    second = capsys.readouterr()
    assert second.out == first.out and "mine" not in second.err
