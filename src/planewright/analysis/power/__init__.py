"""Power: propellers, ducted fans, motors, controllers, packs, wires and the receiver's supply."""

from planewright.analysis.power.fan import FanModel, Losses, fan_model
from planewright.analysis.power.ideal import claim_shares
from planewright.analysis.power.model import Level, PowerModel, Thrust, power_model
from planewright.analysis.power.planning import Timers, cautious_time, reserve_share, time_to, timers
from planewright.analysis.power.propeller import measured_tables, second_opinion, tables_of_size
from planewright.analysis.power.units import FanUnit, PropellerUnit, Unit, fan_on_grid

__all__ = [
    "FanModel",
    "FanUnit",
    "Level",
    "Losses",
    "PowerModel",
    "PropellerUnit",
    "Thrust",
    "Timers",
    "Unit",
    "cautious_time",
    "claim_shares",
    "fan_model",
    "fan_on_grid",
    "measured_tables",
    "power_model",
    "reserve_share",
    "second_opinion",
    "tables_of_size",
    "time_to",
    "timers",
]
