"""Ground effect at like lift: how much induced drag a runway takes away.

Source: C. Wieselsberger, Wing resistance near the ground, NACA TM 77, 1922 (idea of the image wing); the factor
here is the integral itself for an elliptic load, not the rational fit.
"""

from __future__ import annotations

import numpy as np

ORDER = 200


def mutual_factor(height: float) -> float:
    """sigma in CDi = (1 - sigma) CDi of free air, at the same lift.

    Arguments: height: of the lifting line above the ground over the span, > 0.
    Returns: sigma, 0 to 1. Valid for an unswept wing of near-elliptic load at small angles.
    Raises: ValueError for a height that is not above 0.
    """
    if not height > 0:
        raise ValueError("height over span must be above 0")
    angle = np.pi * (np.arange(ORDER) + 0.5) / ORDER
    y = np.cos(angle)
    gap = y[None, :] - y[:, None]
    drop = 4 * height
    wash = (gap / (gap**2 + drop**2)) @ y * (np.pi / ORDER) / (2 * np.pi)
    own = 0.5
    return float((wash * np.sin(angle) ** 2).sum() / (np.sin(angle) ** 2 * own).sum())
