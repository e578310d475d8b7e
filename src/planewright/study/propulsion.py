"""The sheet of the engines: map, match, minutes, one engine stopped, unequal engines, wires and supply.

Everything is worked out from the study's own models and draws; nothing here reads a file. What a bench run said is
added by the door that read it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from planewright.analysis import handling
from planewright.analysis.atmosphere import GRAVITY
from planewright.analysis.power import (
    FanUnit,
    PowerModel,
    PropellerUnit,
    claim_shares,
    power_model,
    second_opinion,
    time_to,
    timers,
)
from planewright.analysis.power.blades import blade_of, stalled_share
from planewright.analysis.power.model import PATTERN, RESERVE
from planewright.analysis.power.motor import HEAT_CAPACITY_MOTOR, HEAT_CAPACITY_PACK, heating
from planewright.analysis.power.planning import FIRST_OF_BENCH
from planewright.analysis.power.wires import STIR_TEST, linear_heat, supply_need, wire_for
from planewright.findings.model import Record
from planewright.plane.model import Engine
from planewright.study.numbers import EARLY, FULL, TIRED
from planewright.study.study import Study

Array = npt.NDArray[np.float64]

UNEQUAL, SOUND = 0.05, 340.0
SECOND_OPINION, STALLED, ASK_CLAIM = 0.25, 0.6, 0.85
HALF_DUTY, RUDDER_SPEED, COLD = 0.5, 1.2, 0.0
MAP_SPEEDS = (0.0, 5.0, 10.0, 15.0, 20.0, 25.0)
MAP_SHARES = (0.25, 0.5, 0.75, 1.0)

CAUTIONS = (
    "Blades: nobody in the plane of a propeller, nothing loose near a fan's mouth, the aeroplane held against three "
    "times its thrust, the arming plug last; be ready for full power the moment it goes in.",
    "Ears: protected for everybody within 7 m of an engine at power; children farther away.",
    "Packs: charge on a surface that does not burn, never alone; a swollen, hissing or crashed pack goes outside and "
    "is watched.",
    "Local rules and licensed practice come first; this tool permits nothing.",
)
NOISE = (
    "Noise: two equal sources are 3 dB more than one, twice the distance is about 6 dB less (H. Kloet and others, for "
    "small multirotors). No level is predicted: no readable measurement of such engines was found, and a shroud can be "
    "louder (A. Oleson and R. Patrick, AIAA-98-2284). Measure at the spectators' line.",
)


class Band(Record):
    """A number with its 95 % band; ``unit`` SI."""

    value: float
    low: float
    high: float
    unit: str


class MapRow(Record):
    """Thrust N and motor current A at one voltage at the motor, over the sheet's speeds."""

    volts: float
    thrust: tuple[float, ...]
    amps: tuple[float, ...]


class UnitRow(Record):
    """One engine: what it is, how it is known, its map at medians and what it does at full power on a full pack."""

    name: str
    serial: str
    kind: str
    basis: str
    speeds: tuple[float, ...]
    map: tuple[MapRow, ...]
    thrust: Band
    amps: Band
    thrust_planned: Band
    shaft_rpm: float
    torque: float
    tip_speed: float
    tip_mach: float
    tone: float
    claim: str
    says: tuple[str, ...]


class MatchRow(Record):
    """All engines on the pack in one condition. ``duty`` of the controllers; ``available`` share of the draws."""

    id: str
    words: str
    thrust: Band
    amps: Band
    volts: float
    duty: float
    available: float


class FlightRow(Record):
    """Minutes and timers, s; ``alarm`` V at the terminals; heat in K/min without any cooling."""

    level: Band
    pattern: Band
    cautious: float
    bench: float
    first: float
    reserve: float
    alarm: float
    cold_thrust: float
    cold_minutes: float
    pack_heat_full: float
    pack_heat_level: float
    says: tuple[str, ...]


class StoppedRow(Record):
    """One engine stopped at the climbing speed on a 90 % pack: climb gradient held still by a brake and turned by the
    air, yawing moment N m, what the other gains."""

    name: str
    speed: float
    climb_brake: Band
    climb_free: Band
    moment: float
    gain: float
    says: tuple[str, ...]


class PairRow(Record):
    """Left against right at equal lever: difference of thrust N (right less left) and over the mean; the duty of the
    stronger one that makes them equal at full and at half; yawing moment N m; rudder rad at 1.2 of the stall speed and
    its travel; mass right less left kg and how far the balance point lies off the middle m."""

    difference: Band
    share: float
    stronger: str
    trim_full: float
    trim_half: float
    moment: float
    rudder: Band
    travel: float
    roll_torque: float
    mass_difference: float
    balance_aside: float
    says: tuple[str, ...]


class SupplyRow(Record):
    """Receiver and servos, A: steady, peak (1 s), brief (blink), and the sum of stall currents (least, most)."""

    steady: float
    peak: float
    brief: float
    stalls: tuple[float, float]
    says: tuple[str, ...]


def band(draws: Array, unit: str) -> Band:
    """Median and 95 % band of the draws that are numbers."""
    good = draws[np.isfinite(draws)]
    if not good.size:
        return Band(value=0.0, low=0.0, high=0.0, unit=unit)
    low, middle, high = (float(one) for one in np.percentile(good, [2.5, 50.0, 97.5]))
    return Band(value=middle, low=low, high=high, unit=unit)


def middle_of(draws: Array) -> float:
    """Median of the draws that are numbers; 0 when there is none."""
    good = draws[np.isfinite(draws)]
    return float(np.median(good)) if good.size else 0.0


def planned(study: Study) -> tuple[Array, Array]:
    """(planned speed m/s, drag N), each (N,); without a wing 0 and 0."""
    flown = study.outer[1]
    nothing = np.zeros(study.draws.count)
    return (nothing, nothing) if flown is None else (flown.speed, flown.drag.force)


def unit_rows(study: Study, power: PowerModel) -> tuple[UnitRow, ...]:
    """One row for each engine."""
    return tuple(_unit_row(study, power, one) for one in power.engines)


def _unit_row(study: Study, power: PowerModel, engine: Engine) -> UnitRow:
    unit, draws = power.units[engine.name], study.draws
    speed, _ = planned(study)
    still, flying = power.thrust(draws, 0.0, FULL), power.thrust(draws, speed, EARLY)
    volts = np.array([middle_of(still.volts)])
    _, amps = power.static(draws, engine.name, middle_of(still.volts))
    assert isinstance(unit, PropellerUnit | FanUnit)
    turns = float(unit.shaft_speed(volts, np.zeros(1))[0])
    size = engine.propeller.diameter if engine.propeller else engine.fan.inside if engine.fan else 0.0
    blades = engine.propeller.blades if engine.propeller else engine.fan.blades if engine.fan else 0
    claim, words = claim_words(engine, power.density)
    return UnitRow(
        name=engine.name,
        serial=engine.serial,
        kind=engine.kind,
        basis=power.basis[engine.name],
        speeds=MAP_SPEEDS,
        map=tuple(_map(study, power, engine, float(volts[0]) * share) for share in MAP_SHARES),
        thrust=band(still.engine[engine.name], "N"),
        amps=band(amps, "A"),
        thrust_planned=band(flying.engine[engine.name], "N"),
        shaft_rpm=turns * 30.0 / np.pi,
        torque=shaft_torque(engine, middle_of(amps)),
        tip_speed=0.5 * size * turns,
        tip_mach=0.5 * size * turns / SOUND,
        tone=blades * turns / (2.0 * np.pi),
        claim=claim,
        says=(*words, *unit_words(study, power, engine, amps)),
    )


def shaft_torque(engine: Engine, amps: float) -> float:
    """Torque of a described motor, N m; 0 for one that is not described."""
    motor = engine.motor
    return max(amps - motor.idle, 0.0) / motor.speed_constant if motor else 0.0


def _map(study: Study, power: PowerModel, engine: Engine, volts: float) -> MapRow:
    speeds, ones = np.array(MAP_SPEEDS), np.ones(len(MAP_SPEEDS))
    draws, unit = study.draws, power.units[engine.name]
    level = middle_of(draws.factor("eng.make", engine.make) * draws.factor("eng.serial", engine.serial))
    lapse = middle_of(draws.factor("eng.lapse", engine.make))
    thrust = unit.thrust(volts * ones, speeds, level * ones, lapse * ones)
    amps = middle_of(draws.factor("eng.current", engine.make)) * unit.amps(volts * ones, speeds)
    return MapRow(volts=volts, thrust=tuple(map(float, thrust)), amps=tuple(map(float, amps)))


def claim_words(engine: Engine, density: float) -> tuple[str, tuple[str, ...]]:
    """(the seller's claim in words or "", what to ask about it)."""
    claim = engine.claim
    if claim is None or claim.thrust is None or claim.volts is None or claim.amps is None:
        return "", ()
    width = engine.fan.nozzle if engine.fan else engine.propeller.diameter if engine.propeller else 0.0
    area = np.pi / 4.0 * width**2
    whole, shaft = claim_shares(claim.thrust, claim.volts, claim.amps, area, density, engine.fan is not None)
    words = (
        f"claimed by the seller, not measured: {claim.thrust:.3g} N at {claim.volts:g} V and {claim.amps:g} A"
    )
    if whole > 1.0:
        return words, (f"The claim is {whole:.2f} times the most that power can give: impossible.",)
    asked = f"The claim is {shaft:.2f} of the ideal for 0.85 of its power at the shaft"
    return words, (f"{asked}: ask how it was measured." if shaft > ASK_CLAIM else f"{asked}.",)


def unit_words(study: Study, power: PowerModel, engine: Engine, amps: Array) -> Iterator[str]:
    """What must be said about one engine."""
    most = float(np.nanpercentile(amps, 97.5))
    limit = engine.controller.limit if engine.controller else None
    if limit is not None:
        spare = limit / most - 1.0
        short = "" if spare >= 0.25 else ", less than the 25 % that common practice asks"
        yield f"Controller: {limit:.0f} A against {most:.0f} A at full power, {100 * spare:.0f} % to spare{short}."
    propeller = engine.propeller
    if propeller is not None and "measured tables" not in power.basis[engine.name]:
        other = second_opinion(propeller)
        if other > SECOND_OPINION:
            yield f"A regression on size and pitch differs by {100 * other:.0f} %: run it on a bench first."
        if propeller.blades != 2 or propeller.pitch / propeller.diameter > 0.64:
            yield "No propeller like this was measured (two blades, pitch to 0.64 of the diameter): a guess."
        share = stalled_share(blade_of(propeller))
        if share > STALLED:
            yield (
                f"At rest {100 * share:.0f} % of its blade is stalled: a bench run sets the level at rest only, flight "
                "needs a run in wind."
            )
    if engine.motor is not None:
        copper = middle_of(amps) ** 2 * engine.motor.resistance
        rise = float(heating(copper, engine.motor.mass, HEAT_CAPACITY_MOTOR))
        yield f"Motor: {copper:.0f} W in its copper at full power, {rise:.0f} K a minute uncooled; stop at 80 °C."
    yield from wire_words(study, power, engine, middle_of(amps))


def wire_words(study: Study, power: PowerModel, engine: Engine, amps: float) -> Iterator[str]:
    """Gauge from the pack to the controller by 2 % of voltage drop, and what two lists say of it."""
    pack, controller = study.plane.battery, engine.controller
    if pack is None:
        return
    x = controller.x if controller is not None and controller.x is not None else engine.x
    length = abs(x - pack.x) + abs(engine.y) + 0.1
    wire = wire_for(amps, length, pack.cells * 3.7)
    lists = [
        f"{name} {value:.0f} A"
        for name, value in (("bundled", wire.bundle), ("in the open", wire.chassis))
        if value is not None
    ]
    yield (
        f"Wire: {length:.2f} m each way, gauge {wire.gauge} drops {1000 * wire.drop:.0f} mV, {100 * wire.share:.1f} % "
        f"at {amps:.0f} A (listed for {' and '.join(lists)})."
    )


def match_rows(study: Study, power: PowerModel) -> Iterator[MatchRow]:
    """Engines on the pack at rest, at the planned speed and in level flight."""
    draws = study.draws
    speed, drag = planned(study)
    for name, words, at, charge in (
        ("static_full", "at rest, full pack", np.zeros(draws.count), FULL),
        ("static_tired", "at rest, 30 % left", np.zeros(draws.count), TIRED),
        ("planned", "planned speed, 90 % left", speed, EARLY),
        ("planned_tired", "planned speed, 30 % left", speed, TIRED),
    ):
        found = power.thrust(draws, at, charge)
        yield MatchRow(
            id=name,
            words=words,
            thrust=band(found.total, "N"),
            amps=band(found.amps, "A"),
            volts=middle_of(found.volts),
            duty=1.0,
            available=1.0,
        )
    if np.any(drag > 0.0):
        level = power.level_state(draws, speed, drag, EARLY)
        yield MatchRow(
            id="level",
            words="level at the planned speed, 90 % left",
            thrust=band(drag, "N"),
            amps=band(level.amps, "A"),
            volts=middle_of(level.volts),
            duty=middle_of(level.duty),
            available=float(np.mean(level.available)),
        )


def flight_row(study: Study, power: PowerModel, measured: float = np.inf) -> FlightRow | None:
    """Minutes, reserve, timers, alarm, cold and heat; None where nothing flies. ``measured``: first timer, s, that
    a load run of the pack gives; the least of all counts."""
    speed, drag = planned(study)
    if not np.any(drag > 0.0) or study.plane.battery is None:
        return None
    draws, pack = study.draws, study.plane.battery
    plan = study.plane.first_flight.time
    found = timers(power, draws, speed, drag, plan)
    amps, full = power.level(draws, speed, drag, EARLY), power.thrust(draws, 0.0, FULL)
    bench = float(time_to(middle_of(power.pack.charge(draws)), PATTERN * middle_of(amps)))
    cold = power_model(study.plane, power.density, COLD)
    ohms = middle_of(power.pack.resistance(draws))
    mass = pack.mass * pack.count
    heat = [float(heating(middle_of(one) ** 2 * ohms, mass, HEAT_CAPACITY_PACK)) for one in (full.amps, amps)]
    tired = [middle_of(one.thrust(draws, 0.0, TIRED).total) for one in (power, cold)]
    minutes = [middle_of(one.endurance(draws, speed, drag)) for one in (power, cold)]
    return FlightRow(
        level=band(found.level, "s"),
        pattern=band(found.pattern, "s"),
        cautious=found.cautious,
        bench=FIRST_OF_BENCH * bench,
        first=min(found.first, FIRST_OF_BENCH * bench, measured),
        reserve=found.reserve,
        alarm=found.alarm,
        cold_thrust=tired[1] / max(tired[0], 1e-9) - 1.0,
        cold_minutes=minutes[1] / max(minutes[0], 1e-9) - 1.0,
        pack_heat_full=heat[0],
        pack_heat_level=heat[1],
        says=tuple(flight_words(found.reserve, found.alarm, pack.cells)),
    )


def flight_words(reserve: float, alarm: float, cells: int) -> Iterator[str]:
    """What must be said about minutes and alarms."""
    spare = RESERVE - reserve
    held = (
        "with that to spare"
        if spare > 0.02
        else "with nothing to spare"
        if spare > -0.02
        else "which is too little"
    )
    yield (
        f"Knee of the pack and two go-rounds take {100 * reserve:.0f} %: land by {100 * RESERVE:.0f} %, {held}."
    )
    if np.isfinite(alarm):
        yield (
            f"Voltage alarm at {alarm / cells:.2f} V a cell, the voltage predicted at 30 % and level current; at full "
            "power it may ring earlier. The timer counts, the alarm only warns."
        )
    yield "Start only with 95 % or more; three flights before the timer grows; one change at a time."


def stopped_rows(study: Study, power: PowerModel) -> Iterator[StoppedRow]:
    """Each engine of a pair stopped."""
    flown = study.outer[1]
    sides = [one for one in power.engines if one.y != 0.0]
    if flown is None or len(sides) < 2:
        return
    draws = study.draws
    speed = middle_of(study.outer[0]["stall_speed"]) * 1.3
    weight = flown.mass.mass * GRAVITY
    air = study.models.air
    assert air is not None
    drag = air.drag(draws, air.trim(draws, flown.mass, speed, power.density)).force
    both = power.thrust(draws, speed, EARLY)
    for engine in sides:
        held, free = (
            power.one_stopped(draws, engine.name, speed, EARLY, brake=brake) for brake in (True, False)
        )
        other = next(one.name for one in sides if one is not engine)
        moment = abs(engine.y) * (held.engine[other] - held.engine[engine.name])
        yield StoppedRow(
            name=engine.name,
            speed=speed,
            climb_brake=band((held.total - drag) / weight, "1"),
            climb_free=band((free.total - drag) / weight, "1"),
            moment=middle_of(moment),
            gain=middle_of(held.engine[other] / both.engine[other]) - 1.0,
            says=tuple(stopped_words(study, engine)),
        )


def stopped_words(study: Study, engine: Engine) -> Iterator[str]:
    """Speed the rudder holds, throttle, brake."""
    found = study.outer[0]
    if "engine_out_speed" in found:
        speed, off = middle_of(found["engine_out_speed"]), middle_of(found["lift_off_speed"])
        if speed > off:
            yield (
                f"Full rudder holds full power above {speed:.1f} m/s, lift-off is at {off:.1f}: keep 80 % power until "
                f"{1.1 * speed:.0f} m/s, and close the throttle if it swings."
            )
        else:
            yield f"Full rudder holds full power above {speed:.1f} m/s, below lift-off at {off:.1f}."
    if engine.kind == "propeller":
        yield "Ask for the controller's brake: a propeller that stands still drags less than one the air turns."


def pair_row(study: Study, power: PowerModel) -> PairRow | None:
    """Left against right; None without a pair."""
    sides = sorted((one for one in power.engines if one.y != 0.0), key=lambda one: one.y)
    if len(sides) != 2:
        return None
    left, right = sides
    draws = study.draws
    full = power.thrust(draws, 0.0, FULL)
    difference = full.engine[right.name] - full.engine[left.name]
    mean = 0.5 * (full.engine[right.name] + full.engine[left.name])
    share = middle_of(difference / mean)
    strong, weak = (right, left) if share > 0 else (left, right)
    trims = [equal_duty(study, power, strong, weak, duty) for duty in (1.0, HALF_DUTY)]
    flown, air = study.outer[1], study.models.air
    rudder, travel, moment = np.full(draws.count, np.nan), 0.0, difference * abs(left.y)
    if flown is not None and air is not None:
        speed = RUDDER_SPEED * middle_of(study.outer[0]["stall_speed"])
        flying = power.thrust(draws, speed, EARLY).engine
        moment = flying[right.name] * right.y + flying[left.name] * left.y
        rudder = handling.steady_angle(air, draws, flown.mass.cg[0], -moment, speed, power.density)
        travel = handling.rudder_travel(air)
    rows = {row.part: row for row in study.weights}
    mass = [rows[one.name].used if one.name in rows else 0.0 for one in (right, left)]
    aside = middle_of(study.outer[0]["cg_y"])
    return PairRow(
        difference=band(difference, "N"),
        share=share,
        stronger=strong.name,
        trim_full=trims[0],
        trim_half=trims[1],
        moment=middle_of(moment),
        rudder=band(rudder, "rad"),
        travel=travel,
        roll_torque=roll_torque(study, power, (left, right)),
        mass_difference=mass[0] - mass[1],
        balance_aside=aside,
        says=(
            *pair_words(study, strong, weak, share, trims, rudder, travel),
            *weight_words(left, right, mass[0] - mass[1], aside),
            *missing_runs(study),
        ),
    )


def equal_duty(study: Study, power: PowerModel, strong: Engine, weak: Engine, duty: float) -> float:
    """Duty at which the stronger engine gives what the weaker gives at ``duty``, at medians and equal terminals."""
    draws = study.draws
    volts = middle_of(power.thrust(draws, 0.0, FULL, duty).volts)
    wanted = middle_of(power.static(draws, weak.name, duty * volts)[0])
    duties = np.linspace(0.5 * duty, duty, 51)
    given = [middle_of(power.static(draws, strong.name, float(one) * volts)[0]) for one in duties]
    return float(np.interp(wanted, given, duties))


def roll_torque(study: Study, power: PowerModel, sides: tuple[Engine, Engine]) -> float:
    """Torque of both shafts on the aeroplane about the roll axis, N m: 0 when they turn against each other."""
    each = [
        shaft_torque(one, middle_of(power.static(study.draws, one.name, 0.95 * power.pack.most_volts)[1]))
        for one in sides
    ]
    ways = {one.propeller.turns for one in sides if one.propeller is not None}
    opposite = len(ways) == 2 or any("ward" in way for way in ways)
    return abs(each[0] - each[1]) if opposite else sum(each)


def pair_words(
    study: Study, strong: Engine, weak: Engine, share: float, trims: list[float], rudder: Array, travel: float
) -> Iterator[str]:
    """What must be said about unequal engines."""
    size = abs(share)
    verdict = "more than the 5 % that twins are accepted with" if size > UNEQUAL else "inside the usual 5 %"
    yield f"{strong.name} ({strong.serial}) pushes {100 * size:.1f} % more than {weak.name} ({weak.serial}): {verdict}."
    if size > 0.01:
        yield (
            f"Trim {strong.name} to {100 * trims[0]:.0f} % of the controller at full, {100 * trims[1]:.0f} % at half; "
            "then run the climb again with both."
        )
    angle = middle_of(rudder)
    if travel > 0.0:
        used = abs(angle) / travel
        yield (
            f"At 1.2 of the stall speed the difference takes {np.rad2deg(abs(angle)):.1f} deg of rudder, "
            f"{100 * used:.0f} % of its travel."
        )
    if strong.make != weak.make:
        yield (
            "The engines are of two makes: a new serial and a new configuration letter, a bench run of both, weights "
            "and balance again, before the next flight."
        )


def weight_words(left: Engine, right: Engine, difference: float, aside: float) -> Iterator[str]:
    """Which side is lighter and where the balance point lies."""
    light, heavy = (left, right) if difference > 0 else (right, left)
    where = "right" if aside > 0 else "left"
    if abs(difference) >= 0.005:
        yield (
            f"{light.name} is {1000 * abs(difference):.0f} g lighter than {heavy.name}; the balance point lies "
            f"{1000 * abs(aside):.1f} mm {where} of the middle."
        )


def missing_runs(study: Study) -> Iterator[str]:
    """Rows of the study about the engines that are not clear, with whether they block."""
    for one in study.findings:
        if one.state != "clear" and (
            "thrust" in one.id or one.id in ("steady_rudder", "evidence.balance") or "engine" in one.id
        ):
            yield f"{'Blocks' if one.kind == 'block' else 'Watch'}: {one.sentence} ({one.state})."


def supply_row(study: Study, power: PowerModel) -> SupplyRow | None:
    """Supply of receiver and servos; None without servos."""
    plane = study.plane
    names: list[str | None] = [one.servo for one in plane.controls for _ in range(one.count)]
    names += [one.servo for one in plane.wheels]
    servos = [plane.servos[one] for one in names if one is not None and one in plane.servos]
    if not servos:
        return None
    need = supply_need(servos)
    says = [
        f"{len(servos)} servos: a regulator or pack of {need.steady:.0f} A steady and {need.peak:.0f} A for a second.",
        STIR_TEST,
    ]
    cells = plane.battery.cells if plane.battery else 0
    heat = linear_heat(power.pack.open_volts(EARLY).item(), 1.0) if cells else 0.0
    if cells > 3:
        says.append(f"No linear regulator from {cells} cells: {heat:.0f} W of heat at 1 A.")
    if any(one.name == "own_supply" for one in plane.equipment):
        says.append("Its own pack: check its charge before every flight.")
    return SupplyRow(
        steady=need.steady, peak=need.peak, brief=need.brief, stalls=need.stalls, says=tuple(says)
    )
