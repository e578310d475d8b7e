"""Under which speed, pack and ground a figure holds."""

from __future__ import annotations

from planewright.plane.model import Plane
from planewright.site.model import Site

PACK = {
    "thrust_static": 1.0, "thrust_to_weight": 1.0, "current_full": 1.0, "thrust_level": 0.9, "current_level": 0.9,
    "climb_gradient": 0.9, "takeoff_run": 0.9, "takeoff_run_tired": 0.3, "thrust_static_tired": 0.3,
    "climb_gradient_tired": 0.3, "climb_out_needed": 0.9, "climb_out_tired": 0.3,
}  # fmt: skip
LEVEL = frozenset(
    ("level_lift_coefficient", "level_angle", "level_elevator", "drag", "drag_coefficient", "lift_to_drag",
     "thrust_level", "current_level", "climb_gradient", "climb_gradient_tired", "turn_radius", "turn_speed_ratio",
     "servo_margin_planned", "steady_rudder", "endurance", "short_period_time", "short_period_damping",
     "phugoid_period", "phugoid_damping", "pitch_growth", "dutch_roll_period", "dutch_roll_damping", "roll_time",
     "spiral_rate", "roll_rate", "roll_to_30")
)  # fmt: skip
ROLLING = frozenset(("takeoff_run", "takeoff_run_tired", "climb_out_needed"))
PLACARD = frozenset(
    ("servo_margin_placard", "load_factor_at_stall", "load_factor_spare", "gust_load_factor", "tip_twist",
     "aileron_kept", "twist_speed_ratio")
)  # fmt: skip
TURNING = frozenset(("turn_radius", "turn_stall_speed", "turn_speed_ratio"))


def condition_of(name: str, plane: Plane, site: Site | None) -> dict[str, float | str]:
    """Condition of one figure: ``charge`` (0 to 1), ``speed`` m/s, ``bank`` rad, ``surface``; empty where none
    matters. A planned speed that was not typed is 1.5 times the stall speed and is said in words."""
    found: dict[str, float | str] = {}
    if name in PACK:
        found["charge"] = PACK[name]
    if name in LEVEL:
        typed = plane.first_flight.speed
        found["speed"] = "1.5 times the stall speed" if typed is None else typed
    if name in PLACARD and plane.limits.placard is not None:
        found["speed"] = plane.limits.placard
    if name in TURNING:
        typed = plane.first_flight.bank
        found["bank"] = 0.3490658503988659 if typed is None else typed
    if name in ROLLING:
        found["surface"] = site.surface if site and site.surface else "mown grass (assumed)"
    return found
