"""Lithium-polymer pack: open-circuit voltage by charge left, resistance, charge that can be used.

The voltage table is from memory (rests of many published discharge curves), a first form; a discharge trial
replaces it. Packs in parallel share one voltage: their resistances divide.
"""

from __future__ import annotations

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
    """One flight pack, or several alike in parallel, from its description."""

    battery: Battery

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
        return self.printed_resistance * states.factor("pack.R", self.battery.serial)

    def charge(self, states: States) -> Array:
        """Charge that can be used, A s, shape (N,): printed value of all packs times ``pack.Q``."""
        return self.battery.charge * self.battery.count * states.factor("pack.Q", self.battery.serial)
