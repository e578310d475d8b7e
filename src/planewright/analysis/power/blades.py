"""Propeller blades in elements: thrust and power from diameter, pitch, blades and blade width, from standing in
the air to being turned by it.

Each element finds its inflow angle f from momentum through the disc against lift and drag of its section, with
the loss at the tip and no delay of stall. Written so that nothing special happens at rest or when the air turns
the blade. Sources: S. A. Ning, A simple solution method for the blade element momentum equations with guaranteed
convergence, Wind Energy 17 (2014), for the one unknown (from memory), multiplied out here; tip loss by L. Prandtl,
in A. Betz, Schraubenpropeller mit geringstem Energieverlust (1919), from memory. One set of ten constants for
planform and section was fitted in a trial of our own to seven propellers of the UIUC Propeller Database.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from scipy.interpolate import RectBivariateSpline
from scipy.optimize import elementwise

from planewright.analysis.atmosphere import standard
from planewright.plane.model import Propeller

Array = npt.NDArray[np.float64]
Number = Array | float

BLADE_WIDTH = 0.076
"""Blade width at three quarters of the radius over the diameter where not measured: an effective width."""
ROOT, ELEMENTS = 0.15, 10
PLAN_X = (0.15, 0.25, 0.4, 0.6, 0.75, 0.9, 0.97, 1.0)
PLAN_WIDTH = (0.95, 1.20, 1.36, 1.20, 1.0, 0.72, 0.50, 0.25)
SLOPE, REFERENCE_REYNOLDS, REYNOLDS_RANGE = 5.7, 6e4, (8e3, 5e5)
LOWEST_ANGLE = 0.001
PAST_STALL = 1.1
"""A section counts as stalled where its straight lift would be this many times the greatest."""
WIDTH_SD, OFFSET_SD, STALL_SD = 0.17, np.deg2rad(1.25), 0.15
"""Doubt of a blade known by size and pitch alone: ln width, blade angle (rad), ln of its greatest lift."""
THRUST_REST, POWER_REST = 0.05, 0.07
"""What the model leaves besides, relative, in thrust and power (trial of our own on the same seven)."""


@dataclass(frozen=True)
class Blade:
    """A propeller to be reckoned: ``diameter``, ``pitch`` m, number of ``blades``; ``width`` at three quarters of
    the radius, m; ``offset`` of the blade angle, rad; ``stall``: factor on the greatest lift of its section.
    The last three may be arrays that broadcast with the points asked."""

    diameter: float
    pitch: float
    blades: int
    width: Number
    offset: Number = 0.0
    stall: Number = 1.0


def blade_of(propeller: Propeller) -> Blade:
    """The blade of a described propeller; a width that was not measured is 0.076 of the diameter."""
    width = BLADE_WIDTH * propeller.diameter if propeller.width is None else propeller.width
    return Blade(propeller.diameter, propeller.pitch, propeller.blades, width)


def section(alpha: Array, reynolds: Array, stall: Number = 1.0) -> tuple[Array, Array]:
    """(lift, drag coefficient) of a blade section at ``alpha`` (rad) from the chord, any angle.

    A straight slope of 5.7 rounds off softly at the greatest lift (1.11, less 30 % upside down, times ``stall``);
    beyond some 32 degrees the section is a flat plate. ``reynolds`` is clipped to 8e3 to 5e5.
    """
    trend = np.log(np.clip(reynolds, *REYNOLDS_RANGE) / REFERENCE_REYNOLDS)
    angle = alpha - np.deg2rad(-3.38 - 1.98 * trend)
    most = stall * np.where(angle < 0.0, 0.7 * 1.11, 1.11)
    straight = SLOPE * angle
    lift = straight / (1.0 + np.abs(straight / most) ** 8) ** 0.125
    plate = 0.5 * (1.0 + np.tanh((np.abs(alpha) - np.deg2rad(32.0)) / np.deg2rad(8.0)))
    lift = (1.0 - plate) * lift + plate * 1.1 * np.sin(2.0 * alpha)
    beyond = np.maximum(np.abs(angle) - 0.85 * most / SLOPE, 0.0)
    drag = 0.0253 * np.exp(-0.75 * trend) + 0.0806 * (np.clip(straight, -most, most) - 0.49) ** 2
    return lift, np.asarray(drag + 1.8 * np.sin(beyond) ** 2)


@dataclass(frozen=True)
class Elements:
    """Blade cut into elements for many points at once: shapes broadcast to (..., elements).

    ``x`` and ``weight`` of the Gauss points (share of the radius), ``width`` m, ``angle`` of the blade rad,
    ``solidity``, speed of the element round the hub ``turning`` and along it ``flight`` m/s, ``reynolds``.
    """

    x: Array
    weight: Array
    width: Array
    angle: Array
    solidity: Array
    turning: Array
    flight: Array
    reynolds: Array
    stall: Array
    blades: int


@lru_cache(maxsize=8)
def _gauss(count: int) -> tuple[Array, Array]:
    x, weight = np.polynomial.legendre.leggauss(count)
    half = 0.5 * (1.0 - ROOT)
    return np.asarray(ROOT + half * (x + 1.0)), np.asarray(half * weight)


def elements(blade: Blade, turns: Number, speed: Number, viscosity: float, count: int = ELEMENTS) -> Elements:
    """Elements of a blade at shaft speed ``turns`` (rad/s) and flight ``speed`` (m/s); ``viscosity`` kinematic.

    The Reynolds number goes by the turning alone, as the constants were fitted.
    """
    x, weight = _gauss(count)
    width, offset, stall, omega, flight = (
        np.asarray(one, dtype=np.float64)[..., None]
        for one in (blade.width, blade.offset, blade.stall, turns, speed)
    )
    radius = 0.5 * blade.diameter * x
    chord = width * np.interp(x, PLAN_X, PLAN_WIDTH)
    angle = np.arctan(blade.pitch / (2.0 * np.pi * radius)) + offset
    turning = omega * radius
    reynolds = turning * chord / viscosity
    solidity = blade.blades * chord / (2.0 * np.pi * radius)
    shape = np.broadcast_shapes(reynolds.shape, angle.shape, stall.shape, flight.shape)
    parts = (chord, angle, solidity, turning, flight, reynolds, stall)
    chord, angle, solidity, turning, flight, reynolds, stall = (np.broadcast_to(one, shape) for one in parts)
    return Elements(x, weight, chord, angle, solidity, turning, flight, reynolds, stall, blades=blade.blades)


def tip_loss(x: Array, sine: Array, blades: int) -> Array:
    """Prandtl's factor at share ``x`` of the radius for the sine of the inflow angle (above 0)."""
    return np.asarray(2.0 / np.pi * np.arccos(np.exp(-0.5 * blades * (1.0 - x) / (x * sine))))


def inflow(at: Elements) -> Array:
    """Inflow angle f of every element, rad in (0.001, pi/2): root of

    w r (4 F sin^2 f - s Cn) - V (4 F sin f cos f + s Ct) = 0; the ends always differ in sign.
    """
    x = np.broadcast_to(at.x, at.turning.shape)

    def residual(
        f: Array, x: Array, angle: Array, solid: Array, turning: Array, flight: Array, re: Array, stall: Array
    ) -> Array:
        sine, cosine = np.sin(f), np.cos(f)
        loss = 4.0 * tip_loss(x, sine, at.blades)
        lift, drag = section(angle - f, re, stall)
        along, round_ = lift * cosine - drag * sine, lift * sine + drag * cosine
        return np.asarray(
            turning * (loss * sine**2 - solid * along) - flight * (loss * sine * cosine + solid * round_)
        )

    ends = (np.full(x.shape, LOWEST_ANGLE), np.full(x.shape, 0.5 * np.pi))
    args = (x, at.angle, at.solidity, at.turning, at.flight, at.reynolds, at.stall)
    found = elementwise.find_root(residual, ends, args=args, tolerances={"xatol": 1e-9, "xrtol": 1e-9})
    return np.asarray(found.x)


def loads(at: Elements, f: Array) -> tuple[Array, Array, Array]:
    """(relative speed W m/s, coefficient along the axis, coefficient round it) of every element at inflow ``f``."""
    sine, cosine = np.sin(f), np.cos(f)
    loss = 4.0 * tip_loss(at.x, sine, at.blades)
    lift, drag = section(at.angle - f, at.reynolds, at.stall)
    along, round_ = lift * cosine - drag * sine, lift * sine + drag * cosine
    by_turning = at.turning / np.maximum(cosine + at.solidity * round_ / (loss * sine), 1e-9)
    by_flight = at.flight / np.maximum(sine - at.solidity * along / (loss * sine), 1e-9)
    return np.where(at.flight > at.turning, by_flight, by_turning), along, round_


def blade_forces(
    blade: Blade, turns: Number, speed: Number, density: float, count: int = ELEMENTS
) -> tuple[Array, Array]:
    """(thrust N, shaft torque N m) of a propeller; negative thrust is drag, negative torque drives the shaft.

    Arguments: ``turns`` rad/s (not negative), ``speed`` m/s (not negative; not both 0), ``density`` kg/m3; they
    broadcast. ``count`` Gauss points along the blade: 10 lie within 2e-4 of CT and CP of 40.
    """
    ground = standard(0.0)
    at = elements(blade, turns, speed, ground.viscosity / density, count)
    relative, along, round_ = loads(at, inflow(at))
    pressure = 0.5 * density * relative**2 * blade.blades * at.width * at.weight * 0.5 * blade.diameter
    thrust = np.sum(pressure * along, axis=-1)
    return thrust, np.sum(pressure * round_ * at.x, axis=-1) * 0.5 * blade.diameter


def blade_coefficients(
    blade: Blade, advance: Number, rpm: Number, count: int = ELEMENTS
) -> tuple[Array, Array]:
    """(CT, CP) at advance ratio J and ``rpm`` (above 0) in air of sea level; shapes broadcast."""
    per_second = np.asarray(rpm, dtype=np.float64) / 60.0
    density, size = standard(0.0).density, blade.diameter
    turns = 2.0 * np.pi * per_second
    thrust, torque = blade_forces(blade, turns, advance * per_second * size, density, count)
    scale = density * per_second**2 * size**4
    return thrust / scale, turns * torque / (scale * per_second * size)


def blade_bands(
    blade: Blade, advance: Array, rpm: Array, draws: int = 400, seed: int = 20260
) -> tuple[Array, Array]:
    """95 % bands of CT and CP, each (2, n), of a blade known by size and pitch alone, at ``advance`` and ``rpm`` (n,).

    Draws of blade width, angle and greatest lift, and of what the model leaves besides as a share of the value at
    rest. The widths were set on the very seven propellers they are shown with, so their coverage is flattered.
    """
    normal = np.random.default_rng(seed).standard_normal((5, draws, 1))
    wide = blade.width * np.exp(WIDTH_SD * normal[0])
    drawn = Blade(
        blade.diameter,
        blade.pitch,
        blade.blades,
        wide,
        OFFSET_SD * normal[1],
        np.exp(STALL_SD * normal[2]),
    )
    found = blade_coefficients(drawn, advance, rpm)
    still = blade_coefficients(blade, 0.0, rpm)
    rests = (THRUST_REST * normal[3], POWER_REST * normal[4])
    low, high = (
        np.percentile(one + rest * level, [2.5, 97.5], axis=0)
        for one, rest, level in zip(found, rests, still, strict=True)
    )
    return low, high


def zero_thrust(table: BladeTable, rpm: float, top: float = 1.8) -> float:
    """Advance ratio at which the thrust becomes 0, up to ``top`` (nan if it does not)."""
    advance = np.linspace(0.0, top, 1801)
    thrust, _ = table.at(advance, np.array(rpm))
    below = thrust < 0.0
    return float(advance[np.argmax(below)]) if below.any() else float("nan")


def stalled_share(blade: Blade, rpm: float = 5500.0) -> float:
    """Share of the thrust-making blade that is past the stall at rest (0 to 1, by thrust).

    Above 0.6 a bench run fixes the level at rest only: what the propeller does in flight needs a run in wind.
    """
    turns = rpm * np.pi / 30.0
    at = elements(blade, turns, 0.0, standard(0.0).viscosity / standard(0.0).density, 40)
    f = inflow(at)
    relative, along, _ = loads(at, f)
    angle = at.angle - f - np.deg2rad(-3.38 - 1.98 * np.log(np.clip(at.reynolds, *REYNOLDS_RANGE) / 6e4))
    weight = relative**2 * at.width * at.weight * along
    past = SLOPE * angle > PAST_STALL * 1.11 * np.asarray(at.stall)
    return float(np.sum(weight * past) / np.sum(weight))


ADVANCE_NODES = np.concatenate([np.linspace(0.0, 1.6, 41), [1.8, 2.1, 2.5, 3.0, 4.0, 6.0, 12.0, 40.0]])
RPM_NODES = np.geomspace(500.0, 24000.0, 7)


def _bent(advance: Array) -> Array:
    return np.asarray(advance / (1.0 + advance))


@dataclass(frozen=True)
class BladeTable:
    """CT and CP of a blade looked up: both over 1 + J^2, cubic in J/(1 + J) and ln rpm."""

    thrust: RectBivariateSpline
    power: RectBivariateSpline

    @staticmethod
    def of(blade: Blade) -> BladeTable:
        """Reckon 49 advance ratios (0 to 40) at 7 shaft speeds (500 to 24 000 rpm)."""
        advance, rpm = np.meshgrid(ADVANCE_NODES, RPM_NODES, indexing="ij")
        both = (one / (1.0 + advance**2) for one in blade_coefficients(blade, advance, rpm))
        made = (RectBivariateSpline(_bent(ADVANCE_NODES), np.log(RPM_NODES), one) for one in both)
        return BladeTable(*made)

    def at(self, advance: Array, rpm: Array) -> tuple[Array, Array]:
        """(CT, CP); ``rpm`` outside the table counts as its edge, an advance ratio beyond 40 goes by its square."""
        shape = np.broadcast_shapes(np.shape(advance), np.shape(rpm))
        x = np.broadcast_to(_bent(np.minimum(advance, ADVANCE_NODES[-1])), shape)
        log = np.broadcast_to(np.log(np.clip(rpm, RPM_NODES[0], RPM_NODES[-1])), shape)
        scale = 1.0 + np.square(advance)
        return scale * self.thrust.ev(x, log), scale * self.power.ev(x, log)
