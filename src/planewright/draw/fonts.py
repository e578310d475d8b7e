"""The two faces of every sheet and their real widths.

"National Park" for headings and part codes, "Atkinson Hyperlegible Next" for everything else; both under the
SIL Open Font License 1.1, whose texts lie beside the files. Widths come from the horizontal metrics of the files
(OpenType ``hmtx``), without kerning, so a measured text is never narrower than the printed one by more than kerning.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

Face = Literal["text", "head"]

FOLDER = Path(__file__).with_name("fonts")
FAMILY: dict[Face, str] = {"text": "Atkinson Hyperlegible Next", "head": "National Park"}
_FILE: dict[Face, str] = {"text": "AtkinsonHyperlegibleNext", "head": "NationalPark"}
POINT = 25.4 / 72


@dataclass(frozen=True)
class Metrics:
    """Widths of one font in parts of its size: ``advance`` by character, and heights above the baseline."""

    advance: dict[str, float]
    cap_height: float
    ascent: float
    descent: float


def path(face: Face, bold: bool = False) -> Path:
    """The file of a shipped font."""
    return FOLDER / f"{_FILE[face]}-{'Bold' if bold else 'Regular'}.ttf"


@cache
def metrics(face: Face, bold: bool = False) -> Metrics:
    """Metrics of a shipped font. ``ascent`` and ``descent`` are those of the letters b and p."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(path(face, bold), lazy=True) as font:
        em = font["head"].unitsPerEm
        widths, glyphs = font["hmtx"].metrics, font["glyf"]
        cmap: dict[int, str] = font.getBestCmap()
        return Metrics(
            {chr(code): widths[name][0] / em for code, name in cmap.items()},
            font["OS/2"].sCapHeight / em,
            glyphs[cmap[ord("b")]].yMax / em,
            -glyphs[cmap[ord("p")]].yMin / em,
        )


def width(words: str, size: float, face: Face = "text", bold: bool = False) -> float:
    """Width of a line of text in the unit of ``size`` (the em). Raises ``KeyError`` for a missing letter."""
    advance = metrics(face, bold).advance
    return size * sum(advance[letter] for letter in words)


def missing(words: str, face: Face = "text", bold: bool = False) -> str:
    """The letters of ``words`` that the font does not have."""
    advance = metrics(face, bold).advance
    return "".join(sorted({letter for letter in words if letter not in advance}))


def printable(words: str, face: Face = "text", bold: bool = False) -> str:
    """``words`` with every letter that the font lacks replaced by a question mark."""
    lacking = missing(words, face, bold)
    return words.translate({ord(letter): "?" for letter in lacking}) if lacking else words


def size_for_capitals(height: float, face: Face = "text", bold: bool = False) -> float:
    """The em size whose capitals stand ``height`` tall, same unit (ISO 3098 gives lettering by that height)."""
    return height / metrics(face, bold).cap_height


def points(size: float) -> float:
    """Millimetres of a size in typographic points (1 pt = 25.4/72 mm)."""
    return size * POINT


def wrap(words: str, size: float, room: float, face: Face = "text", bold: bool = False) -> tuple[str, ...]:
    """``words`` broken at spaces into lines not wider than ``room``; a single long word stays whole."""
    lines: list[str] = []
    for word in words.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size, face, bold) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)
