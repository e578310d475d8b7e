"""Polars kept on disk by content, and made by as many processes as the machine has cores.

A kept file is named by the digest of everything that moves its answer, so it never goes stale: another outline, another
list of angles or a newer method has another name. The folder is safe to delete at any time and safe to share between
runs: files are written whole under a temporary name and moved into place, and a file that cannot be read is made anew.
"""

from __future__ import annotations

import contextlib
import io
import multiprocessing
import os
import sys
import time
import zipfile
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, wait
from pathlib import Path
from typing import Any

import numpy as np

from planewright.analysis.section.driver import Progress, nothing
from planewright.analysis.section.making import Wanted, make
from planewright.analysis.section.polars import SectionPolars
from planewright.errors import InputError
from planewright.files import write_atomically

ARRAYS = ("alpha", "reynolds", "lift", "drag", "moment", "state", "transition")
FOLDER = "PLANEWRIGHT_CACHE"
"""Environment variable that names another folder for what is kept."""
ROOMY = 2
"""Most processes at once: the rest of the machine stays its user's."""


def cache_folder() -> Path:
    """Where polars are kept: $PLANEWRIGHT_CACHE, else the system's folder for such things."""
    named = os.environ.get(FOLDER)
    if named:
        return Path(named)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData/Local")) / "planewright"
    if sys.platform == "darwin":
        return Path.home() / "Library/Caches/planewright"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "planewright"


def place_of(wanted: Wanted, folder: Path) -> Path:
    """File in which a set is kept."""
    return folder / "polars" / f"{wanted.digest}.npz"


def keep(wanted: Wanted, polars: SectionPolars, folder: Path) -> bool:
    """Keep a set. Returns False, and nothing is lost, where the folder cannot be written."""
    path = place_of(wanted, folder)
    held = io.BytesIO()
    np.savez_compressed(held, **{name: getattr(polars, name) for name in ARRAYS})
    with contextlib.suppress(InputError, OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(path, held.getvalue())
        return True
    return False


def kept(wanted: Wanted, folder: Path) -> SectionPolars | None:
    """A kept set; None when there is none or its file is no good."""
    try:
        content = io.BytesIO(place_of(wanted, folder).read_bytes())
        with np.load(content, allow_pickle=False) as held:
            arrays = {name: held[name] for name in ARRAYS}
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    shape = (len(wanted.reynolds), len(wanted.angles_deg))
    if any(arrays[name].shape != shape for name in ("lift", "drag", "moment", "state")):
        return None
    if not all(np.isfinite(one).all() for one in arrays.values()):
        return None
    for one in arrays.values():
        one.flags.writeable = False
    name, thickness = wanted.outline.name, wanted.outline.thickness
    return SectionPolars(name, wanted.digest, thickness, flap=wanted.flap, **arrays)


def polars_of(
    wanted: Sequence[Wanted],
    folder: Path | None = None,
    progress: Progress = nothing,
    watch: Callable[[], None] = nothing,
    workers: int | None = None,
) -> tuple[SectionPolars, ...]:
    """Sets of polars: those kept are read, the others are solved and kept.

    Arguments:
        wanted: the sets. folder: where they are kept (None: :func:`cache_folder`).
        progress: told (points solved, points asked) of what has to be solved.
        watch: called often; may raise to stop the work (finished sets stay kept).
        workers: processes at once, at most two, beside this one; 1: in this process. None: one for each core and set.
    """
    folder = cache_folder() if folder is None else folder
    found = {one.digest: kept(one, folder) for one in wanted}
    asked = {one.digest: one for one in wanted if found[one.digest] is None}
    if asked:
        most = workers or min(os.cpu_count() or 1, len(asked))
        count = min(most, ROOMY, len(asked))
        work = _here if most == 1 else _spread
        for one, polars in work(list(asked.values()), progress, watch, count):
            keep(one, polars, folder)
            found[one.digest] = polars
    return tuple(found[one.digest] for one in wanted)  # type: ignore[misc]


Made = Iterator[tuple[Wanted, SectionPolars]]


def _here(wanted: list[Wanted], progress: Progress, watch: Callable[[], None], _: int) -> Made:
    """One set after another in this process."""
    total, before = sum(one.count for one in wanted), 0
    for one in wanted:
        base = before
        yield one, make([one], lambda done, _, base=base: progress(base + done, total), watch)[0]  # type: ignore[misc]
        before += one.count


_queue: Any = None


def _ready(queue: Any) -> None:
    global _queue
    _queue = queue


def _told(one: Wanted) -> SectionPolars:
    """Solve one set in another process and tell how far it is, twice a second."""
    last = [0.0]

    def tell(done: int, _: int) -> None:
        now = time.monotonic()
        if now - last[0] > 0.5:
            last[0] = now
            _queue.put((one.digest, done))

    return make([one], tell)[0]


def _spread(wanted: list[Wanted], progress: Progress, watch: Callable[[], None], count: int) -> Made:
    """Sets over several processes, largest first; when the work is stopped, so are they."""
    context = multiprocessing.get_context("spawn")
    queue = context.Queue()
    total, done = sum(one.count for one in wanted), dict.fromkeys((one.digest for one in wanted), 0)
    with _one_thread():
        pool = ProcessPoolExecutor(count, context, _ready, (queue,))
        order = sorted(wanted, key=lambda one: -one.count)
        waiting: dict[Future[SectionPolars], Wanted] = {pool.submit(_told, one): one for one in order}
    try:
        while waiting:
            finished, _ = wait(waiting, timeout=0.2, return_when="FIRST_COMPLETED")
            watch()
            while not queue.empty():
                digest, number = queue.get()
                done[digest] = max(done[digest], number)
            for future in finished:
                one = waiting.pop(future)
                done[one.digest] = one.count
                yield one, future.result()
            progress(min(sum(done.values()), total), total)
    finally:
        processes = list((pool._processes or {}).values())
        pool.shutdown(wait=False, cancel_futures=True)
        if waiting:
            for process in processes:
                process.terminate()
        for process in processes:
            process.join()


@contextlib.contextmanager
def _one_thread() -> Iterator[None]:
    """One linear-algebra thread in each process started meanwhile: two at once already fill the cores."""
    names = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
    before = {name: os.environ.get(name) for name in names}
    os.environ.update(dict.fromkeys(names, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
