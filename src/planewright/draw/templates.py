"""Every part at true size by the way that suits it: corner numbers, several to a page, or over several pages."""

from __future__ import annotations

from collections.abc import Sequence

from planewright.draw import paper as sheets
from planewright.draw.corners import by_numbers, corner_pages, fits_by_numbers
from planewright.draw.legend import legend
from planewright.draw.paper import MARGIN, Paper
from planewright.draw.pieces import warn_words
from planewright.draw.printer import UNCORRECTED, Printer, check_bars, foot_line
from planewright.draw.scene import Scene
from planewright.draw.small_parts import fits_one_page, shared
from planewright.draw.tiles import tiled
from planewright.geometry.parts import Part


def templates(
    parts: Sequence[Part], paper: Paper, owner: str, factors: Printer = UNCORRECTED, by_corners: int = 16
) -> tuple[Scene, ...]:
    """Every sheet part at true size on pages of one paper: small ones several to a page, then each larger one tiled.

    Arguments:
        by_corners: larger parts with at most so many corners come as a table of corner numbers, measured from a
            straight edge of the board: no taping and no running error. 0 tiles them all.
    Sticks have no template: their length stands in the cut list.
    """
    flat_parts = [one for one in parts if one.kind != "pine stick"]
    small = [one for one in flat_parts if fits_one_page(one, paper, factors)]
    large = [one for one in flat_parts if one not in small]
    named = [one for one in large if by_numbers(one, by_corners) and fits_by_numbers(one, paper)]
    pages = list(shared(small, paper, owner, factors)) if small else []
    pages += corner_pages(named, paper, owner) if named else []
    for one in large:
        if one not in named:
            pages += tiled(one, paper, owner, factors)
    counts = (
        f"{len(small)} parts at true size, several to a page (pages S)",
        f"{len(named)} parts as corner numbers (pages N)",
        f"{len(large) - len(named)} parts over several pages each; with this page {len(pages) + 1} pages in all",
    )
    return (first_page(paper, owner, factors, counts, flat_parts), *pages) if pages else ()


def first_page(
    paper: Paper, owner: str, factors: Printer, counts: Sequence[str], parts: Sequence[Part] = ()
) -> Scene:
    """The page that is printed first: rules, meanings of lines, and both check bars."""
    width, height = sheets.size(paper)
    warn = warn_words(parts)
    scene = Scene(width, height, (), "how to use these pages", margin=MARGIN - 0.5)
    if warn:
        scene = scene.plus(sheets.warning((MARGIN, MARGIN, width - MARGIN, height - MARGIN)))
    scene = scene.plus(check_bars(paper, factors), foot_line(paper, (owner, ""), factors))
    return scene.plus(legend((MARGIN + 27.0, height - MARGIN), width - 2 * MARGIN - 32.0, counts, parts))
