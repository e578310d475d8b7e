"""Making the tables of shipped polars: ``python -m planewright.analysis.section.shipping FOLDER``."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from planewright.analysis.section.making import Wanted, make
from planewright.analysis.section.outlines import drawn
from planewright.analysis.section.polars import SectionPolars
from planewright.analysis.section.shipped import HEADS, NAMES, file_of
from planewright.plane.model import Section


def wanted_of(name: str) -> Wanted:
    """What a shipped table answers."""
    kind = "naca" if name.startswith("NACA") else "named"
    return Wanted(drawn(Section(kind, name)))  # type: ignore[arg-type]


def table_of(polars: SectionPolars) -> str:
    """A set of polars as the text of its table."""
    assert polars.transition is not None
    lines = [
        f"# {polars.name}, worked out by the section solver beside this folder from the outline with digest "
        f"{polars.digest}",
        "# Not measured. Chord 1, angles from the chord, moment about the quarter chord; thickness "
        f"{polars.thickness:.6f}",
        "# state: 0 converged, 1 bridged between solved points; upper, lower: where the layer turns turbulent",
        ",".join(HEADS),
    ]
    for k, re in enumerate(polars.reynolds):
        for i, alpha in enumerate(np.rad2deg(polars.alpha)):
            upper, lower = polars.transition[k, i]
            lines.append(
                f"{re:.0f},{alpha:g},{polars.lift[k, i]:.5f},{polars.drag[k, i]:.6f},{polars.moment[k, i]:.5f},"
                f"{polars.state[k, i]},{upper:.3f},{lower:.3f}"
            )
    return "\n".join(lines) + "\n"


def main(folder: Path) -> None:
    """Write every table into a folder."""
    for name in NAMES:
        (folder / file_of(name)).write_text(table_of(make([wanted_of(name)])[0]), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
