"""Speed as ratios, measured in one run on one machine: best of ten, one linear-algebra thread.

Run with ``make bench``, which sets one thread. Each line gives a ratio to a reference measured in the same run, so
that figures from different machines can be compared; no figure here is a test.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from scipy.linalg import lu_factor

from planewright import __version__
from planewright.project import load, new_project
from planewright.study import evaluate, lattice_matrix

ROOT = Path(__file__).parents[1]
REPEATS = 10


def best(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Shortest of ``repeats`` runs, s."""
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


def process(words: Sequence[str]) -> Callable[[], object]:
    """A fresh Python process with these arguments."""
    return lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True)


def line(what: str, ratio: float, reference: str, goal: str) -> None:
    """One row of the report."""
    print(f"{what:<52} {ratio:8.2f} x {reference:<38} {goal}")


def start_up() -> None:
    """Start of --version and --help against a bare numpy import."""
    numpy = best(process(["-c", "import numpy"]))
    for option, goal in (("--version", "goal 1.0"), ("--help", "goal 1.5")):
        line(
            f"planewright {option}",
            best(process(["-m", "planewright", option])) / numpy,
            "import numpy",
            goal,
        )


def study(folder: Path, name: str) -> None:
    """A full study with all its draws against one LU of its own lattice matrix."""
    project = load(folder)
    assert project.plane is not None
    matrix = np.asarray(lattice_matrix(project.plane))
    one_lu = best(lambda: lu_factor(matrix, check_finite=False))
    whole = best(
        lambda: evaluate(project.plane, project.ledger, project.knowledge, project.site).document(), 3
    )
    line(f"full study of {name}, 3 x 4000 draws", whole / one_lu, f"one LU of its {len(matrix)} panels", "")


def memory(folder: Path) -> None:
    """Peak memory of making Gannet's book, in a process of its own."""
    subprocess.run(
        [sys.executable, "-m", "planewright", "book", str(folder)], check=True, capture_output=True
    )
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"{'peak memory of book, Gannet':<52} {peak:8.0f} MB{'':<38} goal 600 MB")


def wheel() -> None:
    """Size of the wheel that people install."""
    with tempfile.TemporaryDirectory() as folder:
        build = [
            sys.executable,
            "-m",
            "pip",
            "wheel",
            "--quiet",
            "--no-deps",
            "--no-build-isolation",
            "-w",
            folder,
        ]
        subprocess.run([*build, str(ROOT)], check=True, capture_output=True)
        size = max(one.stat().st_size for one in Path(folder).glob("*.whl"))
    print(f"{'wheel':<52} {size / 1e6:8.2f} MB")


def main() -> None:
    """All rows."""
    print(f"planewright {__version__}: best of {REPEATS}, one linear-algebra thread")
    with tempfile.TemporaryDirectory() as folder:
        gannet, plover = Path(folder) / "gannet", Path(folder) / "plover"
        new_project(gannet, "gannet")
        new_project(plover, "plover")
        memory(gannet)
        start_up()
        study(plover, "Plover")
        study(gannet, "Gannet")
    wheel()


if __name__ == "__main__":
    main()
