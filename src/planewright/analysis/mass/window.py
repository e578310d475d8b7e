"""Where the battery may stand: limits of the static margin turned into places of the battery."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.mass.model import MassModel
from planewright.analysis.model import States

Array = npt.NDArray[np.float64]

STOP_STEP = 0.005
"""A stop is set at whole steps of this, m, so that it can be measured with a rule."""


@dataclass(frozen=True)
class BatteryWindow:
    """Where the battery's middle may stand.

    ``aft``: (N,) m, where the static margin falls to the least wanted; ``fore``: (N,) m, where it reaches the
    greatest wanted. ``slide``: (front, rear) m that the tray allows, None when not written; ``margin_front`` and
    ``margin_rear``: (N,) static margin at those ends (at the drawn place without a slide). ``stop``: m, where a
    fixed stop belongs because the tray lets the battery go too far aft; None when it does not, or without a slide.
    """

    aft: Array
    fore: Array
    slide: tuple[float, float] | None
    margin_front: Array
    margin_rear: Array
    stop: float | None


def static_margin(cg_x: Array, neutral_point_x: Array, chord: float) -> Array:
    """Static margin as a part of the mean chord: (neutral point - centre of gravity) / chord, (N,)."""
    return np.asarray((neutral_point_x - cg_x) / chord)


def battery_window(
    model: MassModel, states: States, neutral_point_x: Array, least: float = 0.10, most: float = 0.20
) -> BatteryWindow | None:
    """Solve the battery's place for limits of the static margin.

    Arguments:
        model: the mass model, with a battery and a reference wing.
        states: knowledge of N draws.
        neutral_point_x: (N,) m behind the nose tip.
        least, most: static margins wanted, parts of the mean chord.
    Returns:
        BatteryWindow, or None without a battery or a wing. The centre of gravity is linear in the battery's place,
        so no search is needed. The stop is the median aft limit, rounded forward to whole 5 mm.
    """
    pack, wing = model.geometry.plane.battery, model.geometry.wing
    if pack is None or wing is None:
        return None
    cg, effect, chord = model.evaluate(states).cg[0], model.battery_effect(states), wing.mean_chord

    def place(margin: float) -> Array:
        return np.asarray(pack.x + (neutral_point_x - margin * chord - cg) / effect)

    def margin(x: float) -> Array:
        return static_margin(cg + effect * (x - pack.x), neutral_point_x, chord)

    front, rear = pack.slide or (pack.x, pack.x)
    aft = place(least)
    limit = float(np.floor(np.median(aft) / STOP_STEP + 1e-9) * STOP_STEP)
    stop = limit if pack.slide is not None and front <= limit < rear else None
    return BatteryWindow(aft, place(most), pack.slide, margin(front), margin(rear), stop)
