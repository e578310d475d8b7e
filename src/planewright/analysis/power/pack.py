"""Lithium-polymer pack: open-circuit voltage by charge left, resistance, charge that can be used.

The voltage table is from memory (rests of many published discharge curves), a first form; a discharge trial
replaces it. Packs in parallel share one voltage: their resistances divide. Cold and age raise the resistance, cold
takes some charge: it costs thrust, hardly minutes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from scipy.interpolate import PchipInterpolator

from planewright.analysis.model import States
from planewright.errors import OutOfRange
from planewright.plane.model import Battery

Array = npt.NDArray[np.float64]
Number = Array | float

CHARGE = (0.0, 0.05, 0.10, 0.15, 0.30, 0.50, 0.70, 0.85, 1.0)
CELL_VOLTS = (3.30, 3.50, 3.62, 3.69, 3.76, 3.82, 3.92, 4.03, 4.18)
OHM_AMPERE_HOURS = 0.016
"""Resistance of a cell times its ampere hours where none is printed on the pack. Judgement."""


@dataclass(frozen=True)
class Pack:
    """One flight pack, or several alike in parallel, from its description.

    ``celsius``: temperature of the cells (-10 to 60); ``age``: factor on resistance, 1 new to 2 worn (judgement).
    """

    battery: Battery
    celsius: float = 25.0
    age: float = 1.0

    def __post_init__(self) -> None:
        for what, value, low, high in (
            ("temperature of the pack in C", self.celsius, -10.0, 60.0),
            ("age of the pack (factor on its resistance)", self.age, 1.0, 3.0),
        ):
            if not low <= value <= high:
                raise OutOfRange(what, value, low, high)

    @property
    def cold(self) -> float:
        """Factor on resistance by temperature: exp(0.03 (25 - T)), 2.1 at 0 C (from memory, sd 0.15)."""
        return float(np.exp(0.03 * (25.0 - self.celsius)))

    @property
    def usable(self) -> float:
        """Factor on usable charge by temperature: 1 at 25 C and above, 0.90 at 0 C, straight between (judgement)."""
        return 1.0 - 0.10 * max(25.0 - self.celsius, 0.0) / 25.0

    @cached_property
    def _cell(self) -> PchipInterpolator:
        return PchipInterpolator(CHARGE, CELL_VOLTS)

    @property
    def most_volts(self) -> float:
        """Open-circuit voltage when full, V."""
        return self.battery.cells * CELL_VOLTS[-1]

    @property
    def printed_resistance(self) -> float:
        """Resistance, ohm, of the whole pack as printed (or by rule where it is not): packs in parallel divide."""
        one = self.battery.resistance
        if one is None:
            one = self.battery.cells * OHM_AMPERE_HOURS / (self.battery.charge / 3600.0)
        return one / self.battery.count

    def open_volts(self, charge: Number) -> Array:
        """Open-circuit voltage, V, at ``charge`` left (0 empty to 1 full), shape of ``charge``."""
        left = np.asarray(charge, dtype=np.float64)
        if np.any((left < 0.0) | (left > 1.0)):
            raise OutOfRange("charge left", float(np.abs(left - 0.5).max() + 0.5), 0.0, 1.0)
        return np.asarray(self.battery.cells * self._cell(left), dtype=np.float64)

    def resistance(self, states: States) -> Array:
        """Resistance under a steady load, ohm, shape (N,): printed value times ``pack.R``."""
        known = states.factor("pack.R", self.battery.serial)
        return self.printed_resistance * self.cold * self.age * known

    def charge(self, states: States) -> Array:
        """Charge that can be used, A s, shape (N,): printed value of all packs times ``pack.Q``."""
        known = states.factor("pack.Q", self.battery.serial)
        return self.battery.charge * self.battery.count * self.usable * known


@dataclass(frozen=True)
class Sharing:
    """Packs in parallel: ``share`` of the current each carries (n,), adds up to 1; ``findings`` in sentences."""

    share: tuple[float, ...]
    findings: tuple[str, ...]


def sharing(resistances: Sequence[float], resting_volts: Sequence[float], cells: int) -> Sharing:
    """How packs in parallel share: by 1/R. A finding when resistances differ by more than 15 % or resting voltages
    by more than 0.02 V a cell before they are joined (common practice, no source)."""
    ohms = np.asarray(resistances, dtype=np.float64)
    if len(ohms) < 2 or len(ohms) != len(resting_volts) or np.any(ohms <= 0.0):
        raise OutOfRange(
            "packs in parallel with a resistance and a voltage each", float(len(ohms)), 2.0, np.inf
        )
    found = []
    if ohms.max() / ohms.min() > 1.15:
        found.append(
            "Their resistances differ by more than 15 %: the better pack carries more. Pair like with like."
        )
    if np.ptp(resting_volts) > 0.02 * cells:
        found.append(
            "Do not join them: resting voltages differ by more than 0.02 V a cell. Charge both first."
        )
    share = 1.0 / ohms / np.sum(1.0 / ohms)
    return Sharing(tuple(float(one) for one in share), tuple(found))
