"""What stands in the build book, as plain data for the page design: every number from the study, none typed here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from planewright.draw.fence import fence, fence_list, rows_of, state_picture, strip
from planewright.draw.scene import Scene, Text, line, picture
from planewright.draw.stick import band_of, stub
from planewright.draw.svg import svg
from planewright.findings import Finding
from planewright.findings.verdict import ranked
from planewright.study.model import Document, Figure
from planewright.study.words import against_limit, band_text, known_words, value_text
from planewright.units.showing import System

FENCE_ROWS = 8
FENCE_WIDTH = 173.0


def image(scene: Scene | None, title: str = "") -> dict[str, Any] | None:
    """A scene as the page design takes it: SVG text, width and height in mm, words for screen readers."""
    if scene is None:
        return None
    return {
        "svg": svg(scene),
        "width": scene.width,
        "height": scene.height,
        "title": title or scene.title or "picture",
    }


def check_bar(length: float = 100.0) -> Scene:
    """A bar of ``length`` mm with a tick each 5 mm, to be measured on the print."""
    ticks = [line((x, 3.0), (x, 5.5 if x % 50 == 0 else 4.2), "thin") for x in range(0, int(length) + 1, 5)]
    words = [Text((0.0, 0.2), "0", 3.4), Text((length, 0.2), f"{length:.0f} mm", 3.4, "end")]
    return Scene(length + 1.0, 6.5, (line((0.0, 3.0), (length, 3.0), "wide"), *ticks, *words), "check bar")


def keys() -> dict[str, Any]:
    """The small pictures of the kinds and of a limit, for the key at the foot of pages with sticks."""
    stubs = {kind: image(picture(stub(kind), 0.4), kind) for kind in ("measured", "published", "assumed")}
    return {**stubs, "fence": image(picture(fence(3.0, 0.0, 4.0, "left", pitch=2.0), 0.4), "limit")}


def system_of(show_in: str) -> System:
    """The unit system of a document."""
    return "imperial" if show_in == "imperial" else "metric"


def fences_of(name: str, findings: Iterable[Finding]) -> list[tuple[float, Any]]:
    """Limits of one figure with the side that is forbidden."""
    return [
        (one.limit, "left" if one.side == "at least" else "right")
        for one in findings
        if one.figure == name and one.limit is not None and one.value is not None
    ]


def figure_row(name: str, figure: Figure, findings: Sequence[Finding], system: System) -> dict[str, Any]:
    """One line of the sheet of figures."""
    band = band_of(figure)
    drawn = strip(band, fences_of(name, findings), width=40.0, height=8.0) if band else None
    return {
        "name": figure.name or name,
        "term": figure.term,
        "value": value_text(name, figure, system),
        "band": band_text(name, figure, system),
        "from": known_words(figure),
        "strip": image(drawn, f"stick of {figure.name}"),
    }


def figure_groups(document: Document, system: System) -> list[dict[str, Any]]:
    """The sheet of figures by group, in the order of the study."""
    groups: dict[str, list[dict[str, Any]]] = {}
    for name, figure in document.figures.items():
        groups.setdefault(figure.group or "more", []).append(
            figure_row(name, figure, document.findings, system)
        )
    return [{"name": name, "rows": rows} for name, rows in groups.items()]


def finding_row(finding: Finding, system: System) -> dict[str, Any]:
    """One finding for the page."""
    return {
        "sentence": finding.sentence,
        "state": finding.state,
        "kind": "blocks" if finding.kind == "block" else "watch",
        "numbers": f"{against_limit(finding, system)}.",
        "evidence": f"Known: {finding.evidence}." if finding.value is not None else "",
        "settles": finding.settles,
        "source": finding.source,
        "picture": image(picture(state_picture(finding.state), 0.3), finding.state),
    }


def findings_line(findings: Sequence[Finding]) -> str:
    """How many rows stand how."""
    open_rows = [one for one in findings if one.state != "clear"]
    blocks = [one for one in open_rows if one.kind == "block"]
    return (
        f"{len(findings)} rows: {len(findings) - len(open_rows)} clear, {len(blocks)} that block are open, "
        f"{len(open_rows) - len(blocks)} are watched. Many clear rows do not outweigh one that is open."
    )


def cover_fence(findings: Sequence[Finding]) -> tuple[Scene | None, str]:
    """The worst rows against one fence for the title page, and a word about the rest."""
    rows = ranked(findings)
    blocks_first = sorted(rows, key=lambda one: (one.state == "clear", one.kind))
    shown = blocks_first[:FENCE_ROWS]
    if not shown:
        return None, ""
    left = len(rows) - len(shown)
    words = f"{left} more rows stand under Findings." if left else ""
    return fence_list(rows_of(shown), FENCE_WIDTH), words


def weight_rows(document: Document, system: System) -> list[dict[str, str]]:
    """The table of weights. Grams and millimetres (ounces and inches in imperial) without their unit."""
    factor, length = (28.349523125e-3, 0.0254) if system == "imperial" else (1e-3, 1e-3)
    places = 1 if system == "imperial" else 0
    return [
        {
            "part": row.part,
            "drawn": f"{row.drawn / factor:.{places}f}",
            "weighed": "" if row.weighed is None else f"{row.weighed / factor:.{places}f}",
            "used": f"{row.used / factor:.{places}f}",
            "x": f"{row.x / length:.{places}f}",
            "y": f"{row.y / length:.{places}f}",
            "z": f"{row.z / length:.{places}f}",
            "state": row.state,
        }
        for row in document.weights
    ]


def tests_rows(document: Document) -> list[dict[str, Any]]:
    """What to try next, in the order of the study."""
    return [
        {
            "says": one.says,
            "minutes": f"{one.minutes:.0f}",
            "people": str(one.people),
            "effects": list(one.effects),
        }
        for one in document.tests
    ]


def sources(document: Document) -> list[str]:
    """Each method once, with the figures it gives."""
    by_method: dict[str, list[str]] = {}
    for name, figure in document.figures.items():
        if figure.method:
            by_method.setdefault(figure.method, []).append(figure.name or name)
    return [f"{method} Gives: {', '.join(names)}." for method, names in by_method.items()]


def defaults_list(defaults: Iterable[tuple[str, str]]) -> list[str]:
    """Values that the file left out."""
    return [f"{path}: {value}" for path, value in defaults]


def named(figures: Mapping[str, Figure], name: str, system: System) -> str:
    """A figure's value in words, or a blank line to fill in when it could not be worked out."""
    figure = figures.get(name)
    return value_text(name, figure, system) if figure else "______"
