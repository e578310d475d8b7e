"""Files made from a plan of what is cut: boards at full size, plans, cut list, bill, patterns for home printers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache, partial

from planewright.documents.cutting.bill import bill_csv, cut_csv
from planewright.documents.cutting.plan import Plan
from planewright.documents.cutting.record import Cutting, SheetRow
from planewright.documents.order import Order, Piece, title_strip
from planewright.draw.board_sheet import full_sheet, plan_pages
from planewright.draw.dxf import dxf
from planewright.draw.paper import Paper, Title
from planewright.draw.pdf import pdf
from planewright.draw.pieces import full_size, overview, plate
from planewright.draw.printer import Printer
from planewright.draw.scene import Scene
from planewright.draw.svg import svg
from planewright.draw.templates import templates
from planewright.geometry.parts import Part

BOARDS_NUMBER = "3"


def cutting_pieces(plan: Plan, record: Cutting, order: Order) -> Iterator[Piece]:
    """Everything that is made of a plan, boards first."""
    if not plan.parts:
        return
    yield from board_pieces(plan, record, order)
    yield from part_pieces(plan, record, order)
    yield Piece("cut-list.csv", "cut list", lambda: cut_csv(plan).encode())
    yield Piece("bill.csv", "bill of materials", lambda: bill_csv(plan).encode())


def owner_of(record: Cutting) -> str:
    """Name and letter of the aeroplane, as the foot of each page says it."""
    return f"{record.project}, letter {record.letter}"


def board_pieces(plan: Plan, record: Cutting, order: Order) -> Iterator[Piece]:
    """All boards at full size in one PDF, each as SVG and DXF; small plans of all of them on each paper."""
    if not plan.sheets:
        return
    strip = title_strip(record.project, record.letter, "boards", BOARDS_NUMBER, order.date)
    drawn = cache(lambda number: full_sheet(plan.sheets[number], strip))
    for number, sheet in enumerate(plan.sheets):
        name = sheet.board.name.replace(" ", "-")
        yield Piece(f"boards/{name}.svg", sheet.board.name, lambda k=number: svg(drawn(k)).encode())  # type: ignore[misc]
        yield Piece(f"boards/{name}.dxf", sheet.board.name, lambda k=number: dxf(drawn(k)).encode())  # type: ignore[misc]
    yield Piece(
        "boards/full-size.pdf",
        "boards at full size",
        lambda: pdf([drawn(k) for k in range(len(plan.sheets))], f"{record.project} boards"),
    )
    for paper in order.papers:
        yield Piece(
            f"boards/plans-{paper}.pdf", f"plans on {paper}", partial(plans_pdf, plan, record, paper, strip)
        )


def plans_pdf(plan: Plan, record: Cutting, paper: Paper, strip: Title) -> bytes:
    """Small plans of all boards with their words."""
    return pdf(plans(plan, record, paper, strip), f"{record.project} boards, small")


def plans(
    plan: Plan, record: Cutting, paper: Paper, strip: Title, first: int = 1, count: int = 0
) -> tuple[Scene, ...]:
    """Small plans of all boards as scenes."""
    rows = {one.number: one for one in record.sheets}
    drawn = [(sheet, board_words(rows[sheet.number])) for sheet in plan.sheets]
    return plan_pages(drawn, paper, strip, first, count)


def board_words(row: SheetRow) -> tuple[str, ...]:
    """The words beside a small plan: use and weight, what to do with the print."""
    mass = "" if row.mass_g is None else f" The pieces weigh {row.mass_g:.0f} g by their drawing."
    return (f"{row.says[0]}{mass}", *row.says[1:])


def part_pieces(plan: Plan, record: Cutting, order: Order) -> Iterator[Piece]:
    """Each part as SVG, all of them in one DXF, small on one drawing, and as patterns on each paper."""
    owner = owner_of(record)
    for one in plan.parts:
        name = one.title.lower().replace(" ", "-")
        yield Piece(f"parts/{name}.svg", one.title, partial(outline_svg, one))
    strip = title_strip(record.project, record.letter, "all parts", "2", order.date)
    first = order.papers[0]
    yield Piece(
        f"drawings/all-parts-{first}.pdf",
        "all parts, small",
        lambda: pdf(overview(plan.parts, first, strip), f"{record.project} all parts"),
    )
    yield Piece("parts/all.dxf", "all parts as DXF", lambda: dxf(plate(plan.parts)).encode())
    for paper in order.papers:
        yield Piece(
            f"parts/tiles-{paper}.pdf",
            f"parts on {paper}",
            partial(tiles, plan.parts, paper, owner, order.printer),
        )


def outline_svg(part: Part) -> bytes:
    """One part at true size with all its lines."""
    return svg(full_size(part)).encode()


def tiles(found: Sequence[Part], paper: Paper, owner: str, printer: Printer) -> bytes:
    """All parts at true size on pages of one paper."""
    return pdf(templates(found, paper, owner, printer), f"{owner}: parts")
