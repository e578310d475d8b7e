"""Damaged records: every reduction answers or gives advice. It never stumbles, warns or returns no number."""

import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from test_calibrate_trials import (
    MODES,
    PRIOR,
    WHEELS,
    balance_trial,
    bookkeeping,
    engine_at,
    hinge_trial,
    reduce_balance,
    reduce_bend,
    reduce_proof,
    reduce_thrust,
    reduce_vehicle,
)

from fixtures import truths
from fixtures.stand_ins import SimpleBend, bend_trial, thrust_trial, vehicle_trial, wing_alone
from planewright.calibrate.balance import Weighed
from planewright.calibrate.common import sound
from planewright.calibrate.engine import fit
from planewright.calibrate.problem import Reduction, assemble
from planewright.errors import InputError
from planewright.knowledge import Points
from planewright.records.model import Table, Trial


def blanked(cells: list[str], rng: random.Random) -> list[str]:
    gone = set(rng.sample(range(len(cells)), rng.randint(1, len(cells))))
    return ["" if i in gone else cell for i, cell in enumerate(cells)]


def wild(cells: list[str], rng: random.Random) -> list[str]:
    place = rng.randrange(len(cells))
    return [*cells[:place], "1e9", *cells[place + 1 :]]


DAMAGE: list[Callable[[list[str], random.Random], list[str]]] = [
    blanked,
    wild,
    lambda cells, rng: ["0"] * len(cells),
    lambda cells, rng: ["1"] * len(cells),
    lambda cells, rng: [""] * len(cells),
    lambda cells, rng: ["-" + one if one[:1].isdigit() else one for one in cells],
    lambda cells, rng: cells[::-1],
    lambda cells, rng: [one + "00" if one.isdigit() else one for one in cells],
]


def damaged(table: Table | None, rng: random.Random) -> Table:
    assert table is not None
    columns = {name: list(cells) for name, cells in table.columns.items()}
    for _ in range(rng.randint(1, 4)):
        name = rng.choice(sorted(columns))
        columns[name] = rng.choice(DAMAGE)(columns[name], rng)
    keep = rng.randint(1, len(table)) if rng.random() < 0.2 else len(table)
    return replace(table, columns={n: tuple(c[:keep]) for n, c in columns.items()}, lines=table.lines[:keep])


def capacity(at: Points) -> Any:
    return 2.5 * at.factor("joint.factor")


CASES: dict[str, tuple[Trial, Callable[[Trial], Reduction]]] = {
    "vehicle": (
        vehicle_trial(truths.PLOVER_VEHICLE),
        lambda t: reduce_vehicle(t, wing_alone(truths.PLOVER_VEHICLE), PRIOR),
    ),
    "bend": (bend_trial(truths.PLOVER_BEND), lambda t: reduce_bend(t, SimpleBend(3.6, 8, 6, 10), MODES)),
    "thrust": (thrust_trial(truths.PLOVER_LEFT), lambda t: reduce_thrust(t, engine_at(10.5, 8.5, "left-1"))),
    "balance": (
        balance_trial([499, 501, 498], [1803, 1801, 1804], [1765, 1764, 1767]),
        lambda t: reduce_balance(t, Weighed(bookkeeping), WHEELS),
    ),
    "hinge": (hinge_trial(truths.GANNET_HINGE_FIRST), lambda t: reduce_proof(t, capacity)),
}


@pytest.mark.parametrize("kind", sorted(CASES))
def test_damaged_records_get_an_answer_or_advice(kind: str) -> None:
    trial, reduce = CASES[kind]
    for seed in range(12):
        rng = random.Random(1000 + seed)
        broken = replace(trial, readings=damaged(trial.readings, rng))
        if trial.calibration is not None and rng.random() < 0.4:
            broken = replace(broken, calibration=damaged(trial.calibration, rng))
        try:
            found = fit(assemble(PRIOR, (sound(broken, reduce(broken)),)))
        except InputError as error:
            assert error.faults[0].expected and error.faults[0].advice
            continue
        assert np.all(np.isfinite(found.theta)) and np.all(np.isfinite(found.covariance))
        assert np.all(np.linalg.eigvalsh(found.covariance) > 0) if len(found.ids) else True
