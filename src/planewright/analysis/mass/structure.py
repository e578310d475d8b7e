"""Drawn mass of wings, tailplanes and fins: skins, ribs, spars, edges, joints, tape and glue from their geometry.

Skins go round the section and are shaved towards the trailing edge where two sheets do not fit; ribs fill it inside
the skin; webs stand between the inner faces of the skin; caps run as far as the spar; a joiner is two plates between
the caps, one each side of the web, reaching both ways; three tape seams (nose and both sides of the trailing edge) run
along a wing with skins; a flat sheet has edge sticks along nose, tip and hinge line (trailing edge without a control).
Glue is a part of the mass of the board. These lay-outs are common practice, no source.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.mass.items import GLUE_TAPE, Item, item
from planewright.analysis.mass.materials import Sheet, glue_share, sheet, stick, tape
from planewright.geometry import sections
from planewright.geometry.model import SurfaceShape
from planewright.geometry.surfaces import panel_lengths
from planewright.plane.model import Joint, Plane, Spar

Array = npt.NDArray[np.float64]

STRIP = 0.02
"""Longest strip of a surface, m out, over which its mass is spread."""
RIB_PITCH = 0.120
"""Rib pitch of a ribbed surface that does not say one, m; a folded one then has ribs at its ends only."""
SEAMS = (0.0, 1.0, 1.0)
"""Where along the chord the tape seams of a skinned surface run."""


@dataclass(frozen=True)
class Half:
    """One half of a surface (a whole fin) ready to be read at any distance out."""

    shape: SurfaceShape
    part: str
    outs: Array
    vectors: Array
    stretch: Array

    def read(self, value: Array, out: Array) -> Array:
        """A station array at ``out``, linear between stations: (n,) or (n, 3)."""
        if value.ndim == 1:
            return np.interp(out, self.outs, value)
        return np.column_stack([np.interp(out, self.outs, one) for one in value.T])

    def place(self, out: Array, along: Array | float, above: Array | float = 0.0) -> Array:
        """Points at part ``along`` of the chord, ``above`` the chord line (parts of the chord), (n, 3) m."""
        chord = self.read(self.shape.chord, out)
        lift = np.array([0.0, 1.0, 0.0] if self.shape.surface.kind == "fin" else [0.0, 0.0, 1.0])
        start = self.read(self.shape.leading, out)
        aft = np.broadcast_to(along, out.shape)[:, None] * self.read(self.vectors, out)
        return np.asarray(start + aft + (np.broadcast_to(above, out.shape) * chord)[:, None] * lift)

    def length(self, out: Array, width: Array) -> Array:
        """True length along the dihedral of pieces ``width`` wide seen from above, (n,)."""
        panel = np.clip(np.searchsorted(self.outs, out, side="right") - 1, 0, len(self.stretch) - 1)
        return np.asarray(width * self.stretch[panel])


def half_of(shape: SurfaceShape) -> Half:
    """The half that is described: right of a pair, the whole of a fin."""
    surface = shape.surface
    outs = np.array([one.out for one in surface.stations])
    name = f"{surface.name}.right" if surface.paired else surface.name
    return Half(shape, name, outs, shape.trailing - shape.leading, panel_lengths(surface) / np.diff(outs))


def pieces(half: Half, to: float | None = None) -> tuple[Array, Array]:
    """Middles and widths of strips from the first station ``to`` a place (m out), cut at every station."""
    end = half.outs[-1] if to is None else min(to, float(half.outs[-1]))
    if end <= half.outs[0] + 1e-6:
        return np.zeros(0), np.zeros(0)
    marks = np.append(half.outs[half.outs < end - 1e-9], end)
    edges = [
        np.linspace(a, b, max(2, int(np.ceil((b - a) / STRIP))), endpoint=False)
        for a, b in itertools.pairwise(marks)
    ]
    edge = np.append(np.concatenate(edges), end)
    return (edge[:-1] + edge[1:]) / 2, np.diff(edge)


def surface_items(plane: Plane, shape: SurfaceShape) -> tuple[Item, ...]:
    """Items of one surface, both sides of a pair."""
    half = half_of(shape)
    plated = shape.surface.build.way in ("sheet", "kinked")
    board = [*(_plate(plane, half) if plated else _skinned(plane, half)), *_webs(plane, half)]
    items = [*board, *(_glue(plane, one) for one in board), *_caps(plane, half), *_joints(plane, half)]
    items += _edges(plane, half) if plated else _seams(plane, half)
    if shape.surface.paired:
        items += [one.mirrored(f"{shape.surface.name}.left") for one in items]
    return tuple(items)


def _glue(plane: Plane, board: Item) -> Item:
    return board.scaled("glue", glue_share(plane), (*board.factors, GLUE_TAPE))


def _plate(plane: Plane, half: Half) -> list[Item]:
    board = sheet(plane, half.shape.surface.build.skin)
    out, width = pieces(half)
    chord = half.read(half.shape.chord, out)
    masses = half.length(out, width) * chord * board.areal_mass
    return [item(half.part, "sheet", masses, half.place(out, 0.5), chord**2 / 12, board.factors)]


def _skinned(plane: Plane, half: Half) -> list[Item]:
    build = half.shape.surface.build
    skin, rib = sheet(plane, build.skin), sheet(plane, build.rib or build.skin)
    found = [sections.skin(one.section, skin.thickness / one.chord) for one in half.shape.surface.stations]
    out, width = pieces(half)
    chord = half.read(half.shape.chord, out)
    around = half.read(np.array([one.around for one in found]), out)
    spread = half.read(np.array([one.spread for one in found]), out) * chord**2
    masses = half.length(out, width) * chord * around * skin.areal_mass
    place = _centroid(half, out, [one.centre for one in found])
    return [item(half.part, "skin", masses, place, spread, skin.factors), _ribs(half, skin, rib)]


def _centroid(half: Half, out: Array, centres: Sequence[tuple[float, float]]) -> Array:
    """Points at the stations' centroids (aft, above; over the chord), (n, 3) m."""
    centre = np.array(centres)
    return half.place(out, half.read(centre[:, 0], out), half.read(centre[:, 1], out))


def rib_places(half: Half) -> Array:
    """Where ribs stand, m out: at the root, at every pitch and at the tip."""
    build, first, last = half.shape.surface.build, float(half.outs[0]), float(half.outs[-1])
    pitch = build.rib_pitch or (RIB_PITCH if build.way == "ribs" else last - first)
    inner = np.arange(first, last - 0.25 * pitch, pitch)
    return np.append(inner, last)


def _ribs(half: Half, skin: Sheet, rib: Sheet) -> Item:
    """Ribs cut to the inside of the skin: the section less a border of the skin's thickness."""
    found = [sections.measures(one.section) for one in half.shape.surface.stations]
    out = rib_places(half)
    chord = half.read(half.shape.chord, out)
    whole = half.read(np.array([one.area for one in found]), out) * chord**2
    border = half.read(np.array([one.perimeter for one in found]), out) * chord * skin.thickness
    masses = np.clip(whole - border, 0.0, None) * rib.areal_mass
    spread = half.read(np.array([one.area_spread for one in found]), out) * chord**2
    place = _centroid(half, out, [one.area_centre for one in found])
    return item(half.part, "ribs", masses, place, spread, rib.factors)


def _depths(plane: Plane, half: Half, spar: Spar, out: Array) -> tuple[Array, Array]:
    """Clear depth at a spar between the skins' inner faces (m), and height of its middle over the chord."""
    stations = half.shape.surface.stations
    flat = [
        t if one.section.kind == "flat" else None
        for one, t in zip(stations, half.shape.thickness, strict=True)
    ]
    depth = [sections.depth_at(one.section, spar.at, t) for one, t in zip(stations, flat, strict=True)]
    middle = [sections.middle_at(one.section, spar.at, t) for one, t in zip(stations, flat, strict=True)]
    outside = half.read(np.array(depth), out) * half.read(half.shape.chord, out)
    skin = sheet(plane, half.shape.surface.build.skin).thickness
    return np.clip(outside - 2 * skin, 0.0, None), half.read(np.array(middle), out)


def _webs(plane: Plane, half: Half) -> list[Item]:
    webs = []
    for spar in half.shape.surface.spars:
        board = sheet(plane, spar.web)
        out, width = pieces(half, spar.to)
        depth, middle = _depths(plane, half, spar, out)
        masses = half.length(out, width) * depth * board.areal_mass
        webs.append(item(half.part, "web", masses, half.place(out, spar.at, middle), 0.0, board.factors))
    return webs


def _caps(plane: Plane, half: Half) -> list[Item]:
    caps = []
    for spar in half.shape.surface.spars:
        wood = stick(plane, spar.caps)
        out, width = pieces(half, spar.to)
        _, middle = _depths(plane, half, spar, out)
        masses = 2 * half.length(out, width) * wood.line_mass
        caps.append(item(half.part, "caps", masses, half.place(out, spar.at, middle), 0.0, wood.factors))
    return caps


def _joints(plane: Plane, half: Half) -> list[Item]:
    return [one for joint in half.shape.surface.joints for one in _joint(plane, half, joint)]


def _joint(plane: Plane, half: Half, joint: Joint) -> list[Item]:
    """A joint of stated mass as it stands; a joiner as two plates between the caps of the first spar."""
    out = np.array([joint.out])
    spars = half.shape.surface.spars
    if joint.mass is not None:
        at = spars[0].at if spars else 0.3
        return [item(half.part, "joint", np.array([joint.mass]), half.place(out, at))]
    if joint.joiner is None or joint.reach is None or not spars:
        return []
    plate, cap = sheet(plane, joint.joiner), stick(plane, spars[0].caps)
    depth, middle = _depths(plane, half, spars[0], out)
    clear = np.clip(depth - 2 * cap.width, 0.0, None)
    masses = 2 * (2 * joint.reach) * clear * plate.areal_mass
    return [item(half.part, "joiner", masses, half.place(out, spars[0].at, middle), 0.0, plate.factors)]


def _edges(plane: Plane, half: Half) -> list[Item]:
    """Edge sticks: along the nose, the hinge line (the trailing edge without a control) and the tip between them."""
    edge = half.shape.surface.build.edge
    if edge is None:
        return []
    wood, leading = stick(plane, edge), half.shape.leading
    hinges = [1 - one.chord for one in plane.controls if one.on == half.shape.surface.name]
    rear = leading + min(hinges, default=1.0) * half.vectors
    corners = np.vstack((leading, rear[::-1]))
    run = np.linalg.norm(np.diff(corners, axis=0), axis=1)
    middle = (corners[:-1] + corners[1:]) / 2
    spread = np.diff(corners[:, 0]) ** 2 / 12
    return [item(half.part, "edges", run * wood.line_mass, middle, spread, wood.factors)]


def _seams(plane: Plane, half: Half) -> list[Item]:
    line_mass, factors = tape(plane)
    out, width = pieces(half)
    edges = [half.shape.leading + at * half.vectors for at in SEAMS]
    length = [np.linalg.norm(np.diff(one, axis=0), axis=1) / np.diff(half.outs) for one in edges]
    panel = np.clip(np.searchsorted(half.outs, out, side="right") - 1, 0, len(half.outs) - 2)
    masses = np.concatenate([line_mass * width * one[panel] for one in length])
    places = np.vstack([half.place(out, at) for at in SEAMS])
    return [item(half.part, "tape", masses, places, 0.0, factors)]
