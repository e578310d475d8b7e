"""Straight lines and small linear fits used inside the reductions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class LinearFit:
    """Coefficients of a linear fit, shape (k,), with their covariance (k, k), the residual standard
    deviation ``s`` (of unit weight), the residuals (n,) and the weights the robust rounds ended with (n,)."""

    value: Array
    covariance: Array
    s: float
    residual: Array
    weight: Array

    @property
    def sd(self) -> Array:
        """Standard uncertainties of the coefficients, shape (k,)."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @property
    def correlation(self) -> float:
        """Correlation of the first two coefficients."""
        return float(self.covariance[0, 1] / np.sqrt(self.covariance[0, 0] * self.covariance[1, 1]))


def linear_fit(design: Array, y: Array, weight: Array | None = None, sigma: float | None = None) -> LinearFit:
    """Weighted linear least squares, y ~ design @ value.

    Arguments:
        design: shape (n, k), n > k; y: shape (n,); weight: shape (n,), of 1/variance, 1 by default;
        sigma: standard deviation of unit weight where known, else that of the residuals.

    Solved by orthogonal factors of scaled columns. Source: JCGM 100:2008, H.3.2 for a line; the same rule
    for more columns. Raises ValueError when there are not more rows than columns.
    """
    w = np.ones(len(y)) if weight is None else np.asarray(weight)
    rows, columns = design.shape
    if rows <= columns and sigma is None:
        raise ValueError(f"a fit of {columns} coefficients needs more than {rows} readings")
    root = np.sqrt(w)[:, None]
    size = np.linalg.norm(root * design, axis=0)
    q, r = np.linalg.qr(root * design / size)
    value = np.linalg.solve(r, q.T @ (root[:, 0] * y)) / size
    inverse = np.linalg.inv(r)
    residual = y - design @ value
    s = float(np.sqrt(np.sum(w * residual**2) / (rows - columns))) if sigma is None else sigma
    covariance = s * s * (inverse @ inverse.T) / np.outer(size, size)
    return LinearFit(value, covariance, s, residual, w)


def line_fit(x: Array, y: Array, weight: Array | None = None, about: float = 0.0) -> LinearFit:
    """Straight line y = value[0] + value[1] (x - about). Source: JCGM 100:2008, H.3."""
    return linear_fit(np.column_stack([np.ones_like(x), x - about]), y, weight)


def robust_fit(design: Array, y: Array, floor: float, start: Array | None = None) -> LinearFit:
    """Linear fit with Student t rows of 4 degrees; the scale is the greater of ``floor`` and the spread
    found.

    ``start``: coefficients to begin with (least absolute residuals are approached from there), else the
    plain fit.
    """
    value = linear_fit(design, y).value if start is None else start
    scale, weight = floor, np.ones(len(y))
    for _ in range(200):
        residual = y - design @ value
        scale = max(floor, 1.4826 * float(np.median(np.abs(residual))))
        weight = 5.0 / (4.0 + (residual / scale) ** 2)
        moved = linear_fit(design, y, weight, 1.0).value
        done = np.max(np.abs(moved - value)) < 1e-12 * (1 + np.max(np.abs(value)))
        value = moved
        if done:
            break
    information = np.minimum(weight, 1.0) * 5.0 / 7.0 / scale**2
    found = linear_fit(design, y, information, 1.0)
    return LinearFit(value, found.covariance, scale, y - design @ value, weight)


def pair_slope(x: Array, y: Array) -> float:
    """Median of the slopes of all pairs of points with different x: a start that half the points cannot
    spoil.

    Source: H. Theil, A rank-invariant method of linear and polynomial regression analysis (1950), from
    memory.
    """
    i, j = np.triu_indices(len(x), 1)
    apart = x[i] != x[j]
    return float(np.median((y[j] - y[i])[apart] / (x[j] - x[i])[apart]))


def swapped_figures(written: str) -> tuple[float, ...]:
    """Numbers that a slip of the pen turns into ``written``: two neighbouring figures swapped, or one
    figure too few or too many (a factor of ten)."""
    if not written.replace(".", "", 1).isdigit():
        return ()
    text = "0" + written
    found = []
    for i in range(len(text) - 1):
        a, b = text[i], text[i + 1]
        if a.isdigit() and b.isdigit() and a != b:
            found.append(float(text[:i] + b + a + text[i + 2 :]))
    number = float(written)
    return (*found, number * 10, number / 10)


def likely_slip(written: str, wanted: float, near: float) -> str:
    """The reading that was probably meant, or "": a slip of ``written`` that falls within ``near`` of
    ``wanted``.

    A hit is a hint for a person, never a correction.
    """
    swaps: Sequence[float] = swapped_figures(written)
    hits = [one for one in swaps if abs(one - wanted) <= near]
    if not hits:
        return ""
    best = min(hits, key=lambda one: abs(one - wanted))
    decimals = len(written.partition(".")[2])
    return f"{best:.{decimals}f}"
