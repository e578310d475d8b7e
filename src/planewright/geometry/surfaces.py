"""Shapes of wings, tailplanes and fins from their stations.

Between stations everything is straight: chord, leading edge and twist vary linearly with the distance out.
Mean aerodynamic chord: c = (2/S) int c^2 dy, its leading edge and place by the same weighting by chord, the
integral definition in common use (for instance in the textbooks on flight mechanics of Etkin and of Perkins and Hage;
cited from memory). The integrals are exact for straight panels.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planewright.geometry import sections
from planewright.geometry.model import SurfaceShape
from planewright.plane.model import Section, Station, Stock, Surface

Array = npt.NDArray[np.float64]

SHEET_THICKNESS = 0.005
"""Thickness in m of a sheet whose thickness nobody wrote."""


@dataclass(frozen=True)
class Cut:
    """A surface cut across at one place. ``leading`` (3,) m, ``chord`` m, ``twist`` rad with the incidence in it;
    the section is ``section_lower`` (of the station inboard or below) turning into ``section_upper`` (of the next
    one) with ``blend`` from 0 to 1."""

    leading: Array
    chord: float
    twist: float
    section_lower: Section
    section_upper: Section
    blend: float


def sheet_thickness(surface: Surface, stock: Mapping[str, Stock]) -> float:
    """Thickness in m of the surface's skin sheet (5 mm where nobody wrote one)."""
    sheet = stock.get(surface.build.skin or "")
    return sheet.thickness if sheet is not None and sheet.thickness else SHEET_THICKNESS


def resolved(surface: Surface, stock: Mapping[str, Stock]) -> Surface:
    """The surface with the sections that its build gives: a kinked sheet becomes a bent plate, others stay."""
    if surface.build.way != "kinked":
        return surface
    middle = sum(one.chord for one in surface.stations) / len(surface.stations)
    sheet = sheet_thickness(surface, stock) / middle
    plate = sections.kinked_plate(surface.build.kink, surface.build.camber, sheet)
    flat = (
        replace(one, section=replace(plate, figures=one.section.figures))
        if one.section.kind == "flat"
        else one
        for one in surface.stations
    )
    return replace(surface, stations=tuple(flat))


def between(inner: Station, outer: Station, out: float) -> Station:
    """A station made between two others at ``out``; its section is that of the nearer one."""
    part = (out - inner.out) / (outer.out - inner.out)
    mix = {
        name: (1 - part) * getattr(inner, name) + part * getattr(outer, name)
        for name in ("chord", "back", "up", "twist")
    }
    return Station(out=out, section=(inner if part < 0.5 else outer).section, **mix)


def leading_points(surface: Surface) -> Array:
    """Leading edge at each station, (n, 3) m in drawing axes: of the right half, or of the fin upward."""
    x = np.array([one.back for one in surface.stations]) + surface.x
    out = np.array([one.out for one in surface.stations])
    up = np.array([one.up for one in surface.stations])
    if surface.kind == "fin":
        return np.column_stack((x, surface.y + up, surface.z + out))
    return np.column_stack((x, surface.y + out, surface.z + up))


def chord_vectors(surface: Surface) -> Array:
    """From leading to trailing edge at each station, (n, 3) m, with incidence and twist (nose up, or for a fin
    nose to the right, positive)."""
    angle = np.array([one.twist for one in surface.stations]) + surface.incidence
    chord = np.array([one.chord for one in surface.stations])
    along, across, none = chord * np.cos(angle), -chord * np.sin(angle), np.zeros_like(chord)
    return np.column_stack((along, across, none) if surface.kind == "fin" else (along, none, across))


def _panel_integral(a: Array, b: Array) -> Array:
    """Integral over one panel of unit width of the product of two linear functions given at its ends, (n - 1,)."""
    return (2 * a[:-1] * b[:-1] + 2 * a[1:] * b[1:] + a[:-1] * b[1:] + a[1:] * b[:-1]) / 6


def thickness_of(surface: Surface, stock: Mapping[str, Stock]) -> Array:
    """Section thickness over chord at each station, (n,)."""
    sheet = sheet_thickness(surface, stock)
    return np.array([sections.thickness_ratio(one.section, sheet / one.chord) for one in surface.stations])


def ways_round(surface: Surface, stock: Mapping[str, Stock]) -> Array:
    """Length of the outline of each station's section, (n,) m."""
    thickness = thickness_of(surface, stock)
    flat = [one.section.kind == "flat" for one in surface.stations]
    drawn = [
        one.chord * sections.perimeter(one.section, float(t) if thin else None)
        for one, t, thin in zip(surface.stations, thickness, flat, strict=True)
    ]
    return np.array(drawn)


def panel_lengths(surface: Surface) -> Array:
    """Length of each panel along its dihedral (lean of a fin), (n - 1,) m."""
    out = np.diff([one.out for one in surface.stations])
    return np.asarray(np.hypot(out, np.diff([one.up for one in surface.stations])))


def shape_of(surface: Surface, stock: Mapping[str, Stock]) -> SurfaceShape:
    """Shape of one surface: edges, areas, aspect ratio and mean aerodynamic chord.

    Arguments:
        surface: with two stations or more, running outward, chords positive.
        stock: sheets by name, for the thickness of flat sections.
    Returns:
        SurfaceShape in drawing axes. Area and span are both halves of a pair as seen from above (each fin as
        seen from the side, twin fins together; their span is the height of one).
    """
    surface = resolved(surface, stock)
    leading, chord = leading_points(surface), np.array([one.chord for one in surface.stations])
    out = np.array([one.out for one in surface.stations])
    step, pair = np.diff(out), 2 if surface.paired else 1
    half = float(np.sum(step * (chord[:-1] + chord[1:]) / 2))

    def mean(value: Array) -> float:
        return float(np.sum(step * _panel_integral(chord, value))) / half

    around = ways_round(surface, stock)
    span = float(out[-1] - out[0]) if surface.kind == "fin" else pair * (surface.y + float(out[-1]))
    of_one = half if surface.kind == "fin" else half * pair
    return SurfaceShape(
        surface=surface,
        leading=leading,
        trailing=leading + chord_vectors(surface),
        chord=chord,
        twist=np.array([one.twist for one in surface.stations]) + surface.incidence,
        thickness=thickness_of(surface, stock),
        area=pair * half,
        span=span,
        aspect_ratio=span**2 / of_one,
        mean_chord=mean(chord),
        mean_chord_x=mean(leading[:, 0]),
        mean_chord_out=mean(out),
        mean_chord_z=mean(leading[:, 2]),
        wetted=pair * float(np.sum(panel_lengths(surface) * (around[:-1] + around[1:]) / 2)),
    )


def at(shape: SurfaceShape, out: float) -> Cut:
    """Cut a surface across at ``out`` (m from the centreline, or above the foot of a fin).

    Places beyond the first or last station are taken at it. Leading edge, chord and twist are linear between
    stations.
    """
    outs = np.array([one.out for one in shape.surface.stations])
    out = float(np.clip(out, outs[0], outs[-1]))
    left = min(max(int(np.searchsorted(outs, out, side="right")) - 1, 0), len(outs) - 2)
    part = (out - outs[left]) / (outs[left + 1] - outs[left])
    inner, outer = shape.surface.stations[left : left + 2]
    return Cut(
        leading=(1 - part) * shape.leading[left] + part * shape.leading[left + 1],
        chord=float((1 - part) * shape.chord[left] + part * shape.chord[left + 1]),
        twist=float((1 - part) * shape.twist[left] + part * shape.twist[left + 1]),
        section_lower=inner.section,
        section_upper=outer.section,
        blend=float(part),
    )


def split_at(surface: Surface, out: float) -> Surface:
    """The surface with a station added at ``out`` unless one stands there; its shape does not change."""
    stations = surface.stations
    if any(abs(one.out - out) < 1e-9 for one in stations) or not stations[0].out < out < stations[-1].out:
        return surface
    left = max(i for i, one in enumerate(stations) if one.out < out)
    new = between(stations[left], stations[left + 1], out)
    return replace(surface, stations=(*stations[: left + 1], new, *stations[left + 1 :]))


def folded_shape(surface: Surface, stock: Mapping[str, Stock]) -> SurfaceShape:
    """The shape with every hinged panel turned up by 90 deg for transport.

    Panels outboard of the innermost folding joint turn as one about an axis along x at the hinge: on top of the
    section for a hinge "top" (upward), under it for any other word (downward). Areas, span and mean chord stay
    those of the surface spread for flight; only the edges move.
    """
    hinges = sorted((one for one in surface.joints if one.folds), key=lambda one: one.out)
    if not hinges:
        return shape_of(surface, stock)
    joint = hinges[0]
    surface = split_at(surface, joint.out)
    flat = shape_of(surface, stock)
    cut, upward = at(flat, joint.out), joint.hinge == "top"
    half = 0.5 * cut.chord * float(np.interp(joint.out, [s.out for s in surface.stations], flat.thickness))
    pivot = cut.leading + np.array([0.0, 0.0, half if upward else -half])
    moves = np.array([one.out > joint.out + 1e-9 for one in surface.stations])
    return replace(
        flat,
        leading=np.where(moves[:, None], _turned(flat.leading, pivot, upward), flat.leading),
        trailing=np.where(moves[:, None], _turned(flat.trailing, pivot, upward), flat.trailing),
    )


def _turned(points: Array, pivot: Array, upward: bool) -> Array:
    """Points turned by 90 deg about the line along x through ``pivot``: what lay outboard stands up (or hangs)."""
    out, up = points[:, 1] - pivot[1], points[:, 2] - pivot[2]
    sign = 1.0 if upward else -1.0
    return np.column_stack((points[:, 0], pivot[1] - sign * up, pivot[2] + sign * out))
