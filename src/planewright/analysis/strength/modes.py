"""What gives first: the load, as a multiple of a load case, at which each named mode is reached.

First form: stick crushing, face wrinkling, web-to-stick glue line and web shear. Curved panels between ribs,
seams and the end of a spar are left to a later, deeper form, and the results say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.strength.beams import Bending, bending, cantilever, crimping, wrinkling
from planewright.analysis.strength.half import Group, HalfWing, Stick, Web
from planewright.analysis.strength.materials import MM, MPA, tables

Array = npt.NDArray[np.float64]

STICK, FACE, GLUE, WEB = "stick crushing", "face wrinkling", "glue line", "web shear"
MODES = (STICK, FACE, GLUE, WEB)
NOT_COVERED = (
    "curved panels between ribs, torsion, seams, the end of a spar and down loads are not looked at yet"
)
TINY = 1e-12


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


def section_bending(half: HalfWing, states: States) -> Bending:
    """Bending of every station for every draw, arrays (s, N): the sums of the groups under their factors.

    The sums are straight in the factors, so this is exact for every draw and costs one matrix product.
    """
    factors = np.array([stiffness_factor(group, states) for group in half.groups])
    nominal = np.array([group.sums for group in half.groups])
    shape = nominal.shape
    total = nominal.reshape(shape[0], -1).T @ factors
    return bending(total.reshape(shape[1], shape[2], states.count))


def _worst(use: Array, y: Array) -> Reached:
    """From the used part of the capacity (s, N): the load multiple at which it is all used."""
    at = np.argmax(use, axis=0)
    most = np.maximum(use[at, np.arange(use.shape[1])], TINY)
    return Reached(1 / most, y[at])


def stick_use(half: HalfWing, stick: Stick, bent: Bending, case: Case, states: States) -> Array:
    """Part of a stick's strength used by the load case, (s, N): axial/fc + bending/fm (timber interaction)."""
    modulus = stick.wood.modulus * states.factor("stick.modulus", stick.stock)
    strain = bent.strain(stick.x[:, None], stick.z[:, None])
    fibre = stick.depth / 2 / bent.stiffness
    axial = np.maximum(strain, 0.0) / stick.wood.compression
    use = case.moment * modulus * (axial + (strain > 0) * fibre / stick.wood.bending)
    sweep = half.rear_by_sweep if stick.rear else np.ones_like(half.y)
    return np.asarray(use * (sweep * stick.present)[:, None])


def stick_strength(stick: Stick, states: States) -> Array:
    """Factor (N,) on a stick's crushing and bending strength."""
    return states.factor("stick.compression", stick.stock) * states.factor("stick.grade", stick.stock)


def sticks(half: HalfWing, bent: Bending, case: Case, states: States) -> Reached:
    """Stick crushing: the worst cap at the worst station."""
    parts = [stick_use(half, s, bent, case, states) / stick_strength(s, states) for s in half.sticks]
    return _worst(np.max(np.array(parts), axis=0), half.y)


def face_strength(half: HalfWing, states: States) -> Array:
    """Face stress (N,), Pa, at which the skin wrinkles: the least of wrinkling and, for thin boards, crimping."""
    table, skin = tables()["board"], half.skin
    modulus = skin.face_modulus * states.factor("paper.stiffness", half.skin_stock)
    wrinkle = wrinkling(modulus, skin.core_modulus, skin.core_shear_modulus, table["wrinkle"])
    crimp = table["crimp_share"] * crimping(skin.core_shear_modulus, skin.core, skin.face)
    return np.asarray(np.minimum(wrinkle, crimp) * states.factor("board.wrinkle", half.skin_stock))


def face_strain(half: HalfWing, bent: Bending) -> Array:
    """Greatest shortening strain of the upper face per unit moment, (s, N)."""
    most = np.full(bent.stiffness.shape, -np.inf)
    for x, z in zip(half.top_x, half.top_z, strict=True):
        np.maximum(most, bent.strain(x[:, None], z[:, None]), out=most)
    return most


def faces(half: HalfWing, bent: Bending, case: Case, states: States) -> Reached:
    """Face wrinkling of the upper skin. The stress is the paper's modulus times the strain: skin.share changes
    how far the wing bends, not the stress in a face of given strain."""
    modulus = half.skin.face_modulus * states.factor("paper.stiffness", half.skin_stock)
    use = case.moment * face_strain(half, bent) * modulus / face_strength(half, states)
    return _worst(use, half.y)


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


def glue(half: HalfWing, case: Case, states: States) -> Reached:
    """Web-to-stick glue line: V/h against g (t + two fillets) of the web that has least."""
    least = min(glue_strength(web) for web in half.webs)
    return _worst(_flow(half, case) / least / states.factor("glue.line"), half.y)


def webs(half: HalfWing, case: Case, states: States) -> Reached:
    """Web shear: V/h against both papers in shear and the foam, of the web that has least."""
    strengths = [web.board.shear_strength * states.factor("paper.shear", web.stock) for web in half.webs]
    return _worst(_flow(half, case) / np.min(np.array(strengths), axis=0), half.y)


def reached(half: HalfWing, case: Case, states: States) -> Mapping[str, Reached]:
    """Every mode that this wing has: load multiple and place, workmanship taken in, piece-to-piece factors not."""
    bent = section_bending(half, states)
    found = {FACE: faces(half, bent, case, states)}
    if half.sticks:
        found[STICK] = sticks(half, bent, case, states)
        found[GLUE] = glue(half, case, states)
        found[WEB] = webs(half, case, states)
    work = states.factor("work.strength")
    return {mode: Reached(found[mode].load * work, found[mode].place) for mode in MODES if mode in found}


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
