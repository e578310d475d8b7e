"""The drawn wing as a beam that air twists: seams closed and open, its masses where they hang, its ailerons.

Everything at medians; the knowledge of paper and workmanship moves the stiffness in twist as one factor.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.sheets import flap_theory
from planewright.analysis.model import States
from planewright.analysis.strength import aeroelastic as air
from planewright.analysis.strength import cells, modes
from planewright.analysis.strength.aeroelastic import Aileron, Beam
from planewright.analysis.strength.half import HalfWing
from planewright.geometry import Geometry, zero_lift
from planewright.plane.model import Control

Array = npt.NDArray[np.float64]
Points = tuple[Array, Array, Array, tuple[str, ...]]

THINNEST = 5e-3
STATES_OF_SEAMS: Mapping[str, tuple[cells.Seam, ...]] = {
    "closed": (),
    "trailing edge open": ("trailing edge",),
    "nose and trailing edge open": ("nose", "trailing edge"),
}


CLOSED_ONLY: Mapping[str, tuple[cells.Seam, ...]] = {"closed": ()}


def torsion_factor(half: HalfWing, states: States) -> Array:
    """Factor (N,) on the stiffness in twist: paper and workmanship. skin.share is about bending and not in it."""
    return states.factor("paper.stiffness", half.skin_stock) * states.factor("work.stiffness")


@dataclass(frozen=True)
class Stiffness:
    """One half wing in twist. ``beams``: by state of the seams; ``ailerons`` by name; ``slope``: lift slope per rad of
    strips of a wing of this aspect ratio, 2 pi/(1 + 2/A); ``camber`` (n,): moment about the quarter chord at no lift;
    ``sweep`` rad; ``density`` kg/m3."""

    half: HalfWing
    torsion: cells.Torsion
    beams: Mapping[str, Beam]
    ailerons: Mapping[str, Aileron]
    slope: float
    camber: Array
    sweep: float
    density: float

    @property
    def closed(self) -> Beam:
        """With all seams closed."""
        return self.beams["closed"]

    @cached_property
    def divergence(self) -> float:
        """Speed, m/s, at which the closed wing twists off, at the medians it was made with."""
        return air.speed_of(air.divergence_pressure(self.closed, self.slope), self.density)

    @cached_property
    def reversal(self) -> Mapping[str, float]:
        """Speed, m/s, at which each pair of ailerons keeps half of its roll."""
        return {
            name: air.reversal_speed(self.closed, self.slope, one, self.density)
            for name, one in self.ailerons.items()
        }

    @cached_property
    def rule(self) -> float:
        """Speed, m/s, of the published flexibility rule."""
        return air.flexibility_rule(self.closed)

    @property
    def least(self) -> float:
        """The least of divergence, half of the roll and the rule, seams closed, m/s; it goes with the root of the
        stiffness in twist, as each of the three does."""
        return min(self.divergence, self.rule, *self.reversal.values())

    def with_seams(self, seams: str) -> Stiffness:
        """The same wing with another state of its seams taken as its own."""
        return replace(self, beams={**self.beams, "closed": self.beams[seams]})

    def kept(self, name: str, speed: float, seams: str = "closed") -> float:
        """Roll that an aileron pair keeps at ``speed``; nan beyond divergence."""
        beam, pressure = self.beams[seams], 0.5 * self.density * speed**2
        if pressure >= air.divergence_pressure(beam, self.slope):
            return float("nan")
        return air.roll_kept(beam, self.slope, self.ailerons[name], pressure)

    def camber_twist(self, speed: float, factor: float = 1.0) -> float:
        """Twist of the tip by camber alone at ``speed``, rad, nose up; ``factor`` on the stiffness."""
        beam = replace(self.closed, torsion=self.closed.torsion * factor)
        pressure = 0.5 * self.density * speed**2
        if pressure >= air.divergence_pressure(beam, self.slope):
            return float("nan")
        torque = pressure * beam.chord**2 * self.camber
        return float(air.twist_under(beam, self.slope, pressure, torque)[-1])

    def tip_per_torque(self) -> float:
        """Twist of the tip under one newton metre hung there, rad/(N m): what a weight at nose and tail measures."""
        return float(np.sum(self.closed.width / self.closed.torsion))

    def unsteady(self, seams: str = "closed", engines: bool = True, behind: float = 0.0) -> air.Unsteady:
        """Least speed at which bending and twist grow; without the engines' masses, or the wing's own mass moved."""
        beam = self.beams[seams if engines else f"{seams}, engines off"]
        return air.unsteady_speed(air.moved(beam, behind) if behind else beam, self.density)


def stiffness(
    geometry: Geometry,
    half: HalfWing,
    masses: Points,
    states: States,
    density: float = 1.225,
    seams: Mapping[str, tuple[cells.Seam, ...]] = CLOSED_ONLY,
) -> Stiffness:
    """The wing in twist.

    Arguments: geometry: the drawn aeroplane. half: its sections. masses: points on one half (kg, x m behind the nose,
    y m out, part). states: one point of knowledge (medians). density: kg/m3. seams: states of the seams looked at.
    Raises ValueError without a wing.
    """
    shape = geometry.wing
    if shape is None:
        raise ValueError("there is no wing that air could twist")
    edges = _edges(half.y)
    torsions = {name: cells.torsion(half, opened) for name, opened in seams.items()}
    factor = float(torsion_factor(half, states)[0])
    bent = modes.section_bending(half, states).stiffness[:, 0] * float(states.factor("work.stiffness")[0])
    outs = np.array([one.out for one in shape.surface.stations])
    nose = np.interp((edges[1:] + edges[:-1]) / 2, outs, shape.leading[:, 0])
    beams = {}
    for name, found in torsions.items():
        for words, keep in ((name, True), (f"{name}, engines off", False)):
            chosen = np.array([keep or not part.startswith("engine") for part in masses[3]], dtype=bool)
            beams[words] = _beam(half, edges, bent, found, factor, nose, tuple(m[chosen] for m in masses[:3]))
    closed = beams["closed"]
    tables = [zero_lift(one.section)[1] for one in shape.surface.stations]
    return Stiffness(
        half, torsions["closed"], beams, _ailerons(geometry, edges),
        float(2 * np.pi / (1 + 2 / shape.aspect_ratio)), np.interp(closed.y, outs, tables), half.sweep, density,
    )  # fmt: skip


def _edges(y: Array) -> Array:
    """Stations far enough apart to be ends of strips."""
    kept = [float(y[0])]
    for place in y[1:]:
        if place - kept[-1] > THINNEST:
            kept.append(float(place))
    kept[-1] = float(y[-1])
    return np.array(kept)


def _beam(
    half: HalfWing, edges: Array, bent: Array, found: cells.Torsion, factor: float, nose: Array,
    points: tuple[Array, ...],
) -> Beam:  # fmt: skip
    middle, width = (edges[1:] + edges[:-1]) / 2, np.diff(edges)
    axis = np.interp(middle, half.y, found.centre)
    masses, x, y = points
    strip = np.clip(np.searchsorted(edges, y, side="right") - 1, 0, len(width) - 1)
    behind = x - (nose + axis)[strip]
    sums = (np.bincount(strip, masses * behind**k, len(width)) / width for k in range(3))
    mass, static, inertia = sums
    least = 1e-6
    return Beam(
        width, np.interp(middle, half.y, half.chord), axis, np.interp(middle, half.y, bent),
        factor * np.interp(middle, half.y, found.stiffness), np.maximum(mass, least), static,
        np.maximum(inertia, least),
    )  # fmt: skip


def _ailerons(geometry: Geometry, edges: Array) -> dict[str, Aileron]:
    wing = geometry.wing
    assert wing is not None
    on = [
        one
        for one in geometry.plane.controls
        if one.kind == "aileron" and one.on.split(".")[0] == wing.surface.name
    ]
    return {one.name: _aileron(one, edges) for one in on}


def _aileron(control: Control, edges: Array) -> Aileron:
    low, high = np.maximum(edges[:-1], control.start), np.minimum(edges[1:], control.end)
    lift, moment = flap_theory(control.chord)
    return Aileron(np.clip(high - low, 0.0, None) / np.diff(edges), lift / (2 * np.pi), moment)
