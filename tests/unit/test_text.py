"""Reading text: lines of TOML keys, untidy tables, near names, numbers in cells."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from planewright.text import lines_of, nearest, parse_table, read_table, read_toml, same_name
from planewright.text.reader import Reader, parse_date
from planewright.text.tables import find_separator, parse_number

TEXT = """# a comment with [brackets] and a = sign
name = "a [b] # no comment"
'odd key' = 1
a.b = 2
stations = [          # from inside out
  { out = "0", chord = "360 mm" },
  { out = "620 mm",
    chord = "360 mm" },
]
[wing]
x = 1
joint.outer = { out = "1" }
[wing.spar]
at = '''
two
lines'''
[[remark]]
row = 1
[[remark]]
row = 2
[remark.inner]
deep = [[1, 2],
        [3]]
"""


def test_lines_of_every_key() -> None:
    text = TEXT.replace('{ out = "620 mm",\n    chord', '{ out = "620 mm", chord')
    assert tomllib.loads(text)
    lines = lines_of(text)
    assert lines["name",] == 2
    assert lines["odd key",] == 3
    assert lines["a", "b"] == 4 and lines["a",] == 4
    assert lines["stations", 1, "chord"] == 7
    assert lines["wing",] == 9
    assert lines["wing", "joint", "outer", "out"] == 11
    assert lines["wing", "spar", "at"] == 13
    assert lines["remark", 0, "row"] == 17
    assert lines["remark", 1, "row"] == 19
    assert lines["remark", 1, "inner", "deep", 1] == 22


KEYS = st.text("abc_-9", min_size=1, max_size=4) | st.sampled_from(
    ["a b", "x.y", "ü", '"', "\\", "'", "#", "\t"]
)
LEAVES = (
    st.text(max_size=12) | st.integers(-99, 99) | st.booleans() | st.floats(-9, 9) | st.dates() | st.times()
)
VALUES = st.recursive(
    LEAVES, lambda one: st.lists(one, max_size=3) | st.dictionaries(KEYS, one, max_size=3), max_leaves=12
)


def paths(data: object, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    found: set[tuple[str | int, ...]] = set()
    items: list[tuple[str | int, object]] = []
    if isinstance(data, dict):
        items = list(data.items())
    elif isinstance(data, list):
        items = list(enumerate(data))
    for key, value in items:
        found |= {(*path, key)} | paths(value, (*path, key))
    return found


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(KEYS, VALUES, max_size=5))
def test_every_key_has_a_line(data: dict[str, object]) -> None:
    """Against the general TOML library: whatever it writes, every path of it gets a line inside the text."""
    text = tomlkit.dumps(data)
    read = tomllib.loads(text.replace("\r\n", "\n"))
    lines = lines_of(text.replace("\r\n", "\n"))
    assert paths(read) <= set(lines)
    count = text.count("\n") + 1
    assert all(1 <= line <= count for line in lines.values())


def test_toml_faults_carry_their_line(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text('a = 1\nb = "open\n')
    found, faults = read_toml(path, "trials/x.toml")
    assert found is None and faults[0].line == 2 and faults[0].file == "trials/x.toml"


@pytest.mark.parametrize(
    "data", [b"\xff\xfe", b"a\x00b", b"\x89PNG\r\n\x1a\n", b"a = " + b"[" * 20000, b"a=" + b"9" * 5000]
)
def test_what_is_no_toml_is_one_fault(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(data)
    found, faults = read_toml(path, "x.toml")
    assert found is None and len(faults) == 1 and faults[0].read


def test_reader_takes_wrong_kinds_as_faults(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text('a = true\nb = [1]\nc = "1,5 m"\nd = inf\ne = "12.05.2026"\nf = "20.05.2026"\n')
    source, _ = read_toml(path, "x.toml")
    assert source is not None
    reader = Reader(source)
    assert reader.quantity(("a",), "length") is None
    assert reader.text(("b",), "?") == "?"
    assert reader.quantity(("c",), "length") is None
    assert reader.number(("d",), 3.0) == 3.0
    assert reader.date(("e",)) is None
    assert reader.date(("f",)) is None
    assert [one.line for one in reader.sorted_faults()] == [1, 2, 3, 4, 5, 6]
    assert "1.5 m" in reader.faults[2].advice
    assert "2026-05-20" in reader.faults[5].advice


@pytest.mark.parametrize(
    ("text", "separator"),
    [("a,b\n1,2", ","), ("a;b;c\n1,5;2;3", ";"), ("a\tb\n1\t2", "\t"), ('"a,b";c\n', ";")],
)
def test_separator_is_found(text: str, separator: str) -> None:
    assert find_separator(text) == separator


def test_untidy_table_is_read(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_bytes('\ufeffstep; load_g ;note\r\n\r\n1;2,5;x\r\n2;;"a;b"\r\n3;4;;;\r\n'.encode())
    table, faults = read_table(path, "t.csv")
    assert table is not None and faults == ()
    assert table.head == ("step", "load_g", "note")
    assert table.column("load_g") == ("2,5", "", "4")
    assert table.column("note") == ("x", "a;b", "")
    assert table.lines == (3, 4, 5)


def test_wrong_number_of_fields() -> None:
    table, faults = parse_table("part,mass,note\nwing,5 g\nfin,6 g,a,b\nbody,7 g,x\n", "w.csv")
    assert table is not None and [one.line for one in faults] == [2, 3]
    assert "quotation marks" in faults[1].advice
    assert table.rows[0] == ("wing", "5 g", "")


@pytest.mark.parametrize("text", ["", "\n\n", " , ,\n"])
def test_empty_table_is_one_fault(text: str) -> None:
    table, faults = parse_table(text, "w.csv")
    assert table is None and len(faults) == 1


def test_many_faults_are_counted_not_listed() -> None:
    _, faults = parse_table("a,b\n" + "1\n" * 500, "w.csv")
    assert len(faults) == 51 and "450" in faults[-1].read


@pytest.mark.parametrize(
    ("cell", "separator", "value"),
    [
        ("12.5", ",", 12.5),
        ("12,5", ",", 12.5),
        ("1,250", ";", 1.25),
        ("−3", ",", -3.0),
        (" 4e-2 ", ",", 0.04),
    ],
)
def test_numbers_in_cells(cell: str, separator: str, value: float) -> None:
    assert parse_number(cell, separator) == (value, "")


@pytest.mark.parametrize("cell", ["1,250", "nan", "inf", "1_000", "five", "1.2.3", "1e999", "0x10"])
def test_what_is_no_number(cell: str) -> None:
    value, advice = parse_number(cell, ",")
    assert value is None and advice


def test_near_names() -> None:
    assert nearest("smal", ["small", "standard"]) == "small"
    assert nearest("zzz", ["small"]) == ""
    assert same_name("Look over", ["look-over"]) == "look-over"


def test_dates() -> None:
    assert parse_date("2026-05-02")[0] is not None
    assert "2026-05-20" in parse_date("20/5/2026")[1]
    assert (
        "2026-05-02" in parse_date("2/5/2026")[1]
    )  # day or month first cannot be told: only the form is shown
