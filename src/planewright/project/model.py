"""The project as read: every description and record of one aeroplane, with all that was wrong in them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from planewright.errors import Fault
from planewright.knowledge.model import Knowledge
from planewright.ledger.model import Ledger
from planewright.plane.model import Plane
from planewright.records.model import Trial
from planewright.site.model import Site


@dataclass(frozen=True)
class Project:
    """One project folder, read whole.

    ``plane`` is None if the aeroplane could not be read; ``knowledge`` is the prior of this aeroplane where no
    trial was taken in, and None without an aeroplane; its ``stale`` says that the trials in the folder are not
    those it was made from. ``site`` is None if there is none. ``faults`` stand in file order. ``inputs_hash`` is the
    SHA-256 of all input files.
    """

    folder: Path
    plane: Plane | None
    ledger: Ledger
    knowledge: Knowledge | None
    site: Site | None
    trials: tuple[Trial, ...]
    faults: tuple[Fault, ...]
    inputs_hash: str

    @property
    def stops(self) -> bool:
        """True if a fault stops the work; questions and notes do not."""
        return any(one.severity == "fault" for one in self.faults)
