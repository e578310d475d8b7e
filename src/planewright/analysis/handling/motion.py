"""From coefficients to the linear equations of motion: dimensional derivatives about a trimmed state."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel
from planewright.analysis.handling.derivatives import Derivatives
from planewright.analysis.handling.modes import PitchTerms, SideTerms
from planewright.analysis.model import MassState
from planewright.plane.model import Plane

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Push:
    """The engines at a trimmed state. All (N,): ``thrust`` N, ``slope`` dT/dV N s/m, ``arm`` m by which the line of
    thrust passes below the balance point (positive: power lifts the nose)."""

    thrust: Array
    slope: Array
    arm: Array

    @property
    def moment(self) -> Array:
        """Pitching moment about the balance point, nose up, N m."""
        return self.thrust * self.arm


def thrust_arm(plane: Plane, cg: Array) -> Array:
    """How far the mean line of thrust passes below the balance point, m, (N,); engines pull along the body line.

    Arguments: cg: (3, N) m, drawing axes. Zero without an engine.
    """
    if not plane.engines:
        return np.zeros_like(cg[2])
    return np.asarray(cg[2] - np.mean([one.z for one in plane.engines]))


def gliding(mass: MassState) -> Push:
    """No push at all."""
    nothing = np.zeros_like(mass.mass)
    return Push(nothing, nothing, nothing)


def pitch_terms(model: AirModel, mass: MassState, d: Derivatives, push: Push) -> PitchTerms:
    """Dimensional derivatives in pitch, straight and level (or nearly), wings level.

    ``push``: its slope enters X_u and, with its arm, M_u. Attitude is the angle of attack (level path).
    """
    speed, chord = np.asarray(d.trim.speed), model.reference.chord
    pressure = 0.5 * d.trim.density * speed**2 * model.reference.area
    cosine, sine = np.cos(d.trim.alpha), np.sin(d.trim.alpha)
    force, moment = pressure / (mass.mass * speed), pressure * chord / (mass.inertia[1] * speed)
    rate = chord / (2 * speed)
    lift, drag = d.lift, d.drag
    level = {"X": lift * sine - drag * cosine, "Z": -lift * cosine - drag * sine}
    level["M"] = -push.moment / (pressure * chord)

    def along(row: str) -> Array:
        return (2 * level[row] + d[row, "speed"]) * cosine - d[row, "alpha"] * sine

    def across(row: str) -> Array:
        return (2 * level[row] + d[row, "speed"]) * sine + d[row, "alpha"] * cosine

    return PitchTerms(
        u=speed * cosine,
        w=speed * sine,
        theta=d.trim.alpha,
        xu=along("X") * force + push.slope * cosine / mass.mass,
        xw=across("X") * force + push.slope * sine / mass.mass,
        xq=np.zeros_like(force),
        zu=along("Z") * force,
        zw=across("Z") * force,
        zq=d["Z", "q"] * force * chord / 2,
        zw_dot=d["Z", "alpha_dot"] * force * rate * cosine,
        mu=along("M") * moment + push.slope * push.arm * cosine / mass.inertia[1],
        mw=across("M") * moment + push.slope * push.arm * sine / mass.inertia[1],
        mq=d["M", "q"] * moment * chord / 2,
        mw_dot=d["M", "alpha_dot"] * moment * rate * cosine,
    )


def side_terms(model: AirModel, mass: MassState, d: Derivatives) -> SideTerms:
    """Dimensional derivatives in roll, yaw and sideslip about level flight."""
    speed, span = np.asarray(d.trim.speed), model.reference.span
    pressure = 0.5 * d.trim.density * speed**2 * model.reference.area
    force = pressure / (mass.mass * speed)
    roll, yaw = (pressure * span / (mass.inertia[k] * speed) for k in (0, 2))
    half = span / 2
    return SideTerms(
        u=speed * np.cos(d.trim.alpha),
        w=speed * np.sin(d.trim.alpha),
        theta=d.trim.alpha,
        yv=d["Y", "beta"] * force,
        yp=d["Y", "p"] * force * half,
        yr=d["Y", "r"] * force * half,
        lv=d["L", "beta"] * roll,
        lp=d["L", "p"] * roll * half,
        lr=d["L", "r"] * roll * half,
        nv=d["N", "beta"] * yaw,
        np=d["N", "p"] * yaw * half,
        nr=d["N", "r"] * yaw * half,
        roll_coupling=mass.inertia[3] / mass.inertia[0],
        yaw_coupling=mass.inertia[3] / mass.inertia[2],
    )
