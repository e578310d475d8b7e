"""Beams, tubes, columns and sandwich panels of the textbooks: the small closed forms of the strength room.

Any consistent set of units; those of the sources are used in the tests. No knowledge enters here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Lumps:
    """Parts of one cross-section, all arrays of one shape (n,): place ``x`` (along the chord) and ``z`` (up),
    axial stiffness ``ea`` (modulus times area) and own bending stiffness ``ei`` about the part's own middle."""

    x: Array
    z: Array
    ea: Array
    ei: Array


@dataclass(frozen=True)
class Bending:
    """A section under a moment that bends it upward, transformed and unsymmetric.

    ``ea``; centre ``x``, ``z`` of stiffness; ``stiffness`` is the moment per vertical curvature when the section
    is free to bend sideways too, Izz - Ixz^2/Ixx; ``side`` is sideways over vertical curvature, -Ixz/Ixx.
    Shapes are those of the sums it was made from.
    """

    ea: Array
    x: Array
    z: Array
    stiffness: Array
    side: Array

    def strain(self, x: Array, z: Array) -> Array:
        """Shortening strain at (x, z) per unit moment: positive above the centre when the wing bends up."""
        return np.asarray(((z - self.z) + self.side * (x - self.x)) / self.stiffness)


def sums(lumps: Lumps) -> Array:
    """The six sums a section is made of, shape (6,): EA, EA x, EA z, EA x^2, EA x z, EA z^2 + EI."""
    x, z, ea = lumps.x, lumps.z, lumps.ea
    own = float(lumps.ei.sum())
    rows = (ea, ea * x, ea * z, ea * x * x, ea * x * z, ea * z * z)
    total = np.array([float(row.sum()) for row in rows])
    total[5] += own
    return total


def bending(total: Array) -> Bending:
    """Transformed, unsymmetric bending from the six sums, shape (6, ...).

    Source of the form: the standard theory of unsymmetrical bending, as in Megson, Aircraft Structures for
    engineering students. A section with no width (Ixx zero) bends straight up.
    """
    ea, sx, sz, xx, xz, zz = total
    held = np.maximum(ea, 1e-300)
    x, z = sx / held, sz / held
    ixx, ixz, izz = xx - sx * x, xz - sx * z, zz - sz * z
    wide = ixx > 1e-12 * np.abs(izz)
    side = np.where(wide, -ixz / np.where(wide, ixx, 1.0), 0.0)
    return Bending(ea, x, z, izz + side * ixz, side)


def rectangles(parts: list[tuple[float, float, float, float]]) -> Lumps:
    """A section built up of upright rectangles, each (modulus, breadth, depth, height of its middle)."""
    modulus, breadth, depth, z = (np.array(column, dtype=np.float64) for column in zip(*parts, strict=True))
    ea = modulus * breadth * depth
    return Lumps(np.zeros_like(z), z, ea, ea * depth**2 / 12)


def cantilever(y: Array, curvature: Array) -> tuple[Array, Array]:
    """Slope and deflection along a cantilever held at ``y[0]``, from its curvature; shapes (n,) or (n, N).

    Trapezoid rule for the slope; the deflection takes curvature as straight between stations, which is exact.
    """
    step = np.diff(y).reshape(-1, *([1] * (curvature.ndim - 1)))
    turn = (curvature[1:] + curvature[:-1]) * step / 2
    slope = np.concatenate([np.zeros_like(curvature[:1]), np.cumsum(turn, axis=0)])
    rise = slope[:-1] * step + (2 * curvature[:-1] + curvature[1:]) * step**2 / 6
    return slope, np.concatenate([np.zeros_like(curvature[:1]), np.cumsum(rise, axis=0)])


def sandwich(breadth: float, face: float, core: float, face_modulus: float, core_modulus: float) -> Lumps:
    """A sandwich beam: two faces and a core, each with its own bending stiffness (general theory)."""
    arm = (core + face) / 2
    skin = (face_modulus, breadth, face)
    return rectangles([(*skin, arm), (*skin, -arm), (core_modulus, breadth, core, 0.0)])


def board_bending(breadth: float, face: float, core: float, face_modulus: float) -> float:
    """Bending stiffness of a board beam whose foam carries shear only: b (Ef tf d^2/2 + Ef tf^3/6), d = tc + tf."""
    d = core + face
    return breadth * face_modulus * (face * d * d / 2 + face**3 / 6)


def three_point(
    load: float, span: float, bending_stiffness: float, shear_stiffness: float
) -> tuple[float, float]:
    """Middle deflection under a middle load, in two parts: by bending P L^3/48D and by shear P L/4S."""
    return load * span**3 / (48 * bending_stiffness), load * span / (4 * shear_stiffness)


def wrinkling(face_modulus: Array | float, core_modulus: float, core_shear: float, k: float = 0.5) -> Array:
    """Face wrinkling stress k (Ef Ec Gc)^(1/3), same unit as the moduli (Hoff and Mautner)."""
    return np.asarray(k * np.cbrt(np.asarray(face_modulus) * core_modulus * core_shear))


def crimping(core_shear: float, core: float, face: float) -> float:
    """Face stress at which a thin board crimps: S/(2 tf) with S = Gc d^2/tc (form from sandwich texts, from memory)."""
    return core_shear * (core + face) ** 2 / core / (2 * face)


def closed_tube(points: Array, thickness: Array | float) -> tuple[float, float]:
    """Torsion of one closed thin-walled cell by Bredt: (4 A^2 / sum ds/t, twice the enclosed area).

    ``points`` (n, 2) run round the wall's middle line, not repeated at the end; ``thickness`` of each side.
    """
    after = np.roll(points, -1, axis=0)
    area = abs(float(np.sum(points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]))) / 2
    length = np.hypot(*(after - points).T)
    return 4 * area**2 / float(np.sum(length / thickness)), 2 * area


def open_section(lengths: Array, thickness: Array) -> tuple[float, float]:
    """Torsion of an open thin-walled section: J = sum s t^3 / 3, and J over the thickest wall (torque per stress)."""
    constant = float(np.sum(lengths * thickness**3)) / 3
    return constant, constant / float(np.max(thickness))


def euler_column(modulus: float, second_moment: float, length: float) -> float:
    """Load at which a pinned straight column buckles: pi^2 E I / L^2 (Euler)."""
    return float(np.pi**2 * modulus * second_moment / length**2)


def plate_buckling(stiffness: float, breadth: float, k: float = 4.0) -> float:
    """Force per breadth at which a plate buckles, k pi^2 D / b^2; k = 4 long and simply supported."""
    return float(k * np.pi**2 * stiffness / breadth**2)


def plate_coefficient(ratio: float, waves: int) -> float:
    """k of a simply supported plate, length over breadth ``ratio``, in ``waves`` half waves: (m/r + r/m)^2."""
    return (waves / ratio + ratio / waves) ** 2


def pinned_plate(diameter: float, plate: float, bearing: float, shear: float) -> tuple[float, float, float]:
    """Loads of a pin through a plate: single shear, double shear of the pin, bearing of the plate."""
    area = np.pi * diameter**2 / 4
    return float(shear * area), float(2 * shear * area), bearing * diameter * plate


def gust_slope(
    density: float, lift_slope: float, alleviation: float, gust: float, wing_loading: float
) -> float:
    """Load factor per speed from a gust: .5 rho a F U / (W/S), s/m when SI is used (the gust formula of Megson)."""
    return 0.5 * density * lift_slope * alleviation * gust / wing_loading
