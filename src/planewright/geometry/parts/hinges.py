"""Where a control in a wing with skins is cut free: its hinge on the top skin, the cut on the bottom skin.

The hinge is a tape on the top skin. Travel down closes the gap below, so the front of the moving part leans back by the
travel and three degrees more: on the bottom skin the cut lies depth x tan(down + 3 deg) behind the hinge line.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planewright.geometry.parts import thickness
from planewright.geometry.parts.frame import Frame, SparLine
from planewright.geometry.parts.loft import Loft
from planewright.geometry.parts.model import MM, Mark
from planewright.geometry.parts.skins import Sheet
from planewright.plane.model import Control, Spar


def hinge_line(loft: Loft, control: Control) -> SparLine | None:
    """The hinge of a control where it lies in a panel, as a line seen from above; None where it does not."""
    start, end = max(control.start * MM, loft.outs[0]), min(control.end * MM, loft.outs[-1])
    if end - start < 1.0:
        return None
    part = 1 - control.chord
    return SparLine(
        Spar(part, "", "", end / MM),
        loft,
        (loft.at(part, start), float(start)),
        (loft.at(part, end), float(end)),
    )


def depth_at(loft: Loft, line: SparLine, out: float) -> float:
    """Outer depth of the wing at the hinge, mm."""
    low, high = loft.outer(line.x(out), out)
    return high - low


def bottom_shift(loft: Loft, line: SparLine, control: Control, out: float) -> float:
    """How far behind the hinge line the bottom skin is cut, mm."""
    return thickness.hinge_setback(depth_at(loft, line, out), control.down)


def cut_marks(frame: Frame, sheet: Sheet) -> Iterator[Mark]:
    """Hinge line on the top skin, cut on the bottom skin, and the cuts across at both ends."""
    loft = sheet.loft
    nose, last = loft.nose - sheet.start, len(sheet.rows) - 1
    for control in frame.controls():
        line = hinge_line(loft, control)
        if line is None:
            continue
        outs = np.linspace(line.start[1], line.end[1], 5)
        ends = [out for out in (control.start * MM, control.end * MM) if loft.outs[0] < out < loft.outs[-1]]
        for top in ([True] if nose < last else []) + ([False] if nose > 0 else []):
            shift = [0.0 if top else bottom_shift(loft, line, control, float(o)) for o in outs]
            points = [
                sheet.put(float(o), line.x(float(o)) + s, top) for o, s in zip(outs, shift, strict=True)
            ]
            words = f"{control.name} hinge" if top else f"{control.name} cut"
            yield Mark("hinge" if top else "control cut", (points[0], points[-1]), words)
            for out in ends:
                back = loft.edges(out)[1]
                x = line.x(out) + (0.0 if top else bottom_shift(loft, line, control, out))
                line_across = [sheet.put(out, float(at), top) for at in np.linspace(x, back, 2)]
                yield Mark("control cut", tuple(line_across), f"cut {thickness.END_GAP:.0f} wide")


def taken(frame: Frame, loft: Loft, out: float) -> tuple[float, float] | None:
    """From where to where, mm aft, a rib at ``out`` is interrupted by a hinge; None where it is not."""
    for control in frame.controls():
        line = hinge_line(loft, control)
        if line is not None and control.start * MM <= out <= control.end * MM:
            x = line.x(out)
            return x - frame.t - 1.0, x + bottom_shift(loft, line, control, out) + frame.t
    return None
