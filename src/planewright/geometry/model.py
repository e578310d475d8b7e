"""What follows from the description alone: areas, chords, volumes, shapes. Finished when made.

Drawing axes (x aft, y right, z up), SI units, rad. Arrays are float64.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.plane.model import Body, Plane, Surface

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class SurfaceShape:
    """One surface, spread flat for flight. Station arrays have shape (n,), points (n, 3), right half only
    (a fin: from its foot up).

    ``leading``, ``trailing``: edge points in the aeroplane's drawing axes (twist and incidence turn the chord
    about its leading edge). ``twist``: incidence + twist, rad. ``thickness``: greatest section thickness over
    chord. ``area``: plan area of both halves as drawn (along the panel for a fin), m2; ``span``: tip to tip
    (height of a fin). ``mean_chord``: mean aerodynamic chord, its leading edge at ``mean_chord_x`` and
    its spanwise place ``mean_chord_out``; ``centre_x``: quarter chord of the mean chord. ``wetted``: m2.
    """

    surface: Surface
    leading: Array
    trailing: Array
    chord: Array
    twist: Array
    thickness: Array
    area: float
    span: float
    aspect_ratio: float
    mean_chord: float
    mean_chord_x: float
    mean_chord_out: float
    mean_chord_z: float
    wetted: float

    @property
    def centre_x(self) -> float:
        """x of the quarter-chord point of the mean aerodynamic chord, m."""
        return self.mean_chord_x + 0.25 * self.mean_chord


@dataclass(frozen=True)
class BodyShape:
    """One body (a nacelle of a pair counts once here; ``count`` tells how many there are).

    ``stations``: (n, 4) x, width, height, z. ``length`` m, ``volume`` m3, ``wetted`` m2, ``frontal`` m2, each of one.
    """

    body: Body
    stations: Array
    length: float
    volume: float
    wetted: float
    frontal: float
    count: int


@dataclass(frozen=True)
class Geometry:
    """The whole aeroplane. ``reference``: name of the wing that gives area, span and chord (None without a wing).

    ``tail_volume``, ``fin_volume`` are per metre-free definition S_t l_t / (S c) and S_f l_f / (S b) with arms
    from the moment point ``x`` given by the caller, so they are functions in ``geometry.derive``.
    """

    plane: Plane
    surfaces: Mapping[str, SurfaceShape]
    bodies: tuple[BodyShape, ...]
    reference: str | None

    @property
    def wing(self) -> SurfaceShape | None:
        """Shape of the reference wing, or None."""
        return self.surfaces[self.reference] if self.reference else None
