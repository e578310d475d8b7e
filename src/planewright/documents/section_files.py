"""Sections by name or from a plain file of two columns, wherever it lies."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import numpy.typing as npt

from planewright.analysis.section.outlines import Outline, drawn, from_points, plate
from planewright.errors import Fault, InputError
from planewright.files import read_text
from planewright.geometry.sections import naca_digits, section_names
from planewright.plane.model import Section

Array = npt.NDArray[np.float64]

MOST = 1000
LEAST = 9


def _refuse(file: str, read: str, expected: str, advice: str, line: int = 0) -> InputError:
    return InputError([Fault(file, line, "", read, expected, advice)])


def outline_of(what: str, thickness: float | None = None) -> Outline:
    """The outline that a builder names or keeps in a file.

    Arguments: what: a path, or "Clark Y", "E387", "NACA 2415", "flat". thickness: over chord, to draw it thicker or
        thinner (not for files).
    Raises: InputError: no such file or name, or a file that is no section.
    """
    path = Path(what)
    if path.suffix or path.exists():
        return read_outline(path)
    name = re.sub(r"[\s_-]+", " ", what.strip())
    if name.lower() in ("flat", "flat plate", "plate"):
        return plate(0.02 if thickness is None else thickness)
    digits = naca_digits(name)
    if digits is not None and digits.thickness > 0 and (digits.camber > 0) == (digits.at > 0):
        label = "NACA " + re.sub(r"\D", "", name)
        return drawn(Section("naca", label), thickness)
    for known in section_names():
        if known.lower().replace(" ", "") == name.lower().replace(" ", ""):
            return drawn(Section("named", known), thickness)
    raise _refuse(
        what,
        "is neither a file nor a section known here.",
        f"Known by name: {', '.join(section_names())}, flat, and NACA with four figures.",
        'Write for example "NACA 2415", or name a file of two columns.',
    )


def _rows(path: Path) -> list[tuple[float, float]]:
    """Pairs of numbers; comments and lines of heads before the first pair are passed over."""
    rows: list[tuple[float, float]] = []
    for number, words in enumerate(read_text(path, 500_000).splitlines(), start=1):
        fields = re.split(r"[,;\s]+", words.split("#")[0].strip())
        if fields == [""]:
            continue
        try:
            row = tuple(float(one) for one in fields)
        except ValueError:
            row = ()
        if len(row) == 2 and all(math.isfinite(one) for one in row):
            rows.append((row[0], row[1]))
        elif rows:
            raise _refuse(
                path.name, "is not two numbers.", "Each line has x and y.", "Write that line again.", number
            )
        if len(rows) > MOST:
            raise _refuse(path.name, f"it has more than {MOST} points.", "", "Thin it out.")
    if len(rows) < LEAST:
        raise _refuse(
            path.name, f"it has {len(rows)} points.", f"A section has at least {LEAST}.", "Add points."
        )
    return rows


def read_outline(path: Path) -> Outline:
    """The outline in a file of two columns, x and y, apart by commas, semicolons or spaces.

    Points run once round from the trailing edge (either way), or in two runs from the nose aft. Any unit: the chord
    becomes 1.
    Raises: InputError.
    """
    points = np.array(_rows(path))
    low, chord = float(points[:, 0].min()), float(np.ptp(points[:, 0]))
    if chord <= 0:
        raise _refuse(
            path.name, "all its points lie at one x.", "x runs along the chord.", "Look at the columns."
        )
    points = (points - (low, 0.0)) / chord
    points = _once_round(path, points)
    depth = float(np.ptp(points[:, 1]))
    if not 0.004 < depth < 0.5:
        raise _refuse(
            path.name,
            f"it is {100 * depth:.3g} % of its chord deep.",
            "A section is 0.4 to 50 % deep.",
            "The first column is x along the chord, the second y above it, in one unit.",
        )
    name = path.stem.replace("_", " ")
    return from_points(name, points)


def _once_round(path: Path, points: Array) -> Array:
    """Points from the upper trailing edge over the nose to the lower one."""
    x = points[:, 0]
    turn = np.flatnonzero(np.diff(x) < -0.5)
    if x[0] < 0.2 and turn.size == 1:
        first, second = points[: turn[0] + 1], points[turn[0] + 1 :]
        points = np.vstack((first[::-1], second[1:] if np.allclose(first[0], second[0]) else second))
        x = points[:, 0]
    nose = int(np.argmin(x))
    straight = bool((np.diff(x[: nose + 1]) <= 1e-6).all() and (np.diff(x[nose:]) >= -1e-6).all())
    if not straight or x[0] < 0.9 or x[-1] < 0.9 or nose in (0, len(x) - 1):
        raise _refuse(
            path.name,
            "its points do not run once round the section.",
            "They start at the trailing edge, go over the top to the nose and back below, "
            "or make two runs from the nose aft.",
            "Put them in that order.",
        )
    upper = np.interp(0.3, points[: nose + 1][::-1, 0], points[: nose + 1][::-1, 1])
    lower = np.interp(0.3, points[nose:, 0], points[nose:, 1])
    return points if upper >= lower else points[::-1]
