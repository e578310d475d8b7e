"""The fit: prior, robust rows and held events together, with the full covariance.

Unknowns theta = (z - z0)/s are standard normal before any trial. Rows r = (y - h(theta))/(L sigma) are
Student t with 4 degrees of freedom; a held event adds ln Phi(a) and enters through expectation propagation
(its first two moments are exact for a single event); each channel may be found noisier than declared by a
factor L >= 1. The five steps are repeated to a fixed point, always from theta = 0: nothing is carried over
from an earlier result.

Sources: K. L. Lange, R. J. A. Little, J. M. G. Taylor, Robust statistical modeling using the t distribution,
J. Am. Stat. Assoc. 84 (1989); T. P. Minka, Expectation propagation for approximate Bayesian inference (2001);
R. T. Birge, The calculation of errors by the method of least squares, Phys. Rev. 40 (1932): from memory. The
weights and the scatter prior are from trials of our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import brentq
from scipy.special import log_ndtr

from planewright.calibrate.problem import Block, Event, Problem
from planewright.errors import NotConverged
from planewright.knowledge import Knowledge, Points, points

Array = npt.NDArray[np.float64]

DEGREES = 4.0
STEP = 0.01
TOLERANCE = 1e-9
ROUNDS = 400
SCATTER_VARIANCE = 0.16
INFORMATION = 5.0 / 7.0
FIRST = 100
SMALL = 1e-4


@dataclass(frozen=True)
class Fit:
    """Result of a fit.

    ``ids``: unknowns in order; ``theta``, ``covariance``: in prior standard deviations, shapes (n,), (n, n);
    ``residuals``: r = (y - h)/sigma with sigma as declared, one array for each block; ``scatter``: L of
    each block;
    ``weights``: 5/(4 + (r/L)^2), 1.25 for a row that fits; ``rounds``: rounds to the fixed point.
    """

    problem: Problem
    ids: tuple[str, ...]
    theta: Array
    covariance: Array
    residuals: tuple[Array, ...]
    scatter: tuple[float, ...]
    weights: tuple[Array, ...]
    rounds: int

    def mean(self, name: str) -> float:
        """z of an unknown after the fit (its prior mean when no row reads it)."""
        quantity = self.problem.knowledge.quantities[name]
        if name not in self.ids:
            return quantity.prior_mean
        return quantity.prior_mean + quantity.prior_sd * float(self.theta[self.ids.index(name)])

    def sd(self, name: str) -> float:
        """Standard deviation of z of an unknown after the fit."""
        quantity = self.problem.knowledge.quantities[name]
        if name not in self.ids:
            return quantity.prior_sd
        place = self.ids.index(name)
        return quantity.prior_sd * float(np.sqrt(self.covariance[place, place]))


@dataclass(frozen=True)
class _Linear:
    """Predictions and their slopes at one theta: rows and events stacked."""

    value: Array
    slope: Array
    margin: Array
    lean: Array


@dataclass(frozen=True)
class _Group:
    """Blocks and events of one trial, which are asked at the same points, with the places of what they
    read."""

    blocks: tuple[Block, ...]
    events: tuple[Event, ...]
    places: tuple[int, ...]


def _asked(knowledge: Knowledge, blocks: Sequence[Block], events: Sequence[Event]) -> frozenset[str]:
    at = points(knowledge)
    for predict in (*(one.predict for one in blocks), *(one.margin for one in events)):
        predict(at)
    return frozenset(at.asked)


class _Model:
    """A problem laid out as arrays: which unknowns there are, and predictions over theta.

    Blocks and events must stand together by trial, as :func:`~planewright.calibrate.problem.assemble` puts
    them.
    """

    def __init__(self, problem: Problem) -> None:
        knowledge = problem.knowledge
        trials = dict.fromkeys((*(b.trial for b in problem.blocks), *(e.trial for e in problem.events)))
        parts = [
            (
                tuple(b for b in problem.blocks if b.trial == t),
                tuple(e for e in problem.events if e.trial == t),
            )
            for t in trials
        ]
        reads = [_asked(knowledge, *part) for part in parts]
        self.problem = problem
        self.ids = tuple(sorted(set().union(*reads)))
        self.middle = np.array([knowledge.quantities[name].prior_mean for name in self.ids])
        self.spread = np.array([knowledge.quantities[name].prior_sd for name in self.ids])
        self.groups = [
            _Group(*part, tuple(i for i, name in enumerate(self.ids) if name in read))
            for part, read in zip(parts, reads, strict=True)
        ]
        self.event_sigma = np.array([event.sigma for event in problem.events])
        self.measured = _stack([block.measured for block in problem.blocks])
        self.sigma = _stack([block.sigma for block in problem.blocks])
        self.channel = np.repeat(np.arange(len(problem.blocks)), [len(b.measured) for b in problem.blocks])

    def _grid(self, group: _Group, theta: Array) -> Points:
        """The middle, then each unknown that the group reads up and down by a step."""
        k = len(group.places)
        grid = np.repeat(theta[:, None], 2 * k + 1, axis=1)
        for i, place in enumerate(group.places):
            grid[place, 1 + i] += STEP
            grid[place, 1 + k + i] -= STEP
        z = self.middle[:, None] + self.spread[:, None] * grid
        return points(self.problem.knowledge, dict(zip(self.ids, z, strict=True)), 2 * k + 1)

    def linear(self, theta: Array) -> _Linear:
        """Rows and events with slopes; events in units of their sigma."""
        rows, row_slopes = [np.empty(0)], [np.empty((0, len(theta)))]
        events, event_slopes = [np.empty(0)], [np.empty((0, len(theta)))]
        for group in self.groups:
            at = self._grid(group, theta)
            for block in group.blocks:
                value, slope = self._split(block.predict(at), len(block.measured), group)
                rows.append(value)
                row_slopes.append(slope)
            for event in group.events:
                value, slope = self._split(event.margin(at), 1, group)
                events.append(value / event.sigma)
                event_slopes.append(slope / event.sigma)
        return _Linear(
            np.concatenate(rows),
            np.concatenate(row_slopes),
            np.concatenate(events),
            np.concatenate(event_slopes),
        )

    def _split(self, out: Array, count: int, group: _Group) -> tuple[Array, Array]:
        k = len(group.places)
        table = np.reshape(out, (count, 2 * k + 1))
        slope = np.zeros((count, len(self.ids)))
        slope[:, list(group.places)] = (table[:, 1 : 1 + k] - table[:, 1 + k :]) / (2 * STEP)
        return table[:, 0], slope


def _stack(parts: Sequence[Array]) -> Array:
    return np.concatenate([np.empty(0), *parts])


def row_cost(r: Array, robust: bool) -> tuple[Array, Array]:
    """rho with cost = rho^2/2, and d rho/d r. Student t: rho = sign(r) sqrt(5 ln(1 + r^2/4))."""
    if not robust:
        return r, np.ones_like(r)
    rho = np.sign(r) * np.sqrt((DEGREES + 1) * np.log1p(r * r / DEGREES))
    flat = np.abs(r) < 1e-6
    lean = np.full_like(r, np.sqrt((DEGREES + 1) / DEGREES))
    lean[~flat] = (DEGREES + 1) * r[~flat] / ((DEGREES + r[~flat] ** 2) * rho[~flat])
    return rho, lean


def row_information(r: Array, robust: bool) -> Array:
    """Weight of a row in the covariance: (5/7) min(1, 5/(4 + r^2)) for Student t, 1 for Gaussian rows."""
    if not robust:
        return np.ones_like(r)
    return INFORMATION * np.minimum(1.0, row_weight(r))


def row_weight(r: Array) -> Array:
    """5/(4 + r^2): how hard a row pulls, against a Gaussian row of the same sigma."""
    return np.asarray((DEGREES + 1) / (DEGREES + r * r))


def fit(problem: Problem) -> Fit:
    """Fit all rows and events of a problem at once.

    The first round goes to the least of the cost from theta = 0; later rounds take one step each, with
    scatter and events brought up to date, until nothing changes. Raises NotConverged when that is not
    reached.
    """
    model = _Model(problem)
    none = np.zeros(len(problem.events))
    start = np.zeros(len(model.ids))
    state = _State(start, np.ones(len(problem.blocks)), none, none, start + 1)
    theta, at = _descend(model, state, model.linear(state.theta))
    state = _updated(model, replace(state, theta=theta), at)
    change, rounds, pace, last = np.inf, 1, 1.0, np.zeros(len(theta))
    while change > TOLERANCE:
        if rounds == ROUNDS:
            raise NotConverged("the calibration", float(change))
        step = _newton_step(model, state, at)
        pace, last = _pace(pace, step, last), step
        theta = state.theta + pace * step
        at = model.linear(theta)
        before = state.everything
        state = _updated(model, replace(state, theta=theta), at)
        change = float(np.max(np.abs(state.everything - before), initial=0.0)) / pace
        rounds += 1
    precision = _precision(model, at, state.loose) + at.lean.T @ (state.tau[:, None] * at.lean)
    return _finished(model, state, at, _inverse(precision), rounds)


def _newton_step(model: _Model, state: _State, at: _Linear) -> Array:
    """The whole Gauss-Newton step at the present theta."""
    residual, slope = _cost_parts(model, state, state.theta, at)
    return -np.asarray(np.linalg.solve(slope.T @ slope, slope.T @ residual))


def _pace(pace: float, step: Array, last: Array) -> float:
    """Part of the step to take: less when steps turn back on themselves, as they do where the curve of a
    row bends away from its tangent; more again when they do not."""
    size = float(last @ last)
    if size and float(step @ last) < -0.25 * size:
        return max(0.6 * pace, 0.05)
    return min(1.0, 1.2 * pace)


@dataclass(frozen=True)
class _State:
    """Where the fixed point stands: theta with its deviations, scatter of each block, and the Gaussian site
    of each event. What must stop changing is what is handed on: theta, its deviations and the scatter."""

    theta: Array
    loose: Array
    tau: Array
    nu: Array
    spread: Array

    @property
    def everything(self) -> Array:
        return np.concatenate([self.theta, np.log(self.loose), self.spread])


def _updated(model: _Model, state: _State, at: _Linear) -> _State:
    """Events and scatter about the present theta."""
    precision = _precision(model, at, state.loose)
    tau, nu, covariance = _propagate(precision, at, state.tau, state.nu)
    loose = _scatter(model, at, state.loose, covariance) if model.problem.scatter else state.loose
    return _State(state.theta, loose, tau, nu, np.sqrt(np.diag(covariance)))


def _finished(model: _Model, state: _State, at: _Linear, covariance: Array, rounds: int) -> Fit:
    r = (model.measured - at.value) / model.sigma
    parts = tuple(r[model.channel == i] for i in range(len(state.loose)))
    weights = tuple(row_weight(part / scale) for part, scale in zip(parts, state.loose, strict=True))
    scatter = tuple(map(float, state.loose))
    return Fit(model.problem, model.ids, state.theta, covariance, parts, scatter, weights, rounds)


def _precision(model: _Model, at: _Linear, loose: Array) -> Array:
    scale = model.sigma * loose[model.channel]
    w = row_information((model.measured - at.value) / scale, model.problem.robust)
    lean = at.slope / scale[:, None]
    return np.asarray(np.eye(at.slope.shape[1]) + lean.T @ (w[:, None] * lean))


def _cost_parts(model: _Model, state: _State, theta: Array, at: _Linear) -> tuple[Array, Array]:
    """Residuals whose half sum of squares is the cost, and their slopes: prior, rows as rho, events as
    sites."""
    scale = (model.sigma * state.loose[model.channel])[:, None]
    rho, lean = row_cost((model.measured - at.value) / scale[:, 0], model.problem.robust)
    root = np.sqrt(np.maximum(state.tau, 0.0))
    target = np.divide(state.nu, root, out=np.zeros_like(root), where=root > 0)
    residual = np.concatenate([theta, rho, root * at.margin - target])
    slopes = (np.eye(len(theta)), -lean[:, None] * at.slope / scale, root[:, None] * at.lean)
    return residual, np.concatenate(slopes)


def _descend(model: _Model, state: _State, at: _Linear) -> tuple[Array, _Linear]:
    """The least of the cost from the present theta, whose predictions are ``at`` (Levenberg-Marquardt)."""
    theta, damp = state.theta, 0.0
    here, slope = _cost_parts(model, state, theta, at)
    for _ in range(FIRST):
        normal, gradient = slope.T @ slope, slope.T @ here
        while True:
            step = -np.linalg.solve(normal + damp * np.eye(len(theta)), gradient)
            after = model.linear(theta + step)
            there, slope_there = _cost_parts(model, state, theta + step, after)
            small = float(np.max(np.abs(step), initial=0.0)) < SMALL
            if small or there @ there <= here @ here or damp > 1e9:
                break
            damp = max(10 * damp, 1e-2)
        damp = damp / 10 if damp > 1e-2 else 0.0
        theta, at, here, slope = theta + step, after, there, slope_there
        if small:
            break
    return theta, at


def _propagate(precision: Array, at: _Linear, tau: Array, nu: Array) -> tuple[Array, Array, Array]:
    """Expectation propagation of the held events about the current theta; the covariance with them in."""
    if not len(tau):
        return tau, nu, _inverse(precision)
    base = -at.lean.T @ (nu - tau * at.margin)
    for _ in range(500):
        earlier = np.concatenate([tau, nu])
        for i in range(len(tau)):
            tau, nu = _one_event(precision, base, at, tau, nu, i)
        if np.max(np.abs(np.concatenate([tau, nu]) - earlier)) < 1e-12:
            break
    return tau, nu, _inverse(precision + at.lean.T @ (tau[:, None] * at.lean))


def _one_event(
    precision: Array, base: Array, at: _Linear, tau: Array, nu: Array, i: int
) -> tuple[Array, Array]:
    covariance = _inverse(precision + at.lean.T @ (tau[:, None] * at.lean))
    shift = covariance @ (base + at.lean.T @ (nu - tau * at.margin))
    mean = at.margin[i] + at.lean[i] @ shift
    variance = at.lean[i] @ covariance @ at.lean[i]
    if variance <= 0:
        return tau, nu
    target_tau, target_nu = event_site(float(mean), float(variance), float(tau[i]), float(nu[i]))
    tau, nu = tau.copy(), nu.copy()
    tau[i] += 0.5 * (target_tau - tau[i])
    nu[i] += 0.5 * (target_nu - nu[i])
    return tau, nu


def event_site(mean: float, variance: float, tau: float, nu: float) -> tuple[float, float]:
    """The Gaussian (precision, precision times mean) that stands for Phi(a), given a's mean and variance
    with the present one (tau, nu) in. Exact in the first two moments. Source: Minka (2001), probit factor."""
    cavity = 1.0 / (1.0 / variance - tau)
    middle = cavity * (mean / variance - nu)
    wide = np.sqrt(1.0 + cavity)
    q = middle / wide
    g = float(np.exp(-0.5 * q * q - 0.5 * np.log(2 * np.pi) - log_ndtr(q)))
    mean_after = middle + cavity * g / wide
    variance_after = cavity - cavity**2 * g * (q + g) / (1.0 + cavity)
    return float(1 / variance_after - 1 / cavity), float(mean_after / variance_after - middle / cavity)


def _scatter(model: _Model, at: _Linear, loose: Array, covariance: Array) -> Array:
    """Scatter of each channel: L >= 1 solving -ln L/0.16 + sum 5 q/(4 + q) = n - leverages, q = (r/L)^2."""
    scale = model.sigma * loose[model.channel]
    r = (model.measured - at.value) / model.sigma
    w = row_information(r / loose[model.channel], model.problem.robust)
    lean = at.slope / scale[:, None]
    leverage = w * np.einsum("ij,jk,ik->i", lean, covariance, lean)
    return np.array([scatter_factor(r[own], leverage[own]) for own in _masks(model, len(loose))])


def _masks(model: _Model, count: int) -> list[npt.NDArray[np.bool_]]:
    return [model.channel == i for i in range(count)]


def scatter_factor(r: Array, leverage: Array) -> float:
    """How much noisier than declared a channel is, >= 1. ``r`` at the declared sigma; shapes (n,)."""
    free = len(r) - float(np.sum(leverage))

    def excess(log_scale: float) -> float:
        q = r * r * np.exp(-2 * log_scale)
        return float(-log_scale / SCATTER_VARIANCE + np.sum((DEGREES + 1) * q / (DEGREES + q)) - free)

    if excess(0.0) <= 0:
        return 1.0
    top = 1.0
    while excess(top) > 0:
        top *= 2
    return float(np.exp(brentq(excess, 0.0, top, xtol=1e-14, rtol=1e-14)))


def _inverse(matrix: Array) -> Array:
    inverse = np.asarray(cho_solve(cho_factor(matrix), np.eye(len(matrix))), dtype=np.float64)
    return (inverse + inverse.T) / 2


def slopes_at(problem: Problem, block: Block, result: Fit) -> tuple[Array, Array]:
    """Prediction of a block of another problem at a fit's theta, and its slopes over ``all`` its own
    unknowns.

    Unknowns that the fit does not hold stand at their prior. Result: value (n,), ids' slopes (n, len(ids))
    over theta in the order of the block's own model; used to ask what a trial said before it was taken in.
    """
    model = _Model(Problem(problem.knowledge, (block,)))
    place = {name: i for i, name in enumerate(result.ids)}
    theta = np.array([result.theta[place[name]] if name in place else 0.0 for name in model.ids])
    at = model.linear(theta)
    joint = np.eye(len(model.ids))
    known = [(i, place[name]) for i, name in enumerate(model.ids) if name in place]
    for i, a in known:
        for j, b in known:
            joint[i, j] = result.covariance[a, b]
    return at.value, np.asarray(at.slope @ joint @ at.slope.T)


__all__ = ["Event", "Fit", "event_site", "fit", "row_cost", "row_information", "row_weight", "scatter_factor"]
