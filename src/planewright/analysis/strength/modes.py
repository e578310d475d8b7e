"""What gives first: the load, as a multiple of a load case, at which each named mode is reached, and where.

Every mode is a use: the part of its capacity that the case takes at each station. Loads that press the upper skin
are looked at here; a load the other way is the same question asked of the wing turned upside down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.strength.beams import Bending, bending, cantilever, crimping, wrinkling
from planewright.analysis.strength.half import Group, HalfWing, Stick, Web
from planewright.analysis.strength.materials import MM, MPA, Board, tables
from planewright.analysis.strength.panels import SETTLED, buckling_force, wall_stiffness, working_part

Array = npt.NDArray[np.float64]

STICK, STICK_BUCKLING = "stick crushing", "stick buckling"
FACE, PANEL, SPAR_END = "face wrinkling", "skin panel buckling", "skin at the spar end"
GLUE, WEB, WEB_BUCKLING = "glue line", "web shear", "web buckling"
MODES = (STICK, STICK_BUCKLING, FACE, PANEL, SPAR_END, GLUE, WEB, WEB_BUCKLING)
NOT_COVERED = "cut-outs for servos and cables, creep, damp board and fatigue are not looked at"
TINY = 1e-12
PASSES = 3


@dataclass(frozen=True)
class Case:
    """A load case along a half wing: ``moment`` and ``shear`` at its stations, shapes (s, 1) or (s, N)."""

    moment: Array
    shear: Array


@dataclass(frozen=True)
class Reached:
    """Multiple of the load case at which a mode is reached and where: ``load`` and ``place`` (m out), each (N,)."""

    load: Array
    place: Array


def stiffness_factor(group: Group, states: States) -> Array:
    """Factor (N,) on the stiffness of one group of walls."""
    if group.kind == "face":
        return states.factor("skin.share") * states.factor("paper.stiffness", group.stock)
    if group.kind == "web":
        return states.factor("paper.stiffness", group.stock)
    if group.kind == "stick":
        return states.factor("stick.modulus", group.stock)
    return np.ones(states.count)


def section_sums(half: HalfWing, states: States) -> Array:
    """The six sums of every station for every draw, (6, s, N): straight in the factors, so exact for every draw."""
    factors = np.array([stiffness_factor(group, states) for group in half.groups])
    nominal = np.array([group.sums for group in half.groups])
    shape = nominal.shape
    total = nominal.reshape(shape[0], -1).T @ factors
    return np.asarray(total.reshape(shape[1], shape[2], states.count))


def section_bending(half: HalfWing, states: States) -> Bending:
    """Bending of every station for every draw, arrays (s, N), every panel working in full."""
    return bending(section_sums(half, states))


def _worst(use: Array, y: Array) -> Reached:
    """From the used part of the capacity (s, N): the load multiple at which it is all used."""
    at = np.argmax(use, axis=0)
    most = np.maximum(use[at, np.arange(use.shape[1])], TINY)
    return Reached(1 / most, y[at])


# Sticks


def stick_use(half: HalfWing, stick: Stick, bent: Bending, case: Case, states: States) -> Array:
    """Part of a stick's strength used by the load case, (s, N): axial/fc + bending/fm (timber interaction)."""
    modulus = stick.wood.modulus * states.factor("stick.modulus", stick.stock)
    strain = bent.strain(stick.x[:, None], stick.z[:, None])
    fibre = stick.depth / 2 / bent.stiffness
    axial = np.maximum(strain, 0.0) / stick.wood.compression
    use = case.moment * modulus * (axial + (strain > 0) * fibre / stick.wood.bending)
    return np.asarray(use * _sweep_and_run(half, stick))


def _sweep_and_run(half: HalfWing, stick: Stick) -> Array:
    sweep = half.rear_by_sweep if stick.rear else np.ones_like(half.y)
    return np.asarray((sweep * stick.present)[:, None])


def stick_strength(stick: Stick, states: States) -> Array:
    """Factor (N,) on a stick's crushing and bending strength."""
    return states.factor("stick.compression", stick.stock) * states.factor("stick.grade", stick.stock)


def sticks(half: HalfWing, bent: Bending, case: Case, states: States) -> Array:
    """Stick crushing, (s, N): the worst cap."""
    parts = [stick_use(half, s, bent, case, states) / stick_strength(s, states) for s in half.sticks]
    return np.asarray(np.max(np.array(parts), axis=0))


def held_column(stick: Stick, web: Web, states: States) -> Array:
    """Force (N,) per station at which a stick glued to its web buckles, (s, N): 2 sqrt(k E I), a long bar on an
    elastic support k (M. Hetenyi, Beams on Elastic Foundation, from memory), k the web across over half its depth."""
    across = 2 * web.board.face * web.board.face_across + web.board.core * web.board.core_modulus
    support = across / np.maximum(web.depth / 2, 1e-4)[:, None] * states.factor("paper.stiffness", web.stock)
    own = stick.wood.modulus * stick.area * stick.depth**2 / 12 * states.factor("stick.modulus", stick.stock)
    return np.asarray(2 * np.sqrt(support * own))


def stick_columns(half: HalfWing, bent: Bending, case: Case, states: States) -> Array:
    """Stick buckling with its web glued, (s, N): the worst cap."""
    parts = []
    for i, stick in enumerate(half.sticks):
        stiff = stick.wood.modulus * stick.area * states.factor("stick.modulus", stick.stock)
        force = np.maximum(bent.strain(stick.x[:, None], stick.z[:, None]), 0.0) * stiff
        most = held_column(stick, half.webs[i // 2], states)
        parts.append(case.moment * force * _sweep_and_run(half, stick) / most)
    return np.asarray(np.max(np.array(parts), axis=0))


def loose_column(stick: Stick, pitch: float) -> float:
    """Force, N, at which a stick whose web came loose buckles between ribs: pi^2 E I / pitch^2 (Euler)."""
    return float(np.pi**2 * stick.wood.modulus * stick.area * stick.depth**2 / 12 / pitch**2)


# Skin


def face_limit(board: Board, stock: str, states: States) -> Array:
    """Face stress (N,), Pa, at which a board wrinkles: the least of wrinkling and, for thin boards, crimping."""
    table = tables()["board"]
    modulus = board.face_modulus * states.factor("paper.stiffness", stock)
    wrinkle = wrinkling(modulus, board.core_modulus, board.core_shear_modulus, table["wrinkle"])
    crimp = table["crimp_share"] * crimping(board.core_shear_modulus, board.core, board.face)
    return np.asarray(np.minimum(wrinkle, crimp) * states.factor("board.wrinkle", stock))


def face_strength(half: HalfWing, states: States) -> Array:
    """Face stress (N,), Pa, at which the skin of a wing wrinkles."""
    return face_limit(half.skin, half.skin_stock, states)


def _most_strain(bent: Bending, x: Array, z: Array) -> Array:
    most = np.full(bent.stiffness.shape, -np.inf)
    for along, above in zip(x, z, strict=True):
        np.maximum(most, bent.strain(along[:, None], above[:, None]), out=most)
    return most


def face_strain(half: HalfWing, bent: Bending) -> Array:
    """Greatest shortening strain of the upper face per unit moment, (s, N)."""
    return _most_strain(bent, half.top_x, half.top_z)


def faces(half: HalfWing, bent: Bending, case: Case, states: States) -> Array:
    """Face wrinkling of the upper skin, (s, N). The stress is the paper's modulus times the strain: skin.share
    changes how far the wing bends, not the stress in a face of given strain."""
    modulus = half.skin.face_modulus * states.factor("paper.stiffness", half.skin_stock)
    return np.asarray(case.moment * face_strain(half, bent) * modulus / face_strength(half, states))


def panel_uses(half: HalfWing, bent: Bending, case: Case, states: States) -> list[Array]:
    """Part of each upper panel's buckling force that the case makes, (s, N) each."""
    stiff = wall_stiffness(half.skin, half.skin_stock, states)
    found = []
    for panel in half.upper:
        force = case.moment * np.maximum(_most_strain(bent, panel.x, panel.z), 0.0) * stiff
        found.append(force / buckling_force(panel, half.skin, half.skin_stock, states))
    return found


# Web and glue


def _flow(half: HalfWing, case: Case) -> Array:
    """Shear flow V/h in the webs, N/m, shape of the case: the webs share it by their depths."""
    depth = sum_depth(half.webs)
    return np.where(depth[:, None] > 0, case.shear / np.maximum(depth, 1e-9)[:, None], 0.0)


def sum_depth(webs: tuple[Web, ...]) -> Array:
    """Sum of the depths of all webs at each station, (s,)."""
    return np.asarray(np.sum(np.array([web.depth * web.present for web in webs]), axis=0))


def glue_strength(web: Web) -> float:
    """Shear flow the line between web and stick carries, N/m: g (t + two fillets)."""
    table = tables()["glue_line"]
    return float(table["strength"] * MPA * (web.board.thickness + 2 * table["fillet"] * MM))


def glue(half: HalfWing, case: Case, states: States) -> Array:
    """Web-to-stick glue line, (s, N): V/h against g (t + two fillets) of the web that has least."""
    least = min(glue_strength(web) for web in half.webs)
    return np.asarray(_flow(half, case) / least / states.factor("glue.line"))


def web_strength(web: Web, states: States) -> Array:
    """Shear flow (N,) a web carries, N/m: both papers and the foam, each under its own factor."""
    board = web.board
    paper = 2 * board.face * board.paper_shear * states.factor("paper.shear", web.stock)
    return np.asarray(paper + board.core * board.foam_shear * states.factor("foam.shear", web.stock))


def webs(half: HalfWing, case: Case, states: States) -> Array:
    """Web shear, (s, N): V/h against both papers in shear and the foam, of the web that has least."""
    return np.asarray(
        _flow(half, case) / np.min(np.array([web_strength(web, states) for web in half.webs]), axis=0)
    )


def web_buckling_flow(web: Web, pitch: float | None, states: States) -> Array:
    """Shear flow at which a web buckles, N/m, (s, N): k pi^2 D/h^2 with k = 5.34 + 4 (h/p)^2 (S. P. Timoshenko,
    from memory), and the shear of the foam; without a rib pitch k = 5.34."""
    board, depth = web.board, np.maximum(web.depth, 1e-4)
    k = 5.34 + (4 * (depth / pitch) ** 2 if pitch else 0.0)
    bent = (k * np.pi**2 * board.bending_stiffness / depth**2)[:, None] * states.factor("board.D", web.stock)
    return np.asarray(1 / (1 / bent + 1 / (board.shear_of_core * states.factor("board.S", web.stock))))


def web_panels(half: HalfWing, case: Case, states: States) -> Array:
    """Web buckling in shear, (s, N)."""
    flow = _flow(half, case)
    parts = [
        flow / web_buckling_flow(web, half.rib_pitch, states) * web.present[:, None] for web in half.webs
    ]
    return np.asarray(np.max(np.array(parts), axis=0))


# All of them


def uses(half: HalfWing, bent: Bending, case: Case, states: States) -> dict[str, Array]:
    """Part of the capacity of each mode that the case takes at each station, (s, N), workmanship left out."""
    skin = faces(half, bent, case, states)
    outside = half.beyond_ends[:, None]
    found = {
        FACE: np.where(outside, 0.0, skin),
        PANEL: np.max(np.array(panel_uses(half, bent, case, states)), axis=0),
    }
    if half.sticks:
        found |= {
            STICK: sticks(half, bent, case, states),
            STICK_BUCKLING: stick_columns(half, bent, case, states),
            SPAR_END: np.where(outside, skin, 0.0),
            GLUE: glue(half, case, states),
            WEB: webs(half, case, states),
            WEB_BUCKLING: web_panels(half, case, states),
        }
    shape = np.broadcast_shapes(case.moment.shape, (len(half.y), states.count))
    return {mode: np.broadcast_to(found[mode], shape) for mode in MODES if mode in found}


def settled_bending(half: HalfWing, case: Case, states: States) -> Bending:
    """Bending of every station at the load that breaks the wing: where a panel is near its buckling only part of its
    papers works (half steps; nothing changes where all panels have 2.2 times what they need)."""
    total = section_sums(half, states)
    bent = bending(total)
    share = stiffness_factor(half.groups[0], states)
    part = [np.ones(bent.stiffness.shape) for _ in half.upper]
    for turn in range(PASSES):
        least = 1 / np.max(np.array(list(uses(half, bent, case, states).values())), axis=(0, 1))
        ratios = [1 / np.maximum(use * least, TINY) for use in panel_uses(half, bent, case, states)]
        if turn == 0 and min(float(np.min(ratio)) for ratio in ratios) >= SETTLED:
            return bent
        part = [(old + working_part(ratio)) / 2 for old, ratio in zip(part, ratios, strict=True)]
        lost = sum(
            panel.sums[:, :, None] * ((1 - works) * share)[None, :, :]
            for panel, works in zip(half.upper, part, strict=True)
        )
        bent = bending(total - lost)
    return bent


def reached(half: HalfWing, case: Case, states: States) -> Mapping[str, Reached]:
    """Every mode that this wing has: load multiple and place, workmanship taken in, piece-to-piece factors not."""
    found = uses(half, settled_bending(half, case, states), case, states)
    work = states.factor("work.strength")
    worst = {mode: _worst(use, half.y) for mode, use in found.items()}
    return {mode: Reached(one.load * work, one.place) for mode, one in worst.items()}


def modes_of(half: HalfWing) -> tuple[str, ...]:
    """The modes that this wing has."""
    return MODES if half.sticks else (FACE, PANEL)


def tip_deflection(half: HalfWing, case: Case, states: States) -> Array:
    """Rise of the tip over the middle under the case, m (N,): bending with sweep, and shear of the webs."""
    curve = case.moment / section_bending(half, states).stiffness
    rise = cantilever(half.y, curve)[1][-1] * half.tip_by_sweep
    work = states.factor("work.stiffness")
    return np.asarray((rise + (_shear_rise(half, case) if half.webs else 0.0)) / work)


def _shear_rise(half: HalfWing, case: Case) -> Array:
    """Deflection by shear of the webs along the spar, m, (1,) or (N,)."""
    stiff = np.sum(np.array([w.board.shear_stiffness * w.depth * w.present for w in half.webs]), axis=0)
    runs = stiff > 0
    slope = case.shear[runs] / stiff[runs][:, None]
    return np.asarray(np.trapezoid(slope, half.y[runs], axis=0))
