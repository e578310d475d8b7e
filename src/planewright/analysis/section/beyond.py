"""Bridges over points that did not converge, drag past the stall, and figures all the way round to +-180 degrees.

Past the stall a section is taken for a separated plate with the normal force of S. F. Hoerner, Fluid-Dynamic Drag,
1965: cn = 1/(.222 + .283/sin alpha) (constants from memory; 1.98 at 90 degrees). Computed lift at 18 to 30 degrees
agrees with it; drag from the wake does not, since the wake is then far from thin. The centre of pressure (.40 of the
chord at 15 degrees, .50 at 90) is from memory, +-.05. Nothing was measured in reverse flow: +-30 %.
"""

from __future__ import annotations

import dataclasses

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.polars import BRIDGED, EXTENDED, SectionPolars

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

BLEND = np.deg2rad(8.0)
REVERSE = 0.8
"""Lift in reverse flow over that of the plate, near 180 degrees (judgement)."""
_COARSE = np.deg2rad(np.concatenate((np.arange(-180.0, -30.0, 5.0), np.arange(30.0, 180.1, 5.0))))


def normal_force(alpha: Array) -> Array:
    """cn of a separated plate; odd in the angle, 0 at 0 and 180 degrees."""
    size = np.abs(np.sin(alpha))
    return np.sign(np.sin(alpha)) * size / (0.222 * size + 0.283)


def plate_figures(alpha: Array, least_drag: Array | float) -> tuple[Array, Array, Array]:
    """cl, cd and cm about the quarter chord of a separated plate at any angle within +-180 degrees."""
    alpha = np.asarray(alpha, float)
    cn = normal_force(alpha)
    folded = np.where(np.abs(alpha) > np.pi / 2, np.pi - np.abs(alpha), np.abs(alpha))
    back = np.abs(alpha) > np.pi / 2
    centre = 0.40 + 0.10 * np.clip((folded - np.deg2rad(15)) / np.deg2rad(75), 0, 1)
    centre = np.where(back, 1 - centre, centre)
    weak = np.where(back & (folded < np.deg2rad(20)), REVERSE, 1.0)
    return weak * cn * np.cos(alpha), np.abs(cn * np.sin(alpha)) + least_drag, -cn * (centre - 0.25)


def _smooth(part: Array) -> Array:
    part = np.clip(part, 0, 1)
    return np.asarray(part**2 * (3 - 2 * part))


def bridged(table: Array, solved: Flags) -> Array:
    """A table (R, A) with its missing points filled.

    Between solved angles of a row linearly; beyond its last solved angle by the course of the nearest row that is
    solved there, moved to meet the row; where no row is, the last value is held.
    """
    found = np.where(solved, table, np.nan)
    column = np.arange(table.shape[1])
    for row in range(len(found)):
        good = np.flatnonzero(solved[row])
        if not good.size:
            continue
        inner = (column >= good[0]) & (column <= good[-1])
        found[row, inner] = np.interp(column[inner], good, table[row, good])
    outer = np.isnan(found)
    for row, at in zip(*np.nonzero(outer), strict=True):
        found[row, at] = _from_other_rows(table, solved, int(row), int(at))
    return found


def _from_other_rows(table: Array, solved: Flags, row: int, at: int) -> float:
    good = np.flatnonzero(solved[row])
    if not good.size:
        rows = np.flatnonzero(solved[:, at])
        return float(table[rows[np.argmin(np.abs(rows - row))], at]) if rows.size else 0.0
    end = int(good[np.argmin(np.abs(good - at))])
    rows = np.flatnonzero(solved[:, at] & solved[:, end])
    if not rows.size:
        return float(table[row, end])
    other = int(rows[np.argmin(np.abs(rows - row))])
    return float(table[row, end] + table[other, at] - table[other, end])


def drag_past_stall(polars: SectionPolars) -> SectionPolars:
    """With the separated plate's drag where, past the greatest lift up or down, it is above that of the wake."""
    drag = polars.drag.copy()
    for row in range(polars.reynolds.size):
        low, high = polars.alpha[polars.bottoms[row]], polars.alpha[polars.tops[row]]
        past = np.maximum(polars.alpha - high, low - polars.alpha)
        cn = polars.lift[row] / np.cos(polars.alpha)
        full = np.abs(cn * np.sin(polars.alpha)) + drag[row].min()
        drag[row] = np.where(past > 0, np.maximum(drag[row], _smooth(past / BLEND) * full), drag[row])
    return dataclasses.replace(polars, drag=drag)


def extended(polars: SectionPolars) -> SectionPolars:
    """The same polars on a grid to +-180 degrees; points that lean on the plate carry the state EXTENDED.

    The blend begins 8 degrees past the greatest lift, or at the last angle that was asked, and takes 8 degrees.
    """
    inner = polars.alpha
    step = np.deg2rad(2.0)
    fill = np.concatenate(
        (
            np.arange(np.deg2rad(-30.0), inner[0] - 1e-6, step),
            np.arange(inner[-1] + step, np.deg2rad(30.0), step),
        )
    )
    alpha = np.unique(np.round(np.concatenate((_COARSE, fill, inner)), 9))
    shape = (polars.reynolds.size, alpha.size)
    lift, drag, moment = np.empty(shape), np.empty(shape), np.empty(shape)
    state = np.empty(shape, dtype=np.int8)
    held = np.clip(alpha, inner[0], inner[-1])
    for row, re in enumerate(polars.reynolds):
        high = min(polars.alpha[polars.tops[row]] + BLEND, inner[-1])
        low = max(polars.alpha[polars.bottoms[row]] - BLEND, inner[0])
        part = _smooth(np.maximum(alpha - high, low - alpha) / BLEND)
        plate = plate_figures(alpha, float(polars.drag[row].min()))
        own = (polars.lift_at(held, re), polars.drag_at(held, re), polars.moment_at(held, re))
        for table, mine, theirs in zip((lift, drag, moment), own, plate, strict=True):
            table[row] = (1 - part) * mine + part * theirs
        nearest = np.argmin(np.abs(inner[:, None] - alpha), axis=0)
        state[row] = np.where(part > 0, EXTENDED, polars.state[row, nearest])
    return dataclasses.replace(polars, alpha=alpha, lift=lift, drag=drag, moment=moment, state=state)


def states(solved: Flags) -> npt.NDArray[np.int8]:
    """CONVERGED or BRIDGED."""
    return np.where(solved, 0, BRIDGED).astype(np.int8)
