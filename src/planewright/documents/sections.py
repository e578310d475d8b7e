"""One section's polars as a document and a picture, for anyone, without a project."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from planewright import __version__
from planewright.analysis.section.bands import moment_band
from planewright.analysis.section.driver import Progress, nothing
from planewright.analysis.section.making import ANGLES_DEG, Wanted
from planewright.analysis.section.outlines import Outline
from planewright.analysis.section.polars import BRIDGED, SectionPolars
from planewright.documents.polars import polars_of
from planewright.draw.charts import chart_scene
from planewright.draw.scene import Scene, moved, polygon
from planewright.draw.svg import svg
from planewright.study.chart import Axis, Chart, Series

Array = npt.NDArray[np.float64]

FORMAT = "planewright/section/1"
COMPARED = (6e4, 5e5)
"""Reynolds numbers at which the method was compared with measurement."""
SURE = 1.96
WIDTH, HEIGHT, ROOM = 150.0, 92.0, 6.0


@dataclass(frozen=True)
class Asked:
    """What is asked of a section: Reynolds numbers (rising), angles in degrees (rising), trips (upper, lower)."""

    outline: Outline
    reynolds: tuple[float, ...]
    angles_deg: tuple[float, ...]
    trip: tuple[float, float]

    @property
    def wanted(self) -> Wanted:
        """What is solved: the asked angles, and every degree between them and 2, along which the solver walks."""
        low, high = min(*self.angles_deg, 2.0), max(*self.angles_deg, 2.0)
        walk = [one for one in ANGLES_DEG if low <= one <= high]
        walk += [
            float(one) for one in range(int(np.floor(low)), int(np.ceil(high)) + 1) if low <= one <= high
        ]
        grid = tuple(sorted({round(one, 6) for one in (*walk, *self.angles_deg, 2.0)}))
        return Wanted(self.outline, self.reynolds, grid, trip=self.trip)


@dataclass(frozen=True)
class Report:
    """Polars and what was asked of them."""

    asked: Asked
    polars: SectionPolars

    @property
    def columns(self) -> list[int]:
        """Columns of the asked angles."""
        grid = np.rad2deg(self.polars.alpha)
        return [int(np.argmin(np.abs(grid - one))) for one in self.asked.angles_deg]

    def points(self) -> list[dict[str, Any]]:
        """Every asked point, Reynolds number by Reynolds number; bands are 95 %."""
        one, found = self.polars, []
        for row, re in enumerate(one.reynolds):
            lift = one.lift_band_at(one.alpha, re)
            drag = one.drag_band_at(one.alpha, re)
            cm_sd = float(moment_band(np.array(re)).sd)
            for k in self.columns:
                cl, cd, cm = (float(t[row, k]) for t in (one.lift, one.drag, one.moment))
                middle, wide = cl + float(lift.shift[k]), SURE * float(lift.sd[k])
                log, span = np.log(cd) + float(drag.shift[k]), SURE * float(drag.sd[k])
                found.append(
                    {
                        "re": float(re),
                        "alpha": float(one.alpha[k]),
                        "cl": cl,
                        "cd": cd,
                        "cm": cm,
                        "state": "bridged" if one.state[row, k] == BRIDGED else "converged",
                        "cl_band": [middle - wide, middle + wide],
                        "cd_band": [float(np.exp(log - span)), float(np.exp(log + span))],
                        "cm_band": [cm - SURE * cm_sd, cm + SURE * cm_sd],
                        "transition": [float(v) for v in one.transition[row, k]]
                        if one.transition is not None
                        else None,
                    }
                )
        return found

    def summary(self) -> list[dict[str, float | bool]]:
        """For every Reynolds number: greatest lift and its angle, angle of no lift, least drag."""
        one = self.polars
        return [
            {
                "re": float(re),
                "cl_max": float(one.maximum(np.array(re))),
                "alpha_cl_max": float(one.stall_angle(np.array(re))),
                "peak_inside": bool(one.tops[row] < one.alpha.size - 1),
                "alpha_no_lift": float(one.alpha_zero_lift(np.array(re))),
                "cd_least": float(one.drag[row].min()),
            }
            for row, re in enumerate(one.reynolds)
        ]

    def says(self) -> list[str]:
        """What a reader has to know beside the numbers."""
        bridged = sum(one["state"] == "bridged" for one in self.points())
        total = len(self.asked.reynolds) * len(self.asked.angles_deg)
        words = [
            f"{total - bridged} of {total} points converged"
            + (
                f"; {bridged} are bridged between solved neighbours, their bands doubled." if bridged else "."
            ),
            "Bands are 95 %: this method against four measured sections, one tunnel against another. A built section "
            "differs from its drawing; that is not in them.",
            "Stall comes 2 to 4 degrees early, at the right lift; recovery may need several degrees less.",
        ]
        off = [re for re in self.asked.reynolds if not COMPARED[0] * 0.98 <= re <= COMPARED[1] * 1.02]
        if off:
            words.append(
                "Outside what was compared with measurement (Re 60 000 to 500 000): "
                + ", ".join(f"{re:.0f}" for re in off)
                + "."
            )
        if self.asked.outline.thickness < 0.015:
            words.append(
                "Thinner than 1.5 % of the chord: outside what was compared; take the 2 % plate instead."
            )
        return words

    def as_dict(self) -> dict[str, Any]:
        """The JSON document; SI units, angles in rad."""
        return {
            "format": FORMAT,
            "version": __version__,
            "section": self.polars.name,
            "thickness": self.polars.thickness,
            "outline": self.asked.outline.digest,
            "trip": [None if one > 1 else one for one in self.asked.trip],
            "constants": asdict(self.asked.wanted.constants),
            "panels": self.asked.wanted.panels,
            "points": self.points(),
            "summary": self.summary(),
            "says": self.says(),
        }


def report(asked: Asked, folder: Path | None = None, progress: Progress = nothing) -> Report:
    """Solve, or read what is kept."""
    return Report(asked, polars_of([asked.wanted], folder, progress)[0])


# the picture -------------------------------------------------------------------------------------------------------


def charts(one: Report) -> tuple[Chart, Chart]:
    """Lift against angle and drag against lift, at most four Reynolds numbers, with bands."""
    some = np.unique(np.linspace(0, one.polars.reynolds.size - 1, 4).round().astype(int))
    lift = Chart(
        id="section lift",
        title=f"{one.polars.name}: lift by angle",
        x=Axis(words="angle", unit="degrees"),
        y=Axis(words="lift coefficient", unit=""),
        series=tuple(_lift_series(one, int(row)) for row in some),
    )
    drag = Chart(
        id="section drag",
        title=f"{one.polars.name}: drag by lift",
        x=Axis(words="lift coefficient", unit=""),
        y=Axis(words="drag coefficient", unit="", zero=True),
        series=tuple(_drag_series(one, int(row)) for row in some),
        notes=(f"{one.polars.name}. Lines: worked out, with their 95 % band.",),
    )
    return lift, drag


def words_of(reynolds: float) -> str:
    """A Reynolds number as shown."""
    return f"Re {reynolds:,.0f}".replace(",", " ")


def _lift_series(one: Report, row: int) -> Series:
    polars, at = one.polars, one.columns
    re = polars.reynolds[row]
    band = polars.lift_band_at(polars.alpha[at], re)
    cl = polars.lift[row, at]
    low, high = (cl + band.shift + way * SURE * band.sd for way in (-1, 1))
    deg = np.rad2deg(polars.alpha[at])
    return Series(words=words_of(re), x=tuple(deg), y=tuple(cl), low=tuple(low), high=tuple(high))


def _drag_series(one: Report, row: int) -> Series:
    """The attached branch only: past greatest lift the same lift comes twice."""
    polars = one.polars
    at = [k for k in one.columns if polars.bottoms[row] <= k <= polars.tops[row]] or one.columns
    re = polars.reynolds[row]
    band = polars.drag_band_at(polars.alpha[at], re)
    cd, cl = polars.drag[row, at], polars.lift[row, at]
    low, high = (cd * np.exp(band.shift + way * SURE * band.sd) for way in (-1, 1))
    return Series(words=words_of(re), x=tuple(cl), y=tuple(cd), low=tuple(low), high=tuple(high))


def picture(one: Report) -> str:
    """SVG: the outline above, lift and drag under it."""
    lift, drag = (chart_scene(chart, WIDTH, HEIGHT) for chart in charts(one))
    points = one.asked.outline.nodes().points * 0.8 * WIDTH
    height = float(np.ptp(points[:, 1])) + 8.0
    bottom = lift.height + drag.height + 2 * ROOM
    shape = [(float(x) + 0.1 * WIDTH, float(y - points[:, 1].min()) + bottom + 4.0) for x, y in points]
    scene = Scene(WIDTH, bottom + height, (), f"{one.polars.name}: outline, lift and drag")
    return svg(
        scene.plus(
            polygon(shape, "wide"), moved(lift.shapes, 0.0, drag.height + ROOM), moved(drag.shapes, 0.0, 0.0)
        ),
        "#ffffff",
    )
