"""Numbers of handling in first form: servos, wheels, one engine stopped, unequal engines."""

from __future__ import annotations

from functools import partial

import numpy as np
import numpy.typing as npt

from planewright.analysis import handling
from planewright.analysis.model import States
from planewright.analysis.power import PowerModel
from planewright.analysis.strength import tip_lift_moments
from planewright.knowledge.draws import Draws
from planewright.study.models import Models
from planewright.study.numbers import EARLY, THRUST_NODES, Flown, Numbers, cubic_at, cubic_through

Array = npt.NDArray[np.float64]

HANDLING_FIGURES = (
    "servo_margin_planned", "servo_margin_placard", "nose_load", "tip_back_angle", "overturn_angle",
    "engine_out_speed", "engine_out_speed_ratio", "steady_rudder",
)  # fmt: skip
FASTEST_OVER_STALL, HALVINGS = 4.0, 9
FASTEST = 44.5
"""Just inside the speeds for which engines are mapped, m/s."""


def steer(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """All handling numbers that this aeroplane allows."""
    servos(models, states, flown, found)
    stand = handling.stand(models.plane, flown.mass.cg)
    if stand is not None:
        found.put(nose_load=stand.single_load, tip_back_angle=stand.tip_back, overturn_angle=stand.overturn)
    pair = [one for one in models.plane.engines if one.y != 0.0]
    rudder = any(one.kind == "rudder" for one in models.plane.controls)
    if models.power is not None and rudder and len(pair) > 1:
        engine_out(models.power, models, states, flown, found)


def least(rows: tuple[handling.HingeRow, ...]) -> Array:
    """Least margin over all controls, draw by draw."""
    return np.asarray(np.min([one.margin for one in rows], axis=0))


def servos(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """Weakest servo at the planned speed, and at the placard."""
    planned = float(np.median(flown.speed))
    rows = handling.servo_margins(states, models.geometry, planned, models.density)
    if not rows:
        found.miss(
            "no control has both a surface and a servo", "servo_margin_planned", "servo_margin_placard"
        )
        return
    found.put(servo_margin_planned=least(rows))
    placard = models.plane.limits.placard
    if placard is None:
        found.miss("the file gives no placard speed", "servo_margin_placard")
        return
    speed = handling.hinge_speed(placard, models.top_speed)
    found.put(
        servo_margin_placard=least(handling.servo_margins(states, models.geometry, speed, models.density))
    )


def engine_out(power: PowerModel, models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """Lowest speed that full rudder holds with the worse engine stopped, and the rudder for unequal engines."""
    assert models.air is not None
    x = flown.mass.cg[0]
    fastest = np.minimum(2.0 * found["lift_off_speed"], FASTEST / THRUST_NODES[-1])
    nodes = np.array([fastest * share for share in THRUST_NODES])
    worst = np.zeros(states.count)
    for stopped in (one for one in models.plane.engines if one.y != 0.0):
        push = [power.one_stopped(states, stopped.name, one, EARLY) for one in nodes]
        running = np.array([one.total - one.engine[stopped.name] for one in push])
        push_at = partial(cubic_at, cubic_through(nodes, running))
        area = handling.stopped_drag_area(stopped)
        yaw = handling.one_stopped(models.air, states, x, push_at, abs(stopped.y), area, models.density)
        worst = np.maximum(worst, yaw.speed)
    found.put(engine_out_speed=worst, engine_out_speed_ratio=worst / found["lift_off_speed"])
    level = power.thrust(states, flown.speed, EARLY).engine
    moment = np.sum([-one.y * level[one.name] for one in models.plane.engines], axis=0)
    speed = float(np.median(flown.speed))
    found.put(steady_rudder=handling.steady_angle(models.air, states, x, moment, speed, models.density))


def top_speed(models: Models, middle: Draws) -> float | None:
    """Greatest level speed on a 90 % pack at medians, m/s; None without power. Halving between 1.1 and 4 times the
    stall speed, because thrust less drag falls with speed there; an end is returned where it does not change sign."""
    if models.air is None or models.power is None:
        return None
    air, power = models.air, models.power
    mass = models.mass.evaluate(middle)
    slow = float(air.stall(middle, mass, models.density).speed[0])

    def spare(speed: float) -> float:
        drag = air.drag(middle, air.trim(middle, mass, speed, models.density)).force[0]
        return float(power.thrust(middle, speed, EARLY).total[0] - drag)

    low, high = 1.1 * slow, min(FASTEST_OVER_STALL * slow, FASTEST)
    if low >= high:
        return None
    if spare(low) <= 0.0 or spare(high) > 0.0:
        return low if spare(low) <= 0.0 else high
    for _ in range(HALVINGS):
        half = (low + high) / 2
        low, high = (half, high) if spare(half) > 0.0 else (low, half)
    return (low + high) / 2


def tip_lift_words(models: Models, mass: float) -> tuple[str, ...]:
    """What lifting by the tips does: to each hinged joint, or, where there is none, to the root, in sentences."""
    strength = models.strength
    if strength is None:
        return ()
    moments = tip_lift_moments(models.geometry, models.mass.wing_masses(), mass)
    if not strength.unproved:
        level = max(float(strength.moment_at(0.0, mass)[0]), 1e-9)
        times = f"{moments['root'] / level:.1f} times its load in level flight"
        return (
            (f"lifted by its tips the root carries {moments['root']:.1f} N m, {times}",)
            if level > 1e-6
            else ()
        )
    needs = strength.joint_needs(mass)
    return tuple(
        f"Never lift this aeroplane by its tips: the {name} joint would carry {moments[name]:.1f} N m, "
        f"{moments[name] / max(needs[name].one_g, 1e-9):.0f} times its load in level flight."
        for name in strength.unproved
        if moments[name] > needs[name].limit
    )
