"""The bend test of a smaller wing: its own drawing analysed as the aeroplane's is, with only the stated differences.

Only factors pass from one wing to the other, never kilograms. Loads are sand laid elliptically, in kg on each half.
The wing's own weight is left out of both (it helps the sand by a few per cent on an inverted specimen: cautious).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.strength import modes
from planewright.analysis.strength.half import HalfWing, half_wing
from planewright.analysis.strength.loads import GRAVITY, elliptic_span_load, lift_per_weight
from planewright.errors import Fault, InputError, OutOfRange
from planewright.plane.model import Plane, Stock, Surface

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Hung:
    """A half wing under one kilogram of sand a side: sections, load case, and how far out its pad reaches (m)."""

    half: HalfWing
    case: modes.Case
    support: float

    def fails(self, states: States) -> Mapping[str, Array]:
        """Sand on each side at which each mode is reached, kg, (N,)."""
        return {mode: one.load for mode, one in modes.reached(self.half, self.case, states).items()}

    def slope(self, states: States) -> Array:
        """Tip deflection per kg of sand on each side, m/kg, (N,), against the middle of the wing."""
        return modes.tip_deflection(self.half, self.case, states)

    @property
    def moment(self) -> float:
        """Greatest bending moment, N m per kg on each side."""
        return float(np.max(self.case.moment))


@dataclass(frozen=True)
class BendPrediction:
    """Prediction of a bend test, for the specimen (``small``) and the aeroplane's own wing (``full``) side by side.

    Piece-to-piece factors (article, small-piece) are not in it: whoever fits a trial puts its own.
    """

    small: Hung
    full: Hung
    scale: float
    drawing: Plane

    def fails(self, states: States) -> Mapping[str, Array]:
        """Sand on each side of the specimen at which each mode is reached, kg, (N,)."""
        return self.small.fails(states)

    def fails_full(self, states: States) -> Mapping[str, Array]:
        """The same for the aeroplane's own wing."""
        return self.full.fails(states)

    def slope_mm_per_kg(self, states: States) -> Array:
        """Tip deflection of the specimen, mm per kg of sand on each side, (N,)."""
        return 1000.0 * self.small.slope(states)

    @property
    def root_moment_per_kg(self) -> float:
        """Greatest bending moment of the specimen, N m per kg on each side."""
        return self.small.moment

    def exponents(self, states: States) -> Mapping[str, float]:
        """e of each mode in P(small) = scale^e P(full), from the two analyses at the middle of ``states``.

        Raises OutOfRange when the specimen has the aeroplane's own size: there is no scale to speak of.
        """
        if abs(np.log(self.scale)) < 1e-6:
            raise OutOfRange("scale of the specimen", self.scale, 0.1, 0.999)
        small, full = self.fails(states), self.fails_full(states)
        ratio = {mode: float(np.log(np.median(small[mode]) / np.median(full[mode]))) for mode in small}
        return {mode: value / float(np.log(self.scale)) for mode, value in ratio.items()}


def bend_prediction(plane: Plane, specimen: Mapping[str, Any], support: float = 0.0) -> BendPrediction:
    """Predict the bend test of a specimen.

    Arguments:
        plane: the aeroplane.
        specimen: what differs: ``scale`` (its lengths over the aeroplane's), ``skin`` (``thickness`` m, ``mass``
            kg/m2), ``caps`` (two sides, m) of the first spar's sticks, ``ribs`` (m apart), ``joint`` ("none").
            What is not stated is the aeroplane's own: span and chord times scale; sheets, sticks and rib pitch
            as they are.
        support: how far out the pad under the specimen reaches, m: half a saddle's width (0: held at its middle).
    Raises:
        InputError: the aeroplane has no wing, or its wing no skin board.
        OutOfRange: scale outside .1 to 1, or a support beyond a quarter of the half span.
    """
    scale = float(specimen.get("scale", 1.0))
    if not 0.1 <= scale <= 1.0:
        raise OutOfRange("scale of the specimen", scale, 0.1, 1.0)
    drawing = specimen_plane(plane, specimen)
    wing, own = drawing.wing, plane.wing
    if wing is None or own is None:
        raise InputError((Fault("aeroplane.toml", 0, "wing", "is missing", "A bend test is of a wing.", ""),))
    if not 0.0 <= support <= 0.25 * wing.half_span:
        raise OutOfRange("support of the specimen, m", support, 0.0, 0.25 * wing.half_span)
    return BendPrediction(hung(drawing, wing, support), hung(plane, own, support / scale), scale, drawing)


def hung(plane: Plane, wing: Surface, support: float = 0.0) -> Hung:
    """A wing under one kilogram of elliptically laid sand on each half, on a pad that reaches ``support`` m out.

    The pad is taken to press evenly: the moment at the middle is then less than on a knife edge by half the pad's
    half width times the load of one side, and the shear grows from nothing at the middle to the pad's edge.
    """
    half = half_wing(plane, wing, (support,) if support > 0 else ())
    along = lift_per_weight(half.y, elliptic_span_load(half.half_span))
    pad = np.maximum(support - half.y, 0.0) / max(support, 1e-9)
    moment = 2 * along.moment - pad**2 * support / 2
    shear = 2 * along.shear - pad
    return Hung(half, modes.Case(GRAVITY * moment[:, None], GRAVITY * np.abs(shear)[:, None]), support)


def specimen_plane(plane: Plane, specimen: Mapping[str, Any]) -> Plane:
    """The aeroplane's description with its wing drawn as the specimen: scaled, with the stated sheets and sticks."""
    wing = plane.wing
    if wing is None:
        return plane
    scale = float(specimen.get("scale", 1.0))
    stock = dict(plane.stock)
    stock |= _other_skin(stock.get(wing.build.skin or ""), specimen.get("skin"))
    if wing.spars:
        stock |= _other_caps(stock[wing.spars[0].caps], specimen.get("caps"))
    small = scaled_wing(wing, scale, specimen)
    return replace(plane, stock=stock, surfaces=tuple(small if s is wing else s for s in plane.surfaces))


def scaled_wing(wing: Surface, scale: float, specimen: Mapping[str, Any]) -> Surface:
    """The wing with span and chord times ``scale``; rib pitch and joints as the specimen states."""
    stations = tuple(
        replace(s, out=s.out * scale, chord=s.chord * scale, back=s.back * scale, up=s.up * scale)
        for s in wing.stations
    )
    pitch = specimen.get("ribs", wing.build.rib_pitch)
    joints = (
        () if specimen.get("joint") == "none" else tuple(replace(j, out=j.out * scale) for j in wing.joints)
    )
    spars = tuple(replace(spar, to=spar.to * scale) for spar in wing.spars)
    build = replace(wing.build, rib_pitch=pitch)
    return replace(wing, stations=stations, spars=spars, joints=joints, build=build)


def _other_skin(skin: Stock | None, stated: Mapping[str, Any] | None) -> Mapping[str, Stock]:
    if skin is None or not stated:
        return {}
    thickness = float(stated.get("thickness", skin.thickness or 0.005))
    areal = stated.get("mass", skin.areal_mass)
    if areal is None:
        return {skin.name: replace(skin, thickness=thickness)}
    return {skin.name: replace(skin, thickness=thickness, sheet=(1.0, 1.0), mass=float(areal))}


def _other_caps(cap: Stock, stated: Any) -> Mapping[str, Stock]:
    if stated is None:
        return {}
    size = (float(stated[0]), float(stated[1]))
    mass = cap.density * size[0] * size[1] * cap.length if cap.density and cap.length else None
    return {cap.name: replace(cap, section=size, mass=mass)}
