"""What is cut as one record: the same for the terminal's ``--json``, the page and the book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil
from typing import Literal

from pydantic import Field

from planewright import __version__
from planewright.documents.cutting.bill import BillRow, bill_rows
from planewright.documents.cutting.plan import THICKER, Plan, title_of
from planewright.documents.cutting.store import PrinterReading
from planewright.draw.board_sheet import Sheet
from planewright.draw.corners import by_numbers, fits_by_numbers
from planewright.draw.nest import Layout, items_of
from planewright.draw.paper import Paper
from planewright.draw.printer import UNCORRECTED
from planewright.draw.small_parts import fits_one_page
from planewright.findings.model import Record
from planewright.geometry.parts import Part

MM = 1000.0


class PlaceRow(Record):
    """Where one piece lies: lower left corner of its box from that of the board, mm; turned anticlockwise, deg."""

    key: str
    title: str
    x_mm: float
    y_mm: float
    turn_deg: float


class SheetRow(Record):
    """One board with what lies on it. ``use`` part of its area; ``mass_g`` of the pieces, None where no board was
    weighed; ``obsolete``: the print no longer says what is wanted; ``stale`` pieces that are the reason."""

    number: int
    board: str
    material: str
    width_mm: float
    height_mm: float
    state: Literal["free", "printed", "cut"]
    owned: bool
    offcut: bool
    revision: str
    thickness_mm: float
    use: float
    mass_g: float | None
    places: tuple[PlaceRow, ...]
    stale: tuple[str, ...]
    obsolete: bool
    printed: str
    says: tuple[str, ...]


class MaterialRow(Record):
    """One material: ``used`` boards against ``bound``, which no layout can do without; ``waste`` and ``bound_waste``
    parts of the boards that are thrown away, now and at the bound; ``tried`` orders; ``moved`` pieces."""

    material: str
    kind: str
    thickness_mm: float
    stiff: Literal["long", "short", "none", "not tried"]
    owned: int
    used: int
    bought: int
    bound: int
    bound_exact: float
    waste: float
    bound_waste: float
    pieces: int
    tried: int
    moved: tuple[str, ...]
    says: tuple[str, ...]


class PartRow(Record):
    """One part and how it comes to the board: ``way`` corner numbers, one page, or so many pages on the paper."""

    title: str
    name: str
    number: str
    hand: Literal["left", "right", "none"]
    copies: int
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    area_cm2: float
    mass_goal_g: float | None
    revision: str
    way: str
    sheets: tuple[int, ...]
    folds: int
    ready: bool
    note: str


class LeftRow(Record):
    """A piece that lies on no board, why, and what would work."""

    key: str
    why: str
    would_work: str


class ChangeRow(Record):
    """A part that differs from when it was last laid. ``moved_mm``: its edge at worst."""

    title: str
    what: Literal["new", "gone", "changed"]
    revision: str
    moved_mm: float | None
    says: str


class StickRow(Record):
    """One stick and the lengths cut from it, mm, in order."""

    material: str
    number: int
    length_mm: float
    cuts: tuple[tuple[str, float], ...]
    rest_mm: float


class SeamRow(Record):
    """Where two parts meet: letter of the ticks, both parts, length mm, and how far their edges are apart, mm."""

    letter: str
    name: str
    parts: tuple[str, str]
    length_mm: float
    misfit_mm: float


class AdviceRow(Record):
    """Something to decide before cutting: what was found, what would work; ``stop``: it cannot be made as it stands."""

    title: str
    found: str
    would_work: str
    stop: bool


class PrinterRow(Record):
    """A printer as measured: readings mm, factors asked over read."""

    name: str
    paper: Paper
    across_mm: float
    up_mm: float
    across: float
    up: float
    date: str


class RulesRow(Record):
    """How parts were laid; the same rules and seed give the same layout."""

    gap_mm: float
    border_mm: float
    pixel_mm: float
    shuffles: int
    seed: int


class Cutting(Record):
    """What is to be cut. ``says`` the whole in sentences; ``saved``: parts were laid before and kept."""

    schema_: Literal["planewright/sheets/1"] = Field("planewright/sheets/1", alias="schema")
    version: str
    project: str
    letter: str
    saved: bool
    says: tuple[str, ...]
    rules: RulesRow
    materials: tuple[MaterialRow, ...]
    sheets: tuple[SheetRow, ...]
    parts: tuple[PartRow, ...]
    left: tuple[LeftRow, ...]
    changes: tuple[ChangeRow, ...]
    sticks: tuple[StickRow, ...]
    seams: tuple[SeamRow, ...]
    advice: tuple[AdviceRow, ...]
    bill: tuple[BillRow, ...]
    printers: tuple[PrinterRow, ...]


def cutting(plan: Plan, project: str, letter: str, paper: Paper = "A4") -> Cutting:
    """The record of a plan. ``paper``: the one that ``way`` of each part is said for."""
    sheets = tuple(sheet_row(plan, one) for one in plan.sheets)
    materials = tuple(material_row(plan, one) for one in plan.layouts)
    return Cutting(
        schema="planewright/sheets/1",
        version=__version__,
        project=project,
        letter=letter,
        saved=bool(plan.saved.layouts),
        says=tuple(_says(plan, materials, sheets)),
        rules=_rules(plan),
        materials=materials,
        sheets=sheets,
        parts=tuple(part_row(plan, one, paper) for one in plan.parts),
        left=tuple(
            LeftRow(key=one.key, why=one.why, would_work=one.would_work)
            for layout in plan.layouts
            for one in layout.left
        ),
        changes=tuple(
            ChangeRow(
                title=one.title, what=one.what, revision=one.revision, moved_mm=_rounded(one.moved_mm),
                says=one.says,
            )
            for one in plan.changed
        ),
        sticks=tuple(
            StickRow(
                material=one.material, number=one.number, length_mm=round(one.length, 1),
                cuts=tuple((cut.key, round(cut.length, 1)) for cut in one.cuts), rest_mm=round(one.rest, 1),
            )
            for sticks in plan.sticks.values()
            for one in sticks
        ),
        seams=tuple(
            SeamRow(
                letter=one.letter, name=one.name, parts=(one.sides[0].title, one.sides[1].title),
                length_mm=round(one.sides[0].length, 2), misfit_mm=round(one.misfit, 4),
            )
            for one in plan.found.seams
        ),
        advice=tuple(
            AdviceRow(title=one.title, found=one.found, would_work=one.would_work, stop=one.stop)
            for one in plan.found.advice
        ),
        bill=bill_rows(plan),
        printers=tuple(_printer(one) for one in plan.saved.printers),
    )  # fmt: skip


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _rules(plan: Plan) -> RulesRow:
    rules = plan.rules
    return RulesRow(
        gap_mm=rules.gap,
        border_mm=rules.border,
        pixel_mm=rules.pixel,
        shuffles=rules.shuffles,
        seed=rules.seed,
    )


def _printer(one: PrinterReading) -> PrinterRow:
    factors = one.factors()
    return PrinterRow(
        name=one.name, paper=one.paper, across_mm=one.across_mm, up_mm=one.up_mm,
        across=round(factors.across, 6), up=round(factors.up, 6), date=one.date,
    )  # fmt: skip


# sheets and materials -----------------------------------------------------------------------------------------------


def sheet_row(plan: Plan, sheet: Sheet) -> SheetRow:
    """One board in words and numbers."""
    board = sheet.board
    goals = [sheet.parts[one.key].mass_goal for one in sheet.places]
    mass = sum(one for one in goals if one is not None) * MM if None not in goals and goals else None
    was = plan.saved.layout(board.material)
    saved = next((one for one in was.boards if one.name == board.name), None) if was else None
    thickness = (plan.stock[board.material].thickness or 0.0) * MM
    thicker = board.state != "free" and abs(sheet.thickness - thickness) > THICKER
    stale = tuple(one.key for one in sheet.stale)
    return SheetRow(
        number=sheet.number,
        board=board.name,
        material=board.material,
        width_mm=round(board.width, 1),
        height_mm=round(board.height, 1),
        state=board.state,
        owned=board.owned,
        offcut=board.offcut,
        revision=sheet.revision,
        thickness_mm=round(sheet.thickness, 2),
        use=round(sheet.use, 4),
        mass_g=None if mass is None else round(mass, 1),
        places=tuple(
            PlaceRow(
                key=one.key, title=title_of(one.key), x_mm=round(one.x, 2), y_mm=round(one.y, 2),
                turn_deg=round(one.turn_deg, 3),
            )
            for one in sheet.places
        ),
        stale=stale,
        obsolete=bool(stale) or thicker,
        printed=saved.printed if saved else "",
        says=tuple(_sheet_says(sheet, stale, thickness if thicker else None)),
    )  # fmt: skip


def _sheet_says(sheet: Sheet, stale: Sequence[str], thickness: float | None) -> Iterable[str]:
    count, board = len(sheet.places), sheet.board
    pieces = "1 piece" if count == 1 else f"{count} pieces"
    yield f"{pieces} on {100 * sheet.use:.0f} % of the board."
    if not board.owned:
        yield "This board is not owned yet."
    if board.offcut:
        yield "An off-cut."
    if board.damaged:
        yield "Hatched corners are spoilt and carry nothing."
    if thickness is not None:
        yield (
            f"Drawn for {sheet.thickness:.1f} mm; the board is {thickness:.1f} mm now: "
            + ("print it again." if board.state == "printed" else "what was cut from it may no longer fit.")
        )
    if stale:
        names = listed([title_of(one) for one in stale])
        if board.state == "printed":
            yield (
                f"Print of revision {sheet.revision} is obsolete: {names} changed since and lie elsewhere. Mark it "
                "free to print it again, or leave the hatched outlines out."
            )
        else:
            yield f"{names} changed after this board was cut: the hatched pieces are not to be used."
    elif board.state != "free" and thickness is None:
        yield f"Revision {sheet.revision} still holds: it may stay."


def listed(names: Iterable[str], most: int = 6) -> str:
    """ "A, B and C", or the first few "and 4 more"."""
    every = list(dict.fromkeys(names))
    if len(every) > most:
        return ", ".join(every[:most]) + f" and {len(every) - most} more"
    return (
        every[0] if len(every) == 1 else ", ".join(every[:-1]) + f" and {every[-1]}" if every else "nothing"
    )


def material_row(plan: Plan, layout: Layout) -> MaterialRow:
    """One material in words and numbers."""
    stock = plan.stock[layout.material]
    used = [one for one in layout.used if layout.on(one.name)]
    items = {one.key: one for one in items_of(plan.parts).get(layout.material, ())}
    area = sum(items[one.key].shape.area for one in layout.placements)
    boards_area = sum(one.width * one.height for one in used)
    whole = max((one.width * one.height for one in layout.boards), default=0.0)
    bought = sum(not one.owned for one in used)
    return MaterialRow(
        material=layout.material,
        kind=stock.kind,
        thickness_mm=round((stock.thickness or 0.0) * MM, 2),
        stiff=stock.stiff or "not tried",
        owned=sum(one.owned for one in layout.boards),
        used=len(used),
        bought=bought,
        bound=layout.bound,
        bound_exact=round(layout.bound_exact, 3),
        waste=round(1.0 - area / boards_area, 4) if boards_area else 0.0,
        bound_waste=round(1.0 - area / (layout.bound * whole), 4) if layout.bound and whole else 0.0,
        pieces=len(layout.placements),
        tried=layout.tried,
        moved=layout.moved,
        says=tuple(_material_says(plan, layout, bought)),
    )


def _material_says(plan: Plan, layout: Layout, bought: int) -> Iterable[str]:
    stock, used = plan.stock[layout.material], [one for one in layout.used if layout.on(one.name)]
    if not used:
        return
    boards = "1 board" if len(used) == 1 else f"{len(used)} boards"
    if layout.bound >= len(used):
        yield f"{layout.material}: {boards}, and no layout can do with fewer."
    else:
        yield f"{layout.material}: {boards}; no layout needs fewer than {layout.bound}."
    if bought:
        more = "1 more than is owned" if bought == 1 else f"{bought} more than are owned"
        yield f"That is {more}."
    if (last := last_board_words(plan, layout)) and len(used) > 1:
        yield last
    if stock.stiff is None and stock.kind == "foam board":
        yield (
            "Nobody has tried which way this board is stiff, so parts are turned as they fit. Bend a square of 100 mm "
            'both ways and write stiff = "long", "short" or "none".'
        )
    if layout.moved:
        yield f"{len(layout.moved)} pieces lie elsewhere than before: {listed(layout.moved)}."


def last_board_words(plan: Plan, layout: Layout) -> str:
    """What the last whole board is needed for, and the off-cut that would do instead."""
    used = [one for one in layout.used if layout.on(one.name) and not one.offcut]
    if not used:
        return ""
    emptiest = min(used, key=lambda one: sum(_area(plan, layout, one.name)))
    places = layout.on(emptiest.name)
    sheet = next(one for one in plan.sheets if one.board == emptiest)
    titles = [title_of(one.key) for one in places]
    many = "1 piece" if len(places) == 1 else f"{len(places)} pieces"
    if sheet.use > 0.25:
        return f"{emptiest.name} carries the least: {many}, {100 * sheet.use:.0f} % of it."
    right, top = _extent(sheet)
    border = plan.rules.border
    size = f"{ceil((right + border) / 10) * 10:.0f} × {ceil((top + border) / 10) * 10:.0f} mm"
    return f"{emptiest.name} is needed for {many} only ({listed(titles)}); an off-cut of {size} would do instead."


def _area(plan: Plan, layout: Layout, board: str) -> list[float]:
    by_title = {one.title: one for one in plan.parts}
    return [by_title[title_of(one.key)].area for one in layout.on(board)]


def _extent(sheet: Sheet) -> tuple[float, float]:
    from planewright.draw.board_sheet import part_at

    rings = [part_at(sheet.parts[one.key], one).rings[0] for one in sheet.places]
    return max(x for ring in rings for x, _ in ring), max(y for ring in rings for _, y in ring)


# parts and sentences ------------------------------------------------------------------------------------------------


def part_row(plan: Plan, part: Part, paper: Paper) -> PartRow:
    """One part in numbers."""
    keys = {one.key: sheet.number for sheet in plan.sheets for one in sheet.places}
    own = sorted({number for key, number in keys.items() if title_of(key) == part.title})
    width, height = part.size
    return PartRow(
        title=part.title,
        name=part.name,
        number=part.number,
        hand=part.hand,
        copies=part.copies,
        material=part.material,
        thickness_mm=round(part.thickness, 2),
        length_mm=round(max(width, height), 1),
        width_mm=round(min(width, height), 1),
        area_cm2=round(part.area * 1e4, 1),
        mass_goal_g=None if part.mass_goal is None else round(part.mass_goal * MM, 1),
        revision=plan.letter[part.title],
        way=way_of(part, paper),
        sheets=tuple(own),
        folds=len(part.folds),
        ready=part.ready,
        note=part.note,
    )


def way_of(part: Part, paper: Paper) -> str:
    """How a part comes to the board with a home printer: "length only", "one page", "corner numbers", "tiled pages"."""
    if part.kind == "pine stick":
        return "length only"
    if fits_one_page(part, paper, UNCORRECTED):
        return "one page"
    return "corner numbers" if by_numbers(part) and fits_by_numbers(part, paper) else "tiled pages"


def _says(plan: Plan, materials: Sequence[MaterialRow], sheets: Sequence[SheetRow]) -> Iterable[str]:
    pieces = sum(one.pieces for one in materials)
    if not plan.parts:
        yield "There is nothing to cut yet."
        return
    yield f"{len(plan.parts)} parts, {pieces} pieces on {len(sheets)} boards."
    for one in materials:
        yield from one.says
    left = [one for layout in plan.layouts for one in layout.left]
    if left:
        yield f"{len(left)} pieces lie on no board: {listed(one.key for one in left)}."
    changed = [one for one in plan.changed if one.what == "changed"]
    if plan.changed:
        new = sum(one.what == "new" for one in plan.changed)
        gone = sum(one.what == "gone" for one in plan.changed)
        yield f"Since parts were last laid: {len(changed)} changed, {new} new, {gone} gone."
    obsolete = [one.board for one in sheets if one.obsolete]
    if obsolete:
        yield f"Obsolete prints: {listed(obsolete)}."
    stay = [one.board for one in sheets if one.state != "free" and not one.obsolete]
    if stay:
        yield f"May stay as they are: {listed(stay)}."
    unfinished = sum(not one.ready for one in plan.parts if one.kind != "pine stick")
    if unfinished:
        yield f"{unfinished} parts are outlines only and say so: not for cutting."
