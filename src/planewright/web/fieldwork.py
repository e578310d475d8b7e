"""The field as the page shows it: what was described, and what follows for the planned flight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import numpy as np
import numpy.typing as npt

from planewright.analysis.field import FieldPlan, over_trees
from planewright.analysis.field import take_off as take_off_of
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


def way(vector: Array) -> Point | None:
    """A unit vector as a pair; None when there is none."""
    return (float(vector[0]), float(vector[1])) if len(vector) else None


def cones(plan: FieldPlan) -> tuple[tuple[str, Point, Point], ...]:
    """Letter and both places of each cone."""
    return tuple((letter, *points(both)[:2]) for letter, both in plan.cones)  # type: ignore[misc]


def ahead(site: Site, study: Study) -> tuple[str, float, float, float] | None:
    """What stands straight ahead and asks most: name, distance, height to gain, where the climb begins, m."""
    gates, gradient = study.plan.cones if study.plan else (), study.figures.get("climb_gradient")
    last = next((both.mean(axis=0) for letter, both in gates if letter == "B"), None)
    if last is None or gradient is None or gradient.value <= 0:
        return None
    begins = float(np.hypot(*(last - take_off_of(site).start)))
    met = [one for one in over_trees(site, gradient.value, begins) if one.ahead]
    worst = min(met, key=lambda one: float(one.spare[0]), default=None)
    return (worst.name, worst.available, worst.height, begins) if worst else None


def site_record(site: Site, study: Study | None) -> SiteRecord:
    """The field; without a study (not worked out yet) only what was described."""
    path = run = plan = stands_ahead = None
    says: tuple[str, ...] = ()
    if study is not None:
        try:
            path, run, plan = path_record(study), take_off(study), study.plan
            stands_ahead = ahead(site, study)
            says = field_words(site, study.outer[0])
        except PlanewrightError:
            path = run = plan = stands_ahead = None
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
        cones=cones(plan) if plan else (),
        people_line=points(plan.people_line) if plan else (),
        wind=way(plan.wind) if plan else None,
        sun=way(plan.sun) if plan else None,
        ahead=stands_ahead,
        says=says,
    )


FOLLOWING = ("path", "take_off", "cones", "people_line", "wind", "sun", "ahead", "says")


def described_now(site: Site, before: SiteRecord | None) -> SiteRecord:
    """The field as now described, with what followed for the flight before, until that is worked out anew."""
    fresh = site_record(site, None)
    if before is None:
        return fresh
    return fresh.model_copy(update={name: getattr(before, name) for name in FOLLOWING})
