"""Rows of the handling sheet: trim, derivatives, natural motions, limits, roll, sideslip, one engine stopped, hinge
moments, wheels, size folded, stall. SI units, 95 % bands from the study's own draws."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import numpy.typing as npt

from planewright.analysis import handling
from planewright.analysis.air.stall import StallReport, Sweep
from planewright.analysis.air.stalling import stall_report
from planewright.analysis.handling.hinge import PROVE
from planewright.errors import NotConverged, OutOfRange
from planewright.findings.model import Record
from planewright.study.handle import hinge_speeds, settled, thrust_slope
from planewright.study.numbers import EARLY, Flown, cubic_at, cubic_through
from planewright.study.propulsion import Band
from planewright.study.study import Study

Array = npt.NDArray[np.float64]

TRIM_SHARES = (1.1, 1.25, 1.5, 1.75, 2.0, 2.4)
"""Speeds of the trim curve over the stall speed."""
MOTION_SHARES = (1.2, 1.5, 2.0)
POWERS = ("gliding", "level", "full power")
STOPPED_POWERS = (1.0, 0.8)
"""Power of the engines that run, over full power; the duty is its cube root (power of a motor against air)."""
STOPPED_SHARES = (0.4, 0.9, 1.4, 2.0)
FASTEST = 44.0
COLUMNS = ("alpha", "alpha_dot", "q", "beta", "p", "r")


class TrimRow(Record):
    """Trim at one speed and power: ``alpha``, ``elevator`` rad (trailing edge down positive), ``lift`` coefficient,
    ``drag`` and ``thrust`` N."""

    speed: float
    power: str
    alpha: Band
    elevator: Band
    lift: float
    drag: Band
    thrust: float


class DerivativeRow(Record):
    """Derivatives of one force or moment: ``row`` X, Y, Z, L, M or N, body axes about the balance point; ``by`` column
    -> band. Per rad; rates per p b/2V, q c/2V, r b/2V, rate of alpha per its c/2V."""

    row: str
    by: dict[str, Band]


class MotionRow(Record):
    """One natural motion at one speed. ``period`` s (None where it does not swing), ``damping`` ratio, ``half`` s in
    which it halves (negative: doubles)."""

    speed: float
    motion: str
    period: Band | None = None
    damping: Band | None = None
    half: Band


class LimitRow(Record):
    """A place of the balance point behind the nose tip, m."""

    id: str
    words: str
    x: Band


class RollRow(Record):
    """Full aileron at one speed: steady ``rate`` rad/s, ``time`` s constant, ``to_30`` s to 30 degrees of bank."""

    speed: float
    rate: Band
    time: Band
    to_30: Band


class SlipRow(Record):
    """The steepest straight sideslip at one speed: ``beta`` rad, ``across`` m/s, shares of full rudder and aileron,
    ``bank`` rad."""

    words: str
    speed: float
    beta: Band
    across: Band
    rudder: float
    aileron: float
    bank: float


class RudderRow(Record):
    """Lowest speed that full rudder holds with ``engine`` stopped and the others at a share of full ``power``."""

    engine: str
    power: float
    speed: Band
    over_lift_off: Band


class HingeRow(Record):
    """Greatest hinge moment N m on one servo over speeds, travel and sideslip, at ``speed`` m/s; ``margin``: servo
    torque over it; ``arm`` m hinge to trailing edge; ``prove`` kg hung there: 1.5 times that moment."""

    control: str
    servo: str
    torque: float
    moment: Band
    margin: Band
    speed: float
    arm: float
    prove: Band


class PieceRow(Record):
    """A piece for the car: m."""

    name: str
    length: float
    width: float
    height: float


class FoldedRow(Record):
    """Folded: ``span`` m and ``height`` m on its wheels; pieces when every joint is opened."""

    span: float
    height: float
    pieces: tuple[PieceRow, ...]


class StallRow(Record):
    """The stall at the medians of knowledge: greatest ``lift`` coefficient, ``alpha`` and ``elevator`` rad there,
    ``begins`` rad and ``part`` of the half span where the first strip passes its own limit, ``tip_share`` of the tip
    strip's limit used, ``aileron_margin`` rad left in front of the ailerons, ``autorotates`` rad where damping in roll
    turns over, ``drop``: roll of a quarter degree of twist over full aileron, section curves by ``method``."""

    lift: float
    alpha: float
    elevator: float
    begins: float | None
    surface: str | None
    part: float | None
    tip_share: float
    aileron_margin: float | None
    autorotates: float | None
    drop: float | None
    method: str
    outside: tuple[str, ...]
    failed: int
    band: float


def band(draws: Array, unit: str) -> Band:
    """Median and 95 % band of the draws that are numbers."""
    good = draws[np.isfinite(draws)]
    if not good.size:
        return Band(value=0.0, low=0.0, high=0.0, unit=unit)
    low, middle, high = (float(one) for one in np.percentile(good, [2.5, 50.0, 97.5]))
    return Band(value=middle, low=low, high=high, unit=unit)


def middle(draws: Array) -> float:
    """Median of the draws that are numbers."""
    return float(np.nanmedian(draws))


def speeds_of(flown: Flown, shares: tuple[float, ...]) -> list[Array]:
    """Speeds, (N,) m/s: ``shares`` of the median stall speed, alike in all draws, above every draw's own stall."""
    slow = middle(flown.stall.speed)
    return [np.maximum(share * slow, 1.02 * flown.stall.speed) for share in shares]


def trim_rows(study: Study, flown: Flown) -> Iterator[TrimRow]:
    """Gliding, level and at full power, over speed."""
    models, states = study.models, study.draws
    air = models.air
    assert air is not None
    speeds = speeds_of(flown, TRIM_SHARES)
    for power in POWERS:
        if power == "full power" and models.power is None:
            continue
        push = partial(full_push, study) if power == "full power" else None
        curve = handling.trim_curve(
            air, states, flown.mass, speeds, models.density, push, level=power == "level"
        )
        for k in range(len(speeds)):
            yield TrimRow(
                speed=middle(curve.speed[k]),
                power=power,
                alpha=band(curve.alpha[k], "rad"),
                elevator=band(curve.elevator[k], "rad"),
                lift=middle(curve.lift[k]),
                drag=band(curve.drag[k], "N"),
                thrust=middle(curve.thrust[k]),
            )


def full_push(study: Study, speed: float) -> Array:
    """Thrust of all engines at full power on a 90 % pack, N, (N,)."""
    assert study.models.power is not None
    return study.models.power.thrust(study.draws, min(speed, FASTEST), EARLY).total


def derivative_rows(study: Study, d: handling.Derivatives) -> Iterator[DerivativeRow]:
    """The whole set at the planned speed; columns that are nothing by symmetry left out."""
    controls = tuple(one.name for one in study.plane.controls)
    along, aside = ("alpha", "alpha_dot", "q"), ("beta", "p", "r")
    for row in ("X", "Z", "M", "Y", "L", "N"):
        wanted = (along if row in "XZM" else aside) + controls
        found = {
            name: band(d[row, name], "1/rad")
            for name in wanted
            if name in d.table[row] and middle(np.abs(d[row, name])) > 5e-5
        }
        yield DerivativeRow(row=row, by=found)


def motion_rows(study: Study, flown: Flown) -> Iterator[MotionRow]:
    """Every motion at three speeds."""
    models, states = study.models, study.draws
    air, base = models.air, models.prepared
    assert air is not None and base is not None
    for speed in speeds_of(flown, MOTION_SHARES):
        trim = handling.level_trim(air, states, flown.mass, speed, models.density)
        drag = air.drag(states, trim)
        at = Flown(flown.mass, flown.stall, trim, drag, speed, flown.bank)
        d = handling.derivatives_at(base, states, flown.mass, trim, drag.coefficient)
        slope = thrust_slope(models, states, at, study.outer[0])
        push = handling.Push(drag.force, slope, handling.thrust_arm(study.plane, flown.mass.cg))
        pitch = handling.pitch_modes(handling.pitch_terms(air, flown.mass, d, push))
        side = handling.side_modes(handling.side_terms(air, flown.mass, d))
        fast = middle(speed)
        for words, swing in (
            ("quick pitching (short period)", pitch.short),
            ("slow rise and fall (phugoid)", pitch.phugoid),
            ("nose and wings swing (Dutch roll)", side.dutch),
        ):
            yield swing_row(fast, words, swing)
        for words, root in (("roll", side.roll), ("spiral", side.spiral)):
            yield MotionRow(speed=fast, motion=words, half=half_of(root))


def half_of(root: Array) -> Band:
    """Time to half of a root's real part, s (negative: time to double), by the band of the root: its inverse leaps
    where the root passes nought, so ends of unlike sign are told as the shorter times of both kinds."""
    good = root[np.isfinite(root)]
    if not good.size:
        return Band(value=0.0, low=0.0, high=0.0, unit="s")
    low, mid, high = np.percentile(good, [2.5, 50.0, 97.5])
    times = [-np.log(2.0) / one if abs(one) > 1e-6 else 1e6 for one in (mid, low, high)]
    return Band(value=float(times[0]), low=float(times[1]), high=float(times[2]), unit="s")


def swing_row(speed: float, words: str, swing: handling.Swing) -> MotionRow:
    """One swing."""
    swings = np.isfinite(swing.period).mean() > 0.5
    return MotionRow(
        speed=speed,
        motion=words,
        period=band(swing.period, "s") if swings else None,
        damping=band(settled(swing), "1"),
        half=half_of(swing.worst),
    )


LIMITS = (
    ("cg_fore_stall_x", "holds its slowest speed"),
    ("cg_fore_flare_x", "holds it off over the runway"),
    ("cg_fore_rotation_x", "lifts the nose wheel at lift-off speed"),
    ("cg_fore_limit_x", "forward limit, the rearmost of these"),
    ("cg_x", "balance point"),
    ("cg_aft_limit_x", "aft limit, 5 % of the mean chord ahead of the neutral point"),
    ("neutral_point_x", "neutral point"),
)


def limit_rows(study: Study) -> Iterator[LimitRow]:
    """Limits of the balance point, front to back as the aeroplane has them, and where it lies."""
    found = study.outer[0]
    for name, words in LIMITS:
        if name in found:
            yield LimitRow(id=name, words=words, x=band(found[name], "m"))
    if study.models.over_runway is not None:
        near = study.models.over_runway.neutral_point_x(study.draws)
        yield LimitRow(id="neutral_point_ground", words="neutral point over the runway", x=band(near, "m"))


def roll_rows(study: Study, flown: Flown) -> Iterator[RollRow]:
    """Full aileron at three speeds."""
    models, states = study.models, study.draws
    assert models.air is not None and models.prepared is not None
    for speed in speeds_of(flown, MOTION_SHARES):
        trim = models.air.trim(states, flown.mass, speed, models.density)
        d = handling.derivatives_at(models.prepared, states, flown.mass, trim, sideways=True)
        found = handling.roll_at(models.air, flown.mass, d)
        if found is None:
            return
        yield RollRow(
            speed=middle(speed),
            rate=band(found.rate, "rad/s"),
            time=band(found.time, "s"),
            to_30=band(found.to_30, "s"),
        )


def slip_rows(study: Study, flown: Flown) -> Iterator[SlipRow]:
    """Steady sideslip at lift-off and approach speed."""
    models, states, found = study.models, study.draws, study.outer[0]
    assert models.air is not None and models.prepared is not None
    for words, name in (("lift-off", "lift_off_speed"), ("approach", "approach_speed")):
        trim = models.air.trim(states, flown.mass, found[name], models.density)
        d = handling.derivatives_at(models.prepared, states, flown.mass, trim, sideways=True)
        slip = handling.steady_slip(models.air, d)
        if slip is None:
            return
        yield SlipRow(
            words=words,
            speed=middle(found[name]),
            beta=band(slip.beta, "rad"),
            across=band(slip.across, "m/s"),
            rudder=middle(slip.rudder),
            aileron=middle(slip.aileron),
            bank=middle(slip.bank),
        )


def rudder_rows(study: Study, flown: Flown) -> Iterator[RudderRow]:
    """Each engine stopped, the others at full and at 80 % power."""
    models, states, found = study.models, study.draws, study.outer[0]
    pair = [one for one in study.plane.engines if one.y != 0.0]
    if models.power is None or models.air is None or len(pair) < 2 or "engine_out_speed" not in found:
        return
    fastest = np.minimum(2.0 * found["lift_off_speed"], FASTEST / STOPPED_SHARES[-1] * 2.0)
    nodes = np.array([np.minimum(share / 2.0 * fastest, FASTEST) for share in STOPPED_SHARES])
    for engine in pair:
        for share in STOPPED_POWERS:
            throttle = share ** (1.0 / 3.0)
            pushes = [models.power.one_stopped(states, engine.name, one, EARLY, throttle) for one in nodes]
            running = np.array([one.total - one.engine[engine.name] for one in pushes])
            yaw = handling.one_stopped(
                models.air, states, flown.mass.cg[0], partial(cubic_at, cubic_through(nodes, running)),
                abs(engine.y), handling.stopped_drag_area(engine), models.density,
            )  # fmt: skip
            yield RudderRow(
                engine=engine.name,
                power=share,
                speed=band(yaw.speed, "m/s"),
                over_lift_off=band(yaw.speed / found["lift_off_speed"], "1"),
            )


def hinge_rows(study: Study, flown: Flown) -> Iterator[HingeRow]:
    """Greatest hinge moment of every control."""
    models = study.models
    assert models.air is not None
    speeds = hinge_speeds(models, flown)
    for one in handling.hinge_range(models.air, study.draws, flown.mass, speeds, models.density):
        yield HingeRow(
            control=one.control,
            servo=one.servo,
            torque=one.torque,
            moment=band(one.moment, "N m"),
            margin=band(one.margin, "1"),
            speed=middle(one.speed),
            arm=one.arm,
            prove=band(one.prove, "kg"),
        )


def folded_row(study: Study) -> FoldedRow | None:
    """Size for the car."""
    found = handling.transport(study.models.geometry)
    if found is None:
        return None
    pieces = tuple(
        PieceRow(name=one.name, length=one.length, width=one.width, height=one.height)
        for one in sorted(found.pieces, key=lambda piece: -piece.length)
    )
    return FoldedRow(span=found.span, height=found.height, pieces=pieces)


def stall_of(study: Study, flown: Flown) -> tuple[Sweep, StallReport] | None:
    """The stall at the medians of knowledge, trimmed where there is an elevator; None where no angle converged."""
    models = study.models
    assert models.air is not None
    medians = study.draws.only()
    clmax, effect = (middle(medians.factor(one)) for one in ("sec.clmax", "ctl.effect"))
    trim_x = middle(flown.mass.cg[0]) if models.air.elevator else None
    try:
        return stall_report(
            models.air, middle(flown.stall.speed), density=models.density, factor=clmax, effect=effect, trim_x=trim_x
        )  # fmt: skip
    except (NotConverged, OutOfRange):
        return None


def stall_row(report: StallReport) -> StallRow:
    """The report as a record."""
    return StallRow(
        lift=report.lift,
        alpha=report.alpha,
        elevator=report.elevator,
        begins=report.begins,
        surface=report.surface,
        part=report.part,
        tip_share=report.tip_share,
        aileron_margin=report.aileron_margin,
        autorotates=report.autorotates,
        drop=report.drop,
        method=report.method,
        outside=report.outside,
        failed=report.failed,
        band=report.band,
    )


def prove_words(rows: tuple[HingeRow, ...]) -> Iterator[str]:
    """How to prove each linkage, in sentences."""
    for one in rows:
        yield (
            f"{one.control}: hold it at full travel and hang {1000 * one.prove.value:.0f} g on its trailing edge, in "
            f"its middle; servo and linkage then carry {PROVE:g} times the greatest moment of flight and must not give."
        )
