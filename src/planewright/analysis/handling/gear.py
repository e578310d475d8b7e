"""How the aeroplane stands on its wheels: load on the single wheel, tip-back and overturn angle.

Sources: moments about the wheels; overturn angle as in D. Roskam, Airplane Design (limit 55 deg, from memory) and
common course texts: atan(h / (L sin a)), the height over the distance to the line from the single wheel to a main.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.plane.model import Plane, Wheel

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Stand:
    """All (N,). ``single``: "nose" or "tail"; ``single_load``: part of the weight on it; ``tip_back`` rad: how far
    the tail may sink before the centre of gravity passes the mains (nose wheel), or the nose before it does (tail
    wheel); ``overturn`` rad from level: small stands firmly; ``height`` m of the centre of gravity above ground."""

    single: str
    single_load: Array
    tip_back: Array
    overturn: Array
    height: Array


def _pair(plane: Plane) -> tuple[Wheel, Wheel] | None:
    """The single wheel and the mains, or None when the undercarriage is not of that kind."""
    single = [one for one in plane.wheels if one.name in ("nose", "tail")]
    mains = [one for one in plane.wheels if one.name == "main" and one.y > 0]
    return (single[0], mains[0]) if single and mains else None


def stand(plane: Plane, cg: Array) -> Stand | None:
    """Standing on three wheels on level ground.

    Arguments: plane: with a nose or tail wheel and a pair of mains. cg: (3, N) m, drawing axes.
    Returns: Stand, or None for another undercarriage (or wheels in one line across).
    The ground is the plane through the three contact points; heights are taken square to it.
    """
    wheels = _pair(plane)
    if wheels is None or wheels[1].x == wheels[0].x:
        return None
    single, main = wheels
    base = main.x - single.x
    tilt = np.arctan((main.z - single.z) / base)
    along, up = cg[0] - single.x, cg[2] - single.z
    run = along * np.cos(tilt) + up * np.sin(tilt)
    height = up * np.cos(tilt) - along * np.sin(tilt)
    length = base * np.cos(tilt) + (main.z - single.z) * np.sin(tilt)
    to_main = length - run
    lean = np.arctan2(main.y, abs(length))
    clear = np.abs(run) * np.sin(lean) - np.abs(cg[1]) * np.cos(lean)
    sign = np.sign(length)
    return Stand(
        single=single.name,
        single_load=np.asarray(to_main / length),
        tip_back=np.arctan2(sign * to_main, height),
        overturn=np.arctan2(height, clear),
        height=np.asarray(height),
    )
