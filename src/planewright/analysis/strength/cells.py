"""Shear and torsion of one section with closed cells: nose, boxes between webs, trailing edge.

The walls of the middle line are one network: at each node the flows balance what bending hands over there, round each
cell they turn the section by one rate of twist. One linear system gives both answers: the flows of a unit of twist
(stiffness in torsion, R. Bredt) and those of a unit of shear (shear centre), with the web in three parts: skin to
stick, stick to stick, stick to skin.

Source of the theory: shear of closed thin-walled beams, as in T. H. G. Megson, Aircraft Structures for engineering
students. SI; done once for a drawing. A seam left open takes its wall away.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from planewright.analysis.strength.beams import Bending, Lumps, bending, sums
from planewright.analysis.strength.half import HalfWing
from planewright.analysis.strength.materials import Board
from planewright.analysis.strength.outlines import inward, is_sheet

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Seam = Literal["nose", "trailing edge"]

SEAMS: tuple[Seam, ...] = ("nose", "trailing edge")
THIN = 2


@dataclass(frozen=True)
class Network:
    """Walls of a section: ``nodes`` (n, 2) m; wall e runs from ``start[e]`` to ``end[e]`` with shear ``flexibility``
    (length over G t, per N) (m,); ``cells``: for each, the walls round it with +1 or -1 (c, m)."""

    nodes: Array
    start: Ints
    end: Ints
    flexibility: Array
    cells: Array

    @property
    def swept(self) -> Array:
        """Twice the area each wall sweeps about the origin, counted from its start to its end, m2, (m,)."""
        a, b = self.nodes[self.start], self.nodes[self.end]
        return np.asarray(a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1])


def flows(network: Network, handed: Array, twist: float) -> Array:
    """Flow in each wall, N/m, (m,).

    ``handed`` (n,): axial force per length that bending hands over at each node, N/m, summing to nothing;
    ``twist``: rate of twist of the section, rad/m (times G t in the flexibilities).
    """
    count, walls = len(network.nodes), len(network.start)
    balance = np.zeros((count, walls))
    balance[network.start, np.arange(walls)] += 1.0
    balance[network.end, np.arange(walls)] -= 1.0
    turning = network.cells * network.flexibility
    enclosed = network.cells @ network.swept
    matrix = np.vstack((balance[1:], turning))
    return np.asarray(np.linalg.solve(matrix, np.concatenate((handed[1:], twist * enclosed))))


def torsion_stiffness(network: Network) -> float:
    """G J of the closed cells, N m2: torque of the flows of a unit rate of twist. 0 when no cell is closed."""
    if not len(network.cells):
        return 0.0
    return float(network.swept @ flows(network, np.zeros(len(network.nodes)), 1.0))


# One station of a wing


@dataclass(frozen=True)
class Torsion:
    """Torsion along a half wing, nominal, (s,): ``stiffness`` GJ, N m2; ``centre``: shear centre from the nose, m;
    ``skin_flow``: greatest flow in the skin per newton metre of torque, 1/m; ``tail_flow``: that at the trailing edge;
    ``closed``: enclosed by the flow round the outside, m2. ``seams``: those that are open."""

    stiffness: Array
    centre: Array
    skin_flow: Array
    tail_flow: Array
    seams: tuple[Seam, ...]


def open_stiffness(board: Board, length: float) -> float:
    """G J of a board section that no cell closes, N m2: 4 Dxy per breadth, Dxy = Gf tf d^2/2 (a sandwich strip)."""
    return 2 * board.face_shear_modulus * board.face * (board.core + board.face) ** 2 * length


def network_of(half: HalfWing, i: int, seams: Iterable[Seam] = ()) -> tuple[Network, Ints]:
    """Walls of station ``i`` with the named seams open, and the node of each cap stick.

    Cells that lose a wall are left out; so are webs that do not run this far.
    """
    skin = half.skin
    line = inward(half.outlines[i], skin.thickness / 2)[::THIN]
    line = np.vstack((line, half.outlines[i][-1:])) if len(half.outlines[i]) % THIN == 0 else line
    nose = int(np.argmin(line[:, 0]))
    webs = [k for k, web in enumerate(half.webs) if web.present[i]]
    order = sorted(webs, key=lambda k: half.webs_at[k])
    line, tops, bottoms, nose = _with_feet(line, nose, [half.webs_at[k] * half.chord[i] for k in order])
    nodes, back = [*line], len(line) - 1
    runs = [(a, (a + 1) % len(line), skin.shear_stiffness) for a in range(len(line))]
    sticks = np.full(len(half.sticks), -1)
    web_walls: list[list[int]] = []
    for k, top, bottom in zip(order, tops, bottoms, strict=True):
        upper, lower = half.sticks[2 * k], half.sticks[2 * k + 1]
        first, wall = len(nodes), len(runs)
        nodes += [np.array([upper.x[i], upper.z[i]]), np.array([lower.x[i], lower.z[i]])]
        sticks[[2 * k, 2 * k + 1]] = first, first + 1
        stiff = half.webs[k].board.shear_stiffness
        runs += [(top, first, stiff), (first, first + 1, stiff), (first + 1, bottom, stiff)]
        web_walls.append([wall, wall + 1, wall + 2])
    a, b = (np.array([run[end] for run in runs]) for end in (0, 1))
    shear = np.array([run[2] for run in runs])
    points = np.array(nodes)
    length = np.maximum(np.hypot(*(points[b] - points[a]).T), 1e-9)
    length[back] = max(length[back], 1e-6)
    cells = _cells(len(runs), len(line), nose, tops, bottoms, web_walls, back, tuple(seams))
    return Network(points, a, b, length / shear, cells), sticks


def _with_feet(line: Array, nose: int, places: list[float]) -> tuple[Array, list[int], list[int], int]:
    """The middle line with a node at the top and bottom of every web (front to rear); their numbers; the nose's."""
    top, bottom = line[: nose + 1], line[nose:]
    for x in places:
        top = _inserted(top[::-1], x)[::-1]
        bottom = _inserted(bottom, x)
    joined = np.vstack((top, bottom[1:]))
    nose = len(top) - 1
    tops = [int(np.argmin(np.abs(top[:, 0] - x))) for x in places]
    bottoms = [nose + int(np.argmin(np.abs(bottom[:, 0] - x))) for x in places]
    return joined, tops, bottoms, nose


def _inserted(run: Array, x: float) -> Array:
    """A run with growing x, with one more point at ``x`` unless one lies there."""
    near = int(np.argmin(np.abs(run[:, 0] - x)))
    if abs(run[near, 0] - x) < 1e-5:
        return run
    at = int(np.searchsorted(run[:, 0], x))
    return np.insert(run, at, [x, float(np.interp(x, run[:, 0], run[:, 1]))], axis=0)


def _cells(
    walls: int, skin: int, nose: int, tops: list[int], bottoms: list[int], webs: list[list[int]], back: int,
    seams: tuple[Seam, ...],
) -> Array:  # fmt: skip
    """Walls round each closed cell, front to rear, each from its upper rear corner forward and back below."""
    rows = []
    uppers, lowers = [*tops, 0], [*bottoms, skin - 1]
    for k in range(len(tops) + 1):
        row = np.zeros(walls)
        front_top, front_bottom = (nose, nose) if k == 0 else (tops[k - 1], bottoms[k - 1])
        row[uppers[k] : front_top] = 1.0
        row[front_bottom : lowers[k]] = 1.0
        if k > 0:
            row[webs[k - 1]] = 1.0
        if k < len(tops):
            row[webs[k]] = -1.0
        else:
            row[back] = 1.0
        opened = (k == 0 and "nose" in seams) or (k == len(tops) and "trailing edge" in seams)
        if not opened:
            rows.append(row)
    return np.array(rows).reshape(-1, walls)


def without_open_walls(network: Network, seams: Iterable[Seam]) -> Network:
    """The network less the walls that an open seam takes away (their flow would have nowhere to go)."""
    if not tuple(seams):
        return network
    used = np.any(network.cells != 0, axis=0) if len(network.cells) else np.zeros(len(network.start), bool)
    keep_nodes = np.unique(np.concatenate((network.start[used], network.end[used])))
    number = np.full(len(network.nodes), -1)
    number[keep_nodes] = np.arange(len(keep_nodes))
    return Network(
        network.nodes[keep_nodes], number[network.start[used]], number[network.end[used]],
        network.flexibility[used], network.cells[:, used],
    )  # fmt: skip


def section_torsion(half: HalfWing, i: int, seams: tuple[Seam, ...] = ()) -> tuple[float, float, float]:
    """(GJ N m2, greatest skin flow and trailing-edge flow per torque 1/m) of station ``i``."""
    whole, _ = network_of(half, i, seams)
    network = without_open_walls(whole, seams)
    length = float((whole.flexibility * half.skin.shear_stiffness).sum())
    loose = open_stiffness(half.skin, length)
    if is_sheet(half.outlines[i], half.skin) or not len(network.cells):
        return loose, 0.0, 0.0
    flow = flows(network, np.zeros(len(network.nodes)), 1.0)
    closed = float(network.swept @ flow)
    tail = 0.0 if "trailing edge" in seams else abs(float(flow[_rear_wall(network)])) / closed
    return closed + loose, float(np.max(np.abs(flow))) / closed, tail


def _rear_wall(network: Network) -> int:
    """The wall furthest aft."""
    return int(np.argmax(network.nodes[network.start, 0] + network.nodes[network.end, 0]))


def shear_centre(half: HalfWing, i: int) -> float:
    """Shear centre of a closed station, m behind the nose: moment about the nose of the flows of one newton of shear
    that turn nothing. A single sheet has its middle."""
    if is_sheet(half.outlines[i], half.skin):
        return float(half.chord[i]) / 2
    network, sticks = network_of(half, i)
    bent, ea, x, z = _lumped(half, i, network, sticks)
    handed = ea * bent.strain(x, z)
    flow = flows(network, handed - handed.sum() / len(handed), 0.0)
    upward = flow @ (network.nodes[network.end, 1] - network.nodes[network.start, 1])
    return float(abs(network.swept @ flow / upward))


def vertical_sum(half: HalfWing, i: int) -> float:
    """Sum of the vertical flows of one newton of shear: how well the flows carry it (1 when exactly)."""
    network, sticks = network_of(half, i)
    bent, ea, x, z = _lumped(half, i, network, sticks)
    flow = flows(network, ea * bent.strain(x, z), 0.0)
    return float(abs(flow @ (network.nodes[network.end, 1] - network.nodes[network.start, 1])))


def _lumped(half: HalfWing, i: int, network: Network, sticks: Ints) -> tuple[Bending, Array, Array, Array]:
    """Bending of the lumped section and its lumps at the nodes: skin walls shared by their ends, sticks at theirs."""
    skin = half.skin
    per = 2 * skin.face * skin.face_modulus + skin.core * skin.core_modulus
    ea = np.zeros(len(network.nodes))
    length = network.flexibility * skin.shear_stiffness
    outer = np.array(
        [
            not ({int(a), int(b)} & set(sticks.tolist()))
            for a, b in zip(network.start, network.end, strict=True)
        ]
    )
    for ends in (network.start, network.end):
        np.add.at(ea, ends[outer], per * length[outer] / 2)
    for node, stick in zip(sticks, half.sticks, strict=True):
        if node >= 0:
            ea[node] += stick.wood.modulus * stick.area
    x, z = network.nodes.T
    return bending(sums(Lumps(x, z, ea, np.zeros_like(ea)))), ea, x, z


def torsion(half: HalfWing, seams: tuple[Seam, ...] = ()) -> Torsion:
    """Torsion of every station of a half wing, all faces working in shear. ``seams``: those left open."""
    rows = np.array([section_torsion(half, i, seams) for i in range(len(half.y))])
    centre = np.array([shear_centre(half, i) for i in range(len(half.y))])
    return Torsion(rows[:, 0], centre, rows[:, 1], rows[:, 2], seams)
