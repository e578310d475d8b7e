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

ANGLE_STEP, SPEED_STEP = np.deg2rad(0.5), 0.03
WING_HEIGHT = np.deg2rad(5.0)
"""What a wing wholly above (minus: below) a round body counts as dihedral (second-hand; square bodies +-3 degrees)."""
DIHEDRAL_OF_DAMPING = 1.67
"""Cl_beta per radian of dihedral over Clp of the same wing: 1.66 to 1.70 for aspect ratios 6 to 8 by lifting surface
(-0.731/-0.440, -0.699/-0.4117, -0.813/-0.486)."""
ROWS = ("X", "Y", "Z", "L", "M", "N")
RATES = ("p", "q", "r")


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
    slope = np.einsum("kij,jn->kin", forms + forms.transpose(0, 2, 1), s)
    ahead, below = x - model.solution.about[0], z - model.solution.about[2]
    slope[:, 4] += below * slope[:, 0] - ahead * slope[:, 2]
    slope[:, 3] -= below * slope[:, 1]
    slope[:, 5] += ahead * slope[:, 1]
    slope[3] -= below * slope[1]
    slope[4] += below * slope[0] - ahead * slope[2]
    slope[5] += ahead * slope[1]
    return np.asarray(slope)


def _wake_turn(model: AirModel, alpha: Array, x: Array, z: Array) -> Array:
    """What the turned wake adds per radian of sideslip, (6, N): a parabola in alpha through three angles."""
    low, high = float(alpha.min()) - 1e-3, float(alpha.max()) + 1e-3
    nodes = np.array([low, (low + high) / 2, high])
    found = np.array([beta_correction(model.solution, model.solution.state(one)) for one in nodes])
    fit = np.polyfit(nodes, found, 2)
    total = np.asarray((fit[0][:, None] * alpha + fit[1][:, None]) * alpha + fit[2][:, None])
    ahead, below = x - model.solution.about[0], z - model.solution.about[2]
    total[3] -= below * total[1]
    total[5] += ahead * total[1]
    return total


def _drag_slopes(
    model: AirModel, states: States, mass: MassState, trim: Trim
) -> tuple[Array, Array, Array, Array]:
    """CD, dCD/dalpha per rad, dCD/d(ln V), CL at the state."""

    def at(step: float, part: float) -> Array:
        fast = trim.speed * (1 + part)
        state = model.at_angle(states, mass, trim.alpha + step, fast, trim.density, trim.elevator)
        return model.drag(states, state).coefficient

    here, low, high, fast = at(0, 0), at(-ANGLE_STEP, 0), at(ANGLE_STEP, 0), at(0, SPEED_STEP)
    return here, (high - low) / (2 * ANGLE_STEP), (fast - here) / SPEED_STEP, trim.lift


def derivatives_at(model: AirModel, states: States, mass: MassState, trim: Trim) -> Derivatives:
    """All derivatives at a trimmed state.

    Arguments: trim: as :meth:`AirModel.trim` gives it, below the stall. mass: whose balance point is the moment point.
    Returns: Derivatives, (N,) each. X comes from the drag build-up (far wake), not from the lattice's near field.
    """
    size, span, chord = model.reference.area, model.reference.span, model.reference.chord
    x, z = mass.cg[0], mass.cg[2]
    s = parameters(model, states, trim)
    scale = np.array([1, 1, 1, span, chord, span])[:, None]
    slope = _slopes(model, s, x, z) * (2 / size) / scale[:, :, None]
    gain, effect, damping = (states.factor(one) for one in ("sec.slope", "ctl.effect", "rate.damping"))
    lengths = {"p": span, "q": chord, "r": span}
    columns = {
        name: slope[:, 3 + k] * 2 / lengths[name] * gain * damping
        for name, k in zip(RATES, range(3), strict=True)
    }
    beta = slope[:, 1] + _wake_turn(model, trim.alpha, x, z) * (2 / size) / scale
    columns["beta"] = beta * gain
    for place, name in enumerate(model.solution.names[6:]):
        if not name.startswith("incidence "):
            columns[name] = slope[:, 6 + place] * s[0] * gain * effect
    columns["beta"][3] += WING_HEIGHT * wing_height(model) * DIHEDRAL_OF_DAMPING * columns["p"][3] / damping
    columns["beta"][3] += states.shift("roll.sideslip")
    columns["beta"][5] -= sum(yaw_slope(one) for one in model.geometry.bodies) / (size * span)
    columns["beta"][5] *= states.factor("yaw.stiffness")
    wash, own, place_x = downwash_slope(model)
    arm = np.where(own > 0, (place_x - x) / chord, 0.0)
    lag = 2 * own * gain * damping * wash * arm
    columns["alpha_dot"] = np.zeros((6, states.count))
    columns["alpha_dot"][2], columns["alpha_dot"][4] = -lag, -lag * arm
    drag = _drag_slopes(model, states, mass, trim)
    columns["alpha"], columns["speed"] = _along(model, states, mass, trim, drag)
    table = {row: {name: np.asarray(one[k]) for name, one in columns.items()} for k, row in enumerate(ROWS)}
    return Derivatives(table, trim.lift, drag[0], np.asarray(trim.moment), np.full(states.count, wash), trim)


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
