"""Trim over speed and power, and the elevator that holds it to the stall."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel, Stall, Trim
from planewright.analysis.air.forms import solve_grid
from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY
from planewright.analysis.handling.motion import thrust_arm
from planewright.analysis.model import MassState, States

Array = npt.NDArray[np.float64]
Pushes = Callable[[float], Array]


@dataclass(frozen=True)
class TrimCurve:
    """Trim at several speeds, each (points, N): ``speed`` m/s, ``alpha`` and ``elevator`` rad (trailing edge down
    positive), ``lift`` CL, ``drag`` N, ``thrust`` N."""

    speed: Array
    alpha: Array
    elevator: Array
    lift: Array
    drag: Array
    thrust: Array


def level_trim(
    model: AirModel,
    states: States,
    mass: MassState,
    speed: Array | float,
    density: float = SEA_LEVEL_DENSITY,
) -> Trim:
    """Level flight with the thrust that carries the drag: trimmed, the drag taken, trimmed again with its moment.

    The line of thrust passes above or below the balance point, so that power moves the elevator. One round is enough:
    the drag of the second trim differs by less than the lift coefficient's last digit.
    """
    first = model.trim(states, mass, speed, density)
    if not model.geometry.plane.engines:
        return first
    moment = model.drag(states, first).force * thrust_arm(model.geometry.plane, mass.cg)
    return model.trim(states, mass, speed, density, 1.0, moment)


def trim_curve(
    model: AirModel,
    states: States,
    mass: MassState,
    speeds: Sequence[Array],
    density: float = SEA_LEVEL_DENSITY,
    push: Pushes | None = None,
    level: bool = False,
) -> TrimCurve:
    """Trim at each of ``speeds``, (N,) m/s each, above the stall.

    Arguments: push: thrust N, (N,), at a speed (m/s, one number: the median of the draws' speeds); None: gliding.
    level: thrust equal to the drag instead. The lift carries the weight; the path's own slope is left out (2 % of lift
    at a climb of 20 %).
    """
    arm, rows = thrust_arm(model.geometry.plane, mass.cg), []
    for speed in speeds:
        if level:
            trim = level_trim(model, states, mass, speed, density)
            drag = model.drag(states, trim).force
            thrust = drag
        else:
            thrust = np.zeros(states.count) if push is None else push(float(np.median(speed)))
            trim = model.trim(states, mass, speed, density, 1.0, thrust * arm)
            drag = model.drag(states, trim).force
        fast = np.broadcast_to(speed, drag.shape)
        rows.append((fast, trim.alpha, trim.elevator, trim.lift, drag, thrust))
    return TrimCurve(*(np.array(one) for one in zip(*rows, strict=True)))


def elevator_at_stall(model: AirModel, states: States, mass: MassState, stall: Stall, density: float) -> Trim:
    """The state at the greatest lift, gliding, trimmed: its elevator is what holds the aeroplane at the stall."""
    return model.trim_at(states, mass.cg[0], stall.lift, stall.speed, density)


def elevator_per_g(
    model: AirModel, states: States, mass: MassState, speed: Array, density: float = SEA_LEVEL_DENSITY
) -> Array:
    """Elevator for one g more in a level turn or a pull-up at ``speed``, rad, (N,), negative: trailing edge up.

    Lift alone; what turning in pitch adds (less in a level turn, more in a pull-up) is left out.
    """
    one, two = (model.trim(states, mass, speed, density, load) for load in (1.0, 2.0))
    return np.asarray(two.elevator - one.elevator)


def near_ground(model: AirModel, ground: float) -> AirModel:
    """The same aeroplane over a runway plane at z = ``ground`` (m, drawing axes, below all surfaces).

    Body level over the runway; image horseshoes of opposite sign, one more solution of the lattice. Polars, bodies and
    strips keep their figures; lift and moment columns and the strips' lift are those near the ground.
    """
    old = model.solution
    solution = solve_grid(old.grid, old.about, ground)
    pick = np.zeros((len(solution.names), 4))
    pick[solution.index("u"), 0] = pick[solution.index("w"), 1] = 1.0
    pick[solution.index(f"incidence {model.geometry.reference}"), 2] = 1.0
    for name in model.elevator:
        pick[solution.index(name), 3] = 1.0
    scale = 2 / model.reference.area
    keep = ~solution.grid.left
    lift = 2 * (solution.strip_gain @ pick)[keep] / solution.grid.chord[keep, None]
    mine = solution.grid.of(str(model.geometry.reference))
    return replace(
        model,
        solution=solution,
        lift=scale * (solution.lift_rows.sum(axis=0) @ pick),
        pitch=scale / model.reference.chord * (solution.pitch_rows.sum(axis=0) @ pick),
        wing_lift=scale * (solution.lift_rows[mine].sum(axis=0) @ pick),
        drag_form=scale * (pick.T @ solution.drag_form @ pick),
        strips=replace(model.strips, lift=lift),
    )
