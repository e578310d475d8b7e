"""What another battery, propeller, fan, nozzle or mouth would change: mass, balance, thrust, climb and minutes.

Each row is the aeroplane with one thing changed, at the medians of what is known, against itself. Propellers are
compared by blade elements on both sides, so that like stands against like; a pack's mass and resistance go with its
charge and cells, a fan's mass with the square of its duct (judgement). Another fan runs at the current of the old one,
behind openings as wide for its duct; the drag of a larger nacelle is not in its row. A row is a
reason to try, not a result.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.atmosphere import GRAVITY
from planewright.analysis.power import FanUnit, PowerModel, fan_on_grid, power_model
from planewright.errors import PlanewrightError
from planewright.findings.model import Record
from planewright.knowledge.draws import at_medians
from planewright.plane.model import Battery, Engine, Fan, Plane, Propeller
from planewright.study.numbers import EARLY, FULL, Flown, numbers
from planewright.study.study import Study

Array = npt.NDArray[np.float64]

INCH = 0.0254
NOZZLE = (0.92, 1.06)
MOUTH = 0.85
FANS = (0.9, 1.1)


class TradeRow(Record):
    """One change: mass kg, place of the balance point m, static thrust N, thrust at the planned speed N, climb
    gradient, time in the pattern s, current at full power A; each as it would be, with the change in ``by``."""

    words: str
    mass: float
    cg_x: float
    thrust: float
    thrust_planned: float
    climb: float
    minutes: float
    amps: float
    by: dict[str, float]
    says: tuple[str, ...] = ()


@dataclass(frozen=True)
class Change:
    """A changed aeroplane: ``power`` of it, mass added ``kg`` at ``x`` m, and the model it is compared with."""

    words: str
    power: PowerModel
    against: PowerModel
    kg: float = 0.0
    x: float = 0.0


def trade_rows(study: Study, power: PowerModel) -> tuple[TradeRow, ...]:
    """The aeroplane as it is, then each change."""
    draws = at_medians(study.knowledge)
    _, flown = numbers(study.models, draws)
    if flown is None:
        return ()
    rows = [_row(study, flown, Change("as it is", power, power), power)]
    for one in changes(study.plane, power):
        try:
            rows.append(_row(study, flown, one, power))
        except PlanewrightError:
            continue
    return tuple(rows)


def _state(study: Study, flown: Flown, power: PowerModel, kg: float) -> dict[str, float]:
    """Thrust, climb, minutes and current at medians; drag goes up with the square of the weight, induced part only."""
    draws = at_medians(study.knowledge)
    mass = float(flown.mass.mass[0]) + kg
    share = float((flown.drag.parts["induced"] / flown.drag.coefficient)[0])
    ratio = (mass / float(flown.mass.mass[0])) ** 2
    drag = float(flown.drag.force[0]) * (1.0 + share * (ratio - 1.0))
    speed = float(flown.speed[0])
    full, flying = power.thrust(draws, 0.0, FULL), power.thrust(draws, speed, EARLY)
    return {
        "thrust": float(full.total[0]),
        "thrust_planned": float(flying.total[0]),
        "climb": (float(flying.total[0]) - drag) / (mass * GRAVITY),
        "minutes": float(power.endurance(draws, speed, drag)[0]),
        "amps": float(full.amps[0]),
    }


def _row(study: Study, flown: Flown, one: Change, power: PowerModel) -> TradeRow:
    mass, cg = float(flown.mass.mass[0]), float(flown.mass.cg[0][0])
    base = _state(study, flown, power, 0.0)
    if one.against is power:
        now = _state(study, flown, one.power, one.kg)
    else:
        there, here = _state(study, flown, one.power, one.kg), _state(study, flown, one.against, 0.0)
        now = {name: base[name] * there[name] / here[name] for name in base if name != "climb"}
        now["climb"] = base["climb"] + there["climb"] - here["climb"]
    now |= {"mass": mass + one.kg, "cg_x": cg + one.kg * (one.x - cg) / (mass + one.kg)}
    start = base | {"mass": mass, "cg_x": cg}
    return TradeRow(words=one.words, by={name: now[name] - start[name] for name in now}, **now)


def changes(plane: Plane, power: PowerModel) -> Iterator[Change]:
    """Another battery, propeller, fan, nozzle, mouth."""
    if plane.battery is None:
        return
    for words, battery in batteries(plane.battery):
        other = power_model(replace(plane, battery=battery), power.density)
        added = battery.mass * battery.count - plane.battery.mass * plane.battery.count
        yield Change(words, other, power, added, plane.battery.x)
    if all(one.propeller is not None for one in plane.engines):
        yield from propellers(plane, power)
    if all(isinstance(one, FanUnit) for one in power.units.values()):
        yield from fans(plane, power)
        yield from openings(power)


def batteries(now: Battery) -> Iterator[tuple[str, Battery]]:
    """A quarter less and more charge, and one cell less: mass with both, resistance against charge and with cells."""
    for share, words in (
        (0.75, "pack of three quarters of the charge"),
        (1.25, "pack of a quarter more charge"),
    ):
        ohms = None if now.resistance is None else now.resistance / share
        yield words, replace(now, charge=now.charge * share, mass=now.mass * share, resistance=ohms)
    if now.cells > 2:
        share = (now.cells - 1) / now.cells
        ohms = None if now.resistance is None else now.resistance * share
        yield (
            f"{now.cells - 1} cells instead of {now.cells}",
            replace(now, cells=now.cells - 1, mass=now.mass * share, resistance=ohms),
        )


def propellers(plane: Plane, power: PowerModel) -> Iterator[Change]:
    """An inch more and less diameter, an inch more and less pitch."""
    here = power_model(plane, power.density, reckon=True)
    for diameter, pitch in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        engines = tuple(with_size(one, diameter * INCH, pitch * INCH) for one in plane.engines)
        size = engines[0].propeller
        assert size is not None
        words = f"propeller {size.diameter / INCH:.3g} x {size.pitch / INCH:.3g} in"
        yield Change(words, power_model(replace(plane, engines=engines), power.density, reckon=True), here)


def with_size(engine: Engine, diameter: float, pitch: float) -> Engine:
    """The engine with a propeller larger by ``diameter`` and ``pitch`` (m), its blades as slender as before."""
    old = engine.propeller
    assert old is not None
    width = None if old.width is None else old.width * (old.diameter + diameter) / old.diameter
    made: Propeller = replace(old, diameter=old.diameter + diameter, pitch=old.pitch + pitch, width=width)
    return replace(engine, propeller=made)


def fans(plane: Plane, power: PowerModel) -> Iterator[Change]:
    """A duct a tenth smaller and larger, all its sizes in proportion, at the current its seller names."""
    for share in FANS:
        engines = tuple(with_duct(one, share) for one in plane.engines)
        added = sum(_fan(new).mass - _fan(old).mass for new, old in zip(engines, plane.engines, strict=True))
        words = f"fan of {1000 * _fan(engines[0]).inside:.0f} mm duct, same current"
        other = power_model(replace(plane, engines=engines), power.density)
        yield Change(words, other, power, added, float(np.mean([one.x for one in engines])))


def with_duct(engine: Engine, share: float) -> Engine:
    """The engine with a fan ``share`` times as large in every diameter."""
    old = _fan(engine)
    made = replace(
        old,
        inside=old.inside * share,
        hub=old.hub * share,
        mouth=old.mouth * share,
        nozzle=old.nozzle * share,
        mass=old.mass * share**2,
    )
    return replace(engine, fan=made)


def _fan(engine: Engine) -> Fan:
    assert engine.fan is not None
    return engine.fan


def openings(power: PowerModel) -> Iterator[Change]:
    """Another nozzle and a smaller mouth, in diameter."""
    for share in NOZZLE:
        yield Change(f"nozzle {100 * (share - 1):+.0f} % in diameter", opened(power, nozzle=share), power)
    yield Change(f"mouth {100 * (MOUTH - 1):+.0f} % in diameter, sharp", opened(power, mouth=MOUTH), power)


def opened(power: PowerModel, nozzle: float = 1.0, mouth: float = 1.0) -> PowerModel:
    """The same rotors behind other openings (factors on the diameters); a changed mouth counts as sharp card."""
    units = dict(power.units)
    for name, unit in power.units.items():
        assert isinstance(unit, FanUnit)
        model = unit.model
        lip = model.losses.lip if mouth == 1.0 else 0.6
        changed = replace(
            model.with_openings(model.mouth * mouth**2, model.nozzle * nozzle**2),
            losses=replace(model.losses, lip=lip),
        )
        units[name] = fan_on_grid(changed, power.most_volts)
    return replace(power, units=units)
