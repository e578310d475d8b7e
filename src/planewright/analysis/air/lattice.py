"""Panels of a vortex lattice on flat sheets.

Horseshoes with the bound vortex at the quarter and the control point at three quarters of each panel (Pistolesi
1937; Falkner, ARC R&M 1910, 1943; both from memory), trailing legs along the body's x. Camber, twist and controls
enter as incidence of the strip, two numbers each, so that the matrix depends on the drawing alone.

Drawing axes: x aft, y right, z up; m, rad.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.sheets import Sheet, Strips, coverage, cut, flap_theory

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Grid:
    """Panels of all sheets. P panels, S strips.

    ``start``, ``end`` (P, 3): ends of the bound vortex, left to right (fin: bottom to top). ``control``,
    ``force`` (P, 3): where the flow is tangent, where the force is taken. ``normal`` (P, 3): of the flat sheet.
    ``incidence`` (P,): built-in, from twist and camber, rad. ``strip`` (P,): number of the panel's strip.
    ``tail_start``, ``tail_end`` (P,): x of the trailing edge at the two legs. ``columns``: name of a control ->
    incidence of each panel per radian (P,); "incidence NAME" columns turn whole sheets. ``twin`` (P,): number of
    the panel's mirror image (itself on the centreline) and ``turned`` (P,): 1 where the image's bound vortex runs
    the other way, as on a wing, -1 where it keeps its way, as on a fin; ``even``: left and right are alike.
    For strips: ``sheet`` (S,) number of the sheet, ``left`` (S,) True on the mirrored half, ``middle`` (S, 3)
    quarter chord at the control station, ``chord`` there, ``width``, ``mean_chord`` (S,) m; ``sweep`` of the
    quarter-chord line, rad;
    ``zero_lift`` rad and ``moment``: the section's figures as they were built into ``incidence``. ``cover``: name
    of a hinged control -> covered part of each strip's width, signed as its lift (S,).
    """

    names: tuple[str, ...]
    start: Array
    end: Array
    control: Array
    force: Array
    normal: Array
    incidence: Array
    strip: Whole
    tail_start: Array
    tail_end: Array
    columns: Mapping[str, Array]
    twin: Whole
    turned: Array
    even: bool
    sheet: Whole
    left: npt.NDArray[np.bool_]
    middle: Array
    chord: Array
    width: Array
    mean_chord: Array
    sweep: Array
    zero_lift: Array
    moment: Array
    cover: Mapping[str, Array]

    @property
    def panels(self) -> int:
        """Number of panels."""
        return int(self.strip.size)

    def of(self, name: str) -> npt.NDArray[np.bool_]:
        """Mask (S,) of the strips of one sheet."""
        return np.asarray(self.sheet == self.names.index(name))


def strip_incidence(lift: Array, moment: Array, rows: int) -> Array:
    """Incidence of each panel of a strip that gives it a section's lift and moment, shape (n, rows), rad.

    Arguments: lift: cl at zero incidence (n,); moment: quarter-chord cm (n,); rows: panels along the chord.
    A strip of N equal panels returns cl exactly and (1 - 1/N^2) cm for an incidence linear along the chord,
    hence the factor. One row cannot carry a moment. Source: own derivation from thin-section theory.
    """
    place = (np.arange(rows) + 0.75) / rows
    slope = 4 / np.pi * moment / (1 - 1 / rows**2) if rows > 1 else np.zeros_like(moment)
    level = lift / (2 * np.pi) + slope / 2
    return np.asarray(level[:, None] + slope[:, None] * (1 - 2 * place[None, :]))


def _between(strips: Strips, part: Array, along: Array) -> Array:
    """Points at spanwise ``part`` (n,) and chordwise ``along`` (rows,) of flat strips, shape (n, rows, 3)."""
    edge = strips.inner + part[:, None] * (strips.outer - strips.inner)
    chord = strips.inner_chord + part * (strips.outer_chord - strips.inner_chord)
    points = np.repeat(edge[:, None, :], along.size, axis=1)
    points[:, :, 0] += chord[:, None] * along[None, :]
    return points


def _sweep(strips: Strips) -> Array:
    """Sweep of the quarter-chord line over each strip, rad, (n,)."""
    back = strips.outer[:, 0] - strips.inner[:, 0] + 0.25 * (strips.outer_chord - strips.inner_chord)
    return np.asarray(np.arctan2(back, strips.width))


def _half(sheet: Sheet) -> dict[str, Array]:
    """Panels of the right half of one sheet, by name of the Grid's field (flattened strip by strip)."""
    strips = cut(sheet)
    count, rows = strips.width.size, sheet.rows
    quarter, three = (np.arange(rows) + 0.25) / rows, (np.arange(rows) + 0.75) / rows
    zero, one = np.zeros(count), np.ones(count)
    span = strips.outer - strips.inner
    normal = np.cross([1.0, 0.0, 0.0], span)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    built = strip_incidence(-2 * np.pi * strips.zero_lift, strips.moment, rows) + strips.incidence[:, None]
    behind = np.zeros((count, rows, 3))
    behind[:, :, 0] = strips.chord[:, None] * three
    middle = strips.station + np.outer(strips.chord, [0.25, 0.0, 0.0])
    tail_in = strips.inner[:, 0] + strips.inner_chord
    tail_out = strips.outer[:, 0] + strips.outer_chord
    result = {
        "start": _between(strips, zero, quarter).reshape(-1, 3),
        "end": _between(strips, one, quarter).reshape(-1, 3),
        "control": (strips.station[:, None, :] + behind).reshape(-1, 3),
        "force": _between(strips, strips.part, quarter).reshape(-1, 3),
        "normal": np.repeat(normal, rows, axis=0),
        "incidence": built.ravel(),
        "tail_start": np.repeat(tail_in, rows),
        "tail_end": np.repeat(tail_out, rows),
        "middle": middle,
        "chord": strips.chord,
        "width": strips.width,
        "mean_chord": strips.mean_chord,
        "sweep": _sweep(strips),
        "zero_lift": strips.zero_lift,
        "moment": strips.moment,
    }
    for flap in sheet.flaps:
        lift, moment = flap_theory(flap.chord)
        part = coverage(strips.arc, flap.start, flap.end) * flap.sign
        result["flap " + flap.name] = strip_incidence(lift * part, moment * part, rows).ravel()
        result["cover " + flap.name] = part
    return result


def _mirror(half: Mapping[str, Array], upright: bool) -> dict[str, Array]:
    """The left half: y changes sign; the bound vortex of a level sheet still runs left to right."""
    flip = np.array([1.0, -1.0, 1.0])
    points = {"start", "end", "control", "force", "normal", "middle"}
    other = {key: (value * flip if key in points else value) for key, value in half.items()}
    if not upright:
        other["start"], other["end"] = other["end"], other["start"]
        other["tail_start"], other["tail_end"] = other["tail_end"], other["tail_start"]
        return other
    for key in ("normal", "incidence", "zero_lift", "moment"):
        other[key] = -other[key]
    return other


_JOINED = (
    "start", "end", "control", "force", "normal", "incidence", "tail_start", "tail_end", "middle", "chord", "width",
    "mean_chord", "sweep", "zero_lift", "moment",
)  # fmt: skip


def _upright(sheet: Sheet) -> bool:
    """True for a sheet that stands rather than lies (a fin)."""
    step = np.abs(sheet.leading[-1] - sheet.leading[0])
    return bool(step[2] > step[1])


def _twins(
    sheets: Sequence[Sheet],
    labels: Sequence[tuple[int, bool]],
    firsts: Whole,
    parts: Sequence[Mapping[str, Array]],
) -> tuple[Whole, Array, bool]:
    """Mirror image of each panel, whether its bound vortex turns round in the mirror, and whether all have one."""
    twin, turned, even = [], [], True
    for place, (number, left) in enumerate(labels):
        sheet, (start, end) = sheets[number], firsts[place : place + 2]
        other = firsts[place - 1 if left else place + 1] if sheet.mirrored else start
        twin.append(np.arange(end - start) + other)
        turned.append(np.full(end - start, 1.0 if sheet.mirrored and not _upright(sheet) else -1.0))
        even = even and (sheet.mirrored or bool(np.all(np.abs(parts[place]["start"][:, 1]) < 1e-12)))
    return np.concatenate(twin).astype(np.int64), np.concatenate(turned), even


def _side_by_side(parts: Sequence[tuple[Mapping[str, Array], int]]) -> dict[str, Array]:
    """Columns of all sheets by name; nothing where a sheet does not have one. ``parts``: (columns, length)."""
    keys = sorted({key for one, _ in parts for key in one})
    return {key: np.concatenate([one.get(key, np.zeros(size)) for one, size in parts]) for key in keys}


def build_grid(sheets: Sequence[Sheet]) -> Grid:
    """Lay panels on all sheets, right halves first and each left half after its right one.

    A mirrored sheet keeps left and right panels in the same order. Raises ValueError for a sheet without extent.
    """
    parts: list[dict[str, Array]] = []
    flaps: list[dict[str, Array]] = []
    covers: list[dict[str, Array]] = []
    labels: list[tuple[int, bool]] = []
    for number, sheet in enumerate(sheets):
        half = _half(sheet)
        halves = [half, _mirror(half, _upright(sheet))] if sheet.mirrored else [half]
        for side, one in enumerate(halves):
            parts.append(one)
            labels.append((number, side == 1))
            columns = {
                flap.name: one["flap " + flap.name] * (flap.left if side else 1.0) for flap in sheet.flaps
            }
            columns["incidence " + sheet.name] = np.ones(one["incidence"].size)
            flaps.append(columns)
            covers.append(
                {flap.name: one["cover " + flap.name] * (flap.left if side else 1.0) for flap in sheet.flaps}
            )
    strips = [part["width"].size for part in parts]
    sizes = [part["incidence"].size for part in parts]
    rows = np.repeat([size // n for size, n in zip(sizes, strips, strict=True)], strips)
    firsts = np.cumsum([0, *sizes])
    twin, turned, even = _twins(sheets, labels, firsts, parts)
    return Grid(
        names=tuple(sheet.name for sheet in sheets),
        strip=np.repeat(np.arange(rows.size), rows).astype(np.int64),
        columns=_side_by_side(list(zip(flaps, sizes, strict=True))),
        twin=twin,
        turned=turned,
        even=even,
        sheet=np.repeat([label[0] for label in labels], strips).astype(np.int64),
        left=np.repeat([label[1] for label in labels], strips).astype(bool),
        cover=_side_by_side(list(zip(covers, strips, strict=True))),
        **{key: np.concatenate([part[key] for part in parts]) for key in _JOINED},
    )
