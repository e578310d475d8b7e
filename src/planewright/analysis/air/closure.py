"""The condensed lattice closed with section curves: loads of every strip up to and past the stall.

    cl = cos^2(L) [ cl_attached(alpha_e) - S D(alpha_e) ],   sin(alpha_e) = x / cos(L)

D is the lift lost to separation, S its smoothing along the span. Without smoothing, equations of this kind have many
answers once the section curve falls (neighbouring strips take opposite sides of the stall; see A. Gross, H. Fasel
and M. Gaster, Criterion for spanwise spacing of stall cells, AIAA Journal, 2015, abstract seen). Solved by Newton's
method with its exact matrix. Derivation and trial of our own, 2026. A point that does not converge is a failure
that says so, never an answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.condensed import Condensed
from planewright.analysis.air.curves import Sampled
from planewright.errors import NotConverged

Array = npt.NDArray[np.float64]

ROUNDS, PATIENCE, SETTLED = 25, 300, 1e-10
LONGEST = 0.3
"""Longest change of a strip's lift coefficient in one step."""
HALVINGS = 12
RIM = 0.9999
WORSE = 1.2
"""Growth of the rest beyond which a patient step is taken back."""


@dataclass(frozen=True)
class Loads:
    """One converged state of S strips. ``lift`` (S,) coefficient on the strip's own speed; ``angle`` (S,) rad at
    which its section works; ``state`` (6,) u, v, w, p, q, r; ``speed`` (S,) of each strip; ``wash`` (S,) normal
    wash added to the lattice's strips; ``rounds`` of Newton; ``rest``: what is left of the equations."""

    lift: Array
    angle: Array
    state: Array
    speed: Array
    wash: Array
    rounds: int
    rest: float


def _angles(made: Condensed, far: Array, speed: Array, lift: Array) -> tuple[Array, Array]:
    """Section angle of each strip and its change with x, (S,)."""
    x = (far - made.hold @ (speed * lift)) / speed + made.zero_lift
    share = np.clip(x / made.cosine, -RIM, RIM)
    return np.arcsin(share), 1 / (made.cosine * np.sqrt(1 - share * share))


def _closure(made: Condensed, curves: Sampled, angle: Array) -> tuple[Array, Array]:
    """Lift of each strip by its curve, (S,), and how it changes with all section angles, (S, S)."""
    attached, rise = curves.attached(angle)
    lost, growth = curves.loss(angle)
    square = made.cosine**2
    slope = -made.loss * growth[None, :]
    slope[np.arange(angle.size), np.arange(angle.size)] += rise
    return square * (attached - made.loss @ lost), square[:, None] * slope


def solve_loads(
    made: Condensed, curves: Sampled, state: Sequence[float] | Array, start: Array | None = None
) -> Loads:
    """Loads of all strips at one state.

    Arguments:
        made: the condensed lattice. curves: of its strips, with flaps as they are set. state: u, v, w, p, q, r in
        body axes at about unit speed (m/s, rad/s about the lattice's moment point). start: (S,) lift coefficients to
        begin from (default: none, then the sections' own attached lift is approached).
    Returns: Loads.
    Raises: NotConverged with the rest that was left; ValueError for a strip that moves backward.
    Valid: section angles to 90 deg; past the greatest lift the shape of the curve, not its size.
    """
    s = np.asarray(state, dtype=np.float64)
    problem = _Problem(made, curves, made.angle @ s[:6], made.speeds(s))
    lift = np.zeros(made.chord.size) if start is None else start
    got = _newton(problem, lift)
    if got is None:
        got = _patient(problem, lift)
    if got is None:
        got = _patient(problem, np.zeros(made.chord.size))
    if got is None:
        raise NotConverged("lift of the strips past their stall", float(np.linalg.norm(problem.at(lift)[0])))
    lift, angle, rounds, rest = got
    wash = made.inverse @ (problem.speed * lift - made.direct @ s[:6])
    return Loads(lift, angle, s[:6], problem.speed, wash, rounds, rest)


@dataclass(frozen=True)
class _Problem:
    """The equations at one state: their rest and exact matrix at any lift."""

    made: Condensed
    curves: Sampled
    far: Array
    speed: Array

    def at(self, lift: Array) -> tuple[Array, Array, Array, Array]:
        """Rest (S,), section angles (S,), their bend (S,), slopes of the closure (S, S)."""
        angle, bend = _angles(self.made, self.far, self.speed, lift)
        wanted, slope = _closure(self.made, self.curves, angle)
        return lift - wanted, angle, bend, slope

    def matrix(self, bend: Array, slope: Array) -> Array:
        """Change of the rest with lift, (S, S)."""
        turned = self.made.hold * (self.speed[None, :] / self.speed[:, None])
        out = slope @ (bend[:, None] * turned)
        out[np.arange(bend.size), np.arange(bend.size)] += 1.0
        return np.asarray(out)


def _enough(rest: Array) -> bool:
    return bool(np.sqrt(rest @ rest) < SETTLED * np.sqrt(rest.size))


_Found = tuple[Array, Array, int, float]


def _newton(problem: _Problem, lift: Array) -> _Found | None:
    """Newton's method, its step limited and halved until the rest falls; None when it stands still."""
    rest, angle, bend, slope = problem.at(lift)
    for rounds in range(ROUNDS):
        if _enough(rest):
            return lift, angle, rounds, float(np.linalg.norm(rest))
        try:
            step = np.linalg.solve(problem.matrix(bend, slope), -rest)
        except np.linalg.LinAlgError:
            return None
        step = step * min(1.0, LONGEST / float(np.abs(step).max()))
        size = float(rest @ rest)
        for _ in range(HALVINGS):
            new = problem.at(lift + step)
            if float(new[0] @ new[0]) < size:
                break
            step = step * 0.5
        else:
            return None
        lift = lift + step
        rest, angle, bend, slope = new
    return None


def _patient(problem: _Problem, lift: Array) -> _Found | None:
    """Small steps in a time of its own, longer as the rest falls: finds the answer that damped iteration would.
    None when it does not get there."""
    rest, angle, bend, slope = problem.at(lift)
    hold, unit = 2.0, np.eye(lift.size)
    for rounds in range(PATIENCE):
        if _enough(rest):
            return lift, angle, ROUNDS + rounds, float(np.linalg.norm(rest))
        step = np.linalg.solve(problem.matrix(bend, slope) + hold * unit, -rest)
        step *= min(1.0, LONGEST / float(np.abs(step).max()))
        new = problem.at(lift + step)
        growth = float(np.linalg.norm(new[0]) / np.linalg.norm(rest))
        hold = float(np.clip(hold * (growth if growth < WORSE else 4.0), 1e-9, 1e4))
        if growth < WORSE:
            lift = lift + step
            rest, angle, bend, slope = new
    return None


def jacobian_of(made: Condensed, curves: Sampled, loads: Loads) -> Array:
    """The exact matrix of the equations at a converged state, (S, S): change of their rest with lift."""
    share = np.sin(loads.angle)
    bend = 1 / (made.cosine * np.sqrt(1 - share * share))
    _, slope = _closure(made, curves, loads.angle)
    turned = made.hold * (loads.speed[None, :] / loads.speed[:, None])
    return np.asarray(np.eye(share.size) + slope @ (bend[:, None] * turned))


def response(made: Condensed, curves: Sampled, loads: Loads, change: Sequence[float] | Array) -> Array:
    """How 2 Gamma/c of each strip changes with the state (u, v, w, p, q, r) along ``change``, exact, m/s, (S,)."""
    way = np.asarray(change, dtype=np.float64)
    faster = made.speed_change(loads.state, way)
    share = np.sin(loads.angle)
    bend = 1 / (made.cosine * np.sqrt(1 - share * share))
    _, slope = _closure(made, curves, loads.angle)
    sine = share * made.cosine - made.zero_lift
    moved = (made.angle @ way - made.hold @ (faster * loads.lift) - faster * sine) / loads.speed
    lift = np.linalg.solve(jacobian_of(made, curves, loads), slope @ (bend * moved))
    return np.asarray(loads.speed * lift + faster * loads.lift)
