"""Errors for wrong questions. A bad answer is never an error: it is a finding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Literal

Severity = Literal["fault", "question", "note"]


@dataclass(frozen=True, order=True)
class Fault:
    """One thing that was read and not understood, or not believed, with advice.

    Arguments:
        file: name of the file inside the project folder, such as ``aeroplane.toml``.
        line: 1-based line in that file; 0 when the fault belongs to the file as a whole.
        path: the place in builders' words, such as ``wing, station 2, chord``; may be empty.
        read: what was read, as text.
        expected: what was expected, as a phrase.
        advice: what to do; whole sentences, with the corrected text where one is known.
        severity: ``fault`` stops the work, ``question`` is asked and kept, ``note`` is only said.
    """

    file: str
    line: int
    path: str
    read: str
    expected: str
    advice: str
    severity: Severity = "fault"

    def text(self) -> str:
        """The fault as two lines for a terminal: where and what was read, then the advice."""
        where = f"{self.file} line {self.line}" if self.line else self.file
        place = f"{where}: {self.path}" if self.path else f"{where}:"
        return f"{place} {self.read}\n    {self.expected} {self.advice}".rstrip()

    def as_dict(self) -> dict[str, str | int]:
        """Plain data for ``--json``."""
        return asdict(self)


class PlanewrightError(Exception):
    """Root of all errors that planewright raises on purpose."""


class InputError(PlanewrightError, ValueError):
    """What a person wrote cannot be used. Carries every fault found, in file order."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(fault.text() for fault in self.faults))


class OutOfRange(PlanewrightError, ValueError):
    """A method was asked outside the range in which its source holds.

    Arguments:
        what: the quantity, with unit.
        value: what was asked.
        low, high: the valid range in the same unit.
    """

    def __init__(self, what: str, value: float, low: float, high: float) -> None:
        self.what, self.value, self.low, self.high = what, value, low, high
        super().__init__(f"{what} is {value:g}; this method holds from {low:g} to {high:g}.")


class NotConverged(PlanewrightError, ArithmeticError):
    """An iteration did not reach its answer. The last residual is carried; no answer is given."""

    def __init__(self, what: str, residual: float) -> None:
        self.what, self.residual = what, residual
        super().__init__(f"{what} did not settle (last change {residual:.3g}).")


class Cancelled(PlanewrightError):
    """The person stopped the work. Nothing half-written is left behind."""
