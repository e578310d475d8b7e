"""The flight-day card: at most twelve lines, each with a word, a sentence and a blank where a reading is asked."""

from __future__ import annotations

import math
from typing import Any

from planewright.documents.content import named
from planewright.site.model import Site
from planewright.study.model import Document
from planewright.units.showing import System, show

STOP_STEP = 0.005
"""The aft limit of the battery is rounded forward to this, m."""


def line(word: str, says: str, unit: str = "") -> dict[str, str]:
    """One line of the card."""
    return {"word": word, "says": says, "unit": unit}


def balance_words(document: Document, system: System) -> str:
    """Where the battery belongs, and between which places the balance may lie."""
    figures = document.figures
    cg = figures.get("cg_x")
    if cg is None:
        return "At its mark, strapped."
    words = f"At its mark, strapped. Balance {named(figures, 'cg_x', system)} behind the nose."
    if "battery_window_aft" in figures:
        place = math.floor(figures["battery_window_aft"].value / STOP_STEP + 1e-9) * STOP_STEP
        words += f" Battery never aft of {show(place, 'm', system)}."
    return words


def pattern_words(document: Document, site: Site | None, system: System) -> str:
    """Height, bank and the line never crossed."""
    bank = (
        document.figures["turn_radius"].condition.get("bank") if "turn_radius" in document.figures else None
    )
    lean = f"bank under {show(float(bank), 'rad', system, 0)}" if isinstance(bank, float) else "shallow turns"
    if site is None or site.pattern is None:
        return f"{lean[:1].upper()}{lean[1:]}, never over people."
    height = show(site.pattern.height, "m", system, 0)
    return f"{height} high, {lean}, never past the line of people."


def lines(document: Document, site: Site | None, time: float | None, system: System) -> list[dict[str, str]]:
    """The twelve lines of the card, numbers from the study."""
    figures = document.figures
    unit = "mph" if system == "imperial" else "m/s"
    minutes = show(time, "s", system) if time is not None else "______"
    figure = "Eight" if site and site.pattern and site.pattern.kind == "eight" else "Figure"
    return [
        line(
            "Wind",
            f"Gusts under {named(figures, 'wind_limit', system)}, across under "
            f"{named(figures, 'wind_limit_cross', system)}.",
            unit,
        ),
        line("Battery", balance_words(document, system), "in" if system == "imperial" else "mm"),
        line("Plug", "Arming plug out until line 6."),
        line("Surfaces", "Left, right, up, down: one calls, one stands behind."),
        line("Radio", "Reach check, motors off, then half."),
        line("People", "All behind the line. Safety says GO. Plug in."),
        line("Cone A", f"Straight, and {named(figures, 'cone_speed', system)}, or CUT."),
        line("Cone B", "Off the ground, or CUT."),
        line("Climb", "No turn below 15 m. Wrong pitch or roll: land ahead."),
        line(figure, pattern_words(document, site, system)),
        line(
            "Timer",
            f"{minutes}, then land. Approach at {named(figures, 'approach_speed', system)}, not slower.",
            "min",
        ),
        line("Down", "One helper alone walks out. Plug out first."),
    ]


def validity(document: Document, system: System) -> str:
    """The letter, weights, field and limits for which the card holds."""
    verdict = document.verdict
    if verdict is None or verdict.mass_range is None:
        return "Valid for no flight."
    low, high = (show(one, "kg", system) for one in verdict.mass_range)
    where = verdict.field or "no field described"
    return f"Valid only for letter {verdict.configuration}, {low} to {high}, {where}. {verdict.today}".strip()


def flight_card(document: Document, site: Site | None, time: float | None, system: System) -> dict[str, Any]:
    """The whole card. NOT FOR FLIGHT lies across it unless the pilot decides."""
    decided = document.verdict is not None and document.verdict.id == "pilot_decides"
    return {
        "not-for-flight": not decided,
        "lines": lines(document, site, time, system),
        "valid": validity(document, system),
    }
