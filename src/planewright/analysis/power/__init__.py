"""Power: propellers, ducted fans, motors and packs, in first form."""

from planewright.analysis.power.model import Level, PowerModel, Thrust, power_model
from planewright.analysis.power.propeller import measured_tables, tables_of_size

__all__ = ["Level", "PowerModel", "Thrust", "measured_tables", "power_model", "tables_of_size"]
