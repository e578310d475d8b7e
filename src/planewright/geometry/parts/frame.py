"""One surface as its parts see it: panels, names, the lines of its spars, the places of its ribs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from planewright.geometry.model import SurfaceShape
from planewright.geometry.parts.draft import thickness_of
from planewright.geometry.parts.loft import Loft, lofts
from planewright.geometry.parts.model import MM, Hand
from planewright.geometry.parts.skins import Names
from planewright.geometry.surfaces import shape_of, split_at
from planewright.plane.model import Control, Joint, Plane, Spar, Stock, Surface

WORDS = {"wing": "WING", "tailplane": "TAIL", "fin": "FIN"}


@dataclass(frozen=True)
class SparLine:
    """A spar in one panel, seen from above: straight from ``start`` to ``end``, each (x aft, out), mm."""

    spar: Spar
    loft: Loft
    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def lean(self) -> float:
        """Angle between the spar and a line square to the ribs, rad, positive when it runs aft."""
        return float(np.arctan2(self.end[0] - self.start[0], self.end[1] - self.start[1]))

    @property
    def length(self) -> float:
        """Length seen from above, mm."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))

    def x(self, out: float) -> float:
        """Where the spar is at ``out``, mm aft."""
        (x0, o0), (x1, o1) = self.start, self.end
        return x0 + (out - o0) / (o1 - o0) * (x1 - x0)


@dataclass(frozen=True)
class Frame:
    """A surface with its plane and its stations split at joints; ``t`` thickness of the skin, mm."""

    plane: Plane
    shape: SurfaceShape
    t: float

    @property
    def surface(self) -> Surface:
        """The surface, with a station at every joint."""
        return self.shape.surface

    @property
    def stock(self) -> Mapping[str, Stock]:
        """What there is to build from."""
        return self.plane.stock

    @property
    def word(self) -> str:
        """WING, TAIL or FIN."""
        return WORDS[self.surface.kind]

    @property
    def hand(self) -> Hand:
        """ "right" for what is built on both sides."""
        return "right" if self.surface.paired else "none"

    @property
    def pair(self) -> int:
        """2 for what is built on both sides."""
        return 2 if self.surface.paired else 1

    @cached_property
    def lofts(self) -> tuple[Loft, ...]:
        """Panels as they are flown."""
        return lofts(self.shape, self.t)

    @cached_property
    def bench(self) -> tuple[Loft, ...]:
        """Panels without washout, as they are drawn where the jig builds it in."""
        return lofts(self.shape, self.t, twisted=False)

    def names(self, k: int) -> Names:
        """What panel ``k`` is called."""
        loft, surface = self.lofts[k], self.surface
        where = "height" if surface.kind == "fin" else "out"
        inner, outer = float(loft.outs[0]), float(loft.outs[-1])
        joints = {round(one.out * MM, 3) for one in surface.joints}
        first, last = surface.stations[0].out * MM, surface.stations[-1].out * MM
        opened = (
            round(inner, 3) in joints
            or (inner == first and (surface.kind == "fin" or inner > 1e-6 or not surface.paired)),
            round(outer, 3) in joints or outer == last,
        )
        return Names(
            word=self.word,
            key=f"{surface.name}/{k + 1}",
            surface=surface.name,
            stock=str(surface.build.skin),
            hand=self.hand,
            extent=f"{inner:.0f} to {outer:.0f} mm {where}",
            ends=("FOOT", "TOP") if surface.kind == "fin" else ("ROOT", "TIP"),
            open_ends=opened,
        )

    def spar_lines(self, k: int) -> tuple[SparLine, ...]:
        """The spars in panel ``k``, each cut off where it ends."""
        loft, found = self.lofts[k], []
        for spar in self.surface.spars:
            inner, outer = float(loft.outs[0]), float(loft.outs[-1])
            ends = [(loft.at(spar.at, out), out) for out in (inner, outer)]
            stop = min(outer, spar.to * MM)
            if stop > inner + 5.0:
                whole = SparLine(spar, loft, ends[0], ends[1])
                found.append(replace(whole, end=(whole.x(stop), stop)))
        return tuple(found)

    def rib_thickness(self) -> float:
        """Thickness of the ribs, mm; 0 where they have no material."""
        material = self.stock.get(self.surface.build.rib or self.surface.build.skin or "")
        return thickness_of(material) * MM if material is not None else 0.0

    def controls(self) -> tuple[Control, ...]:
        """The controls on this surface."""
        return tuple(one for one in self.plane.controls if one.on == self.surface.name)

    def joint_at(self, out: float) -> Joint | None:
        """The joint at ``out`` mm, or None."""
        return next((one for one in self.surface.joints if abs(one.out * MM - out) < 0.01), None)


def frame(plane: Plane, shape: SurfaceShape) -> Frame:
    """The surface of ``shape`` with a station made at every joint."""
    surface = shape.surface
    for joint in surface.joints:
        surface = split_at(surface, joint.out)
    if surface is not shape.surface:
        shape = shape_of(surface, plane.stock)
    sheet = plane.stock.get(surface.build.skin or "")
    return Frame(plane, shape, thickness_of(sheet) * MM if sheet is not None else 5.0)
