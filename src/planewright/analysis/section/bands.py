"""How far a computed section figure may be from a measured one, by Reynolds number, lift and nearness to stall.

Each band is a shift (what has to be added to the computed figure to reach its middle) and a standard uncertainty.
They rest on the comparison of this method with published measurements shown in the manual's page on sections.
The scatter of one tunnel against another and of a home-built section is added in quadrature.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

TUNNEL_DRAG, TUNNEL_LIFT = 0.12, 0.05
"""Two tunnels against each other on the same sections: ln cd and cl (common practice, no source at hand)."""
THIN = 0.03
"""Thickness over chord below which the figures of a thin plate are taken."""


@dataclass(frozen=True)
class Band:
    """Shift to the band's middle and standard uncertainty, arrays of one shape. Drag in ln cd, the rest as it is."""

    shift: Array
    sd: Array


def _at(reynolds: Array, logs: tuple[float, ...], values: tuple[float, ...]) -> Array:
    return np.asarray(np.interp(np.log(np.maximum(reynolds, 1.0)), np.log(logs), values))


def drag_band(reynolds: Array, nearness: Array, thickness: float, bridged: Flags | bool = False) -> Band:
    """Band of ln cd.

    Arguments: reynolds; nearness: cl over the greatest cl (both of any shape that broadcasts); thickness: of the
        section over chord; bridged: where the point was interpolated (sd doubled).
    """
    reynolds, nearness = np.broadcast_arrays(np.asarray(reynolds, float), np.asarray(nearness, float))
    shift = _at(reynolds, (6e4, 8e4, 1.3e5, 2e5, 3e5), (0.08, 0.12, 0.12, 0.06, 0.02))
    sd = _at(reynolds, (6e4, 1.3e5, 2e5), (0.17, 0.17, 0.09))
    if thickness < THIN:
        shift, sd = np.full(reynolds.shape, 0.08), np.full(reynolds.shape, 0.17)
    sd = sd + np.clip((nearness - 0.7) / 0.2, 0, 1) * np.maximum(0.25 - sd, 0.0)
    return Band(shift, np.hypot(sd, TUNNEL_DRAG) * np.where(bridged, 2.0, 1.0))


def lift_band(reynolds: Array, past: Array, bridged: Flags | bool = False) -> Band:
    """Band of cl at a given angle.

    Arguments: reynolds; past: angle less the computed angle of greatest lift, rad; bridged as for
        :func:`drag_band`.
    """
    reynolds, past = np.broadcast_arrays(np.asarray(reynolds, float), np.asarray(past, float))
    sd = _at(reynolds, (1.3e5, 2e5), (0.09, 0.05))
    near = np.clip((past + np.deg2rad(4.5)) / np.deg2rad(3.0), 0, 1)
    shift = (1 - near) * _at(reynolds, (1.3e5, 2e5), (-0.07, -0.03))
    sd = sd + near * (0.12 - sd)
    return Band(shift, np.hypot(sd, TUNNEL_LIFT) * np.where(bridged, 2.0, 1.0))


def maximum_band(reynolds: Array) -> Band:
    """Band of the greatest cl, as a part of it."""
    return Band(np.zeros(np.shape(reynolds)), np.full(np.shape(reynolds), 0.05))


def moment_band(reynolds: Array) -> Band:
    """Band of cm about the quarter chord."""
    return Band(np.zeros(np.shape(reynolds)), np.full(np.shape(reynolds), 0.01))


def zero_lift_band(reynolds: Array) -> Band:
    """Band of the angle of no lift, rad."""
    reynolds = np.asarray(reynolds, float)
    return Band(np.zeros(reynolds.shape), np.deg2rad(_at(reynolds, (1.3e5, 2e5), (0.8, 0.4))))
