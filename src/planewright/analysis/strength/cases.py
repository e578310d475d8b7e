"""Load cases of the wing: manoeuvre, gust, roll, landing, lifting by the tips, bags on the wing turned upside down.

Limit load may leave no set, 1.5 times it must be carried for 3 s (14 CFR 25.303 and 25.305). A load is net: lift less
the wing's own weight, with every mass on the wing in its place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.analysis.model import States
from planewright.analysis.strength import modes
from planewright.analysis.strength.loads import GRAVITY, Along
from planewright.analysis.strength.model import ARTICLE, FLYING_WING, ULTIMATE, StrengthModel

Array = npt.NDArray[np.float64]

GUST, DROP = 3.0, 0.15
ROLL_SHARE = 2.0 / 3.0
BAYS, SPREADING = 10, 4000


def gust_alleviation(loading: Array | float, density: float, chord: float, slope: Array | float) -> Array:
    """Kg = .88 mu/(5.3 + mu), mu = 2 (W/S)/(rho c a g): 14 CFR 23.341. ``loading`` N/m2, ``slope`` per rad."""
    ratio = np.asarray(2 * loading / (density * chord * np.asarray(slope) * GRAVITY))
    return np.asarray(0.88 * ratio / (5.3 + ratio))


def gust_factor(
    speed: float, gust: float, loading: Array | float, density: float, chord: float, slope: Array | float,
    stall: Array | float,
) -> Array:  # fmt: skip
    """Load factor in a sharp-edged gust of ``gust`` m/s at ``speed``, at most what the stall allows: 14 CFR 23.341.

    ``loading`` N/m2, mean ``chord`` m, lift ``slope`` per rad, ``stall`` speed m/s; any of them (N,).
    """
    eased = gust_alleviation(loading, density, chord, slope)
    found = 1 + 0.5 * density * speed * np.asarray(slope) * eased * gust / np.asarray(loading)
    return np.asarray(np.minimum(found, (speed / np.asarray(stall)) ** 2))


def landing_factor(drop: float, sag: float) -> float:
    """Load factor of a drop from ``drop`` m on legs that sag ``sag`` m under the weight at rest: linear springs take
    all of the energy, 1 + sqrt(1 + 2 h/s)."""
    return float(1 + np.sqrt(1 + 2 * drop / sag))


def leg_sag(load: float, length: float, out: float, diameter: float, modulus: float = 200e9) -> float:
    """Sag of a straight wire leg, m, built in at the body, ``length`` long, reaching ``out`` sideways: P a^2 L/(3 E I),
    steel; an upright leg does not sag."""
    return load * out**2 * length / (3 * modulus * np.pi * diameter**4 / 64)


def wire_moment(diameter: float, stress: float = 1.2e9) -> float:
    """Bending moment, N m, at which a spring-steel wire begins to yield: pi d^3/32 times ``stress`` (1200 MPa, from
    memory)."""
    return float(np.pi * diameter**3 / 32 * stress)


@dataclass(frozen=True)
class LoadCase:
    """One case: ``factor`` on the lift and ``own`` on the wing's own weight (a lift of 4 with own weight 4 is 4 g),
    ``ultimate`` True where 1.5 stands on it; ``says`` its rule with the source."""

    id: str
    words: str
    lift: float
    own: float
    ultimate: bool
    says: str


def manoeuvre(limit: float) -> LoadCase:
    """The limit load."""
    says = "limit load factor of the file (3: common practice, no source); 1.5 on it: 14 CFR 25.303"
    return LoadCase("manoeuvre", f"pull of {limit:g} g", limit, limit, True, says)


def along(model: StrengthModel, case: LoadCase, mass: float) -> Along:
    """Net shear and moment of a case along the half wing at medians."""
    weight = GRAVITY * mass
    return Along(
        model.half.y,
        case.lift * weight * model.lift.shear - case.own * model.own.shear,
        case.lift * weight * model.lift.moment - case.own * model.own.moment,
    )


def held(model: StrengthModel, load: Along, states: States) -> dict[str, Array]:
    """Multiple (N,) of a load at which each mode and plug-in joint is reached; a load that bends the tip down presses
    the lower skin, so it is put to the wing turned upside down. A mode that the load never reaches is left out."""
    down = float(load.moment[0]) < 0.0
    half = model.half.mirrored() if down else model.half
    sign = -1.0 if down else 1.0
    case = modes.Case(np.maximum(sign * load.moment, 0.0)[:, None], np.abs(load.shear)[:, None])
    found = modes.reached(half, case, states)
    wing = {mode: one.load * states.factor(ARTICLE[mode], FLYING_WING) for mode, one in found.items()}
    factor = states.factor("joint.factor") * states.factor("article.joint", FLYING_WING)
    for joiner in model.joiners:
        moment = abs(float(np.interp(joiner.joint.out, load.y, load.moment)))
        if moment > 1e-6:
            wing[f"joint {joiner.joint.name}"] = joiner.moment * factor / moment
    return {mode: value for mode, value in wing.items() if float(np.median(value)) < 1e6}


def needed(case: LoadCase) -> float:
    """Multiple of the case that must be carried."""
    return ULTIMATE if case.ultimate else 1.0


@dataclass(frozen=True)
class Bay:
    """One bay of a half wing turned upside down: from, to (m out), weight of bags in it at the load asked, kg."""

    start: float
    end: float
    bags: float


def bags(model: StrengthModel, load: float, mass: float, bays: int = BAYS) -> tuple[Bay, ...]:
    """Bags that bend the wing, turned upside down, as ``load`` g do: n times the lift less (n + 1) own mass in each
    bay, since its own weight now helps. Where an engine alone is more than a bay needs, that bay gets none and the
    bays beside it so much less: load and moment of the whole stay n times the net ones."""
    edge = np.linspace(0.0, model.half.half_span, bays + 1)
    lift = np.interp(edge, model.half.y, model.lift.shear) * GRAVITY * mass
    own = np.interp(edge, model.half.y, model.own.shear)
    need = (load * -np.diff(lift) - (load + 1) * -np.diff(own)) / GRAVITY
    for _ in range(SPREADING):
        short = np.minimum(need, 0.0)
        if short.sum() > -1e-9:
            break
        need -= short
        need[:-1] += short[1:] / 2
        need[1:] += short[:-1] / 2
        need[0] += short[0] / 2
        need[-1] += short[-1] / 2
    return tuple(
        Bay(float(a), float(b), max(float(kg), 0.0))
        for a, b, kg in zip(edge[:-1], edge[1:], need, strict=True)
    )
