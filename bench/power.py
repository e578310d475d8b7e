"""Speed of the power model as ratios to one scalar root-finder, measured in one run: best of a few, one thread.

Run with ``OPENBLAS_NUM_THREADS=1 python bench/power.py``. A matched point is one state of engines on a pack; the
reference finds the same point with scipy's scalar brentq, one after another. No figure here is a test.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from planewright.analysis.power import power_model
from planewright.analysis.power.model import SUPPLY_AMPS, PowerModel
from planewright.analysis.power.motor import pack_amps
from planewright.knowledge.draws import Draws
from planewright.project import load, new_project
from planewright.study.models import make_models
from planewright.study.numbers import Numbers, balance, level_flight, push

REPEATS, POINTS, MATCHES = 5, 4000, 12


def best(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Least processor time of ``repeats`` runs, s."""
    times = []
    for _ in range(repeats):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def one_by_one(model: PowerModel, draws: Draws, speed: float, charge: float, points: int) -> np.ndarray:
    """Terminal voltage of the first ``points`` draws by scalar brentq on the same maps."""
    opened = float(model.pack.open_volts(charge))
    ohms = model.pack.resistance(draws)
    factors = [draws.factor("eng.current", one.make) for one in model.engines]
    units = [model.units[one.name] for one in model.engines]
    flight = np.array([speed])
    found = np.empty(points)
    for i in range(points):

        def surplus(volts: float, i: int = i) -> float:
            at = np.array([volts])
            drawn = sum(
                float(pack_amps(k[i] * unit.amps(at, flight)[0], 1.0))
                for k, unit in zip(factors, units, strict=True)
            )
            return opened - ohms[i] * (drawn + SUPPLY_AMPS) - volts

        found[i] = brentq(surplus, 1e-3 * opened, opened)
    return found


def report(folder: Path, name: str) -> None:
    """Rows of one example."""
    new_project(folder / name, name)  # type: ignore[arg-type]
    project = load(folder / name)
    plane, knowledge = project.plane, project.knowledge
    assert plane is not None and knowledge is not None
    model, draws, some = power_model(plane, 1.225), Draws(knowledge), 200
    fast, slow = model.thrust(draws, 10.0, 0.7).volts[:some], one_by_one(model, draws, 10.0, 0.7, some)
    assert np.max(np.abs(fast - slow)) < 1e-6, "both ways must give the same points"
    many = best(lambda: model.thrust(draws, 10.0, 0.7)) / draws.count
    single = best(lambda: one_by_one(model, draws, 10.0, 0.7, some), 3) / some
    print(
        f"{name}: matched point {1e6 * many:.2f} us, brentq {1e6 * single:.0f} us: 1/{single / many:.0f} (goal 1/30)"
    )
    models, numbers = make_models(plane, project.ledger, knowledge), Numbers(draws.count)
    balance(models, draws, models.mass.evaluate(draws), numbers)
    flown = level_flight(models, draws, models.mass.evaluate(draws), numbers)
    power = models.power
    assert power is not None
    part, loop = best(lambda: push(power, models, draws, flown, numbers)), single * draws.count
    print(
        f"    power part of a study, {draws.count} draws: {part:.3f} s; one such loop {loop:.2f} s: 1/{loop / part:.0f}"
    )
    dense = iter(np.linspace(1.20, 1.24, REPEATS))
    print(f"    maps of all engines: {1000 * best(lambda: power_model(plane, next(dense))):.0f} ms")
    growth = []
    for points in (1000, 4000, 16000, 64000):
        wide = Draws(knowledge, points)
        taken = best(lambda wide=wide: model.thrust(wide, 10.0, 0.7), 3)  # type: ignore[misc]
        growth.append(f"{points}: {1e6 * taken / points:.2f}")
    print(f"    growth, us a point: {', '.join(growth)}")


def main() -> None:
    """All rows."""
    with tempfile.TemporaryDirectory() as folder:
        for name in ("plover", "gannet"):
            report(Path(folder), name)


if __name__ == "__main__":
    main()
