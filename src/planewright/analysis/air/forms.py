"""Unit solutions of a lattice and the quadratic forms that turn them into forces and derivatives.

s = [u, v, w, p, q, r, u delta_1, ...]: body velocity (m/s), rates (rad/s) about the moment point, controls times u
(rad m/s), in body axes (x forward, y right, z down). Circulation is linear in s, so every force is s' Q s, exact,
and (Q + Q') s holds all its derivatives. Source: theorem of Kutta and Joukowski on each straight vortex.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
from scipy.linalg import LinAlgWarning, lu_factor, lu_solve

from planewright.analysis.air.flow import far_wash, wash
from planewright.analysis.air.lattice import Grid, build_grid
from planewright.analysis.air.sheets import Sheet
from planewright.errors import Fault, InputError

Array = npt.NDArray[np.float64]

MOTION = ("u", "v", "w", "p", "q", "r")
TURN = np.array([-1.0, 1.0, -1.0])
SINGULAR = 1e-12
_CLASH = Fault(
    "aeroplane.toml", 0, "surfaces", "the lifting surfaces cannot be told apart",
    "Each surface must have a place of its own, and a chord and a span.",
    "See whether two surfaces lie on top of each other, or one has hardly any chord.",
)  # fmt: skip


def onset(points: Array, about: Array) -> Array:
    """Air velocity at points (n, 3), drawing axes, for each unit of u, v, w, p, q, r; shape (3, n, 6)."""
    out = np.zeros((3, points.shape[0], 6))
    out[0, :, 0], out[1, :, 1], out[2, :, 2] = 1.0, -1.0, 1.0
    x, y, z = (points - about).T
    # minus omega x arm for omega = (-p, q, -r) in drawing axes
    out[1, :, 3], out[2, :, 3] = -z, y
    out[0, :, 4], out[2, :, 4] = -z, x
    out[0, :, 5], out[1, :, 5] = -y, x
    return out


@dataclass(frozen=True)
class Solution:
    """A solved lattice.

    ``names``: of the parameters, (m,). ``gain`` (P, m): circulation per parameter. ``strip_gain`` (S, m): summed
    over each strip. ``forms`` (6, m, m): X, Y, Z forces and L, M, N moments about ``about`` in body axes, per
    unit density. ``drag_form`` (m, m): far-wake drag per unit density. ``far`` (S, S): normal wash in the far wake
    times strip width: drag per unit density is -1/2 Gamma' far Gamma. ``at_force`` (3, P, P): velocity at the bound
    vortices of unit circulations, 1/m. ``factors``: of the matrix, by LAPACK.
    """

    grid: Grid
    names: tuple[str, ...]
    about: Array
    gain: Array
    strip_gain: Array
    forms: Array
    drag_form: Array
    far: Array = field(repr=False)
    at_force: Array = field(repr=False)
    factors: tuple[Array, npt.NDArray[np.int32]] = field(repr=False)

    def index(self, name: str) -> int:
        """Place of a parameter. Raises KeyError naming it when there is none."""
        if name not in self.names:
            raise KeyError(f"the lattice has no parameter called {name!r}")
        return self.names.index(name)

    def state(self, alpha: float = 0.0, beta: float = 0.0, **controls: float) -> Array:
        """Parameter vector at unit speed, shape (m,). Angles rad; controls by name, spaces as underscores."""
        s = np.zeros(len(self.names))
        s[:3] = np.cos(alpha) * np.cos(beta), np.sin(beta), np.sin(alpha) * np.cos(beta)
        for name, value in controls.items():
            s[self.index(name.replace("_", " ") if name not in self.names else name)] = value * s[0]
        return s

    def loads(self, s: Array) -> Array:
        """X, Y, Z, L, M, N in body axes per unit density at s, shape (6,)."""
        return np.asarray(np.einsum("i,kij,j->k", s, self.forms, s))

    def slopes(self, s: Array) -> Array:
        """Exact derivatives of :meth:`loads` with respect to s, shape (6, m)."""
        return np.asarray(np.einsum("kij,j->ki", self.forms + self.forms.transpose(0, 2, 1), s))

    def drag(self, s: Array) -> float:
        """Induced drag from the far wake per unit density."""
        return float(s @ self.drag_form @ s)

    def strip_units(self) -> Array:
        """Circulation of each panel per radian of uniform incidence of each strip at unit speed, (P, S)."""
        wanted = np.zeros((self.grid.panels, self.grid.width.size))
        wanted[np.arange(self.grid.panels), self.grid.strip] = 1.0
        return np.asarray(lu_solve(self.factors, wanted, check_finite=False)) * -1.0

    def moved(self, about: Array) -> Solution:
        """The same lattice with its moment point and centre of rotation at another place, m; nothing is solved anew.

        Exact: rates about one point are rates about another and a velocity.
        """
        back, up = self.about[0] - about[0], self.about[2] - about[2]
        turn = np.eye(len(self.names))
        # velocity at the old point of a body that turns about the new one, body axes, arm (-back, 0, -up)
        turn[0, 4], turn[1, 5], turn[1, 3], turn[2, 4] = -up, -back, up, back
        forms = np.einsum("ai,kab,bj->kij", turn, self.forms, turn, optimize=True)
        forms[3] += up * forms[1]
        forms[4] += back * forms[2] - up * forms[0]
        forms[5] -= back * forms[1]
        return replace(
            self,
            about=np.asarray(about, dtype=np.float64),
            gain=self.gain @ turn,
            strip_gain=self.strip_gain @ turn,
            forms=forms,
            drag_form=turn.T @ self.drag_form @ turn,
        )

    def circulation(self, s: Array) -> Array:
        """Circulation of each strip, shape (S,)."""
        return np.asarray(self.strip_gain @ s)

    @cached_property
    def beta_forms(self) -> Array:
        """See :func:`planewright.analysis.air.skew.beta_forms`, (6, m, m)."""
        from planewright.analysis.air.skew import beta_forms

        return beta_forms(self)

    @cached_property
    def lift_rows(self) -> Array:
        """Upward force of each strip per parameter at unit density and unit forward speed, shape (S, m).

        Linear in the parameters: rho V Gamma times the strip's width seen from above.
        """
        grid = self.grid
        first = np.searchsorted(grid.strip, np.arange(grid.width.size))
        across = (grid.end - grid.start)[first, 1]
        return np.asarray(self.strip_gain * across[:, None])

    @cached_property
    def pitch_rows(self) -> Array:
        """Nose-up moment about ``about`` of each strip's upward force, per parameter, shape (S, m)."""
        grid = self.grid
        arm = grid.force[:, 0] - self.about[0]
        per = self.gain * ((grid.end - grid.start)[:, 1] * -arm)[:, None]
        out = np.zeros_like(self.strip_gain)
        np.add.at(out, grid.strip, per)
        return out


def _sum_strips(grid: Grid, values: Array) -> Array:
    """Sum a (P, m) array over each strip, (S, m)."""
    out = np.zeros((grid.width.size, values.shape[1]))
    np.add.at(out, grid.strip, values)
    return out


def forces(velocity: Array, line: Array) -> Array:
    """velocity x line for velocities (3, n, m) and lines (n, 3): (3, n, m)."""
    vx, vy, vz = velocity
    lx, ly, lz = (line[:, k, None] for k in range(3))
    return np.stack((vy * lz - vz * ly, vz * lx - vx * lz, vx * ly - vy * lx))


def gather(gain: Array, force: Array, arm: Array) -> Array:
    """Forms (6, m, m) of forces (3, n, m) per circulation at arms (n, 3), drawing axes."""
    x, y, z = (arm[:, k, None] for k in range(3))
    moment = (y * force[2] - z * force[1], z * force[0] - x * force[2], x * force[1] - y * force[0])
    return np.stack([gain.T @ one for one in (*force, *moment)])


def _forms(grid: Grid, gain: Array, at_force: Array, about: Array) -> Array:
    """The six forms in body axes, from bound vortices and from the legs up to the trailing edge."""
    still = np.zeros((3, grid.panels, gain.shape[1]))
    bound = still.copy()
    bound[:, :, :6] = onset(grid.force, about)
    bound += at_force @ gain
    total = gather(gain, forces(bound, grid.end - grid.start), grid.force - about)
    for point, tail, sign in ((grid.start, grid.tail_start, -1.0), (grid.end, grid.tail_end, 1.0)):
        run = tail - point[:, 0]
        middle = point + np.column_stack((run / 2, 0 * run, 0 * run))
        flow = still.copy()
        flow[:, :, :6] = onset(middle, about)
        line = np.column_stack((sign * run, 0 * run, 0 * run))
        total += gather(gain, forces(flow, line), middle - about)
    return np.asarray(total * np.tile(TURN, 2)[:, None, None])


def _factors(matrix: Array) -> tuple[Array, npt.NDArray[np.int32]]:
    """LU factors, or in builders' words why the panels do not stand apart."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", LinAlgWarning)
        factors = lu_factor(matrix, check_finite=False)
    size = np.abs(np.diag(factors[0]))
    if not np.all(np.isfinite(size)) or size.min() < SINGULAR * size.max():
        raise InputError([_CLASH])
    return factors[0], factors[1]


def solve(sheets: Sequence[Sheet], about: Array | None = None, ground: float | None = None) -> Solution:
    """Solve a lattice for all its unit parameters.

    Arguments:
        sheets: the lifting surfaces. about: moment point, drawing axes, m (default the origin).
        ground: z of the runway plane, m, or None for free air.
    Raises: ValueError for a sheet without extent; InputError when two sheets lie in one place.
    Valid: attached flow, small angles, sheets of aspect ratio above about 1, Mach below 0.3.
    """
    return solve_grid(build_grid(sheets), np.zeros(3) if about is None else np.asarray(about, float), ground)


def normals(grid: Grid) -> Array:
    """Unit normals of the panels with their built-in incidence, (P, 3)."""
    tilt = grid.incidence[:, None]
    return np.asarray(grid.normal * np.cos(tilt) + np.array([1.0, 0.0, 0.0]) * np.sin(tilt))


def influence(grid: Grid, ground: float | None = None) -> Array:
    """Influence matrix of the lattice, (P, P): normal wash at control point i of unit circulation on panel j."""
    velocity, normal = wash(grid, grid.control, ground), normals(grid)
    out = velocity[0] * normal[:, 0, None]
    out += velocity[1] * normal[:, 1, None]
    out += velocity[2] * normal[:, 2, None]
    return np.asarray(out)


def solve_grid(grid: Grid, about: Array, ground: float | None = None) -> Solution:
    """As :func:`solve`, for panels already laid."""
    normal = normals(grid)
    matrix = influence(grid, ground)
    rhs = np.empty((grid.panels, 6 + len(grid.columns)))
    rhs[:, :6] = -np.einsum("kim,ik->im", onset(grid.control, about), normal)
    for place, column in enumerate(grid.columns.values()):
        rhs[:, 6 + place] = -column
    factors = _factors(matrix)
    gain = np.asarray(lu_solve(factors, rhs, check_finite=False))
    strip_gain = _sum_strips(grid, gain)
    far = far_wash(grid, ground) * grid.width[:, None]
    half = -0.5 * strip_gain.T @ far @ strip_gain
    at_force = wash(grid, grid.force, ground)
    return Solution(
        grid=grid,
        names=(*MOTION, *grid.columns),
        about=about,
        gain=gain,
        strip_gain=strip_gain,
        forms=_forms(grid, gain, at_force, about),
        drag_form=(half + half.T) / 2,
        far=far,
        at_force=at_force,
        factors=factors,
    )


@dataclass(frozen=True)
class Reference:
    """What coefficients are referred to: area m2, span m, chord m."""

    area: float
    span: float
    chord: float


def derivatives(
    solution: Solution, s: Array, reference: Reference, beta_extra: Array | None = None
) -> Mapping[str, Mapping[str, float]]:
    """Coefficients' derivatives in body axes: {"Z": {"alpha": ...}, ...}.

    Rows X, Y, Z, L, M, N (forces over q S; moments over q S b, q S c, q S b); columns alpha, beta (per rad),
    p, q, r (per p b/2V, q c/2V, r b/2V) and each control (per rad). Positive Z and X as in body axes (Z down).
    ``beta_extra`` (6,): from :func:`planewright.analysis.air.skew.beta_correction`, added to the beta column.
    """
    speed = float(np.linalg.norm(s[:3]))
    span, chord = reference.span, reference.chord
    base = 2 / (speed**2 * reference.area)
    rows = base / np.array([1, 1, 1, span, chord, span])
    slope = solution.slopes(s) * rows[:, None]
    alpha = slope[:, 2] * s[0] - slope[:, 0] * s[2]
    # controls enter as u times delta: at constant delta they follow u
    alpha = alpha - s[2] / s[0] * (slope[:, 6:] @ s[6:]) if s.size > 6 else alpha
    columns = {"alpha": alpha, "beta": slope[:, 1] * speed}
    if beta_extra is not None:
        columns["beta"] = columns["beta"] + beta_extra * rows
    for k, (name, length) in enumerate((("p", span), ("q", chord), ("r", span))):
        columns[name] = slope[:, 3 + k] * 2 * speed / length
    for k, name in enumerate(solution.names[6:]):
        columns[name] = slope[:, 6 + k] * s[0]
    return {row: {name: float(value[i]) for name, value in columns.items()} for i, row in enumerate("XYZLMN")}
