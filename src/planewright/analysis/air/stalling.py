"""The stall of a drawn aeroplane: its lattice, its sections, its controls, put together and reported."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.closure import Loads, solve_loads
from planewright.analysis.air.condensed import Condensed, condense, twins
from planewright.analysis.air.curves import Sampled, Section
from planewright.analysis.air.making import place_along, polar_of
from planewright.analysis.air.model import UNSETTLED, VISCOSITY, AirModel, Spread
from planewright.analysis.air.sections import Between, Computed, Tables, section_of
from planewright.analysis.air.stall import (
    DROP,
    HIGHEST,
    UNEVEN,
    Point,
    Setting,
    StallReport,
    Sweep,
    curves_of,
    flap_turns,
    level_state,
    peak,
    point,
    roll_damping,
    roll_moment,
    sweep,
    totals,
    trimmed,
)
from planewright.analysis.atmosphere import SEA_LEVEL_DENSITY
from planewright.analysis.model import MassState, States
from planewright.errors import NotConverged
from planewright.geometry import SurfaceShape, zero_lift

Array = npt.NDArray[np.float64]
Polars = Mapping[tuple[str, int], Tables]
"""Computed polars by surface and number of the station."""

JOINTS = 0.05
"""What tape joints and hinge gaps may still take from the greatest lift, 95 % (0.05 to 0.15 in all: common practice,
no source; the middle is in ``sec.clmax``)."""
METHOD = 0.02
"""Doubt of the method itself, of the lift coefficient (trial of our own)."""
BEFORE = np.deg2rad(4.0)
"""Damping in roll is worked out from this far below greatest lift."""
COARSE = np.deg2rad(1.0)
"""Step of the search for the greatest lift."""
SHOWN = 0.98
"""The last strip inside this part of the half span speaks for the tip."""


@dataclass(frozen=True)
class WingTop:
    """Greatest lift of a wing: ``lift`` coefficient, ``alpha`` rad of the body line, ``part`` of the half span where it
    begins (None when no strip passes its own greatest lift), ``method`` of the section curves; ``outside``: strips of
    all surfaces beyond their curves up to there; ``loads`` there."""

    lift: float
    alpha: float
    part: float | None
    method: str
    outside: int
    loads: Loads


def sections_along(shape: SurfaceShape, part: Array, polars: Polars) -> tuple[Section, ...]:
    """Sections at places ``part`` (n,) of a surface, each between its two stations."""
    stations = place_along(shape, shape.leading)
    made: list[Section] = []
    for number in range(stations.size):
        tables = polars.get((shape.surface.name, number))
        zero, moment = zero_lift(shape.surface.stations[number].section)
        made.append(section_of(polar_of(shape, number), zero, moment) if tables is None else Computed(tables))
    for number in range(1, stations.size):
        if _alike(shape, number, polars):
            made[number] = made[number - 1]
    lower = np.clip(np.searchsorted(stations, part, side="right") - 1, 0, stations.size - 2)
    blend = np.clip((part - stations[lower]) / np.diff(stations)[lower], 0, 1)
    return tuple(Between(made[k], made[k + 1], float(b)) for k, b in zip(lower, blend, strict=True))


def _alike(shape: SurfaceShape, number: int, polars: Polars) -> bool:
    """True when a station has the section of the one before it."""
    name = shape.surface.name
    if (name, number) in polars or (name, number - 1) in polars:
        return polars.get((name, number)) is polars.get((name, number - 1))
    one, other = (polar_of(shape, k) for k in (number - 1, number))
    worked_out = one.computed is not None and one.computed is other.computed
    return one.key == other.key and (one.measured or worked_out or one is other)


def sections_of(model: AirModel, made: Condensed, polars: Polars | None = None) -> tuple[Section, ...]:
    """The section of each strip of a condensed lattice."""
    grid = made.solution.grid
    out: list[Section] = []
    for number in np.unique(made.sheet):
        shape = model.geometry.surfaces[grid.names[number]]
        place = made.place[made.sheet == number] * np.array([1.0, 1.0, 1.0])
        if shape.surface.kind != "fin":
            place = np.abs(place) * np.array([1.0, 1.0, 0.0]) + place * np.array([0.0, 0.0, 1.0])
        out.extend(sections_along(shape, np.clip(place_along(shape, place), 0, 1), polars or {}))
    return tuple(out)


def flap_chords(model: AirModel) -> dict[str, float]:
    """Flap chord over section chord of each control that the lattice has."""
    cover = model.solution.grid.cover
    return {one.name: one.chord for one in model.geometry.plane.controls if one.name in cover}


def setting_of(
    model: AirModel,
    speed: float,
    *,
    density: float = SEA_LEVEL_DENSITY,
    factor: float = 1.0,
    effect: float = 1.0,
    deflections: Mapping[str, float] | None = None,
    trim_x: float | None = None,
    half: bool | None = None,
    polars: Polars | None = None,
    made: Condensed | None = None,
) -> Setting:
    """A drawn aeroplane ready for :func:`planewright.analysis.air.stall.sweep`.

    Arguments:
        speed: m/s, for the Reynolds numbers. factor: on the sections' greatest lift (``sec.clmax``). effect: of
        controls on thin-section theory (``ctl.effect``). deflections: control -> rad, left as they are. trim_x:
        centre of gravity, m, about which the elevator trims at every angle (None: it stays where ``deflections``
        have it). half: see :func:`planewright.analysis.air.condensed.condense`. polars: computed ones, if any.
        made: strips condensed before, to save doing it again.
    """
    made = condense(model.solution, half) if made is None else made
    reynolds = density * speed * made.chord / VISCOSITY
    curves = curves_of(made, sections_of(model, made, polars), reynolds, factor)
    chords = flap_chords(model)
    if deflections:
        curves = curves.deflected(*flap_turns(made, chords, effect, deflections))
    elevator = None
    if trim_x is not None and model.elevator:
        elevator = flap_turns(made, chords, effect, dict.fromkeys(model.elevator, 1.0))
    about = model.about_x if trim_x is None else trim_x
    return Setting(made, curves, model.reference, about, model.body_pitch, elevator, model.elevator_limits)


def whole_of(setting: Setting) -> Setting:
    """A setting of the right half, with both halves."""
    if not setting.made.half:
        return setting
    full = condense(setting.made.solution, half=False)
    twin, _ = twins(setting.made.solution)
    place = np.full(full.strips.size, -1, dtype=np.int64)
    place[setting.made.strips] = np.arange(setting.made.strips.size)
    own = np.where(place >= 0, place, place[twin])
    rest = np.flatnonzero(own < 0)
    curves = setting.curves.rows(np.where(own < 0, 0, own))
    if rest.size:
        curves = _linear(curves, rest)
    elevator = (
        None
        if setting.elevator is None
        else tuple(np.where(own < 0, 0.0, one[own]) for one in setting.elevator)
    )
    return replace(setting, made=full, curves=curves, elevator=elevator)  # type: ignore[arg-type]


def _linear(curves: Sampled, rest: npt.NDArray[np.int64]) -> Sampled:
    """Curves in which some strips (a middle fin in straight flight) just follow the attached line of 2 pi."""
    values = {one.name: getattr(curves, one.name).copy() for one in fields(curves)}
    for name in ("zero", "lost", "moment", "turn", "pitch", "tilt"):
        values[name][rest] = 0.0
    values["slope"][rest] = 2 * np.pi
    return Sampled(**values)


def stall_report(
    model: AirModel,
    speed: float,
    *,
    density: float = SEA_LEVEL_DENSITY,
    factor: float = 1.0,
    effect: float = 1.0,
    deflections: Mapping[str, float] | None = None,
    trim_x: float | None = None,
    polars: Polars | None = None,
) -> tuple[Sweep, StallReport]:
    """Sweep an aeroplane through its stall and report it. Arguments as for :func:`setting_of`; ``deflections`` alike
    left and right (flaps, elevator).

    Raises: NotConverged when no angle at all was reached. Angles that did not converge are counted in the report.
    """
    setting = setting_of(
        model, speed, density=density, factor=factor, effect=effect, deflections=deflections, trim_x=trim_x,
        half=model.solution.grid.even, polars=polars,
    )  # fmt: skip
    found = sweep(setting)
    top = found.top
    alpha, lift = peak(found.alpha, found.lift, top)
    begins, surface, part = _first(found)
    whole = whole_of(setting)
    damped, damping, state = _dampings(whole, found, top)
    wing = sections_of(model, setting.made, polars)[: int((setting.made.sheet == 0).sum())]
    methods, band = {one.method for one in wing}, max(one.top_band for one in wing)
    share, margin = _tips(model, found, top)
    report = StallReport(
        lift=lift,
        wing_lift=float(found.wing_lift[top]),
        alpha=alpha,
        elevator=float(found.elevator[top]),
        begins=begins,
        surface=surface,
        part=part,
        tip_share=share,
        aileron_margin=margin,
        damped=damped,
        damping=damping,
        autorotates=_turns_over(damped, damping),
        drop=_drop(model, whole.with_elevator(float(found.elevator[top])), state, effect),
        outside=_outside(found, top),
        failed=len(found.failed),
        method=next(one for one in ("assumed", "computed", "measured") if one in methods),
        band=float(np.sqrt((band * found.wing_lift[top] / lift) ** 2 + JOINTS**2 + (METHOD * lift) ** 2)),
    )
    return found, report


def _part(setting: Setting, strip: int) -> float:
    """Place of a strip along its half span, 0 to 1."""
    made = setting.made
    grid = made.solution.grid
    mine = grid.sheet == made.sheet[strip]
    axis = 2 if np.ptp(grid.middle[mine, 2]) > np.ptp(grid.middle[mine, 1]) else 1
    place = np.abs(grid.middle[mine, axis] - (0.0 if axis == 1 else grid.middle[mine, axis].min()))
    reach = float((place + grid.width[mine] / 2).max())
    at = abs(made.place[strip, axis] - (0.0 if axis == 1 else float(grid.middle[mine, axis].min())))
    return float(min(at / reach, 1.0))


def _first(found: Sweep) -> tuple[float | None, str | None, float | None]:
    """Angle at which the first strip passes its section's greatest lift, its surface and its place."""
    rows = np.flatnonzero((found.over > 0).any(axis=1))
    if not rows.size:
        return None, None, None
    row = int(rows[0])
    strip = int(np.argmax(found.over[row]))
    made = found.setting.made
    alpha = float(found.alpha[row])
    if row:
        low, high = found.over[row - 1, strip], found.over[row, strip]
        alpha -= float(high / (high - low) * (alpha - found.alpha[row - 1]))
    return alpha, made.solution.grid.names[int(made.sheet[strip])], _part(found.setting, strip)


def _dampings(whole: Setting, found: Sweep, top: int) -> tuple[Array, Array, Loads]:
    """Angles round the stall, Clp there, and the state of the whole aeroplane at greatest lift."""
    chosen = np.flatnonzero(found.alpha > found.alpha[top] - BEFORE)
    out, state = [], None
    for k in chosen:
        start = found.setting.made.spread(found.local[k])
        flown = whole.with_elevator(float(found.elevator[k]))
        loads = solve_loads(whole.made, flown.curves, level_state(float(found.alpha[k])), start)
        state = loads if k == top else state
        out.append(roll_damping(flown, loads))
    assert state is not None
    return found.alpha[chosen], np.array(out), state


def _turns_over(alpha: Array, damping: Array) -> float | None:
    """Angle at which damping in roll first turns positive, between two angles by a straight line."""
    at = np.flatnonzero((damping[:-1] < 0) & (damping[1:] >= 0))
    if not at.size:
        return None
    k = int(at[0])
    return float(alpha[k] - damping[k] * (alpha[k + 1] - alpha[k]) / (damping[k + 1] - damping[k]))


def _ailerons(model: AirModel) -> tuple[str, ...]:
    grid = model.solution.grid
    return tuple(
        one.name for one in model.geometry.plane.controls if one.kind == "aileron" and one.name in grid.cover
    )


def _tips(model: AirModel, found: Sweep, top: int) -> tuple[float, float | None]:
    """Share of its greatest lift that the strip near the tip carries, and the ailerons' margin in angle, rad."""
    made, curves = found.setting.made, found.setting.curves
    wing = np.flatnonzero((made.sheet == 0) & ~made.solution.grid.left[made.strips])
    inside = [k for k in wing if _part(found.setting, int(k)) < SHOWN]
    last = inside[-1] if inside else wing[-1]
    share = float(found.local[top, last] / (made.cosine[last] ** 2 * curves.top[last]))
    names = _ailerons(model)
    if not names:
        return share, None
    covered = np.max([np.abs(made.solution.grid.cover[name][made.strips]) for name in names], axis=0) > 0.25
    return share, -float(found.over[top][covered].max())


def _outside(found: Sweep, top: int) -> tuple[str, ...]:
    """Surfaces with a strip beyond its curve between no lift and greatest lift."""
    made = found.setting.made
    rows = (found.alpha <= found.alpha[top]) & (found.lift > 0)
    strips = found.outside[rows].any(axis=0)
    return tuple(made.solution.grid.names[int(number)] for number in np.unique(made.sheet[strips]))


def _drop(model: AirModel, whole: Setting, loads: Loads, effect: float) -> float | None:
    """Rolling moment of a quarter degree between the halves over that of full aileron, at one state."""
    names = _ailerons(model)
    if not names:
        return None
    made, curves = whole.made, whole.curves
    side = np.where(made.sheet == 0, np.sign(made.place[:, 1]), 0.0)
    limits = {one.name: min(one.up, one.down) for one in model.geometry.plane.controls}
    turn, pitch = flap_turns(made, flap_chords(model), effect, {name: limits[name] for name in names})
    moments = []
    for one in (curves.tilted(UNEVEN / 2 * side), curves.deflected(curves.turn + turn, curves.pitch + pitch)):
        got = solve_loads(made, one, loads.state, loads.lift)
        moments.append(roll_moment(replace(whole, curves=one), got))
    return abs(moments[0]) / max(abs(moments[1]), 1e-9)


def wing_top(setting: Setting, sections: Sequence[Section], from_alpha: float = 0.0) -> WingTop:
    """Greatest lift of the first surface with its stall spreading over the strips, controls left alone.

    Arguments: setting: as :func:`setting_of` makes it. sections: of its strips. from_alpha: rad, where to begin
    looking (below the greatest lift).
    Raises: NotConverged when a state is not found, or no maximum below 40 deg.
    """
    wing = setting.made.sheet == 0
    methods = {one.method for one, mine in zip(sections, wing, strict=True) if mine}
    made = setting.made
    weight = np.where(wing, made.chord * made.across * made.count, 0.0) / setting.reference.area
    start: Array | None = None

    def at(alpha: float) -> tuple[float, Loads]:
        loads = solve_loads(made, setting.curves, level_state(alpha), start)
        return float((loads.speed * loads.lift * weight).sum()), loads

    best, place, alpha, first = -np.inf, from_alpha, from_alpha, None
    beyond = np.zeros(made.chord.size, dtype=bool)
    while alpha < HIGHEST:
        lift, loads = at(alpha)
        start = loads.lift
        over = loads.angle - setting.curves.top_angle()
        if first is None and (over[wing] > 0).any():
            first = int(np.flatnonzero(wing)[np.argmax(over[wing])])
        if lift > best:
            best, place, kept = lift, alpha, loads
            beyond |= setting.curves.outside(loads.angle)
        elif lift < best - DROP:
            break
        alpha += COARSE
    else:
        raise NotConverged("greatest lift below 40 degrees", float(best))
    near = np.array([place - COARSE / 2, place, place + COARSE / 2])
    values = np.array([at(near[0])[0], best, at(near[2])[0]])
    top = int(np.argmax(values))
    if top != 1:
        near = near[top] + np.array([-COARSE / 2, 0.0, COARSE / 2])
        values = np.array([at(float(one))[0] for one in near])
    alpha, lift = peak(near, values, 1)
    name = next(one for one in ("assumed", "computed", "measured") if one in methods)
    part = None if first is None else _part(setting, first)
    return WingTop(lift, alpha, part, name, int((made.count * beyond).sum()), kept)


def with_spread(
    model: AirModel,
    states: States,
    mass_state: MassState,
    *,
    density: float = SEA_LEVEL_DENSITY,
    polars: Polars | None = None,
) -> AirModel:
    """The model with the spreading of its stall worked out at one state of knowledge (the medians), near its stall
    speed. Unchanged where the wing's sections are known by an assumed greatest lift only. Where no maximum is found
    the strip limit stands and the spread says so.

    Raises: NotConverged as :meth:`planewright.analysis.air.model.AirModel.stall` does.
    """
    if _method(model, polars or {}) == "assumed":
        return model
    plain = replace(model, spread=None)
    speed = float(plain.stall(states, mass_state, density).speed[0])
    limit = plain.maximum_lift(states, speed, density)
    factor, alpha = float(states.factor("sec.clmax")[0]), float(limit.alpha[0])
    x = float(mass_state.cg[0][0]) if model.elevator else None
    setting = setting_of(
        model,
        speed,
        density=density,
        factor=factor,
        effect=float(states.factor("ctl.effect")[0]),
        trim_x=x,
        half=model.solution.grid.even,
        polars=polars,
    )
    try:
        top = wing_top(setting, sections_of(model, setting.made, polars), alpha)
        near = Point(top.alpha, 0.0, top.loads, setting, totals(setting, top.loads), 0)
        elevator = point(setting, top.alpha, near).elevator if x is not None else None
    except NotConverged:
        return replace(plain, spread=Spread(1.0, 0.0, None, UNSETTLED, None, setting.made.chord.size))
    share = top.lift / float(limit.wing_lift[0])
    return replace(
        model, spread=Spread(share, top.alpha - alpha, top.part, top.method, elevator, top.outside)
    )


def _method(model: AirModel, polars: Polars) -> str:
    """How the reference wing's sections are known, the weakest of them."""
    shape = model.geometry.surfaces[model.solution.grid.names[0]]
    words = {one.method for one in sections_along(shape, np.array([0.01, 0.5, 0.99]), polars)}
    return next(one for one in ("assumed", "computed", "measured") if one in words)


@dataclass(frozen=True)
class CurveTrims:
    """Level flight through the section curves at V speeds, each (V,): ``speed`` m/s; ``alpha``, ``elevator`` rad;
    ``lift``, ``induced`` and ``profile`` drag coefficients of all strips together. ``missing``: speeds at which the
    lift is not to be had or was not found, with what was left of the equations; they are in no array."""

    speed: Array
    alpha: Array
    elevator: Array
    lift: Array
    induced: Array
    profile: Array
    missing: tuple[tuple[float, float], ...]


def curve_trims(
    model: AirModel,
    speeds: Sequence[float],
    weight: float,
    trim_x: float,
    *,
    density: float = SEA_LEVEL_DENSITY,
    factor: float = 1.0,
    effect: float = 1.0,
    polars: Polars | None = None,
) -> CurveTrims:
    """Trim over speed with the sections' own curves, each speed at its Reynolds numbers, fastest first.

    Arguments: speeds m/s. weight N. trim_x: centre of gravity, m. The rest as for :func:`setting_of`.
    """
    made = condense(model.solution, model.solution.grid.even)
    rows: list[tuple[float, float, float, float, float, float]] = []
    missing: list[tuple[float, float]] = []
    before: Point | None = None
    for speed in sorted(speeds, reverse=True):
        setting = setting_of(
            model,
            speed,
            density=density,
            factor=factor,
            effect=effect,
            trim_x=trim_x,
            polars=polars,
            made=made,
        )
        lift = weight / (0.5 * density * speed**2 * model.reference.area)
        try:
            before = trimmed(setting, lift, before)
        except NotConverged as error:
            missing.append((float(speed), error.residual))
            continue
        _, _, _, drag, induced = before.totals
        rows.append((float(speed), before.alpha, before.elevator, before.totals[0], induced, drag - induced))
    table = np.array(rows[::-1]).reshape(-1, 6)
    return CurveTrims(
        table[:, 0], table[:, 1], table[:, 2], table[:, 3], table[:, 4], table[:, 5], tuple(missing)
    )
