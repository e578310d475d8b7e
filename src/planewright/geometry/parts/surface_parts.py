"""Every flat part of one wing, tailplane or fin."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from planewright.geometry.parts import hinges, inside, thickness
from planewright.geometry.parts.controls import closers, horn_plates
from planewright.geometry.parts.draft import Draft, rectangle, thickness_of
from planewright.geometry.parts.frame import Frame
from planewright.geometry.parts.loft import Loft
from planewright.geometry.parts.model import MM, Advice, Array, Glue, Mark
from planewright.geometry.parts.plates import plates
from planewright.geometry.parts.skins import Sheet, folded_skin, levelled, marks_across, two_skins
from planewright.geometry.strips import chain, rigid_fit, row_folds

WASHOUT_ERROR = 0.5
"""A skin is drawn without washout, and the washout built in on the jig, while both outlines agree within this, mm."""

SHARPEST = np.radians(60.0)
"""Sharpest kink of a plate that is scored and crushed (assumed)."""


def surface_parts(frame: Frame) -> Iterator[Draft]:
    """Every part of a surface, right and middle, in building order."""
    surface = frame.surface
    if surface.build.skin not in frame.stock:
        yield from inside.sticks(frame)
        return
    if surface.build.way in ("sheet", "kinked"):
        yield from plates(frame)
        yield from inside.sticks(frame)
        yield from horn_plates(frame)
        return
    for k in range(len(frame.lofts)):
        yield from panel_skins(frame, k)
    for k in range(len(frame.lofts)):
        yield from inside.webs(frame, k)
    yield from inside.sticks(frame)
    for k in range(len(frame.lofts)):
        yield from inside.strips(frame, k)
    yield from inside.ribs(frame)
    for k in range(len(frame.lofts)):
        yield from closers(frame, k)
    yield from horn_plates(frame)
    yield from straps(frame)


def washout_error(flown: Loft, bench: Loft) -> float:
    """How far the flat outline with the washout in it is from the one without, at worst, mm."""
    flats = [chain(one.rows) for one in (flown, on_rulings(bench, flown.outs))]
    points = [np.vstack([one.row(k) for k in range(len(flown.rows))]) for one in flats]
    turn, shift = rigid_fit(points[0], points[1])
    return float(np.linalg.norm(points[0] @ turn + shift - points[1], axis=1).max())


def on_rulings(loft: Loft, outs: Array) -> Loft:
    """The same panel with its rows cut at ``outs``."""
    rings = np.array([loft.ring(float(out)) for out in outs])
    return replace(loft, rows=rings.transpose(1, 0, 2), outs=outs)


def drawn(frame: Frame, k: int) -> Loft:
    """The panel as it is drawn: without washout where the jig can build it in."""
    flown, bench = frame.lofts[k], frame.bench[k]
    if flown.rows.shape[1] != bench.rows.shape[1]:
        bench = on_rulings(bench, flown.outs)
    return bench if washout_error(flown, bench) < WASHOUT_ERROR else flown


def panel_skins(frame: Frame, k: int) -> Iterator[Draft]:
    """The skin or skins of one panel with all marks."""
    loft, flown, names = drawn(frame, k), frame.lofts[k], frame.names(k)
    if frame.surface.build.way == "folded":
        made: tuple[tuple[Draft, Sheet], ...] = (folded_skin(loft, names, flown),)
    else:
        made = two_skins(loft, names, flown)
    washout = loft is not flown and bool(np.ptp(frame.shape.twist) > 1e-6)
    for draft, sheet in made:
        marks = (*_rib_marks(frame, sheet), *_spar_marks(frame, k, sheet), *hinges.cut_marks(frame, sheet))
        note = "drawn without washout: the jig builds it in" if washout else ""
        full = replace(
            draft,
            marks=marks,
            glue=(*draft.glue, *_spar_glue(frame, k, sheet)),
            stations=_cranks(sheet),
            note=note,
            keep=_keep(frame, k),
        )
        yield level(full, sheet)


def level(draft: Draft, sheet: Sheet) -> Draft:
    """The skin turned so that its span lies along the board's long way."""
    return levelled(draft, sheet.flat[:, 0], sheet.flat[:, -1])


def _keep(frame: Frame, k: int) -> tuple[tuple[float, float], ...]:
    """Stretches along a skin that no splice may cut, mm from its inner end: cranks and servos (30 both ways), ends of
    spars and joiners (100), the inner 0.3 of the half span."""
    loft = frame.lofts[k]
    inner, surface = float(loft.outs[0]), frame.surface
    near = [(out, 30.0) for out in loft.cranks]
    near += [((one.start + one.end) / 2 * MM, 30.0) for one in frame.controls()]
    near += [(one.to * MM, 100.0) for one in surface.spars]
    near += [
        (one.out * MM + side * (one.reach or 0.0) * MM, 100.0) for one in surface.joints for side in (-1, 1)
    ]
    found = [(out - around - inner, out + around - inner) for out, around in near]
    return ((-inner, 0.3 * float(frame.lofts[-1].outs[-1]) - inner), *found)


def _rib_marks(frame: Frame, sheet: Sheet) -> tuple[Mark, ...]:
    places = [one * MM for one in inside.rib_places(frame.surface)]
    inner = [out for out in places if sheet.loft.outs[0] + 1 < out < sheet.loft.outs[-1] - 1]
    return marks_across(sheet, inner, "rib", "rib")


def _cranks(sheet: Sheet) -> tuple[Mark, ...]:
    return marks_across(sheet, list(sheet.loft.cranks), "station", "station")


def _sides(sheet: Sheet) -> list[bool]:
    nose = sheet.loft.nose - sheet.start
    return ([False] if nose > 0 else []) + ([True] if nose < len(sheet.rows) - 1 else [])


def _spar_band(frame: Frame, k: int, sheet: Sheet, n: int, top: bool) -> Array:
    """Ring of the strip where a spar lies on a face of the sheet, (4, 2)."""
    line = frame.spar_lines(k)[n]
    wide = inside.stick_of(frame.stock.get(line.spar.caps))[1]
    web = thickness_of(frame.stock[line.spar.web]) * MM if line.spar.web in frame.stock else 0.0
    half = (wide / 2 + (web if inside.boxed(frame) else 0.0)) / np.cos(line.lean)
    ends = (line.start[1], line.end[1])
    front = [sheet.put(out, line.x(out) - half, top) for out in ends]
    back = [sheet.put(out, line.x(out) + half, top) for out in ends]
    return np.array([*front, *back[::-1]])


def _spar_glue(frame: Frame, k: int, sheet: Sheet) -> tuple[Glue, ...]:
    found = []
    for n, line in enumerate(frame.spar_lines(k)):
        words = "spar box lies here, glue" if inside.boxed(frame) else f"spar at {line.spar.at:.0%}, glue"
        for top in _sides(sheet):
            band = _spar_band(frame, k, sheet, n, top)
            found.append(Glue(tuple((float(x), float(y)) for x, y in band), words))
    return tuple(found)


def _spar_marks(frame: Frame, k: int, sheet: Sheet) -> tuple[Mark, ...]:
    found = []
    for line in frame.spar_lines(k):
        for top in _sides(sheet):
            ends = [sheet.put(out, line.x(out), top) for out in (line.start[1], line.end[1])]
            found.append(Mark("spar", tuple(ends), f"spar at {line.spar.at:.0%}"))
    return tuple(found)


def straps(frame: Frame) -> Iterator[Draft]:
    """Straps inside over the joints between panels that are glued for good, 12 t wide, two each (below and above)."""
    surface, t = frame.surface, frame.t
    wide = 12 * t
    ends = [loft for loft in frame.lofts[1:] if frame.joint_at(float(loft.outs[0])) is None]
    middle = surface.paired and surface.stations[0].out < 1e-6 and surface.kind != "fin"
    for loft in ([frame.lofts[0]] if middle else []) + ends:
        out = float(loft.outs[0])
        front, back = loft.edges(out)
        length = 0.6 * (back - front) - 4 * t
        if length < 40.0:
            continue
        yield Draft(
            word=frame.word,
            name=f"strap over the joint at {out:.0f} mm",
            hand="none",
            copies=2 if out < 1e-6 else 2 * frame.pair,
            stock=str(surface.build.skin),
            rings=(rectangle(length, wide),),
            stiff=np.pi / 2,
            note="inside, half on each panel, below and above; clear of grooves and spar",
            key=f"{surface.name}/strap/{out:.0f}",
            group="strap",
            whole=True,
            ready=True,
        )


def nose_advice(frame: Frame, k: int, title: str) -> Iterator[Advice]:
    """Facets too narrow between their grooves, and folds that cannot be made, on one folded panel."""
    loft = drawn(frame, k)
    t, folds = loft.t, row_folds(loft.rows)
    bays = folds.shape[1]
    for row in range(1, len(loft.rows) - 2):
        for i, out in enumerate(loft.outs):
            bay = min(i, bays - 1)
            pair = [float(folds[row - 1, bay]), float(folds[row, bay])]
            if max(pair) < thickness.GROOVE_FROM:
                continue
            wide = across(loft.rows[row : row + 2], i)
            left = thickness.land(
                wide, t, *(max(a, 0.0) if a >= thickness.GROOVE_FROM else 0.0 for a in pair)
            )
            if left < thickness.LEAST_LAND:
                yield Advice(
                    "narrow facet",
                    title,
                    f"at {out:.0f} mm out the face between two folds is {wide:.1f} mm wide; its grooves leave "
                    f"{left:.1f} mm of foam and {thickness.LEAST_LAND:.0f} are needed: the nose is too thin here",
                    f"Move the fold lines apart, deepen the nose, or use board thinner than "
                    f"{t * (wide - thickness.LEAST_LAND) / max(wide - left, 1e-6):.1f} mm.",
                    left,
                    thickness.LEAST_LAND,
                )


def across(rows: Array, i: int) -> float:
    """Width of a strip square to its first row at point i, mm."""
    j = min(i, rows.shape[1] - 2)
    along = rows[0, j + 1] - rows[0, j]
    ruling = rows[1, i] - rows[0, i]
    u = along / np.linalg.norm(along)
    return float(np.linalg.norm(ruling - (ruling @ u) * u))


def kink_advice(frame: Frame) -> Iterator[Advice]:
    """A kinked plate whose kink cannot be folded: too sharp, or too near an edge for the foam that the fold takes."""
    build, t = frame.surface.build, frame.t
    angle = float(np.arctan(build.camber / build.kink) + np.arctan(build.camber / (1 - build.kink)))
    chord = float(frame.shape.chord.min()) * MM
    short = min(build.kink, 1 - build.kink) * chord
    needed = t * float(np.tan(min(angle, 3.0) / 2)) + thickness.LEAST_LAND
    if angle <= SHARPEST and short >= needed:
        return
    camber = min(build.camber, 0.9 * float(np.tan(SHARPEST / 2)) * min(build.kink, 1 - build.kink))
    yield Advice(
        "kink that cannot be folded",
        f"{frame.word}, plate",
        f"the kink at {build.kink:.0%} of the chord bends {np.degrees(angle):.0f} deg and leaves {short:.0f} mm to the "
        f"nearer edge; board of {t:.1f} mm folds up to {np.degrees(SHARPEST):.0f} deg and needs {needed:.0f} mm there",
        f'Write camber = "{100 * camber:.1f} %" or less, or move the kink toward 25 % of the chord.',
        np.degrees(angle) if angle > SHARPEST else short,
        np.degrees(SHARPEST) if angle > SHARPEST else needed,
        "deg" if angle > SHARPEST else "mm",
        stop=True,
    )
