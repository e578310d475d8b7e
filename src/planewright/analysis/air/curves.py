"""Section curves made ready for the closure of the condensed lattice.

Whatever a section's lift curve comes from (measurement, computation, assumption), it is sampled at one Reynolds
number for each strip, split into an attached line and the lift lost to separation, and that loss is kept from
growing faster than 4 pi per radian: a lift curve that falls more steeply than -2 pi per radian has no single answer
along a span, so a sharp drop is spread over a few degrees. The greatest lift is kept. Beyond the curve's own angles
lift and drag go over to those of a flat plate (cl about 1.1 sin 2a, cd about 2 sin^2 a: common practice, no
source); a strip that works out there is told of.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Protocol

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

STEP = np.deg2rad(0.25)
REACH = 360
ANGLES = np.arange(-REACH, REACH + 1) * STEP
"""Common grid of section angles, -90 to 90 deg by a quarter."""
STEEPEST = 4 * np.pi
"""Steepest growth of lost lift, per rad (trial of our own: 4 pi with a smoothing length of 0.35 chord)."""
SPREAD = np.array([0.25, 0.5, 0.25])
BLEND = np.deg2rad(12.0)
LEAST_TOP = np.deg2rad(8.0)
"""A greatest lift is looked for at least up to here."""
KEPT = 0.5
"""Part of a flap's attached lift that is kept at the maximum (judgement: half)."""


@dataclass(frozen=True)
class Curve:
    """One section at one Reynolds number. ``angle`` (n,) rad, rising, of the chord line; ``lift``, ``drag``,
    ``moment`` (about the quarter chord) (n,). ``firm``: a lowest and a highest angle, rad, between which the
    curve was measured or solved; outside them it is an extension."""

    angle: Array
    lift: Array
    drag: Array
    moment: Array
    firm: tuple[float, float]


class Section(Protocol):
    """What the closure needs of a section: its curve at a Reynolds number, and how sure its greatest lift is."""

    @property
    def method(self) -> str:
        """Where its curve comes from: "measured", "computed" or "assumed"."""

    @property
    def top_band(self) -> float:
        """Half width of the 95 % band of its greatest lift coefficient."""

    def curve(self, reynolds: float) -> Curve:
        """Its curve at a Reynolds number."""


@dataclass(frozen=True)
class Sampled:
    """Curves of S strips on :data:`ANGLES`, A angles.

    ``slope`` per rad, ``zero`` rad (S,): the attached line slope x sin(a - zero). ``lost`` (S, A, 4): cubics of
    the lift lost to separation, after limiting. ``drag``, ``moment`` (S, A). ``low``, ``high`` (S,):
    angles between which the curve is firm, rad. ``top``, ``crest`` (S,) greatest lift coefficient and its angle
    rad with nothing deflected. How the strips are set, (S,):
    ``turn`` and ``pitch`` by controls (see :meth:`deflected`), ``tilt`` rad (see :meth:`tilted`).
    """

    slope: Array
    zero: Array
    lost: Array
    drag: Array
    moment: Array
    low: Array
    high: Array
    top: Array
    crest: Array
    turn: Array
    pitch: Array
    tilt: Array

    def _where(self, angle: Array) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64], Array]:
        own = angle - self.tilt + KEPT * self.turn
        place = np.clip(own / STEP + REACH, 0.0, 2 * REACH - 1e-9)
        column = place.astype(np.int64)
        return np.arange(angle.size), column, place - column

    def loss(self, angle: Array) -> tuple[Array, Array]:
        """Lost lift and its growth per rad of each strip at its own angle (S,), by cubics."""
        row, k, t = self._where(angle)
        a, b, c, d = self.lost[row, k].T
        return ((a * t + b) * t + c) * t + d, ((3 * a * t + 2 * b) * t + c) / STEP

    def attached(self, angle: Array) -> tuple[Array, Array]:
        """Lift on the attached line and its slope per rad, (S,)."""
        away = angle - self.tilt - self.zero + self.turn
        return self.slope * np.sin(away), self.slope * np.cos(away)

    def lift(self, angle: Array) -> Array:
        """Section lift coefficient with the limited loss, not smoothed along the span, (S,)."""
        return np.asarray(self.attached(angle)[0] - self.loss(angle)[0])

    def drag_at(self, angle: Array) -> Array:
        """Profile drag coefficient of each strip at its own angle, (S,)."""
        row, k, t = self._where(angle)
        return np.asarray((1 - t) * self.drag[row, k] + t * self.drag[row, k + 1])

    def moment_at(self, angle: Array) -> Array:
        """Quarter-chord moment coefficient of each strip at its own angle, (S,)."""
        row, k, t = self._where(angle)
        return np.asarray((1 - t) * self.moment[row, k] + t * self.moment[row, k + 1] + self.pitch)

    def top_angle(self) -> Array:
        """Angle of each section's greatest lift, rad, (S,), controls as they are set."""
        return np.asarray(self.crest + self.tilt - KEPT * self.turn)

    def outside(self, angle: Array) -> Mask:
        """True for strips whose angle lies beyond what was measured or solved, (S,)."""
        own = angle - self.tilt + KEPT * self.turn
        return np.asarray((own < self.low - 1e-9) | (own > self.high + 1e-9))

    def deflected(self, turn: Array, pitch: Array) -> Sampled:
        """The same sections with a flap out.

        Arguments: turn (S,): shift of the angle of zero lift, rad, positive for more lift; pitch (S,): change of
        the quarter-chord moment. The attached lift grows by slope x turn; half of it is kept at the maximum
        (judgement), so the stall comes earlier by half the turn. Valid to about 20 deg of flap.
        """
        top = self.top + self.slope * (1 - KEPT) * (turn - self.turn)
        return replace(self, turn=np.asarray(turn), pitch=np.asarray(pitch), top=top)

    def tilted(self, tilt: Array) -> Sampled:
        """The same sections set at another angle, (S,) rad, nose down positive: a wing bent in building."""
        return replace(self, tilt=np.asarray(tilt))

    def rows(self, index: npt.NDArray[np.int64]) -> Sampled:
        """Curves of chosen strips, in that order."""
        return Sampled(**{one.name: getattr(self, one.name)[index] for one in fields(self)})


_PLATE_LIFT, _PLATE_DRAG = 1.1 * np.sin(2 * ANGLES), 2 * np.sin(ANGLES) ** 2
"""Lift and drag coefficients of a flat plate on :data:`ANGLES` (common practice, no source)."""


def extended(curve: Curve) -> tuple[Array, Array, Array]:
    """Lift, drag and moment of a curve on :data:`ANGLES`, going over to a flat plate beyond its ends, each (A,)."""
    lift, drag, moment = (
        np.interp(ANGLES, curve.angle, one) for one in (curve.lift, curve.drag, curve.moment)
    )
    beyond = np.maximum(ANGLES - curve.angle[-1], curve.angle[0] - ANGLES)
    share = np.clip(beyond / BLEND, 0, 1)
    share = share * share * (3 - 2 * share)
    late = -0.25 * np.sin(ANGLES) * share
    return (
        (1 - share) * lift + share * _PLATE_LIFT,
        np.maximum((1 - share) * drag + share * _PLATE_DRAG, 0.0),
        moment * (1 - share) + late,
    )


def _line(lift: Array) -> tuple[Array, Array]:
    """Attached line (slope per rad, zero rad) of curves (S, A): zero lift nearest to 0, slope over 4 deg above."""
    near = slice(REACH - 60, REACH + 61)
    part, angle = lift[:, near], ANGLES[near]
    crossing = (part[:, :-1] <= 0) & (part[:, 1:] > 0)
    away = np.where(crossing, np.abs(angle[:-1])[None, :], np.inf)
    at = np.argmin(away, axis=1)
    row = np.arange(lift.shape[0])
    rise = part[row, at + 1] - part[row, at]
    zero = angle[at] - part[row, at] / np.where(rise > 0, rise, 1.0) * STEP
    slope = np.zeros(lift.shape[0])
    for k in range(lift.shape[0]):
        x = np.linspace(np.deg2rad(1.0), np.deg2rad(4.0), 7)
        y = np.interp(zero[k] + x, ANGLES, lift[k])
        slope[k] = (np.sin(x) @ y) / (np.sin(x) @ np.sin(x))
    return slope, zero


def limited(lost: Array, middle: npt.NDArray[np.int64], steepest: float = STEEPEST) -> Array:
    """Lost lift (S, A) kept from growing faster than ``steepest`` per rad outward from column ``middle`` (S,)."""
    ramp = steepest * ANGLES
    out = lost.copy()
    for k, at in enumerate(middle):
        right = np.minimum.accumulate(lost[k, at:] - ramp[at:]) + ramp[at:]
        left = -lost[k, at::-1] + ramp[at::-1]
        out[k, at:] = right
        out[k, at::-1] = -(np.minimum.accumulate(left) - ramp[at::-1])
    return out


def sample(curves: Sequence[Curve], factor: float = 1.0, steepest: float = STEEPEST) -> Sampled:
    """Prepare one curve for each strip.

    Arguments:
        curves: S of them. factor: on the greatest lift (``sec.clmax``): the curve is stretched about its zero-lift
        point along its own attached line, so slope and zero lift stay. steepest: limit of the growth of lost lift.
    Returns: Sampled.
    Raises: ValueError for a curve that does not cross zero lift with a rising slope between -15 and 15 deg.
    """
    tables = np.array([extended(one) for one in curves])
    lift, drag, moment = tables[:, 0], tables[:, 1], tables[:, 2]
    slope, zero = _line(lift)
    if not np.all(slope > 1.0):
        raise ValueError("a section's lift does not rise through zero between -15 and 15 degrees")
    if factor != 1.0:
        lift = _stretched(lift, zero, slope, factor)
    lost = slope[:, None] * np.sin(ANGLES[None, :] - zero[:, None]) - lift
    lost = limited(lost, np.clip(np.round(zero / STEP).astype(np.int64) + REACH, 0, 2 * REACH), steepest)
    lost[:, 1:-1] = SPREAD[0] * lost[:, :-2] + SPREAD[1] * lost[:, 1:-1] + SPREAD[2] * lost[:, 2:]
    firm = np.array([one.firm for one in curves])
    own = (ANGLES[None, :] >= 0) & (ANGLES[None, :] <= np.maximum(firm[:, 1:], LEAST_TOP))
    crest = np.argmax(np.where(own, lift, -np.inf), axis=1)
    none = np.zeros(len(curves))
    return Sampled(
        slope, zero, _cubics(lost), drag, moment, firm[:, 0], firm[:, 1], lift[np.arange(crest.size), crest],
        ANGLES[crest], none, none, none,
    )  # fmt: skip


def _cubics(table: Array) -> Array:
    """Cubics between neighbouring columns of (S, A) with central slopes: (S, A, 4), highest power first; the last
    column's is flat."""
    rate = np.empty_like(table)
    rate[:, 1:-1] = (table[:, 2:] - table[:, :-2]) / 2
    rate[:, 0], rate[:, -1] = table[:, 1] - table[:, 0], table[:, -1] - table[:, -2]
    step = table[:, 1:] - table[:, :-1]
    both = rate[:, :-1] + rate[:, 1:]
    out = np.zeros((*table.shape, 4))
    out[:, :-1, 0] = both - 2 * step
    out[:, :-1, 1] = 3 * step - both - rate[:, :-1]
    out[:, :-1, 2] = rate[:, :-1]
    out[:, :, 3] = table
    return out


def _stretched(lift: Array, zero: Array, slope: Array, factor: float) -> Array:
    """Curves whose departure from the attached line comes at ``factor`` times the lift, within 30 deg."""
    out = lift.copy()
    for k in range(lift.shape[0]):
        away = ANGLES - zero[k]
        wide = np.clip((np.abs(away) - np.deg2rad(30)) / np.deg2rad(30), 0, 1)
        new = factor * np.interp(zero[k] + away / factor, ANGLES, lift[k])
        out[k] = (1 - wide) * new + wide * lift[k]
    return out
