"""The pictures of air and handling as data: the same in the book, on the page and in the sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from planewright.analysis import handling
from planewright.analysis.air.stall import Sweep
from planewright.analysis.atmosphere import GRAVITY
from planewright.analysis.model import MassState
from planewright.knowledge.draws import Draws, at_medians
from planewright.study.chart import Axis, Chart, Mark, Series
from planewright.study.charts import line, stick_of
from planewright.study.handle import thrust_slope
from planewright.study.handling_rows import TRIM_SHARES, TrimRow, middle
from planewright.study.numbers import Flown
from planewright.study.study import Study

Array = npt.NDArray[np.float64]

POINTS = 13
MARGINS = np.linspace(-0.06, 0.30, 19)
LOSING = 0.10
WORDS = {"gliding": "gliding", "level": "level flight", "full power": "full power"}


def handling_charts(
    study: Study, flown: Flown, trims: Sequence[TrimRow], stalled: Sweep | None
) -> tuple[Chart, ...]:
    """All pictures that this aeroplane allows."""
    return tuple(_charts(study, flown, trims, stalled))


def _charts(study: Study, flown: Flown, trims: Sequence[TrimRow], stalled: Sweep | None) -> Iterator[Chart]:
    yield span_loading(study, flown, stalled)
    yield drag_polar(study, flown)
    if study.models.air is not None and study.models.air.elevator:
        yield trim_curve(study, flown, trims, stalled)
    yield balance_window(study)
    yield from roots(study, flown)
    if stalled is not None:
        yield lift_curve(stalled)
        yield stall_from_above(study, stalled)


def plain(words: str, x: Array, y: Array, look: str = "line", **more: object) -> Series:
    """A line or points without a band."""
    return Series.model_validate(
        {"words": words, "x": tuple(map(float, x)), "y": tuple(map(float, y)), "look": look, **more}
    )


def wing_strips(study: Study) -> npt.NDArray[np.bool_]:
    """Strips of the right half of the reference wing."""
    assert study.models.air is not None
    return np.asarray(study.models.air.strips.sheet == 0)


def span_loading(study: Study, flown: Flown, stalled: Sweep | None) -> Chart:
    """Lift of each strip against what its section can give."""
    air, states = study.models.air, study.draws
    assert air is not None
    mine = wing_strips(study)
    out = air.strips.place[mine, 1]
    limit = air.section_maxima(states, flown.stall.speed, study.models.density)[mine]
    level = air.strip_lift(states, flown.trim.alpha, flown.trim.elevator)[mine]
    lines = [line("what each section can give", out, limit, "dashed"), line("planned speed", out, level)]
    if stalled is not None:
        wing = stalled.setting.made.sheet == 0
        places = stalled.setting.made.place[wing, 1]
        right = places > 0
        local = stalled.local[stalled.top][wing][right]
        lines.append(plain("slowest speed", places[right], local, kind="drawn"))
    return Chart(
        id="span_loading",
        title="Lift along the half wing against what each section can give",
        x=Axis(words="out from the middle", unit="m", low=0.0, zero=True),
        y=Axis(words="local lift coefficient", unit="", low=0.0, zero=True),
        series=tuple(lines),
        notes=("Where the lines come closest at the slowest speed, the wing lets go first.",),
    )


def drag_polar(study: Study, flown: Flown) -> Chart:
    """Drag coefficient against lift coefficient, and the part that lift does not cost."""
    air, states = study.models.air, study.draws
    assert air is not None
    top = 0.95 * middle(flown.stall.lift)
    lifts = np.linspace(0.0, top, POINTS)
    mass = flown.mass
    total, rest = [], []
    for cl in lifts:
        trim = air.trim_at(states, mass.cg[0], np.full(states.count, cl), flown.speed, study.models.density)
        found = air.drag(states, trim)
        total.append(found.coefficient)
        rest.append(found.coefficient - found.parts["induced"])
    here = float(np.nanmedian(flown.trim.lift))
    return Chart(
        id="drag_polar",
        title="Drag against lift",
        x=Axis(words="lift coefficient", unit="", low=0.0, zero=True),
        y=Axis(words="drag coefficient", unit="", low=0.0, zero=True),
        series=(
            line("all drag", lifts, np.array(total)),
            plain("without what lift costs", lifts, np.nanmedian(rest, axis=1), "dashed"),
        ),
        marks=(Mark(words="planned speed", x=here),),
        notes=("Trimmed, at the planned speed's Reynolds numbers.",),
    )


def trim_curve(study: Study, flown: Flown, trims: Sequence[TrimRow], stalled: Sweep | None) -> Chart:
    """Elevator over speed, level and at full power, and gliding down to the stall by the section curves."""
    assert study.models.air is not None
    up, down = (np.rad2deg(one) for one in study.models.air.elevator_limits)
    lines = []
    if stalled is not None:
        lines.append(gliding_to_stall(study, flown, stalled))
    for power, words in WORDS.items():
        rows = [one for one in trims if one.power == power]
        if not rows or (power == "gliding" and stalled is not None):
            continue
        ends = {}
        if power == "level":
            ends = {
                "low": tuple(float(np.rad2deg(one.elevator.low)) for one in rows),
                "high": tuple(float(np.rad2deg(one.elevator.high)) for one in rows),
            }
        x, y = np.array([(one.speed, np.rad2deg(one.elevator.value)) for one in rows]).T
        look = "line" if power == "level" else "dashed" if power == "full power" else "dots"
        lines.append(plain(words, x, y, look, **ends))
    return Chart(
        id="trim_curve",
        title="Elevator that trims, over speed",
        x=Axis(words="speed", unit="m/s"),
        y=Axis(words="elevator, down positive", unit="degrees", zero=True),
        series=tuple(lines),
        marks=(
            Mark(words="slowest", x=middle(flown.stall.speed)),
            Mark(words="planned speed", x=middle(flown.speed)),
        ),
        notes=(f"It can go {abs(up):.0f} degrees up and {down:.0f} down. {feel_words(trims)}",),
    )


def feel_words(trims: Sequence[TrimRow]) -> str:
    """Whether flying slower in level flight needs the elevator further up all the way, in words."""
    rows = sorted((one.speed, one.elevator.value) for one in trims if one.power == "level")
    steps = np.diff([elevator for _, elevator in rows])
    if steps.size and (steps > 0).all():
        return "Slower needs it further up at every speed: that is steady."
    if steps.size and (steps < 0).all():
        return "Slower needs it further down at every speed: it runs away from its speed."
    return "Slower needs it further up at some speeds and further down at others."


def gliding_to_stall(study: Study, flown: Flown, stalled: Sweep) -> Series:
    """Elevator of a glide at medians over the speed that each lift asks, from the stall to the fastest trim speed."""
    assert study.models.air is not None
    weight = (
        middle(flown.mass.mass) * GRAVITY / (0.5 * study.models.density * study.models.air.reference.area)
    )
    slow, fast = middle(flown.stall.speed), TRIM_SHARES[-1] * middle(flown.stall.speed)
    rows = slice(0, stalled.top + 1)
    lift, elevator = stalled.lift[rows], np.rad2deg(stalled.elevator[rows])
    speed = np.sqrt(weight / np.maximum(lift, 1e-3))
    there = (lift > 0) & (speed < fast) & (speed > 0.8 * slow)
    x, y = speed[there][::-1], elevator[there][::-1]
    return plain("gliding", x, y, "dots", notes=("gliding", *("",) * (len(x) - 1)))


def balance_window(study: Study) -> Chart:
    """Static margin over the place of the balance point, the limits as fences, the balance point as the stick."""
    air, found = study.models.air, study.outer[0]
    assert air is not None
    neutral, chord = found["neutral_point_x"], air.reference.chord
    aft = middle(found["cg_aft_limit_x"])
    marks = [Mark(words="aft limit", x=1e3 * aft, fence=True, bad="right")]
    start = middle(found["cg_x"]) - 0.1 * chord
    if "cg_fore_limit_x" in found:
        fore = middle(found["cg_fore_limit_x"])
        marks.insert(0, Mark(words="forward limit", x=1e3 * fore, fence=True, bad="left"))
        start = min(start, fore - 0.1 * chord)
    x = np.linspace(start, middle(neutral) + 0.1 * chord, POINTS)
    margin = (neutral[None, :] - x[:, None]) / chord
    return Chart(
        id="balance_window",
        title="Where the balance point may lie",
        x=Axis(words="behind the nose", unit="mm"),
        y=Axis(words="balance margin", unit="%"),
        series=(line("balance margin there", 1e3 * x, 100.0 * margin),),
        marks=tuple(marks),
        stick=stick_of(study, "cg_x", 1e-3),
        notes=(
            "The stick on the axis is the balance point. The fences stand at the middle of their own bands "
            "(the sheet gives the bands).",
        ),
    )


def roots(study: Study, flown: Flown) -> Iterator[Chart]:
    """Growth of the motions in pitch over the static margin, quick and slow, at medians."""
    models, one = study.models, at_medians(study.knowledge)
    air = models.air
    assert air is not None
    mass = models.mass.evaluate(one)
    neutral = float(air.neutral_point_x(one)[0])
    speed = np.full(1, middle(flown.speed))
    slope = np.full(1, middle(thrust_slope(models, study.draws, flown, study.outer[0])))
    rows = [
        _roots_at(study, one, _moved(mass, neutral - part * air.reference.chord), speed, slope)
        for part in MARGINS
    ]
    quick = np.array([(both[0].max(), both[0].min()) for both in rows])
    slow = np.array([(both[1].max(), both[1].min()) for both in rows])
    here = Mark(words="balance now", x=100.0 * middle(study.outer[0]["static_margin"]))
    for id, title, found in (
        ("roots_quick", "Quick pitching over the balance margin", quick),
        ("roots_slow", "Slow rise and fall over the balance margin", slow),
    ):
        yield Chart(
            id=id,
            title=title,
            x=Axis(words="balance margin", unit="%"),
            y=Axis(words="growth, below nought it dies out", unit="1/s", zero=True),
            series=(
                plain("slower part", 100 * MARGINS, found[:, 0], kind="drawn"),
                plain("faster part", 100 * MARGINS, found[:, 1], "dashed", kind="drawn"),
            ),
            marks=(here, Mark(words="least", x=5.0, fence=True, bad="left")),
            notes=("Real parts of the two roots; where the lines run as one it swings. At medians.",),
        )


def _moved(mass: MassState, x: float) -> MassState:
    return MassState(mass.mass, np.array([[x], *mass.cg[1:]]), mass.inertia)


def _roots_at(
    study: Study, states: Draws, mass: MassState, speed: Array, slope: Array
) -> tuple[Array, Array]:
    """Real parts of the quick and the slow roots, (2,) each, with the balance point as in ``mass``."""
    models = study.models
    air, base = models.air, models.prepared
    assert air is not None and base is not None
    trim = handling.level_trim(air, states, mass, speed, models.density)
    drag = air.drag(states, trim)
    d = handling.derivatives_at(base, states, mass, trim, drag.coefficient)
    push = handling.Push(drag.force, slope, handling.thrust_arm(study.plane, mass.cg))
    found = handling.pitch_modes(handling.pitch_terms(air, mass, d, push)).roots[0]
    return found[:2].real, found[2:].real


def lift_curve(found: Sweep) -> Chart:
    """Lift against angle through the stall; past the top a shape."""
    top = found.top
    degrees = np.rad2deg(found.alpha)
    lines = [plain("trimmed", degrees[: top + 1], found.lift[: top + 1])]
    if top + 1 < degrees.size:
        lines.append(plain("past it: a shape, no number", degrees[top:], found.lift[top:], "dashed"))
    return Chart(
        id="lift_curve",
        title="Lift against angle, through the stall",
        x=Axis(words="angle of the body", unit="degrees"),
        y=Axis(words="lift coefficient", unit="", zero=True),
        series=tuple(lines),
        notes=("At medians. Greatest lift and its angle are numbers; what comes after is a shape.",),
    )


def stall_from_above(study: Study, found: Sweep) -> Chart:
    """The wing from above at its greatest lift: strips that work, that are losing lift, and the first to let go."""
    wing = study.models.geometry.wing
    assert wing is not None
    made = found.setting.made
    mine = made.sheet == 0
    half = made.place[mine, 1] > 0
    place = 1e3 * made.place[mine][half]
    gone = found.gone[found.top][mine][half]
    first = int(np.argmax(found.over[found.top][mine][half]))
    losing = gone > LOSING
    losing[first] = False
    works = ~losing
    works[first] = False
    outline = np.vstack((wing.leading, wing.trailing[::-1], wing.leading[:1])) * 1e3
    groups = (
        ("works", works, "dots", ""),
        ("has lost more than a tenth", losing, "squares", ""),
        ("lets go first", np.arange(len(gone)) == first, "aside", "first"),
    )
    lines = [
        plain("" if side < 0 else "wing", side * outline[:, 1], outline[:, 0], kind="drawn")
        for side in (1, -1)
    ]
    for words, chosen, look, note in groups:
        if chosen.any():
            x = np.concatenate((place[chosen, 1], -place[chosen, 1]))
            y = np.concatenate((place[chosen, 0],) * 2)
            notes = (note, *("",) * (len(x) - 1)) if note else ()
            lines.append(plain(words, x, y, look, notes=notes))
    return Chart(
        id="stall_from_above",
        title="The wing at its slowest speed, seen from above, nose at the foot",
        x=Axis(words="out from the middle", unit="mm"),
        y=Axis(words="behind the nose", unit="mm"),
        series=tuple(lines),
        notes=("Each mark is a strip at its quarter chord. Heights drawn taller than widths.",),
    )
