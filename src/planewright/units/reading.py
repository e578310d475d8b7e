"""Reading one quantity: a number (or several of falling units) with its unit, into SI."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise

from planewright.errors import Fault, InputError
from planewright.units.symbols import DIMENSIONS, EXAMPLES, UNITS, Dimension, Unit, noun

LONGEST = 60
"""Longest text of one quantity that is looked at."""

_SWAP = str.maketrans(
    {
        "−": "-", "–": "-", "‐": "-", "‑": "-", "µ": "μ", "Ω": "Ω", "×": "x", "’": "'", "”": '"', "“": '"',
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⁄": "/", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    }
)  # fmt: skip
_POWER = re.compile(r"(?<=[A-Za-z])[²³]")
_DEGREE = re.compile(r"°\s*(?=[CFK]\b)")
_NUMBER = re.compile(r"(?:([0-9]+)\s+)?([0-9]+)\s*/\s*([0-9]+)|([0-9]+(?:\.[0-9]*)?|\.[0-9]+)")
_SPACED = re.compile(r"\s[0-9.]")
_POWERS = re.compile(r"(?<=[a-z])[23](?![0-9.A-Za-z])")
_COMMA = re.compile(r"([0-9]+),([0-9]+)")
_TWO = re.compile(r"[0-9][^0-9]*(?:\bx\b|\bto\b|(?<=[0-9\s])x(?=[0-9\s]))\s*[-+]?[0-9.]", re.IGNORECASE)


@dataclass(frozen=True)
class Term:
    """One number with its unit inside a quantity."""

    number: Fraction
    unit: Unit


def misread(read: str, expected: str, advice: str) -> InputError:
    """The typed error for a text that is not what was asked; file, line and path are the caller's to fill in."""
    return InputError([Fault("", 0, "", read, expected, advice)])


def tidy(text: str) -> str:
    """The text with typographic signs replaced by the plain ones and spaces made single."""
    text = _POWER.sub(lambda hit: "2" if hit[0] == "²" else "3", text.translate(_SWAP))
    return " ".join(_DEGREE.sub("deg", text).split())


def quoted(text: str, limit: int = 40) -> str:
    """The text in quotation marks, cut short and with control characters made visible."""
    short = text if len(text) <= limit else text[: limit - 3] + "..."
    return '"' + "".join(c if c.isprintable() else "?" for c in short) + '"'


def _key(spelling: str) -> str:
    return re.sub(r"[\s·*]", "", spelling).replace("μ", "u")


@cache
def _spellings() -> dict[str, Unit]:
    found: dict[str, Unit] = {}
    for unit in UNITS:
        for spelling in (unit.symbol, *unit.spellings):
            found.setdefault(_key(spelling), unit)
    return found


@cache
def _folded() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for key in _spellings():
        found[key.casefold()] = (*found.get(key.casefold(), ()), key)
    return found


def unit_of(text: str) -> Unit | None:
    """The unit a text names, or None. Capitals are forgiven where only one unit can be meant."""
    key = _key(text)
    exact = _spellings().get(key)
    if exact is not None or not key:
        return exact
    found = _folded().get(key.casefold(), ())
    if len(found) != 1:
        return None
    milli_or_mega = {key[0], found[0][0]} == {"m", "M"}
    return None if milli_or_mega and not key.isupper() else _spellings()[found[0]]


def plain(number: Fraction, digits: int = 4) -> str:
    """A number as a person writes it, to at most ``digits`` figures."""
    value = float(f"{float(number):.{digits}g}")
    return f"{value:.10f}".rstrip("0").rstrip(".") if abs(value) < 1e15 else f"{value:g}"


_TINY = {"m": Fraction(5), "kg": Fraction(8), "min": Fraction(5), "Ah": Fraction(40)}


def suggest(number: Fraction, dimension: Dimension) -> str:
    """Advice for a bare number: the text with the likely unit, and the same in two others."""
    symbols = EXAMPLES[dimension]
    if number < 0 and dimension not in ("angle", "length", "temperature"):
        number = -number
    size = abs(number)
    likely = next((s for s in symbols if s in _TINY and 0 < size < _TINY[s]), symbols[0])
    unit = _spellings()[_key(likely)]
    first = f'"{plain(number, 8)} {likely}"'
    if unit.turns or unit.offset or unit.symbol == "rad" or size > 10**12:
        return f"Write {first}."
    others = [_spellings()[_key(s)] for s in symbols if s != likely]
    same = [
        f'"{plain(number * unit.factor / other.factor, 3)} {other.symbol}"'
        for other in others
        if not other.offset and not other.turns
    ]
    return f"Write {first}" + (f" (or {', or '.join(same)})." if same else ".")


def _expected(dimension: Dimension, what: str) -> str:
    if not what:
        return f"{noun(dimension).capitalize()} is wanted."
    article = "An" if what[0] in "aeio" else "A"
    return f"{article} {what} is {noun(dimension)}."


def _example(dimension: Dimension) -> str:
    first = EXAMPLES[dimension][0]
    number = {"length": "360", "mass": "147", "charge": "4000", "resistance": "80", "pressure": "1013"}.get(
        dimension, "12"
    )
    return f'Write a number and its unit, such as "{number} {first}".'


def _known(dimension: Dimension) -> str:
    names = ", ".join(unit.symbol for unit in DIMENSIONS[dimension])
    return f"Units that are read here: {names}."


def _comma(text: str, hit: re.Match[str], expected: str) -> InputError:
    point = text[: hit.start()] + f"{hit[1]}.{hit[2]}" + text[hit.end() :]
    advice = f'Write "{point}".'
    if len(hit[2]) == 3 and "." not in text:
        whole = text[: hit.start()] + hit[1] + hit[2] + text[hit.end() :]
        advice = f'Write "{point}", or "{whole}" if the comma parts the thousands.'
    return misread(
        f"reads {quoted(text)}, with a comma in the number.", expected, f"A decimal point is wanted. {advice}"
    )


def _number(hit: re.Match[str], text: str, expected: str) -> Fraction:
    whole, top, bottom, decimal = hit.groups()
    if decimal is not None:
        return Fraction(decimal if decimal[-1] != "." else decimal[:-1])
    if int(bottom) == 0:
        raise misread(f"reads {quoted(text)}, which divides by nought.", expected, "Write the number again.")
    return Fraction(int(whole or 0)) + Fraction(int(top), int(bottom))


def _unit_text(text: str, start: int) -> int:
    """Where the unit that begins at ``start`` ends: before the next number, or at the end of the text."""
    rest = text[start:]
    ends = [hit.start() for hit in re.finditer(r"[0-9.]+", rest)] + [
        hit.end() for hit in _POWERS.finditer(rest)
    ]
    ends = sorted({*(end for end in ends if end > 0), len(rest)})
    for end in reversed(ends):
        if not _SPACED.search(rest[:end]) and unit_of(rest[:end]) is not None:
            return start + end
    return start + ends[0]


def _terms(text: str, dimension: Dimension, expected: str) -> list[Term]:
    found: list[Term] = []
    at = 0
    while at < len(text):
        hit = _NUMBER.match(text, at)
        if hit is None:
            raise misread(
                f"reads {quoted(text)}, which is not a number with a unit.", expected, _example(dimension)
            )
        number = _number(hit, text, expected)
        end = _unit_text(text, hit.end())
        name = text[hit.end() : end].strip()
        found.append(Term(number, _unit(name, number, text, dimension, expected)))
        at = end
        while at < len(text) and text[at] == " ":
            at += 1
    return found


def _unit(name: str, number: Fraction, text: str, dimension: Dimension, expected: str) -> Unit:
    if not name:
        raise misread(f"reads {quoted(text)}, which has no unit.", expected, suggest(number, dimension))
    unit = unit_of(name)
    if unit is None:
        raise misread(
            f'reads {quoted(text)}; "{name[:20]}" is not a unit that is read here.',
            expected,
            _known(dimension),
        )
    if unit.dimension != dimension:
        same = _force_of(unit, dimension)
        advice = f'Did you mean "{plain(number, 8)} {same}"?' if same else _known(dimension)
        raise misread(
            f'reads {quoted(text)}; "{unit.symbol}" measures {noun(unit.dimension)}.', expected, advice
        )
    return unit


def _force_of(unit: Unit, dimension: Dimension) -> str:
    if dimension == "force" and unit.symbol in ("g", "kg", "oz", "lb"):
        return unit.symbol + "f"
    if dimension == "mass" and unit.symbol in ("gf", "kgf", "ozf", "lbf"):
        return unit.symbol[:-1]
    return ""


def _joined(terms: list[Term], text: str, expected: str) -> float:
    if len(terms) == 1:
        return terms[0].unit.to_si(terms[0].number)
    falling = all(a.unit.factor > b.unit.factor for a, b in pairwise(terms))
    if not falling or any(term.unit.offset for term in terms):
        raise misread(
            f"reads {quoted(text)}, which is more than one figure.",
            expected,
            'One figure is meant here. Two units of one figure run from the larger to the smaller: "5 lb 4 oz".',
        )
    total = sum((term.number * term.unit.factor for term in terms), Fraction(0))
    unit = terms[0].unit
    return Unit("", unit.dimension, Fraction(1), turns=unit.turns).to_si(total)


def read(text: str, dimension: Dimension, what: str = "") -> float:
    """Read one quantity as people write it.

    Arguments:
        text: such as ``"1.2 m"``, ``"5 lb 4 oz"``, ``"6 1/2 in"``, ``"-2 deg"``; at most 60 characters.
            A plain ``"0"`` needs no unit (but a temperature does).
        dimension: what it must measure.
        what: the word for it in advice ("chord"); may be empty.

    Returns:
        The value in SI (angles rad, charge A s, speed constant rad/s per V, fractions of 1), finite.

    Raises:
        InputError: with one fault whose file, line and path are empty, for the caller to fill in.
    """
    expected = _expected(dimension, what)
    if len(text) > LONGEST:
        raise misread(
            f"reads {quoted(text)}, which is too long for one quantity.", expected, _example(dimension)
        )
    clean = tidy(text)
    sign, body = (-1, clean[1:].strip()) if clean[:1] == "-" else (1, clean.removeprefix("+").strip())
    if re.fullmatch(r"0+(?:\.0*)?", body) and dimension != "temperature":
        return 0.0
    if comma := _COMMA.search(body):
        raise _comma(clean, comma, expected)
    if _TWO.search(body):
        raise misread(f"reads {quoted(text)}, which is two figures.", expected, "One figure is meant here.")
    terms = _terms(body, dimension, expected)
    if not terms:
        raise misread(f"reads {quoted(text)}, which is empty.", expected, _example(dimension))
    if sign < 0:
        terms = [Term(-term.number, term.unit) for term in terms]
    return _finite(_joined(terms, clean, expected), text, expected)


def _finite(value: float, text: str, expected: str) -> float:
    if abs(value) > 1e12:
        raise misread(
            f"reads {quoted(text)}, which is beyond anything built.", expected, "Write the number again."
        )
    return value
