"""sheets.json of a project: where each part was laid, what was printed and cut, numbers once given, printers measured.

Written by ``planewright sheets`` and the page alone, whole or not at all. It holds nothing that is needed to know the
aeroplane: taken away, parts are laid and numbered anew.
"""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationError

from planewright.draw.nest import Board, Layout, Placement
from planewright.draw.paper import Paper
from planewright.draw.printer import Printer, printer
from planewright.draw.revisions import Known
from planewright.errors import Fault, InputError
from planewright.files import read_text, write_atomically
from planewright.findings.model import Record
from planewright.text.located import is_there

NAME = "sheets.json"
LARGEST = 20_000_000
Ring = tuple[tuple[float, float], ...]


class SavedBoard(Record):
    """A board as it was when parts were laid on it, and the print of it. Lengths mm, mass kg.

    ``held``: what lay on it, in one word that changes with anything there; ``revision`` letter of the sheet;
    ``thickness_mm`` it was drawn for; ``printed`` the date.
    """

    name: str
    width: float
    height: float
    stiff: Literal["long", "short", "none"]
    damaged: tuple[Ring, ...] = ()
    mass: float | None = None
    owned: bool = True
    offcut: bool = False
    state: Literal["free", "printed", "cut"] = "free"
    held: str = ""
    revision: str = "A"
    thickness_mm: float = 0.0
    printed: str = ""

    def board(self, material: str) -> Board:
        """The board for the nester."""
        return Board(
            self.name, material, self.width, self.height, self.stiff, self.damaged, self.mass, self.owned,
            self.offcut, self.state,
        )  # fmt: skip


class SavedPlace(Record):
    """See ``Placement``: key, board, turn deg, lower left corner mm, digest of the part."""

    key: str
    board: str
    turn_deg: float
    x: float
    y: float
    digest: str

    def placement(self) -> Placement:
        """The placement for the nester."""
        return Placement(self.key, self.board, self.turn_deg, self.x, self.y, self.digest)


class SavedPart(Record):
    """See ``Known``: a part as it was last laid, or as it lies on a printed sheet."""

    title: str
    key: str
    material: str
    thickness: float
    copies: int
    revision: str
    digest: str
    rings: tuple[Ring, ...]
    folds: tuple[tuple[float, float, float, str], ...] = ()
    ticks: int = 0

    def known(self) -> Known:
        """The part for comparing."""
        return Known(**{name: getattr(self, name) for name in SavedPart.model_fields})


class SavedLayout(Record):
    """Boards of one material and what lies on them."""

    material: str
    boards: tuple[SavedBoard, ...]
    placements: tuple[SavedPlace, ...]
    stale: tuple[SavedPlace, ...] = ()
    tried: int = 0

    def layout(self) -> Layout:
        """The layout for the nester."""
        places = tuple(one.placement() for one in self.placements)
        stale = tuple(one.placement() for one in self.stale)
        boards = tuple(one.board(self.material) for one in self.boards)
        return Layout(self.material, boards, places, (), 0, 0.0, self.tried, (), stale)


class PrinterReading(Record):
    """What a ruler showed on the two bars of a page printed without correction, mm, as typed; ``date``."""

    name: str
    paper: Paper
    across_mm: float
    up_mm: float
    date: str

    def factors(self) -> Printer:
        """Asked over read. Raises ``OutOfRange`` beyond 3 %."""
        return printer(self.paper, self.across_mm, self.up_mm)


class Saved(Record):
    """The whole file."""

    schema_: Literal["planewright/sheets/1"] = Field("planewright/sheets/1", alias="schema")
    numbers: dict[str, str] = Field(default_factory=dict)
    parts: tuple[SavedPart, ...] = ()
    retired: tuple[SavedPart, ...] = ()
    layouts: tuple[SavedLayout, ...] = ()
    printers: tuple[PrinterReading, ...] = ()

    def known(self) -> dict[str, Known]:
        """Parts by title as they were last laid."""
        return {one.title: one.known() for one in self.parts}

    def layout(self, material: str) -> SavedLayout | None:
        """The layout of one material, None when there is none."""
        return next((one for one in self.layouts if one.material == material), None)

    def printer(self, name: str) -> PrinterReading | None:
        """The reading of one printer."""
        return next((one for one in self.printers if one.name == name), None)


NOTHING = Saved(schema="planewright/sheets/1")


def read_saved(folder: Path) -> Saved:
    """What was laid before; ``NOTHING`` where the file is not there.

    Raises ``InputError`` when it is damaged: it is never overwritten then.
    """
    path = folder / NAME
    if not is_there(path):
        return NOTHING
    try:
        return Saved.model_validate_json(read_text(path, LARGEST))
    except ValidationError as error:
        first = error.errors()[0]
        where = ", ".join(str(one) for one in first["loc"])
        raise InputError(
            [
                Fault(
                    NAME, 0, where, f"cannot be read: {first['msg']}.",
                    "This file is written by planewright and says where each part was laid.",
                    "Bring back an earlier copy, or move the file away: then parts are laid and numbered anew.",
                )
            ]
        ) from error  # fmt: skip


def write_saved(folder: Path, saved: Saved) -> Path:
    """Write the file whole; its path."""
    path = folder / NAME
    write_atomically(path, (as_text(saved)).encode())
    return path


def as_text(saved: Saved) -> str:
    """The file as text: one line for each part, board and place, so that two versions can be compared."""
    import json

    data = saved.model_dump(mode="json", by_alias=True)
    return _lines(data, json.dumps, 0) + "\n"


def _lines(value: object, dumps: object, depth: int) -> str:
    assert callable(dumps)
    pad = " " * (depth + 1)
    if isinstance(value, dict) and depth < 3 and any(isinstance(one, list | dict) for one in value.values()):
        rows = [f"{pad}{dumps(key)}: {_lines(one, dumps, depth + 1)}" for key, one in value.items()]
        return "{\n" + ",\n".join(rows) + "\n" + " " * depth + "}"
    if isinstance(value, list) and depth < 4 and any(isinstance(one, dict) for one in value):
        rows = [f"{pad}{_lines(one, dumps, depth + 1)}" for one in value]
        return "[\n" + ",\n".join(rows) + "\n" + " " * depth + "]"
    return str(dumps(value, ensure_ascii=False, allow_nan=False))
