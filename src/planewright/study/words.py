"""Figures, bands and doubts as words: the same on terminal, page and paper."""

from __future__ import annotations

import math

from planewright.findings.model import Finding
from planewright.study.model import Figure, Shares
from planewright.units.showing import System, show, show_range, shown_unit

PERCENT = frozenset(
    {
        "static_margin",
        "static_margin_slide_aft",
        "climb_gradient",
        "climb_gradient_tired",
        "nose_load",
        "nose_load_power",
        "stick_free_margin",
        "cg_fore_spare",
        "elevator_left_stall",
        "first_flight_charge",
    }
)
MOST, NEARLY_ALL, SMALL = 0.6, 0.9, 0.1


def unit_for(name: str, unit: str) -> str:
    """Unit in which a figure is shown: its own, or per cent for fractions that people speak of so."""
    return "%" if name in PERCENT and unit == "1" else unit


def places(figure: Figure, unit: str, system: System, largest: float) -> int | None:
    """Decimals in the unit that ``largest`` is shown in, so that the last digit stands at the first significant
    figure of the standard uncertainty; None (the habit of the unit) for a number without a band."""
    if figure.low is None or figure.high is None or figure.high <= figure.low:
        return None
    _, factor = shown_unit(largest, unit, system)
    spread = (figure.high - figure.low) / (2 * 1.959964) / factor
    return -math.floor(math.log10(spread) + 1e-9) if spread > 0 else None


def value_text(name: str, figure: Figure, system: System) -> str:
    """The middle with its unit."""
    unit = unit_for(name, figure.unit)
    decimals = places(figure, unit, system, abs(figure.value))
    if decimals is None and unit == "1" and abs(figure.value) < SMALL:
        decimals = 3
    return show(figure.value, unit, system, decimals)


def band_text(name: str, figure: Figure, system: System) -> str:
    """The outer 95 % interval, "8.2 to 9.1 m/s"; "as drawn" for a drawn number."""
    if figure.low is None or figure.high is None:
        return "as drawn"
    unit = unit_for(name, figure.unit)
    largest = max(abs(figure.low), abs(figure.high))
    return show_range(figure.low, figure.high, unit, system, places(figure, unit, system, largest))


def doubt_words(shares: Shares) -> str:
    """Where the doubt comes from: "nearly all measured" from nine tenths of the variance, "mostly assumed" from six
    tenths, else the two largest kinds."""
    rows = [(shares.assumed, "assumed"), (shares.published, "published"), (shares.measured, "measured")]
    (largest, first), (_, second), _ = sorted(rows, key=lambda row: -row[0])
    if largest >= NEARLY_ALL:
        return f"nearly all {first}"
    return f"mostly {first}" if largest >= MOST else f"part {first}, part {second}"


def known_words(figure: Figure) -> str:
    """How a figure is known, in a few words."""
    if figure.shares is None or figure.low is None or figure.high is None:
        return "drawn"
    if figure.high <= figure.low:
        return "worked out, no band"
    return doubt_words(figure.shares)


def against_limit(finding: Finding, system: System) -> str:
    """Value of a finding against its limit in words; its evidence when it has no number."""
    if finding.value is None or finding.limit is None:
        return finding.evidence
    unit = unit_for(finding.figure, finding.unit)
    return f"{show(finding.value, unit, system)}, {finding.side} {show(finding.limit, unit, system)}"
