"""Small records for the page, made from what was read."""

from __future__ import annotations

from collections.abc import Iterable

from planewright.errors import Fault
from planewright.ledger.model import Ledger
from planewright.study.model import FaultRecord
from planewright.web.api import CheckRecord, WeighingRecord


def fault_records(faults: Iterable[Fault]) -> tuple[FaultRecord, ...]:
    """Faults as the JSON shows them."""
    return tuple(FaultRecord.model_validate(one.as_dict()) for one in faults)


def weighing_records(ledger: Ledger) -> tuple[WeighingRecord, ...]:
    """All lines of weighings.csv, in file order."""
    return tuple(
        WeighingRecord(
            line=one.line,
            part=one.part,
            mass=one.mass,
            written=one.written,
            when=one.when.isoformat() if one.when else "",
            who=one.who,
            note=one.note,
            struck=one.struck,
        )
        for one in ledger.weighings
    )


def check_records(ledger: Ledger) -> tuple[CheckRecord, ...]:
    """All lines of checks.csv, in file order."""
    return tuple(
        CheckRecord(
            line=one.line,
            name=one.name,
            passed=one.passed,
            when=one.when.isoformat() if one.when else "",
            configuration=one.configuration,
            serial=one.serial,
            who=one.who,
            note=one.note,
        )
        for one in ledger.checks
    )
