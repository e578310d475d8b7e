"""Records of trials as taken: never rewritten, never interpreted here."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

TRIAL_KINDS = (
    "weighing",
    "coupon",
    "bend",
    "proof",
    "vehicle",
    "thrust",
    "battery",
    "balance",
    "swing",
    "controls",
    "range",
    "pull",
    "taxi",
    "flight",
)


@dataclass(frozen=True)
class Table:
    """A raw CSV as logged. ``columns`` maps head -> the cells as text, in order ("" is no reading);
    ``lines`` is the 1-based file line of each row; ``digest`` the SHA-256 of the file's bytes."""

    file: str
    columns: Mapping[str, tuple[str, ...]]
    lines: tuple[int, ...]
    digest: str

    def __len__(self) -> int:
        return len(self.lines)


@dataclass(frozen=True)
class Remark:
    """What a person wrote about one row (1-based data row). ``use`` is "leave out" or "keep"."""

    row: int
    says: str
    use: str
    file: str = "readings.csv"


@dataclass(frozen=True)
class Said:
    """One prediction written before the trial: ``low`` to ``high`` in SI unit ``unit``, and the words as written.
    For a single figure low equals high."""

    what: str
    words: str
    low: float | None = None
    high: float | None = None
    unit: str = ""


@dataclass(frozen=True)
class Trial:
    """One trial folder.

    ``id`` is the folder's name. ``planned`` is True when no readings were taken yet. ``of`` is a part's name.
    ``configuration``, ``serial``, ``article`` are "" when not stated. ``air`` holds SI values by name:
    ``temperature`` K, ``pressure`` Pa, ``wind`` m/s. ``specimen``, ``rig``, ``failure`` hold quantities as SI
    floats where the language defines them (lengths m, masses kg, areal masses kg/m2), and other words as text;
    see docs/reference/description-language.md. ``said_before`` is the prediction. ``in_force`` is "" when the
    trial counts, else the reason why a person set it aside. ``digest`` covers trial.toml and all raw files.
    """

    id: str
    kind: str
    date: dt.date
    of: str
    configuration: str = ""
    serial: str = ""
    article: str = ""
    batch: str = ""
    instruments: tuple[str, ...] = ()
    done_by: Mapping[str, str] = field(default_factory=dict)
    air: Mapping[str, float] = field(default_factory=dict)
    specimen: Mapping[str, Any] = field(default_factory=dict)
    rig: Mapping[str, Any] = field(default_factory=dict)
    failure: Mapping[str, Any] = field(default_factory=dict)
    sigma: Mapping[str, float] = field(default_factory=dict)
    said_before: tuple[Said, ...] = ()
    remarks: tuple[Remark, ...] = ()
    readings: Table | None = None
    calibration: Table | None = None
    planned: bool = False
    in_force: str = ""
    digest: str = ""
