"""Make the pictures of the manual from the real program: run by ``make pictures``."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pymupdf

from planewright.cli.main import run
from planewright.draw.scene import Circle, Scene, Shape, Text, line, polygon, polyline
from planewright.draw.svg import svg

HERE = Path(__file__).parent
WIDE, GAP, DPI = 1000, 24, 110


def arrow(start: tuple[float, float], end: tuple[float, float], words: str) -> list[Shape]:
    """An axis with its head and its words."""
    (x0, y0), (x1, y1) = start, end
    length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    head = (
        (x1, y1),
        (x1 - 3 * ux - 1.1 * uy, y1 - 3 * uy + 1.1 * ux),
        (x1 - 3 * ux + 1.1 * uy, y1 - 3 * uy - 1.1 * ux),
    )
    at = (x1 + 2.5 * ux + (0.8 if abs(ux) < 0.5 else 0), y1 + 3.2 * uy)
    anchor = "start" if ux > 0.5 else "end" if ux < -0.5 else "middle"
    return [
        line(start, end, "wide"),
        polygon(head, "fill", fill="#000000"),
        Text(at, words, 4.0, anchor, "middle"),
    ]


def aeroplane(dx: float) -> list[Shape]:
    """A stand-in side view, nose to the left."""
    body = ((dx, 30), (dx + 8, 36), (dx + 45, 38), (dx + 82, 36), (dx + 82, 31), (dx + 45, 27), (dx + 8, 26))
    fin = ((dx + 66, 37), (dx + 74, 52), (dx + 82, 52), (dx + 82, 36))
    wing = ((dx + 24, 39.5), (dx + 44, 40.5), (dx + 44, 38.5), (dx + 26, 38))
    return [polygon(body, "thin"), polygon(fin, "thin"), polygon(wing, "thin", fill="#dddddd")]


def into_the_paper(at: tuple[float, float]) -> list[Shape]:
    """An arrow seen from behind: a circle with a cross."""
    x, y = at
    cross = [((x - 1.4, y - 1.4), (x + 1.4, y + 1.4)), ((x - 1.4, y + 1.4), (x + 1.4, y - 1.4))]
    return [Circle(at, 2.0, "wide", fill="#ffffff"), *(polyline(one, "wide") for one in cross)]


def axes() -> Scene:
    """Drawing axes on the left, flight axes on the right."""
    shapes: list[Shape] = [Text((6, 70), "Drawing axes", 5.0, face="head", bold=True)]
    shapes += aeroplane(12)
    shapes += [*arrow((12, 31), (112, 31), "x aft"), *arrow((12, 31), (12, 62), "z up")]
    shapes += [*into_the_paper((12, 31)), Text((16, 20), "y to the right: into the paper", 3.6)]
    shapes += [line((138, 6), (138, 72), "grid"), Text((146, 70), "Flight axes", 5.0, face="head", bold=True)]
    shapes += aeroplane(172)
    shapes += [*arrow((214, 33), (164, 33), "x forward"), *arrow((214, 33), (214, 8), "z down")]
    shapes += [*into_the_paper((214, 33)), Text((218, 22), "y to the right: into the paper", 3.6)]
    return Scene(276, 78, tuple(shapes), "axes")


def readme(folder: Path) -> None:
    """Title page, figures and a tile of Plover's book side by side."""
    run(["new", str(folder / "plover"), "--from", "plover"])
    run(["calibrate", str(folder / "plover"), "--json"])
    run(["book", str(folder / "plover"), "--paper", "A4"])
    out = folder / "plover" / "out"
    wanted = [(out / "book.pdf", 0), (out / "book.pdf", 2), (out / "parts/tiles-A4.pdf", tile_page(out))]
    sheet = pymupdf.open()
    page = sheet.new_page(width=3 * 595 + 4 * GAP, height=842 + 2 * GAP)
    page.draw_rect(page.rect, color=None, fill=(0.52, 0.56, 0.53))
    for i, (path, number) in enumerate(wanted):
        left = GAP + i * (595 + GAP)
        place = pymupdf.Rect(left, GAP, left + 595, GAP + 842)
        page.draw_rect(place, color=None, fill=(1, 1, 1))
        with pymupdf.open(path) as source:
            page.show_pdf_page(place, source, number)
    page.get_pixmap(dpi=72).save(HERE / "readme.png")


def tile_page(out: Path) -> int:
    """A page of the tiles that shows part of a larger piece: the last one."""
    with pymupdf.open(out / "parts/tiles-A4.pdf") as source:
        return len(source) - 1


def main() -> None:
    """All pictures."""
    (HERE / "axes.svg").write_text(svg(axes(), background="#ffffff"), encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        readme(Path(folder))


if __name__ == "__main__":
    main()
