"""Section curves made up for tests of the stall: a straight rise, a rounded top, a fall of chosen steepness."""

from __future__ import annotations

import numpy as np

from planewright.analysis.air.condensed import condense
from planewright.analysis.air.curves import ANGLES, Curve, Sampled, sample
from planewright.analysis.air.forms import Reference, solve
from planewright.analysis.air.sheets import Sheet, trapezoid
from planewright.analysis.air.stall import Setting, Sweep, sweep

GENTLE, MIDDLE, SHARP = 5.0, 14.0, 38.0


def _soft(x: np.ndarray, width: float) -> np.ndarray:
    return np.asarray(width * np.logaddexp(0, x / width))


def rounded(
    fall: float = MIDDLE, *, depth: float = 0.4, slope: float = 5.9, zero: float = -2.0, knee: float = 10.0
) -> Curve:
    """Rises with ``slope`` (per rad), falls with ``fall`` from about ``knee`` (deg) by ``depth``, then rises slowly;
    the same upside down."""
    angle = np.deg2rad(np.arange(-30, 30.01, 0.25))
    start, bend = np.deg2rad(zero), np.deg2rad(knee - zero)

    def side(x: np.ndarray) -> np.ndarray:
        lift = slope * np.sin(x) - (slope + fall) * _soft(x - bend, np.deg2rad(1.0))
        floor = slope * np.sin(bend) - depth + 0.4 * (x - bend)
        return np.where(x > bend, floor + _soft(lift - floor, 0.05), lift)

    lift = np.where(angle > start, side(angle - start), -side(start - angle))
    return Curve(angle, lift, 0.01 + 0 * angle, -0.05 + 0 * angle, (float(angle[0]), float(angle[-1])))


def straight() -> Curve:
    """2 pi sin(a) all the way: attached flow without end."""
    return Curve(
        ANGLES, 2 * np.pi * np.sin(ANGLES), 0 * ANGLES, 0 * ANGLES, (float(ANGLES[0]), float(ANGLES[-1]))
    )


def prepared(curve: Curve, angle: float) -> float:
    """Lift of a curve as it is used (its fall limited), at one angle, rad."""
    one: Sampled = sample([curve])
    return float(one.lift(np.array([angle]))[0])


def alone(sheet: Sheet, curve: Curve, *, half: bool = True, length: float = 0.35) -> Setting:
    """A wing alone with one section all along."""
    made = condense(solve([sheet]), half, length)
    reference = Reference(
        sheet.area, 2 * float(sheet.leading[-1, 1]), sheet.area / 2 / float(sheet.leading[-1, 1])
    )
    return Setting(made, sample([curve] * made.chord.size), reference, 0.0)


def tapered(tip: float = 1.0, strips: int = 12, half_span: float = 4.0, **more: float) -> Sheet:
    """A wing of mean chord 1, straight quarter-chord line."""
    root = 2 / (1 + tip)
    return trapezoid("wing", half_span, root, root * tip, strips=strips, **more)  # type: ignore[arg-type]


def run(setting: Setting, low: float, high: float, step: float = 0.5) -> Sweep:
    """A sweep between two angles, deg."""
    way = step if high > low else -step
    return sweep(setting, np.deg2rad(np.arange(low, high + way / 2, way)))
