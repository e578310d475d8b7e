"""Showing a figure in the units a family uses."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

System = Literal["metric", "imperial"]
THIN = "\u202f"
MINUS = "\u2212"


@dataclass(frozen=True)
class _Shown:
    """A display unit: SI divided by ``factor`` (after taking away ``offset``); ``below`` its largest value, SI."""

    symbol: str
    factor: float
    decimals: int
    below: float = math.inf
    offset: float = 0.0


_DEG = math.pi / 180
_LB, _OZ, _IN, _FT = 0.45359237, 0.45359237 / 16, 0.0254, 0.3048
_G = 9.80665
_BOTH: dict[str, tuple[_Shown, ...]] = {
    "rad": (_Shown("°", _DEG, 1),),
    "rad/s": (_Shown("°/s", _DEG, 0, 12.0), _Shown("rpm", 2 * math.pi / 60, 0)),
    "rad/s/V": (_Shown("rpm/V", 2 * math.pi / 60, 0),),
    "1/rad": (_Shown("per deg", 1 / _DEG, 3),),
    "s": (_Shown("s", 1.0, 1, 90.0), _Shown("min", 60.0, 1, 7200.0), _Shown("h", 3600.0, 1)),
    "A s": (_Shown("mAh", 3.6, 0),),
    "V": (_Shown("V", 1.0, 1),),
    "A": (_Shown("A", 1.0, 1),),
    "W": (_Shown("W", 1.0, 0),),
    "ohm": (_Shown("mohm", 0.001, 0, 1.0), _Shown("ohm", 1.0, 1)),
    "1": (_Shown("", 1.0, 2),),
    "%": (_Shown("%", 0.01, 1),),
    "J": (_Shown("J", 1.0, 0),),
}
_METRIC: dict[str, tuple[_Shown, ...]] = _BOTH | {
    "m": (_Shown("mm", 0.001, 0, 2.0), _Shown("m", 1.0, 1)),
    "kg": (_Shown("g", 0.001, 0, 2.0), _Shown("kg", 1.0, 2)),
    "m/s": (_Shown("m/s", 1.0, 1),),
    "N": (_Shown("N", 1.0, 1),),
    "N m": (_Shown("N m", 1.0, 2),),
    "m2": (_Shown("m²", 1.0, 3),),
    "m3": (_Shown("m³", 1.0, 4),),
    "kg/m2": (_Shown("g/m²", 0.001, 0, 2.0), _Shown("kg/m²", 1.0, 2)),
    "kg/m": (_Shown("g/m", 0.001, 1),),
    "kg/m3": (_Shown("kg/m³", 1.0, 0, math.inf),),
    "kg m2": (_Shown("kg m²", 1.0, 3),),
    "Pa": (_Shown("Pa", 1.0, 0, 1000.0), _Shown("hPa", 100.0, 0, 2e5), _Shown("MPa", 1e6, 2)),
    "K": (_Shown("°C", 1.0, 0, math.inf, 273.15),),
    "kg/s": (_Shown("g/s", 0.001, 0),),
}
_IMPERIAL: dict[str, tuple[_Shown, ...]] = _BOTH | {
    "m": (_Shown("in", _IN, 1, 2.0), _Shown("ft", _FT, 1)),
    "kg": (_Shown("oz", _OZ, 2, _LB), _Shown("lb", _LB, 2)),
    "m/s": (_Shown("mph", 0.44704, 1),),
    "N": (_Shown("ozf", _OZ * _G, 1, _LB * _G), _Shown("lbf", _LB * _G, 2)),
    "N m": (_Shown("in lb", _LB * _G * _IN, 1),),
    "m2": (_Shown("in²", _IN**2, 0),),
    "m3": (_Shown("in³", _IN**3, 0),),
    "kg/m2": (_Shown("oz/ft²", _OZ / _FT**2, 1),),
    "kg/m": (_Shown("oz/yd", _OZ / 0.9144, 2),),
    "kg/m3": (_Shown("lb/ft³", _LB / _FT**3, 2),),
    "kg m2": (_Shown("lb ft²", _LB * _FT**2, 2),),
    "Pa": (_Shown("psi", _LB * _G / _IN**2, 2),),
    "K": (_Shown("°F", 5 / 9, 0, math.inf, 273.15 - 160 / 9),),
    "kg/s": (_Shown("oz/s", _OZ, 1),),
}


def _choose(largest: float, unit: str, system: System) -> _Shown:
    table = _IMPERIAL if system == "imperial" else _METRIC
    choices = table.get(unit, (_Shown(unit, 1.0, 3),))
    return next((one for one in choices if largest < one.below), choices[-1])


def _digits(value: float, decimals: int) -> str:
    """Fixed decimals (negative: rounded to tens), true minus, thin spaces from five digits on."""
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    sign, text = (MINUS, text[1:]) if text.startswith("-") else ("", text)
    whole, _, part = text.partition(".")
    if not float(text):
        sign = ""
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", THIN)
    return sign + (f"{whole}.{part}" if part else whole)


def _with_unit(number: str, symbol: str) -> str:
    if symbol == "°" or not symbol:
        return number + symbol
    return f"{number}{THIN}{symbol}"


def show(value: float, unit: str, system: System = "metric", decimals: int | None = None) -> str:
    """A figure as a family reads it.

    Arguments:
        value: in SI. Not finite is shown as a dash.
        unit: SI unit as a Figure carries it: "m", "kg", "m/s", "N", "rad", "s", "m2", "kg/m2", "1" ...;
            "%" for a fraction that is to be shown as a percentage. An unknown unit is shown as it is.
        system: "metric" (g, kg, mm, m, m/s, N, degrees, min) or "imperial".
        decimals: places of the number shown in the unit shown; None for the habit of that unit.

    Returns:
        Such as ``"335\\u202fmm"``, ``"2.0°"``, ``"\\u22124\\u202fmm"``.
    """
    if not math.isfinite(value):
        return "–"
    chosen = _choose(abs(value), unit, system)
    places = chosen.decimals if decimals is None else decimals
    return _with_unit(_digits((value - chosen.offset) / chosen.factor, places), chosen.symbol)


def show_range(
    low: float, high: float, unit: str, system: System = "metric", decimals: int | None = None
) -> str:
    """A band as "8.2 to 9.1 m/s": both ends in the unit that fits the larger, the unit once."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return "–"
    chosen = _choose(max(abs(low), abs(high)), unit, system)
    places = chosen.decimals if decimals is None else decimals
    ends = [_digits((end - chosen.offset) / chosen.factor, places) for end in (low, high)]
    if chosen.symbol == "°":
        return f"{ends[0]}° to {ends[1]}°"
    return f"{ends[0]} to {_with_unit(ends[1], chosen.symbol)}"


def shown_unit(value: float, unit: str, system: System = "metric") -> tuple[str, float]:
    """The symbol ``show`` would use for this value, and the SI value of one of it."""
    chosen = _choose(abs(value), unit, system)
    return chosen.symbol, chosen.factor
