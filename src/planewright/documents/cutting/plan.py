"""Parts on boards: from the description and what was laid before to what is to be cut now."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from shapely import Polygon

from planewright.documents.cutting.store import NOTHING, Saved, SavedBoard, SavedLayout, SavedPart, SavedPlace
from planewright.draw.board_sheet import Sheet
from planewright.draw.nest import Board, Layout, Placement, Rules, boards_of, items_of, kept, nest
from planewright.draw.nest.boards import to_buy
from planewright.draw.nest.items import STICKS
from planewright.draw.nest.model import USUAL, State, Telling
from planewright.draw.nest.search import silent
from planewright.draw.nest.sticks import Stick, stick_plan
from planewright.draw.revisions import Change, Known, changes, known, letters, next_letter
from planewright.geometry.model import Geometry
from planewright.geometry.parts import Part, PartSet, part_set
from planewright.plane.model import Stock

MM = 1000.0
THICKER = 0.05
"""A board this much thicker or thinner than the print was drawn for makes the print obsolete, mm."""


@dataclass(frozen=True)
class Plan:
    """What is to be cut: ``found`` parts and seams, ``letter`` revision by title, ``changed`` since last laid,
    ``layouts`` by material, ``sheets`` boards in the order of cutting, ``sticks`` by material, ``stock``, ``rules``,
    ``saved`` what was laid before."""

    found: PartSet
    letter: Mapping[str, str]
    changed: tuple[Change, ...]
    layouts: tuple[Layout, ...]
    sheets: tuple[Sheet, ...]
    sticks: Mapping[str, tuple[Stick, ...]]
    stock: Mapping[str, Stock]
    rules: Rules
    saved: Saved

    @property
    def parts(self) -> tuple[Part, ...]:
        """All parts in building order."""
        return self.found.parts


def make_plan(
    geometry: Geometry,
    saved: Saved = NOTHING,
    rules: Rules = USUAL,
    tell: Telling = silent,
    tidy: Sequence[str] = (),
) -> Plan:
    """Parts of an aeroplane laid on the boards that are owned.

    Arguments:
        saved: what was laid before; parts stay where they lay as far as they fit.
        rules: how parts are laid.
        tell: told how far the work is, 0 to 1; it may raise ``Cancelled``.
        tidy: materials to lay anew from nothing; printed and cut boards stay.
    """
    stock = geometry.plane.stock
    found = part_set(geometry, saved.numbers)
    every = items_of(found.parts)
    layouts = []
    for k, (material, items) in enumerate(every.items()):

        def part_told(done: float, says: str, k: int = k) -> None:
            tell((k + done) / len(every), says)

        before = saved.layout(material)
        boards = standing(boards_of(stock[material]), before)

        def buy(number: int, material: str = material) -> Board:
            return to_buy(stock[material], number)

        if before is None:
            layouts.append(nest(items, boards, buy, rules, part_told))
        else:
            old = before.layout()
            if material in tidy:
                old = loosened(old)
            layouts.append(kept(items, old, boards, buy, rules, part_told))
    old_parts = saved.known()
    letter = letters(found.parts, old_parts)
    sheets = tuple(_sheets(layouts, found.parts, saved, stock))
    of_sticks = {one.material for one in found.parts if one.kind in STICKS}
    sticks = {
        name: stick_plan((one for one in found.parts if one.material == name), stock[name])
        for name in stock
        if name in of_sticks
    }
    changed = changes(found.parts, old_parts)
    return Plan(found, letter, changed, tuple(layouts), sheets, sticks, stock, rules, saved)


def standing(owned: Sequence[Board], before: SavedLayout | None) -> tuple[Board, ...]:
    """Boards owned now with the state they had; printed and cut ones stay as they were when they were laid."""
    if before is None:
        return tuple(owned)
    old = {one.name: one for one in before.boards}
    found = []
    for one in owned:
        was = old.get(one.name)
        frozen = was is not None and was.state != "free"
        found.append(was.board(one.material) if was is not None and frozen else one)
    names = {one.name for one in owned}
    gone = (one for one in before.boards if one.name not in names and one.state != "free")
    material = before.material
    return (*found, *(one.board(material) for one in gone))


def loosened(old: Layout) -> Layout:
    """The layout without what lies on boards that are still free."""
    frozen = {one.name for one in old.boards if one.state != "free"}
    return replace(old, placements=tuple(one for one in old.placements if one.board in frozen))


def held(places: Iterable[Placement]) -> str:
    """A word that changes with anything that lies on a board."""
    said = sorted(
        (one.key, round(one.turn_deg, 3), round(one.x, 2), round(one.y, 2), one.digest) for one in places
    )
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()[:12]


def _sheets(
    layouts: Iterable[Layout], parts: Sequence[Part], saved: Saved, stock: Mapping[str, Stock]
) -> Iterable[Sheet]:
    by_title = {one.title: one for one in parts}
    old = {(one.title, one.digest): one for one in (*saved.parts, *saved.retired)}
    drawn = []
    for layout in layouts:
        before = saved.layout(layout.material)
        names = {one.name: one for one in before.boards} if before else {}
        thickness = (stock[layout.material].thickness or 0.0) * MM
        for board in layout.used:
            places = layout.on(board.name)
            stale = tuple(one for one in layout.stale if one.board == board.name)
            shown = {one.key: by_title[title_of(one.key)] for one in places}
            for one in stale:
                was = old.get((title_of(one.key), one.digest))
                if was is not None:
                    shown[one.key] = stand_in(was)
            was_board = names.get(board.name)
            area = sum(Polygon(shown[one.key].rings[0], shown[one.key].rings[1:]).area for one in places)
            use = area / (board.width * board.height)
            revision = _revision(board, places, was_board)
            drawn_for = _drawn_for(board, was_board, thickness)
            drawn.append(Sheet(board, places, shown, 0, 0, revision, drawn_for, use, stale))
    return (replace(one, number=k, count=len(drawn)) for k, one in enumerate(drawn, 1))


def _revision(board: Board, places: Sequence[Placement], was: SavedBoard | None) -> str:
    if was is None or not was.held:
        return "A"
    return was.revision if board.state != "free" or was.held == held(places) else next_letter(was.revision)


def _drawn_for(board: Board, was: SavedBoard | None, thickness: float) -> float:
    return was.thickness_mm if was is not None and board.state != "free" and was.thickness_mm else thickness


def title_of(key: str) -> str:
    """Title of the part an item is a copy of."""
    return key.partition(", ")[0]


def stand_in(was: SavedPart | Known) -> Part:
    """A part as it was: its outline and number only."""
    number, _, hand = was.title.rpartition(" ")
    sided = hand in ("LEFT", "RIGHT")
    return Part(
        number=number if sided else was.title,
        name="as it was",
        hand=("left" if hand == "LEFT" else "right") if sided else "none",
        copies=was.copies,
        material=was.material,
        kind="",
        thickness=was.thickness,
        rings=was.rings,
        area=Polygon(was.rings[0], was.rings[1:]).area / MM**2,
        mass_goal=None,
        ready=True,
    )


# keeping ------------------------------------------------------------------------------------------------------------


def to_save(plan: Plan) -> Saved:
    """The file that keeps this plan: placements, revisions, numbers; printers as they were."""
    from planewright.geometry.parts.numbering import numbered

    keyed = [(one.number.rsplit(" ", 1)[0], one.key) for one in plan.parts]
    given = {**plan.saved.numbers, **{one.key: one.number for one in plan.parts}}
    parts = tuple(_saved_part(known(one, plan.letter[one.title])) for one in plan.parts)
    wanted = {(title_of(one.key), one.digest) for layout in plan.layouts for one in layout.stale}
    now = {(one.title, one.digest) for one in parts}
    retired = {
        (one.title, one.digest): one
        for one in (*plan.saved.retired, *plan.saved.parts)
        if (one.title, one.digest) in wanted - now
    }
    known_materials = {one.material for one in plan.layouts}
    gone = tuple(one for one in plan.saved.layouts if one.material not in known_materials)
    return plan.saved.model_copy(
        update={
            "numbers": numbered(keyed, given),
            "parts": parts,
            "retired": tuple(retired.values()),
            "layouts": (*(_saved_layout(plan, one) for one in plan.layouts), *gone),
        }
    )


def _saved_part(one: Known) -> SavedPart:
    return SavedPart(**{name: getattr(one, name) for name in SavedPart.model_fields})


def _saved_layout(plan: Plan, layout: Layout) -> SavedLayout:
    sheets = {one.board.name: one for one in plan.sheets if one.board.material == layout.material}
    before = plan.saved.layout(layout.material)
    old = {one.name: one for one in before.boards} if before else {}
    boards = tuple(_saved_board(one, sheets.get(one.name), old.get(one.name)) for one in layout.boards)
    places = tuple(_saved_place(one) for one in layout.placements)
    stale = tuple(_saved_place(one) for one in layout.stale)
    tried = layout.tried or (before.tried if before else 0)
    return SavedLayout(material=layout.material, boards=boards, placements=places, stale=stale, tried=tried)


def _saved_board(board: Board, sheet: Sheet | None, was: SavedBoard | None) -> SavedBoard:
    frozen = board.state != "free"
    return SavedBoard(
        name=board.name,
        width=board.width,
        height=board.height,
        stiff=board.stiff,
        damaged=board.damaged,
        mass=board.mass,
        owned=board.owned,
        offcut=board.offcut,
        state=board.state,
        held=(was.held if was and frozen else held(sheet.places)) if sheet else "",
        revision=sheet.revision if sheet else "A",
        thickness_mm=round(sheet.thickness, 3) if sheet else 0.0,
        printed=was.printed if was else "",
    )


def _saved_place(one: Placement) -> SavedPlace:
    return SavedPlace(
        key=one.key, board=one.board, turn_deg=one.turn_deg, x=one.x, y=one.y, digest=one.digest
    )


def marked(saved: Saved, names: Sequence[str], state: State, date: str) -> tuple[Saved, tuple[str, ...]]:
    """The file with boards marked printed, cut, or free again; and the names that no laid board has."""
    wanted = {one.strip().lower() for one in names}
    seen: set[str] = set()
    layouts = []
    for layout in saved.layouts:
        boards = []
        for board in layout.boards:
            if board.name.lower() in wanted and board.held:
                seen.add(board.name.lower())
                printed = date if state != "free" else ""
                boards.append(board.model_copy(update={"state": state, "printed": printed}))
            else:
                boards.append(board)
        layouts.append(layout.model_copy(update={"boards": tuple(boards)}))
    return saved.model_copy(update={"layouts": tuple(layouts)}), tuple(sorted(wanted - seen))


def measured(saved: Saved, readings: Sequence[object]) -> Saved:
    """The file with printers measured; a reading of the same name takes the place of the one before."""
    from planewright.documents.cutting.store import PrinterReading

    new = [one for one in readings if isinstance(one, PrinterReading)]
    names = {one.name for one in new}
    rest = tuple(one for one in saved.printers if one.name not in names)
    return saved.model_copy(update={"printers": (*rest, *new)})
