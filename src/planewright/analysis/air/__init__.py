"""Air: lift, balance, stall, drag and span load from the drawn shape, by a vortex lattice and a drag build-up."""

from planewright.analysis.air.alone import WingAlone, wing_alone
from planewright.analysis.air.making import air_model
from planewright.analysis.air.model import AirModel, Drag, Stall, Trim

__all__ = ["AirModel", "Drag", "Stall", "Trim", "WingAlone", "air_model", "wing_alone"]
