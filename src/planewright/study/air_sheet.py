"""How the wing carries its load and how it stalls, worked out at the medians: for page, book and ``--json``.

The stall is followed by the lattice closed with section curves, trimmed about the balance point at every angle. It
takes longer than the figures, so it is a sheet of its own. Greatest lift and its angle are numbers; what comes after
them is a shape.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel
from planewright.analysis.air.stall import StallReport, Sweep
from planewright.analysis.air.stalling import stall_report
from planewright.analysis.model import MassState, States
from planewright.errors import NotConverged, OutOfRange
from planewright.findings.model import Record
from planewright.knowledge.draws import at_medians
from planewright.study.chart import Axis, Chart, Series
from planewright.study.study import Study

Array = npt.NDArray[np.float64]

STAGES = 5


class StripRow(Record):
    """One strip of the right half wing. ``out``, ``behind`` m: its quarter chord; ``chord``, ``width`` m; ``level``,
    ``slow`` lift coefficient in level flight and at greatest lift, ``most`` its section's greatest; ``begins`` rad:
    angle of attack of the body at which it passes that (None: it does not within the sweep)."""

    out: float
    behind: float
    chord: float
    width: float
    level: float
    slow: float
    most: float
    begins: float | None


class AirSheet(Record):
    """The stall and the load of one aeroplane at the medians.

    ``lift`` greatest CL, trimmed, ``band`` half width of its 95 % band by method and section curves, ``wing_lift`` of
    the wing; ``alpha``, ``elevator`` rad there; ``begins`` rad, ``surface``, ``part``: where and when the first strip
    passes its section's greatest lift; ``aileron_margin`` rad; ``autorotates`` rad: from here a dropped wing keeps
    dropping; ``drop``: rolling moment of a quarter degree between the halves over that of full aileron; ``method`` of
    the section curves; ``outside``: surfaces beyond their curves; ``failed``: angles that did not converge; ``says``:
    what this means, in sentences; ``strips``; ``charts``."""

    lift: float
    band: float
    wing_lift: float
    alpha: float
    elevator: float
    begins: float | None
    surface: str | None
    part: float | None
    aileron_margin: float | None
    autorotates: float | None
    drop: float | None
    method: str
    outside: tuple[str, ...]
    failed: int
    says: tuple[str, ...]
    strips: tuple[StripRow, ...]
    charts: tuple[Chart, ...]


def air_sheet(study: Study) -> AirSheet | None:
    """The sheet of a study; None where there is no wing or no stall is found.

    Method: :mod:`planewright.analysis.air.stalling` at the medians, Reynolds numbers at the stall speed.
    """
    air = study.models.air
    if air is None or not study.models.mass.items:
        return None
    middle = at_medians(study.knowledge)
    mass = study.models.mass.evaluate(middle)
    density = study.models.density
    try:
        speed = float(air.stall(middle, mass, density).speed[0])
        found, report = stall_report(
            air,
            speed,
            density=density,
            factor=float(middle.factor("sec.clmax")[0]),
            effect=float(middle.factor("ctl.effect")[0]),
            trim_x=float(mass.cg[0][0]),
        )
    except (NotConverged, OutOfRange):
        return None
    level = level_lift(study, air, middle, mass)
    strips = strip_rows(air, found, level)
    return AirSheet(
        lift=report.lift,
        band=report.band,
        wing_lift=report.wing_lift,
        alpha=report.alpha,
        elevator=report.elevator,
        begins=report.begins,
        surface=report.surface,
        part=report.part,
        aileron_margin=report.aileron_margin,
        autorotates=report.autorotates,
        drop=report.drop,
        method=report.method,
        outside=report.outside,
        failed=report.failed,
        says=tuple(_says(found, report)),
        strips=strips,
        charts=(
            span_loading(strips),
            drag_polar(study, air, middle, mass, found),
            stall_from_above(air, found, strips, report),
        ),
    )


def level_lift(study: Study, air: AirModel, middle: States, mass: MassState) -> Array:
    """Lift coefficient of each right-half strip in level flight at the planned speed, (S,)."""
    speed = float(np.nanmedian(study.outer[0]["level_speed"]))
    trim = air.trim(middle, mass, speed, study.models.density)
    return air.strip_lift(middle, trim.alpha, trim.elevator)[:, 0]


def _right(found: Sweep) -> npt.NDArray[np.int64]:
    """Strips of the right half of the reference wing, root to tip, within the sweep's own."""
    made = found.setting.made
    return np.flatnonzero((made.sheet == 0) & ~made.solution.grid.left[made.strips])


def strip_rows(air: AirModel, found: Sweep, level: Array) -> tuple[StripRow, ...]:
    """The strips of the right half wing."""
    made, curves, rows = found.setting.made, found.setting.curves, []
    wing = np.flatnonzero(air.strips.sheet == 0)
    for k, one in zip(_right(found), wing, strict=True):
        over = np.flatnonzero(found.over[:, k] > 0)
        begins = float(found.alpha[over[0]]) if over.size else None
        rows.append(
            StripRow(
                out=float(made.place[k, 1]),
                behind=float(made.place[k, 0]),
                chord=float(made.chord[k]),
                width=float(made.width[k]),
                level=float(level[one]),
                slow=float(found.local[found.top, k]),
                most=float(made.cosine[k] ** 2 * curves.top[k]),
                begins=begins,
            )
        )
    return tuple(rows)


def _says(found: Sweep, report: StallReport) -> Iterator[str]:
    """What the stall means, in sentences."""
    if report.surface is not None and report.part is not None:
        place = (
            "the centre"
            if report.part < 0.25
            else "the tip"
            if report.part > 0.8
            else "the middle of each half"
        )
        yield f"The {report.surface} gives way first at {place} ({report.part:.0%} of the half span)."
    if report.autorotates is not None:
        gap = np.rad2deg(report.autorotates - report.alpha)
        where = f"{gap:.1f} degrees past" if gap > 0.05 else f"{-gap:.1f} degrees before"
        yield f"A wing that drops keeps dropping from {where} the greatest lift on."
    if report.aileron_margin is not None and report.aileron_margin < 0:
        yield "In front of the ailerons the wing passes its greatest lift first: they hold little there."
    if report.outside:
        names = ", ".join(report.outside)
        yield f"Beyond what its section's curve was measured or worked out for: {names}. Its lift there is a guess."
    if report.failed:
        yield f"{report.failed} angles of attack did not converge and are left out."
    yield "Lift past its greatest is a shape, not a number."


def _degrees(values: Array) -> tuple[float, ...]:
    return tuple(float(one) for one in np.rad2deg(values))


def _plain(values: Array) -> tuple[float, ...]:
    return tuple(float(one) for one in values)


def span_loading(strips: tuple[StripRow, ...]) -> Chart:
    """Lift coefficient along the half wing against the greatest that each section can give."""
    out = tuple(one.out for one in strips)
    return Chart(
        id="span_loading",
        title="Lift along the half wing, and the most that each section gives",
        x=Axis(words="out from the middle", unit="m", low=0.0, zero=True),
        y=Axis(words="lift coefficient", unit="1", low=0.0, zero=True),
        series=(
            Series(words="at the slowest speed", x=out, y=tuple(one.slow for one in strips)),
            Series(words="level flight", x=out, y=tuple(one.level for one in strips), look="dashed"),
            Series(
                words="most its section gives", x=out, y=tuple(one.most for one in strips), look="squares"
            ),
        ),
        notes=(
            "Where the line touches the squares the wing gives way first. Each on the strip's own chord.",
        ),
    )


def drag_polar(study: Study, air: AirModel, middle: States, mass: MassState, found: Sweep) -> Chart:
    """Lift against drag of the whole aeroplane, trimmed: from the sum of drags, and through the section curves."""
    density, speed = study.models.density, float(np.nanmedian(study.outer[0]["level_speed"]))
    lifts = np.linspace(0.1, 0.9 * float(found.lift[found.top]), 13)
    trims = [air.trim_at(middle, mass.cg[0], np.array([one]), np.array([speed]), density) for one in lifts]
    drags = [air.drag(middle, one) for one in trims]
    factor = float(middle.factor("drag.cd0")[0])
    rest = sum(float(drags[6].parts[name][0]) for name in drags[6].parts if name not in _STRIPS)
    use = (found.lift > 0.05) & (found.alpha <= found.alpha[found.top])
    profile = found.drag[use] - found.induced[use]
    return Chart(
        id="drag_polar",
        title="Lift against drag, trimmed",
        x=Axis(words="drag coefficient", unit="1", low=0.0, zero=True),
        y=Axis(words="lift coefficient", unit="1", low=0.0, zero=True),
        series=(
            Series(
                words="sum of drags", x=tuple(float(one.coefficient[0]) for one in drags), y=_plain(lifts)
            ),
            Series(
                words="through the section curves",
                x=_plain(found.induced[use] + factor * (profile + rest)),
                y=_plain(found.lift[use]),
                look="dashed",
            ),
        ),
        notes=(
            "Both with bodies, wheels, corners and tape; Reynolds numbers at the planned and at the slowest speed.",
        ),
    )


_STRIPS = ("wing", "tail", "induced", "tape, gaps, steps")


def stall_from_above(air: AirModel, found: Sweep, strips: tuple[StripRow, ...], report: StallReport) -> Chart:
    """The right half wing from above: which strip has passed its greatest lift by which angle."""
    wing = air.geometry.wing
    assert wing is not None
    lead = np.column_stack((wing.leading[:, 1], wing.leading[:, 0]))
    trail = np.column_stack((wing.leading[:, 1], wing.leading[:, 0] + wing.chord))
    edge = np.vstack((lead, trail[::-1], lead[:1]))
    last = np.rad2deg(float(found.alpha[-1]))
    begun = np.array([np.nan if one.begins is None else np.rad2deg(one.begins) for one in strips])
    first = float(np.nanmin(begun)) if np.isfinite(begun).any() else last
    series = [Series(words="right half wing", x=_plain(edge[:, 0]), y=_plain(edge[:, 1]), kind="drawn")]
    looks = ("squares", "dots", "out", "back", "aside")
    for stage, look in zip(np.linspace(first, max(last, first), STAGES), looks, strict=True):
        done = {word for one in series for word in one.notes}
        mine = [k for k, angle in enumerate(begun) if angle <= stage + 1e-9 and str(k) not in done]
        if mine:
            series.append(
                Series.model_validate(
                    {
                        "words": f"past its greatest lift by {stage:.1f} deg",
                        "x": tuple(strips[k].out for k in mine),
                        "y": tuple(strips[k].behind + 0.25 * strips[k].chord for k in mine),
                        "look": look,
                        "notes": tuple(str(k) for k in mine),
                    }
                )
            )
    return Chart(
        id="stall_from_above",
        title="Where the wing gives way, seen from above",
        x=Axis(words="out from the middle", unit="m", low=0.0, zero=True),
        y=Axis(words="behind the nose", unit="m"),
        series=tuple(series),
        notes=(
            f"Greatest lift at {np.rad2deg(report.alpha):.1f} deg of the body line, elevator"
            f" {abs(np.rad2deg(report.elevator)):.1f} deg {'up' if report.elevator < 0 else 'down'}."
            " What comes later is a shape, not a number.",
        ),
    )
