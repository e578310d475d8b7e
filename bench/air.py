"""The air as ratios to one LU of its own lattice matrix: best of many, one linear-algebra thread, one run.

Run with ``make bench``. A lattice of an example is small, so one LU is quick and what is not linear algebra weighs
more; the same with finer lattices shows how the ratios fall. No figure here is a test.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from scipy.linalg import lu_factor

from planewright.analysis.air import AirModel, air_model
from planewright.analysis.air.forms import Reference, derivatives, influence, solve
from planewright.analysis.air.layout import sheets_of
from planewright.analysis.air.stall import sweep
from planewright.analysis.air.stalling import curve_trims, setting_of
from planewright.geometry import Geometry, derive
from planewright.knowledge.draws import Draws, at_medians
from planewright.project import load, new_project
from planewright.study.models import make_models

REPEATS = 12
SPEEDS = 12
ANGLES = np.deg2rad(np.linspace(-4, 18, 45))


def best(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Shortest of ``repeats`` runs, s of processor time (one thread, so that a busy machine does not count)."""
    times = []
    for _ in range(repeats):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def line(what: str, ratio: float, panels: int, goal: str = "") -> None:
    """One row of the report."""
    print(f"{what:<60} {ratio:8.1f} x one LU of its {panels:4d} panels   {goal}")


def linear(geometry: Geometry, fine: int = 1, rows: int = 4) -> object:
    """Lattice, all unit solutions, trims and all derivatives at twelve speeds."""
    wing = geometry.wing
    assert wing is not None
    sheets = [replace(one, strips=one.strips * fine, rows=rows) for one in sheets_of(geometry)]
    solution = solve(sheets, np.array([wing.centre_x, 0.0, wing.mean_chord_z]))
    reference = Reference(wing.area, wing.span, wing.mean_chord)
    lift, pitch = solution.lift_rows.sum(axis=0), solution.pitch_rows.sum(axis=0)
    elevator = solution.index("elevator")
    found = []
    for speed in np.linspace(10, 20, SPEEDS):
        wanted = 50 / (0.5 * 1.225 * speed**2) / 2
        terms = np.array([[lift[2], lift[elevator]], [pitch[2], pitch[elevator]]])
        alpha, angle = np.linalg.solve(terms, [wanted - lift[0], -pitch[0]])
        s = solution.state(float(alpha), elevator=float(angle))
        found.append(derivatives(solution, s, reference, np.einsum("i,kij,j->k", s, solution.beta_forms, s)))
    return found


def example(name: str, folder: Path) -> tuple[Geometry, AirModel, Draws, float, float]:
    """One example: geometry, air, medians, weight N, balance point m."""
    new_project(folder, name)
    project = load(folder)
    assert project.plane is not None and project.knowledge is not None
    models = make_models(project.plane, project.ledger, project.knowledge)
    middle = at_medians(project.knowledge)
    mass = models.mass.evaluate(middle)
    geometry = derive(project.plane)
    return geometry, air_model(geometry), middle, float(mass.mass[0]) * 9.80665, float(mass.cg[0][0])


def report(name: str, folder: Path) -> None:
    """All rows of one example."""
    geometry, air, middle, weight, x = example(name, folder)
    factor = float(middle.factor("sec.clmax")[0])
    matrix = influence(air.solution.grid)
    one, panels = best(lambda: lu_factor(matrix, check_finite=False), 60), air.panels
    base = best(lambda: linear(geometry))
    trims = best(lambda: curve_trims(air, np.linspace(10, 20, SPEEDS), weight, x, factor=factor), 5)
    stall = best(lambda: sweep(setting_of(air, 9.0, factor=factor), ANGLES), 5)
    line(f"{name}: linear numbers, {SPEEDS} speeds", base / one, panels, "goal 6")
    line(f"{name}: with {SPEEDS} trims through section curves", (base + trims) / one, panels, "goal 14")
    line(
        f"{name}: with a stall sweep of {ANGLES.size} angles", (base + trims + stall) / one, panels, "goal 25"
    )


def growth(name: str, folder: Path) -> None:
    """Linear numbers against their own LU as the lattice is made finer, and the sweep as strips grow."""
    geometry, *_ = example(name, folder)
    for fine, rows in ((1, 4), (2, 4), (3, 4), (3, 8)):
        sheets = [replace(one, strips=one.strips * fine, rows=rows) for one in sheets_of(geometry)]
        solution = solve(sheets)
        matrix = influence(solution.grid)
        one = best(lambda matrix=matrix: lu_factor(matrix, check_finite=False), 8)  # type: ignore[misc]
        whole = best(partial(linear, geometry, fine, rows), 4)
        line(f"{name}: linear numbers, {solution.grid.width.size} strips", whole / one, solution.grid.panels)


def main() -> None:
    """All rows."""
    print(f"air: best of {REPEATS}, one linear-algebra thread")
    with TemporaryDirectory() as folder:
        for name in ("plover", "gannet"):
            report(name, Path(folder) / name)
        growth("gannet", Path(folder) / "growth")


if __name__ == "__main__":
    main()
