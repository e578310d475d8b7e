"""Controls in a wing with skins: closers on both sides of the cut, end pieces, the hard plate of the horn."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely import Polygon, box

from planewright.geometry.parts import thickness
from planewright.geometry.parts.draft import TURN_OVER, Draft, rectangle
from planewright.geometry.parts.frame import Frame, SparLine
from planewright.geometry.parts.hinges import bottom_shift, hinge_line
from planewright.geometry.parts.inside import laid, rings_of, upright
from planewright.geometry.parts.loft import largest
from planewright.geometry.parts.model import MM, Array
from planewright.plane.model import Control


def closers(frame: Frame, k: int) -> Iterator[Draft]:
    """Upright strips that close the wing and the moving part along the cut, and the end pieces, in panel ``k``."""
    loft = frame.lofts[k]
    for control in frame.controls():
        line = hinge_line(loft, control)
        if line is None:
            continue
        t = frame.t
        for shift, name, lean in (
            (-t / 2, "wing side", 0.0),
            (t / 2, f"{control.name} side", control.down + thickness.TURN_CLEARANCE),
        ):
            along, low, high = upright(line, shift, t, 0.0)
            heights = (high.max(axis=1) - low.min(axis=1)) / np.cos(lean)
            if heights.min() < 1.0:
                continue
            yield _strip(frame, (k, control), along, heights, name, lean)
        yield from _ends(frame, (k, control), line)


def _strip(
    frame: Frame, ids: tuple[int, Control], along: Array, heights: Array, name: str, lean: float
) -> Draft:
    k, control = ids
    shape = Polygon(np.vstack((np.column_stack((along, 0 * along)), np.column_stack((along, heights))[::-1])))
    rings, _ = laid(largest(shape.simplify(0.05)))
    note = f"leans back by {np.degrees(lean):.0f} deg" if lean else "upright"
    return Draft(
        word=frame.word,
        name=f"{control.name} closer, {name}, {frame.lofts[k].outs[0]:.0f} to {frame.lofts[k].outs[-1]:.0f} mm",
        hand="none",
        copies=frame.pair,
        stock=str(frame.surface.build.skin),
        rings=rings,
        stiff=0.0,
        note=note,
        key=f"control.{control.name}/{k + 1}/closer {'wing' if name == 'wing side' else 'control'}",
        group="control",
        ready=True,
    )


def _ends(frame: Frame, ids: tuple[int, Control], line: SparLine) -> Iterator[Draft]:
    """Pieces that close the ends of the moving part, and those of the wing beside it."""
    _, control = ids
    loft, t = line.loft, frame.t
    for place, name in ((control.start, "inner"), (control.end, "outer")):
        out = place * MM
        if not loft.outs[0] + t < out < loft.outs[-1] - t:
            continue
        sign = 1.0 if name == "inner" else -1.0
        at = out + sign * (thickness.END_GAP + t / 2)
        x = line.x(at) + bottom_shift(loft, line, control, at) + t
        inner = loft.inside(at)
        shape = largest(
            inner.intersection(box(x, inner.bounds[1] - 1, inner.bounds[2] + 1, inner.bounds[3] + 1))
        )
        if shape.area < 60.0:
            continue
        yield Draft(
            word=frame.word,
            name=f"{control.name} end closer, {name}",
            hand="none",
            copies=2 * frame.pair,
            stock=str(frame.surface.build.rib or frame.surface.build.skin),
            rings=rings_of(largest(shape.simplify(0.05))),
            ends=("FRONT", "BACK"),
            note=f"one for the {control.name}, one for the wing; " + (TURN_OVER if frame.pair == 2 else ""),
            key=f"control.{control.name}/end {name}",
            group="control",
            whole=True,
            ready=True,
        )


def horn_plates(frame: Frame) -> Iterator[Draft]:
    """A hard plate under each horn, of plywood or cardboard where the stock has some, 30 x 20 mm (assumed)."""
    hard = [name for name, one in frame.stock.items() if one.kind == "plywood"]
    hard += [name for name, one in frame.stock.items() if one.kind == "cardboard"]
    if not hard:
        return
    for control in frame.controls():
        yield Draft(
            word=frame.word,
            name=f"horn plate, {control.name}",
            hand="none",
            copies=frame.pair if control.count < 2 * frame.pair else control.count,
            stock=hard[0],
            rings=(rectangle(30.0, 20.0),),
            key=f"control.{control.name}/horn plate",
            group="control",
            whole=True,
            ready=True,
        )
