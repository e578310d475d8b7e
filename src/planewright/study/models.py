"""Nominal work, done once for a drawing: geometry, lattice, cross-sections, engines. Frozen when made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from planewright.analysis.air import AirModel, air_model
from planewright.analysis.air.forms import influence
from planewright.analysis.air.stalling import with_spread
from planewright.analysis.atmosphere import GRAVITY
from planewright.analysis.handling import Prepared, near_ground, prepare
from planewright.analysis.mass import MassModel, mass_model
from planewright.analysis.power import PowerModel, power_model
from planewright.analysis.strength import Stiffness, StrengthModel, stiffness, strength_model
from planewright.errors import InputError, NotConverged, OutOfRange
from planewright.geometry import Geometry, derive
from planewright.knowledge.draws import Draws, at_medians
from planewright.knowledge.model import Knowledge
from planewright.ledger.model import Ledger
from planewright.plane.model import Plane

DENSITY = 1.225
SPEED_OVER_STALL = 1.5

Array = npt.NDArray[np.float64]
Made = TypeVar("Made")


@dataclass(frozen=True)
class Models:
    """Everything nominal about one aeroplane. A model that could not be made is None and ``why`` says so by name."""

    plane: Plane
    ledger: Ledger
    geometry: Geometry
    mass: MassModel
    air: AirModel | None
    strength: StrengthModel | None
    power: PowerModel | None
    density: float
    why: dict[str, str]
    top_speed: float | None = None
    stall_turn: float = 0.0
    """How much further down the elevator stands at greatest lift than linear air says, rad (negative: up)."""
    middle: Draws | None = None

    @cached_property
    def stiffness(self) -> Stiffness | None:
        """The wing in twist with its seams closed, at medians; None without a wing that can be worked out."""
        if self.strength is None or self.middle is None:
            return None
        points = self.mass.wing_points(self.middle)
        return stiffness(self.geometry, self.strength.half, points, self.middle, self.density)

    @cached_property
    def prepared(self) -> Prepared | None:
        """What all derivative sets share; None without air."""
        return None if self.air is None else prepare(self.air)

    @cached_property
    def over_runway(self) -> AirModel | None:
        """The air with the runway at the wheels' contact; None without air or wheels."""
        if self.air is None or not self.plane.wheels:
            return None
        return near_ground(self.air, min(one.z for one in self.plane.wheels))


def attempt(name: str, make: Callable[[], Made], why: dict[str, str]) -> Made | None:
    """The model, or None with the reason in words under ``name``."""
    try:
        return make()
    except InputError as error:
        why[name] = " ".join(
            f"{one.path}: read {one.read}, expected {one.expected} {one.advice}" for one in error.faults
        )
    except OutOfRange as error:
        why[name] = str(error)
    return None


def level_lift(air: AirModel, mass: MassModel, middle: Draws, density: float) -> float:
    """Lift coefficient of level flight at the planned speed (1.5 times the stall speed when none was typed), at
    medians: the span load of the 1 g case, which the load factor multiplies."""
    state = mass.evaluate(middle)
    typed = mass.geometry.plane.first_flight.speed
    speed = SPEED_OVER_STALL * air.stall(middle, state, density).speed[0] if typed is None else typed
    return float(state.mass[0] * GRAVITY / (0.5 * density * speed**2 * air.reference.area))


def spread_stall(air: AirModel, mass: MassModel, middle: Draws, density: float) -> AirModel:
    """The air with its stall spreading over the strips at medians; as it was where no stall is found at all."""
    try:
        return with_spread(air, middle, mass.evaluate(middle), density=density)
    except (NotConverged, OutOfRange):
        return air


def make_models(plane: Plane, ledger: Ledger, knowledge: Knowledge, density: float = DENSITY) -> Models:
    """All nominal models of a plane. Without a wing there is no air and no strength; without engine or battery no
    power; each absence carries its reason. ``density``: kg/m3."""
    why: dict[str, str] = {}
    geometry = derive(plane)
    mass = mass_model(geometry, ledger)
    air = strength = None
    if geometry.wing is None or not mass.items:
        why["air"] = why["strength"] = "there is no wing in the file"
    else:
        air = attempt("air", lambda: air_model(geometry), why)
    middle = at_medians(knowledge)
    if air is not None:
        air = spread_stall(air, mass, middle, density)
        load = air.span_load(level_lift(air, mass, middle, density))
        whole = float(mass.evaluate(middle).mass[0])
        strength = attempt(
            "strength",
            lambda: strength_model(geometry, load, mass.wing_masses(middle), whole, mass.wing_pieces()),
            why,
        )
    power = attempt("power", lambda: power_model(plane, density), why)
    return Models(plane, ledger, geometry, mass, air, strength, power, density, why, middle=middle)


def lattice_matrix(plane: Plane) -> Array:
    """Influence matrix of the plane's own lattice, (panels, panels), for benches. ValueError without a wing."""
    geometry = derive(plane)
    if geometry.wing is None:
        raise ValueError("there is no wing, so there is no lattice")
    return influence(air_model(geometry).solution.grid)
