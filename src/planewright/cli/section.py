"""A section's polars on the terminal, as JSON and as a picture, for anyone, without a project."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import numpy as np
from rich.text import Text

from planewright.analysis.section.outlines import with_flap
from planewright.analysis.section.stack import FREE
from planewright.cli.bar import progress
from planewright.cli.printing import console, plain_table
from planewright.documents.opening import compact
from planewright.documents.section_files import outline_of
from planewright.documents.sections import Asked, Report, picture, report, words_of
from planewright.errors import Fault, InputError
from planewright.files import write_atomically

DONE = 0
Taken = TypeVar("Taken")
LEAST_RE, MOST_RE = 2e4, 1e7
LEAST_ALPHA, MOST_ALPHA = -20.0, 25.0
MOST_POINTS = 2000


@dataclass(frozen=True)
class Words:
    """The command line as typed."""

    reynolds: str
    alpha: str = "-6 to 16"
    thickness: str = ""
    flap: str = ""
    trip: str = ""
    picture: Path | None = None


def section_command(what: str, words: Words, json_: bool) -> int:
    """Solve a section and show it; writes the picture where asked, and nothing else but the cache. Returns 0."""
    asked = asked_for(what, words)
    with progress() as bar:
        task = bar.add_task("Solving", total=1.0)
        one = report(asked, progress=lambda done, of: bar.update(task, completed=done / max(of, 1)))
        bar.update(task, completed=1.0)
    if words.picture is not None:
        write_atomically(words.picture, picture(one))
    if json_:
        print(compact({**one.as_dict(), "picture": None if words.picture is None else str(words.picture)}))
    else:
        show(one, words.picture)
    return DONE


def _faulty(option: str, read: str, expected: str, advice: str) -> Fault:
    return Fault("command line", 0, option, read, expected, advice)


def asked_for(what: str, words: Words) -> Asked:
    """What the words ask. Raises InputError with every fault at once."""
    faults: list[Fault] = []

    def taken(work: Callable[[], Taken]) -> Taken | None:
        try:
            return work()
        except InputError as error:
            faults.extend(error.faults)
            return None

    thickness = taken(lambda: part_of_chord("--thickness", words.thickness, 0.005, 0.3))
    outline = taken(lambda: outline_of(what, thickness))
    reynolds = taken(lambda: numbers("--re", words.reynolds, LEAST_RE, MOST_RE)) or ()
    alpha = taken(lambda: numbers("--alpha", words.alpha, LEAST_ALPHA, MOST_ALPHA)) or ()
    trip = taken(lambda: part_of_chord("--trip", words.trip, 0.01, 0.95))
    flap = taken(lambda: flap_of(words.flap))
    if reynolds and alpha and len(reynolds) * len(alpha) > MOST_POINTS:
        faults.append(
            _faulty(
                "--re, --alpha",
                f"ask for {len(reynolds) * len(alpha)} points.",
                "",
                f"At most {MOST_POINTS}.",
            )
        )
    if faults or outline is None:
        raise InputError(faults)
    if flap is not None:
        outline = with_flap(
            outline, flap[0], np.deg2rad(flap[1]), f"{outline.name}, flap {flap[1]:g} degrees"
        )
    both = (FREE, FREE) if trip is None else (trip, trip)
    return Asked(outline, reynolds, alpha, both)


_RANGE = re.compile(r"\s*([-+\d.eEkK]+)\s*(?:to|\.\.)\s*([-+\d.eEkK]+)(?:\s*(?:by|step)\s*([\d.eE]+))?\s*")


def _one(text: str) -> float:
    text = text.strip().replace("−", "-")
    return float(text[:-1]) * 1e3 if text[-1:] in ("k", "K") else float(text)


def numbers(option: str, text: str, low: float, high: float) -> tuple[float, ...]:
    """Rising numbers from a list ("60000, 100k, 2e5") or a range ("-4 to 12", "-4 to 12 by 0.5")."""
    try:
        found = _ranged(text) if (hit := _RANGE.fullmatch(text)) is None else _steps(hit)
    except (ValueError, IndexError):
        raise InputError(
            [
                _faulty(
                    option,
                    f"reads {text[:60]!r}.",
                    "A list such as 60k, 100k, 200k, or a range such as -4 to 12 by 1, is wanted.",
                    "Write it again.",
                )
            ]
        ) from None
    if not found or not all(np.isfinite(one) and low <= one <= high for one in found):
        raise InputError(
            [
                _faulty(
                    option,
                    f"reads {text[:60]!r}.",
                    f"It works from {low:g} to {high:g}.",
                    "Stay between them.",
                )
            ]
        )
    return tuple(sorted({round(one, 9) for one in found}))


def _ranged(text: str) -> list[float]:
    return [_one(part) for part in re.split(r"[,;\s]+", text.strip()) if part]


def _steps(hit: re.Match[str]) -> list[float]:
    first, last, step = _one(hit[1]), _one(hit[2]), float(hit[3] or 1.0)
    if last < first or step <= 0 or (last - first) / step > MOST_POINTS:
        raise ValueError
    return [first + step * k for k in range(int((last - first) / step + 1e-9) + 1)]


def part_of_chord(option: str, text: str, low: float, high: float) -> float | None:
    """A part of the chord, "2 %" or .02; None when nothing was written."""
    if not text.strip():
        return None
    try:
        value = float(text.replace("%", "").strip()) / (100 if "%" in text else 1)
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise InputError(
            [
                _faulty(
                    option,
                    f"reads {text[:40]!r}.",
                    f"A part of the chord between {100 * low:g} % and {100 * high:g} % is wanted.",
                    "Write for example 10 %.",
                )
            ]
        )
    return value


def flap_of(text: str) -> tuple[float, float] | None:
    """Chord part and deflection in degrees of a flap, "25 %, 10"; trailing edge down positive."""
    if not text.strip():
        return None
    part, _, turn = text.partition(",")
    chord = part_of_chord("--flap", part, 0.05, 0.6)
    try:
        degrees = float(turn.replace("deg", "").strip())
    except ValueError:
        degrees = float("nan")
    if chord is None or not abs(degrees) <= 30:
        raise InputError(
            [
                _faulty(
                    "--flap",
                    f"reads {text[:40]!r}.",
                    "Chord part and degrees are wanted, at most 30 either way.",
                    'Write for example "25 %, 10".',
                )
            ]
        )
    return chord, degrees


def show(one: Report, written: Path | None) -> None:
    """The table on the terminal."""
    screen = console()
    screen.print(Text(f"{one.polars.name}, {100 * one.polars.thickness:.1f} % thick", style="bold"))
    rows = one.points()
    for re_ in one.asked.reynolds:
        screen.print()
        screen.print(Text(words_of(re_), style="bold"))
        table = plain_table(
            "angle", "lift", "95 %", "drag", "95 %", "moment", "turbulent from", "", right=range(7)
        )
        for row in (p for p in rows if p["re"] == re_):
            low, high = row["cl_band"]
            less, more = row["cd_band"]
            table.add_row(
                f"{np.rad2deg(row['alpha']):.2f}°".replace(".00", ""),
                f"{row['cl']:.3f}",
                f"{low:.2f} to {high:.2f}",
                f"{row['cd']:.4f}",
                f"{less:.4f} to {more:.4f}",
                f"{row['cm']:.3f}",
                _turbulent(row["transition"]),
                "" if row["state"] == "converged" else row["state"],
            )
        screen.print(table)
    screen.print()
    for line in one.says():
        screen.print(f"- {line}")
    if written is not None:
        screen.print(f"- Picture: {written}")


def _turbulent(transition: list[float] | None) -> str:
    if transition is None:
        return ""
    upper, lower = (f"{100 * one:.0f} %" if one < 0.999 else "never" for one in transition)
    return f"{upper} / {lower}"
