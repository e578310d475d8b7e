"""Wings for the strength tests: the wings of our two invented examples, written here so that the room stands alone."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import WingMasses
from planewright.plane.model import Build, Joint, Plane, Section, Spar, Station, Stock, Surface

Array = npt.NDArray[np.float64]

CLARK_Y = Section("named", "Clark Y")
NACA_2415 = Section("naca", "NACA 2415")

PLOVER_HALF = {
    "scale": 0.5,
    "skin": {"thickness": 0.003, "mass": 0.270},
    "caps": (0.003, 0.006),
    "ribs": 0.090,
    "joint": "none",
}
GANNET_HALF = {
    "scale": 0.5,
    "skin": {"thickness": 0.003, "mass": 0.205 / 0.7},
    "caps": (0.004, 0.008),
    "ribs": 0.120,
    "joint": "none",
}


@dataclass
class Fixed:
    """States with set factors: everything not named stands at 1 (shifts at 0)."""

    values: Mapping[str, float | Array] = field(default_factory=dict)
    count: int = 1

    def factor(self, base: str, owner: str = "") -> Array:
        value = self.values.get(f"{base}[{owner}]", self.values.get(base, 1.0))
        return np.broadcast_to(np.asarray(value, dtype=np.float64), (self.count,)).copy()

    def shift(self, base: str, owner: str = "") -> Array:
        return np.zeros(self.count)


MEDIANS = {"skin.share": 0.70, "work.strength": 0.90, "work.stiffness": 0.95, "joint.factor": 0.75}


def sheet(name: str, thickness: float, areal: float) -> Stock:
    return Stock(name, "foam board", sheet=(1.0, 1.0), thickness=thickness, mass=areal)


def stick(name: str, a: float, b: float, density: float) -> Stock:
    return Stock(name, "pine stick", section=(a, b), length=1.0, mass=density * a * b)


def plover() -> Plane:
    stations = (
        Station(0.0, 0.36, section=CLARK_Y),
        Station(0.62, 0.36, section=CLARK_Y),
        Station(1.3, 0.25, 0.05, 0.036, math.radians(-2), CLARK_Y),
    )
    wing = Surface(
        "wing",
        "wing",
        0.43,
        0.118,
        stations,
        Build("folded", skin="board", rib_pitch=0.18),
        spars=(Spar(0.30, "cap", "board", 1.15),),
        joints=(Joint("outer", 0.62, joiner="ply", reach=0.16),),
    )
    stock = {
        "board": Stock("board", "foam board", sheet=(0.508, 0.762), thickness=0.0048, mass=0.147),
        "ply": Stock("ply", "plywood", sheet=(0.3, 0.6), thickness=0.003, mass=0.367),
        "cap": Stock("cap", "pine stick", section=(0.006, 0.012), length=1.0, mass=0.033),
    }
    return Plane("Plover", "B", stock=stock, surfaces=(wing,))


def gannet() -> Plane:
    stations = (
        Station(0.0, 0.54, section=NACA_2415),
        Station(0.48, 0.375, 0.19, 0.034, math.radians(-1), NACA_2415),
        Station(1.45, 0.22, 0.505, 0.119, math.radians(-3.5), NACA_2415),
    )
    wing = Surface(
        "wing",
        "wing",
        0.43,
        -0.07,
        stations,
        Build("ribs", skin="thin", rib="board", rib_pitch=0.12),
        spars=(Spar(0.28, "cap", "board", 1.3), Spar(0.62, "strip", "board", 0.9)),
        joints=(
            Joint(
                "tip",
                0.93,
                hinge="top",
                pin="4 mm steel",
                latch="bottom, turn button",
                apart=0.036,
                mass=0.038,
            ),
        ),
    )
    stock = {
        "board": Stock("board", "foam board", sheet=(0.7, 1.0), thickness=0.0049, mass=0.276),
        "thin": Stock("thin", "foam board", sheet=(0.7, 1.0), thickness=0.003, mass=0.205),
        "cap": Stock("cap", "pine stick", section=(0.004, 0.008), length=1.0, mass=0.015),
        "strip": Stock("strip", "pine stick", section=(0.004, 0.006), length=1.0, mass=0.011),
    }
    return Plane("Gannet", "B", stock=stock, surfaces=(wing,))


def spread_by_chord(plane: Plane, mass: float, points: Mapping[str, tuple[float, float]]) -> WingMasses:
    """Wing masses of a half wing of ``mass`` kg laid along the span by chord, with ``points`` hung on it."""
    wing = plane.wing
    assert wing is not None
    edge = np.linspace(0, wing.half_span, 41)
    middle = (edge[1:] + edge[:-1]) / 2
    chord = np.interp(middle, [s.out for s in wing.stations], [s.chord for s in wing.stations])
    return WingMasses(middle, np.diff(edge), mass * chord / chord.sum(), points)
