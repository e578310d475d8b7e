"""Flight: speeds, climb, take-off run, turns and glide, for all draws at once.

Every function takes arrays of shape (N,) (or plain numbers) and returns arrays of that shape. Thrust and
drag come in as arrays or callables, so nothing here knows how they were found. Flat ground, still air.
"""

from planewright.analysis.flight.climb import (
    CLIMB_SHARE,
    airborne_distance,
    climb_gradient,
    distance_to_clear,
    glide_ratio,
    rate_of_climb,
    sink_rate,
    thrust_to_weight,
    top_speed,
)
from planewright.analysis.flight.speeds import (
    dynamic_pressure,
    level_lift_coefficient,
    load_factor_in_turn,
    stall_speed,
    turn_radius,
    turn_stall_speed,
    turn_time,
)
from planewright.analysis.flight.takeoff import (
    GroundRun,
    free_roll,
    ground_effect,
    ground_run,
    lift_off_speed,
    rolling_drag_coefficient,
)

__all__ = [
    "CLIMB_SHARE",
    "GroundRun",
    "airborne_distance",
    "climb_gradient",
    "distance_to_clear",
    "dynamic_pressure",
    "free_roll",
    "glide_ratio",
    "ground_effect",
    "ground_run",
    "level_lift_coefficient",
    "lift_off_speed",
    "load_factor_in_turn",
    "rate_of_climb",
    "rolling_drag_coefficient",
    "sink_rate",
    "stall_speed",
    "thrust_to_weight",
    "top_speed",
    "turn_radius",
    "turn_stall_speed",
    "turn_time",
]
