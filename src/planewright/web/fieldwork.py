"""The field as the page shows it: what was described, and what follows for the planned flight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import numpy as np
import numpy.typing as npt

from planewright.errors import PlanewrightError
from planewright.site.model import Site
from planewright.study import Study
from planewright.study.ground import field_words
from planewright.web.api import PathRecord, Point, SiteRecord, StandRecord, TreesRecord

Array = npt.NDArray[np.float64]


def points(line: Sequence[Sequence[float]] | Array) -> tuple[Point, ...]:
    """A line as pairs."""
    return tuple((float(one[0]), float(one[1])) for one in line)


def path_record(study: Study) -> PathRecord | None:
    """The planned figure with both edges of its band; None without one or when it cannot be worked out."""
    site, plan = study.site, study.plan
    if site is None or site.pattern is None or plan is None or not plan.paths:
        return None
    middle = plan.paths[0]
    low, high = (plan.paths[1], plan.paths[2]) if len(plan.paths) == 3 else (middle, middle)
    radius = study.figures.get("turn_radius")
    return PathRecord(
        kind=site.pattern.kind,
        centre=site.pattern.centre,
        height=site.pattern.height,
        radius=radius.value if radius else 0.0,
        line=points(middle),
        inner=points(low),
        outer=points(high),
    )


def take_off(study: Study) -> tuple[float, float, float] | None:
    """Low, middle, high of the take-off run, m."""
    run = study.figures.get("takeoff_run")
    if run is None or run.low is None or run.high is None:
        return None
    return run.low, run.value, run.high


def site_record(site: Site, study: Study | None) -> SiteRecord:
    """The field; without a study (not worked out yet) only what was described."""
    path = run = None
    says: tuple[str, ...] = ()
    if study is not None:
        try:
            path, run = path_record(study), take_off(study)
            says = field_words(site, study.outer[0])
        except PlanewrightError:
            path = run = None
    return SiteRecord(
        name=site.name,
        surface=site.surface,
        outline=site.outline,
        runway=(site.runway.start, site.runway.end, site.runway.width) if site.runway else None,
        trees=tuple(
            TreesRecord(
                name=one.name, points=one.points, closed=one.closed, height=one.height, leaves=one.leaves
            )
            for one in site.trees
        ),
        stands=tuple(StandRecord.model_validate(asdict(one)) for one in site.stands),
        x_bearing=site.x_bearing,
        take_off_from=site.take_off_from,
        take_off_towards=site.take_off_towards,
        margins=asdict(site.margins),
        path=path,
        take_off=run,
        says=says,
    )
