"""A section of one's own on the page: worked out in the background, then the same numbers as the command line's."""

from __future__ import annotations

from pathlib import Path

import pytest

from planewright.analysis.section.making import Wanted
from planewright.cli.opening import opened
from planewright.documents import plane_polars
from planewright.documents.opening import study_of
from planewright.documents.plane_polars import with_kept
from planewright.geometry.sections import named_points
from planewright.project import new_project
from planewright.web.desk import Desk


@pytest.fixture
def folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Plover with a wing section from a file; few points to solve; a cache of its own."""
    monkeypatch.setattr(
        plane_polars, "Wanted", lambda outline: Wanted(outline, (1e5, 2e5), tuple(range(14)), panels=81)
    )
    monkeypatch.setenv("PLANEWRIGHT_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "plover"
    new_project(folder, "plover")
    rows = "\n".join(f"{x},{1.1 * y}" for x, y in named_points("Clark Y"))
    (folder / "mine.csv").write_text(rows, encoding="utf-8")
    path = folder / "aeroplane.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('section = "Clark Y"', 'section = { file = "mine.csv" }'), encoding="utf-8")
    return folder


@pytest.mark.slow
def test_page_and_command_line_agree_once_it_is_worked_out(folder: Path) -> None:
    desk = Desk(folder)
    try:
        first = desk.view
        assert first.working and first.project.plane is not None and with_kept(first.project.plane)[1]
        view = desk.settled(60.0)
        assert not view.working and not view.failures
        plane = view.project.plane
        assert plane is not None and with_kept(plane)[1] == ()
        assert view.document is not None
        theirs = study_of(opened(folder)).figures["stall_speed"]
        assert view.document.figures["stall_speed"].value == theirs.value
    finally:
        desk.close()
