"""Damaged descriptions: whatever was done to a file, there are faults or a plane, and never a traceback."""

from __future__ import annotations

import re
from collections.abc import Callable

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planewright.plane import read_text_plane
from unit.test_plane_reading import example

TEXTS = [example(name) for name in ("starter", "plover", "gannet")]
_VALUE = re.compile(r'"[^"\n]*"')
_WORD = re.compile(r"[a-z_]+")
_ODD = st.sampled_from(
    [
        "true",
        "0",
        "-1",
        "nan",
        "inf",
        "1e400",
        "[]",
        "{}",
        "[[]]",
        '""',
        '"0"',
        '"-5 mm"',
        '"5 kg"',
        '"9e9 m"',
        '"50 %"',
        '"1,5 m"',
        "1979-05-27",
        "07:32:00",
        "12",
        "0.5",
        '"flat"',
        '"wing"',
        '"left"',
        '{ file = "x.csv" }',
        '"NACA 0000"',
        '"a to b"',
        '"3 m to 2 m"',
        '"2 x 3 mm"',
        '"999999999999999 km"',
        '["5 %", 3]',
        "[{}, {}]",
        '{ x = "0" }',
        "'''\n'''",
        "99999999999999999999999999",
        "0xffffffffffffffffffffff",
        '"\\u0000"',
        '"½ m"',
        '"-0"',
        '"1/0 m"',
        '"board"',
        '"fan"',
    ]
)


def _cut(text: str, a: int, b: int) -> str:
    i, j = sorted((a % (len(text) + 1), b % (len(text) + 1)))
    return text[:i] + text[min(j, i + 300) :]


def _swap_lines(text: str, a: int, b: int) -> str:
    lines = text.split("\n")
    i, j = a % len(lines), b % len(lines)
    lines[i], lines[j] = lines[j], lines[i]
    return "\n".join(lines)


def _drop_line(text: str, a: int, _b: int) -> str:
    lines = text.split("\n")
    del lines[a % len(lines)]
    return "\n".join(lines)


def _repeat_line(text: str, a: int, b: int) -> str:
    lines = text.split("\n")
    lines.insert(b % len(lines), lines[a % len(lines)])
    return "\n".join(lines)


def _swap_values(text: str, a: int, b: int) -> str:
    hits = list(_VALUE.finditer(text))
    if len(hits) < 2:
        return text
    one, two = sorted((hits[a % len(hits)], hits[b % len(hits)]), key=lambda hit: hit.start())
    if one.start() == two.start():
        return text
    return text[: one.start()] + two[0] + text[one.end() : two.start()] + one[0] + text[two.end() :]


def _swap_words(text: str, a: int, b: int) -> str:
    hits = list(_WORD.finditer(text))
    if not hits:
        return text
    one, two = hits[a % len(hits)], hits[b % len(hits)]
    return text[: one.start()] + two[0] + text[one.end() :]


_CHANGES: list[Callable[[str, int, int], str]] = [
    _cut,
    _swap_lines,
    _drop_line,
    _repeat_line,
    _swap_values,
    _swap_words,
]
_INDEX = st.integers(0, 10**5)


@st.composite
def damaged(draw: st.DrawFn) -> str:
    """An example with one to four changes: cuts, swaps, other kinds of value, odd characters."""
    text = draw(st.sampled_from(TEXTS))
    for _ in range(draw(st.integers(1, 4))):
        sort = draw(st.integers(0, len(_CHANGES) + 3))
        if sort < len(_CHANGES):
            text = _CHANGES[sort](text, draw(_INDEX), draw(_INDEX))
        elif sort == len(_CHANGES):
            at = draw(_INDEX) % (len(text) + 1)
            text = text[:at] + draw(st.text(max_size=6)) + text[at:]
        else:
            hits = list(_VALUE.finditer(text))
            if hits:
                hit = hits[draw(_INDEX) % len(hits)]
                text = text[: hit.start()] + draw(_ODD) + text[hit.end() :]
    return text


@settings(max_examples=2000, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(damaged())
def test_two_thousand_damaged_descriptions(text: str) -> None:
    plane, faults = read_text_plane(text)
    stopped = [fault for fault in faults if fault.severity == "fault"]
    assert (plane is None) == bool(stopped)
    assert [fault.line for fault in faults] == sorted(fault.line for fault in faults)
    lines = text.count("\n") + 1
    for fault in faults:
        assert fault.read and fault.advice and 0 <= fault.line <= lines
        assert len(fault.text()) < 3000
    if plane is not None:
        for surface in plane.surfaces:
            assert len(surface.stations) >= 2 and surface.half_span > 0
            assert all(station.chord > 0 for station in surface.stations)


@settings(max_examples=200, deadline=None, database=None)
@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8", "replace")))
def test_random_bytes(data: bytes) -> None:
    plane, faults = read_text_plane(data.decode("utf-8", "replace"))
    assert plane is not None or faults


_TREE = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(min_size=1, max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)
_TABLES = [
    "wing",
    "body",
    "stock",
    "control",
    "servo",
    "gear",
    "engine",
    "battery",
    "equipment",
    "limits",
    "fin",
    "pod",
    "surface",
]


@settings(max_examples=300, deadline=None, database=None)
@given(st.dictionaries(st.sampled_from(_TABLES), _TREE, max_size=4))
def test_known_tables_holding_anything(tree: dict[str, object]) -> None:
    import tomlkit

    def plain(value: object) -> object:
        if isinstance(value, dict):
            return {key: plain(one) for key, one in value.items()}
        if isinstance(value, list):
            return [plain(one) for one in value]
        return "" if value is None else value

    try:
        text = tomlkit.dumps(plain(tree))  # type: ignore[arg-type]
    except Exception:
        return
    plane, faults = read_text_plane(text)
    assert plane is not None or faults
