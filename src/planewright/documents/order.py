"""What is asked for and one file of it: shared by everything that is made into out/."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from planewright.draw.paper import Paper, Title
from planewright.draw.printer import Printer
from planewright.units.showing import System


@dataclass(frozen=True)
class Piece:
    """One file to make: ``name`` below out/, ``says`` what it is, ``make`` gives its bytes."""

    name: str
    says: str
    make: Callable[[], bytes]


@dataclass(frozen=True)
class Order:
    """What to make: papers of patterns and drawings, the date to print, units, printer correction."""

    papers: tuple[Paper, ...]
    date: str
    system: System = "metric"
    printer: Printer = field(default_factory=Printer)


def title_strip(owner: str, letter: str, words: str, number: str, date: str) -> Title:
    """The title strip of one drawing."""
    return Title(owner, words, number, letter, date)
