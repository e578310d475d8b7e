"""Imports run one way: each package has a rank and may import lower ranks only, deferred imports included."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "planewright"

RANKS: dict[str, float] = {
    "errors": 0, "units": 0.1, "files": 0.1, "numerics": 0.1, "text": 0.2,
    "plane": 1, "ledger": 1, "knowledge": 1, "records": 1, "site": 1,
    "geometry": 2, "project": 2,
    "analysis": 3,
    "findings": 4, "calibrate": 4,
    "study": 5,
    "draw": 6,
    "documents": 7,
    "cli": 8, "web": 8,
    "__main__": 9,
}  # fmt: skip
SAME_RANK_ALLOWED = {
    ("records", "plane"),
    ("ledger", "plane"),
    ("knowledge", "plane"),
    ("knowledge", "site"),
    ("cli", "web"),
}
DOORS_ONLY = ("matplotlib", "ezdxf", "typst", "pypdf", "cyclopts", "rich", "starlette", "uvicorn")


def modules() -> list[Path]:
    return sorted(SOURCE.rglob("*.py"))


def room(path: Path) -> str:
    relative = path.relative_to(SOURCE)
    return relative.parts[0].removesuffix(".py")


def imported(path: Path) -> list[tuple[int, str]]:
    """Every import of a file, wherever it stands, as (line, dotted name)."""
    found: list[tuple[int, str]] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno} imports relatively; write the whole name"
            module = node.module or ""
            if module == "planewright":
                found += [(node.lineno, f"planewright.{alias.name}") for alias in node.names]
            else:
                found.append((node.lineno, module))
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "import_module":
            for argument in node.args:
                if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                    found.append((node.lineno, argument.value))
    return found


def test_every_room_has_a_rank() -> None:
    rooms = {room(path) for path in modules()} - {"__init__"}
    assert rooms <= set(RANKS), f"no rank for {sorted(rooms - set(RANKS))}"


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_imports_only_lower_ranks(path: Path) -> None:
    own = room(path)
    if own == "__init__":
        return
    wrong = []
    for line, name in imported(path):
        parts = name.split(".")
        if parts[0] != "planewright" or len(parts) < 2 or parts[1] == "__version__":
            continue
        other = parts[1]
        if other == own or (own, other) in SAME_RANK_ALLOWED:
            continue
        if RANKS[other] >= RANKS[own]:
            wrong.append(f"line {line}: {own} (rank {RANKS[own]}) imports {other} (rank {RANKS[other]})")
    assert not wrong, f"{path.relative_to(SOURCE)}: {wrong}"


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_no_drawing_or_door_library_below_draw(path: Path) -> None:
    own = room(path)
    if own == "__init__" or RANKS[own] >= RANKS["draw"]:
        return
    wrong = [f"line {line}: {name}" for line, name in imported(path) if name.split(".")[0] in DOORS_ONLY]
    assert not wrong, f"{path.relative_to(SOURCE)} imports a drawing or door library: {wrong}"


def test_only_calibrate_joins_records_and_analysis() -> None:
    both = set()
    for path in modules():
        names = {name.split(".")[1] for _, name in imported(path) if name.startswith("planewright.")}
        if {"records", "analysis"} <= names:
            both.add(room(path))
    assert both <= {"calibrate"}, f"records and analysis meet in {sorted(both)}"


def test_command_line_module_loads_light() -> None:
    """Asking for help must not wait for numerical or drawing libraries."""
    heavy = ("numpy", "scipy", "shapely", "ezdxf", "typst", "pydantic")
    code = "import sys, planewright.cli.main; print([m for m in " + repr(heavy) + " if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]", f"loaded too early: {done.stdout}"


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_module_size(path: Path) -> None:
    """House limits: a module has at most 600 lines, a function at most 60 lines of code."""
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 600, f"{path.relative_to(SOURCE)} has {len(text.splitlines())} lines"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            if not body:
                continue
            span = text.splitlines()[body[0].lineno - 1 : node.end_lineno]
            code = [line for line in span if line.strip() and not line.strip().startswith("#")]
            assert len(code) <= 60, f"{path.relative_to(SOURCE)}: {node.name} has {len(code)} lines of code"
