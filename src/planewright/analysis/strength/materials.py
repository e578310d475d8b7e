"""Nominal stiffness and strength of what wings are made of; knowledge multiplies these, nothing else does.

Values and their sources stand in ``tables/materials.toml``. SI inside (Pa, m, kg/m3).
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np

from planewright.plane.model import Stock

MPA = 1e6
MM = 1e-3


@lru_cache(maxsize=1)
def tables() -> Mapping[str, Any]:
    """The shipped table of nominal materials, as read."""
    text = files(__package__).joinpath("tables/materials.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@lru_cache(maxsize=1)
def known_materials() -> tuple[Mapping[str, Any], ...]:
    """Rows of the table of materials (``tables/known.toml``): material, what, value, low, high, unit, kind, source,
    says, and ``used``, the nominal entry that rests on it."""
    text = files(__package__).joinpath("tables/known.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["row"])


@dataclass(frozen=True)
class Wood:
    """A stick's wood as built: ``modulus`` along the grain, ``compression`` and ``bending`` strength, ``across``
    crushing strength across the grain; Pa."""

    modulus: float
    compression: float
    bending: float
    across: float


@dataclass(frozen=True)
class Board:
    """A faced board. ``thickness`` over all, ``face`` thickness of one paper, m; ``face_modulus`` along the span
    and ``face_across``, ``core_modulus``, ``core_shear_modulus``, ``paper_shear`` and ``foam_shear`` strength, Pa."""

    thickness: float
    face: float
    face_modulus: float
    face_across: float
    core_modulus: float
    core_shear_modulus: float
    paper_shear: float
    foam_shear: float

    @property
    def core(self) -> float:
        """Thickness of the foam, m."""
        return self.thickness - 2 * self.face

    @property
    def face_shear_modulus(self) -> float:
        """Shear modulus of the paper, Pa: .387 sqrt(E1 E2) (after Baum 1981, from memory)."""
        return 0.387 * float(np.sqrt(self.face_modulus * self.face_across))

    @property
    def bending_stiffness(self) -> float:
        """Bending stiffness per breadth, N m: Ef tf d^2/2 + Ef tf^3/6, d = tc + tf (J. M. Gere, Mechanics of
        Materials, sandwich beams)."""
        apart = self.core + self.face
        return self.face_modulus * (self.face * apart**2 / 2 + self.face**3 / 6)

    @property
    def shear_of_core(self) -> float:
        """Transverse shear stiffness per breadth, N/m: S = Gc d^2/tc."""
        return self.core_shear_modulus * (self.core + self.face) ** 2 / self.core

    @property
    def shear_stiffness(self) -> float:
        """In-plane shear stiffness of the board, N/m per metre (faces and core)."""
        return 2 * self.face * self.face_shear_modulus + self.core * self.core_shear_modulus

    @property
    def shear_strength(self) -> float:
        """In-plane shear the board carries on edge, N/m: both papers and the foam."""
        return 2 * self.face * self.paper_shear + self.core * self.foam_shear


def wood_of_density(density: float) -> Wood:
    """Wood of a pine stick from its density (kg/m3), knots and glue taken off.

    Straight lines through the pines of the Wood Handbook (FPL-GTR-190, 2010, Table 5-3a), specific gravity read
    as density over 1000, times the shares for small knotty sticks (judgement). Held to 300 - 700 kg/m3, a little
    beyond the pines of the table, so that an absurd weighing cannot give absurd strength.
    """
    pines, sticks = tables()["pines"], tables()["sticks"]
    at = float(np.clip(density, 300.0, 700.0)) / 1000.0
    modulus = _line(pines["gravity"], pines["modulus"], at) * MPA
    compression = _line(pines["gravity"], pines["compression"], at) * MPA * sticks["compression_share"]
    bending = compression * sticks["bending_over_compression"]
    return Wood(modulus * sticks["modulus_share"], compression, bending, sticks["across"] * MPA)


def _line(x: list[float], y: list[float], at: float) -> float:
    """Value at ``at`` of the least-squares straight line through the points."""
    slope, level = np.polyfit(np.array(x), np.array(y), 1)
    return float(level + slope * at)


def wood_of(stock: Stock) -> Wood:
    """Wood of a stick stock, from its own weighing or the assumed density."""
    return wood_of_density(stock.density or tables()["sticks"]["unweighed_density"])


def board_of(stock: Stock) -> Board:
    """Board of a sheet stock. Its paper is as thick as its weight says: the areal mass is foam of ``foam_density``
    between two faces, of which one of ``face_mass`` would be ``face_thickness`` thick. Held to a quarter of that
    face at least and a fifth of the board at most."""
    table = tables()["board"]
    thickness = stock.thickness or 5 * MM
    areal = stock.areal_mass or table["unweighed_areal_mass"] / 1000.0
    nominal, foam = table["face_thickness"] * MM, table["foam_density"]
    paper = table["face_mass"] / 1000.0 / nominal
    face = (areal - foam * thickness) / (2 * (paper - foam))
    face = min(max(face, 0.25 * nominal), 0.2 * thickness)
    return Board(
        thickness,
        face,
        table["face_modulus"] * MPA,
        table["face_modulus_across"] * MPA,
        table["core_modulus"] * MPA,
        table["core_shear_modulus"] * MPA,
        table["paper_shear"] * MPA,
        tables()["foam"]["shear"] * MPA,
    )
