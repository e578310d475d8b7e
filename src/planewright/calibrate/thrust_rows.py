"""A static run as rows of knowledge: thrust on make and serial, current on make, resistance on the pack.

The reading is compared with the prediction at the very voltage of the run, so no law of voltage is carried
over. The arm's gain and the ammeter are instruments of their own, shared by all runs on one bench: their
errors are common, so left against right is known better than either. A static run never moves the loss of
thrust with speed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.calibrate.common import listed
from planewright.calibrate.problem import Block, Reduction, once
from planewright.calibrate.stand import lever_map, lever_words
from planewright.calibrate.thrust import (
    Bench,
    Damage,
    Push,
    bench,
    calibrate_cell,
    find_damage,
    pack_resistance,
    reduce_run,
)
from planewright.knowledge import Points
from planewright.records.model import Trial

Array = npt.NDArray[np.float64]
Static = Callable[[Points, float], tuple[Array, Array]]

FRICTION = 0.005
BENCH = 0.005
LEVER, METER = 0.01, 0.015
PACK_FORM = 0.05
SERIAL_SD = 0.04
VOLTAGE_FORM = 0.30


@dataclass(frozen=True)
class EngineOnBench:
    """The engine that ran.

    ``kind`` "fan" or "propeller"; ``serial`` as it is called; ``static``: states, volts -> (thrust N, amps
    A), each (K,), or None when its make is not known any more; ``stand_in``: id of the serial factor that
    ``static`` reads but that belongs to another engine ("" when the run is of the engine in its place);
    ``resistance``: printed resistance of one pack, ohm, or None, and ``pack`` its serial.
    """

    kind: str
    serial: str
    static: Static | None
    stand_in: str = ""
    resistance: float | None = None
    pack: str = ""
    make: str = ""
    anchor: float = 16.0
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class Borrowed(Points):
    """Points at which some ids are answered by others: an engine that is not fitted any more borrows the
    prediction of one of its make, with a serial factor of its own."""

    swaps: Mapping[str, str]

    def state(self, base: str, owner: str = "") -> Array:
        name = f"{base}[{owner}]" if owner else base
        return super().state(self.swaps.get(name, name))


def borrowed(at: Points, swaps: Mapping[str, str]) -> Points:
    """The same points with swapped ids; what is read is still noted."""
    return Borrowed(at.knowledge, at.values, at.count, at.asked, swaps) if swaps else at


def reduce_thrust(trial: Trial, engine: EngineOnBench) -> Reduction:
    """Rows of a static run.

    Arguments:
        trial: kind "thrust", columns second, throttle_pct, cell_g, volts, amps; calibration hung_g, cell_g,
            direction.
        engine: what ran and how it is predicted.

    A run in which the relation of thrust and voltage breaks counts only up to the break, for the make
    alone; the finding says that the serial is withdrawn. Raises InputError for missing columns, masses or
    quiet rows.
    """
    scale = calibrate_cell(trial)
    run, said = bench(trial, scale)
    damage = find_damage(run, engine.kind)
    hurt = damage is not None and damage.found
    push = reduce_run(run, scale, engine.kind, damage.row if damage is not None and hurt else None)
    own = f"{trial.id}:serial"
    swap = engine.stand_in or (f"eng.serial[{engine.serial}]" if hurt else "")
    swaps = {swap: own} if swap else {}
    lever, meter = (
        _instrument(trial, ("arm", "bench", "cell", "lever"), "bench"),
        _instrument(trial, ("meter",), "meter"),
    )
    locals_ = {lever: (0.0, LEVER), meter: (0.0, METER)} | ({own: (0.0, SERIAL_SD)} if swap else {})
    locals_ |= {f"form:{name}.voltage[{engine.make}]": (0.0, VOLTAGE_FORM) for name in ("thrust", "current")}
    blocks = _push_rows(trial, engine, push, lever, meter, swaps) + _pack_row(trial, engine, run, meter)
    levers = lever_words(
        lever_map(run, engine.kind, push, damage.row if damage is not None and hurt else None)
    )
    words = (*engine.said, *scale.said, *said, *_odd_rows(push), *_damage_words(damage, engine, push), levers)
    return Reduction(
        trial.id,
        blocks,
        locals=locals_,
        findings=words,
        facts=_facts(push, damage),
        doubted=push.odd,
        withdrawn=hurt,
        used=int(np.isfinite(run.push).sum()),
    )


def _instrument(trial: Trial, words: tuple[str, ...], otherwise: str) -> str:
    named = (one for one in trial.instruments if any(word in one.lower() for word in words))
    return f"instrument:{next(named, otherwise)}.{words[0]}"


def _push_rows(
    trial: Trial, engine: EngineOnBench, push: Push, lever: str, meter: str, swaps: Mapping[str, str]
) -> tuple[Block, ...]:
    static = engine.static
    if static is None:
        return ()

    both = once(lambda at: static(borrowed(at, swaps), push.volts))
    ahead = math.log(push.volts / engine.anchor)
    form = {name: f"form:{name}.voltage[{engine.make}]" for name in ("thrust", "current")}

    def thrust(at: Points) -> Array:
        return np.asarray(np.log(both(at)[0]) + at.state(lever) + ahead * at.state(form["thrust"]))[None, :]

    def current(at: Points) -> Array:
        return np.asarray(np.log(both(at)[1]) + at.state(meter) + ahead * at.state(form["current"]))[None, :]

    error = math.sqrt(push.thrust_sd**2 + FRICTION**2 + BENCH**2)
    rows = (
        ("thrust", push.thrust, error, thrust),
        ("current", push.amps, math.hypot(push.amps_sd, BENCH), current),
    )
    return tuple(
        Block(trial.id, name, (0,), np.array([math.log(value)]), np.array([sd]), predict)
        for name, value, sd, predict in rows
    )


def _pack_row(trial: Trial, engine: EngineOnBench, run: Bench, meter: str) -> tuple[Block, ...]:
    ohms, sd = pack_resistance(run)
    if engine.resistance is None or not ohms > 0 or sd > 0.3 * ohms:
        return ()
    y, error = np.array([math.log(ohms / engine.resistance)]), np.array([math.hypot(sd / ohms, PACK_FORM)])

    def predict(at: Points) -> Array:
        return np.asarray(at.state("pack.R", engine.pack) - at.state(meter))[None, :]

    return (Block(trial.id, "pack resistance", (0,), y, error, predict),)


def _odd_rows(push: Push) -> tuple[str, ...]:
    return (f"{listed(list(push.odd))}: thrust off the others, counts for less",) if push.odd else ()


def _damage_words(damage: Damage | None, engine: EngineOnBench, push: Push) -> tuple[str, ...]:
    if damage is None:
        return ("no hold of ten seconds at full lever: damage cannot be told from sag",)
    if not damage.found:
        return ()
    confirm = []
    if abs(damage.current_z) > 4:
        confirm.append(
            f"the current {'rises' if damage.current > 0 else 'falls'} by {abs(damage.current):.0%}"
        )
    if damage.scatter > 2:
        confirm.append(f"the scatter is {damage.scatter:.1f} times what it was")
    also = f"; {' and '.join(confirm)}" if confirm else ""
    return (
        f"row {damage.row} (second {damage.second:.0f}): thrust falls by {-damage.step:.1%} at equal voltage{also}."
        f" {engine.serial} is damaged and withdrawn; after a repair it gets a new serial and a new run",
    )


def _facts(push: Push, damage: Damage | None) -> dict[str, float]:
    facts = {
        "volts": push.volts,
        "thrust_N": push.thrust,
        "amps": push.amps,
        "exponent": push.exponent,
        "friction": push.friction,
    }
    if damage is not None and damage.found:
        facts |= {"damage_second": damage.second, "damage_step": damage.step}
    return facts
