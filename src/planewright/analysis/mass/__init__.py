"""Mass, balance and inertia from geometry and weighed stock, replaced part by part by weighings."""

from planewright.analysis.mass.items import DRAWN, Item
from planewright.analysis.mass.model import MassModel, MassRow, mass_model
from planewright.analysis.mass.window import BatteryWindow, battery_window, static_margin

__all__ = [
    "DRAWN",
    "BatteryWindow",
    "Item",
    "MassModel",
    "MassRow",
    "battery_window",
    "mass_model",
    "static_margin",
]
