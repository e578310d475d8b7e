"""The field as read: units, points, and every fault at once."""

from __future__ import annotations

import datetime as dt
from math import radians
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fixtures.worlds import EXAMPLES
from fixtures.wrong_kinds import WRONG_KINDS
from planewright.errors import Fault
from planewright.site import Site, read_site
from planewright.site.reading import crosses_itself, polygon_area

SOUND = (EXAMPLES / "plover" / "site.toml").read_text()


def site(folder: Path, text: str) -> tuple[Site | None, list[Fault]]:
    path = folder / "site.toml"
    path.write_text(text, encoding="utf-8")
    found, faults = read_site(path)
    return found, list(faults)


def test_plover_as_shipped() -> None:
    found, faults = read_site(EXAMPLES / "plover" / "site.toml")
    assert found is not None and faults == ()
    assert polygon_area(found.outline) == pytest.approx(260 * 200)
    assert found.runway is not None and found.runway.end == (120.0, 0.0) and found.runway.width == 12.0
    assert found.longitude == pytest.approx(radians(-20)) and found.latitude == pytest.approx(radians(48))
    assert found.x_bearing == pytest.approx(radians(90)) and found.utc_offset_h == -1
    assert [(one.name, one.height) for one in found.trees] == [("poplars", 20.0), ("hedge", 3.0)]
    assert [one.name for one in found.stands if one.camera] == ["camera_1", "camera_2"]
    assert found.pattern is not None and found.pattern.kind == "eight" and found.pattern.height == 30
    assert found.day.date == dt.date(2026, 5, 30) and found.day.wind_from == pytest.approx(radians(90))


def test_gannet_as_shipped() -> None:
    found, faults = read_site(EXAMPLES / "gannet" / "site.toml")
    assert found is not None and faults == ()
    assert found.pattern is not None and found.pattern.kind == "oval"
    assert found.day.gust == pytest.approx(0.8)


def test_no_site_is_no_fault(tmp_path: Path) -> None:
    assert read_site(tmp_path / "site.toml") == (None, ())


def test_one_unit_for_all_points(tmp_path: Path) -> None:
    metres, _ = site(tmp_path, SOUND)
    feet, faults = site(tmp_path, SOUND.replace('unit = "m"', 'unit = "ft"'))
    assert metres is not None and feet is not None and faults == []
    assert feet.outline[0][0] == pytest.approx(metres.outline[0][0] * 0.3048)
    assert feet.trees[0].height == pytest.approx(20 * 0.3048)
    assert feet.margins.outline == pytest.approx(15 * 0.3048)
    assert feet.margins.run_share == 0.5


def test_silence_takes_the_usual_margins(tmp_path: Path) -> None:
    found, faults = site(tmp_path, 'unit = "ft"\noutline = [[0, 0], [100, 0], [100, 100]]\n')
    assert found is not None and faults == []
    assert found.margins.people == pytest.approx(50.0)
    assert found.runway is None and found.pattern is None and found.day.wind is None


def test_southern_and_eastern_places(tmp_path: Path) -> None:
    text = SOUND.replace("48.000 deg N, 20.000 deg W", "33.5° s, 18° e").replace("UTC-1", "UTC+5:30")
    found, faults = site(tmp_path, text)
    assert found is not None and faults == [] and found.utc_offset_h == 5.5
    assert found.latitude == pytest.approx(radians(-33.5)) and found.longitude == pytest.approx(radians(18))


BROKEN = """name = "field"
position = "somewhere"
clock = "noon"
x_bearing = "90"
unit = "kg"
outline = [[0, 0], [10, 10], [10, 0], [0, 10]]
runway = { from = [0], to = [9, 9], width = -1, lenght = 3 }
[trees]
wood = { height = 3 }
[margins]
peple = 3
run_share = 2
[stand]
pilot = [1, "2"]
camera_1 = { at = [1, inf] }
[plan]
take_off = { from = [0, 0], towards = "north" }
eight = { centre = [1, 1] }
oval = { centre = [1, 1], height = 3 }
day = { date = "30.05.2026", time = "ten", wind = "1.2 m/s from", gust = "fast" }
"""


def test_all_faults_at_once(tmp_path: Path) -> None:
    _, faults = site(tmp_path, BROKEN)
    assert {one.line for one in faults} >= {2, 3, 4, 5, 6, 7, 9, 11, 12, 14, 15, 17, 18, 20}
    assert [one.line for one in faults] == sorted(one.line for one in faults)
    text = "\n".join(one.text() for one in faults)
    assert 'Did you mean "people"?' in text
    assert "crosses itself" in text
    assert "2026-05-30" in text


@pytest.mark.parametrize(
    ("points", "crosses"),
    [
        ([(0, 0), (1, 0), (1, 1), (0, 1)], False),
        ([(0, 0), (1, 1), (1, 0), (0, 1)], True),
        ([(0, 0), (4, 0), (4, 4), (2, 1), (0, 4)], False),
    ],
)
def test_crossing_outlines(points: list[tuple[float, float]], crosses: bool) -> None:
    assert crosses_itself(points) is crosses


def test_area_has_a_sign() -> None:
    square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]
    assert polygon_area(square) == 4.0 and polygon_area(square[::-1]) == -4.0


VALUES = st.sampled_from([*WRONG_KINDS, "[1, 2]"])


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_damaged_sites_never_raise(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    lines = SOUND.splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.integers(0, len(lines) - 1))
        key = lines[place].partition("=")[0]
        lines[place] = data.draw(
            st.just(f"{key}= {data.draw(VALUES)}") | st.text(max_size=20) | st.just(lines[0])
        )
    path = tmp_path_factory.mktemp("s") / "site.toml"
    path.write_bytes("\n".join(lines).encode("utf-8", "surrogatepass"))
    found, faults = read_site(path)
    assert found is not None or faults
    assert all(one.text() for one in faults)
