"""The ledger: weighings, checks and proofs as they stand. They need no inference."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True)
class Weighing:
    """One line of weighings.csv. ``mass`` kg, ``resolution`` kg (one unit in the last digit written).

    ``struck`` is True for an earlier line of a part that a later line replaces; it stays and is shown.
    ``checked`` is True when the note says that an unlikely value was checked.
    """

    line: int
    part: str
    mass: float
    resolution: float
    written: str
    when: dt.date | None
    who: str
    note: str
    struck: bool = False
    checked: bool = False


@dataclass(frozen=True)
class Check:
    """One line of checks.csv: what two people saw. ``name`` such as "controls", "range", "battery",
    "proof wing.joint.outer"; an empty ``configuration`` or ``serial`` means not stated."""

    line: int
    name: str
    passed: bool
    when: dt.date | None
    configuration: str
    serial: str
    who: str
    note: str


@dataclass(frozen=True)
class Ledger:
    """All weighings and checks, in file order."""

    weighings: tuple[Weighing, ...] = ()
    checks: tuple[Check, ...] = ()

    @property
    def in_force(self) -> tuple[Weighing, ...]:
        """The weighings that count: the last line of each part."""
        return tuple(one for one in self.weighings if not one.struck)

    @property
    def told(self) -> tuple[str, ...]:
        """What calibration rests on: each weighing in force and each proof, one line of text each."""
        weighed = (f"weighing\t{one.part}\t{one.written}\t{one.checked}" for one in self.in_force)
        proofs = (one for one in self.checks if one.name.startswith("proof "))
        proved = (
            f"{one.name}\t{one.passed}\t{one.configuration}\t{one.serial}\t{one.note}" for one in proofs
        )
        return (*weighed, *proved)
