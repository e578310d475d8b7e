"""The whole set of derivatives about the balance point, in body axes, for all draws at once.

The lattice's quadratic forms give every derivative exactly (J = (Q + Q') s); here they are taken at each draw's own
trimmed state, moved to its balance point, and completed with what the lattice lacks: drag from the build-up and its
change with lift and speed, bodies in pitch and yaw, the height of the wing on its body, and the lag of the downwash.
Knowledge multiplies: ``sec.slope`` everything the lattice gives, ``ctl.effect`` the controls, ``rate.damping`` what
rates of turning give, ``yaw.stiffness`` Cn_beta; ``roll.sideslip`` is added to Cl_beta.

Sources: forms and wake turn, :mod:`planewright.analysis.air.forms` and ``skew``; bodies, M. M. Munk, NACA Report 184,
1924; lag of the downwash, any course of stability (B. Etkin and L. D. Reid, Dynamics of Flight, 1996, section 2.8);
wing height, R. O. House and A. R. Wallace, NACA Report 705, 1941 (as 5 degrees of dihedral, second-hand).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel, Trim
from planewright.analysis.air.bodies import REAL, munk_factor
from planewright.analysis.air.skew import beta_correction
from planewright.analysis.model import MassState, States
from planewright.geometry import BodyShape

Array = npt.NDArray[np.float64]

ANGLE_STEP, SPEED_STEP = np.deg2rad(0.2), 0.03
WAKE_ANGLES = (-0.1, 0.05, 0.2)
WING_HEIGHT = np.deg2rad(5.0)
"""What a wing wholly above (minus: below) a round body counts as dihedral (second-hand; square bodies +-3 degrees)."""
DIHEDRAL_OF_DAMPING = 1.67
"""Cl_beta per radian of dihedral over Clp of the same wing: 1.66 to 1.70 for aspect ratios 6 to 8 by lifting surface
(-0.731/-0.440, -0.699/-0.4117, -0.813/-0.486)."""
ROWS = ("X", "Y", "Z", "L", "M", "N")


@dataclass(frozen=True)
class Derivatives:
    """Coefficients' derivatives at one trimmed state, body axes (x forward, y right, z down), about the balance point.

    ``table``: row X, Y, Z (forces over q S), L, N (moments over q S b), M (over q S c) -> column -> (N,). Columns:
    alpha, beta (per rad), p, q, r (per p b/2V, q c/2V, r b/2V), alpha_dot (per its rate times c/2V), each control
    (per rad), and speed (per part of the speed). ``lift``, ``drag``, ``moment``: CL, CD, Cm of the air at the state.
    ``downwash``: d(epsilon)/d(alpha) at the tail, 0 without one. ``trim``: the state.
    """

    table: Mapping[str, Mapping[str, Array]]
    lift: Array
    drag: Array
    moment: Array
    downwash: Array
    trim: Trim

    def __getitem__(self, key: tuple[str, str]) -> Array:
        return self.table[key[0]][key[1]]


def yaw_slope(shape: BodyShape) -> float:
    """Moment of all bodies of one shape per radian of sideslip and unit dynamic pressure, m3, away from the wind.

    N = 0.85 q (k2 - k1) (pi/2) integral of h^2 dx, h the height: Munk's moment without any wash.
    """
    x, height = shape.stations[:, 0], shape.stations[:, 2]
    steps = np.diff(x)
    square = float((steps * (height[:-1] ** 2 + height[:-1] * height[1:] + height[1:] ** 2) / 3).sum())
    depth = float(np.sqrt(4 * shape.frontal / np.pi))
    return REAL * shape.count * munk_factor(max(shape.length / depth, 1.05)) * np.pi / 2 * square


def wing_height(model: AirModel) -> float:
    """Where the wing crosses the fuselage: -1 at its underside or lower, 1 at its top, 0 in its middle or without."""
    wing = model.geometry.wing
    shapes = [one for one in model.geometry.bodies if one.body.y == 0]
    if wing is None or not shapes:
        return 0.0
    x, _, height, middle = shapes[0].stations.T
    place = float(wing.leading[0, 0] + 0.25 * wing.chord[0])
    if not x[0] <= place <= x[-1]:
        return 0.0
    half = float(np.interp(place, x, height)) / 2
    return float(np.clip((wing.leading[0, 2] - np.interp(place, x, middle)) / half, -1.0, 1.0))


def downwash_slope(model: AirModel) -> tuple[float, float, float]:
    """(d(epsilon)/d(alpha), lift slope of the tail on the wing's area per rad, x of its lift m); zeros without a tail.

    What the tail loses of its own lift slope when the whole aeroplane turns, from the lattice's own unit solutions.
    """
    solution, scale = model.solution, 2 / model.reference.area
    names = [one.surface.name for one in model.geometry.surfaces.values() if one.surface.kind == "tailplane"]
    if not names:
        return 0.0, 0.0, 0.0
    turned = own = place = 0.0
    for name in names:
        mine = solution.lift_rows[solution.grid.of(name)].sum(axis=0) * scale
        slope = float(mine[solution.index("incidence " + name)])
        turned += float(mine[solution.index("w")])
        own += slope
        place += slope * model.geometry.surfaces[name].centre_x
    return 1 - turned / own, own, place / own


def parameters(model: AirModel, states: States, trim: Trim) -> Array:
    """Lattice parameters at unit speed of each draw's state, (m, N)."""
    solution = model.solution
    s = np.zeros((len(solution.names), states.count))
    s[solution.index("u")], s[solution.index("w")] = np.cos(trim.alpha), np.sin(trim.alpha)
    wing = model.geometry.reference
    s[solution.index(f"incidence {wing}")] = -states.shift("sec.alpha0") * s[0]
    for name in model.elevator:
        s[solution.index(name)] = states.factor("ctl.effect") * trim.elevator * s[0]
    return s


def _slopes(model: AirModel, s: Array, x: Array, z: Array) -> Array:
    """Derivatives of the six loads with respect to the parameters about (x, z), unit density, (6, m, N)."""
    forms = model.solution.forms
    slope = (forms + forms.transpose(0, 2, 1)) @ s
    ahead, below = x - model.solution.about[0], z - model.solution.about[2]
    slope[:, 4] += below * slope[:, 0] - ahead * slope[:, 2]
    slope[:, 3] -= below * slope[:, 1]
    slope[:, 5] += ahead * slope[:, 1]
    slope[3] -= below * slope[1]
    slope[4] += below * slope[0] - ahead * slope[2]
    slope[5] += ahead * slope[1]
    return np.asarray(slope)


@dataclass(frozen=True)
class Prepared:
    """What every derivative set of one aeroplane shares: ``wake`` (3, 6), what the turned wake adds per radian of
    sideslip, times cos^2, cos sin and sin^2 of alpha; ``downwash`` as of :func:`downwash_slope`."""

    model: AirModel
    wake: Array
    downwash: tuple[float, float, float]


def _shares(alpha: Array) -> Array:
    """cos^2, cos sin, sin^2 of alpha, (3, N)."""
    return np.stack((np.cos(alpha) ** 2, np.cos(alpha) * np.sin(alpha), np.sin(alpha) ** 2))


def prepare(model: AirModel) -> Prepared:
    """Solve once what the sets share. The turn of the wake is quadratic in the state, so three angles give it whole
    (controls neutral)."""
    nodes = np.array(WAKE_ANGLES)
    found = np.array([beta_correction(model.solution, model.solution.state(one)) for one in nodes])
    return Prepared(model, np.linalg.solve(_shares(nodes).T, found), downwash_slope(model))


def _wake_turn(base: Prepared, alpha: Array, x: Array, z: Array) -> Array:
    """What the turned wake adds per radian of sideslip about (x, z), unit density, (6, N)."""
    total = np.asarray(base.wake.T @ _shares(alpha))
    ahead, below = x - base.model.solution.about[0], z - base.model.solution.about[2]
    total[3] -= below * total[1]
    total[5] += ahead * total[1]
    return total


def _drag_slopes(
    model: AirModel, states: States, mass: MassState, trim: Trim, known: Array | None
) -> tuple[Array, Array, Array, Array]:
    """CD (``known`` when it was worked out before), dCD/dalpha per rad, dCD/d(ln V), CL at the state."""

    def at(step: float, part: float) -> Array:
        fast = trim.speed * (1 + part)
        state = model.at_angle(states, mass, trim.alpha + step, fast, trim.density, trim.elevator)
        return model.drag(states, state).coefficient

    here = at(0, 0) if known is None else known
    high, fast = at(ANGLE_STEP, 0), at(0, SPEED_STEP)
    return here, (high - here) / ANGLE_STEP, (fast - here) / SPEED_STEP, trim.lift


def derivatives_at(
    base: Prepared,
    states: States,
    mass: MassState,
    trim: Trim,
    drag: Array | None = None,
    sideways: bool = False,
) -> Derivatives:
    """All derivatives at a trimmed state.

    Arguments: base: of :func:`prepare`. trim: as :meth:`AirModel.trim` gives it, below the stall. mass: whose balance
    point is the moment point. drag: CD at the state where it is known. sideways: leave out what only pitching needs
    (columns alpha and speed, and CD), which costs as much as the rest.
    Returns: Derivatives, (N,) each. X comes from the drag build-up (far wake), not from the lattice's near field.
    """
    model = base.model
    span, chord = model.reference.span, model.reference.chord
    x = mass.cg[0]
    columns = _lattice_columns(base, states, mass, trim)
    wash, own, place = base.downwash
    arm = np.where(own > 0, (place - x) / chord, 0.0)
    lag = 2 * own * wash * arm * states.factor("sec.slope") * states.factor("rate.damping")
    columns["alpha_dot"] = np.zeros((6, states.count))
    columns["alpha_dot"][2], columns["alpha_dot"][4] = -lag, -lag * arm
    roll, yaw = columns["beta"][3], columns["beta"][5]
    undamped = columns["p"][3] / states.factor("rate.damping")
    roll += WING_HEIGHT * wing_height(model) * DIHEDRAL_OF_DAMPING * undamped + states.shift("roll.sideslip")
    yaw -= sum(yaw_slope(one) for one in model.geometry.bodies) / (model.reference.area * span)
    yaw *= states.factor("yaw.stiffness")
    resistance = np.full(states.count, np.nan)
    if not sideways:
        drags = _drag_slopes(model, states, mass, trim, drag)
        resistance = drags[0]
        columns["alpha"], columns["speed"] = _along(model, states, mass, trim, drags)
    table = {row: {name: np.asarray(one[k]) for name, one in columns.items()} for k, row in enumerate(ROWS)}
    return Derivatives(
        table, trim.lift, resistance, np.asarray(trim.moment), np.full(states.count, wash), trim
    )


def _lattice_columns(base: Prepared, states: States, mass: MassState, trim: Trim) -> dict[str, Array]:
    """Columns p, q, r, beta and the controls, coefficients (6, N) each, from the forms."""
    model, x, z = base.model, mass.cg[0], mass.cg[2]
    span, chord = model.reference.span, model.reference.chord
    s = parameters(model, states, trim)
    scale = 0.5 * model.reference.area * np.array([1, 1, 1, span, chord, span])[:, None]
    slope = _slopes(model, s, x, z) / scale[:, :, None]
    gain, effect, damping = (states.factor(one) for one in ("sec.slope", "ctl.effect", "rate.damping"))
    columns = {
        name: slope[:, 3 + k] * 2 / length * gain * damping
        for k, (name, length) in enumerate((("p", span), ("q", chord), ("r", span)))
    }
    columns["beta"] = (slope[:, 1] + _wake_turn(base, trim.alpha, x, z) / scale) * gain
    for place, name in enumerate(model.solution.names[6:]):
        if not name.startswith("incidence "):
            columns[name] = slope[:, 6 + place] * s[0] * gain * effect
    return columns


def _along(
    model: AirModel, states: States, mass: MassState, trim: Trim, drags: tuple[Array, Array, Array, Array]
) -> tuple[Array, Array]:
    """Columns alpha and speed of X, Z and M, (6, N) each, from lift, drag and the static margin."""
    drag, drag_a, drag_v, lift = drags
    slope, cosine, sine = model.slope(states), np.cos(trim.alpha), np.sin(trim.alpha)
    alpha, speed = np.zeros((6, states.count)), np.zeros((6, states.count))
    alpha[0] = slope * sine + lift * cosine - drag_a * cosine + drag * sine
    alpha[2] = -slope * cosine + lift * sine - drag_a * sine - drag * cosine
    alpha[4] = -slope * model.static_margin(states, mass)
    speed[0], speed[2] = -drag_v * cosine, -drag_v * sine
    return alpha, speed
