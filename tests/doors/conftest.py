"""Projects to try the doors on. Copies are made once; a test that changes one copies it again."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from planewright.cli.main import run
from planewright.project import new_project


@dataclass(frozen=True)
class Answer:
    """What a command left: exit code, stdout, stderr."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> Any:
        """The one JSON document on stdout."""
        return json.loads(self.out)


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Callable[..., Answer]:
    """Run a command line in this process, as a user would type it."""

    def call(*words: object) -> Answer:
        capsys.readouterr()
        code = run([str(word) for word in words])
        said = capsys.readouterr()
        return Answer(code, said.out, said.err)

    return call


@pytest.fixture
def plover(tmp_path: Path) -> Path:
    """A fresh Plover, trials not taken in."""
    new_project(tmp_path / "plover", "plover")
    return tmp_path / "plover"


@pytest.fixture
def gannet(tmp_path: Path) -> Path:
    """A fresh Gannet as of 9 May, letter B."""
    new_project(tmp_path / "gannet", "gannet")
    return tmp_path / "gannet"


@pytest.fixture
def starter(tmp_path: Path) -> Path:
    """The small starter."""
    new_project(tmp_path / "starter", "starter")
    return tmp_path / "starter"


@pytest.fixture
def copy(tmp_path: Path) -> Callable[[Path, str], Path]:
    """Copy a project folder under another name."""

    def make(folder: Path, name: str) -> Path:
        return Path(shutil.copytree(folder, tmp_path / name))

    return make
