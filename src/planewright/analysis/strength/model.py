"""The wing in flight: load factor at failure, mode by mode, with its joints and without them.

Done once for a drawing: sections, lift along the span, own weight. Knowledge then multiplies, for all draws at
once; where the pieces on the wing are known one by one, their weight relieves each draw by its own amount. What is
not looked at is said in ``StrengthModel.not_covered``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import Carried, SpanLoad, States, WingMasses
from planewright.analysis.strength import modes
from planewright.analysis.strength.half import HalfWing, half_wing
from planewright.analysis.strength.joints import Joiner, JointNeed, joiners, need_of
from planewright.analysis.strength.loads import GRAVITY, Along, lift_per_weight, own_weight, tip_lift
from planewright.errors import Fault, InputError
from planewright.geometry import Geometry
from planewright.plane.model import Joint

Array = npt.NDArray[np.float64]

FLYING_WING = "wing-1"
ULTIMATE = 1.5
JOINT_FACTOR = 1.15
ARTICLE = {
    modes.STICK: "article.stick",
    modes.STICK_BUCKLING: "article.stick",
    modes.FACE: "article.skin",
    modes.PANEL: "article.skin",
    modes.SPAR_END: "article.skin",
    modes.WEB: "article.skin",
    modes.WEB_BUCKLING: "article.skin",
    modes.GLUE: "article.joint",
}
SWEEP_NOTE = "swept beyond 20 deg: the rule for sweep was not tried there"


@dataclass(frozen=True)
class Governing:
    """A mode that is first to give in some draws: ``share`` of the draws, middle ``place`` (m out)."""

    mode: str
    share: float
    place: float


@dataclass(frozen=True)
class Relief:
    """Shear and moment along the half wing of one kilogram of one piece, N and N m, and its mass for any states."""

    along: Along
    carried: Carried


@dataclass(frozen=True)
class StrengthModel:
    """Strength of one drawn wing.

    ``half``: its sections. ``lift``: shear and moment per newton of lift of the whole aeroplane; ``own``: those of
    its own weight at 1 g. ``joiners``: joints whose strength follows from the drawing. ``unproved``: joints whose
    strength only a proof tells. ``limit``: limit load factor; 1.5 times it must be carried (14 CFR 25.303).
    ``mass``: median mass of the aeroplane, kg, used where none is given. ``not_covered``: what is not looked at.
    ``relief``: the pieces on the wing one by one; without them ``own`` stands for all draws.
    """

    wing: str
    half: HalfWing
    lift: Along
    own: Along
    joints: tuple[Joint, ...]
    joiners: tuple[Joiner, ...]
    limit: float
    mass: float | None
    not_covered: tuple[str, ...]
    relief: tuple[Relief, ...] = ()

    @property
    def needed(self) -> float:
        """Load factor that must be carried without failure: 1.5 times the limit (14 CFR 25.303)."""
        return ULTIMATE * self.limit

    @property
    def unproved(self) -> tuple[str, ...]:
        """Names of the joints whose strength no drawing tells: hinges with latches."""
        known = {joiner.joint.name for joiner in self.joiners}
        return tuple(joint.name for joint in self.joints if joint.name not in known)

    def _mass(self, mass: Array | float | None) -> Array:
        given = self.mass if mass is None else mass
        if given is None:
            raise InputError((_no_mass(),))
        return np.atleast_1d(np.asarray(given, dtype=np.float64))

    def own_weight(self, states: States | None = None) -> modes.Case:
        """Shear and moment of the wing's own weight at 1 g, (s, 1) at medians or (s, N) draw by draw."""
        if states is None or not self.relief:
            return modes.Case(self.own.moment[:, None], self.own.shear[:, None])
        masses = np.array([one.carried.mass(states) for one in self.relief])
        moment, shear = (
            np.array([getattr(one.along, what) for one in self.relief]).T for what in ("moment", "shear")
        )
        return modes.Case(moment @ masses, shear @ masses)

    def case(self, mass: Array | float | None = None, states: States | None = None) -> modes.Case:
        """Net moment and shear at 1 g, (s, N): lift less own weight, for aeroplanes of ``mass`` kg; with ``states``
        the own weight is that of each draw."""
        weight, own = GRAVITY * self._mass(mass), self.own_weight(states)
        moment = self.lift.moment[:, None] * weight - own.moment
        return modes.Case(moment, self.lift.shear[:, None] * weight - own.shear)

    def moment_at(self, out: float, mass: Array | float | None = None, states: States | None = None) -> Array:
        """Net bending moment at 1 g at ``out`` m from the middle, N m, (N,)."""
        return at_place(self.half.y, self.case(mass, states).moment, out)

    def reached(self, states: States, mass: Array | float | None = None) -> Mapping[str, modes.Reached]:
        """Load factor and place at which each mode of the wing, without its joints, is reached."""
        found = modes.reached(self.half, self.case(mass, states), states)
        return {mode: self._of_article(mode, one, states) for mode, one in found.items()}

    def _of_article(self, mode: str, one: modes.Reached, states: States) -> modes.Reached:
        return modes.Reached(one.load * states.factor(ARTICLE[mode], FLYING_WING), one.place)

    def joint_capacity(self, states: States, mass: Array | float | None = None) -> Mapping[str, Array]:
        """Load factor at which each plug-in joint gives, (N,), by "joint NAME". ``joint.factor`` stands here, on
        the strength, once; the 1.15 of ``joint_needs`` is not applied as well."""
        factor = states.factor("joint.factor") * states.factor("article.joint", FLYING_WING)
        one_g = {
            j.joint.name: np.maximum(self.moment_at(j.joint.out, mass, states), modes.TINY)
            for j in self.joiners
        }
        return {f"joint {j.joint.name}": j.moment * factor / one_g[j.joint.name] for j in self.joiners}

    def capacity(
        self, states: States, mass: Array | float | None = None, joints: bool = True
    ) -> Mapping[str, Array]:
        """Load factor at failure by mode, each (N,), of the aeroplane of ``mass`` kg (scalar or (N,)); plug-in
        joints are modes of their own unless ``joints`` is False."""
        found = {mode: one.load for mode, one in self.reached(states, mass).items()}
        return found | dict(self.joint_capacity(states, mass)) if joints else found

    def load_factor(self, states: States, mass: Array | float | None = None, joints: bool = True) -> Array:
        """Load factor at failure, (N,): the least over the modes, draw by draw."""
        return np.asarray(np.min(np.array(list(self.capacity(states, mass, joints).values())), axis=0))

    def along_the_span(self, states: States, mass: Array | float | None = None) -> tuple[Array, Array]:
        """(moment that breaks the wing at each station, moment of level flight), each (s, N), N m, under the shape of
        the flying load; joints left out. Modes of shear count by the moment that stands there with them."""
        case = self.case(mass, states)
        bent = modes.settled_bending(self.half, case, states)
        work = states.factor("work.strength")
        most = np.max(
            np.array([
                use / (work * states.factor(ARTICLE[mode], FLYING_WING))
                for mode, use in modes.uses(self.half, bent, case, states).items()
            ]),
            axis=0,
        )  # fmt: skip
        return case.moment / np.maximum(most, modes.TINY), case.moment

    def governing(self, states: States, mass: Array | float | None = None) -> tuple[Governing, ...]:
        """Which mode gives first in what share of the draws, largest first, and where."""
        found = dict(self.reached(states, mass))
        for joiner in self.joiners:
            name = f"joint {joiner.joint.name}"
            load = self.joint_capacity(states, mass)[name]
            found[name] = modes.Reached(load, np.full(load.shape, joiner.joint.out))
        return governing(found)

    def joint_needs(self, mass: float | None = None, limit: float | None = None) -> Mapping[str, JointNeed]:
        """What each joint must carry at ``limit`` (the file's limit load when None) and at 1.5 x 1.15 times it."""
        load = self.limit if limit is None else limit
        one_g = {joint.name: float(self.moment_at(joint.out, mass)[0]) for joint in self.joints}
        own = {joint.name: float(np.interp(joint.out, self.half.y, self.own.moment)) for joint in self.joints}
        over = ULTIMATE * JOINT_FACTOR
        return {j.name: need_of(j, one_g[j.name], own[j.name], load, over) for j in self.joints}

    def under(self, along: Along, states: States) -> Mapping[str, Array]:
        """Multiple (N,) of another load at which each mode and plug-in joint is reached: above 1 it is held.

        ``along`` must stand at this model's stations ``half.y``; a proof by lifting at the tips is
        ``loads.tip_lift(model.half.y, ...)``.
        """
        case = modes.Case(along.moment[:, None], along.shear[:, None])
        found = modes.reached(self.half, case, states)
        wing = {mode: self._of_article(mode, one, states).load for mode, one in found.items()}
        factor = states.factor("joint.factor") * states.factor("article.joint", FLYING_WING)
        at = {j.joint.name: float(np.interp(j.joint.out, along.y, along.moment)) for j in self.joiners}
        return wing | {f"joint {j.joint.name}": j.moment * factor / at[j.joint.name] for j in self.joiners}

    def spar_ends(self, states: States, along: Along) -> Mapping[float, Array]:
        """Force (N,) in the upper stick at each spar end that stops short of the tip, by its place (m out), under a
        load that stands at ``half.y``: what the skins must take over within about 60 mm."""
        bent = modes.section_bending(self.half, states)
        found = {}
        for stick in self.half.sticks:
            last = int(np.flatnonzero(stick.present)[-1])
            if stick.upper and last < len(self.half.y) - 1:
                strain = bent.strain(stick.x[:, None], stick.z[:, None])[last]
                stiff = stick.area * stick.wood.modulus * states.factor("stick.modulus", stick.stock)
                found[float(self.half.y[last])] = along.moment[last] * strain * stiff
        return found

    def deflection(self, states: States, mass: Array | float | None = None) -> Array:
        """Rise of the tip at 1 g, m, (N,)."""
        return modes.tip_deflection(self.half, self.case(mass, states), states)


def at_place(y: Array, values: Array, out: float) -> Array:
    """Values (s, N) at stations ``y`` read off at ``out``, (N,), straight between stations."""
    right = int(np.clip(np.searchsorted(y, out), 1, len(y) - 1))
    share = np.clip((out - y[right - 1]) / (y[right] - y[right - 1]), 0.0, 1.0)
    return np.asarray((1 - share) * values[right - 1] + share * values[right])


def governing(found: Mapping[str, modes.Reached]) -> tuple[Governing, ...]:
    """Share of the draws in which each mode is the first, largest first, with its middle place (m out)."""
    names = tuple(found)
    first = np.argmin(np.array([found[name].load for name in names]), axis=0)
    rows = [
        (names[i], float(np.mean(first == i)), found[names[i]].place[first == i]) for i in range(len(names))
    ]
    kept = [Governing(name, share, float(np.median(place))) for name, share, place in rows if share > 0]
    return tuple(sorted(kept, key=lambda row: (-row.share, row.mode)))


def _no_mass() -> Fault:
    return Fault(
        "aeroplane.toml",
        0,
        "strength",
        "was asked without a mass",
        "A load factor needs the mass of the aeroplane.",
        "Give mass to strength_model or with the question.",
    )


def strength_model(
    geometry: Geometry,
    span_load: SpanLoad,
    wing_masses: WingMasses,
    mass: float | None = None,
    carried: Iterable[Carried] = (),
) -> StrengthModel:
    """Strength of the reference wing.

    Arguments:
        geometry: the derived aeroplane; its reference wing must have a skin board.
        span_load: lift along one half wing at the case looked at.
        wing_masses: what the half wing itself weighs and carries; it relieves the bending.
        mass: median mass of the aeroplane, kg; may be given with each question instead.
        carried: the same pieces one by one, so that own weight varies from draw to draw.
    Raises:
        InputError: there is no wing, or it has no skin board.
    """
    shape = geometry.wing
    if shape is None:
        raise InputError((Fault("aeroplane.toml", 0, "wing", "is missing", "Strength looks at a wing.", ""),))
    half = half_wing(geometry.plane, shape.surface)
    lift, own = lift_per_weight(half.y, span_load), own_weight(half.y, wing_masses)
    notes = (
        modes.NOT_COVERED,
        *(() if half.sweep_covered else (SWEEP_NOTE,)),
        *_other_boards(geometry, half),
    )
    found = joiners(geometry.plane, shape.surface, half)
    joints = shape.surface.joints
    load = geometry.plane.limits.load
    relief = tuple(Relief(own_weight(half.y, one.unit), one) for one in carried)
    return StrengthModel(shape.surface.name, half, lift, own, joints, found, load, mass, notes, relief)


def _other_boards(geometry: Geometry, half: HalfWing) -> tuple[str, ...]:
    """A sentence for each sheet of skin or web that is no foam board."""
    stock = geometry.plane.stock
    names = dict.fromkeys((half.skin_stock, *(web.stock for web in half.webs)))
    said = "{} is {}, taken as a faced board of its weight: no method of its own yet"
    return tuple(said.format(n, stock[n].kind) for n in names if stock[n].kind != "foam board")


def tip_lift_moments(geometry: Geometry, wing_masses: WingMasses, mass: float) -> Mapping[str, float]:
    """Moments when the whole aeroplane, ``mass`` kg, is lifted by both tips, N m: "root" and each joint's name."""
    shape = geometry.wing
    if shape is None:
        return {}
    surface = shape.surface
    places = {"root": 0.0} | {joint.name: joint.out for joint in surface.joints}
    found = tip_lift(np.array(list(places.values())), surface.half_span, mass, wing_masses)
    return dict(zip(places, (float(value) for value in found.moment), strict=True))
