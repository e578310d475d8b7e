"""Handling, first form: servo margins, how it stands on its wheels, one engine stopped."""

from planewright.analysis.handling.gear import Stand, stand
from planewright.analysis.handling.hinge import HingeRow, hinge_slopes, hinge_speed, servo_margins
from planewright.analysis.handling.yaw import (
    Yaw,
    one_stopped,
    rudder_power,
    rudder_travel,
    steady_angle,
    stopped_drag_area,
)

__all__ = [
    "HingeRow",
    "Stand",
    "Yaw",
    "hinge_slopes",
    "hinge_speed",
    "one_stopped",
    "rudder_power",
    "rudder_travel",
    "servo_margins",
    "stand",
    "steady_angle",
    "stopped_drag_area",
]
