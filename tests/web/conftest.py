"""A desk and its application for each test, in a folder of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from planewright.project import new_project
from planewright.web.app import Page, make_app
from planewright.web.desk import Desk

PORT = 8737
BASE = f"http://127.0.0.1:{PORT}"
OWN = {"host": f"127.0.0.1:{PORT}", "x-planewright": "1"}
BARE = 'name = "Bare"  # nothing else yet\n'


@dataclass
class Opened:
    """An open folder with its client."""

    folder: Path
    desk: Desk
    page: Page
    client: TestClient

    def state(self, **query: str) -> dict[str, Any]:
        """GET /api/state."""
        answer = self.client.get("/api/state", params=query)
        assert answer.status_code == 200, answer.text
        found: dict[str, Any] = answer.json()
        return found

    def set(self, path: str, text: str, revision: int | None = None, file: str = "aeroplane.toml") -> Any:
        """POST /api/edit of one value."""
        wanted = self.desk.revision if revision is None else revision
        changes = [{"file": file, "path": path, "text": text}]
        return self.client.post("/api/edit", json={"revision": wanted, "changes": changes})

    def text(self, name: str = "aeroplane.toml") -> str:
        """A file as it stands."""
        return (self.folder / name).read_text(encoding="utf-8")


Opener = Callable[[str], Opened]


@pytest.fixture
def open_kind(tmp_path: Path) -> Iterator[Opener]:
    """Open an example ("plover", "gannet", "starter"), a bare sheet ("bare") or an empty folder ("nothing")."""
    with ExitStack() as stack:

        def opener(kind: str) -> Opened:
            folder = tmp_path / kind
            if kind in ("bare", "nothing"):
                folder.mkdir()
                if kind == "bare":
                    (folder / "aeroplane.toml").write_text(BARE, encoding="utf-8")
            else:
                new_project(folder, kind)
            desk = Desk(folder)
            app, page = make_app(desk, PORT)
            client = stack.enter_context(TestClient(app, base_url=BASE, headers=OWN))
            return Opened(folder, desk, page, client)

        yield opener


@pytest.fixture
def bare(open_kind: Opener) -> Opened:
    """A sheet with a name only: answers at once."""
    return open_kind("bare")


@pytest.fixture
def starter(open_kind: Opener) -> Opened:
    """The starter."""
    return open_kind("starter")
