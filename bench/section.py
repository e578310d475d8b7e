"""Speed of the section solver as ratios to one LU of its own panel matrix, and the time of a set for an example.

Run with ``OPENBLAS_NUM_THREADS=1 python bench/section.py``. A point counts everything it took: set-up, seeds, failed
tries, rescues and bridges. Processor time, best of a few; the cold and warm set are wall time. No figure is a test.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.linalg import lu_factor

from planewright.analysis.section.driver import solve
from planewright.analysis.section.making import ANGLES_DEG, REYNOLDS, Wanted
from planewright.analysis.section.outlines import Outline, drawn, plate
from planewright.analysis.section.panels import potential
from planewright.analysis.section.stack import Bodies
from planewright.documents.polars import polars_of
from planewright.plane.model import Section

REPEATS = 3
POLAR = tuple(one for one in ANGLES_DEG if -6 <= one <= 18)


def best(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Least processor time of ``repeats`` runs, s."""
    times = []
    for _ in range(repeats):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def one_lu(matrix: np.ndarray) -> float:
    """Least time of one factorisation, s, from runs of many."""
    return best(lambda: [lu_factor(matrix, check_finite=False) for _ in range(50)], 10) / 50


def points(
    outline: Outline, panels: int, reynolds: tuple[float, ...] = REYNOLDS
) -> tuple[float, float, float]:
    """Time of a point, of one LU (s) and the share of points that converged, for one whole polar set."""
    angles = np.deg2rad(POLAR)
    kept = []
    taken = best(lambda: kept.append(solve(Bodies((potential(outline.nodes(panels)),)), reynolds, angles)), 2)
    asked = len(reynolds) * len(POLAR)
    return taken / asked, one_lu(potential(outline.nodes(panels)).panel_matrix), float(kept[0].solved.mean())


def sections() -> None:
    """A point of each kind of section, rescues included."""
    for name, outline in (
        ("Clark Y", drawn(Section("named", "Clark Y"))),
        ("NACA 2415", drawn(Section("naca", "NACA 2415"))),
        ("E387", drawn(Section("named", "E387"))),
        ("plate, 2 %", plate(0.02)),
    ):
        point, lu, good = points(outline, 121)
        print(
            f"point of {name:<12} {1e3 * point:6.1f} ms, {point / lu:5.0f} LU of its 121 panels (goal 120); "
            f"{100 * good:.1f} % converged before bridging"
        )


def growth() -> None:
    """With panels and with Reynolds numbers in the stack."""
    outline = drawn(Section("named", "Clark Y"))
    for panels in (81, 121, 161, 201):
        point, lu, _ = points(outline, panels, (1e5, 2e5, 4e5))
        print(
            f"    {panels:>4} panels: {1e3 * point:6.1f} ms a point, {point / lu:5.0f} LU of {1e3 * lu:.3f} ms"
        )
    for count in (1, 2, 4, 8, 16):
        reynolds = tuple(np.geomspace(1.2e5, 4e5, count)) if count > 1 else (2e5,)
        point, lu, _ = points(outline, 121, reynolds)
        print(f"    {count:>4} Reynolds numbers: {1e3 * point:6.1f} ms a point, {point / lu:5.0f} LU")


def gannet() -> None:
    """All sections of Gannet from nothing with a bar, then again from what was kept."""
    wanted = [Wanted(drawn(Section("naca", name))) for name in ("NACA 2415", "NACA 0010")]

    def bar(done: int, of: int) -> None:
        print(
            f"\r    {'#' * (40 * done // of):<40} {done} of {of} points", end="", file=sys.stderr, flush=True
        )

    with tempfile.TemporaryDirectory() as folder:
        for words in ("cold", "warm"):
            begun = time.perf_counter()
            polars_of(wanted, Path(folder), bar)
            taken = time.perf_counter() - begun
            print(file=sys.stderr)
            print(
                f"set for Gannet, {words}: {taken:.2f} s, {sum(one.count for one in wanted)} points (goal 60 s cold)"
            )


def main() -> None:
    """All rows."""
    sections()
    growth()
    gannet()


if __name__ == "__main__":
    main()
