"""A story of builders: "We scale a drawing of a full-size aeroplane, one tenth." The full size here is invented."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from planewright.analysis.scaling import POWERS, froude_factor, look_speeds

FULL = """name = "full size, invented"
configuration = "A"
[wing]
x = "5.2 m"
z = "1.0 m"
section = "NACA 2415"
stations = [ { out = "0", chord = "3.6 m" }, { out = "13 m", chord = "1.9 m", back = "0.6 m", up = "0.7 m" } ]
[tailplane]
x = "14.6 m"
z = "0.6 m"
section = "NACA 0010"
stations = [ { out = "0", chord = "2.0 m" }, { out = "3.6 m", chord = "1.4 m", back = "0.3 m" } ]
[fin]
x = "14.0 m"
z = "0.8 m"
section = "NACA 0010"
stations = [ { out = "0", chord = "2.6 m" }, { out = "2.6 m", chord = "1.5 m", back = "0.9 m" } ]
[body]
stations = [
  { x = "0", width = "0.6 m", height = "0.6 m" },
  { x = "3 m", width = "1.7 m", height = "1.9 m" },
  { x = "16.3 m", width = "0.3 m", height = "0.4 m" },
]
"""


def test_we_scale_a_drawing_one_tenth(plover: Path, tmp_path: Path, command: Callable) -> None:
    """Scale table, what is cheated with both outlines, tail volumes, speed to look scale, what is not scale."""
    path = tmp_path / "full.toml"
    path.write_text(FULL, encoding="utf-8")
    sheet = command("scale", plover, path, "--mass", "9000 kg", "--speed", "70 m/s", "--json").document
    assert sheet["ratio"] == pytest.approx(0.1)
    table = {one["words"]: one for one in sheet["table"]}
    assert table["mass"]["froude"] == pytest.approx(9.0)
    assert table["mass"]["ratio"] == pytest.approx(table["mass"]["ours"] / 9.0)
    assert table["speed"]["froude"] == pytest.approx(22.136, abs=0.001)
    assert table["cube loading"]["froude"] == pytest.approx(table["cube loading"]["full"])
    area = 2 * 13 * (3.6 + 1.9) / 2
    assert table["wing area"]["full"] == pytest.approx(area)
    assert table["wing area"]["froude"] == pytest.approx(area / 100)
    shapes = {one["words"]: one for one in sheet["shapes"]}
    assert shapes["wing root chord"]["scale"] == pytest.approx(0.36)
    assert shapes["wing root chord"]["same"] and "wing root chord" not in sheet["not_scale"]
    assert not shapes["tailplane area"]["same"] and "tailplane area" in sheet["not_scale"]
    assert set(sheet["not_scale"]) == {name for name, one in shapes.items() if not one["same"]}
    assert {one["words"] for one in sheet["tail_volumes"]} == {"tailplane volume", "fin volume"}
    said = " ".join(sheet["says"])
    assert "22.1 m/s (Froude)" in said and "7.0 m/s passes" in said and "only the first can be flown" in said
    outlines = {one["look"] for one in sheet["charts"][0]["series"]}
    assert outlines == {"line", "dashed"}
    assert (plover / sheet["pictures"][0]).is_file()


def test_a_full_size_that_cannot_be_read_is_refused_in_words(
    plover: Path, tmp_path: Path, command: Callable
) -> None:
    path = tmp_path / "full.toml"
    path.write_text('name = "x"\n[wing]\nspan = "26"\n', encoding="utf-8")
    answer = command("scale", plover, path)
    assert answer.code == 2 and "span" in answer.err
    path.write_text('name = "x"\nconfiguration = "A"\n', encoding="utf-8")
    assert command("scale", plover, path).code == 2


def test_factors_of_like_froude_number() -> None:
    """Factors for a length ratio of 1/10 (table of similitude: speed 0.316, mass 1/1000, inertia 1/100000, rates 3.16);
    Froude number of both equal; 1:10 of 70 m/s is 22 m/s by Froude and 7 m/s linear."""
    ratio = 0.1
    assert froude_factor("speed", ratio) == pytest.approx(0.3162, abs=1e-4)
    assert froude_factor("mass", ratio) == pytest.approx(1e-3)
    assert froude_factor("inertia", ratio) == pytest.approx(1e-5)
    assert froude_factor("rate of turning", ratio) == pytest.approx(3.162, abs=1e-3)
    power = froude_factor("thrust", ratio) * froude_factor("speed", ratio)
    assert froude_factor("power", ratio) == pytest.approx(power)
    assert froude_factor("speed", ratio) ** 2 / froude_factor("length", ratio) == pytest.approx(1.0)
    looks = look_speeds(70.0, ratio)
    assert (looks.froude, looks.linear) == pytest.approx((22.136, 7.0), abs=1e-3)
    assert all(froude_factor(name, 1.0) == 1.0 for name in POWERS)
    with pytest.raises(ValueError):
        froude_factor("mass", 0.0)
