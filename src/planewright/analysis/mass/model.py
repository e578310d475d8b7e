"""The mass model: every piece as drawn or as weighed, and from it mass, balance and inertia for any knowledge.

Nominal things are done once, when the model is made; ``evaluate`` is a sum of factors times fixed moments.
Source of the sums: the definitions of centre of mass and of moments of inertia about it (parallel-axis rule).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from planewright.analysis.mass.bought import bought_items, in_surface
from planewright.analysis.mass.hulls import body_items
from planewright.analysis.mass.items import DRAWN, GROWTH, Factors, Item, total
from planewright.analysis.mass.structure import surface_items
from planewright.analysis.mass.weighed import Taken, take
from planewright.analysis.model import Carried, MassState, States, WingMasses
from planewright.errors import Fault, OutOfRange
from planewright.geometry.model import Geometry
from planewright.knowledge.draws import Draws, normal_stream
from planewright.ledger.model import Ledger, Weighing

Array = npt.NDArray[np.float64]

SCALE: tuple[str, str] = ("scale.gain", "")
BATTERY = "battery"
STRIPS = 40
"""Strips of a half wing in :meth:`MassModel.wing_masses`."""


@dataclass(frozen=True)
class MassRow:
    """One piece in the table of weights.

    ``part``: its name. ``drawn``: kg as drawn, without growth. ``mass``: kg in the sum (median of the states).
    ``centre``: (x, y, z) m. ``built``: made by the team. ``how``: "weighed", "drawn" or "stated" (bought, not
    weighed). ``weighing``: the line in force, ``share`` the part of it that is this piece; ``struck``: earlier
    lines of that name, kept and shown struck through. ``items``: (what, drawn kg) of what it is made of.
    """

    part: str
    drawn: float
    mass: float
    centre: tuple[float, float, float]
    built: bool
    how: Literal["weighed", "drawn", "stated"]
    weighing: Weighing | None
    share: float
    struck: tuple[Weighing, ...]
    items: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Lump:
    """Moments (8,) that share their factors."""

    factors: Factors
    moments: Array


@dataclass(frozen=True)
class MassModel:
    """Mass of one aeroplane, as made by :func:`mass_model`.

    ``items``: everything drawn or stated. ``taken``: what was weighed, by piece. ``questions``: weighings that are
    asked about and left out of the sum.
    """

    geometry: Geometry
    ledger: Ledger
    items: tuple[Item, ...]
    taken: Mapping[str, Taken]
    questions: tuple[Fault, ...]

    @cached_property
    def _pieces(self) -> Mapping[str, tuple[Item, ...]]:
        names = dict.fromkeys(one.part for one in self.items)
        return {name: tuple(one for one in self.items if one.part == name) for name in names}

    @cached_property
    def _drawn(self) -> Mapping[str, Array]:
        return {name: total(items) for name, items in self._pieces.items()}

    @cached_property
    def _lumps(self) -> tuple[Lump, ...]:
        """Moments of all but the battery, gathered by the factors they share."""
        sums: dict[Factors, Array] = {}
        for name, items in self._pieces.items():
            if name == BATTERY:
                continue
            for factors, moments in self._of_piece(name, items):
                sums[factors] = sums.get(factors, np.zeros(8)) + moments
        return tuple(Lump(factors, moments) for factors, moments in sums.items())

    def _of_piece(self, name: str, items: tuple[Item, ...]) -> list[tuple[Factors, Array]]:
        if name in self.taken:
            return [((SCALE,), self._drawn[name] * (self.taken[name].mass / self._drawn[name][0]))]
        return [(_all_factors(one), one.moments) for one in items]

    def evaluate(self, states: States, battery_x: float | Array | None = None) -> MassState:
        """Mass, centre of gravity and inertia.

        Arguments:
            states: knowledge of N draws or points.
            battery_x: x of the battery's middle, m, one number or (N,); None takes the drawn place.
        Returns:
            MassState of arrays (N,), with the unmodelled shift of the centre of gravity and the factors on inertia.
        Raises:
            OutOfRange: there is nothing that has a mass.
        """
        if not self.items:
            raise OutOfRange("the mass of the aeroplane in kg", 0.0, 0.001, np.inf)
        factors: dict[tuple[str, str], Array] = {}
        sums = np.zeros((8, states.count))
        for lump in self._lumps:
            sums += np.outer(lump.moments, _product(states, lump.factors, factors))
        sums += self._rounding(states)
        sums += self._battery(states, battery_x)
        return _state(sums, states)

    def _battery(self, states: States, battery_x: float | Array | None) -> Array:
        pack = self.geometry.plane.battery
        if pack is None:
            return np.zeros((8, states.count))
        mass = self.battery_mass(states)
        x = np.broadcast_to(pack.x if battery_x is None else battery_x, mass.shape)
        none = np.zeros_like(mass)
        each = (none + 1, x, none, none + pack.z, x * x, none, none + pack.z**2, x * pack.z)
        return np.asarray(mass * np.stack(each))

    def battery_mass(self, states: States) -> Array:
        """Mass of all flight packs, (N,) kg; 0 without a battery."""
        if BATTERY not in self._drawn:
            return np.zeros(states.count)
        if BATTERY not in self.taken:
            return np.full(states.count, self._drawn[BATTERY][0])
        return self.taken[BATTERY].mass * states.factor(*SCALE) + _rounding(states, self.taken[BATTERY])

    def _rounding(self, states: States) -> Array:
        """What rounding to the scale's last digit may hide, (8, N); only for seeded draws."""
        sums = np.zeros((8, states.count))
        for name, one in self.taken.items():
            if name != BATTERY:
                sums += np.outer(self._drawn[name] / self._drawn[name][0], _rounding(states, one))
        return sums

    def battery_effect(self, states: States) -> Array:
        """How far the centre of gravity moves for each metre that the battery moves (mm per mm), (N,)."""
        mass = self.evaluate(states).mass
        return np.asarray(self.battery_mass(states) / mass)

    @property
    def built_weighed(self) -> tuple[int, int]:
        """(weighed, all) built pieces."""
        built = {one.part for one in self.items if one.built}
        return len(built & set(self.taken)), len(built)

    def rows(self, states: States = DRAWN) -> tuple[MassRow, ...]:
        """The table of weights, one row for each piece; masses are medians of ``states``."""
        return tuple(self._row(name, items, states) for name, items in self._pieces.items())

    def piece_mass(self, name: str, states: States) -> Array:
        """Mass of one piece, (N,) kg. Raises KeyError when there is no such piece."""
        if name in self.taken:
            return np.asarray(self.taken[name].mass * states.factor(*SCALE))
        known: dict[tuple[str, str], Array] = {}
        parts = (one.mass * _product(states, _all_factors(one), known) for one in self._pieces[name])
        return np.asarray(sum(parts, np.zeros(states.count)))

    def _row(self, name: str, items: tuple[Item, ...], states: States) -> MassRow:
        moments, taken, built = self._drawn[name], self.taken.get(name), items[0].built
        x, y, z = (float(one) for one in moments[1:4] / moments[0]) if moments[0] > 0 else (0.0, 0.0, 0.0)
        what: dict[str, float] = {}
        for one in items:
            what[one.what] = what.get(one.what, 0.0) + one.mass
        return MassRow(
            part=name,
            drawn=float(moments[0]),
            mass=float(np.median(self.piece_mass(name, states))),
            centre=(x, y, z),
            built=built,
            how="weighed" if taken else "drawn" if built else "stated",
            weighing=taken.weighing if taken else None,
            share=taken.share if taken else 0.0,
            struck=self._struck(name, taken),
            items=tuple(what.items()),
        )

    def _struck(self, name: str, taken: Taken | None) -> tuple[Weighing, ...]:
        names = {name, taken.weighing.part} if taken else {name}
        return tuple(one for one in self.ledger.weighings if one.struck and one.part in names)

    def wing_masses(self, states: States = DRAWN) -> WingMasses:
        """Mass that one half of the reference wing carries, mean of left and right; medians of ``states``.

        Its own structure in strips from the centreline to the tip; engines and nacelles outboard of the body and
        servos in the wing as points. Undercarriage is taken to hang on the body, which is cautious for bending.
        Raises ValueError for an aeroplane without a wing.
        """
        wing = self.geometry.wing
        if wing is None:
            raise ValueError("this aeroplane has no wing, so nothing hangs on one")
        edges = np.linspace(0.0, wing.span / 2, STRIPS + 1)
        own = [name for name in self._pieces if name.split(".")[0] == wing.surface.name]
        strip = np.zeros(STRIPS)
        for name in own:
            strip += self._spread(name, edges, states) / 2
        return WingMasses(
            (edges[:-1] + edges[1:]) / 2, np.diff(edges), strip, self._hung(wing.surface.name, states)
        )

    def wing_pieces(self) -> tuple[Carried, ...]:
        """The pieces that one half of the reference wing carries, each with its own mass for every draw: what
        :meth:`wing_masses` sums at medians. Raises ValueError for an aeroplane without a wing."""
        wing = self.geometry.wing
        if wing is None:
            raise ValueError("this aeroplane has no wing, so nothing hangs on one")
        edges = np.linspace(0.0, wing.span / 2, STRIPS + 1)
        places, width = (edges[:-1] + edges[1:]) / 2, np.diff(edges)
        own = [name for name in self._pieces if name.split(".")[0] == wing.surface.name]
        found = [
            Carried(
                name, WingMasses(places, width, self._pattern(name, edges) / 2, {}),
                partial(self.piece_mass, name),
            )
            for name in own
        ]  # fmt: skip
        bare = np.zeros(STRIPS)
        for one, name in self._hanging(wing.surface.name):
            if self._drawn[one.part][0] > 0.0:
                share = one.mass / float(self._drawn[one.part][0]) / 2
                at = {name: (abs(float(one.centre[1])), share)}
                mass = partial(self.piece_mass, one.part)
                found.append(Carried(one.part, WingMasses(places, width, bare, at), mass))
        return tuple(found)

    def wing_points(self, states: States = DRAWN) -> tuple[Array, Array, Array, tuple[str, ...]]:
        """Masses kg on one half of the reference wing as points, with x behind the nose and distance out, m, (n,), and
        the part each belongs to: mean of left and right, medians of ``states``."""
        wing = self.geometry.wing
        if wing is None:
            raise ValueError("this aeroplane has no wing, so nothing hangs on one")
        name = wing.surface.name
        own = [one for one in self.items if one.part.split(".")[0] == name]
        rows = [*own, *(one for one, _ in self._hanging(name))]
        masses, x, y, names = [], [], [], []
        for one in rows:
            whole = float(self._drawn[one.part][0])
            scale = float(np.median(self.piece_mass(one.part, states))) / whole / 2 if whole > 0.0 else 0.0
            masses.append(one.masses * scale)
            x.append(one.places[:, 0])
            y.append(np.abs(one.places[:, 1]))
            names += [one.part] * len(one.masses)
        return np.concatenate(masses), np.concatenate(x), np.concatenate(y), tuple(names)

    def _spread(self, name: str, edges: Array, states: States) -> Array:
        """Mass of a piece in strips between ``edges``, kg, by its drawn pattern."""
        return np.asarray(self._pattern(name, edges) * np.median(self.piece_mass(name, states)))

    def _pattern(self, name: str, edges: Array) -> Array:
        """Where one kilogram of a piece lies in strips between ``edges``."""
        pattern = np.zeros(len(edges) - 1)
        for one in self._pieces[name]:
            out = np.clip(np.abs(one.places[:, 1]), edges[0], edges[-1])
            pattern += np.histogram(out, edges, weights=one.masses)[0]
        return np.asarray(pattern / pattern.sum())

    def _hanging(self, wing: str) -> Iterator[tuple[Item, str]]:
        """(item, name under which it hangs): engines and nacelles outboard of the body, servos in the wing."""
        servos = {f"servo of {one.name}" for one in self.geometry.plane.controls if one.on == wing}
        inside = {
            f"servo of {one.name}" for one in self.geometry.plane.controls if in_surface(self.geometry, one)
        }
        for one in self.items:
            family = one.part.split(".")[0]
            pod = family in self._pods and abs(float(one.centre[1])) > self._body_half_width
            if pod or one.what in servos & inside:
                yield one, family if pod else one.what

    def _hung(self, wing: str, states: States) -> Mapping[str, tuple[float, float]]:
        """Points on one half: name -> (y, mass), the two sides averaged."""
        found: dict[str, tuple[float, float]] = {}
        for one, name in self._hanging(wing):
            mass = (
                one.mass
                * float(np.median(self.piece_mass(one.part, states)))
                / float(self._drawn[one.part][0])
            )
            before = found.get(name, (0.0, 0.0))
            sum_mass = before[1] + mass / 2
            arm = (before[0] * before[1] + abs(float(one.centre[1])) * mass / 2) / sum_mass
            found[name] = (arm, sum_mass)
        return found

    @cached_property
    def _pods(self) -> frozenset[str]:
        return frozenset(("engine", *(one.body.name for one in self.geometry.bodies if one.body.y != 0)))

    @cached_property
    def _body_half_width(self) -> float:
        widths = [float(one.stations[:, 1].max()) / 2 for one in self.geometry.bodies if one.body.y == 0]
        return max(widths, default=0.0)


def _all_factors(one: Item) -> Factors:
    return (*one.factors, GROWTH) if one.built else one.factors


def _product(states: States, factors: Factors, known: dict[tuple[str, str], Array]) -> Array:
    """Product of factors, (N,); each factor is asked for once and kept in ``known``."""
    value = np.ones(states.count)
    for one in factors:
        if one not in known:
            known[one] = states.factor(*one)
        value = value * known[one]
    return value


def _rounding(states: States, taken: Taken) -> Array:
    """Rectangular spread of one unit of the last digit, (N,) kg, of seeded draws with measured inputs free.

    Other states (medians, points of a fit) get 0: rounding is no quantity of knowledge.
    """
    if not isinstance(states, Draws) or "measured" not in states.kinds:
        return np.zeros(states.count)
    uniform = ndtr(normal_stream(f"rounding[{taken.weighing.line}]", states.count, states.seed)) - 0.5
    return np.asarray(taken.resolution * uniform)


def _state(sums: Array, states: States) -> MassState:
    """Mass, centre and inertia about it from the eight moments (8, N)."""
    mass = sums[0]
    cg = sums[1:4] / mass
    xx, yy, zz = (sums[4 + i] - mass * cg[i] ** 2 for i in range(3))
    inertia = np.stack(
        (
            (yy + zz) * states.factor("inertia.roll"),
            (xx + zz) * states.factor("inertia.pitch"),
            (xx + yy) * states.factor("inertia.yaw"),
            sums[7] - mass * cg[0] * cg[2],
        )
    )
    cg = cg + np.stack((states.shift("cg.unmodelled"), np.zeros_like(mass), np.zeros_like(mass)))
    return MassState(mass, cg, inertia)


def mass_model(geometry: Geometry, ledger: Ledger | None = None) -> MassModel:
    """Everything that has a mass, as drawn, with what was weighed in its place.

    Arguments:
        geometry: as derived; its plane names the stock.
        ledger: the weighings; None for none.
    Returns:
        MassModel. A built piece that was not weighed keeps its drawn mass times build.growth, the factors of its
        materials, and the allowance for glue and tape with its doubt; a weighed one has the scale's gain and its
        last digit, so the doubt shrinks as parts are weighed.
    """
    ledger = ledger or Ledger()
    plane = geometry.plane
    items = [one for shape in geometry.surfaces.values() for one in surface_items(plane, shape)]
    items += [one for shape in geometry.bodies for one in body_items(plane, shape)]
    items += bought_items(geometry)
    kept = tuple(one for one in items if one.mass > 0)
    drawn: dict[str, float] = {}
    for one in kept:
        drawn[one.part] = drawn.get(one.part, 0.0) + one.mass
    taken, questions = take(drawn, ledger)
    return MassModel(geometry, ledger, kept, taken, questions)
