"""Ducted fan: momentum through a duct with losses, a straight pressure characteristic, and the motor that turns it.

(Ve^2 [1 + Kd (Ae/Aa)^2 + Kn + Kl(V) (Ae/Ai)^2] - V^2) = (psi0 - psi1 phi) U^2, phi = Ve Ae/(Aa U), with exit speed
Ve, tip speed U, areas of nozzle Ae, swept ring Aa and mouth Ai. Thrust rho Ae Ve (Ve - V): the drag of taking the air
aboard is inside and must not be counted on the airframe. Momentum and energy only; the constants of the losses, of
the lip and of the rotor are judgement, and no measured table of a small fan could be read: consistent, not validated.
A bench run fixes the level (psi0 from thrust, efficiency from current) whatever the losses are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.optimize import elementwise

from planewright.errors import OutOfRange
from planewright.plane.model import Fan

Array = npt.NDArray[np.float64]
Number = Array | float

TIP_SPEED = 160.0
"""Speed of the blade tips, m/s, at the point the fan is known at. Judgement: 38 000 rpm at 80 mm."""
COPPER_SHARE, IDLE_SHARE = 0.037, 0.05
"""Part of the voltage lost in the winding, part of the current that only turns the motor. Judgement."""
LIP_CLEARS = 0.35
"""A sharp lip lets go of the flow at rest and holds it again above this part of the speed in the mouth. Judgement."""
OFF_DESIGN, LEAST_EFFICIENCY = 1.6, 0.15
ROUNDS = 6


@dataclass(frozen=True)
class Losses:
    """Pressure losses over dynamic pressure: ``duct`` on the ring's speed, ``nozzle``, ``lip`` on the mouth's (0 for
    a rounded mouth, 0.6 for sharp card); ``slope`` psi1 of the rotor's pressure. Ranges tried: .05-.30, 0-.06, 0-.6,
    .2-1.1."""

    duct: float = 0.15
    nozzle: float = 0.03
    lip: float = 0.0
    slope: float = 0.55


@dataclass(frozen=True)
class FanModel:
    """One fan with its motor.

    Areas m2 of ``nozzle``, swept ``ring`` and ``mouth``; ``tip`` radius m; rotor ``pressure`` psi0 and ``efficiency``
    at its best ``flow`` phi; motor ``speed_constant`` rad/s per V, ``resistance`` ohm, ``idle`` current A; ``density``
    of the air kg/m3.
    """

    nozzle: float
    ring: float
    mouth: float
    tip: float
    losses: Losses
    pressure: float
    efficiency: float
    flow: float
    speed_constant: float
    resistance: float
    idle: float
    density: float

    def exit_speed(self, turns: Array, speed: Array) -> Array:
        """Speed of the jet, m/s, at shaft speed ``turns`` (rad/s) and flight ``speed`` (m/s), broadcast."""
        tip = turns * self.tip
        back = self.losses.slope * tip * self.nozzle / self.ring
        right = np.square(speed) + self.pressure * np.square(tip)
        exit_ = np.sqrt(np.maximum(right, 1e-12))
        for _ in range(ROUNDS):
            loss = 1.0 + self._loss(exit_, speed)
            exit_ = (np.sqrt(np.square(back) + 4.0 * loss * right) - back) / (2.0 * loss)
        return np.asarray(exit_)

    def _loss(self, exit_: Array, speed: Array) -> Array:
        mouth = np.maximum(exit_ * self.nozzle / self.mouth, 1e-9)
        lip = self.losses.lip * np.exp(-np.square(np.minimum(speed / (LIP_CLEARS * mouth), 20.0)))
        parts = self.losses.duct * (self.nozzle / self.ring) ** 2 + self.losses.nozzle
        return np.asarray(parts + lip * (self.nozzle / self.mouth) ** 2)

    def thrust(self, turns: Array, speed: Array) -> Array:
        """Thrust, N; negative when the jet is slower than the flight."""
        exit_ = self.exit_speed(turns, speed)
        return np.asarray(self.density * self.nozzle * exit_ * (exit_ - speed))

    def shaft_power(self, turns: Array, speed: Array) -> Array:
        """Power the rotor takes, W; negative where the air turns it."""
        exit_ = self.exit_speed(turns, speed)
        tip = np.maximum(turns * self.tip, 1e-9)
        phi = exit_ * self.nozzle / (self.ring * tip)
        rise = (self.pressure - self.losses.slope * phi) * tip**2
        off = np.clip((phi - self.flow) / (OFF_DESIGN * self.flow), -1.0, 1.0)
        share = np.maximum(self.efficiency * (1.0 - off**2), LEAST_EFFICIENCY)
        return np.asarray(0.5 * self.density * rise * exit_ * self.nozzle / share)

    def shaft_speed(self, volts: Array, speed: Array) -> Array:
        """Shaft speed, rad/s, where motor and rotor agree at ``volts`` on the motor; shapes broadcast."""

        def surplus(turns: Array, volts: Array, speed: Array) -> Array:
            amps = np.maximum((volts - turns / self.speed_constant) / self.resistance, 0.0)
            torque = (amps - self.idle) / self.speed_constant
            return np.asarray(torque - self.shaft_power(turns, speed) / np.maximum(turns, 1e-9))

        shape = np.broadcast_shapes(np.shape(volts), np.shape(speed))
        volts, speed = np.broadcast_to(volts, shape), np.broadcast_to(speed, shape)
        ends = (np.full(shape, 1.0), 1.2 * self.speed_constant * volts + 40.0 * speed / self.tip + 50.0)
        found = elementwise.find_root(surplus, ends, args=(volts, speed), tolerances={"xrtol": 1e-7})
        return np.where(found.success, found.x, 1.0)

    def at(self, volts: Array, speed: Array) -> tuple[Array, Array, Array]:
        """(thrust N, motor current A, shaft speed rad/s) at ``volts`` on the motor and flight ``speed`` m/s."""
        turns = self.shaft_speed(volts, speed)
        amps = np.maximum((volts - turns / self.speed_constant) / self.resistance, 0.0)
        return self.thrust(turns, speed), np.where(turns > 1.5, amps, 0.0), turns

    def with_openings(self, mouth: float | None = None, nozzle: float | None = None) -> FanModel:
        """The same rotor and motor behind another mouth or nozzle (areas m2). Inside 0.75 to 1 of the ring the nozzle
        hardly matters; a small sharp mouth costs a tenth at rest."""
        return replace(self, mouth=mouth or self.mouth, nozzle=nozzle or self.nozzle)


def fan_model(
    fan: Fan,
    thrust: float,
    volts: float,
    amps: float,
    density: float,
    losses: Losses | None = None,
    tip_speed: float = TIP_SPEED,
    motor: tuple[float, float] | None = None,
) -> FanModel:
    """Fit rotor and motor to one static point: ``thrust`` N at ``volts`` and ``amps`` on the motor.

    Arguments: ``fan`` sizes; ``density`` kg/m3; ``tip_speed`` m/s at that point (judgement); ``motor``: (resistance
    ohm, idle current A), else shares of the point. What is left open (losses, slope, tip speed) moves the thrust in
    flight by 1.3 % at most (trial of our own over all of them). Raises OutOfRange for a point that makes energy.
    """
    losses = losses or Losses()
    ring = np.pi / 4.0 * (fan.inside**2 - fan.hub**2)
    nozzle, mouth = np.pi / 4.0 * fan.nozzle**2, np.pi / 4.0 * fan.mouth**2
    resistance, idle = motor or (COPPER_SHARE * volts / amps, IDLE_SHARE * amps)
    tip = 0.5 * fan.inside
    turns = tip_speed / tip
    exit_ = float(np.sqrt(thrust / (density * nozzle)))
    phi = exit_ * nozzle / (ring * tip_speed)
    loss = losses.duct * (nozzle / ring) ** 2 + losses.nozzle + losses.lip * (nozzle / mouth) ** 2
    rise = exit_**2 * (1.0 + loss)
    shaft = (amps - idle) * (volts - amps * resistance)
    efficiency = 0.5 * density * rise * exit_ * nozzle / max(shaft, 1e-9)
    if not 0.0 < efficiency < 1.0:
        raise OutOfRange("efficiency of the rotor from thrust and current", efficiency, 0.0, 1.0)
    constant = turns / (volts - amps * resistance)
    pressure = rise / tip_speed**2 + losses.slope * phi
    return FanModel(
        nozzle, ring, mouth, tip, losses, pressure, efficiency, phi, constant, resistance, idle, density
    )


def with_cheater_holes(mouth: float, holes: float) -> float:
    """Mouth area, m2, with holes of ``holes`` m2 beside it: 0.6 of them counts (judgement). At speed they may leak
    outward: run the bench with holes open and taped, and take the taped value for flight."""
    return mouth + 0.6 * holes
