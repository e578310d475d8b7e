"""Wing sections: outlines, thickness, perimeter, area and the thin-section integrals of the mean line.

All on a chord of 1. The angle of a section is that of the chord from leading to trailing edge.

Sources: NACA four-digit formula as documented by C. L. Ladson, C. W. Brooks, A. S. Hill and D. W. Sproles,
Computer Program To Obtain Ordinates for NACA Airfoils, NASA TM 4741, 1996. Thin-section theory (Munk, Glauert):
integrals as in J. D. Anderson, Fundamentals of Aerodynamics, ch. 4 (from memory). Shipped ordinates carry their
source at the head of each table.
"""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import numpy as np
import numpy.typing as npt
from scipy.interpolate import PchipInterpolator

from planewright.plane.model import Section

Array = npt.NDArray[np.float64]

FLAT_THICKNESS = 0.02
"""Thickness over chord of a flat plate whose sheet is not known (as good as none: nothing rests on it)."""

_SAMPLES = 401


@dataclass(frozen=True)
class NacaDigits:
    """Four digits taken apart: ``camber`` and its place ``at`` and ``thickness``, all over the chord."""

    camber: float
    at: float
    thickness: float


def section_names() -> tuple[str, ...]:
    """Names of the sections whose ordinates ship with the tool, as a builder writes them."""
    return ("Clark Y", "E387")


def _key(name: str) -> str:
    return re.sub(r"[^a-z0-9]", "", name.lower())


def naca_digits(name: str) -> NacaDigits | None:
    """Take "NACA 2415" apart; None when the name is not "NACA" with four figures (spaces and capitals are free)."""
    found = re.fullmatch(r"naca(\d)(\d)(\d\d)", _key(name))
    if found is None:
        return None
    m, p, t = (int(one) for one in found.groups())
    return NacaDigits(m / 100, p / 10, t / 100)


@lru_cache(maxsize=32)
def named_points(name: str) -> Array:
    """Ordinates of a shipped section, shape (n, 2), from the trailing edge over the top and back below.

    Raises ValueError when no section of that name ships with the tool.
    """
    files = {_key(one): one.lower().replace(" ", "_") + ".csv" for one in section_names()}
    if _key(name) not in files:
        raise ValueError(
            f"no section called {name!r} ships with the tool; these do: {', '.join(section_names())}"
        )
    text = resources.files("planewright.geometry").joinpath("tables", files[_key(name)]).read_text("utf-8")
    rows = [line.split(",") for line in text.splitlines() if line[:1].isdigit()]
    points = np.array(rows, dtype=np.float64)
    points.flags.writeable = False
    return points


def naca_thickness(x: Array, thickness: float) -> Array:
    """Half-thickness of a four-digit section at ``x`` (parts of the chord), open trailing edge as published."""
    shape = 0.2969 * np.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4
    return np.asarray(5 * thickness * shape)


def naca_mean_line(x: Array, camber: float, at: float) -> tuple[Array, Array]:
    """Height and slope of the four-digit mean line at ``x``; two parabolas that meet at ``at``."""
    if camber == 0 or at == 0:
        return np.zeros_like(x), np.zeros_like(x)
    fore = x < at
    scale = np.where(fore, camber / at**2, camber / (1 - at) ** 2)
    height = scale * np.where(fore, 2 * at * x - x**2, 1 - 2 * at + 2 * at * x - x**2)
    return height, scale * 2 * (at - x)


def _naca_sides(x: Array, digits: NacaDigits) -> tuple[Array, Array]:
    half = naca_thickness(x, digits.thickness)
    height, slope = naca_mean_line(x, digits.camber, digits.at)
    angle = np.arctan(slope)
    normal = half[:, None] * np.column_stack((-np.sin(angle), np.cos(angle)))
    line = np.column_stack((x, height))
    return line + normal, line - normal


def _split(points: Array) -> tuple[Array, Array]:
    """Upper and lower side, each from the nose aft, of a closed run of points."""
    nose = int(np.argmin(points[:, 0]))
    return points[: nose + 1][::-1], points[nose:]


def _smooth(side: Array, x: Array) -> Array:
    """Ordinates of one side at ``x``: shape-keeping cubics over the root of x, in which the nose is smooth."""
    root, place = np.unique(np.sqrt(np.clip(side[:, 0], 0, None)), return_index=True)
    fitted = PchipInterpolator(root, side[place, 1], extrapolate=False)(
        np.clip(np.sqrt(x), root[0], root[-1])
    )
    return np.column_stack((x, fitted))


def _straight(side: Array, x: Array) -> Array:
    return np.column_stack((x, np.interp(x, side[:, 0], side[:, 1])))


def _sides(section: Section, x: Array, thickness: float | None) -> tuple[Array, Array]:
    if section.kind == "flat":
        half = np.where(x > 0, (FLAT_THICKNESS if thickness is None else thickness) / 2, 0.0)
        return np.column_stack((x, half)), np.column_stack((x, -half))
    digits = naca_digits(section.name) if section.kind == "naca" else None
    if digits is not None:
        if thickness is not None:
            digits = dataclasses.replace(digits, thickness=thickness)
        return _naca_sides(x, digits)
    return _thickened(*_through(section, x.tobytes()), thickness)


@lru_cache(maxsize=64)
def _through(section: Section, places: bytes) -> tuple[Array, Array]:
    """Both sides of a section given by points, at places along the chord (the bytes of their array): the same few are
    asked for by every piece of a wing. Not to be written to."""
    x = np.frombuffer(places)
    upper, lower = _split(_points(section))
    through = _smooth if len(upper) + len(lower) > 20 else _straight
    sides = through(upper, x), through(lower, x)
    for side in sides:
        side.flags.writeable = False
    return sides


def _points(section: Section) -> Array:
    if section.kind == "named":
        return named_points(section.name)
    if section.kind == "file" and len(section.points) >= 4:
        return np.array(section.points, dtype=np.float64)
    raise ValueError(
        f"section {section.name!r} has no ordinates; NACA sections take four figures, as in 'NACA 2415'"
    )


def _thickened(upper: Array, lower: Array, thickness: float | None) -> tuple[Array, Array]:
    if thickness is None:
        return upper, lower
    middle, half = (upper[:, 1] + lower[:, 1]) / 2, (upper[:, 1] - lower[:, 1]) / 2
    half = half * thickness / (2 * np.max(half))
    return np.column_stack((upper[:, 0], middle + half)), np.column_stack((lower[:, 0], middle - half))


def cosine(points: int) -> Array:
    """Places along the chord, 0 to 1, close together at both edges, shape (points,)."""
    return np.asarray((1 - np.cos(np.linspace(0, np.pi, points))) / 2)


def outline(section: Section, thickness: float | None = None, points: int = 81) -> Array:
    """Outline of a section on a chord of 1.

    Arguments:
        section: named, four-digit, flat or from a file.
        thickness: greatest thickness over chord to draw it with; None keeps the section's own
            (a flat plate then takes 2 %). Camber is kept.
        points: odd number of points in all, at least 5.
    Returns:
        (points, 2): from the upper trailing edge over the top to the nose and back along the bottom.
        Every section has the same number on both sides, so two of them can be blended. A flat plate has a
        square trailing edge and, within the first step, a pointed nose.
    Raises:
        ValueError: no such section, or too few points.
    """
    if points < 5:
        raise ValueError("an outline needs at least 5 points")
    upper, lower = _sides(section, cosine((points + 1) // 2), thickness)
    return np.vstack((upper[::-1], lower[1:]))


def thickness_ratio(section: Section, sheet: float | None = None) -> float:
    """Greatest thickness over chord, measured square to the chord.

    ``sheet``: thickness of the sheet over the chord for a flat section (None: 2 %).
    """
    if section.kind == "flat":
        return FLAT_THICKNESS if sheet is None else sheet
    digits = naca_digits(section.name) if section.kind == "naca" else None
    if digits is not None:
        return digits.thickness
    upper, lower = _sides(section, cosine(_SAMPLES), None)
    return float(np.max(upper[:, 1] - lower[:, 1]))


def depth_at(section: Section, place: float, thickness: float | None = None) -> float:
    """Depth of the section (over chord) between its outsides at ``place`` (part of the chord)."""
    upper, lower = _sides(section, cosine(_SAMPLES), thickness)
    top = np.interp(place, upper[:, 0], upper[:, 1])
    return float(top - np.interp(place, lower[:, 0], lower[:, 1]))


def middle_at(section: Section, place: float, thickness: float | None = None) -> float:
    """Height (over chord) of the middle between top and bottom at ``place`` above the chord line."""
    upper, lower = _sides(section, cosine(_SAMPLES), thickness)
    top = np.interp(place, upper[:, 0], upper[:, 1])
    return float(top + np.interp(place, lower[:, 0], lower[:, 1])) / 2


@dataclass(frozen=True)
class Measures:
    """Measures of an outline on a chord of 1.

    ``perimeter``; ``area``; ``area_centre`` and ``skin_centre``: centroids of the area and of the outline as a line,
    (aft of the nose, above the chord line); ``area_spread``, ``skin_spread``: mean square distance fore and aft from
    those centroids.
    """

    perimeter: float
    area: float
    area_centre: tuple[float, float]
    skin_centre: tuple[float, float]
    area_spread: float
    skin_spread: float


@lru_cache(maxsize=512)
def measures(section: Section, thickness: float | None = None) -> Measures:
    """Measures of the outline, by sums over a fine polygon; ``thickness`` as for :func:`outline`."""
    a = outline(section, thickness, 2 * _SAMPLES - 1)
    b = np.roll(a, -1, axis=0)
    length, middle = np.hypot(*(b - a).T), (a + b) / 2
    cross = a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1]
    round_about, inside = float(length.sum()), float(cross.sum()) / 2
    line = (middle * length[:, None]).sum(axis=0) / round_about
    centre, second = line, float(line[0]) ** 2
    if abs(inside) > 1e-9:
        centre = ((a + b) * cross[:, None]).sum(axis=0) / (6 * inside)
        second = float(((a[:, 0] ** 2 + a[:, 0] * b[:, 0] + b[:, 0] ** 2) * cross).sum()) / (12 * inside)
    spread = float((length * (middle[:, 0] - line[0]) ** 2).sum()) / round_about
    return Measures(
        perimeter=round_about,
        area=abs(inside),
        area_centre=(float(centre[0]), float(centre[1])),
        skin_centre=(float(line[0]), float(line[1])),
        area_spread=second - float(centre[0]) ** 2,
        skin_spread=spread,
    )


@dataclass(frozen=True)
class Skin:
    """Sheet round a section on a chord of 1: ``around`` is the length of full sheet it amounts to, ``centre`` its
    centroid (aft of the nose, above the chord line), ``spread`` the mean square distance fore and aft from it."""

    around: float
    centre: tuple[float, float]
    spread: float


@lru_cache(maxsize=512)
def skin(section: Section, sheet: float) -> Skin:
    """Sheet of thickness ``sheet`` (over the chord) laid inside the outline.

    Aft of the greatest thickness the two skins are shaved where the section is thinner than two sheets, down to an
    edge of one sheet (common practice, no source); the nose is wrapped in full sheet.
    """
    upper, lower = _sides(section, cosine(_SAMPLES), None)
    depth = upper[:, 1] - lower[:, 1]
    kept = np.clip(depth / (2 * sheet), 0.5, 1.0)
    kept[: int(np.argmax(depth)) + 1] = 1.0
    kept = (kept[1:] + kept[:-1]) / 2
    step = [np.hypot(*np.diff(side, axis=0).T) * kept for side in (upper, lower)]
    middle = np.vstack([(side[1:] + side[:-1]) / 2 for side in (upper, lower)])
    weight = np.concatenate(step)
    around = float(weight.sum())
    centre = weight @ middle / around
    spread = float(weight @ (middle[:, 0] - centre[0]) ** 2) / around
    return Skin(around, (float(centre[0]), float(centre[1])), spread)


def perimeter(section: Section, thickness: float | None = None) -> float:
    """Way round the outline over the chord (about 2.05 for a section 12 % thick)."""
    return measures(section, thickness).perimeter


def area(section: Section, thickness: float | None = None) -> float:
    """Area inside the outline over the chord squared."""
    return measures(section, thickness).area


def mean_line(section: Section, points: int = 201) -> Array:
    """Mean line, shape (points, 2): x over chord from 0 to 1, and height midway between top and bottom."""
    x = cosine(points)
    digits = naca_digits(section.name) if section.kind == "naca" else None
    if digits is not None:
        return np.column_stack((x, naca_mean_line(x, digits.camber, digits.at)[0]))
    upper, lower = _sides(section, x, None)
    height = (upper[:, 1] + lower[:, 1]) / 2
    return np.column_stack((x, height - height[0] * (1 - x) - height[-1] * x))


@lru_cache(maxsize=256)
def zero_lift(section: Section) -> tuple[float, float]:
    """Angle of no lift and moment about the quarter chord of the section as a thin plate bent to its mean line.

    Returns:
        (alpha_l0, cm0): rad, from the chord line, negative for positive camber; moment coefficient about the
        quarter chord, nose up positive. A flat plate gives (0, 0).
    Source: thin-section theory; with x = (1 - cos t)/2, alpha_l0 = -(1/pi) int slope (cos t - 1) dt and
    cm0 = (pi/4)(A2 - A1), An = (2/pi) int slope cos(n t) dt. Thickness is left out (0.1 deg at 12 %).
    """
    if section.kind == "flat":
        return 0.0, 0.0
    digits = naca_digits(section.name) if section.kind == "naca" else None
    angle, weight, slope = _naca_slopes(digits) if digits is not None else _sampled_slopes(section)
    zero = -float(np.sum(weight * slope * (np.cos(angle) - 1))) / np.pi
    moment = float(np.sum(weight * slope * (np.cos(2 * angle) - np.cos(angle)))) / 2
    return zero, moment


def _naca_slopes(digits: NacaDigits) -> tuple[Array, Array, Array]:
    """Gauss points on both parabolas: exact."""
    knot, weight = np.polynomial.legendre.leggauss(24)
    turn = float(np.arccos(1 - 2 * digits.at))
    spans = ((0.0, turn), (turn, np.pi))
    angle = np.concatenate([(a + b) / 2 + (b - a) / 2 * knot for a, b in spans])
    weights = np.concatenate([(b - a) / 2 * weight for a, b in spans])
    return angle, weights, naca_mean_line((1 - np.cos(angle)) / 2, digits.camber, digits.at)[1]


def _sampled_slopes(section: Section) -> tuple[Array, Array, Array]:
    """Slope at the middles of equal steps of the angle."""
    line = mean_line(section, _SAMPLES)
    step = np.pi / (_SAMPLES - 1)
    angle: Array = (np.arange(_SAMPLES - 1, dtype=np.float64) + 0.5) * step
    return angle, np.full_like(angle, step), np.asarray(np.diff(line[:, 1]) / np.diff(line[:, 0]))


def kinked_plate(kink: float, camber: float, thickness: float) -> Section:
    """Section of a flat sheet scored at ``kink`` (part of the chord) and raised by ``camber`` (over chord)."""
    half = thickness / 2
    line = ((0.0, 0.0), (kink, camber), (1.0, 0.0))
    top = [(x, y + half) for x, y in reversed(line)]
    bottom = [(x, y - half) for x, y in line]
    return Section("file", f"kinked plate {kink:g} {camber:g}", (*top[:-1], (0.0, 0.0), *bottom[1:]))
