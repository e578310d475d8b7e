"""A small shell reference for panels, in the tests only: plates of four-node elements with transverse shear (mixed
interpolation) and linear buckling, held against the closed form that the panel formula rests on."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.sparse.linalg import eigsh

POINTS = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) / np.sqrt(3)
CORNERS = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], dtype=float)


def shape(at: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Values (4,) and slopes (2, 4) of the corner functions."""
    s, t = at
    value = (1 + CORNERS[:, 0] * s) * (1 + CORNERS[:, 1] * t) / 4
    slope = np.array([CORNERS[:, 0] * (1 + CORNERS[:, 1] * t), CORNERS[:, 1] * (1 + CORNERS[:, 0] * s)]) / 4
    return value, slope


def shear_rows(at: np.ndarray, size: np.ndarray) -> np.ndarray:
    """Transverse shear (2, 12) of a rectangle, tied at the middles of its edges: w, turn about y, turn about x."""
    half = size / 2
    rows = np.zeros((2, 12))
    for k, along in ((0, 1), (1, 0)):
        for end in (-1.0, 1.0):
            tied = np.zeros(2)
            tied[along] = end
            value, slope = shape(tied)
            row = np.zeros(12)
            row[0::3] = slope[k] / half[k]
            row[1 + k :: 3] = value
            rows[k] += (1 + end * at[along]) / 2 * row
    return rows


def element(size: np.ndarray, bending: np.ndarray, shear: float) -> tuple[np.ndarray, np.ndarray]:
    """Stiffness (12, 12), and geometric matrix for a unit push along x."""
    area = size[0] * size[1] / 4
    stiff, pushed = np.zeros((12, 12)), np.zeros((12, 12))
    for at in POINTS:
        _, slope = shape(at)
        dx, dy = slope[0] * 2 / size[0], slope[1] * 2 / size[1]
        curve = np.zeros((3, 12))
        curve[0, 1::3], curve[1, 2::3], curve[2, 1::3], curve[2, 2::3] = dx, dy, dy, dx
        slant = np.zeros(12)
        slant[0::3] = dx
        tied = shear_rows(at, size)
        stiff += area * (curve.T @ bending @ curve + shear * tied.T @ tied)
        pushed += area * np.outer(slant, slant)
    return stiff, pushed


def first_buckling(
    sides: tuple[float, float], cells: tuple[int, int], bending: np.ndarray, shear: float
) -> float:
    """Push per breadth along x at which a plate on simple supports first buckles."""
    nx, ny = cells
    one = element(np.array([sides[0] / nx, sides[1] / ny]), bending, shear)
    number = np.arange((nx + 1) * (ny + 1)).reshape(ny + 1, nx + 1)
    corners = np.stack((number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1]), axis=-1).reshape(
        -1, 4
    )
    places = (corners[:, :, None] * 3 + np.arange(3)).reshape(-1, 12)
    rows, columns = np.repeat(places, 12, axis=1).ravel(), np.tile(places, (1, 12)).ravel()
    whole = [
        sp.csc_matrix((np.tile(part.ravel(), len(places)), (rows, columns)), shape=(3 * number.size,) * 2)
        for part in one
    ]
    held = set(3 * number[[0, -1], :].ravel()) | set(3 * number[:, [0, -1]].ravel())
    free = np.setdiff1d(np.arange(3 * number.size), np.array(sorted(held)))
    stiff, pushed = (part[free][:, free] for part in whole)
    found = eigsh(pushed, 1, stiff, sigma=None, which="LA", return_eigenvectors=False)
    return float(1 / found[0])


def isotropic(modulus: float, poisson: float, thickness: float) -> tuple[np.ndarray, float]:
    d = modulus * thickness**3 / 12 / (1 - poisson**2)
    bending = d * np.array([[1, poisson, 0], [poisson, 1, 0], [0, 0, (1 - poisson) / 2]])
    return bending, 5 / 6 * modulus / 2 / (1 + poisson) * thickness


@pytest.mark.parametrize(("cells", "expected"), [((24, 12), 4.355), ((48, 24), 4.312)])
def test_plate_of_megson(cells: tuple[int, int], expected: float) -> None:
    """E 3000, nu .3, b/t 50, all edges simply supported: 4.338 thin (k = 4, T. H. G. Megson, Aircraft Structures, 6.6);
    4.355 and 4.312 by shells of these sizes that also give in shear, edges held in height only (a trial of our own)."""
    bending, shear = isotropic(3000.0, 0.3, 2.0)
    found = first_buckling((200.0, 100.0), cells, bending, shear) / 2.0
    assert found == pytest.approx(expected, abs=5e-4)
    assert found == pytest.approx(4.338, rel=0.01)


def test_a_board_that_gives_in_shear() -> None:
    """A sandwich plate in squares: the panel formula's joining 1/flat + 1/S lies between edges held in height only (the
    reference; 5 %) and the exact law of edges held hard, flat/(1 + flat/2S)."""
    d, s, wide = 6348.0, 19.2, 250.0
    found = first_buckling((2 * wide, wide), (32, 16), d * np.diag([1.0, 1.0, 0.5]), s)
    flat = 4 * np.pi**2 * d / wide**2
    assert found == pytest.approx(1 / (1 / flat + 1 / s), rel=0.05)
    assert found < 1 / (1 / flat + 1 / s) < flat / (1 + flat / 2 / s)
