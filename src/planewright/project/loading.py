"""Reading a project folder: everything, all faults at once, and nothing changed on the disk."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from planewright.errors import Fault
from planewright.knowledge import evidence_hash as hash_of_evidence
from planewright.knowledge import prior_knowledge, read_knowledge
from planewright.knowledge.model import Knowledge
from planewright.ledger import Ledger, read_ledger
from planewright.plane import read_plane
from planewright.plane.model import Plane
from planewright.project.model import Project
from planewright.records import read_trial, read_trials
from planewright.records.model import Trial
from planewright.records.reading import TRIALS, TrialReader
from planewright.site import read_site
from planewright.site.model import Site
from planewright.site.reading import SITE
from planewright.text.located import is_there

AEROPLANE, KNOWLEDGE = "aeroplane.toml", "knowledge.toml"
BLOCK = 1 << 20


def load(folder: Path, trial: TrialReader = read_trial) -> Project:
    """Read a project folder.

    Arguments:
        folder: the folder that holds aeroplane.toml.
        trial: what reads one trial folder; another one may keep what it read before.

    Returns:
        The project, with what could be read and every fault of every file, in the order aeroplane, site,
        weighings, checks, trials, knowledge. Nothing a file holds raises; nothing on the disk changes.
    """
    refusal = _refuse_folder(folder)
    if refusal is not None:
        return Project(folder, None, Ledger(), None, None, (), (refusal,), inputs_hash(folder))
    plane, plane_faults = _plane(folder)
    site, site_faults = read_site(folder / SITE)
    ledger, ledger_faults = read_ledger(folder, plane)
    trials, trial_faults = read_trials(folder, plane, trial)
    knowledge, knowledge_faults = _knowledge(folder, plane, site, trials, ledger)
    faults = (*plane_faults, *site_faults, *ledger_faults, *trial_faults, *knowledge_faults)
    return Project(folder, plane, ledger, knowledge, site, trials, faults, inputs_hash(folder))


def _refuse_folder(folder: Path) -> Fault | None:
    advice = "Start a project with: planewright new FOLDER"
    if not is_there(folder):
        return Fault(folder.name, 0, "", "is not there.", "A project folder is wanted.", advice)
    if not folder.is_dir():
        return Fault(
            folder.name, 0, "", "is a file.", "A project folder is wanted.", "Give the folder it lies in."
        )
    return None


def _plane(folder: Path) -> tuple[Plane | None, tuple[Fault, ...]]:
    path = folder / AEROPLANE
    if is_there(path):
        return read_plane(path)
    expected = "A project folder holds the description of one aeroplane."
    advice = "Write it, or start with: planewright new FOLDER"
    return None, (Fault(AEROPLANE, 0, "", "is not there.", expected, advice),)


def _knowledge(
    folder: Path, plane: Plane | None, site: Site | None, trials: tuple[Trial, ...], ledger: Ledger
) -> tuple[Knowledge | None, tuple[Fault, ...]]:
    if plane is None:
        return None, ()
    prior = prior_knowledge(plane, site.surface if site else "")
    path = folder / KNOWLEDGE
    if not is_there(path):
        run = [one for one in trials if not one.planned and not one.in_force]
        return replace(prior, stale=bool(run)), _not_taken_in(len(run))
    knowledge, faults = read_knowledge(path, prior)
    if any(one.severity == "fault" for one in faults):
        return knowledge, faults
    if knowledge.evidence != evidence_hash(trials, ledger):
        return replace(knowledge, stale=True), (
            *faults,
            _calibrate_note("was made from other trials or weighings than those that stand in the folder."),
        )
    return knowledge, faults


def _not_taken_in(count: int) -> tuple[Fault, ...]:
    if not count:
        return ()
    many = f"{count} trials stand" if count > 1 else "1 trial stands"
    return (_calibrate_note(f"is not there, and {many} in the folder."),)


def _calibrate_note(read_: str) -> Fault:
    advice = "Run: planewright calibrate FOLDER"
    return Fault(KNOWLEDGE, 0, "", read_, "The trials are not taken in.", advice, "note")


def evidence_hash(trials: Iterable[Trial], ledger: Ledger) -> str:
    """Hash over the trials that were run (id, digest of the files, in force or not; planned ones do not count) and
    over the weighings and proofs that predictions of trials rest on."""
    return hash_of_evidence(
        ((one.id, one.digest, one.in_force) for one in trials if not one.planned), ledger.told
    )


def inputs_hash(folder: Path) -> str:
    """SHA-256 over name and bytes of every input file of a project, sorted by name; hexadecimal.

    Inputs are the TOML and CSV files of the folder itself and everything under ``trials``; hidden files and
    ``out`` are not. A file that cannot be read counts by its name.
    """
    total = hashlib.sha256()
    for name, path in sorted(_inputs(folder)):
        total.update(f"{name}\n".encode("utf-8", "surrogateescape"))
        total.update(_digest(path))
    return total.hexdigest()


def _inputs(folder: Path) -> Iterator[tuple[str, Path]]:
    for place, folders, files in os.walk(folder):
        here = Path(place)
        top = here == folder
        folders[:] = [one for one in folders if not one.startswith(".") and (one == TRIALS or not top)]
        for name in files:
            if not name.startswith(".") and (not top or Path(name).suffix.lower() in (".toml", ".csv")):
                yield (here / name).relative_to(folder).as_posix(), here / name


def _digest(path: Path) -> bytes:
    total = hashlib.sha256()
    if not path.is_file():
        return b"no file"
    try:
        with path.open("rb") as stream:
            while block := stream.read(BLOCK):
                total.update(block)
    except OSError:
        return b"unreadable"
    return total.digest()
