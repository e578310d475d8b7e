"""Roll and sideslip: how fast it rolls, how much wind across it can hold.

Sources: roll of one degree of freedom, p = p_ss (1 - exp(-t/tau)), and steady sideslip by the balance of rolling and
yawing moments, as in any course of stability and control (B. Etkin and L. D. Reid, Dynamics of Flight, 1996, 3.8, 7.8).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel
from planewright.analysis.handling.derivatives import Derivatives
from planewright.analysis.model import MassState
from planewright.plane.model import Control, ControlKind

Array = npt.NDArray[np.float64]

STEEPEST = np.deg2rad(20.0)
"""Sideslip beyond which the linear set is not believed."""
NEWTONS = 40


@dataclass(frozen=True)
class Roll:
    """Full aileron at one speed, all (N,): ``rate`` rad/s when steady, ``time`` s constant of its build-up, ``to_30``
    s from wings level to 30 degrees."""

    rate: Array
    time: Array
    to_30: Array


@dataclass(frozen=True)
class Slip:
    """The steepest steady straight sideslip, all (N,): ``beta`` rad, ``across`` m/s of wind it stands for, ``rudder``
    and ``aileron`` shares of their full travel, ``bank`` rad into the wind."""

    beta: Array
    across: Array
    rudder: Array
    aileron: Array
    bank: Array


def controls_of(model: AirModel, kind: ControlKind) -> tuple[Control, ...]:
    """Controls of one kind that the lattice knows."""
    known = set(model.solution.names)
    return tuple(one for one in model.geometry.plane.controls if one.kind == kind and one.name in known)


def full(model: AirModel, d: Derivatives, kind: ControlKind, row: str) -> Array:
    """Coefficient in ``row`` at full travel of all controls of a kind together, (N,): a pair of ailerons counts the
    mean of its travels (one side goes up, the other down); a rudder the smaller."""
    total = np.zeros_like(d.lift)
    for one in controls_of(model, kind):
        travel = (one.up + one.down) / 2 if kind == "aileron" else min(one.up, one.down)
        total = total + d[row, one.name] * travel
    return total


def roll_at(model: AirModel, mass: MassState, d: Derivatives) -> Roll | None:
    """Full aileron at the state of ``d``; None without ailerons.

    Roll alone: no yaw, no sideslip. The steady rate is an upper bound where adverse yaw is strong.
    """
    if not controls_of(model, "aileron"):
        return None
    speed, span = np.asarray(d.trim.speed), model.reference.span
    rate = np.abs(full(model, d, "aileron", "L") / d["L", "p"]) * 2 * speed / span
    pressure = 0.5 * d.trim.density * speed**2 * model.reference.area
    time = -mass.inertia[0] / (pressure * span * d["L", "p"] * span / (2 * speed))
    wanted, to_30 = np.deg2rad(30.0), np.deg2rad(30.0) / rate + time
    for _ in range(NEWTONS):
        gone = np.exp(-to_30 / time)
        to_30 = to_30 - (rate * (to_30 - time * (1 - gone)) - wanted) / np.maximum(rate * (1 - gone), 1e-9)
    return Roll(rate, time, to_30)


def steady_slip(model: AirModel, d: Derivatives) -> Slip | None:
    """The steepest sideslip that full rudder or full aileron can hold straight; None without a rudder.

    Rolling and yawing moments are in balance; the side force is taken by bank. Without ailerons roll is left to bank
    and dihedral, and only the rudder limits. Cut at 20 degrees.
    """
    if not controls_of(model, "rudder"):
        return None
    n_r, l_r = full(model, d, "rudder", "N"), full(model, d, "rudder", "L")
    n_a, l_a = full(model, d, "aileron", "N"), full(model, d, "aileron", "L")
    n_b, l_b = d["N", "beta"], d["L", "beta"]
    if not controls_of(model, "aileron"):
        rudder, aileron = -n_b / n_r, np.zeros_like(n_b)
    else:
        size = n_r * l_a - n_a * l_r
        rudder, aileron = (-n_b * l_a + l_b * n_a) / size, (n_b * l_r - l_b * n_r) / size
    most = np.maximum(np.maximum(np.abs(rudder), np.abs(aileron)), 1.0 / STEEPEST)
    beta = 1.0 / most
    side = (
        d["Y", "beta"] * beta
        + (full(model, d, "rudder", "Y") * rudder + full(model, d, "aileron", "Y") * aileron) * beta
    )
    bank = np.arcsin(np.clip(-side / d.lift, -1, 1))
    return Slip(beta, np.asarray(d.trim.speed) * np.sin(beta), rudder * beta, aileron * beta, bank)
