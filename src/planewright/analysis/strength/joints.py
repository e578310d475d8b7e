"""Joints of a wing: blades that plug in, whose strength follows from their size, and hinges, whose does not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from planewright.analysis.strength.half import HalfWing
from planewright.analysis.strength.materials import MPA, tables, wood_of
from planewright.plane.model import Joint, Plane, Stock, Surface

BLADES = 2
PLY_THICKNESS = 0.003


@dataclass(frozen=True)
class Joiner:
    """A plug-in joint: moment at which its blades break or crush the sticks they bear on, N m, nominal.

    ``depth`` of the blades, m; ``bending`` and ``bearing`` the two moments of which ``moment`` is the least.
    """

    joint: Joint
    depth: float
    bending: float
    bearing: float

    @property
    def moment(self) -> float:
        """The lesser of the two, N m."""
        return min(self.bending, self.bearing)


@dataclass(frozen=True)
class JointNeed:
    """What a joint must carry. Moments in N m at 1 g, at the limit and at the ultimate load (joint factor in);
    forces in N at latch and hinge (M/apart) or at the ends of a joiner's blades (1.5 M/reach). ``kind``: "hinge"
    or "joiner". A moment below zero bends the tip down. ``own``: moment of the panel's own weight at 1 g; in a test
    with the wing upside down it helps the weight that is hung.
    """

    joint: Joint
    kind: str
    one_g: float
    limit: float
    ultimate: float
    force_limit: float
    force_ultimate: float
    own: float = 0.0

    @property
    def hung_limit(self) -> float:
        """Moment to hang on the joint, wing upside down, so that it carries the limit need, N m."""
        return max(self.limit - self.own, 0.0)

    @property
    def hung_ultimate(self) -> float:
        """The same for the ultimate need, N m."""
        return max(self.ultimate - self.own, 0.0)


def need_of(joint: Joint, one_g: float, own: float, limit: float, over: float) -> JointNeed:
    """Need of a joint from its net and its own-weight moment at 1 g (N m), the limit load factor, and what stands
    on that (1.5 x 1.15)."""
    per = _force_per_moment(joint)
    kind = "hinge" if joint.folds else "joiner"
    at_limit = one_g * limit
    return JointNeed(
        joint, kind, one_g, at_limit, at_limit * over, at_limit * per, at_limit * over * per, own
    )


def _force_per_moment(joint: Joint) -> float:
    """Force at the fitting per moment, 1/m: couple over ``apart``, or blade ends 1.5/reach; nan if not drawn."""
    if joint.folds:
        return 1 / joint.apart if joint.apart else float("nan")
    return 1.5 / joint.reach if joint.reach else float("nan")


def joiners(plane: Plane, surface: Surface, half: HalfWing) -> tuple[Joiner, ...]:
    """The plug-in joints of a wing whose blades can be reckoned: two blades, one each side of the web, as deep as
    the room between the caps (our default; the drawing shows it)."""
    plugged = [joint for joint in surface.joints if joint.joiner in plane.stock and not joint.folds]
    return tuple(_joiner(plane.stock, joint, half) for joint in plugged) if half.sticks else ()


def _joiner(stock: Mapping[str, Stock], joint: Joint, half: HalfWing) -> Joiner:
    top, bottom = half.sticks[0], half.sticks[1]
    clear = float(np.interp(joint.out, half.y, top.z - bottom.z)) - (top.depth + bottom.depth) / 2
    depth = max(clear, 1e-3)
    blade = stock[joint.joiner or ""]
    thick = blade.thickness or PLY_THICKNESS
    strength = _bending_strength(blade)
    bending = BLADES * thick * depth**2 / 6 * strength
    bearing = _bearing(thick, joint.reach or 0.0, top.wood.across)
    return Joiner(joint, depth, bending, bearing if joint.reach else bending)


def _bending_strength(blade: Stock) -> float:
    if blade.kind == "pine stick":
        return wood_of(blade).bending
    return float(tables()["plywood"]["bending"]) * MPA


def _bearing(thick: float, reach: float, across: float) -> float:
    """Moment at which blade ends crush the sticks: end force 1.5 M/reach over a quarter of the reach, pressure
    falling straight to nothing (judgement)."""
    force = across * BLADES * thick * reach / 4 / 2
    return force * reach / 1.5
