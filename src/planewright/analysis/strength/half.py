"""One half wing as a closed thin-walled section at each station: faces, foam, sticks under the skin, webs.

Faces are membranes at their true place inside the outline, cap sticks points with their own bending under the
skin, webs walls on edge. Straight stations square to the span; sweep enters by a rule (``SWEEP_*``) found with a
shell model of our own. SI throughout; done once for a drawing, without any knowledge in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
import numpy.typing as npt

from planewright.analysis.strength.beams import sums
from planewright.analysis.strength.materials import Board, Wood, board_of, wood_of
from planewright.analysis.strength.outlines import heights, is_sheet, membrane, round_at
from planewright.analysis.strength.panels import Panel, panels_of
from planewright.errors import Fault, InputError
from planewright.plane.model import Plane, Spar, Stock, Surface

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

BASE_STATIONS = 17
TOP_PROBES = 15
ASSUMED_STICK = (0.006, 0.006)
SWEEP_COVERED = np.deg2rad(20.0)
SWEEP_REAR = 0.15 / np.deg2rad(17.0)


@dataclass(frozen=True)
class Stick:
    """One cap along the half wing: stock name, wood, place (s,), depth across the bending (m), where it runs,
    whether behind the middle of the chord, whether above, and its cross-section ``area`` (m2)."""

    stock: str
    wood: Wood
    x: Array
    z: Array
    depth: float
    present: Flags
    rear: bool
    upper: bool
    area: float


@dataclass(frozen=True)
class Web:
    """One web on edge: stock name, board, depth (s,) between the middle lines of the skins, where it runs."""

    stock: str
    board: Board
    depth: Array
    present: Flags


@dataclass(frozen=True)
class Group:
    """Walls whose stiffness one factor moves together: which kind, of which stock, and their sums (6, s)."""

    kind: Literal["face", "core", "stick", "web"]
    stock: str
    sums: Array


@dataclass(frozen=True)
class HalfWing:
    """A half wing ready for bending: stations ``y`` (s,) from the middle, ``chord`` (s,), skin board and stock,
    groups, sticks, webs, places of the upper face looked at ``top_x``, ``top_z`` (p, s) and of the lower one, mean
    ``sweep`` (rad), skin panels, ``outlines`` (each (n, 2), m), ``webs_at`` parts of the chord and ``rib_pitch`` m."""

    y: Array
    chord: Array
    skin: Board
    skin_stock: str
    groups: tuple[Group, ...]
    sticks: tuple[Stick, ...]
    webs: tuple[Web, ...]
    top_x: Array
    top_z: Array
    bottom_x: Array
    bottom_z: Array
    sweep: float
    upper: tuple[Panel, ...]
    lower: tuple[Panel, ...]
    outlines: tuple[Array, ...]
    webs_at: tuple[float, ...]
    rib_pitch: float | None

    @property
    def half_span(self) -> float:
        """Distance from the middle to the tip, m."""
        return float(self.y[-1])

    def mirrored(self) -> HalfWing:
        """The same half wing turned upside down: what presses the lower skin here presses the upper one there."""
        turn = np.array([1.0, 1.0, -1.0, 1.0, -1.0, 1.0])[:, None]
        return replace(
            self,
            groups=tuple(replace(one, sums=one.sums * turn) for one in self.groups),
            sticks=tuple(replace(one, z=-one.z, upper=not one.upper) for one in self.sticks),
            top_x=self.bottom_x,
            top_z=-self.bottom_z,
            bottom_x=self.top_x,
            bottom_z=-self.top_z,
            upper=tuple(one.mirrored() for one in self.lower),
            lower=tuple(one.mirrored() for one in self.upper),
            outlines=tuple(one * np.array([1.0, -1.0]) for one in self.outlines),
        )

    @property
    def beyond_ends(self) -> Flags:
        """Stations (s,) just outside the end of a stick, where its force has gone over into the skins."""
        found = np.zeros(len(self.y), dtype=np.bool_)
        for stick in self.sticks:
            last = int(np.flatnonzero(stick.present)[-1])
            if last + 1 < len(self.y):
                found[last + 1] = True
        return found

    @property
    def sweep_covered(self) -> bool:
        """False beyond 20 deg, where the rule for sweep was not tried."""
        return bool(self.sweep <= SWEEP_COVERED)

    @property
    def tip_by_sweep(self) -> float:
        """Factor on bending deflection for sweep, 1/cos^4."""
        return float(1 / np.cos(min(self.sweep, SWEEP_COVERED)) ** 4)

    @property
    def rear_by_sweep(self) -> Array:
        """Factor (s,) on the stress of rear sticks: 1.15 at 17 deg within one root chord of the middle."""
        more = SWEEP_REAR * min(self.sweep, SWEEP_COVERED)
        return np.asarray(1 + more * (self.y < self.chord[0]))


def half_wing(plane: Plane, surface: Surface, also: tuple[float, ...] = ()) -> HalfWing:
    """The half wing of ``surface`` as drawn in ``plane``; ``also``: further stations wanted, m from the middle.

    Raises InputError when the surface has no skin board, for then there is nothing to bend.
    """
    name = surface.build.skin
    if name is None or name not in plane.stock:
        raise InputError((_no_skin(surface),))
    skin = board_of(plane.stock[name])
    y = station_places(surface, also)
    rounds = [round_at(surface, out, skin.thickness) for out in y]
    chord = np.array([float(np.ptp(points[:, 0])) for points in rounds])
    spars = tuple((spar, _spar_lines(plane.stock, spar, rounds, chord, y, skin)) for spar in surface.spars)
    sticks = tuple(stick for _, (pair, _) in spars for stick in pair)
    webs = tuple(web for _, (_, web) in spars)
    top, bottom = np.array([_probes(points, skin) for points in rounds]).transpose(1, 2, 3, 0)
    upper, lower = panels_of(rounds, tuple(spar.at for spar in surface.spars), skin)
    groups = (
        *_skin_groups(rounds, skin, name),
        *_stick_groups(sticks),
        *_web_groups(webs, sticks),
    )
    return HalfWing(
        y, chord, skin, name, groups, sticks, webs, top[0], top[1], bottom[0], bottom[1], mean_sweep(surface),
        tuple(upper), tuple(lower), tuple(rounds), tuple(spar.at for spar in surface.spars),
        surface.build.rib_pitch,
    )  # fmt: skip


def _no_skin(surface: Surface) -> Fault:
    return Fault(
        "aeroplane.toml",
        0,
        f"{surface.name}, build, skin",
        "names no board",
        "Strength needs to know the board of the skin.",
        'Write skin = "board" (the name of a sheet in [stock]) in its build.',
    )


def station_places(surface: Surface, also: tuple[float, ...] = ()) -> Array:
    """Stations of the analysis, m from the middle: closer at the root, with cranks, joints and both sides of
    every spar end."""
    tip = surface.half_span
    base = tip * (1 - np.cos(np.linspace(0, np.pi / 2, BASE_STATIONS)))
    ends = [spar.to for spar in surface.spars if spar.to < tip]
    drawn = [*(s.out for s in surface.stations), *(j.out for j in surface.joints)]
    more = [*drawn, *ends, *(e + 1e-6 for e in ends), *also]
    places = np.unique(np.concatenate([base, np.array(more)]))
    return np.asarray(places[np.concatenate([[True], np.diff(places) > 5e-7])])


def mean_sweep(surface: Surface) -> float:
    """Sweep of the quarter-chord line, mean along the span, rad (size only)."""
    total = 0.0
    for a, b in pairwise(surface.stations):
        back = (b.back + b.chord / 4) - (a.back + a.chord / 4)
        total += abs(float(np.arctan2(back, b.out - a.out))) * (b.out - a.out)
    return total / surface.half_span


def _skin_sums(points: Array, skin: Board) -> Array:
    """Sums of both papers; a single sheet has each of them once, on its outside."""
    paper, outside = skin.face_modulus * skin.face, skin.face / 2
    outer = sums(membrane(points, outside, paper))
    if is_sheet(points, skin):
        return outer
    return outer + sums(membrane(points, skin.thickness - outside, paper))


def _foam_sums(points: Array, skin: Board) -> Array:
    if is_sheet(points, skin):
        return sums(membrane(points, skin.thickness / 2, skin.core_modulus * skin.core / 2))
    return sums(membrane(points, skin.thickness / 2, skin.core_modulus * skin.core))


def _skin_groups(rounds: list[Array], skin: Board, name: str) -> tuple[Group, Group]:
    faces = [_skin_sums(points, skin) for points in rounds]
    foam = [_foam_sums(points, skin) for points in rounds]
    return Group("face", name, np.array(faces).T), Group("core", name, np.array(foam).T)


def _spar_lines(
    stock: Mapping[str, Stock], spar: Spar, rounds: list[Array], chord: Array, y: Array, skin: Board
) -> tuple[tuple[Stick, Stick], Web]:
    """Both caps and the web of one spar. Caps lie flat under the skin (on a single
    sheet: outside it): their lesser side is their depth."""
    cap = stock[spar.caps]
    sides = cap.section or ASSUMED_STICK
    depth, area = min(sides), sides[0] * sides[1]
    top, bottom = np.array([heights(p, spar.at * c) for p, c in zip(rounds, chord, strict=True)]).T
    wood, x, present = wood_of(cap), spar.at * chord, y <= spar.to + 1e-9
    sheet = np.array([is_sheet(points, skin) for points in rounds])
    under = np.where(sheet, -depth / 2, skin.thickness + depth / 2)
    rear = spar.at > 0.45
    pair = (
        Stick(spar.caps, wood, x, top - under, depth, present, rear, True, area),
        Stick(spar.caps, wood, x, bottom + under, depth, present, rear, False, area),
    )
    deep = np.maximum(top - bottom - skin.thickness, 1e-3)
    return pair, Web(spar.web, board_of(stock[spar.web]), deep, present)


def _stick_groups(sticks: tuple[Stick, ...]) -> tuple[Group, ...]:
    names = sorted({stick.stock for stick in sticks})
    return tuple(Group("stick", n, sum_over([_stick_sums(s) for s in sticks if s.stock == n])) for n in names)


def sum_over(parts: list[Array]) -> Array:
    """Sum of equally shaped arrays."""
    return np.asarray(np.sum(np.array(parts), axis=0))


def _stick_sums(stick: Stick) -> Array:
    ea = stick.wood.modulus * stick.area * stick.present
    own = ea * stick.depth**2 / 12
    x, z = stick.x, stick.z
    return np.array([ea, ea * x, ea * z, ea * x * x, ea * x * z, ea * z * z + own])


def _web_groups(webs: tuple[Web, ...], sticks: tuple[Stick, ...]) -> tuple[Group, ...]:
    middles = [(sticks[2 * i].x, (sticks[2 * i].z + sticks[2 * i + 1].z) / 2) for i in range(len(webs))]
    return tuple(Group("web", web.stock, _web_sums(web, *at)) for web, at in zip(webs, middles, strict=True))


def _web_sums(web: Web, x: Array, z: Array) -> Array:
    board = web.board
    clear = np.maximum(web.depth - board.thickness, 0.0)
    per = 2 * board.face * board.face_modulus + board.core * board.core_modulus
    ea = per * clear * web.present
    return np.array([ea, ea * x, ea * z, ea * x * x, ea * x * z, ea * z * z + ea * clear**2 / 12])


def _probes(points: Array, skin: Board) -> tuple[Array, Array]:
    """Places (2, p) of the outer face along the top and along the bottom, from 5 to 95 % of the chord."""
    x = np.linspace(0.05, 0.95, TOP_PROBES) * float(np.ptp(points[:, 0]))
    top, bottom = np.array([heights(points, at) for at in x]).T
    return np.array([x, top - skin.face / 2]), np.array([x, bottom + skin.face / 2])
