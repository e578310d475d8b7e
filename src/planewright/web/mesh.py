"""The aeroplane as triangles and outlines, in parts that can be coloured by what one asks of them.

Drawing axes (x aft, y right, z up), m. Everything comes from the derived geometry; nothing is invented but the
thickness of what is only a place (wheels are drums of a third of their diameter, propellers are discs).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

import numpy as np
import numpy.typing as npt

from planewright.geometry import BodyShape, Geometry, SurfaceShape, overall
from planewright.geometry.bodies import cross_section
from planewright.geometry.rings import ring_at, section_rings
from planewright.plane.model import Engine, Plane, Wheel
from planewright.study import Study
from planewright.study.model import Figure
from planewright.web.api import MeshPart, Outline, Point3, Shape

Array = npt.NDArray[np.float64]

RING, STRIPS, ROUND = 25, 12, 20
MIRROR = np.array([1.0, -1.0, 1.0])
MIRRORED = {"right": "left"}


@dataclass(frozen=True)
class Piece:
    """Triangles of one part: ``points`` (n, 3) m, ``faces`` (m, 3) indices, anticlockwise from outside."""

    name: str
    part: str
    material: str
    points: Array
    faces: npt.NDArray[np.int64]
    lift: float | None = None

    def other_side(self, part: str) -> Piece:
        """The mirror image."""
        name = self.name.replace(self.part, part, 1)
        return Piece(name, part, self.material, self.points * MIRROR, self.faces[:, ::-1], self.lift)


@dataclass(frozen=True)
class Mesh:
    """The whole aeroplane, and its bytes as /api/mesh gives them; ``mark`` changes with them."""

    pieces: tuple[Piece, ...]
    data: bytes = field(repr=False)
    mark: str


def tube(rings: Array) -> npt.NDArray[np.int64]:
    """Faces of a closed skin through rings of like points, shape (rings, points, 3), both ends shut by fans."""
    count, size = rings.shape[:2]
    start = np.arange(count - 1)[:, None] * size + np.arange(size)[None]
    follow = np.arange(count - 1)[:, None] * size + (np.arange(size)[None] + 1) % size
    a, b, c, d = start.ravel(), follow.ravel(), (follow + size).ravel(), (start + size).ravel()
    sides = np.concatenate((np.column_stack((a, b, c)), np.column_stack((a, c, d))))
    fan = np.column_stack((np.zeros(size - 2, int), np.arange(1, size - 1), np.arange(2, size)))
    return np.concatenate((sides, fan[:, ::-1], fan + (count - 1) * size))


def outward(points: Array, faces: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """The faces, all turned round when the closed skin encloses a negative volume."""
    a, b, c = (points[faces[:, k]] - points.mean(axis=0) for k in range(3))
    volume = float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum())
    return faces if volume >= 0 else faces[:, ::-1]


def skin(name: str, part: str, material: str, rings: Array, lift: float | None = None) -> Piece:
    """A closed skin as a piece."""
    points = rings.reshape(-1, 3)
    return Piece(name, part, material, points, outward(points, tube(rings)), lift)


def surface_pieces(plane: Plane, shape: SurfaceShape, lift: Mapping[float, float]) -> Iterator[Piece]:
    """One surface in strips along its span. ``lift``: place along the half span, m -> lift over the mean."""
    surface = shape.surface
    material = kind_of(plane, surface.build.skin)
    rings = section_rings(shape, RING)
    outs = np.array([one.out for one in surface.stations])
    cuts = np.unique(np.concatenate((outs, np.linspace(outs[0], outs[-1], STRIPS + 1))))
    cuts = cuts[np.concatenate(([True], np.diff(cuts) > 1e-3 * (outs[-1] - outs[0])))]
    side = f"{surface.name}.right" if surface.paired else surface.name
    for number, (low, high) in enumerate(pairwise(cuts)):
        both = np.array([ring_at(shape, float(one), rings) for one in (low, high)])
        share = _at(lift, float(low + high) / 2) if lift else None
        piece = skin(f"{side}.{number}", side, material, both, share)
        yield piece
        if surface.paired:
            yield piece.other_side(f"{surface.name}.left")


def _at(lift: Mapping[float, float], out: float) -> float:
    return float(np.interp(out, list(lift), list(lift.values())))


def body_pieces(plane: Plane, shape: BodyShape) -> Iterator[Piece]:
    """A body from cross-section to cross-section, and its pair."""
    body = shape.body
    rings = []
    for x, width, height, z in shape.stations:
        corners = cross_section(body.build, float(width), float(height))
        rings.append(np.column_stack((np.full(len(corners), x), corners[:, 0] + body.y, corners[:, 1] + z)))
    side = f"{body.name}.right" if body.paired else body.name
    piece = skin(side, side, kind_of(plane, body.build.skin), np.array(rings))
    yield piece
    if body.paired:
        yield piece.other_side(f"{body.name}.left")


def disc(centre: Array, radius: float, along: int, thick: float) -> Array:
    """Two rings about an axis (0 x, 1 y), ``thick`` apart, (2, points, 3)."""
    turn = np.linspace(0.0, 2 * np.pi, ROUND, endpoint=False)
    first = 1 if along == 0 else 0
    ring = np.zeros((ROUND, 3))
    ring[:, first], ring[:, 2] = radius * np.cos(turn), radius * np.sin(turn)
    step = np.zeros(3)
    step[along] = thick / 2
    return np.array([centre + ring - step, centre + ring + step])


def wheel_pieces(wheel: Wheel) -> Iterator[Piece]:
    """A wheel standing on its ground point, and its pair."""
    part = f"gear.{wheel.name}.right" if wheel.y > 0 else f"gear.{wheel.name}"
    centre = np.array([wheel.x, wheel.y, wheel.z + wheel.diameter / 2])
    piece = skin(part, part, "wheel", disc(centre, wheel.diameter / 2, 1, wheel.diameter / 3))
    yield piece
    if wheel.y > 0:
        yield piece.other_side(f"gear.{wheel.name}.left")


def engine_piece(engine: Engine) -> Piece:
    """The disc that the blades sweep, or the duct's mouth."""
    size = engine.propeller.diameter if engine.propeller else engine.fan.inside if engine.fan else 0.05
    centre = np.array([engine.x, engine.y, engine.z])
    return skin(engine.name, engine.name, engine.kind, disc(centre, size / 2, 0, 0.004))


def box_piece(name: str, at: Point3, size: Point3, material: str) -> Piece:
    """A box about a place."""
    half = np.array(size) / 2
    square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], float)
    rings = [np.column_stack((np.full(4, end), square)) * half + np.array(at) for end in (-1.0, 1.0)]
    return skin(name, name, material, np.array(rings))


def kind_of(plane: Plane, stock: str | None) -> str:
    """The kind of a stock by its name; "board" kinds in words, "" where nobody wrote one."""
    found = plane.stock.get(stock or "")
    return found.kind if found else ""


def lift_along(study: Study) -> dict[float, float]:
    """Lift per metre of span over its mean, by place along the half wing, at the level lift coefficient."""
    air, wing = study.models.air, study.models.geometry.wing
    if air is None or wing is None:
        return {}
    load = air.span_load(0.5)
    dense = load.share / load.width
    mean = float(load.share.sum() / load.width.sum())
    return {float(y): float(one / mean) for y, one in zip(load.y, dense, strict=True)}


def make_mesh(study: Study) -> Mesh:
    """All triangles of one aeroplane."""
    plane, geometry = study.plane, study.models.geometry
    lift = lift_along(study)
    pieces: list[Piece] = []
    for name, shape in geometry.surfaces.items():
        pieces += surface_pieces(plane, shape, lift if name == geometry.reference else {})
    for body in geometry.bodies:
        pieces += body_pieces(plane, body)
    for wheel in plane.wheels:
        pieces += wheel_pieces(wheel)
    pieces += [engine_piece(one) for one in plane.engines]
    if plane.battery is not None:
        pack = plane.battery
        pieces.append(box_piece("battery", (pack.x, 0.0, pack.z), (0.14, 0.05, 0.04), "battery"))
    data = packed(tuple(pieces))
    return Mesh(tuple(pieces), data, hashlib.sha256(data).hexdigest()[:16])


def packed(pieces: tuple[Piece, ...]) -> bytes:
    """u32 vertices, u32 triangles, f32 xyz, u32 indices; little endian."""
    starts = np.cumsum([0, *(len(one.points) for one in pieces)])
    points = np.concatenate([one.points for one in pieces]) if pieces else np.empty((0, 3))
    faces = [one.faces + start for one, start in zip(pieces, starts[:-1], strict=True)]
    indices = np.concatenate(faces) if faces else np.empty((0, 3), int)
    head = np.array([len(points), len(indices)], dtype="<u4").tobytes()
    return head + points.astype("<f4").tobytes() + indices.astype("<u4").tobytes()


def mesh_parts(mesh: Mesh, study: Study) -> tuple[MeshPart, ...]:
    """Which triangles are which part, with mass, lift and how well its mass is known."""
    rows = {row.part: row for row in study.weights}
    found, first = [], 0
    for one in mesh.pieces:
        row = rows.get(one.part)
        known: Literal["weighed", "stated", "drawn"] = row.state if row else "drawn"
        found.append(
            MeshPart(
                name=one.name,
                part=one.part,
                material=one.material,
                first=first,
                count=len(one.faces),
                mass=row.used if row else None,
                lift=one.lift,
                known=known,
            )
        )
        first += len(one.faces)
    return tuple(found)


def outlines(geometry: Geometry) -> tuple[Outline, ...]:
    """Edges for the plan (x aft, y right) and the side view (x aft, z up)."""
    found: list[Outline] = []
    for name, shape in geometry.surfaces.items():
        edge = np.concatenate((shape.leading, shape.trailing[::-1]))
        fin = shape.surface.kind == "fin"
        found += _edges(name, edge, shape.surface.paired, ("side",) if fin else ("plan", "side"))
    for one in geometry.bodies:
        found += _body_edges(one)
    return tuple(found)


def _edges(
    name: str, edge: Array, paired: bool, views: tuple[Literal["plan", "side"], ...]
) -> Iterator[Outline]:
    for view in views:
        column = 1 if view == "plan" else 2
        yield Outline(part=name, view=view, points=_pairs(edge[:, 0], edge[:, column]))
        if paired and view == "plan":
            yield Outline(part=name, view=view, points=_pairs(edge[:, 0], -edge[:, column]))


def _pairs(x: Array, y: Array) -> tuple[tuple[float, float], ...]:
    return tuple((float(a), float(b)) for a, b in zip(x, y, strict=True))


def _body_edges(shape: BodyShape) -> Iterator[Outline]:
    x, width, height, z = shape.stations.T
    round_trip = np.concatenate((x, x[::-1]))
    sides = (1.0, -1.0) if shape.body.paired else (1.0,)
    for side in sides:
        middle = shape.body.y * side
        edge = np.concatenate((middle + width / 2, (middle - width / 2)[::-1]))
        yield Outline(part=shape.body.name, view="plan", points=_pairs(round_trip, edge))
    edge = np.concatenate((z + height / 2, (z - height / 2)[::-1]))
    yield Outline(part=shape.body.name, view="side", points=_pairs(round_trip, edge))


def marks(study: Study, figures: Mapping[str, Figure]) -> Iterator[tuple[str, Point3]]:
    """Places worth showing: balance point, neutral point, battery."""
    cg = [figures[name].value if name in figures else 0.0 for name in ("cg_x", "cg_y", "cg_z")]
    if "cg_x" in figures:
        yield "balance point", (cg[0], cg[1], cg[2])
    if "neutral_point_x" in figures:
        yield "neutral point", (figures["neutral_point_x"].value, 0.0, cg[2])
    pack = study.plane.battery
    if pack is not None:
        yield "battery", (pack.x, 0.0, pack.z)


def shape_record(study: Study, mesh: Mesh, figures: Mapping[str, Figure]) -> Shape:
    """The aeroplane to look at."""
    length, width, height = overall(study.models.geometry)
    return Shape(
        mesh=mesh.mark,
        parts=mesh_parts(mesh, study),
        outlines=outlines(study.models.geometry),
        marks=tuple(marks(study, figures)),
        size=(length, width, height),
    )


def tried_shape(study: Study, figures: Mapping[str, Figure]) -> Shape:
    """Lines and marks of an aeroplane that is only tried: no triangles."""
    length, width, height = overall(study.models.geometry)
    lines, seen = outlines(study.models.geometry), tuple(marks(study, figures))
    return Shape(mesh="", outlines=lines, marks=seen, size=(length, width, height))
