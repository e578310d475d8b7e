"""Numbers of handling in depth: stick, limits of the balance point, nose wheel, natural motions, roll, wind across,
hinge moments."""

from __future__ import annotations

from functools import partial

import numpy as np
import numpy.typing as npt

from planewright.analysis import handling
from planewright.analysis.air.stall import sweep
from planewright.analysis.air.stalling import setting_of
from planewright.analysis.model import States
from planewright.knowledge.draws import Draws
from planewright.study.models import Models
from planewright.study.numbers import EARLY, THRUST_NODES, Flown, Numbers, cubic_at, cubic_through

Array = npt.NDArray[np.float64]

LEAST_MARGIN = 0.05
"""Static margin at which the aft limit of the balance point stands, as the blocking finding (common practice)."""
FASTEST = 44.5
SPEEDS = 5
SPEED_STEP = 1.0

STICK = ("elevator_at_stall", "elevator_left_stall", "cg_fore_limit_x", "cg_fore_stall_x", "cg_fore_flare_x",
         "cg_fore_spare")  # fmt: skip
MOTIONS = ("short_period_time", "short_period_damping", "phugoid_period", "phugoid_damping", "pitch_growth",
           "dutch_roll_period", "dutch_roll_damping", "roll_time", "spiral_rate")  # fmt: skip
SIDEWAYS = ("roll_rate", "roll_to_30", "crosswind_held", "crosswind_ratio")
NOSE = ("nose_lift_speed", "nose_lift_ratio", "nose_load_power", "cg_fore_rotation_x")
HANDLE_FIGURES = (
    "stick_free_margin",
    "cg_aft_limit_x",
    *STICK,
    *MOTIONS,
    *SIDEWAYS,
    *NOSE,
    "servo_margin_range",
)
NO_TAIL = "there is no elevator in the file"


def handle(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """All numbers of handling in depth that this aeroplane allows; needs the numbers of flight and power."""
    assert models.air is not None
    found.put(
        stick_free_margin=handling.stick_free_margin(models.air, states, flown.mass),
        cg_aft_limit_x=handling.aft_limit(models.air, states, LEAST_MARGIN),
    )
    nose_wheel(models, states, flown, found)
    stick(models, states, flown, found)
    motions(models, states, flown, found)
    hinges(models, states, flown, found)


def stick(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """Elevator at the stall, and where the balance point must not lie ahead of."""
    air = models.air
    assert air is not None
    if not air.elevator:
        found.skip(NO_TAIL, *STICK)
        return
    stall = flown.stall
    turn = models.stall_turn
    held = handling.elevator_at_stall(air, states, flown.mass, stall, models.density).elevator + turn
    up, down = air.elevator_limits
    travel = np.where(held < 0, abs(up), abs(down))
    limits = [handling.fore_limit(air, states, stall.lift, stall.speed, models.density, turn)]
    found.put(
        elevator_at_stall=held,
        elevator_left_stall=1.0 - np.abs(held) / travel,
        cg_fore_stall_x=limits[0],
    )
    if models.over_runway is not None:
        limits.append(
            handling.fore_limit(models.over_runway, states, stall.lift, stall.speed, models.density, turn)
        )
        found.put(cg_fore_flare_x=limits[1])
    if "cg_fore_rotation_x" in found:
        limits.append(found["cg_fore_rotation_x"])
    fore = np.max(limits, axis=0)
    found.put(cg_fore_limit_x=fore, cg_fore_spare=(flown.mass.cg[0] - fore) / air.reference.chord)


def stall_turn(models: Models, middle: Draws) -> float:
    """How much further the elevator stands at the greatest lift than linear air says, rad: section curves bend before
    the stall and the tail keeps lifting, so that more up elevator is needed. At medians; 0 without an elevator or
    where no stall was found."""
    air = models.air
    if air is None or not air.elevator:
        return 0.0
    mass = models.mass.evaluate(middle)
    stall = air.stall(middle, mass, models.density)
    straight = handling.elevator_at_stall(air, middle, mass, stall, models.density).elevator
    if air.spread is not None and air.spread.elevator is not None:
        return float(air.spread.elevator - straight[0])
    clmax, effect = (float(middle.factor(one)[0]) for one in ("sec.clmax", "ctl.effect"))
    setting = setting_of(
        air, float(stall.speed[0]), density=models.density, factor=clmax, effect=effect, trim_x=float(mass.cg[0, 0]),
        half=air.solution.grid.even,
    )  # fmt: skip
    found = sweep(setting)
    return float(found.elevator[found.top] - straight[0])


def nose_wheel(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """Lifting the nose wheel, and what it carries with full power at rest."""
    power, over = models.power, models.over_runway
    if over is None:
        found.skip("there is no undercarriage with a nose wheel", *NOSE)
        return
    if power is None:
        found.miss(models.why["power"], *NOSE)
        return
    lift_off = found["lift_off_speed"]
    end = np.minimum(2.0 * lift_off, FASTEST / THRUST_NODES[-1])
    nodes = np.array([end * share for share in THRUST_NODES])
    thrust = partial(
        cubic_at, cubic_through(nodes, np.array([power.thrust(states, one, EARLY).total for one in nodes]))
    )
    turn = handling.rotation(
        over, states, flown.mass, lift_off, thrust, states.factor("wheel.mu"), models.density
    )
    if turn is None:
        found.skip("there is no nose wheel ahead of main wheels, or no elevator", *NOSE)
        return
    found.put(
        nose_lift_speed=turn.speed,
        nose_lift_ratio=turn.speed / lift_off,
        nose_load_power=turn.nose_load,
        cg_fore_rotation_x=turn.fore,
    )


def thrust_slope(models: Models, states: States, flown: Flown, found: Numbers) -> Array:
    """dT/dV of the engines at the duty of level flight, N s/m, (N,); 0 without power."""
    power = models.power
    if power is None or "thrust_level" not in found:
        return np.zeros(states.count)
    level = power.level_state(states, flown.speed, flown.drag.force, EARLY)
    duty = np.where(level.available, np.nan_to_num(level.duty, nan=1.0), 1.0)
    faster = power.thrust(states, flown.speed + SPEED_STEP, EARLY, duty).total
    here = np.where(level.available, flown.drag.force, found["thrust_level"])
    return np.asarray((faster - here) / SPEED_STEP)


def motions(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """Natural motions in level flight at the planned speed; roll and wind across."""
    base, air = models.prepared, models.air
    assert base is not None and air is not None
    d = handling.derivatives_at(base, states, flown.mass, flown.trim, flown.drag.coefficient)
    push = handling.Push(
        flown.drag.force,
        thrust_slope(models, states, flown, found),
        handling.thrust_arm(models.plane, flown.mass.cg),
    )
    pitch = handling.pitch_modes(handling.pitch_terms(air, flown.mass, d, push))
    side = handling.side_modes(handling.side_terms(air, flown.mass, d))
    found.put(
        short_period_time=2.0 * np.pi / pitch.short.frequency,
        short_period_damping=pitch.short.damping,
        phugoid_period=pitch.phugoid.period,
        phugoid_damping=pitch.phugoid.damping,
        pitch_growth=pitch.roots.real.max(axis=1),
        dutch_roll_period=side.dutch.period,
        dutch_roll_damping=settled(side.dutch),
        roll_time=-1.0 / side.roll,
        spiral_rate=side.spiral,
    )
    turning(models, states, flown, found, d)


def settled(swing: handling.Swing) -> Array:
    """Damping of a swing; 1 where it dies without swinging, -1 where it grows without swinging."""
    return np.where(np.isnan(swing.damping), np.where(swing.worst < 0, 1.0, -1.0), swing.damping)


def turning(models: Models, states: States, flown: Flown, found: Numbers, d: handling.Derivatives) -> None:
    """Roll at the planned speed, and the wind across that the rudder holds at the lift-off speed."""
    base, air = models.prepared, models.air
    assert base is not None and air is not None
    roll = handling.roll_at(air, flown.mass, d)
    if roll is None:
        found.skip("there are no ailerons in the file", "roll_rate", "roll_to_30")
    else:
        found.put(roll_rate=roll.rate, roll_to_30=roll.to_30)
    slow = air.trim(states, flown.mass, found["lift_off_speed"], models.density)
    slip = handling.steady_slip(air, handling.derivatives_at(base, states, flown.mass, slow, sideways=True))
    if slip is None:
        found.skip("there is no rudder in the file", "crosswind_held", "crosswind_ratio")
    else:
        found.put(crosswind_held=slip.across, crosswind_ratio=slip.across / flown.stall.speed)


def hinge_speeds(models: Models, flown: Flown) -> list[Array]:
    """Speeds, (N,) m/s each, from just above the stall to the fastest at which servos are judged (the placard or
    above it; without one 1.5 times the planned speed)."""
    slow = 1.05 * flown.stall.speed
    placard = models.plane.limits.placard
    fast = (
        1.5 * flown.speed
        if placard is None
        else np.full_like(slow, handling.hinge_speed(placard, models.top_speed))
    )
    return [slow + part * (np.maximum(fast, slow) - slow) for part in np.linspace(0.0, 1.0, SPEEDS)]


def hinges(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """Least servo margin over trimmed speeds, full travel and sideslip."""
    assert models.air is not None
    rows = handling.hinge_range(models.air, states, flown.mass, hinge_speeds(models, flown), models.density)
    if not rows:
        found.miss("no control has both a surface and a servo", "servo_margin_range")
        return
    found.put(servo_margin_range=np.min([one.margin for one in rows], axis=0))
