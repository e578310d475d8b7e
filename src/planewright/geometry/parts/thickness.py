"""What the thickness of the board takes away: grooves, slopes, slots, set-backs.

Plane geometry of a board of even thickness; each formula can be checked with a ruler. ``t`` is the measured thickness;
lengths in one unit throughout, angles in rad. The paper that stays whole is the outside one unless said otherwise.
Values marked "assumed" are sensible defaults that nobody has measured yet: a coupon settles them.
"""

from __future__ import annotations

import numpy as np

from planewright.geometry.parts.model import Cutting

NO_FOLD = np.radians(3.0)
"""A fold below this is left out (assumed)."""
GROOVE_FROM = np.radians(20.0)
"""From here a V is cut; below, the near paper is cut and the foam crushed (assumed)."""
LEAST_LAND = 2.0
"""Foam left between two grooves, mm (assumed)."""
CLEARANCE = 0.2
"""Play of a slot, mm (common practice, no source)."""
TURN_CLEARANCE = np.radians(3.0)
"""Angle by which a control may pass its travel before it binds (common practice, no source)."""
END_GAP = 2.0
"""Gap at the ends of a control, mm (common practice, no source)."""
LEAST_PITCH = 3.0
"""Narrowest facet of a rounded corner on the inside, mm (assumed)."""


def groove_width(t: float, angle: float) -> float:
    """Width of the V in the inner face that closes at a fold of ``angle``: 2 t tan(angle/2)."""
    return float(2 * t * np.tan(abs(angle) / 2))


def how_to_fold(angle: float) -> Cutting | None:
    """How a fold is cut: a groove, a score (on the face it folds toward), or None: too small to mark."""
    if abs(angle) < NO_FOLD:
        return None
    if angle < 0:
        return "score behind"
    return "groove" if angle >= GROOVE_FROM else "score"


def land(width: float, t: float, one: float, other: float) -> float:
    """Foam left on the inside of a facet of outer ``width`` between folds ``one`` and ``other``."""
    return float(width - t * (np.tan(max(one, 0.0) / 2) + np.tan(max(other, 0.0) / 2)))


def set_back(t: float, across: float) -> float:
    """Distance in a rib's own plane from the outside of a skin to its inside; ``across`` is the component of the skin's
    unit normal square to that plane: t / sqrt(1 - n^2)."""
    return float(t / np.sqrt(max(1 - across**2, 1e-6)))


def edge_gap(t: float, across: float) -> float:
    """Gap that a square-cut edge leaves against a plane; ``across`` as for :func:`set_back`: t n / sqrt(1 - n^2)."""
    return float(t * abs(across) / np.sqrt(max(1 - across**2, 1e-6)))


def slot_width(crossing: float, own: float, lean: float) -> float:
    """Width of a slot in a board of thickness ``own`` for a board of thickness ``crossing`` that crosses it at
    90 deg - ``lean``: t_B / cos L + t_A tan L, and the clearance (mm)."""
    return float(crossing / np.cos(lean) + own * np.tan(abs(lean)) + CLEARANCE)


def touch_length(t: float, edge: float, angle: float) -> float:
    """How far ahead of a blunt trailing edge of thickness ``edge`` two skins touch, meeting at ``angle``:
    (2 t - T) / tan(angle), 0 where they do not touch."""
    return float(max(2 * t - edge, 0.0) / np.tan(angle)) if angle > 1e-6 else 0.0


def hinge_setback(depth: float, travel: float) -> float:
    """Slope of a control's front edge under a tape on the other face: ``depth`` tan(``travel`` + 3 deg)."""
    return float(depth * np.tan(min(travel + TURN_CLEARANCE, np.radians(75.0))))


def swept_end_gap(chord: float, sweep: float, depth: float) -> float:
    """End gap that a control behind a swept hinge needs: x tan L (1 - cos(asin(h / x)))."""
    if chord <= depth:
        return END_GAP
    return float(chord * np.tan(abs(sweep)) * (1 - np.cos(np.arcsin(depth / chord))))


def corner_facets(radius: float, turn: float) -> int:
    """Facets of a rounded corner: 15 deg each from 25 mm radius on, 22.5 deg below (assumed)."""
    step = np.radians(15.0 if radius >= 25.0 else 22.5)
    return max(round(float(turn / step)), 2)


def wrap_length(diameter: float, t: float, kept: str = "outside") -> float:
    """Way round a cylinder of outer ``diameter`` on the face that keeps its length: "outside", "middle", "inside"."""
    return float(np.pi * (diameter - {"outside": 0.0, "middle": 1.0, "inside": 2.0}[kept] * t))


def groove_error(error: float, t: float, angle: float) -> float:
    """Angle by which a fold comes out wrong when its groove is ``error`` too wide: dw cos^2(angle/2) / t, rad."""
    return float(error * np.cos(angle / 2) ** 2 / t)
