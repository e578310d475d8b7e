"""Flat plates (tails): the fixed plate, its moving part, edge sticks, and the sub-ribs of a plate with a kink.

A plate is drawn as seen from above (a fin from its right), dihedral laid flat: (along the span, forward).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from planewright.geometry.parts import thickness
from planewright.geometry.parts.draft import TURN_OVER, Draft, rectangle, ring
from planewright.geometry.parts.frame import Frame
from planewright.geometry.parts.inside import rings_of, stick_of
from planewright.geometry.parts.loft import largest
from planewright.geometry.parts.model import MM, Array, Bevel, Face, Fold, Mark, Word, flat_points
from planewright.geometry.parts.skins import fold
from planewright.plane.model import Control


class Plate:
    """The plane of one plate: maps (out mm, part of the chord) to the board."""

    def __init__(self, frame: Frame) -> None:
        shape = frame.shape
        stations = shape.surface.stations
        self.frame = frame
        self.outs = np.array([one.out for one in stations]) * MM
        steps = [np.hypot(b.out - a.out, b.up - a.up) * MM for a, b in pairwise(stations)]
        self.way = np.concatenate(([0.0], np.cumsum(steps)))
        self.front, self.chord = shape.leading[:, 0] * MM, np.array(shape.chord) * MM

    def put(self, out: float, part: float) -> tuple[float, float]:
        """The point at ``part`` of the chord, ``out`` mm along the span."""
        x = np.interp(out, self.outs, self.front) + part * np.interp(out, self.outs, self.chord)
        return float(np.interp(out, self.outs, self.way)), -float(x)

    def line(self, part: float, start: float, end: float) -> Array:
        """A line at a part of the chord between two places out, with a point at each station between, (n, 2)."""
        inner = [float(o) for o in self.outs if start < o < end]
        return np.array([self.put(out, part) for out in (start, *inner, end)])

    @property
    def outline(self) -> Array:
        """The whole plate, (2 n, 2)."""
        first, last = float(self.outs[0]), float(self.outs[-1])
        return np.vstack((self.line(0.0, first, last), self.line(1.0, first, last)[::-1]))


def plates(frame: Frame) -> Iterator[Draft]:
    """The parts of a surface of flat sheet."""
    plate, controls = Plate(frame), frame.controls()
    yield _fixed(frame, plate, controls)
    for one in controls:
        yield _moving(frame, plate, one)
    yield from _edge_sticks(frame, plate, controls)
    if frame.surface.build.way == "kinked":
        yield from _sub_ribs(frame, plate)


def region(plate: Plate, control: Control, gap: float) -> Polygon:
    """The moving part of a plate; ``gap`` mm are taken off at ends that do not lie at the end of the plate."""
    first, last = float(plate.outs[0]), float(plate.outs[-1])
    start, end = max(control.start * MM, first), min(control.end * MM, last)
    start += gap if start > first + 1e-6 else 0.0
    end -= gap if end < last - 1e-6 else 0.0
    hinge = plate.line(1 - control.chord, start, end)
    return Polygon(np.vstack((hinge, plate.line(1.0, start, end)[::-1])))


def _face(frame: Frame) -> Face:
    return "outside"


def _fixed(frame: Frame, plate: Plate, controls: tuple[Control, ...]) -> Draft:
    shape: BaseGeometry = Polygon(plate.outline)
    marks: list[Mark] = []
    for one in controls:
        shape = shape.difference(region(plate, one, 0.0))
        hinge = plate.line(
            1 - one.chord, max(one.start * MM, plate.outs[0]), min(one.end * MM, plate.outs[-1])
        )
        marks.append(Mark("hinge", flat_points(hinge), f"{one.name} hinge"))
    surface = frame.surface
    rings = rings_of(largest(shape))
    names = ("FOOT", "TOP") if surface.kind == "fin" else ("ROOT", "TIP")
    return Draft(
        word=frame.word,
        name="plate",
        hand=frame.hand,
        copies=1,
        stock=str(surface.build.skin),
        rings=rings,
        marks=(*marks, *_edge_marks(frame, plate)),
        stiff=0.0,
        seen_from=_face(frame),
        ends=names,
        note="right side up" if surface.kind == "fin" else "top side up",
        key=f"{surface.name}/plate",
        group="plate",
        folds=_kinks(frame, plate),
        ready=True,
    )


def _edge_marks(frame: Frame, plate: Plate) -> Iterator[Mark]:
    """Where the stick lies in its groove behind the nose."""
    if frame.surface.build.edge not in frame.stock:
        return
    wide = stick_of(frame.stock[str(frame.surface.build.edge)])[1]
    first, last = float(plate.outs[0]), float(plate.outs[-1])
    line = plate.line(0.0, first, last) - np.array([0.0, wide])
    yield Mark("stick", flat_points(line), f"stick, {wide:.0f} wide")


def _kinks(frame: Frame, plate: Plate) -> tuple[Fold, ...]:
    """The score of a kinked plate: it goes down on both sides of the kink, away from whoever looks at its top."""
    build = frame.surface.build
    if build.way != "kinked":
        return ()
    angle = np.arctan(build.camber / build.kink) + np.arctan(build.camber / (1 - build.kink))
    line = plate.line(build.kink, float(plate.outs[0]), float(plate.outs[-1]))
    found = [fold(line[k : k + 2], -float(angle), frame.t) for k in range(len(line) - 1)]
    return tuple(one for one in found if one is not None)


def _moving(frame: Frame, plate: Plate, control: Control) -> Draft:
    shape = region(plate, control, thickness.END_GAP)
    hinge = np.array(shape.exterior.coords)[: len(plate.line(0.0, control.start * MM, control.end * MM))]
    back = thickness.hinge_setback(frame.t, control.down)
    inner = hinge - np.array([0.0, back])
    words = f"slope the front edge {back:.1f} back on the other face"
    slope = Bevel(flat_points(hinge), flat_points(inner), 0.0, float(np.arctan2(frame.t, back)), False, words)
    horn = _horn(plate, control)
    return Draft(
        word=frame.word,
        name=control.name,
        hand=frame.hand,
        copies=1,
        stock=str(frame.surface.build.skin),
        rings=rings_of(shape),
        marks=(Mark("hinge", flat_points(hinge), "hinge"),),
        stiff=0.0,
        seen_from=_face(frame),
        ends=("FOOT", "TOP") if frame.surface.kind == "fin" else ("ROOT", "TIP"),
        note=f"up {np.degrees(control.up):.0f}, down {np.degrees(control.down):.0f} deg",
        key=f"control.{control.name}/moving part",
        group="control",
        bevels=(slope,),
        words=(Word(horn, "horn here, other face", 0.0),),
        ready=True,
    )


def _horn(plate: Plate, control: Control) -> tuple[float, float]:
    start, end = max(control.start * MM, plate.outs[0]), min(control.end * MM, plate.outs[-1])
    return plate.put(start + 0.25 * (end - start), 1 - 0.6 * control.chord)


def _edge_sticks(frame: Frame, plate: Plate, controls: tuple[Control, ...]) -> Iterator[Draft]:
    """Sticks along the nose, the tip and the hinge line (the trailing edge where nothing moves)."""
    edge = frame.surface.build.edge
    if edge not in frame.stock:
        return
    first, last = float(plate.outs[0]), float(plate.outs[-1])
    rear = 1 - max((one.chord for one in controls), default=0.0)
    lines = {
        "nose": plate.line(0.0, first, last),
        "hinge line" if controls else "trailing edge": plate.line(rear, first, last),
        "tip": np.array([plate.put(last, 0.0), plate.put(last, rear)]),
    }
    wide = stick_of(frame.stock[str(edge)])[1]
    for name, line in lines.items():
        length = float(LineString(line).length)
        if length < 5.0:
            continue
        yield Draft(
            word=frame.word,
            name=f"edge stick, {name}",
            hand="none",
            copies=frame.pair,
            stock=str(edge),
            rings=(rectangle(length, wide),),
            note="in a groove of its own depth",
            key=f"{frame.surface.name}/edge {name}",
            group="stick",
            ready=True,
        )


def _sub_ribs(frame: Frame, plate: Plate) -> Iterator[Draft]:
    """Wedges under a kinked plate that hold its camber: at both ends and every 150 mm (assumed)."""
    build, t = frame.surface.build, frame.t
    first, last = float(plate.outs[0]), float(plate.outs[-1])
    for index, out in enumerate(np.linspace(first, last, max(int((last - first) // 150.0) + 1, 2))):
        chord = float(np.interp(out, plate.outs, plate.chord))
        high = build.camber * chord - t / 2
        if high < 3.0:
            continue
        corners = np.array([[0.08 * chord, 0.0], [0.92 * chord, 0.0], [build.kink * chord, high]])
        yield Draft(
            word=frame.word,
            name=f"sub-rib at {out:.0f} mm",
            hand="none",
            copies=frame.pair,
            stock=str(build.skin),
            rings=(ring(corners),),
            ends=("NOSE", "BACK"),
            note=TURN_OVER if frame.pair == 2 else "",
            key=f"{frame.surface.name}/sub-rib/{index}",
            group="rib",
            whole=True,
            ready=True,
        )
