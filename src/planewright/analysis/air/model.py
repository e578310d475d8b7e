"""The aeroplane's air as one frozen model: lift, trim, stall, drag and span load, for any states of knowledge.

The lattice is solved once per drawing. Linear: circulation = A (built-in shape) + B alpha + C (wing incidence) +
D elevator. Knowledge multiplies: ``sec.slope`` all lift, ``sec.alpha0`` turns the wing's line of no lift,
``sec.cm0`` adds to the moment, ``np.shift`` moves the neutral point, ``ctl.effect`` the elevator, ``sec.clmax`` the
section maxima, ``drag.cd0`` the smooth build-up, ``drag.e`` the span efficiency.

Axes: drawing axes, x aft; alpha is the angle of the body line. Attached flow, small angles.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.build_up import DUCT_LIPS, JUNCTION, Piece
from planewright.analysis.air.forms import Reference, Solution, derivatives
from planewright.analysis.air.polars import Mixed
from planewright.analysis.air.skew import beta_correction
from planewright.analysis.atmosphere import GRAVITY, SEA_LEVEL_DENSITY
from planewright.analysis.model import MassState, SpanLoad, States
from planewright.errors import NotConverged
from planewright.geometry import Geometry

Array = npt.NDArray[np.float64]

VISCOSITY = 1.789e-5
"""Dynamic viscosity of air at 15 C, Pa s (ISO 2533)."""
TAPE_AND_GAPS = "tape, gaps, steps"
POLAR_LIFTS = (0.2, 0.7)
STALL_ROUNDS, STALL_SETTLED = 30, 1e-6
UNSETTLED = "not converged"
TIP = 0.98
"""The last strip inside this part of the half span speaks for the tip; nearer the end lift goes to nothing."""


@dataclass(frozen=True)
class StripSet:
    """Right-half strips (all strips of a single fin), S of them, at unit speed.

    ``place`` (S, 3) quarter chord; ``chord``, ``width`` (S,) m; ``count`` 2 for a strip with a left twin.
    ``lift`` (S, 4): cl per unit of [1, alpha, wing incidence, elevator]. ``sheet`` (S,) number, rising.
    ``polars``: section figures of each. ``part`` (S,): place along the half span, 0 to 1.
    """

    place: Array
    chord: Array
    width: Array
    count: Array
    lift: Array
    sheet: npt.NDArray[np.int64]
    polars: tuple[Mixed, ...]
    part: Array


@dataclass(frozen=True)
class Trim:
    """Steady flight at one speed. All (N,): ``alpha`` rad of the body line, ``elevator`` rad (trailing edge down
    positive, 0 without one), ``lift`` total CL, ``tail_lift`` N on all surfaces but the reference wing (up
    positive), ``moment`` Cm left over about the centre of gravity (0 when an elevator trims)."""

    alpha: Array
    elevator: Array
    lift: Array
    tail_lift: Array
    moment: Array
    speed: Array
    density: float


@dataclass(frozen=True)
class Stall:
    """Greatest lift (see :meth:`AirModel.maximum_lift`). All (N,): ``lift`` greatest CL of the trimmed
    aeroplane, ``wing_lift`` of the wing alone, ``alpha`` rad, ``part`` place along the half span (0 root, 1 tip),
    ``tip_share`` lift of the strip near the tip over its limit, ``speed`` m/s (nan when no mass was given)."""

    lift: Array
    wing_lift: Array
    alpha: Array
    part: Array
    tip_share: Array
    speed: Array


@dataclass(frozen=True)
class Drag:
    """Drag at one speed. ``parts``: name -> CD (N,) on the wing area, summing to ``coefficient`` (N,);
    ``force`` (N,) N. The parts before "tape, gaps, steps" are the smooth build-up."""

    parts: Mapping[str, Array]
    coefficient: Array
    force: Array


@dataclass(frozen=True)
class Spread:
    """What the strip limit leaves out: the stall spreading over the strips, from the closed lattice at the medians.
    ``share``: greatest lift of the wing over that of the strip limit; ``turn`` rad: how much later it comes; ``part``
    of the half span where it begins (None: as the strip limit says); ``method`` of the section curves, "measured" or
    "computed", or :data:`UNSETTLED`; ``elevator`` rad that trims there (None without one); ``outside``: strips that
    worked beyond what their section's curve was measured or solved for, up to there (all, when it did not converge)."""

    share: float
    turn: float
    part: float | None
    method: str
    elevator: float | None = None
    outside: int = 0


@dataclass(frozen=True)
class AirModel:
    """One aeroplane's air, finished when made by :func:`air_model`.

    ``lift``, ``pitch`` (4,): CL and Cm (about ``about_x``, nose up) per unit of [1, alpha, wing incidence,
    elevator]; ``body_pitch``: Cm per alpha of bodies; ``wing_lift`` (4,): CL of the reference wing alone.
    ``drag_form`` (4, 4): induced CD. ``panels``: of the lattice.
    """

    geometry: Geometry
    solution: Solution
    reference: Reference
    about_x: float
    lift: Array
    pitch: Array
    body_pitch: float
    wing_lift: Array
    drag_form: Array
    strips: StripSet
    pieces: tuple[Piece, ...]
    elevator: tuple[str, ...]
    elevator_limits: tuple[float, float]
    spread: Spread | None = None

    @property
    def panels(self) -> int:
        """Number of panels of the lattice."""
        return self.solution.grid.panels

    # -- slopes and balance ------------------------------------------------------------------------------------

    def slope(self, states: States) -> Array:
        """Lift slope of the whole aeroplane on the wing area, elevator fixed, per rad, (N,)."""
        return np.asarray(states.factor("sec.slope") * self.lift[1])

    def zero_lift_angle(self, states: States) -> Array:
        """Angle of attack of the body line at no lift, elevator neutral, rad, (N,)."""
        turned = states.shift("sec.alpha0")
        return np.asarray((-self.lift[0] + turned * self.lift[2]) / self.lift[1])

    def neutral_point_x(self, states: States) -> Array:
        """Neutral point, stick fixed: wing, tail, fuselage and nacelles; x in m behind the nose tip, (N,)."""
        chord = self.reference.chord
        moment = states.factor("sec.slope") * self.pitch[1] + self.body_pitch
        return np.asarray(
            self.about_x - chord * moment / self.slope(states) + chord * states.shift("np.shift")
        )

    def static_margin(self, states: States, mass_state: MassState) -> Array:
        """(neutral point - centre of gravity) over the mean chord, (N,)."""
        return np.asarray((self.neutral_point_x(states) - mass_state.cg[0]) / self.reference.chord)

    def moment_at_zero_lift(self, states: States) -> Array:
        """Cm of the whole aeroplane at no lift, elevator neutral, (N,)."""
        angle = self.zero_lift_angle(states)
        terms = self._terms(states, angle, np.zeros(states.count))
        return self._moment(states, terms, angle)

    def elevator_power(self, states: States, x: Array | float | None = None) -> Array:
        """dCm/d(elevator) about ``x`` (m; default the lattice's own point), per rad, negative, (N,)."""
        arm = 0.0 if x is None else (np.asarray(x) - self.about_x) / self.reference.chord
        gain = states.factor("sec.slope") * states.factor("ctl.effect")
        return np.asarray(gain * (self.pitch[3] + self.lift[3] * arm))

    def derivatives(self, alpha: float = 0.0, x: float | None = None) -> Mapping[str, Mapping[str, float]]:
        """Nominal derivatives of the lattice alone (no bodies) in body axes about its moment point.

        See :func:`planewright.analysis.air.forms.derivatives`. ``alpha`` rad. ``x``: moment point and centre of
        rotation, m (default the lattice's own). The wake follows the stream in sideslip.
        """
        solution = self.solution
        if x is not None:
            solution = solution.moved(np.array([x, *solution.about[1:]]))
        s = solution.state(alpha)
        return derivatives(solution, s, self.reference, beta_correction(solution, s))

    # -- states ------------------------------------------------------------------------------------------------

    def _terms(self, states: States, alpha: Array, elevator: Array) -> Array:
        """[1, alpha, wing incidence, elevator] times the slope factor, shape (4, N)."""
        slope = states.factor("sec.slope")
        moved = states.factor("ctl.effect") * elevator
        return np.asarray(slope * np.stack((np.ones_like(alpha), alpha, -states.shift("sec.alpha0"), moved)))

    def _moment(self, states: States, terms: Array, alpha: Array, x: Array | None = None) -> Array:
        """Cm, nose up, about ``x`` (default the lattice's point)."""
        chord = self.reference.chord
        lift = self.lift @ terms
        arm = 0.0 if x is None else (x - self.about_x) / chord
        moment = self.pitch @ terms + self.body_pitch * alpha + states.shift("sec.cm0")
        return np.asarray(moment + lift * (arm - states.shift("np.shift")))

    def pressure(self, speed: Array | float, density: float, count: int) -> Array:
        """Dynamic pressure, Pa, (N,)."""
        return np.broadcast_to(0.5 * density * np.asarray(speed, float) ** 2, (count,))

    def trim(
        self,
        states: States,
        mass_state: MassState,
        speed: Array | float,
        density: float = SEA_LEVEL_DENSITY,
        load_factor: Array | float = 1.0,
        moment: Array | float = 0.0,
    ) -> Trim:
        """Level flight (or a turn) at one speed: angle of attack and elevator.

        Arguments:
            speed: m/s, scalar or (N,). density: kg/m3. load_factor: lift over weight.
            moment: other pitching moment about the centre of gravity, N m nose up (thrust line, drag of gear).
        Returns: Trim. Without an elevator only the lift is met and ``moment`` of the result tells what is left.
        """
        dynamic = self.pressure(speed, density, states.count)
        wanted = load_factor * mass_state.mass * GRAVITY / (dynamic * self.reference.area)
        other = np.asarray(moment) / (dynamic * self.reference.area * self.reference.chord)
        return self.trim_at(
            states, mass_state.cg[0], wanted, np.broadcast_to(speed, (states.count,)), density, other
        )

    def trim_at(
        self, states: States, x: Array, lift: Array, speed: Array, density: float, moment: Array | float = 0.0
    ) -> Trim:
        """Trim at a total lift coefficient about ``x``; ``moment`` is another Cm. Two linear equations, exact."""
        zero, one = np.zeros(states.count), np.ones(states.count)
        base = self._terms(states, zero, zero)
        level = self.lift @ base
        left = self._moment(states, base, zero, x) + moment
        by_alpha = self._terms(states, one, zero) - base
        by_stick = self._terms(states, zero, one) - base
        lift_a, lift_d = self.lift @ by_alpha, self.lift @ by_stick
        moment_a = self._moment(states, base + by_alpha, one, x) + moment - left
        moment_d = self._moment(states, base + by_stick, zero, x) + moment - left
        elevator = zero
        if self.elevator:
            elevator = (-left * lift_a - (lift - level) * moment_a) / (moment_d * lift_a - lift_d * moment_a)
        alpha = (lift - level - lift_d * elevator) / lift_a
        return self._trimmed(states, alpha, elevator, x, speed, density, moment)

    def at_angle(
        self,
        states: States,
        mass_state: MassState,
        alpha: Array | float,
        speed: Array | float,
        density: float = SEA_LEVEL_DENSITY,
        elevator: Array | float = 0.0,
    ) -> Trim:
        """The state at a given angle of attack and elevator (rad), such as rolling on the ground; not trimmed."""
        count = states.count
        angle, stick, fast = (
            np.broadcast_to(np.asarray(one, float), (count,)) for one in (alpha, elevator, speed)
        )
        return self._trimmed(states, angle, stick, mass_state.cg[0], fast, density, 0.0)

    def drag_polar(
        self, states: States, mass_state: MassState, speed: Array | float, density: float = SEA_LEVEL_DENSITY
    ) -> tuple[Array, Array]:
        """CD0 and k of CD = CD0 + k CL^2 through the trimmed drag at CL 0.2 and 0.7, each (N,).

        Reynolds numbers are taken at ``speed`` (m/s). For runs and glides; :meth:`drag` is the full answer.
        """
        count = states.count
        fast = np.broadcast_to(np.asarray(speed, float), (count,))
        low, high = (
            self.drag(
                states, self.trim_at(states, mass_state.cg[0], np.full(count, cl), fast, density)
            ).coefficient
            for cl in POLAR_LIFTS
        )
        k = (high - low) / (POLAR_LIFTS[1] ** 2 - POLAR_LIFTS[0] ** 2)
        return low - k * POLAR_LIFTS[0] ** 2, k

    def _trimmed(
        self,
        states: States,
        alpha: Array,
        elevator: Array,
        x: Array,
        speed: Array,
        density: float,
        moment: Array | float,
    ) -> Trim:
        """Finish a Trim from its angles."""
        terms = self._terms(states, alpha, elevator)
        lift = self.lift @ terms
        rest = (
            (lift - self.wing_lift @ terms)
            * self.pressure(speed, density, states.count)
            * self.reference.area
        )
        left = self._moment(states, terms, alpha, x) + moment
        return Trim(alpha, elevator, lift, rest, left, np.asarray(speed, float), density)

    def strip_lift(self, states: States, alpha: Array, elevator: Array) -> Array:
        """cl of each strip, (S, N)."""
        return np.asarray(self.strips.lift @ self._terms(states, alpha, elevator))

    # -- stall -------------------------------------------------------------------------------------------------

    def section_maxima(self, states: States, speed: Array, density: float) -> Array:
        """Greatest section lift of the reference wing's strips at a speed, (S, N) with nan elsewhere."""
        top = np.full((self.strips.chord.size, states.count), np.nan)
        for place in np.flatnonzero(self.strips.sheet == 0):
            reynolds = density * np.asarray(speed) * self.strips.chord[place] / VISCOSITY
            top[place] = self.strips.polars[place].maximum(reynolds)
        return np.asarray(top * states.factor("sec.clmax"))

    def maximum_lift(
        self,
        states: States,
        speed: Array | float,
        density: float = SEA_LEVEL_DENSITY,
        x: Array | float | None = None,
    ) -> Stall:
        """Greatest lift: the first strip along the span to reach its section's maximum, times what the spreading of
        the stall over the other strips adds or takes (``spread``, where section curves are known).

        Arguments:
            speed: m/s at which Reynolds numbers are taken, scalar or (N,). x: centre of gravity, m, about which
            the aeroplane is trimmed by its elevator all the way (None: elevator neutral).
        Sources: strip limit, common practice of lifting-line work (critical section), valid for moderate taper;
        spread, :mod:`planewright.analysis.air.stalling` at the medians, carried to all draws as a factor.
        """
        fast = np.broadcast_to(np.asarray(speed, float), (states.count,))
        (alpha, terms), (alpha_1, terms_1) = (
            self._on_the_way(states, cl, fast, density, x) for cl in (0.0, 1.0)
        )
        limit = self.section_maxima(states, fast, density)
        low, high = self.strips.lift @ terms, self.strips.lift @ terms_1
        steps = (limit - low) / np.where(high > low, high - low, np.nan)
        first = np.argmin(np.where(np.isfinite(steps), steps, np.inf), axis=0)
        step = steps[first, np.arange(states.count)]
        part, later = self.strips.part[first], 0.0
        if self.spread is not None:
            more = (self.spread.share - 1) * (self.wing_lift @ (terms + step * (terms_1 - terms)))
            here = alpha + step * (alpha_1 - alpha)
            step = step + more / (self.wing_lift @ (terms_1 - terms))
            later = here + self.spread.turn - (alpha + step * (alpha_1 - alpha))
            part = part if self.spread.part is None else np.full(states.count, self.spread.part)
        terms = terms + step * (terms_1 - terms)
        tip = int(np.flatnonzero((self.strips.sheet == 0) & (self.strips.part < TIP))[-1])
        return Stall(
            lift=self.lift @ terms,
            wing_lift=self.wing_lift @ terms,
            alpha=alpha + step * (alpha_1 - alpha) + later,
            part=part,
            tip_share=self.strips.lift[tip] @ terms / limit[tip],
            speed=np.full(states.count, np.nan),
        )

    def _on_the_way(
        self, states: States, lift: float, speed: Array, density: float, x: Array | float | None
    ) -> tuple[Array, Array]:
        """Angle of attack and terms at a lift coefficient, trimmed about ``x`` or with the elevator neutral."""
        about = np.broadcast_to(self.about_x if x is None else x, (states.count,))
        trim = self.trim_at(states, about, np.full(states.count, lift), speed, density)
        elevator = np.zeros(states.count) if x is None else trim.elevator
        return trim.alpha, self._terms(states, trim.alpha, elevator)

    def stall(
        self,
        states: States,
        mass_state: MassState,
        density: float = SEA_LEVEL_DENSITY,
        load_factor: Array | float = 1.0,
    ) -> Stall:
        """Stall speed and the lift at it, Reynolds numbers taken at that speed. Trimmed where there is an elevator.

        Raises NotConverged when speed and greatest lift do not settle, or when a strip stalls before the wing lifts.
        """
        x = mass_state.cg[0] if self.elevator else None
        loading = load_factor * mass_state.mass * GRAVITY / self.reference.area
        speed = np.sqrt(2 * loading / (density * 1.1))
        for _ in range(STALL_ROUNDS):
            found = self.maximum_lift(states, speed, density, x)
            least = float(np.min(found.lift))
            if not least > 0:
                raise NotConverged(
                    "greatest lift by the strip limit (twist or shape outside the method)", least
                )
            new = np.sqrt(2 * loading / (density * found.lift))
            change = float(np.max(np.abs(new / speed - 1)))
            speed = new
            if change < STALL_SETTLED:
                return Stall(found.lift, found.wing_lift, found.alpha, found.part, found.tip_share, speed)
        raise NotConverged("stall speed", change)

    # -- drag --------------------------------------------------------------------------------------------------

    def induced(self, states: States, trim: Trim) -> Array:
        """Induced drag coefficient of all surfaces together, from the far wake, (N,)."""
        terms = self._terms(states, trim.alpha, trim.elevator)
        drag = np.einsum("in,ij,jn->n", terms, self.drag_form, terms)
        return np.asarray(drag / states.factor("drag.e"))

    def _profile(self, cl: Array, fast: Array, density: float) -> dict[str, Array]:
        """Profile drag coefficient of each group of surfaces, on the wing area: wing and tail."""
        out = {"wing": np.zeros_like(fast), "tail": np.zeros_like(fast)}
        strips = self.strips
        for place in range(strips.chord.size):
            reynolds = density * fast * strips.chord[place] / VISCOSITY
            drag = strips.polars[place].profile_drag(reynolds, cl[place])
            area = strips.count[place] * strips.chord[place] * strips.width[place] / self.reference.area
            out["wing" if strips.sheet[place] == 0 else "tail"] += area * drag
        return out

    def drag(self, states: States, trim: Trim) -> Drag:
        """Drag at a trimmed state: smooth build-up times ``drag.cd0``, and induced drag.

        Returns: Drag with parts wing, tail, body, nacelles, gear, horns, junctions, ducts,
        "tape, gaps, steps" (what ``drag.cd0`` adds to the smooth sum) and induced. Valid below the stall.
        """
        count = states.count
        fast = np.broadcast_to(trim.speed, (count,)).astype(float)
        parts = self._profile(self.strip_lift(states, trim.alpha, trim.elevator), fast, trim.density)
        for piece in self.pieces:
            area = piece.drag_area(trim.density * fast / VISCOSITY) / self.reference.area
            parts[piece.group] = parts.get(piece.group, np.zeros(count)) + area
        cornered = [parts[name] for name in ("wing", "body", "nacelles") if name in parts]
        if len(cornered) > 1:
            parts["junctions"] = JUNCTION * np.sum(cornered, axis=0)
        if any(engine.kind == "fan" for engine in self.geometry.plane.engines):
            parts["ducts"] = DUCT_LIPS * np.sum(cornered[1:], axis=0) if cornered[1:] else np.zeros(count)
        smooth = np.sum(list(parts.values()), axis=0)
        parts[TAPE_AND_GAPS] = (states.factor("drag.cd0") - 1) * smooth
        parts["induced"] = self.induced(states, trim)
        total = np.sum(list(parts.values()), axis=0)
        force = total * self.pressure(fast, trim.density, count) * self.reference.area
        return Drag(parts, total, force)

    def level_drag(
        self, states: States, mass_state: MassState, speed: Array | float, density: float = SEA_LEVEL_DENSITY,
        load_factor: Array | float = 1.0, moment: Array | float = 0.0,
    ) -> Drag:  # fmt: skip
        """Drag in level flight or a level turn at ``speed``, trimmed: :meth:`trim` then :meth:`drag`."""
        return self.drag(states, self.trim(states, mass_state, speed, density, load_factor, moment))

    # -- loads -------------------------------------------------------------------------------------------------

    def span_load(self, cl: float = 1.0) -> SpanLoad:
        """Lift along one half of the reference wing at a wing lift coefficient, nominal, elevator neutral.

        Basic load of twist and camber plus additional load of angle of attack. ``y`` and ``width`` as seen from
        above. Raises ValueError when ``cl`` is 0 (shares of nothing).
        """
        if abs(cl) < 1e-9:
            raise ValueError("shares of lift need a lift coefficient that is not 0")
        mine = self.strips.sheet == 0
        strips = self.strips
        alpha = (cl - self.wing_lift[0]) / self.wing_lift[1]
        load = (strips.lift[mine, 0] + strips.lift[mine, 1] * alpha) * strips.chord[mine]
        across = self._across(mine)
        lift = load * across
        return SpanLoad(strips.place[mine, 1], across, lift / (2 * lift.sum()))

    def _across(self, mine: npt.NDArray[np.bool_]) -> Array:
        """Widths seen from above of the chosen right-half strips, m."""
        grid = self.solution.grid
        first = np.searchsorted(grid.strip, np.flatnonzero(~grid.left))
        return np.asarray(np.abs((grid.end - grid.start)[first, 1])[mine])
