"""Skin panels between nose, spars and trailing edge: the load at which each buckles, and what still works beyond.

A panel is a strip of skin pressed along the span, held at its long edges by nose, webs or trailing edge. Rib pitch
is left out: a curved skin buckles in waves shorter than a rib bay (seen in a shell model of our own: pitch 90, 180 mm
and none differ by 3 %).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.strength.beams import sums
from planewright.analysis.strength.materials import Board
from planewright.analysis.strength.outlines import heights, is_sheet, membrane

Array = npt.NDArray[np.float64]

FADING, CURVED = 1.95, 0.05
NEVER = 1e9
SETTLED = ((1 - np.sqrt(1 - 4 * 0.22)) / (2 * 0.22)) ** 2
EDGES = (0.03, 0.97)
PROBES = 9


@dataclass(frozen=True)
class Panel:
    """One strip of skin along the half wing.

    ``name``; ``width`` (s,) m along the chord; ``bend`` (s,) 1/m, its mean curvature outward, nothing where flat or
    hollow; ``x``, ``z`` (p, s): places of its outer paper looked at; ``fades``: True behind the last spar, where the
    force falls toward the trailing edge; ``sums`` (6, s) of its papers; ``present`` (s,).
    """

    name: str
    width: Array
    bend: Array
    x: Array
    z: Array
    fades: bool
    sums: Array
    present: npt.NDArray[np.bool_]

    @property
    def shape_factor(self) -> Array:
        """Factor (s,) on the flat plate: 1.95 where the force fades to the trailing edge or the skin is curved, as
        fitted to the shell model; 1 for a flat panel between two spars."""
        return np.where(self.fades | (self.bend * self.width > CURVED), FADING, 1.0)

    def mirrored(self) -> Panel:
        """The same panel of the wing turned upside down."""
        turn = np.array([1.0, 1.0, -1.0, 1.0, -1.0, 1.0])[:, None]
        return Panel(
            self.name, self.width, self.bend, self.x, -self.z, self.fades, self.sums * turn, self.present
        )


def panels_of(rounds: list[Array], spars: tuple[float, ...], skin: Board) -> tuple[list[Panel], list[Panel]]:
    """(upper, lower) panels of a wing whose outlines are ``rounds`` and whose spars stand at these chord parts."""
    edges = (EDGES[0], *sorted(spars), EDGES[1])
    names = ["nose", *(["between the spars"] * (len(spars) - 1)), "behind the last spar"][-(len(edges) - 1) :]
    return (
        [_panel(rounds, skin, edges[i : i + 2], name, True, i == len(names) - 1) for i, name in enumerate(names)],
        [_panel(rounds, skin, edges[i : i + 2], name, False, i == len(names) - 1) for i, name in enumerate(names)],
    )  # fmt: skip


def _panel(
    rounds: list[Array], skin: Board, ends: tuple[float, ...], name: str, upper: bool, fades: bool
) -> Panel:
    rows = [_run(points, ends, upper) for points in rounds]
    place = np.array([line for line, _ in rows])
    seen = [0, PROBES // 4, PROBES // 2, -1]
    return Panel(
        f"{'upper' if upper else 'lower'} skin, {name}",
        (ends[1] - ends[0]) * np.array([float(np.ptp(points[:, 0])) for points in rounds]),
        np.array([bend for _, bend in rows]),
        place[:, seen, 0].T,
        place[:, seen, 1].T + (-1 if upper else 1) * skin.face / 2,
        fades and len(rounds) > 0,
        np.array([_papers(points, skin, ends, upper) for points in rounds]).T,
        np.array([not is_sheet(points, skin) for points in rounds]),
    )


def _run(points: Array, ends: tuple[float, ...], upper: bool) -> tuple[Array, float]:
    """Places (p, 2) along a panel and its mean curvature outward, 1/m: turning of its run over its length."""
    chord = float(np.ptp(points[:, 0]))
    x = np.linspace(ends[0], ends[1], PROBES) * chord
    z = np.array([heights(points, at)[0 if upper else 1] for at in x])
    slope = np.arctan2(np.diff(z), np.diff(x))
    length = float(np.hypot(np.diff(x), np.diff(z)).sum())
    turn = float(slope[0] - slope[-1]) * (1 if upper else -1)
    return np.column_stack((x, z)), max(turn, 0.0) / (length * (PROBES - 2) / (PROBES - 1))


def _papers(points: Array, skin: Board, ends: tuple[float, ...], upper: bool) -> Array:
    """Sums (6,) of both papers of one panel."""
    chord, nose = float(np.ptp(points[:, 0])), int(np.argmin(points[:, 0]))
    side = np.arange(len(points) - 1) < nose
    total = np.zeros(6)
    for depth in (skin.face / 2, skin.thickness - skin.face / 2):
        lumps = membrane(points, depth, skin.face_modulus * skin.face)
        mine = (lumps.x >= ends[0] * chord) & (lumps.x <= ends[1] * chord) & (side == upper)
        total += sums(type(lumps)(*(part[mine] for part in (lumps.x, lumps.z, lumps.ea, lumps.ei))))
    return total


def wall_stiffness(skin: Board, stock: str, states: States) -> Array:
    """Axial stiffness of the skin board per breadth when all of it works, N/m, (N,)."""
    paper = 2 * skin.face * skin.face_modulus * states.factor("paper.stiffness", stock)
    return np.asarray(paper + skin.core * skin.core_modulus)


def buckling_force(panel: Panel, skin: Board, stock: str, states: States) -> Array:
    """Force per breadth at which a panel buckles, N/m, (s, N).

    1/N = 1/(f 4 pi^2 D/b^2 + 2 sqrt(D EA)/R) + 1/S: a plate simply supported at its long edges (G. Megson, Aircraft
    Structures, 6.6: k = 4), f 1.95 where the force fades to the trailing edge; a shallow cylinder of radius R; and
    the shear of the foam, S = Gc d^2/tc. The sum, and f, were fitted to a shell model of our own, of which it gives
    .55 to .6; valid for boards 3 to 5 mm thick on chords .15 to .6 m.
    """
    bent = skin.bending_stiffness * states.factor("board.D", stock)
    shear = skin.shear_of_core * states.factor("board.S", stock)
    flat = panel.shape_factor[:, None] * 4 * np.pi**2 * bent[None, :] / panel.width[:, None] ** 2
    curved = 2 * np.sqrt(bent * wall_stiffness(skin, stock, states))[None, :] * panel.bend[:, None]
    force = 1 / (1 / (flat + curved) + 1 / shear[None, :])
    return np.asarray(np.where(panel.present[:, None], force, NEVER))


def working_part(ratio: Array) -> Array:
    """Part of a panel's width that works, from r = buckling force over force: sqrt(r)(1 - .22 sqrt(r)), 1 from
    r = 2.21 on (form of G. Winter, from memory)."""
    root = np.sqrt(np.clip(ratio, 0.05, SETTLED))
    return np.asarray(np.where(ratio >= SETTLED, 1.0, root * (1 - 0.22 * root)))
