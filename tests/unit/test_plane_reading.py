"""Well-formed aeroplane files are read into what they say, and silence into what is stated."""

from __future__ import annotations

import math
import time
from importlib import resources
from pathlib import Path

import pytest

from planewright.plane import canonical, read_plane, read_text_plane
from planewright.plane.lines import TooDeep, locate
from planewright.plane.model import Plane, plan_area

DEG = math.pi / 180
FIRST = """\
# An invented aeroplane that leaves out all it may
name = "First"
tailplane = { x = "980 mm", span = "640 mm", chord = "170 mm" }
fin  = { x = "960 mm", height = "260 mm", chord = "200 mm to 140 mm" }
body = { length = "1.15 m", width = "110 mm to 50 mm", height = "140 mm to 60 mm" }
battery = { cells = 3, charge = "3000 mAh", mass = "250 g", x = "180 mm" }
[stock]
board = { kind = "foam board", sheet = "500 x 700 mm", thickness = "5 mm", mass = "140 g" }
stick = { kind = "pine stick", size = "5 x 10 mm", length = "1 m", mass = "23 g" }
[wing]
x = "280 mm"
z = "60 mm"
span = "2 m"
chord = "260 mm to 220 mm"
dihedral = "3 deg"
incidence = "2 deg"
section = "Clark Y"
build = { way = "folded" }
spar = { at = "30 %", to = "900 mm" }
[control]
aileron  = { on = "wing", from = "500 mm", to = "950 mm", chord = "25 %", travel = "15 deg each way" }
elevator = { on = "tailplane", chord = "30 %", travel = "12 deg each way" }
rudder   = { on = "fin", chord = "40 %", travel = "25 deg each way" }
[servo]
all = { mass = "20 g", torque = "2.5 kg cm" }
[engine]
kind = "propeller"
x = "0"
motor = { mass = "130 g", speed = "700 rpm/V", resistance = "70 mohm", idle = "0.8 A" }
propeller = { size = "11 x 7 in" }
"""


def example(name: str) -> str:
    """The text of an example's aeroplane file."""
    return (resources.files("planewright") / "project" / "examples" / name / "aeroplane.toml").read_text(
        "utf-8"
    )


def plane_of(text: str) -> Plane:
    """The plane of a text that must have no faults."""
    plane, faults = read_text_plane(text)
    assert plane is not None, "\n".join(fault.text() for fault in faults)
    return plane


@pytest.fixture(scope="module")
def plover() -> Plane:
    return plane_of(example("plover"))


@pytest.fixture(scope="module")
def gannet() -> Plane:
    return plane_of(example("gannet"))


@pytest.mark.parametrize("name", ["plover", "gannet", "starter"])
def test_examples_read_without_a_word(name: str) -> None:
    plane, faults = read_text_plane(example(name))
    assert plane is not None and faults == ()


def test_plover_says_what_it_says(plover: Plane) -> None:
    wing = plover.wing
    assert wing is not None
    assert plover.name == "Plover" and plover.configuration == "B" and plover.mass_limit == 5.2
    assert [s.out for s in wing.stations] == [0.0, 0.62, 1.3]
    assert [s.chord for s in wing.stations] == [0.36, 0.36, 0.25]
    assert wing.stations[2].twist == pytest.approx(-2 * DEG) and wing.incidence == pytest.approx(2 * DEG)
    assert plan_area(wing) == pytest.approx(0.8612, rel=1e-12)
    assert wing.spars[0].at == 0.3 and wing.spars[0].to == 1.15
    assert wing.joints[0].name == "outer" and not wing.joints[0].folds
    assert plover.stock["board"].areal_mass == pytest.approx(0.147 / (0.508 * 0.762))
    assert plover.stock["tape"].line_mass == 0.0021 and plover.stock["glue"].allowance == 0.12
    assert plover.first_flight.time == 180.0 and plover.limits.placard == 20.0
    assert [body.paired for body in plover.bodies] == [False, True]
    assert plover.battery is not None and plover.battery.charge == 18000.0
    assert plover.battery.slide == (0.13, 0.33) and plover.battery.serial == "pack-1"
    assert {wheel.name: wheel.y for wheel in plover.wheels} == {"nose": 0.0, "main": 0.26}


def test_like_engines_are_of_one_make_with_two_serials(plover: Plane) -> None:
    left, right = plover.engines
    assert (left.name, right.name) == ("engine.left", "engine.right")
    assert (left.y, right.y) == (-0.37, 0.37)
    assert left.make == right.make and (left.serial, right.serial) == ("left-1", "right-1")
    assert left.propeller is not None and left.propeller.diameter == 0.3048


def test_one_side_holds_only_what_differs(gannet: Plane) -> None:
    left, right = gannet.engines
    assert (left.serial, right.serial) == ("L1", "R2") and left.make != right.make
    assert left.fan is not None and right.fan is not None
    assert (left.fan.hub, right.fan.hub) == (0.036, 0.038)
    assert right.controller == left.controller and right.x == left.x
    assert left.claim is not None and (left.claim.thrust, left.claim.volts, left.claim.amps) == (
        20.0,
        24.0,
        48.0,
    )
    assert right.claim is not None and right.claim.thrust == 18.0
    assert gannet.battery is not None and gannet.battery.count == 2
    assert len(gannet.wing.spars) == 2 and gannet.wing.joints[0].folds  # type: ignore[union-attr]


def test_a_serial_alone_makes_no_other_make() -> None:
    text = example("plover") + '[engine.right]\nserial = "R7"\n'
    left, right = plane_of(text).engines
    assert left.make == right.make and right.serial == "R7" and left.serial == "left-1"
    text = (
        example("plover")
        + '[engine.right]\nmotor = { mass = "150 g", speed = "440 rpm/V", resistance = "80 mohm", idle = "0.7 A" }\n'
    )
    left, right = plane_of(text).engines
    assert left.make != right.make


def test_an_engine_without_a_y_is_one() -> None:
    (engine,) = plane_of(FIRST).engines
    assert engine.name == "engine" and engine.y == 0.0 and engine.serial == "engine-1"


def test_servos_of_controls(gannet: Plane, plover: Plane) -> None:
    assert {c.name: (c.kind, c.count) for c in gannet.controls} == {
        "inboard": ("aileron", 2), "outboard": ("aileron", 2), "elevator": ("elevator", 2), "rudder": ("rudder", 1),
    }  # fmt: skip
    assert {c.name: c.count for c in plover.controls} == {"aileron": 2, "elevator": 1, "rudder": 1}


def test_the_short_form_is_two_stations() -> None:
    short = plane_of(
        '[wing]\nx = "0"\nspan = "2 m"\nchord = "260 mm to 220 mm"\n'
        'dihedral = "3 deg"\nsweep = "5 deg"\nsection = "Clark Y"'
    )
    half = f"{1000 * math.tan(3 * DEG):.9f} mm"
    back = f"{1000 * math.tan(5 * DEG):.9f} mm"
    long = plane_of(
        '[wing]\nx = "0"\nsection = "Clark Y"\nstations = [ { out = "0", chord = "260 mm" },\n'
        f'{{ out = "1 m", chord = "220 mm", back = "{back}", up = "{half}" }} ]'
    )
    for a, b in zip(short.surfaces[0].stations, long.surfaces[0].stations, strict=True):
        assert (a.out, a.chord, a.back, a.up) == pytest.approx((b.out, b.chord, b.back, b.up), abs=1e-12)


def test_a_table_and_an_inline_table_say_the_same() -> None:
    inline = FIRST
    table = inline.replace('tailplane = { x = "980 mm", span = "640 mm", chord = "170 mm" }\n', "")
    table += '[tailplane]\nX = "980 mm"\nspan = "64 cm"\nchord = "170 mm"\n'
    assert plane_of(inline).surface("tailplane") == plane_of(table).surface("tailplane")


def test_a_station_inherits_from_the_one_inboard() -> None:
    text = '[wing]\nx="0"\nsection="NACA 2412"\n'
    text += 'stations=[{out="0",chord="300 mm",twist="1 deg"},{out="1 m",back="20 mm"},{out="2 m"}]'
    stations = plane_of(text).surfaces[0].stations
    assert [s.chord for s in stations] == [0.3, 0.3, 0.3]
    assert [s.back for s in stations] == [0.0, 0.02, 0.02]
    assert [s.twist for s in stations] == pytest.approx([DEG, DEG, DEG])


def test_a_file_that_holds_only_a_wing_reads_and_lists_what_it_took() -> None:
    plane = plane_of('[wing]\nx = "0"\nspan = "2 m"\nchord = "200 mm"\nsection = "NACA 2412"')
    assert plane.engines == () and plane.battery is None and len(plane.surfaces) == 1
    taken = {default.path: default.value for default in plane.defaults}
    assert taken["wing.build.way"] == "folded" and taken["wing.build.ribs"] == "180 mm apart"
    assert "stock.board" in taken and "stock.stick" in taken and "stock.glue" in taken
    assert plane.stock["board"].areal_mass is None, "no mass may be assumed here"


def test_an_empty_file_reads() -> None:
    assert plane_of("").surfaces == ()


def test_names_are_forgiving() -> None:
    assert canonical("Own  supply") == canonical("own-supply") == canonical("OWN_SUPPLY") == "own_supply"
    text = (
        example("plover").replace("mass_limit", '"Mass limit"').replace('servo = "small"', 'servo = "SMALL"')
    )
    assert plane_of(text).mass_limit == 5.2


def test_what_was_written_is_kept(plover: Plane, gannet: Plane) -> None:
    assert plover.written["wing.stations.1.chord"] == "360 mm"
    assert plover.written["stock.board.sheet"] == "20 x 30 in"
    assert plover.written["control.aileron.travel"] == "18 deg up, 12 deg down"
    assert gannet.written["wing.spar.1.to"] == "900 mm"
    assert gannet.written["engine.right.fan.claim"] == "18 N at 24 V and 45 A"


def test_any_number_of_surfaces_and_bodies() -> None:
    text = FIRST + (
        '[surface."Fore plane"]\nkind = "tailplane"\nx = "50 mm"\nspan = "400 mm"\nchord = "90 mm"\n'
        '[surface.twin]\nkind = "fin"\nx = "1 m"\ny = "300 mm"\nheight = "200 mm"\nchord = "150 mm"\n'
        '[surface.left]\nkind = "fin"\nx = "1 m"\ny = "300 mm"\nside = "left"\nheight = "200 mm"\nchord = "150 mm"\n'
        '[pod.float]\ny = "400 mm"\nlength = "600 mm"\nwidth = "60 mm"\nheight = "60 mm"\n'
    )
    text = text.replace(
        "[servo]",
        'nose = { kind = "elevator", on = "fore-plane", chord = "30 %", travel = "9 deg each way" }\n[servo]',
    )
    plane = plane_of(text)
    assert [s.name for s in plane.of_kind("tailplane")] == ["tailplane", "surface.fore_plane"]
    twin, left = plane.surface("surface.twin"), plane.surface("surface.left")
    assert twin is not None and twin.paired and twin.y == 0.3 and twin.half_span == 0.2
    assert left is not None and not left.paired and left.y == -0.3
    assert [b.name for b in plane.bodies] == ["body", "pod.float"]
    assert next(c.on for c in plane.controls if c.name == "nose") == "surface.fore_plane"


def test_equipment_with_a_y_is_one_each_side() -> None:
    text = '[equipment]\nlamp = { mass = "20 g", x = "1 m", y = "300 mm" }\n'
    text += 'key = { mass = "5 g", x = "0", y = "20 mm", side = "left" }'
    assert {e.name: e.y for e in plane_of(text).equipment} == {
        "lamp.left": -0.3,
        "lamp.right": 0.3,
        "key": -0.02,
    }


def test_a_sheet_may_be_written_per_area_and_a_stick_per_length() -> None:
    text = (
        '[stock]\nthin = { kind = "foam board", sheet = "500 x 700 mm", thickness = "3 mm", mass = "270 g/m2" }\n'
        'strip = { kind = "pine stick", size = "3 x 6 mm", length = "2 m", mass = "9 g/m" }'
    )
    stock = plane_of(text).stock
    assert stock["thin"].areal_mass == pytest.approx(0.27) and stock["strip"].mass == pytest.approx(0.018)


def test_section_and_propeller_tables_come_from_the_folder(tmp_path: Path) -> None:
    xs = [i / 8 for i in range(8, -1, -1)]
    points = [(x, 0.05 * math.sqrt(x) * (1 - x)) for x in xs] + [
        (x, -0.03 * math.sqrt(x) * (1 - x)) for x in xs[-2::-1]
    ]
    (tmp_path / "mine.csv").write_text("x,y\n" + "".join(f"{x},{y}\n" for x, y in points))
    (tmp_path / "prop.csv").write_text(
        "advance_ratio,thrust_coefficient,power_coefficient\n0,0.1,0.05\n0.5,0.05,0.04\n"
    )
    text = FIRST.replace('section = "Clark Y"', 'section = { file = "mine.csv" }') + 'table = "prop.csv"\n'
    text = text.replace(
        'propeller = { size = "11 x 7 in" }\ntable', 'propeller = { size = "11 x 7 in" }\ntable'
    )
    (tmp_path / "aeroplane.toml").write_text(text)
    plane, faults = read_plane(tmp_path / "aeroplane.toml")
    assert plane is not None and faults == ()
    assert plane.wing is not None and len(plane.wing.stations[0].section.points) == 17
    assert plane.engines[0].table == ((0.0, 0.1, 0.05), (0.5, 0.05, 0.04))
    (tmp_path / "mine.csv").write_text("x,y\n1,0\n0,0\n")
    _, faults = read_plane(tmp_path / "aeroplane.toml")
    assert len(faults) == 1 and "a section has at least 9" in faults[0].text().lower()


def test_line_numbers_through_every_form() -> None:
    text = (
        'a = """\nx = 1\n"""\n\n[t]\n"q.k" = [ # ]\n  { b = 1 },\n\n  { b = "]" },\n]\nc.d.e = { f = \'}\', g = 2 }\n'
        "[[many]]\nx = 1\n[[many]]\nx = 2\n[many.sub]\ny = 3\nv = '''\n''''\n"
    )
    found = locate(text)
    assert found["a",] == 1 and found["t",] == 5
    assert found["t", "q.k"] == 6 and found["t", "q.k", 0, "b"] == 7 and found["t", "q.k", 1, "b"] == 9
    assert found["t", "c", "d", "e", "g"] == 11
    assert found["many", 0, "x"] == 13 and found["many", 1, "x"] == 15 and found["many", 1, "sub", "y"] == 17
    with pytest.raises(TooDeep):
        locate("a = " + "[" * 60 + "]" * 60)


def test_reading_is_quick(tmp_path: Path) -> None:
    path = tmp_path / "aeroplane.toml"
    path.write_text(example("plover"), encoding="utf-8")
    read_plane(path)
    best = math.inf
    for _ in range(5):
        start = time.perf_counter()
        read_plane(path)
        best = min(best, time.perf_counter() - start)
    assert best < 0.05
