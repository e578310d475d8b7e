"""Making the files of out/ one after the other, with a word on how far it is, whole files only."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from planewright.documents.order import Piece
from planewright.files import write_atomically

OUT = "out"

Progress = Callable[[float, str], None]


def silent(_done: float, _says: str) -> None:
    """Progress that nobody watches."""


def make(folder: Path, wanted: Iterable[Piece], progress: Progress = silent) -> tuple[Path, ...]:
    """Make each piece and write it below the folder's out/.

    Arguments:
        folder: of the project. wanted: see :func:`planewright.documents.everything.pieces`.
        progress: called before each piece with the part done (0 to 1) and what is being made; it may raise
            Cancelled to stop. What was written before stays and is whole.
    Returns: the paths written.
    """
    every = tuple(wanted)
    made = []
    for number, piece in enumerate(every):
        progress(number / len(every), piece.says)
        path = folder / OUT / piece.name
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(path, piece.make())
        made.append(path)
    progress(1.0, "done")
    return tuple(made)
