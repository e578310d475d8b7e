"""What the analyses predict of each trial: the only place where records and analysis meet.

Nominal things are solved once for each trial (the lattice of the specimen, the sections of a bend specimen,
the unit map of an engine in that day's air); the rows of the fit only multiply them by factors.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import WingAlone as AloneInAir
from planewright.analysis.air import wing_alone
from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY, density
from planewright.analysis.mass import MassModel, mass_model
from planewright.analysis.power import PowerModel, power_model
from planewright.analysis.power.pack import Pack
from planewright.analysis.strength import (
    StrengthModel,
    bend_prediction,
    elliptic_span_load,
    half_wing,
    strength_model,
)
from planewright.analysis.strength.joints import joiners
from planewright.analysis.strength.loads import Along, tip_lift
from planewright.calibrate.balance import Weighed, reduce_balance
from planewright.calibrate.bend import reduce_bend
from planewright.calibrate.problem import Event, Reduction, once
from planewright.calibrate.proof import Capacity, reduce_proof
from planewright.calibrate.protocol import Bench
from planewright.calibrate.thrust_rows import EngineOnBench, Static, reduce_thrust
from planewright.calibrate.vehicle import WingAlone, reduce_vehicle
from planewright.errors import InputError
from planewright.knowledge import FLYING_WING, Points, points
from planewright.ledger.model import Check
from planewright.plane.model import Engine, Plane
from planewright.records.model import Trial
from planewright.records.numbers import numbers

Array = npt.NDArray[np.float64]

KITE_SPEED = 15.0
CELL_VOLTS, ANCHOR = 3.95, 16.0


def nothing(trial: Trial, why: str) -> Reduction:
    """A trial that moves nothing, with the reason."""
    return Reduction(trial.id, findings=(why,))


def air_density(trial: Trial) -> float:
    """Density of the day, kg/m3; standard sea level where temperature or pressure is not stated."""
    if "temperature" in trial.air and "pressure" in trial.air:
        return float(density(trial.air["temperature"], trial.air["pressure"]))
    return float(SEA_LEVEL_DENSITY)


def vehicle(at: Bench, trial: Trial) -> Reduction:
    """A wing on a vehicle against the lattice of that wing alone."""
    reference = at.geometry.reference
    if reference is None or trial.of != reference:
        return nothing(trial, f"only the reference wing is compared on a vehicle yet, not {trial.of}")
    rho = air_density(trial)
    speed = _greatest(trial, "speed_kmh", KITE_SPEED)
    alone = wing_alone(at.geometry.surfaces[reference], float(trial.specimen.get("scale", 1.0)), speed, rho)
    wing = WingAlone(
        alone.area,
        alone.chord,
        partial(_wing_figures, alone, speed, rho),
        -alone.moment_slope / alone.slope,
    )
    return reduce_vehicle(trial, wing, at.prior, rho)


def _greatest(trial: Trial, column: str, otherwise: float) -> float:
    if trial.readings is None or column not in trial.readings.columns:
        return otherwise
    return float(np.nanmax(numbers(trial.readings, column), initial=0.0)) or otherwise


def _wing_figures(
    alone: AloneInAir, speed: float, rho: float, states: Points
) -> tuple[Array, Array, Array, Array]:
    top = alone.maximum_lift(states, speed, rho)
    return alone.slope_of(states), alone.zero_lift_of(states), top, alone.cm0_of(states)


def bend(at: Bench, trial: Trial) -> Reduction:
    """A smaller wing against the sections of its own drawing."""
    wing = at.plane.wing
    if wing is None or trial.of != wing.name:
        return nothing(trial, f"only the reference wing is compared in bending yet, not {trial.of}")
    try:
        prediction = bend_prediction(at.plane, trial.specimen, float(trial.rig.get("saddle", 0.0)) / 2)
    except InputError as error:
        return nothing(trial, f"its strength cannot be predicted yet: {_why(error)}")
    modes = tuple(prediction.fails(points(at.prior)))
    article = FLYING_WING if is_flying_wing(at.plane, trial) else ""
    return reduce_bend(trial, prediction, modes, prediction.root_moment_per_kg, article)


def flying_mark(plane: Plane) -> str:
    """Mark of the wing that is built and will fly. Quantities ``article.*[wing-1]`` are those of the wing that flies
    now; records of another mark inform the batch and the team only."""
    return (plane.wing.article if plane.wing is not None else "") or FLYING_WING


def is_flying_wing(plane: Plane, trial: Trial) -> bool:
    """True when the article is the wing that will fly: whole size and its mark. A record without a mark is of the first
    wing."""
    whole = float(trial.specimen.get("scale", 1.0)) == 1.0
    return whole and (trial.article or FLYING_WING) == flying_mark(plane)


def thrust(at: Bench, trial: Trial) -> Reduction:
    """A static run of one engine against its prediction at that voltage in that day's air."""
    engine, stand_in, said = engine_of(at.plane, trial)
    if not at.plane.engines:
        return nothing(trial, "the aeroplane has no engine")
    kind = (engine or at.plane.engines[0]).kind
    battery = at.plane.battery
    one_pack = Pack(battery).printed_resistance * battery.count if battery is not None else None
    static, lack = _predicted_push(at.plane, engine, air_density(trial))
    said += lack
    serial = serial_of(at.plane, trial)
    pack = battery.serial if battery is not None else ""
    make = engine.make if engine is not None else ""
    anchor = CELL_VOLTS * battery.cells if battery is not None else ANCHOR
    return reduce_thrust(
        trial, EngineOnBench(kind, serial, static, stand_in, one_pack, pack, make, anchor, said)
    )


def _predicted_push(plane: Plane, engine: Engine | None, rho: float) -> tuple[Static | None, tuple[str, ...]]:
    if engine is None or plane.battery is None:
        return None, ()
    try:
        return partial(_static, power_model(plane, rho), engine.name), ()
    except InputError as error:
        return None, (f"its thrust cannot be predicted yet, so it moves nothing: {_why(error)}",)


def _why(error: InputError) -> str:
    fault = error.faults[0]
    return f"{fault.path} {fault.read}".strip()


def _static(model: PowerModel, engine: str, states: Points, volts: float) -> tuple[Array, Array]:
    return model.static(states, engine, volts)


def serial_of(plane: Plane, trial: Trial) -> str:
    """Serial of the unit that ran: as stated, else that of the engine now in its place, else ""."""
    placed = next((one for one in plane.engines if one.name == trial.of), None)
    return trial.serial or (placed.serial if placed is not None else "")


def engine_of(plane: Plane, trial: Trial) -> tuple[Engine | None, str, tuple[str, ...]]:
    """The fitted engine whose prediction serves, the id of a serial factor that is not this run's, and a
    sentence.

    A serial that is no longer fitted informs its make alone, and only while that make is known: when all
    engines of the aeroplane are of one make.
    """
    serial = serial_of(plane, trial)
    fitted = next((one for one in plane.engines if one.serial == serial), None)
    if fitted is not None:
        said = () if trial.serial else ("no serial is stated: taken as the engine that is in its place now",)
        return fitted, "", said if len(plane.engines) > 1 and "/" not in serial else ()
    if len({one.make for one in plane.engines}) == 1:
        other = plane.engines[0]
        words = f"{serial} is not fitted any more: its run speaks for engines of its make only"
        return other, f"eng.serial[{other.serial}]", (words,)
    return (
        None,
        "",
        (f"{serial} is not fitted any more and its make is not stated: its thrust moves nothing",),
    )


def balance(at: Bench, trial: Trial) -> Reduction:
    """Wheel loads against the bookkeeping of masses, with the battery where it lay."""
    rig = trial.rig
    wheels = {name: float(rig[name]) for name in ("nose", "mains", "tail") if name in rig}
    for wheel in at.plane.wheels:
        wheels.setdefault("mains" if wheel.name == "main" else wheel.name, wheel.x)
    model = mass_model(at.geometry, at.ledger)
    place = float(rig["battery"]) if "battery" in rig else None
    weighed = Weighed(
        partial(_bookkeeping, model, place), trial.configuration in ("", at.plane.configuration)
    )
    return reduce_balance(trial, weighed, wheels)


def _bookkeeping(model: MassModel, battery_x: float | None, states: Points) -> tuple[Array, Array]:
    state = model.evaluate(states, battery_x)
    return state.mass, state.cg[0]


def proof(at: Bench, trial: Trial) -> Reduction:
    """A joint that held, or let go, under a hung mass; or the wing itself under sand up to its limit load."""
    wing = at.plane.wing
    if wing is not None and trial.of == wing.name:
        return bend(at, trial)
    if wing is None or not trial.of.startswith(f"{wing.name}.joint."):
        return nothing(trial, f"only joints of the wing are compared in a proof yet, not {trial.of}")
    return reduce_proof(trial, joint_capacity(at.plane, trial.of.rpartition(".")[2]))


def joint_capacity(plane: Plane, name: str) -> Capacity | None:
    """Moment (N m) at which a plug-in joint gives, for points of knowledge; None for a hinge, whose
    strength no drawing tells."""
    wing = plane.wing
    if wing is None:
        return None
    found = {one.joint.name: one.moment for one in joiners(plane, wing, half_wing(plane, wing))}
    if name not in found:
        return None
    return partial(_joint_moment, found[name])


def _joint_moment(nominal: float, states: Points) -> Array:
    return np.asarray(nominal * states.factor("joint.factor") * states.factor("article.joint", FLYING_WING))


def proved(at: Bench) -> tuple[Reduction, ...]:
    """Proofs of the flying wing that stand in the checks as lifts of the whole aeroplane at its tips: every
    mode and every plug-in joint held what the lift asked of it. The load is that of the weighed aeroplane,
    within 4 %."""
    shape = at.geometry.wing
    lifts = [one for one in at.ledger.checks if _tip_lift(one, flying_mark(at.plane))]
    if shape is None or not lifts:
        return ()
    mass = mass_model(at.geometry, at.ledger)
    carried = mass.wing_masses(points(at.prior))
    model = strength_model(at.geometry, elliptic_span_load(shape.span / 2), carried)
    weight = float(mass.evaluate(points(at.prior)).mass[0])
    load = tip_lift(model.half.y, shape.span / 2, weight, carried)
    return tuple(_lifted(one, model, load, points(at.prior)) for one in lifts)


def _tip_lift(one: Check, flying: str) -> bool:
    held = one.passed and one.name.startswith("proof ") and (one.serial or FLYING_WING) == flying
    return held and "tips" in one.note.lower().split()


def _lifted(one: Check, model: StrengthModel, load: Along, middle: Points) -> Reduction:
    name = f"checks.csv line {one.line}"
    held = once(lambda states: model.under(load, states))
    modes = tuple(held(middle))
    events = tuple(Event(name, f"{mode} held", 0.04, partial(_held_by, held, mode)) for mode in modes)
    return Reduction(name, events=events)


def _held_by(held: Callable[[Points], Mapping[str, Array]], mode: str, states: Points) -> Array:
    return np.asarray(np.log(held(states)[mode]))
