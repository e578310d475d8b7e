"""The manual under test: every command of the tutorial runs, and every quoted line comes out."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from planewright.cli.help import COMMANDS
from planewright.cli.main import app, run

DOCS = Path(__file__).parents[2] / "docs"
README = Path(__file__).parents[2] / "README.md"


def sessions(text: str) -> list[tuple[str, list[str]]]:
    """Commands of all console blocks with the lines quoted under each."""
    found: list[tuple[str, list[str]]] = []
    for block in re.findall(r"```console\n(.*?)```", text, flags=re.DOTALL):
        for line in block.splitlines():
            if line.startswith("$ "):
                found.append((line[2:], []))
            elif line.strip():
                found[-1][1].append(line.strip())
    return found


def squeezed(text: str) -> str:
    """Text with white space folded, as a terminal may have wrapped it."""
    return " ".join(text.split())


def test_the_tutorial_runs_as_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    told = sessions((DOCS / "tutorial.md").read_text(encoding="utf-8"))
    assert len(told) >= 6
    for command, lines in told:
        words = shlex.split(command)
        assert words[0] == "planewright"
        capsys.readouterr()
        assert run(words[1:]) == 0, command
        said = squeezed(capsys.readouterr().out)
        for line in lines:
            assert squeezed(line) in said, f"{command}: {line!r} did not come out"


def test_changing_the_letter_opens_what_was_seen_before(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Section 6 of the tutorial."""
    folder = tmp_path / "plover"
    assert run(["new", str(folder), "--from", "plover"]) == 0
    assert run(["calibrate", str(folder)]) == 0
    path = folder / "aeroplane.toml"
    text = path.read_text(encoding="utf-8")
    moved = text.replace('x = "150 mm"   ', 'x = "220 mm"   ').replace(
        'configuration = "B"', 'configuration = "C"'
    )
    assert moved.count("220 mm") > text.count("220 mm")
    path.write_text(moved, encoding="utf-8")
    capsys.readouterr()
    assert run(["check", str(folder)]) == 0
    said = capsys.readouterr().out
    assert "letter C: Not yet" in squeezed(said)
    assert "no line in checks.csv for letter C" in squeezed(said)


def test_every_command_is_in_the_readme() -> None:
    text = README.read_text(encoding="utf-8")
    for name, _ in COMMANDS:
        assert f"planewright {name}" in text or f"make {name}" in text, name
        assert name in app, name


def test_the_quick_help_page_names_every_command_in_its_own_words() -> None:
    named = dict(COMMANDS)
    own = {name for name in app if not name.startswith("-")}
    assert set(named) == own
    assert len(named) == len(COMMANDS), "a command stands twice"
    for name, says in named.items():
        assert says in (app[name].help or ""), name


def test_links_of_the_manual_lead_somewhere() -> None:
    for page in [README, *DOCS.rglob("*.md")]:
        for target in re.findall(r"\]\(([^)#:]+)\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name} links to {target}"
