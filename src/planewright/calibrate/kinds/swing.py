"""The aeroplane swung on two lines: its moments of inertia.

Two equal vertical lines of length L, D apart about the balance point, turn it about the vertical:
    period = 4 pi / D sqrt(L (I + I_air) / (m g))
(bifilar suspension; small turns; any textbook of mechanics). The air that is moved with it counts: pi rho c^2/4 per
metre of a plate that moves flatwise (H. Lamb, Hydrodynamics, 1932, art. 71: an ellipse of no thickness), within 30 %
because the ends and the body are left out: an unknown of form. Readings that alone decide need five swings each.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import partial

import numpy as np
import numpy.typing as npt

from planewright.analysis.mass import MassModel, mass_model
from planewright.analysis.mass.items import DRAWN
from planewright.analysis.model import States
from planewright.calibrate.common import GRAVITY, Sheet, lacking, missing
from planewright.calibrate.problem import Block, Reduction, once
from planewright.calibrate.protocol import Bench, Judged, Plan, Point, compared, feed, read_columns
from planewright.geometry.model import SurfaceShape
from planewright.knowledge import Points
from planewright.records.model import Trial

__all__ = ["feed", "judge", "plan", "read", "reduce"]
Array = npt.NDArray[np.float64]

AXES: Mapping[str, int] = {"roll": 0, "pitch": 1, "yaw": 2}
AIR, DENSITY = 0.30, 1.225
LINES, MASS, PERIOD = 0.006, 0.005, 0.006
LINE, APART = 2.0, 0.8
OTHER_LETTER = 0.15


def read(trial: Trial) -> Sheet:
    """Columns axis (roll, pitch, yaw), swings, time_s, line_mm, apart_mm."""
    return read_columns(trial, "swings", "time_s", "line_mm", "apart_mm")


def plan(bench: Bench, of: str, states: States) -> Plan:
    """The period about each axis on lines of two metres, 0.8 m apart."""
    model = mass_model(bench.geometry, bench.ledger)
    mass, air = model.evaluate(states), {axis: air_inertia(bench, axis, model) for axis in AXES}
    points = tuple(
        Point(
            f"period, {axis}",
            "s",
            _period(mass.inertia[i] + air[axis], mass.mass, LINE, APART),
            0.012,
            said=axis,
        )
        for axis, i in AXES.items()
    )
    return Plan("swing", of, points, 90.0, 2, 0.0)


def _period(inertia: Array, mass: Array, line: float, apart: float) -> Array:
    return np.asarray(4.0 * math.pi / apart * np.sqrt(line * inertia / (mass * GRAVITY)))


def reduce(bench: Bench, trial: Trial) -> Reduction:
    """Rows of ln(inertia over mass). Raises InputError when no swing can be used."""
    log = read(trial)
    axis = tuple(one.strip().lower() for one in log.words("axis"))
    swings, time, line, apart = (log.column(name) for name in ("swings", "time_s", "line_mm", "apart_mm"))
    known = np.array([one in AXES for one in axis])
    use = known & (swings > 0) & (time > 0) & (line > 0) & (apart > 0) & log.keep
    if not np.any(use):
        expected = "Rows with axis roll, pitch or yaw, swings, time, line and apart."
        raise lacking(trial, "readings", expected, "Time twenty swings, five times about each axis.")
    radius2 = (
        (time / np.where(swings > 0, swings, np.nan)) ** 2 * apart**2 * GRAVITY / (16 * math.pi**2 * line)
    )
    here = trial.configuration in ("", bench.plane.configuration)
    model = mass_model(bench.geometry, bench.ledger)
    bookkeeping = once(partial(_inertia, model))
    blocks, facts, own = [], {}, {f"{trial.id}:lines": (0.0, LINES), f"{trial.id}:mass": (0.0, MASS)}
    words = log.struck() + missing("an axis or a swing", log.rows[~use & log.keep])
    for name in AXES:
        mine = use & np.array([one == name for one in axis])
        if not np.any(mine):
            continue
        own |= {f"{trial.id}:air.{name}": (0.0, AIR)} | (
            {} if here else {f"{trial.id}:letter.{name}": (0.0, OTHER_LETTER)}
        )
        few = 1.0 if mine.sum() >= 3 else 2.0
        words += () if few == 1.0 else (f"{name}: fewer than three swings; taken with twice the doubt",)
        about = partial(
            _predict, bookkeeping, trial.id, name, air_inertia(bench, name, model), here, int(mine.sum())
        )
        sigma = np.full(int(mine.sum()), 2 * PERIOD * few)
        rows = tuple(map(int, log.rows[mine]))
        blocks.append(Block(trial.id, name, rows, np.log(radius2[mine]), sigma, about))
        facts[f"{name}_m2"] = float(np.median(radius2[mine]))
        facts[f"{name}_s"] = float(np.median(time[mine] / swings[mine]))
    if not here:
        words += ("taken at another configuration letter: it counts for less",)
    return Reduction(trial.id, tuple(blocks), locals=own, findings=words, facts=facts)


def judge(trial: Trial, found: Reduction) -> tuple[Judged, ...]:
    """What was said of the periods "roll", "pitch", "yaw" (s)."""
    return compared(trial, found, {name: (f"{name}_s", "s") for name in AXES})


def _inertia(model: MassModel, at: Points) -> tuple[Array, Array]:
    state = model.evaluate(at)
    return state.inertia, state.mass


def _predict(
    bookkeeping: Callable[[Points], tuple[Array, Array]],
    trial: str,
    name: str,
    air: float,
    here: bool,
    count: int,
    at: Points,
) -> Array:
    inertia, mass = bookkeeping(at)
    about = inertia[AXES[name]] + air * np.exp(at.state(f"{trial}:air.{name}"))
    z = np.log(about / mass) + at.state(f"{trial}:lines") + at.state(f"{trial}:mass")
    if not here:
        z = z + at.state(f"{trial}:letter.{name}")
    return np.repeat(np.asarray(z)[None, :], count, axis=0)


def air_inertia(bench: Bench, axis: str, mass: MassModel, density: float = DENSITY) -> float:
    """Inertia of the air that swings with the surfaces, kg m2, about the balance point at the drawn masses."""
    middle = float(mass.evaluate(DRAWN).cg[0][0]) if mass.items else 0.0
    return float(sum(_surface_air(one, axis, middle) for one in bench.geometry.surfaces.values())) * density


def _surface_air(shape: SurfaceShape, axis: str, middle: float) -> float:
    """m5 of moved air: strips of a plate that moves flatwise about the axis."""
    upright = shape.surface.kind == "fin"
    if upright and axis == "pitch":
        return 0.0
    if not upright and axis == "yaw":
        return 0.0
    out = shape.leading[:, 2] if upright else shape.leading[:, 1]
    fine = np.linspace(out[0], out[-1], 60)
    chord = np.interp(fine, out, shape.chord)
    back = np.interp(fine, out, (shape.leading[:, 0] + shape.trailing[:, 0]) / 2) - middle
    arm = back if axis in ("pitch", "yaw") else fine
    moved = math.pi / 4 * chord**2 * (arm**2 + (chord**2 / 32 if axis != "roll" else 0.0))
    return float(np.trapezoid(moved, fine)) * (1.0 if upright else 2.0)
