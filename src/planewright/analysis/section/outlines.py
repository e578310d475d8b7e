"""Outlines as a builder makes them, ready for nodes: drawn sections, files, plates, bent and folded sheet.

Everything on a chord of 1. Sheet sections come from the measured thickness of the sheet and the places of the folds.
Rounding of folds and noses is judgement, from what let the method converge without moving its answers.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.ndimage import gaussian_filter1d

from planewright.analysis.section.nodes import LEAST_GAP, PANELS, Nodes, place
from planewright.geometry.sections import FLAT_THICKNESS, naca_digits, outline
from planewright.plane.model import Section

Array = npt.NDArray[np.float64]

FOLD = 0.010
"""Width over which a fold is rounded, over chord."""
SHARP = np.deg2rad(9.0)
"""Turn between neighbouring points of a file, away from the nose, that counts as a fold."""
_DRAWN = 401


@dataclass(frozen=True)
class Outline:
    """An outline: ``points`` (n, 2) from the upper trailing edge over the nose to the lower one; ``smooth``: spline it;
    ``sigma``: rounding of folds; ``least_gap``: opening of the trailing edge; ``symmetric`` about its chord."""

    name: str
    points: Array
    smooth: bool = True
    sigma: float = 0.0
    least_gap: float = LEAST_GAP
    symmetric: bool = False

    def nodes(self, panels: int = PANELS) -> Nodes:
        """Nodes for the panel method."""
        return place(self.points, panels, self.smooth, self.sigma, self.least_gap)

    @property
    def thickness(self) -> float:
        """Greatest thickness over chord."""
        return self.nodes(41).thickness

    @property
    def digest(self) -> str:
        """Content hash of the shape, blind to its name; points count to a millionth of the chord."""
        whole = [np.round(self.points, 6).tolist(), self.smooth, self.sigma, self.least_gap]
        return hashlib.sha256(json.dumps(whole).encode()).hexdigest()


def drawn(section: Section, thickness: float | None = None) -> Outline:
    """The outline of a section of the description.

    Arguments: section: named, four-digit, flat or from a file. thickness: over chord; None keeps its own (a flat plate
        then takes 2 %).
    Raises: ValueError: no such section.
    """
    if section.kind == "flat":
        return plate(FLAT_THICKNESS if thickness is None else thickness)
    digits = naca_digits(section.name) if section.kind == "naca" else None
    if section.kind == "file":
        return from_points(section.name, np.array(section.points))
    points = outline(section, thickness, _DRAWN)
    return Outline(section.name, points, symmetric=digits is not None and digits.camber == 0)


def from_points(name: str, points: Array) -> Outline:
    """An outline from a file: smooth, or folded when it turns sharply anywhere away from the nose."""
    points = np.asarray(points, float)
    folded = bool((np.abs(_turns(points))[points[1:-1, 0] > 0.08] > SHARP).any()) or len(points) < 16
    sigma = FOLD if folded else 0.0
    if folded and np.ptp(points[:, 1]) < 0.04:
        sigma = 0.0015
    return Outline(name, points, smooth=not folded, sigma=sigma)


def _turns(points: Array) -> Array:
    """Turn at each inner point, rad."""
    step = np.diff(points, axis=0)
    way = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    return np.diff(way)


def plate(thickness: float, taper_from: float = 1.0, edge: float | None = None) -> Outline:
    """A flat sheet with its nose rounded to a half circle.

    Arguments: thickness over chord. taper_from: place aft of which it is tapered (1: not at all). edge: thickness of
        the trailing edge (None: the whole sheet's).
    """
    line = np.column_stack((np.linspace(0.0, 1.0, 801), np.zeros(801)))
    found = sheet("flat plate", line, thickness, taper_from, edge)
    return Outline(found.name, found.points, False, 0.0, symmetric=True)


def sheet(
    name: str, line: Array, thickness: float, taper_from: float = 1.0, edge: float | None = None
) -> Outline:
    """A sheet laid along a middle line (n, 2) that runs from nose to tail; its nose is rounded to a half circle.

    Its trailing edge stays as thick as the sheet (blunt) unless it is tapered.
    """
    x = line[:, 0]
    part = np.clip((x - taper_from) / max(1 - taper_from, 1e-9), 0, 1) if taper_from < 1 else 0 * x
    last = thickness if edge is None else edge
    half = (thickness + part * (last - thickness)) / 2
    slope = np.gradient(line, axis=0)
    normal = np.column_stack((-slope[:, 1], slope[:, 0])) / np.hypot(slope[:, 0], slope[:, 1])[:, None]
    radius = thickness / 2
    keep = x > radius
    upper, lower = (line + half[:, None] * normal)[keep], (line - half[:, None] * normal)[keep]
    way = slope[0] / np.hypot(*slope[0])
    centre = line[0] + radius * way
    turn = np.linspace(np.pi / 2, 3 * np.pi / 2, 41)
    across = np.array([-way[1], way[0]])
    nose = centre + radius * (np.cos(turn)[:, None] * way + np.sin(turn)[:, None] * across)
    return Outline(name, np.vstack((upper[::-1], nose, lower)), False, 0.0)


def kinked(kink: float, camber: float, thickness: float) -> Outline:
    """A sheet scored at ``kink`` (part of the chord) and bent up there by ``camber`` (over chord)."""
    x = np.linspace(0.0, 1.0, 2001)
    y = np.interp(x, (0.0, kink, 1.0), (0.0, camber, 0.0))
    bend = gaussian_filter1d(y, FOLD / (x[1] - x[0]), mode="nearest")
    bend = bend - np.interp(x, (0.0, 1.0), (bend[0], bend[-1]))
    return sheet(f"kinked plate {kink:g} {camber:g}", np.column_stack((x, bend)), thickness)


def folded(depth: float, spar: float, sheet_thickness: float, tail: float | None = None) -> Outline:
    """Board folded round a spar over a flat bottom: flat from the tail up to the spar, flat down to the nose.

    Arguments: depth: greatest depth over chord, outside, at the spar. spar: its place over chord. sheet_thickness:
        over chord; the nose fold is as deep as one sheet. tail: depth of the blunt trailing edge (None: one sheet; the
        two skins meet shaved).
    """
    edge = sheet_thickness if tail is None else tail
    nose = sheet_thickness
    points = np.array(
        [(1.0, edge), (spar, depth), (0.35 * nose, nose), (0.0, nose / 2), (0.35 * nose, 0.0), (1.0, 0.0)]
    )
    return Outline(f"folded board {depth:.3g} at {spar:.3g}", points - (0.0, nose / 2), False, FOLD)


def with_flap(one: Outline, chord: float, deflection: float, name: str = "") -> Outline:
    """The outline with its rear ``chord`` part turned down by ``deflection`` (rad, trailing edge down positive) about
    the middle of the section there; the bend is smoothed over 4 % of the chord."""
    points = one.nodes(400).points
    hinge = 1 - chord
    nose = int(np.argmin(points[:, 0]))
    upper, lower = points[: nose + 1][::-1], points[nose:]
    middle = (np.interp(hinge, upper[:, 0], upper[:, 1]) + np.interp(hinge, lower[:, 0], lower[:, 1])) / 2
    soft = np.clip((points[:, 0] - hinge) / 0.04 + 0.5, 0, 1)
    angle = -deflection * soft**2 * (3 - 2 * soft)
    away = points - (hinge, middle)
    turned = np.column_stack(
        (
            away[:, 0] * np.cos(angle) - away[:, 1] * np.sin(angle),
            away[:, 0] * np.sin(angle) + away[:, 1] * np.cos(angle),
        )
    )
    return Outline(name or one.name, turned + np.array([hinge, middle]), True, 0.0, one.least_gap)
