"""Polars of outlines: the one door to the solver. Nothing here opens a file or reads a clock."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.beyond import bridged, drag_past_stall, states
from planewright.analysis.section.closures import Constants
from planewright.analysis.section.driver import Progress, Solved, nothing, solve
from planewright.analysis.section.nodes import PANELS
from planewright.analysis.section.outlines import Outline
from planewright.analysis.section.panels import potential
from planewright.analysis.section.polars import SectionPolars
from planewright.analysis.section.stack import FREE, Bodies

Array = npt.NDArray[np.float64]

METHOD = 1
"""Number of the method: raised when its answers move, so that kept polars are made anew."""
REYNOLDS = (6e4, 8e4, 1.1e5, 1.6e5, 2.3e5, 3.4e5, 5e5, 7.5e5)
"""Reynolds numbers of a set."""
ANGLES_DEG = tuple(float(one) for one in range(-10, 21))
"""Angles of a set, degrees."""


@dataclass(frozen=True)
class Wanted:
    """What a set of polars is asked for; its digest names the answer.

    ``reynolds`` rising; ``angles_deg`` rising, 2 degrees within; ``trip`` chordwise places of forced transition on the
    upper and lower side (2: none); ``flap`` (chord part, rad) is a note: the outline carries the deflection.
    """

    outline: Outline
    reynolds: tuple[float, ...] = REYNOLDS
    angles_deg: tuple[float, ...] = ANGLES_DEG
    constants: Constants = Constants()  # noqa: RUF009
    trip: tuple[float, float] = (FREE, FREE)
    panels: int = PANELS
    flap: tuple[float, float] = (0.0, 0.0)

    @property
    def digest(self) -> str:
        """Content hash of everything that moves the answer."""
        whole = [
            METHOD,
            self.outline.digest,
            self.reynolds,
            self.angles_deg,
            asdict(self.constants),
            self.trip,
            self.panels,
        ]
        return hashlib.sha256(json.dumps(whole).encode()).hexdigest()

    @property
    def count(self) -> int:
        """Points to solve."""
        return len(self.reynolds) * len(self.solved_angles)

    @property
    def mirrored(self) -> bool:
        """True when only angles from 0 up are solved and the others are their mirror."""
        even = np.allclose(np.sort(-np.array(self.angles_deg)), self.angles_deg)
        up = max(self.angles_deg) >= -min(self.angles_deg)
        return self.outline.symmetric and self.trip[0] == self.trip[1] and (even or up)

    @property
    def solved_angles(self) -> tuple[float, ...]:
        """Angles that are solved, degrees."""
        return tuple(a for a in self.angles_deg if a >= 0) if self.mirrored else self.angles_deg


def make(
    wanted: Sequence[Wanted], progress: Progress = nothing, watch: Callable[[], None] = nothing
) -> tuple[SectionPolars, ...]:
    """Solve sets of polars.

    Arguments:
        wanted: the sets; those alike in angles, Reynolds numbers, constants, trips and panels share one stack.
        progress: told (points solved, points asked in all). watch: called every iteration; may raise to stop.
    Returns: one SectionPolars for each, in order.
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    for k, one in enumerate(wanted):
        like = (one.reynolds, one.solved_angles, one.constants, one.trip, one.panels)
        groups.setdefault(like, []).append(k)
    found: dict[int, SectionPolars] = {}
    total, before = sum(one.count for one in wanted), 0
    for places in groups.values():
        some = [wanted[k] for k in places]
        bodies = Bodies(tuple(potential(one.outline.nodes(one.panels)) for one in some))
        first, base = some[0], before
        solved = solve(
            bodies,
            first.reynolds,
            np.deg2rad(first.solved_angles),
            first.constants,
            first.trip,
            lambda done, _, base=base: progress(base + done, total),  # type: ignore[misc]
            watch,
        )
        before += sum(one.count for one in some)
        found |= {
            k: finished(one, solved, row) for row, (k, one) in enumerate(zip(places, some, strict=True))
        }
    progress(total, total)
    return tuple(found[k] for k in range(len(wanted)))


def finished(wanted: Wanted, solved: Solved, row: int) -> SectionPolars:
    """One section's polars: bridged, mirrored where it is symmetric, with drag past the stall."""
    good = solved.solved[row]
    tables = [bridged(one[row], good) for one in (solved.lift, solved.drag, solved.moment)]
    edge = [bridged(solved.transition[row, ..., k], good) for k in (0, 1)]
    state = states(good)
    if wanted.mirrored:
        tables, edge, state = _mirrored(wanted, solved.alpha, tables, edge, state)
    alpha = np.deg2rad(wanted.angles_deg)
    polars = SectionPolars(
        wanted.outline.name,
        wanted.digest,
        wanted.outline.thickness,
        alpha,
        np.array(wanted.reynolds),
        tables[0],
        tables[1],
        tables[2],
        state,
        wanted.flap,
        np.stack(edge, axis=-1),
    )
    return drag_past_stall(polars)


def _mirrored(
    wanted: Wanted, alpha: Array, tables: list[Array], edge: list[Array], state: npt.NDArray[np.int8]
) -> tuple[list[Array], list[Array], npt.NDArray[np.int8]]:
    """From angles 0 and up to all asked: lift and moment are odd, drag even, sides change places."""
    asked = np.deg2rad(wanted.angles_deg)
    at = np.argmin(np.abs(alpha[:, None] - np.abs(asked)), axis=0)
    sign = np.where(asked < 0, -1.0, np.where(asked > 0, 1.0, 0.0))
    lift, drag, moment = (one[:, at] for one in tables)
    upper, lower = (one[:, at] for one in edge)
    below = asked < 0
    turned = [np.where(below, lower, upper), np.where(below, upper, lower)]
    return [lift * sign, drag, moment * sign], turned, state[:, at]
