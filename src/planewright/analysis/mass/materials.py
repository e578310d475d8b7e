"""Mass per area and per length of what is in the stock, with the factors that carry its doubt.

A stock that was weighed on delivery gives its own value. What was not takes a nominal value: foam board 400 g/m2
and pine 450 kg/m3 (the medians of the prior table), tape 2.0 g/m, cardboard 480 g/m2 and plywood 650 kg/m3
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planewright.analysis.mass.items import GLUE_TAPE, Factors
from planewright.plane.model import Plane, Stock

BOARD_AREAL_MASS = 0.400
CARD_AREAL_MASS = 0.480
PLYWOOD_DENSITY = 650.0
STICK_DENSITY = 450.0
STICK_SECTION = (0.005, 0.010)
TAPE_LINE_MASS = 0.0020
SHEET_THICKNESS = {"foam board": 0.005, "cardboard": 0.003, "plywood": 0.003}
GLUE_ALLOWANCE = 0.12
"""Glue as a part of the mass of the board it joins: common practice, no source."""

SHEETS = ("foam board", "cardboard", "plywood")
GLUES = ("hot melt", "polyurethane", "white glue")


@dataclass(frozen=True)
class Sheet:
    """``areal_mass`` kg/m2, ``thickness`` m and the factors on its mass."""

    areal_mass: float
    thickness: float
    factors: Factors


@dataclass(frozen=True)
class Stick:
    """``line_mass`` kg/m, cross-section ``width`` (thin side) and ``height`` m, and the factors on its mass."""

    line_mass: float
    width: float
    height: float
    factors: Factors


def _pick(plane: Plane, name: str | None, fits: Callable[[Stock], bool]) -> Stock | None:
    """The stock of that name if it fits, else the first that does."""
    named = plane.stock.get(name or "")
    if named is not None and fits(named):
        return named
    return next((one for one in plane.stock.values() if fits(one)), None)


def sheet(plane: Plane, name: str | None) -> Sheet:
    """The sheet of that name; without one, the first foam board, else the first sheet, else foam board of 400 g/m2."""
    stock = _pick(plane, name, lambda one: one.name == name and one.kind in SHEETS)
    stock = stock or _pick(plane, None, lambda one: one.kind == "foam board")
    stock = stock or _pick(plane, None, lambda one: one.kind in SHEETS)
    if stock is None:
        return Sheet(BOARD_AREAL_MASS, SHEET_THICKNESS["foam board"], (("board.areal_mass", ""),))
    thickness = stock.thickness or SHEET_THICKNESS[stock.kind]
    nominal = {
        "foam board": BOARD_AREAL_MASS,
        "cardboard": CARD_AREAL_MASS,
        "plywood": PLYWOOD_DENSITY * thickness,
    }
    return Sheet(stock.areal_mass or nominal[stock.kind], thickness, (("board.areal_mass", stock.name),))


def stick(plane: Plane, name: str | None) -> Stick:
    """The stick of that name; without one, the first pine stick, else pine of 5 x 10 mm at 450 kg/m3."""
    stock = _pick(plane, name, lambda one: one.kind == "pine stick")
    if stock is None:
        width, height = STICK_SECTION
        return Stick(STICK_DENSITY * width * height, width, height, (("stick.density", ""),))
    width, height = sorted(stock.section or STICK_SECTION)
    density = stock.density or STICK_DENSITY
    return Stick(density * width * height, width, height, (("stick.density", stock.name),))


def tape(plane: Plane) -> tuple[float, Factors]:
    """Mass of tape per metre of seam, kg/m, with its factors (the allowance's own doubt among them)."""
    stock = _pick(plane, None, lambda one: one.kind == "packing tape")
    if stock is None:
        return TAPE_LINE_MASS, (("tape.line_mass", ""), GLUE_TAPE)
    return stock.line_mass or TAPE_LINE_MASS, (("tape.line_mass", stock.name), GLUE_TAPE)


def glue_share(plane: Plane) -> float:
    """Glue as a part of the board's mass."""
    stock = _pick(plane, None, lambda one: one.kind in GLUES and one.allowance is not None)
    return GLUE_ALLOWANCE if stock is None or stock.allowance is None else stock.allowance
