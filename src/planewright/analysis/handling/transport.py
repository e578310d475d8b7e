"""How large its pieces are on the way to the field: folded, and taken apart at its joints."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planewright.geometry import Geometry, SurfaceShape
from planewright.plane.model import Joint


@dataclass(frozen=True)
class Piece:
    """One piece for the car: ``length``, ``width``, ``height`` m of the box it fills, longest first by name: length is
    its span (a body: along it), width its chord, height its thickness or what folded panels add."""

    name: str
    length: float
    width: float
    height: float


@dataclass(frozen=True)
class Transport:
    """``span`` m with all panels folded up (the whole span without a hinge), ``height`` m from the lowest point to the
    top of the folded panels, on its wheels; ``pieces`` when every joint is opened."""

    span: float
    height: float
    pieces: tuple[Piece, ...]

    @property
    def longest(self) -> Piece:
        """The piece that decides whether it fits."""
        return max(self.pieces, key=lambda one: one.length)


def _thick(shape: SurfaceShape) -> float:
    return float((shape.thickness * shape.chord).max())


def _chord_between(shape: SurfaceShape, start: float, end: float) -> float:
    """Room along x that a panel between two places along the span takes, m."""
    out = np.array([one.out for one in shape.surface.stations])
    places = np.unique(np.concatenate(([start, end], out[(out > start) & (out < end)])))
    lead, trail = (np.interp(places, out, edge[:, 0]) for edge in (shape.leading, shape.trailing))
    return float(trail.max() - lead.min())


def _rise(shape: SurfaceShape, place: float) -> float:
    """z of the leading edge at a place along the span, m."""
    return float(np.interp(place, [one.out for one in shape.surface.stations], shape.leading[:, 2]))


def _surface_pieces(shape: SurfaceShape) -> list[Piece]:
    """Middle piece and outer panels of one surface, split at the joints that open."""
    surface = shape.surface
    joints = sorted(one.out for one in surface.joints)
    tip = surface.stations[-1].out
    edges = [surface.stations[0].out, *joints, tip]
    found = []
    for place, (start, end) in enumerate(pairwise(edges)):
        middle = place == 0 and surface.paired and start == 0
        length = 2 * end if middle else end - start
        name = (
            surface.name
            if len(edges) == 2
            else f"{surface.name}, {'middle' if place == 0 else 'outer panel'}"
        )
        rise = abs(_rise(shape, end) - _rise(shape, start))
        found.append(Piece(name, length, _chord_between(shape, start, end), _thick(shape) + rise))
    return found


def _top(shape: SurfaceShape, hinge: Joint) -> float:
    """z of the tip when the panel outside the hinge stands upright, m."""
    return _rise(shape, hinge.out) + shape.surface.stations[-1].out - hinge.out


def transport(geometry: Geometry) -> Transport | None:
    """Size folded and taken apart; None without a wing. Wing and tail are taken to come off the body."""
    wing = geometry.wing
    if wing is None:
        return None
    hinges = [one for one in wing.surface.joints if one.folds]
    inner = min(hinges, key=lambda one: one.out) if hinges else None
    span = 2 * inner.out if inner else wing.span
    lows = [one.z for one in geometry.plane.wheels]
    lows += [float((one.stations[:, 3] - one.stations[:, 2] / 2).min()) for one in geometry.bodies]
    tops = [float(one.leading[:, 2].max()) for one in geometry.surfaces.values()]
    tops += [float((one.stations[:, 3] + one.stations[:, 2] / 2).max()) for one in geometry.bodies]
    if inner is not None:
        tops.append(_top(wing, inner))
    pieces = [piece for shape in geometry.surfaces.values() for piece in _surface_pieces(shape)]
    for body in geometry.bodies:
        if body.body.y == 0:
            size = body.stations
            pieces.append(
                Piece(body.body.name, body.length, float(size[:, 1].max()), float(size[:, 2].max()))
            )
    return Transport(span, max(tops) - min(lows, default=0.0), tuple(pieces))
