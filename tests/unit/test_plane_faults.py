"""Every fault at once, at its line, in words a builder can use."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest

from planewright.errors import Fault
from planewright.plane import read_plane, read_text_plane, rewrite
from planewright.plane.lines import locate
from planewright.plane.names import in_words
from unit.test_plane_reading import FIRST, example

PLOVER, GANNET = example("plover"), example("gannet")


def faults_of(text: str) -> tuple[Fault, ...]:
    plane, faults = read_text_plane(text)
    assert (plane is None) == any(fault.severity == "fault" for fault in faults)
    return faults


def line_of(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


def test_the_two_wordings() -> None:
    text = PLOVER.replace('{ out = "620 mm", chord = "360 mm" }', '{ out = "620 mm", chord = "360" }')
    text = text.replace('servo = "small"', 'servo = "smal"')
    first, second = faults_of(text)
    at = line_of(text, 'chord = "360" }'), line_of(text, '"smal"')
    assert first.text() == (
        f'aeroplane.toml line {at[0]}: wing, station 2, chord reads "360", which has no unit.\n'
        '    A chord is a length. Write "360 mm" (or "0.36 m", or "14.2 in").'
    )
    assert second.text() == (
        f'aeroplane.toml line {at[1]}: control.aileron.servo names "smal". There is no [servo] of that name.\n'
        '    The servos in this file are: small, standard. Did you mean "small"?'
    )


CASES = [
    # (old, new, where, what is said); an empty old appends
    ('chord = "250 mm", back', "chord = 250, back", "wing, station 3, chord", 'Write "250 mm"'),
    ('chord = "250 mm", back', "chord = true, back", "wing, station 3, chord", "reads true"),
    ('chord = "250 mm", back', "chord = nan, back", "wing, station 3, chord", "reads nan"),
    ('chord = "250 mm", back', "chord = -inf, back", "wing, station 3, chord", "reads -inf"),
    ('chord = "250 mm", back', "chord = 1979-05-27, back", "wing, station 3, chord", "reads 1979-05-27"),
    ('chord = "250 mm", back', "chord = [1], back", "wing, station 3, chord", "reads a list"),
    ('chord = "250 mm", back', "chord = {}, back", "wing, station 3, chord", "reads a table"),
    ('chord = "250 mm", back', "chord = 123456789012345678901234, back", "wing, station 3, chord", "a huge number"),
    ('chord = "250 mm", back', 'chord = "0", back', "wing, station 3, chord", "nought"),
    ('chord = "250 mm", back', 'chord = "-250 mm", back', "wing, station 3, chord", "negative"),
    ('chord = "250 mm", back', 'chord = "250 g", back', "wing, station 3, chord", "measures a mass"),
    ('chord = "250 mm", back', 'chord = "250 furlong", back', "wing, station 3, chord", "not a unit"),
    ('chord = "250 mm", back', 'chord = "250,0 mm", back', "wing, station 3, chord", 'Write "250.0 mm"'),
    ('chord = "250 mm", back', 'chord = "250 x 20 mm", back', "wing, station 3, chord", "two figures"),
    ('chord = "250 mm", back', 'chrod = "250 mm", back', "wing, station 3, chrod", 'Did you mean "chord"?'),
    ('chord = "250 mm", back', 'chord = "250 km", back', "wing, station 3, chord", "beyond anything built"),
    ('chord = "250 mm", back', 'chord = "0.0000001 mm", back', "wing, station 3, chord", "smaller than anything"),
    ('incidence = "2 deg"', 'incidence = "200 deg"', "wing.incidence", "beyond anything built"),
    ('travel = "25 deg each way"', 'travel = "95 deg each way"', "control.rudder.travel", "beyond anything built"),
    ('thickness = "4.8 mm"', 'thickness = "-4.8 mm"', "stock.board.thickness", "negative"),
    ('travel = "25 deg each way"', 'travel = "25 deg"', "control.rudder.travel", 'Write "25 deg each way"'),
    ('chord = "25 %", travel', 'chord = "125 %", travel', "control.aileron.chord", "over 100 %"),
    ('chord = "25 %", travel', 'chord = "51 %", travel', "control.aileron.chord", "half of the chord"),
    ('{ out = "620 mm", chord', '{ out = "1.3 m", chord', "wing, station 3", "outward"),
    ('{ x = "800 mm", width', '{ x = "180 mm", width', "body, station 3", "aft"),
    ('to = "1.26 m"', 'to = "1.31 m"', "control.aileron.to", "beyond the tip"),
    ('from = "700 mm"', 'from = "1.27 m"', "control.aileron.from", "outward"),
    ('to = "1.15 m"', 'to = "1.35 m"', "wing.spar.to", "beyond the tip"),
    ('to = "1.15 m"', 'to = "560 mm"', "wing.spar.to", "inside the reach"),
    ('joint.outer = { out = "620 mm"', 'joint.outer = { out = "1.4 m"', "wing.joint.outer.out", "outside the surface"),
    ('joiner = "ply", reach = "160 mm"', 'joiner = "ply"', "wing.joint.outer", 'no "reach"'),
    ('joiner = "ply", reach = "160 mm"', 'mass = "9 g"', "wing.joint.outer", "neither a joiner nor a hinge"),
    ('y = "370 mm"\nbuild', 'y = "110 mm"\nbuild', "nacelle.y", "inside the body"),
    ('z = "-260 mm", wheel = "110 mm"', 'z = "-100 mm", wheel = "300 mm"',
     "gear.main.z", "stands through the wing"),
    ('nose = { x = "150 mm", z = "-260 mm"', 'nose = { x = "150 mm", z = "-30 mm"', "gear.nose.z", "propeller"),
    ('nose = { x = "150 mm"', 'nose = { x = "640 mm"', "gear.nose.x", "ahead of the main wheels"),
    ('skin = "card"', 'skin = "crad"', "nacelle.build.skin", 'Did you mean "card"?'),
    ('skin = "card"', 'skin = "cap"', "nacelle.build.skin", "which is a pine stick"),
    ('on = "fin"', 'on = "fim"', "control.rudder.on", 'Did you mean "fin"?'),
    ('section = "Clark Y"', 'section = "Clarke Y"', "wing.section", 'Did you mean "Clark Y"?'),
    ('section = "Clark Y"', 'section = "NACA 23012"', "wing.section", "5 figures"),
    ('section = "Clark Y"', 'section = "NACA 2012"', "wing.section", "no section"),
    ('section = "Clark Y"\n', "", "wing", 'has no "section"'),
    ('section = "Clark Y"', 'section = { file = "gone.csv" }', "wing.section", "gone.csv"),
    ('section = "Clark Y"', 'section = { file = "/etc/passwd" }', "wing.section", "not in the project folder"),
    ('x = "1.4 m"', "", "tailplane", 'has no "x"'),
    ('{ out = "0", chord = "250 mm" }, ', "", "tailplane.stations", "fewer than two stations"),
    ('z = "118 mm" ', 'z = "118 mm"\nspan = "2.6 m" ', "wing.span", "beside stations"),
    ('z = "118 mm" ', 'z = "118 mm"\narea = "0.86 m2" ', "wing.area", "worked out from the stations"),
    ('show = ', "", "", "") if False else ("mass_limit", 'cg = "570 mm"\nmass_limit', "cg", "worked out"),
    ("mass_limit", 'wing_loading = "4.7 kg/m2"\nmass_limit', "wing_loading", "worked out"),
    ("motor = {", "moter = {", "engine.moter", 'Did you mean "motor"?'),
    ("[battery]", "[batery]", "batery", 'Did you mean "battery"?'),
    ("cells = 4", 'cells = "4"', "battery.cells", "whole number"),
    ("cells = 4", "cells = 3.5", "battery.cells", "whole number"),
    ("cells = 4", "cells = 0", "battery.cells", "no count"),
    ('kind = "cardboard"', 'kind = "card board"', "stock.card.kind", 'Did you mean "cardboard"?'),
    ('mass = "2.1 g/m"', 'mass = "2.1 g"', "stock.tape.mass", "per length"),
    ('x = "150 mm"    ', 'X = "150 mm"\nx = "150 mm"    ', "battery.x", "written twice"),
    ("small    = {", 'Small = { mass = "9 g", torque = "1 kg cm" }\nsmall    = {', "servo.small", "written twice"),
    ("", '[engine.right]\nserial = "left-1"\n', "engine.right.serial", "serial"),
    ("", '[surface.canard]\nx = "0"\nspan = "1 m"\nchord = "9 cm"\n', "surface.canard", 'no "kind"'),
    ("", 'wheels = 3\n', "equipment.wheels", "A table is wanted"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "where", "said"), CASES)
def test_each_fault_is_the_only_one_and_at_its_line(old: str, new: str, where: str, said: str) -> None:
    assert old in PLOVER
    text = PLOVER.replace(old, new, 1) if old else PLOVER + new
    faults = faults_of(text)
    assert len(faults) == 1, [fault.text() for fault in faults]
    fault = faults[0]
    assert fault.path == where and said in fault.text() and fault.severity == "fault"
    at = PLOVER.index(old) if old else len(PLOVER)
    low = text[:at].count("\n") + 1
    assert fault.line <= low + new.count("\n") + 3 and fault.line > 0 and fault.file == "aeroplane.toml"


@pytest.mark.parametrize(
    ("old", "new", "where", "said"),
    [
        ('mass = "147 g"', 'mass = "14.7 kg"', "stock.board.mass", "g/m2"),
        ('mass = "33 g"', 'mass = "3.3 g"', "stock.cap.mass", "kg/m3"),
        ('torque = "5.0 kg cm"', 'torque = "500 kg cm"', "servo.small.torque", "usual"),
        ('slide = "130 mm to 330 mm"', 'slide = "230 mm to 330 mm"', "battery.x", "outside its slide"),
        ('mass_limit = "5.2 kg"', 'mass_limit = "5.2 lb 900 oz"', "mass_limit", "Is the unit right?"),
        ('placard = "20 m/s"', 'placard = "200 m/s"', "limits.placard", "Is the unit right?"),
    ],
)
def test_what_is_hard_to_believe_is_kept_and_asked(old: str, new: str, where: str, said: str) -> None:
    plane, faults = read_text_plane(PLOVER.replace(old, new, 1))
    assert plane is not None and [fault.severity for fault in faults] == ["question"]
    assert faults[0].path == where and said in faults[0].text() and "Kept as written" in faults[0].advice


def test_a_wing_in_the_wrong_unit_is_asked_about() -> None:
    plane, faults = read_text_plane('[wing]\nx="0"\nspan="200 mm"\nchord="20 mm"\nsection="Clark Y"')
    assert plane is not None and [f.severity for f in faults] == ["question", "question"]


def test_a_claim_above_the_ideal_thrust_is_asked_about() -> None:
    _, faults = read_text_plane(GANNET.replace('claim = "20 N', 'claim = "29 N'))
    assert [f.path for f in faults] == ["engine.fan.claim"] and faults[0].severity == "question"
    assert read_text_plane(GANNET.replace('claim = "20 N', 'claim = "27 N'))[1] == ()


def test_unused_stock_and_idle_words_are_notes() -> None:
    text = PLOVER.replace('skin = "card"', 'skin = "board", sides = 6')
    plane, faults = read_text_plane(text)
    assert plane is not None
    assert [(f.path, f.severity) for f in faults] == [("stock.card", "note"), ("nacelle.build.sides", "note")]


def test_a_control_across_a_folding_joint() -> None:
    (fault,) = faults_of(GANNET.replace('to = "900 mm", chord = "24 %"', 'to = "950 mm", chord = "24 %"'))
    assert fault.path == "control.inboard.to" and "folding joint tip" in fault.read
    assert fault.line == line_of(GANNET, "inboard  =")


def test_lines_inside_long_lists() -> None:
    text = '[wing]\nx = "0"\nsection = "Clark Y"\nspar = [\n  { at = "30 %" },\n  { at = "60 %",\n'.replace(
        ',\n  { at = "60 %",\n', ",\n"
    )
    text += '  { at = "60", to = "9 m" },\n]\nstations = [\n'
    text += '  { out = "0", chord = "1 ft" },\n  # a remark\n  { out = "1,5 m" },\n]\n'
    assert [(f.line, f.path) for f in faults_of(text)] == [
        (6, "wing, spar 2, at"),
        (11, "wing, station 2, out"),
    ]


def test_ten_faults_at_once_in_file_order() -> None:
    text = PLOVER
    changes = [
        ('mass_limit = "5.2 kg"', 'mass_limit = "5.2"'),
        ('time = "3 min"', 'tiem = "3 min"'),
        ('thickness = "3.1 mm"', 'thickness = "3,1 mm"'),
        ('section = "Clark Y"', 'section = "Clark Z"'),
        ('caps = "cap"', 'caps = "pac"'),
        ('edge = "strip"', 'edge = "card"'),
        ('width = "60 mm",  height', 'width = "-60 mm",  height'),
        ('travel = "18 deg up, 12 deg down"', 'travel = "18 deg"'),
        ('y = "260 mm"', "y = false"),
        ("cells = 4", "cells = inf"),
    ]
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    faults = faults_of(text)
    assert len(faults) == 10
    assert [fault.line for fault in faults] == [line_of(text, new) for _, new in changes]


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ('name = "A"\n[wing\n', 2, "not TOML"),
        ("name = Plover\n", 1, "not TOML"),
        ("[wing]\nx = 1.4 m\n", 2, 'x = "1.4 m"'),
        ("[wing]\n[wing]\n", 2, "written twice"),
        ('name = "a"\nname = "b"\n', 2, "written twice"),
        ("a = " + "[" * 5000 + "]" * 5000, 0, "nested too deeply"),
        ("a = " + "[" * 60 + "]" * 60, 0, "nested too deeply"),
        ("a = " + "{ b = " * 2000 + "1" + "}" * 2000, 0, "nested too deeply"),
        ("a = " + "9" * 6000, 0, "number that cannot be read"),
        ("a = 1999-99-99", 1, "not TOML"),
        ("[battery]\ncells = 0x" + "f" * 9000, 2, "a huge number"),
    ],
)
def test_what_is_not_toml_is_one_clear_fault(text: str, line: int, said: str) -> None:
    plane, faults = read_text_plane(text)
    assert plane is None
    fault = next(fault for fault in faults if said in fault.text())
    assert fault.line == line
    assert len(faults) == 1 or "cells" in text


def test_files_that_are_no_text(tmp_path: Path) -> None:
    path = tmp_path / "aeroplane.toml"
    for data, said in ((b"\x89PNG\r\n\x1a\n\x00\x00", "nought byte"), (b"name = '\xff\xfe'", "UTF-8")):
        path.write_bytes(data)
        plane, faults = read_plane(path)
        assert plane is None and len(faults) == 1 and said in faults[0].text()
        assert path.read_bytes() == data
    with path.open("wb") as stream:
        stream.truncate(50_000_000)
    plane, faults = read_plane(path)
    assert plane is None and len(faults) == 1 and "larger than" in faults[0].read
    plane, faults = read_plane(tmp_path / "missing" / "aeroplane.toml")
    assert plane is None and len(faults) == 1 and "not there" in faults[0].read


@pytest.mark.parametrize(
    "text",
    [
        ".".join(["a"] * 400_000) + " = 1",
        'name = "' + "a" * 900_000 + '"',
        "".join(f"k{number} = 1\n" for number in range(70_000)),
        "[equipment]\n" + "".join(f'e{number} = {{ mass = "1 g" }}\n' for number in range(30_000)),
        "[" + ".".join(["a"] * 2000) + "]",
        "a = [\n" + "1,\n" * 200_000 + "]",
        '[wing]\nx = "' + "1 " * 9000 + 'm"',
    ],
)
def test_large_nonsense_is_refused_soon(text: str) -> None:
    start = time.perf_counter()
    plane, faults = read_text_plane(text)
    assert plane is None and 0 < len(faults) <= 301
    assert time.perf_counter() - start < 10


def test_a_misspelt_table_brings_no_swarm() -> None:
    for word in ("[stock]", "[servo]", "[wing]"):
        (fault,) = faults_of(PLOVER.replace(word, word[:-2] + "z" + word[-2:]))
        assert "Did you mean" in fault.advice


@pytest.mark.parametrize(("text", "every"), [(FIRST, 1), (GANNET, 4)])
def test_a_slip_in_any_quantity_is_found_at_its_own_line(text: str, every: int) -> None:
    plane, _ = read_text_plane(text)
    assert plane is not None
    lines = locate(text)
    tried = 0
    for path, written in list(plane.written.items())[::every]:
        steps = tuple(int(step) if step.isdecimal() else step for step in path.split("."))
        if steps not in lines or not re.match(r"-?[0-9].* ", written):
            continue
        tried += 1
        faults = faults_of(rewrite(text, {path: "1,5 " + written}))
        assert (lines[steps], in_words(steps)) in [(fault.line, fault.path) for fault in faults], path
    assert tried > 25
