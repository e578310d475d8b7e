"""Closures of the two-equation integral boundary layer: laminar, turbulent and the growth of disturbances.

Symbols: ``h`` shape parameter delta*/theta; ``re`` Reynolds number on theta; ``hs`` kinetic energy shape parameter
theta*/theta; cf skin friction on the local dynamic pressure; CD dissipation over rho Ue^3.

Source: M. Drela, M. B. Giles, Viscous-inviscid analysis of transonic and low Reynolds number airfoils, AIAA J. 25(10),
1987, pp. 1347-1355. Laminar fits are held in the tests against exact similarity solutions, separated branch included.
Departures: the Reynolds number inside the turbulent energy fit is kept above 200, where the fit turns over; the start
value of the shear stress after transition (``c_tr``) was chosen on measured polars at 60,000 and 100,000.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Constants:
    """Constants of the layer equations, one set for all sections.

    ``n_crit`` amplification at transition; ``c_tr`` shear stress just after transition over its equilibrium value
    (square root); ``lag`` rate at which it follows.
    """

    n_crit: float = 9.0
    c_tr: float = 0.5
    lag: float = 5.6


# laminar -----------------------------------------------------------------------------------------------------------


def laminar_energy(h: Array) -> Array:
    """hs of a laminar layer."""
    return np.asarray(1.515 + np.where(h < 4, 0.076, 0.040) * (4 - h) ** 2 / h)


def laminar_friction(h: Array) -> Array:
    """re cf/2 of a laminar layer."""
    below = np.minimum(h, 7.4)
    above = np.maximum(h, 7.4)
    return np.where(
        h < 7.4,
        -0.067 + 0.01977 * (7.4 - below) ** 2 / (below - 1),
        -0.067 + 0.022 * (1 - 1.4 / (above - 6)) ** 2,
    )


def laminar_dissipation(h: Array) -> Array:
    """2 CD re / hs of a laminar layer."""
    off = h - 4
    return np.where(
        h < 4, 0.207 + 0.00205 * np.maximum(-off, 0.0) ** 5.5, 0.207 - 0.003 * off**2 / (1 + 0.02 * off**2)
    )


def onset(h: Array) -> Array:
    """log10 of the momentum Reynolds number at which disturbances begin to grow."""
    k = 1 / (h - 1)
    return np.asarray((1.415 * k - 0.489) * np.tanh(20 * k - 12.9) + 3.295 * k + 0.44)


def growth_rate(h: Array) -> Array:
    """Rise of the amplification per momentum Reynolds number: envelope of the most amplified waves."""
    return np.asarray(0.01 * np.sqrt((2.4 * h - 3.7 + 2.5 * np.tanh(1.5 * h - 4.65)) ** 2 + 0.25))


def growth(h: Array, re: Array, theta: Array) -> Array:
    """Rise of the amplification per length (of the unit of ``theta``); zero below the onset, ramped over it."""
    run = (6.54 * h - 14.07) / h**2
    slope = (0.058 * (h - 4) ** 2 / (h - 1) - 0.068) / run
    over = np.clip((np.log10(re) - onset(h)) / 0.16 + 0.5, 0.0, 1.0)
    rate = growth_rate(h) * (slope + 1) / 2 * run / theta
    return np.asarray(over**2 * (3 - 2 * over) * np.maximum(rate, 0.0))


# turbulent ---------------------------------------------------------------------------------------------------------

_LEAST_RE = 200.0
_LN10 = float(np.log(10.0))


def turbulent_energy(h: Array, re: Array) -> Array:
    """hs of a turbulent layer; ``re`` is kept above 200."""
    re = np.maximum(re, _LEAST_RE)
    log = np.log(re)
    turn = np.where(re < 400, 4.0, 3 + 400 / re)
    base = 1.505 + 4 / re
    below = (0.165 - 1.6 / np.sqrt(re)) * np.maximum(turn - h, 0.0) ** 1.6 / h
    off = np.maximum(h - turn, 0.0)
    above = off**2 * (0.04 / h + 0.007 * log / (off + 4 / log) ** 2)
    return np.asarray(base + below + above)


def turbulent_friction(h: Array, re: Array) -> Array:
    """cf of a turbulent layer."""
    log = np.maximum(np.log(re) / _LN10, 0.3)
    return np.asarray(
        0.3 * np.exp(-1.33 * h - (1.74 + 0.31 * h) * np.log(log)) + 0.00011 * (np.tanh(4 - h / 0.875) - 1)
    )


def slip(h: Array, hs: Array) -> Array:
    """Speed at the effective edge of the wall layer over the outer speed, at most .97."""
    return np.minimum(hs / 2 * (1 - 4 / 3 * (h - 1) / h), 0.97)


def equilibrium(h: Array, hs: Array, us: Array) -> Array:
    """Square root of the shear stress coefficient in equilibrium."""
    return np.sqrt(0.015 * hs / (1 - us) * (h - 1) ** 3 / h**3)


def layer_height(h: Array, theta: Array, displacement: Array) -> Array:
    """Height of the layer, at most 12 theta."""
    return np.minimum(theta * (3.15 + 1.72 / (h - 1)) + displacement, 12 * theta)


def turbulent_dissipation(cf: Array, us: Array, s: Array, wake: npt.NDArray[np.bool_]) -> Array:
    """2 CD of a turbulent layer, or of a wake (two halves, no wall)."""
    shear = 2 * s**2 * (1 - us)
    return np.where(wake, 2 * shear, cf * us + shear)
