"""The stall of the whole aeroplane: which strip gives way first, how it spreads, the greatest lift and its angle.

The condensed lattice is closed with section curves (:mod:`planewright.analysis.air.closure`) at one angle of attack
after the other. Greatest lift and its angle are numbers; lift past it is a shape (it moves by up to 60 % with how a
sharp drop is spread, trial of our own). There is no hysteresis: a section's own loop must be given as two curves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.closure import Loads, response, solve_loads
from planewright.analysis.air.condensed import Condensed
from planewright.analysis.air.curves import Sampled, Section, sample
from planewright.analysis.air.forms import Reference
from planewright.analysis.air.sheets import flap_theory
from planewright.errors import NotConverged

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

PAST = np.deg2rad(5.0)
"""How far past the greatest lift a sweep goes."""
DROP = 0.003
"""Fall of the lift coefficient that ends the search for its maximum."""
UNEVEN = np.deg2rad(0.25)
"""Difference of incidence between the two halves that shows how a wing drops, rad."""
ELEVATOR, TRIMMED, TRIES = -1.0, 1e-6, 30
"""First guess of Cm per rad of elevator; moment coefficient that counts as none; tries to trim."""
MET, LONGEST_TURN = 1e-6, 0.1
"""Rest of lift and moment coefficient that counts as met; longest change of an angle in one step, rad."""
FROM, STEP, HIGHEST = np.deg2rad(-4.0), np.deg2rad(0.5), np.deg2rad(40.0)


@dataclass(frozen=True)
class Setting:
    """Everything but the angle of attack. ``made``: strips; ``curves``: of those strips, controls as they are set;
    ``reference``; ``about_x`` m, moment point; ``body_pitch``: Cm per rad of bodies. ``elevator``: what one radian
    of it does to the strips, (turn (S,), pitch (S,)) as :func:`flap_turns` gives it, and ``stops``, its two ends,
    rad, when the aeroplane is to be trimmed about ``about_x`` at every angle; None leaves the controls alone."""

    made: Condensed
    curves: Sampled
    reference: Reference
    about_x: float
    body_pitch: float = 0.0
    elevator: tuple[Array, Array] | None = None
    stops: tuple[float, float] = (0.0, 0.0)

    def with_elevator(self, angle: float) -> Setting:
        """The same with the elevator at an angle, rad, on top of how the curves are set."""
        if self.elevator is None or angle == 0.0:
            return self
        turn, pitch = self.elevator
        curves = self.curves.deflected(self.curves.turn + angle * turn, self.curves.pitch + angle * pitch)
        return replace(self, curves=curves)


@dataclass(frozen=True)
class Sweep:
    """States at rising angles of attack, A of them and S strips.

    ``alpha`` (A,) rad of the body line; ``lift``, ``wing_lift`` (reference wing alone), ``moment`` (nose up, about
    ``setting.about_x``), ``drag`` (far wake and strips), ``induced`` (A,) coefficients; ``local`` (A, S) lift
    coefficient of each strip; ``angle`` (A, S) rad at which its section works; ``gone`` (A, S) part of its attached
    lift that is lost; ``over`` (A, S) its angle less that of its section's greatest lift, rad; ``outside`` (A, S):
    beyond what its section's curve was measured or solved for. ``elevator`` (A,) rad, 0 when it is left alone.
    ``failed``: angles, rad, that did not converge, with what was left; they are in no array. ``rounds``: Newton steps
    in all.
    """

    setting: Setting
    alpha: Array
    lift: Array
    wing_lift: Array
    moment: Array
    drag: Array
    induced: Array
    local: Array
    angle: Array
    gone: Array
    over: Array
    outside: npt.NDArray[np.bool_]
    elevator: Array
    failed: tuple[tuple[float, float], ...]
    rounds: int

    @property
    def top(self) -> int:
        """Number of the angle of greatest lift: the first maximum."""
        return first_top(self.lift)


@dataclass(frozen=True)
class StallReport:
    """How this aeroplane stalls.

    ``lift`` greatest CL, ``wing_lift`` of the reference wing then, ``alpha`` and ``elevator`` rad there. ``begins``
    rad: angle at which the first strip passes its section's greatest lift; ``surface`` that it is on and ``part`` of
    its half span (0 root, 1 tip). ``tip_share``: lift of the strip near the wing's tip over its section's greatest, at
    greatest lift. ``aileron_margin``: least distance of the strips in front of the ailerons from their section's
    greatest-lift angle, rad, at greatest lift (None without ailerons). ``damping``: Clp (per pb/2V) at the angles
    ``damped``, rad, round the stall, and ``autorotates`` rad: where it turns positive (None when it does not there).
    ``drop``: rolling moment that a quarter degree between the halves makes at greatest lift, over that of full
    aileron there (None without ailerons). ``outside``: surfaces that work beyond their curves below greatest lift.
    ``failed``: angles that did not converge. ``method``: "measured", "computed" or "assumed" section curves.
    ``band``: half width of the 95 % band of ``lift`` from section curve, joints and gaps, and method.
    """

    lift: float
    wing_lift: float
    alpha: float
    elevator: float
    begins: float | None
    surface: str | None
    part: float | None
    tip_share: float
    aileron_margin: float | None
    damped: Array
    damping: Array
    autorotates: float | None
    drop: float | None
    outside: tuple[str, ...]
    failed: int
    method: str
    band: float


def first_top(lift: Array) -> int:
    """Index of the first maximum beyond which lift falls by more than :data:`DROP`, else of the greatest."""
    best = 0
    for k in range(lift.size):
        if lift[k] > lift[best]:
            best = k
        elif lift[k] < lift[best] - DROP and lift[best] > 0:
            return best
    return best


def flap_turns(
    made: Condensed, chords: Mapping[str, float], effect: float, deflections: Mapping[str, float]
) -> tuple[Array, Array]:
    """Shift of zero lift (rad, positive for more lift) and of quarter-chord moment of each strip, (S,) each.

    Arguments: chords: control -> flap chord over section chord. effect: on thin-section theory (``ctl.effect``).
    deflections: control -> rad, trailing edge down positive (right aileron; a rudder's to the left).
    """
    turn, moment = np.zeros(made.chord.size), np.zeros(made.chord.size)
    for name, angle in deflections.items():
        lift, pitch = flap_theory(chords[name])
        part = effect * angle * made.solution.grid.cover[name][made.strips]
        turn += lift / (2 * np.pi) * part
        moment += pitch * part
    return turn, moment


def curves_of(made: Condensed, sections: Sequence[Section], reynolds: Array, factor: float = 1.0) -> Sampled:
    """Section curves of all strips at their Reynolds numbers (S,). ``factor``: on the greatest lift."""
    return sample([one.curve(float(re)) for one, re in zip(sections, reynolds, strict=True)], factor)


def totals(setting: Setting, loads: Loads) -> tuple[float, float, float, float, float]:
    """CL, CL of the reference wing, Cm about ``about_x``, CD and far-wake CD of one state."""
    made, reference = setting.made, setting.reference
    grid = made.solution.grid
    gamma = loads.speed * loads.lift
    strength = made.spread(gamma * made.chord / 2)
    lifts = gamma * made.chord * made.across * made.count
    area = reference.area
    wing = float(lifts[made.sheet == 0].sum()) / area
    induced = -float(strength @ made.solution.far @ strength) / area
    square = loads.speed**2 * made.chord * made.width * made.count
    drag = setting.curves.drag_at(loads.angle)
    moment = setting.curves.moment_at(loads.angle) - made.moment
    level = np.abs(made.across) / made.width
    own = float((moment * square * made.chord * level).sum())
    panels = made.solution.gain[:, :6] @ loads.state + made.units @ made.spread(loads.wash)
    arm = grid.force[:, 0] - setting.about_x
    turned = -2 * float((panels * (grid.end - grid.start)[:, 1] * arm).sum())
    profile = float((drag * square).sum()) / area
    alpha = float(np.arctan2(loads.state[2], loads.state[0]))
    pitch = (turned + own) / (area * reference.chord) + setting.body_pitch * alpha
    return float(lifts.sum()) / area, wing, pitch, induced + profile, induced


def _gone(setting: Setting, loads: Loads) -> Array:
    """Part of the attached lift that each strip has lost, 0 to 1, (S,)."""
    attached, _ = setting.curves.attached(loads.angle)
    lost = setting.made.loss @ setting.curves.loss(loads.angle)[0]
    return np.asarray(np.clip(lost / np.where(np.abs(attached) > 0.05, attached, np.inf), 0.0, 1.0))


def level_state(alpha: float) -> Array:
    """u, v, w, p, q, r of straight flight at unit speed."""
    return np.array([np.cos(alpha), 0.0, np.sin(alpha), 0.0, 0.0, 0.0])


@dataclass(frozen=True)
class Point:
    """One converged angle of a sweep: ``alpha``, ``elevator`` rad, ``loads``, ``setting`` as it was flown, and
    ``totals`` of :func:`totals`. ``rounds``: Newton steps of all its tries."""

    alpha: float
    elevator: float
    loads: Loads
    setting: Setting
    totals: tuple[float, float, float, float, float]
    rounds: int


def point(setting: Setting, alpha: float, before: Point | None = None) -> Point:
    """Loads at one angle of attack, trimmed when the setting says so (at a stop as far as it goes).

    Arguments: alpha: rad. before: a point near by to start from. Raises NotConverged.
    """
    elevator, start = (0.0, None) if before is None else (before.elevator, before.loads.lift)
    power, rounds, last = ELEVATOR, 0, (0.0, 0.0)
    for number in range(TRIES):
        flown = setting.with_elevator(elevator)
        loads = solve_loads(setting.made, flown.curves, level_state(alpha), start)
        start, rounds = loads.lift, rounds + loads.rounds
        found = Point(alpha, elevator, loads, flown, totals(flown, loads), rounds)
        moment = found.totals[2]
        if setting.elevator is None or abs(moment) < TRIMMED:
            return found
        if number and elevator != last[0]:
            power = (moment - last[1]) / (elevator - last[0])
        last = (elevator, moment)
        wanted = float(np.clip(elevator - moment / power, *setting.stops)) if power < 0 else elevator
        if abs(wanted - elevator) < 1e-9:
            return found
        elevator = wanted
    raise NotConverged("elevator to trim past the stall", abs(last[1]))


def sweep(setting: Setting, angles: Sequence[float] | Array | None = None) -> Sweep:
    """Loads at rising angles of attack.

    Arguments: angles: rad, rising or falling; None goes from -4 deg by half degrees until 5 deg past greatest lift,
    at most to 40 deg. Each angle starts from the one before it; one that does not converge is left out and told of.
    """
    points: list[Point] = []
    failed: list[tuple[float, float]] = []
    for alpha in _angles(points) if angles is None else np.asarray(angles, dtype=np.float64):
        try:
            points.append(point(setting, float(alpha), points[-1] if points else None))
        except NotConverged as error:
            failed.append((float(alpha), error.residual))
    return _sweep(setting, points, tuple(failed))


def _angles(points: list[Point]) -> Iterator[float]:
    """Half degrees until the points found so far lie well past their first maximum."""
    alpha = FROM
    while alpha <= HIGHEST:
        yield alpha
        alpha += STEP
        if _past(np.array([one.totals[0] for one in points]), np.array([one.alpha for one in points]), alpha):
            return


def _past(lift: Array, alpha: Array, now: float) -> bool:
    """True when the angle lies far enough past the first maximum."""
    if lift.size < 3:
        return False
    top = first_top(lift)
    return bool(lift[-1] < lift[top] - DROP and now > alpha[top] + PAST)


def _sweep(setting: Setting, points: Sequence[Point], failed: tuple[tuple[float, float], ...]) -> Sweep:
    if not points:
        raise NotConverged("stall: no angle of attack", failed[0][1] if failed else 0.0)
    lift, wing, moment, drag, induced = np.array([one.totals for one in points]).T
    return Sweep(
        setting=setting,
        alpha=np.array([one.alpha for one in points]),
        lift=lift,
        wing_lift=wing,
        moment=moment,
        drag=drag,
        induced=induced,
        local=np.array([one.loads.lift for one in points]),
        angle=np.array([one.loads.angle for one in points]),
        gone=np.array([_gone(one.setting, one.loads) for one in points]),
        over=np.array([one.loads.angle - one.setting.curves.top_angle() for one in points]),
        outside=np.array([one.setting.curves.outside(one.loads.angle) for one in points]),
        elevator=np.array([one.elevator for one in points]),
        failed=failed,
        rounds=sum(one.rounds for one in points),
    )


def peak(alpha: Array, lift: Array, top: int) -> tuple[float, float]:
    """Angle and value of the maximum of a parabola through three points round ``top``."""
    if not 0 < top < lift.size - 1:
        return float(alpha[top]), float(lift[top])
    x, y = alpha[top - 1 : top + 2] - alpha[top], lift[top - 1 : top + 2]
    a, b, c = np.polyfit(x, y, 2)
    return (
        (float(alpha[top] - b / (2 * a)), float(c - b * b / (4 * a)))
        if a < 0
        else (float(alpha[top]), float(c))
    )


def rolling(made: Condensed, force: Array, reference: Reference) -> float:
    """Rolling-moment coefficient, right wing down positive, of strip forces ``force`` (S,): V gamma c w at unit
    dynamic pressure."""
    grid = made.solution.grid
    normal = grid.normal[np.searchsorted(grid.strip, made.strips)]
    arm = made.place - made.solution.about
    return -float((force * (arm[:, 1] * normal[:, 2] - arm[:, 2] * normal[:, 1])).sum()) / (
        reference.area * reference.span
    )


def roll_damping(setting: Setting, loads: Loads) -> float:
    """Clp per p b/2V at a converged state of the whole aeroplane (not of its half), exact."""
    made = setting.made
    way = np.zeros(6)
    way[3] = 2 / setting.reference.span
    gamma = response(made, setting.curves, loads, way)
    faster = made.speed_change(loads.state, way)
    force = (loads.speed * gamma + faster * loads.speed * loads.lift) * made.chord * made.width
    return rolling(made, force, setting.reference)


def roll_moment(setting: Setting, loads: Loads) -> float:
    """Rolling-moment coefficient at a converged state of the whole aeroplane."""
    made = setting.made
    return rolling(made, loads.speed**2 * loads.lift * made.chord * made.width, setting.reference)


def trimmed(setting: Setting, lift: float, before: Point | None = None) -> Point:
    """Straight flight at a lift coefficient through the section curves: angle of attack and elevator, found together.

    Arguments: setting: with an elevator (without one, or at its stop, the lift alone is met). lift: coefficient on the
    wing area, below the greatest. before: a point near by to start from.
    Method: Broyden's, from the attached slopes; a handful of strip solutions.
    Raises: NotConverged when lift and moment are not met, as at a lift that is not to be had.
    """
    x = np.array([0.05, 0.0]) if before is None else np.array([before.alpha, before.elevator])
    start = None if before is None else before.loads.lift
    inverse = np.linalg.inv(np.array([[5.0, 0.4], [-0.8, ELEVATOR]]))
    free, rounds, last, rest = setting.elevator is not None, 0, None, np.array([np.inf, np.inf])
    for _ in range(TRIES):
        if free:
            x[1] = np.clip(x[1], *setting.stops)
        flown = setting.with_elevator(float(x[1]))
        loads = solve_loads(setting.made, flown.curves, level_state(float(x[0])), start)
        start, rounds = loads.lift, rounds + loads.rounds
        found = totals(flown, loads)
        held = not free or (x[1] in setting.stops and last is not None and x[1] == last[0][1])
        rest = np.array([found[0] - lift, 0.0 if held else found[2]])
        if np.abs(rest).max() < MET:
            return Point(float(x[0]), float(x[1]), loads, flown, found, rounds)
        if last is not None:
            step, change = x - last[0], rest - last[1]
            along = inverse @ change
            size = float(step @ along)
            if abs(size) > 1e-14:
                inverse = inverse + np.outer(step - along, step @ inverse) / size
        last = (x.copy(), rest.copy())
        move = -inverse @ rest
        x = x + move * min(1.0, LONGEST_TURN / float(np.abs(move).max()))
    raise NotConverged("level flight through the section curves", float(np.abs(rest).max()))
