"""Engines on their pack: thrust, current and time in the air for all draws at once.

Propellers by a measured table, else by blade elements; fans by momentum with losses, scaled to ideal thrust and a
factor; the pack is a voltage by charge and a resistance. Wires are looked at beside it (``wires``);
the resistance of controllers and plugs is left out.
Factors of knowledge: ``eng.make`` and ``eng.serial`` multiply thrust, ``eng.current`` current, ``eng.lapse``
the loss of thrust from rest to flight speed, ``pack.R`` and ``pack.Q`` the printed resistance and charge.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import elementwise

from planewright.analysis.model import States
from planewright.analysis.power.motor import pack_amps
from planewright.analysis.power.pack import Pack
from planewright.analysis.power.units import Unit, fan_unit, propeller_unit
from planewright.errors import Fault, InputError, OutOfRange
from planewright.plane.model import Engine, Plane

Array = npt.NDArray[np.float64]
Number = Array | float

SUPPLY_AMPS = 0.3
"""Current of receiver and servos, drawn from the flight pack. Judgement."""
PATTERN = 1.25
"""Mean current in a pattern over that of straight level flight. Judgement, until flown."""
RESERVE = 0.30
"""Part of the charge left on landing: knee of the pack and two go-rounds (common practice, no source)."""
NODES = 9
VOLT_ROUNDS = 4


@dataclass(frozen=True)
class Thrust:
    """Engines at one throttle: ``engine`` name -> thrust (N,) N (a stopped one negative), ``total`` N,
    ``amps`` from the pack A, ``volts`` at its terminals, each (N,)."""

    engine: Mapping[str, Array]
    total: Array
    amps: Array
    volts: Array


@dataclass(frozen=True)
class Level:
    """Steady flight at a wanted thrust: pack ``amps``, terminal ``volts``, ``duty`` of the controllers, and
    whether it is ``available`` at all; where it is not, the other three are nan. Shapes (N,)."""

    amps: Array
    volts: Array
    duty: Array
    available: npt.NDArray[np.bool_]


def power_model(
    plane: Plane, density: float, celsius: float = 25.0, age: float = 1.0, reckon: bool = False
) -> PowerModel:
    """The engines and the pack of a plane in air of ``density`` (kg/m3); ``celsius`` of the pack's cells, ``age`` a
    factor on its resistance; ``reckon`` takes propellers by blade elements even where a table was measured, so that
    like is compared with like.

    Raises InputError naming every engine that lacks what it needs, and a missing battery.
    """
    faults = tuple(_lacking(plane))
    if faults or plane.battery is None:
        raise InputError(faults)
    pack = Pack(plane.battery, celsius, age)
    units: dict[str, Unit] = {}
    basis: dict[str, str] = {}
    for engine in plane.engines:
        units[engine.name], basis[engine.name] = _unit(engine, density, 1.02 * pack.most_volts, reckon)
    return PowerModel(plane.engines, units, basis, pack, density)


@dataclass(frozen=True)
class PowerModel:
    """Propulsion of one plane. ``basis`` says in words, by engine name, where its nominal comes from."""

    engines: tuple[Engine, ...]
    units: Mapping[str, Unit]
    basis: Mapping[str, str]
    pack: Pack
    density: float

    @property
    def most_volts(self) -> float:
        """Highest voltage at a motor that can be asked, V."""
        return 1.02 * self.pack.most_volts

    def static(self, states: States, engine: str, volts: Number) -> tuple[Array, Array]:
        """(thrust N, motor current A), each (N,), of one engine at rest, full throttle, at ``volts`` on its
        terminals: what a bench run reads. ``volts``: number or (N,). KeyError for an unknown name."""
        one = self._named(engine)
        factor, lapse, current = _factors(states, one)
        given = np.broadcast_to(np.asarray(volts, dtype=np.float64), (states.count,))
        still = np.zeros(states.count)
        unit = self.units[engine]
        return unit.thrust(given, still, factor, lapse), current * unit.amps(given, still)

    def thrust(self, states: States, speed: Number, charge: Number, throttle: Number = 1.0) -> Thrust:
        """All engines on the pack at flight ``speed`` (m/s), ``charge`` left (0 to 1), ``throttle`` = duty of
        the controllers (0 to 1; a lever is not a duty). Numbers or (N,). Returns :class:`Thrust`."""
        return self._run(states, self.engines, speed, charge, throttle)

    def one_stopped(
        self,
        states: States,
        stopped: str,
        speed: Number,
        charge: Number,
        throttle: Number = 1.0,
        brake: bool | None = None,
    ) -> Thrust:
        """As :meth:`thrust` with one engine stopped: its entry is its drag (negative). The others gain a little,
        because the pack sags less. ``brake``: whether its controller holds it still; None counts whichever drags
        more. KeyError for an unknown name."""
        dead = self._named(stopped)
        running = tuple(one for one in self.engines if one is not dead)
        found = self._run(states, running, speed, charge, throttle)
        drag = -self.units[stopped].dead(self._many(states, speed), brake)
        return Thrust({**found.engine, stopped: drag}, found.total + drag, found.amps, found.volts)

    def curve(
        self,
        states: States,
        top_speed: float,
        charge: Number,
        throttle: Number = 1.0,
        stopped: str | None = None,
    ) -> Callable[[Array], Array]:
        """Total thrust as a quick function of speed, for runs that ask it many times: speed (N,) -> thrust (N,).

        Seven speeds from 0 to ``top_speed`` (m/s) are matched and a polynomial of degree four goes through them,
        draw by draw (within 0.3 % of the static thrust up to 20 m/s); ``stopped`` names an engine that stands.
        Speeds beyond ``top_speed`` raise OutOfRange.
        """
        speeds = np.linspace(0.0, top_speed, 7)
        running = tuple(one for one in self.engines if one.name != stopped)
        found = [self._run(states, running, float(one), charge, throttle).total for one in speeds]
        fit = np.polynomial.polynomial.polyfit(speeds / top_speed, np.array(found), 4)
        dead = self.units[self._named(stopped).name] if stopped is not None else None

        def total(speed: Array) -> Array:
            if np.any(speed > 1.0001 * top_speed) or np.any(speed < 0.0):
                raise OutOfRange("flight speed in m/s", float(np.max(speed)), 0.0, top_speed)
            thrust = np.asarray(np.polynomial.polynomial.polyval(speed / top_speed, fit, tensor=False))
            return np.asarray(thrust if dead is None else thrust - dead.dead(speed), dtype=np.float64)

        return total

    def level(self, states: States, speed: Number, thrust_needed: Number, charge: Number) -> Array:
        """Pack current, A, (N,), that gives ``thrust_needed`` (N) at ``speed`` (m/s), all controllers alike; nan
        where the engines cannot give it. See :meth:`level_state` for voltage and duty."""
        return self.level_state(states, speed, thrust_needed, charge).amps

    def level_state(self, states: States, speed: Number, thrust_needed: Number, charge: Number) -> Level:
        """As :meth:`level`, whole: first the motor voltage that gives the thrust, then the pack's terminals."""
        volts, reached = self._motor_volts(states, speed, thrust_needed)
        return self._on_pack(states, speed, volts, reached, charge)

    def endurance(
        self,
        states: States,
        speed: Number,
        thrust_needed: Number,
        start: float = 1.0,
        left: float = RESERVE,
        pattern: float = PATTERN,
    ) -> Array:
        """Time, s, (N,), from ``start`` to ``left`` of the charge at the current of level flight times ``pattern``.

        Integrates usable charge over current by Simpson's rule at nine levels of charge; from where the pack can
        no longer hold level flight no more time is counted.
        """
        volts, reached = self._motor_volts(states, speed, thrust_needed)
        levels = np.linspace(left, start, NODES)
        found = [self._on_pack(states, speed, volts, reached, float(one)) for one in levels]
        inverse = np.array(
            [np.where(one.available, 1.0 / np.nan_to_num(one.amps, nan=1.0), 0.0) for one in found]
        )
        weights = np.array([1.0, *([4.0, 2.0] * (NODES // 2))[:-1], 1.0]) * (levels[1] - levels[0]) / 3.0
        return np.asarray(self.pack.charge(states) * (weights @ inverse) / pattern)

    def charge_used(
        self, states: States, level_amps: Array, full_amps: Array, time: float, full_for: float = 15.0
    ) -> Array:
        """Part (0 to 1) of the usable charge that a flight of ``time`` s takes, (N,): level current times the
        pattern factor, and ``full_for`` s at the full current for take-off and climb (judgement)."""
        taken = PATTERN * level_amps * time + full_amps * full_for
        return np.asarray(taken / self.pack.charge(states))

    def _named(self, name: str) -> Engine:
        found = next((one for one in self.engines if one.name == name), None)
        if found is None:
            raise KeyError(f"no engine is called {name!r}; there are {', '.join(self.units)}")
        return found

    def _many(self, states: States, value: Number) -> Array:
        return np.array(np.broadcast_to(np.asarray(value, dtype=np.float64), (states.count,)))

    def _run(
        self, states: States, running: tuple[Engine, ...], speed: Number, charge: Number, throttle: Number
    ) -> Thrust:
        flight, duty = self._many(states, speed), self._many(states, throttle)
        factors = [_factors(states, one) for one in running]
        units = [self.units[one.name] for one in running]

        def surplus(
            volts: Array, open_: Array, ohms: Array, flight: Array, duty: Array, *current: Array
        ) -> Array:
            motor = [k * one.amps(duty * volts, flight) for k, one in zip(current, units, strict=True)]
            drawn = sum((pack_amps(one, duty) for one in motor), start=np.full_like(volts, SUPPLY_AMPS))
            return np.asarray(open_ - ohms * drawn - volts)

        open_, ohms = self._many(states, self.pack.open_volts(charge)), self.pack.resistance(states)
        args = (open_, ohms, flight, duty, *(one[2] for one in factors))
        volts = np.asarray(elementwise.find_root(surplus, (1e-3 * open_, open_), args=args).x)
        pushes = {
            one.name: self.units[one.name].thrust(duty * volts, flight, factor, lapse)
            for one, (factor, lapse, _) in zip(running, factors, strict=True)
        }
        total = sum(pushes.values(), start=np.zeros(states.count))
        return Thrust(pushes, np.asarray(total), (open_ - volts) / ohms, volts)

    def _motor_volts(
        self, states: States, speed: Number, thrust_needed: Number
    ) -> tuple[Array, npt.NDArray[np.bool_]]:
        """(voltage at the motors that gives the thrust, whether any does), each (N,)."""
        flight, needed = self._many(states, speed), self._many(states, thrust_needed)
        factors = [_factors(states, one) for one in self.engines]
        units = [self.units[one.name] for one in self.engines]
        split = len(units)

        def surplus(volts: Array, flight: Array, needed: Array, *rest: Array) -> Array:
            pairs = zip(units, rest[:split], rest[split:], strict=True)
            total = sum((unit.thrust(volts, flight, f, lapse) for unit, f, lapse in pairs), start=-needed)
            return np.asarray(total)

        rest = (*(one[0] for one in factors), *(one[1] for one in factors))
        nothing, most = np.zeros(states.count), np.full(states.count, self.most_volts)
        idle = surplus(nothing, flight, needed, *rest) >= 0.0
        reached = surplus(most, flight, needed, *rest) >= 0.0
        asked = np.where(reached & ~idle, needed, surplus(0.5 * most, flight, nothing, *rest))
        found = elementwise.find_root(surplus, (nothing, most), args=(flight, asked, *rest))
        settled = np.isfinite(found.x)
        return np.where(idle | ~settled, 0.0, found.x), reached & (settled | idle)

    def _on_pack(
        self, states: States, speed: Number, volts: Array, reached: npt.NDArray[np.bool_], charge: Number
    ) -> Level:
        """Terminals of the pack while the motors get ``volts``: U^2 - Voc U + R P = 0, upper root."""
        flight = self._many(states, speed)
        currents = [
            _factors(states, one)[2] * self.units[one.name].amps(volts, flight) for one in self.engines
        ]
        motor = np.sum(currents, axis=0)
        ohms = self.pack.resistance(states)
        rest = self._many(states, self.pack.open_volts(charge)) - ohms * SUPPLY_AMPS
        terminal = rest
        for _ in range(VOLT_ROUNDS):
            duty = np.minimum(volts / terminal, 1.0)
            power = terminal * pack_amps(motor, duty)
            root = rest**2 - 4.0 * ohms * power
            terminal = 0.5 * (rest + np.sqrt(np.maximum(root, 0.0)))
        fits = reached & (root >= 0.0) & (volts <= terminal)
        amps = pack_amps(motor, np.minimum(volts / terminal, 1.0)) + SUPPLY_AMPS
        amps, terminal, duty = (np.where(fits, one, np.nan) for one in (amps, terminal, volts / terminal))
        return Level(amps, terminal, duty, fits)


def _factors(states: States, engine: Engine) -> tuple[Array, Array, Array]:
    """(factor on thrust, factor on the lapse, factor on current) of one engine, each (N,)."""
    level = states.factor("eng.make", engine.make) * states.factor("eng.serial", engine.serial)
    return level, states.factor("eng.lapse", engine.make), states.factor("eng.current", engine.make)


def _unit(engine: Engine, density: float, most_volts: float, reckon: bool) -> tuple[Unit, str]:
    if engine.fan is not None and engine.claim is not None:
        unit = fan_unit(engine.fan, engine.claim, density, most_volts)
        return unit, "ideal thrust of its nozzle from 0.85 of the seller's current, 0.85 of it at the shaft"
    assert engine.motor is not None and engine.propeller is not None
    return propeller_unit(engine.motor, engine.propeller, engine.table, density, most_volts, reckon)


def _lacking(plane: Plane) -> list[Fault]:
    faults = []
    if not plane.engines:
        faults.append(_fault("engine", "nothing", "an engine.", "Without one there is no thrust to compute."))
    if plane.battery is None:
        faults.append(_fault("battery", "nothing", "cells, charge and mass.", "Describe the flight pack."))
    for one in plane.engines:
        claimed = one.claim is not None and None not in (one.claim.volts, one.claim.amps)
        if one.kind == "fan" and (one.fan is None or not claimed):
            read = "a fan without volts and amperes"
            advice = 'Write claim = "20 N at 24 V and 48 A" with the seller\'s figures: a thrust run corrects them.'
            faults.append(_fault(one.name, read, "its sizes and the seller's claim.", advice))
        if one.kind == "propeller" and (one.motor is None or one.propeller is None):
            read, wanted = "a propeller engine that is not complete", "a motor and a propeller."
            faults.append(
                _fault(one.name, read, wanted, "Give the motor its speed, resistance and idle current.")
            )
    return faults


def _fault(path: str, read: str, expected: str, advice: str) -> Fault:
    return Fault("aeroplane.toml", 0, path, read, expected, advice)
