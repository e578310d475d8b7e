"""Speed of calibration as ratios, measured in one run: best of a few, one linear-algebra thread.

Run with ``OPENBLAS_NUM_THREADS=1 python bench/calibrate.py``. A log of many rows is compared with numpy.loadtxt on the
same columns; the calibration of an example with one scipy.optimize.least_squares over the same rows and unknowns; and
how both grow with rows and trials is shown. No figure here is a test.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

from planewright.calibrate import calibrate
from planewright.calibrate.problem import Problem, assemble
from planewright.calibrate.protocol import Bench
from planewright.calibrate.thrust import bench, calibrate_cell, find_damage, reduce_run
from planewright.calibrate.update import reduce_all
from planewright.geometry import Geometry, derive
from planewright.knowledge import Knowledge, points, prior_knowledge
from planewright.project import Project, load, new_project
from planewright.records.numbers import numbers
from planewright.records.tables import read_raw

ROWS = (2_000, 20_000, 200_000)


def best(work: Callable[[], object], repeats: int = 3) -> float:
    """Least processor time of ``repeats`` runs, s."""
    times = []
    for _ in range(repeats):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return min(times)


def line(what: str, ratio: float, reference: str, goal: str = "") -> None:
    """One row of the report."""
    print(f"{what:<52} {ratio:8.2f} x {reference:<44} {goal}")


def long_log(source: Path, target: Path, count: int) -> None:
    """A bench log of ``count`` rows: that of an example, as a faster logger would have kept it."""
    head = source.read_text(encoding="utf-8").partition("\n")[0]
    rows = np.genfromtxt(source, delimiter=",", skip_header=1)
    at = np.linspace(rows[0, 0], rows[-1, 0], count)
    near = np.clip(np.searchsorted(rows[:, 0], at), 0, len(rows) - 1)
    columns = [at] + [
        np.interp(at, rows[:, 0], np.nan_to_num(rows[:, k], nan=0.0)) for k in range(1, rows.shape[1])
    ]
    columns[1] = rows[near, 1]
    noise = np.random.default_rng(1).standard_normal(count)
    columns[2] = columns[2] + 9.0 * noise
    with target.open("w", encoding="utf-8") as stream:
        stream.write(head + "\n")
        np.savetxt(stream, np.column_stack(columns), delimiter=",", fmt=["%.5f", "%d", "%d", "%.2f", "%.1f"])


def logs(folder: Path, project: Project) -> None:
    """Reading and reducing a log against numpy.loadtxt, by rows."""
    trial = next(one for one in project.trials if one.kind == "thrust")
    scale = calibrate_cell(trial)
    for count in ROWS:
        path = folder / f"log-{count}.csv"
        long_log(folder / "trials" / trial.id / "readings.csv", path, count)

        def whole(path: Path = path) -> None:
            table, _ = read_raw(path, path.name)
            assert table is not None
            for head in table.columns:
                numbers(table, head)
            run, _ = bench(replace(trial, readings=table), scale)
            find_damage(run, "propeller")
            reduce_run(run, scale, "propeller")

        loaded = best(lambda path=path: np.loadtxt(path, delimiter=",", skiprows=1))
        goal = "goal at most 6" if count == ROWS[-1] else ""
        line(
            f"log of {count} rows: read, checked, reduced", best(whole) / loaded, "numpy.loadtxt on it", goal
        )


def plain_fit(problem: Problem) -> object:
    """scipy's least squares over the same rows and unknowns: prior and rows, no robust rows, events or covariance."""
    known = problem.knowledge.quantities
    at = points(problem.knowledge)
    for block in problem.blocks:
        block.predict(at)
    names = sorted(at.asked)
    middle = np.array([known[name].prior_mean for name in names])
    spread = np.array([known[name].prior_sd for name in names])

    def residual(theta: np.ndarray) -> np.ndarray:
        z = middle + spread * theta
        here = points(problem.knowledge, {name: np.array([v]) for name, v in zip(names, z, strict=True)})
        rows = [(b.measured - np.reshape(b.predict(here), -1)) / b.sigma for b in problem.blocks]
        return np.concatenate([theta, *rows])

    return least_squares(residual, np.zeros(len(names)))


def examples(name: str, project: Project, geometry: Geometry, prior: Knowledge) -> None:
    """A whole calibration against one plain fit, for all trials and for the first of them."""
    assert project.plane is not None
    chosen = sorted((t for t in project.trials if not t.planned and not t.in_force), key=lambda one: one.id)
    for count in sorted({1, len(chosen) // 2, len(chosen)}):
        trials = chosen[:count]
        reduced = reduce_all(Bench(prior, geometry, project.ledger), trials)
        problem = assemble(prior, reduced)
        plain = best(lambda problem=problem: plain_fit(problem))
        whole = best(
            lambda trials=trials: calibrate(prior, geometry, project.ledger, trials, project.site), 2
        )
        rows = sum(len(block.measured) for block in problem.blocks)
        goal = "goal at most 10" if count == len(chosen) else ""
        line(
            f"{name}: {count} trials, {rows} rows, taken in",
            whole / plain,
            "one scipy least_squares on them",
            goal,
        )


def main() -> int:
    """Print the report."""
    with tempfile.TemporaryDirectory() as place:
        for name in ("plover", "gannet"):
            folder = Path(place) / name
            new_project(folder, name)
            project = load(folder)
            if project.plane is None:
                return 1
            geometry = derive(project.plane)
            prior = prior_knowledge(project.plane, project.site.surface if project.site else "")
            examples(name, project, geometry, prior)
            if name == "plover":
                logs(folder, project)
    return 0


if __name__ == "__main__":
    sys.exit(main())
