"""Handling: trim, margins, limits of the balance point, derivatives, natural motions, roll, sideslip, one engine
stopped, hinge moments and servos, how it stands on its wheels, how large it is folded."""

from planewright.analysis.handling.derivatives import (
    Derivatives,
    Prepared,
    derivatives_at,
    downwash_slope,
    prepare,
)
from planewright.analysis.handling.gear import Stand, stand
from planewright.analysis.handling.hinge import (
    HingeRange,
    HingeRow,
    hinge_range,
    hinge_slopes,
    hinge_speed,
    servo_margins,
)
from planewright.analysis.handling.lateral import Roll, Slip, roll_at, steady_slip
from planewright.analysis.handling.limits import (
    Rotation,
    aft_limit,
    fore_limit,
    ground_attitude,
    rotation,
    stick_free_margin,
)
from planewright.analysis.handling.modes import (
    PitchModes,
    PitchTerms,
    SideModes,
    SideTerms,
    Swing,
    phugoid_period,
    pitch_modes,
    side_modes,
    time_to_double,
)
from planewright.analysis.handling.motion import Push, gliding, pitch_terms, side_terms, thrust_arm
from planewright.analysis.handling.transport import Piece, Transport, transport
from planewright.analysis.handling.trims import (
    TrimCurve,
    elevator_at_stall,
    elevator_per_g,
    level_trim,
    near_ground,
    trim_curve,
)
from planewright.analysis.handling.yaw import (
    Yaw,
    one_stopped,
    rudder_power,
    rudder_travel,
    steady_angle,
    stopped_drag_area,
)

__all__ = [
    "Derivatives",
    "HingeRange",
    "HingeRow",
    "Piece",
    "PitchModes",
    "PitchTerms",
    "Prepared",
    "Push",
    "Roll",
    "Rotation",
    "SideModes",
    "SideTerms",
    "Slip",
    "Stand",
    "Swing",
    "Transport",
    "TrimCurve",
    "Yaw",
    "aft_limit",
    "derivatives_at",
    "downwash_slope",
    "elevator_at_stall",
    "elevator_per_g",
    "fore_limit",
    "gliding",
    "ground_attitude",
    "hinge_range",
    "hinge_slopes",
    "hinge_speed",
    "level_trim",
    "near_ground",
    "one_stopped",
    "phugoid_period",
    "pitch_modes",
    "pitch_terms",
    "prepare",
    "roll_at",
    "rotation",
    "rudder_power",
    "rudder_travel",
    "servo_margins",
    "side_modes",
    "side_terms",
    "stand",
    "steady_angle",
    "steady_slip",
    "stick_free_margin",
    "stopped_drag_area",
    "thrust_arm",
    "time_to_double",
    "transport",
    "trim_curve",
]
