"""Reading two figures of one kind, and the short phrases that carry one."""

from __future__ import annotations

import re

from planewright.units.reading import LONGEST, misread, quoted, read, tidy, unit_of
from planewright.units.symbols import Dimension, noun

_X = re.compile(r"(?<=[0-9\s\"'A-Za-z°%])\s*x\s*(?=[-+]?[0-9.])", re.IGNORECASE)
_TO = re.compile(r"\s+to\s+", re.IGNORECASE)
_TAIL = re.compile(r"[A-Za-zμΩ°%\"'′″][A-Za-z0-9μΩ°%\"'′″/^·* ]*$")


def _short(text: str, dimension: Dimension, example: str) -> str:
    if len(text) > 2 * LONGEST:
        raise misread(
            f"reads {quoted(text)}, which is too long.",
            f"Two figures, each {noun(dimension)}, are wanted.",
            f'Write "{example}".',
        )
    return tidy(text)


def _split(text: str, parts: list[str], dimension: Dimension, what: str) -> tuple[float, float]:
    first, second = parts[0].strip(), parts[1].strip()
    tail = _TAIL.search(second)
    bare = not _TAIL.search(first)
    if bare and tail is not None and unit_of(tail[0]) is not None and first not in ("", "0"):
        first = f"{first} {tail[0]}"
    return read(first, dimension, what), read(second, dimension, what)


def read_pair(
    text: str, dimension: Dimension, what: str = "", example: str = "20 x 30 in"
) -> tuple[float, float]:
    """Read ``"20 x 30 in"`` or ``"20 in x 30 in"``: two figures, the unit of the last one serving both.

    Returns both in SI. Raises InputError as ``read`` does, also if there are not just two figures.
    """
    clean = _short(text, dimension, example)
    parts = _X.split(clean)
    if len(parts) != 2:
        raise misread(
            f"reads {quoted(text)}, which is not two figures.",
            f"Two figures, each {noun(dimension)}, are wanted.",
            f'Write them with an x between, such as "{example}".',
        )
    return _split(clean, parts, dimension, what)


def read_slide(
    text: str, dimension: Dimension, what: str = "", example: str = "260 mm to 220 mm"
) -> tuple[float, float]:
    """Read ``"260 mm to 220 mm"`` (also "260 to 220 mm"): two figures in SI, in the order written."""
    clean = _short(text, dimension, example)
    parts = _TO.split(clean)
    if len(parts) != 2:
        raise misread(
            f"reads {quoted(text)}, which is not two figures.",
            f"Two figures, each {noun(dimension)}, are wanted.",
            f'Write "{example}".',
        )
    return _split(clean, parts, dimension, what)


def read_one_or_slide(text: str, dimension: Dimension, what: str = "") -> tuple[float, float]:
    """Read one figure, which then stands for both, or two as ``read_slide`` does."""
    if _TO.search(tidy(text[: 2 * LONGEST])):
        return read_slide(text, dimension, what)
    one = read(text, dimension, what)
    return one, one


def read_phrase(text: str, dimension: Dimension, words: str, what: str = "") -> float:
    """Read a figure that a fixed phrase follows: ``read_phrase("150 mm apart", "length", "apart")``.

    The phrase may be left out. Returns SI. Raises InputError as ``read`` does.
    """
    clean = tidy(text[: 2 * LONGEST + 1])
    if len(clean) <= LONGEST and clean.lower().endswith(words):
        clean = clean[: -len(words)].strip()
    return read(clean, dimension, what)


def read_each_way(text: str, what: str = "travel") -> float:
    """Read ``"20 deg each way"`` as rad."""
    return read_phrase(text, "angle", "each way", what)


def read_travel(text: str, what: str = "travel") -> tuple[float, float]:
    """Read ``"18 deg up, 12 deg down"`` or ``"25 deg each way"``.

    Returns (up, down) in rad, both positive. Raises InputError; a travel without a direction is refused.
    """
    expected = "A travel is an angle with its direction."
    clean = _short(text, "angle", "18 deg up, 12 deg down").lower()
    if clean.endswith("each way"):
        both = read(clean.removesuffix("each way").rstrip(" ,"), "angle", what)
        return _not_negative(both, text), both
    parts = [part.strip() for part in re.split(r",|\band\b", clean)]
    found: dict[str, float] = {}
    for part in parts:
        way = part.rsplit(" ", 1)[-1]
        if way in ("up", "down") and way not in found:
            found[way] = _not_negative(read(part.removesuffix(way), "angle", what), text)
    if len(found) != 2 or len(parts) != 2:
        start = clean.split(",")[0].removesuffix("up").removesuffix("down").strip()
        example = start if re.fullmatch(r"[0-9.]+ ?(deg|°)", start) else "18 deg"
        raise misread(
            f"reads {quoted(text)}, which does not say which way.",
            expected,
            f'Write "{example} each way", or "{example} up, 12 deg down".',
        )
    return found["up"], found["down"]


def _not_negative(value: float, text: str) -> float:
    if value < 0:
        raise misread(
            f"reads {quoted(text)}, which is negative.",
            "A travel is an angle with its direction.",
            "Write it without the minus sign.",
        )
    return value
