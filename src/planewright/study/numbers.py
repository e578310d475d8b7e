"""Every number of a study for one set of states: nominal models times knowledge, nothing else.

Run three times on the same draws (all inputs; measured and published; measured only) this gives the nested bands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import Drag, Stall, Trim
from planewright.analysis.atmosphere import GRAVITY
from planewright.analysis.flight import speeds, takeoff
from planewright.analysis.handling import level_trim
from planewright.analysis.mass import battery_window
from planewright.analysis.model import MassState, States
from planewright.analysis.power import PowerModel
from planewright.analysis.strength import gust_factor, torsion_factor
from planewright.errors import NotConverged, OutOfRange
from planewright.study.models import SPEED_OVER_STALL, Models

Array = npt.NDArray[np.float64]

FULL, EARLY, TIRED = 1.0, 0.9, 0.3
BANK = np.deg2rad(20.0)
CROSSWIND, WIND, GO, APPROACH = 0.2, 0.35, 0.7, 1.35
NO_LENGTH, FARTHEST = 1e-6, 1e4
THRUST_NODES = (0.0, 0.4, 0.75, 1.05)


@dataclass
class Numbers:
    """Draws by figure id, shape (N,) each; what could not be worked out with the reason; limits found on the way."""

    count: int
    values: dict[str, Array] = field(default_factory=dict)
    absent: dict[str, str] = field(default_factory=dict)
    limits: dict[str, float] = field(default_factory=dict)
    not_asked: set[str] = field(default_factory=set)

    def put(self, **values: Array | float) -> None:
        """Keep draws; a single number stands for all draws."""
        for name, value in values.items():
            self.values[name] = np.broadcast_to(np.asarray(value, dtype=np.float64), (self.count,))

    def miss(self, why: str, *names: str) -> None:
        """Say why some figures are not there."""
        self.absent.update(dict.fromkeys(names, why))

    def skip(self, why: str, *names: str) -> None:
        """Say why some figures do not apply to this aeroplane on this field: nothing is missing then."""
        self.miss(why, *names)
        self.not_asked.update(names)

    def __getitem__(self, name: str) -> Array:
        return self.values[name]

    def __contains__(self, name: str) -> bool:
        return name in self.values


@dataclass(frozen=True)
class Flown:
    """What later steps need of level flight: mass, stall, trim, drag, planned speed (N,) and bank (rad)."""

    mass: MassState
    stall: Stall
    trim: Trim
    drag: Drag
    speed: Array
    bank: float


MASS_FIGURES = ("mass", "cg_x", "cg_y", "cg_z", "wing_loading")
AIR_FIGURES = (
    "lift_curve_slope", "neutral_point_x", "static_margin", "maximum_lift_coefficient", "stall_speed",
    "level_speed", "level_lift_coefficient", "drag", "drag_coefficient", "lift_to_drag", "takeoff_run",
    "climb_gradient", "turn_radius",
)  # fmt: skip
POWER_FIGURES = (
    "thrust_static", "thrust_static_tired", "thrust_to_weight", "thrust_level", "climb_gradient",
    "climb_gradient_tired", "takeoff_run", "takeoff_run_tired", "current_full", "current_level", "endurance",
    "first_flight_charge",
)  # fmt: skip
STRENGTH_FIGURES = (
    "load_factor_at_failure", "root_moment", "tip_deflection", "gust_load_factor", "tip_twist", "aileron_kept",
    "twist_speed", "twist_speed_ratio",
)  # fmt: skip
GUST, FACTORS = 3.0, (0.3, 3.0)


def numbers(models: Models, states: States) -> tuple[Numbers, Flown | None]:
    """All numbers that this aeroplane allows."""
    found = Numbers(states.count)
    if not models.mass.items:
        found.miss(
            "nothing in the file has a mass", *MASS_FIGURES, *AIR_FIGURES, *POWER_FIGURES, *STRENGTH_FIGURES
        )
        return found, None
    mass = models.mass.evaluate(states)
    weights(models, states, mass, found)
    if models.air is None:
        found.miss(models.why.get("air", "there is no wing in the file"), *AIR_FIGURES)
        found.miss(models.why.get("strength", "there is no wing in the file"), *STRENGTH_FIGURES)
        return found, None
    balance(models, states, mass, found)
    try:
        flown = level_flight(models, states, mass, found)
    except (OutOfRange, NotConverged) as error:
        found.miss(str(error), *(name for name in (*AIR_FIGURES, *STRENGTH_FIGURES) if name not in found))
        return found, None
    turns(models, flown, found)
    power = models.power
    if power is None:
        found.miss(models.why["power"], *POWER_FIGURES)
    else:
        guarded(found, POWER_FIGURES, lambda: push(power, models, states, flown, found))
    guarded(found, STRENGTH_FIGURES, lambda: hold(models, states, flown, found))
    return found, flown


def guarded(found: Numbers, names: Sequence[str], work: Callable[[], None]) -> None:
    """Do one piece of the numbers; when a method is asked outside its range, or does not settle, those of ``names``
    that are not there yet are absent with that reason."""
    try:
        work()
    except (OutOfRange, NotConverged) as error:
        found.miss(str(error), *(name for name in names if name not in found))


def weights(models: Models, states: States, mass: MassState, found: Numbers) -> None:
    """Mass, balance point, inertia."""
    aside = np.where(np.abs(mass.cg[1]) < NO_LENGTH, 0.0, mass.cg[1])
    found.put(mass=mass.mass, cg_x=mass.cg[0], cg_y=aside, cg_z=mass.cg[2])
    found.put(inertia_roll=mass.inertia[0], inertia_pitch=mass.inertia[1], inertia_yaw=mass.inertia[2])
    wing = models.geometry.wing
    if wing is not None:
        found.put(wing_loading=mass.mass / wing.area)
    if models.plane.battery is None:
        found.miss("there is no battery in the file", "battery_window_aft", "battery_effect")


def balance(models: Models, states: States, mass: MassState, found: Numbers) -> None:
    """Neutral point, static margin and where the battery may stand."""
    assert models.air is not None
    neutral = models.air.neutral_point_x(states)
    found.put(
        lift_curve_slope=models.air.slope(states),
        neutral_point_x=neutral,
        static_margin=models.air.static_margin(states, mass),
    )
    window = battery_window(models.mass, states, neutral)
    if window is not None:
        found.put(battery_window_aft=window.aft, battery_effect=models.mass.battery_effect(states))
        if window.slide is not None:
            found.put(static_margin_slide_aft=window.margin_rear)


def planned_speed(models: Models, stall: Array) -> Array:
    """Speed of the first flight: as typed, else 1.5 times the stall speed."""
    typed = models.plane.first_flight.speed
    return stall * SPEED_OVER_STALL if typed is None else np.full_like(stall, typed)


def level_flight(models: Models, states: States, mass: MassState, found: Numbers) -> Flown:
    """Stall, trim and drag in level flight."""
    air, wing = models.air, models.geometry.wing
    assert air is not None and wing is not None
    stall = air.stall(states, mass, models.density)
    speed = planned_speed(models, stall.speed)
    trim = level_trim(air, states, mass, speed, models.density)
    drag = air.drag(states, trim)
    found.put(maximum_lift_coefficient=stall.lift, stall_speed=stall.speed, level_speed=speed)
    found.put(
        level_lift_coefficient=speeds.level_lift_coefficient(mass.mass, wing.area, speed, models.density),
        level_angle=trim.alpha,
        drag_coefficient=drag.coefficient,
        drag=drag.force,
        lift_to_drag=trim.lift / drag.coefficient,
    )
    if air.spread is None:
        found.skip("the sections' curves are not known", "stall_strips_outside")
    else:
        found.put(stall_strips_outside=float(air.spread.outside))
    if air.elevator:
        up, down = air.elevator_limits
        travel = np.where(trim.elevator < 0.0, abs(up), abs(down))
        found.put(level_elevator=trim.elevator, elevator_left=1.0 - np.abs(trim.elevator) / travel)
    per_metre = stall.speed * models.density / 1.789e-5
    found.put(reynolds_centre=per_metre * wing.chord[0], reynolds_tip=per_metre * wing.chord[-1])
    found.put(
        lift_off_speed=takeoff.lift_off_speed(stall.speed),
        wind_limit_cross=CROSSWIND * stall.speed,
        wind_limit=WIND * stall.speed,
        approach_speed=APPROACH * stall.speed,
        cone_speed=GO * takeoff.lift_off_speed(stall.speed),
    )
    bank = models.plane.first_flight.bank
    return Flown(mass, stall, trim, drag, speed, float(BANK) if bank is None else bank)


def turns(models: Models, flown: Flown, found: Numbers) -> None:
    """The planned turn."""
    slow = speeds.turn_stall_speed(flown.stall.speed, flown.bank)
    found.put(
        turn_radius=speeds.turn_radius(flown.speed, flown.bank),
        turn_stall_speed=slow,
        turn_speed_ratio=flown.speed / slow,
    )
    placard = models.plane.limits.placard
    if placard is None:
        found.miss("the file gives no placard speed", "load_factor_at_stall", "load_factor_spare")
    else:
        found.put(load_factor_at_stall=(placard / flown.stall.speed) ** 2)


def cubic_through(nodes: Array, values: Array) -> tuple[Array, Array]:
    """Newton coefficients of the cubic through four nodes, each (4, N); evaluated by :func:`cubic_at`."""
    table = [values[i] for i in range(len(nodes))]
    found = [table[0]]
    for order in range(1, len(nodes)):
        table = [(table[i + 1] - table[i]) / (nodes[i + order] - nodes[i]) for i in range(len(nodes) - order)]
        found.append(table[0])
    return nodes, np.array(found)


def cubic_at(cubic: tuple[Array, Array], speed: Array) -> Array:
    """Value of the cubic at ``speed`` (N,)."""
    nodes, found = cubic
    value = found[-1]
    for i in range(len(nodes) - 2, -1, -1):
        value = value * (speed - nodes[i]) + found[i]
    return np.asarray(value)


def ground_run(power: PowerModel, models: Models, states: States, flown: Flown, charge: float) -> Array:
    """Run to lift-off at ``charge`` left, m, (N,). Thrust against speed is a cubic through four matched points."""
    air, wing = models.air, models.geometry.wing
    assert air is not None and wing is not None
    end = takeoff.lift_off_speed(flown.stall.speed)
    nodes = np.array([end * share for share in THRUST_NODES])
    thrust = cubic_through(nodes, np.array([power.thrust(states, one, charge).total for one in nodes]))
    height = abs(min((wheel.z for wheel in models.plane.wheels), default=0.0)) + wing.mean_chord_z
    share, gain = takeoff.ground_effect(max(height / wing.span, 0.05) * wing.span, wing.span)
    lift = np.clip(-air.zero_lift_angle(states) * air.slope(states) * gain, 0.0, flown.stall.lift)
    induced = flown.drag.parts["induced"]
    drag = takeoff.rolling_drag_coefficient(
        flown.drag.coefficient - induced, induced / flown.trim.lift**2, lift, share
    )
    run = takeoff.ground_run(
        lambda speed: cubic_at(thrust, speed), flown.mass.mass, wing.area, models.density, end, lift, drag,
        states.factor("wheel.mu"),
    )  # fmt: skip
    return np.asarray(np.minimum(run.distance, FARTHEST))


def push(power: PowerModel, models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """Thrust, climb, run, currents, minutes."""
    weight = flown.mass.mass * GRAVITY
    full, tired = power.thrust(states, 0.0, FULL), power.thrust(states, 0.0, TIRED)
    level, low = power.thrust(states, flown.speed, EARLY), power.thrust(states, flown.speed, TIRED)
    found.put(
        thrust_static=full.total,
        thrust_static_tired=tired.total,
        thrust_to_weight=full.total / weight,
        thrust_level=level.total,
        current_full=full.amps,
        climb_gradient=(level.total - flown.drag.force) / weight,
        climb_gradient_tired=(low.total - flown.drag.force) / weight,
    )
    amps = power.level(states, flown.speed, flown.drag.force, EARLY)
    found.put(
        current_level=amps,
        endurance=power.endurance(states, flown.speed, flown.drag.force),
    )
    time = models.plane.first_flight.time
    if time is not None:
        found.put(first_flight_charge=power.charge_used(states, amps, full.amps, time))
    if models.plane.wheels:
        found.put(
            takeoff_run=ground_run(power, models, states, flown, EARLY),
            takeoff_run_tired=ground_run(power, models, states, flown, TIRED),
        )
    else:
        found.skip("there is no undercarriage: it is launched by hand", "takeoff_run", "takeoff_run_tired")


def hold(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """What the wing holds."""
    strength = models.strength
    if strength is None:
        found.miss(models.why["strength"], *STRENGTH_FIGURES, "load_factor_spare")
        return
    mass = flown.mass.mass
    if float(np.median(strength.moment_at(0.0, mass))) <= 0.0:
        why = "the wing's own weight bends it more than its lift: describe what else the aeroplane carries"
        found.miss(why, *STRENGTH_FIGURES, "load_factor_spare")
        return
    load = strength.load_factor(states, mass)
    found.put(
        load_factor_at_failure=load,
        root_moment=strength.moment_at(0.0, mass, states),
        tip_deflection=strength.deflection(states, mass),
    )
    if "load_factor_at_stall" in found:
        found.put(load_factor_spare=load / found["load_factor_at_stall"])
    gusts(models, states, flown, found)
    twists(models, states, found)


def gusts(models: Models, states: States, flown: Flown, found: Numbers) -> None:
    """Load factor of a gust of 3 m/s at the placard speed, at most what the stall allows (14 CFR 23.341)."""
    wing, air, placard = models.geometry.wing, models.air, models.plane.limits.placard
    assert wing is not None and air is not None
    if placard is None:
        found.miss("the file gives no placard speed", "gust_load_factor")
        return
    loading = flown.mass.mass * GRAVITY / wing.area
    found.put(
        gust_load_factor=gust_factor(
            placard, GUST, loading, models.density, wing.mean_chord, air.slope(states), flown.stall.speed
        )
    )


def twists(models: Models, states: States, found: Numbers) -> None:
    """What the air twists at the placard speed, what aileron is left, and the least of three simple speeds."""
    wing, placard = models.stiffness, models.plane.limits.placard
    names = ("tip_twist", "aileron_kept", "twist_speed", "twist_speed_ratio")
    if wing is None or models.middle is None:
        found.miss(models.why.get("strength", "there is no wing in the file"), *names)
        return
    factor = torsion_factor(wing.half, states) / torsion_factor(wing.half, models.middle)
    found.put(twist_speed=wing.least * np.sqrt(factor))
    if placard is None:
        found.miss("the file gives no placard speed", "tip_twist", "aileron_kept", "twist_speed_ratio")
        return
    found.put(twist_speed_ratio=found["twist_speed"] / placard)
    speeds = placard / np.sqrt(np.linspace(*FACTORS, 12))
    reach = placard / np.sqrt(np.clip(factor, FACTORS[0], FACTORS[1]))
    found.put(tip_twist=np.interp(reach, speeds[::-1], [wing.camber_twist(v) for v in speeds[::-1]]))
    if wing.ailerons:
        kept = [min(wing.kept(name, v) for name in wing.ailerons) for v in speeds[::-1]]
        found.put(aileron_kept=np.interp(reach, speeds[::-1], kept))
    else:
        found.skip("there is no aileron", "aileron_kept")


def medians(found: Mapping[str, Array]) -> dict[str, float]:
    """Median of each figure over the draws that are numbers."""
    return {name: float(np.nanmedian(value)) for name, value in found.items()}
