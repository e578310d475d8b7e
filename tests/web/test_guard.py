"""Only this machine's own page may ask, and only what is small enough; what people wrote stays text."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from starlette.types import Message
from starlette.websockets import WebSocketDisconnect

from planewright.web.guard import UPLOAD
from planewright.web.page import answer
from web.conftest import BASE, OWN, PORT, Opened


@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", "127.0.0.1:1", "", f"127.0.0.1:{PORT}.evil"]
)
def test_foreign_host_is_refused(bare: Opened, host: str) -> None:
    answered = bare.client.get("/api/state", headers={"host": host})
    assert answered.status_code == 403
    assert "document" not in answered.json()


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", f"http://127.0.0.1:{PORT + 1}", "http://127.0.0.1"]
)
def test_foreign_origin_is_refused(bare: Opened, origin: str) -> None:
    before = bare.text()
    assert bare.client.get("/api/state", headers={"origin": origin}).status_code == 403
    body = {"revision": 0, "changes": [{"file": "aeroplane.toml", "path": "name", "text": "Stolen"}]}
    assert bare.client.post("/api/edit", json=body, headers={"origin": origin}).status_code == 403
    assert bare.text() == before


def test_own_origin_and_localhost_are_answered(bare: Opened) -> None:
    for host in (f"127.0.0.1:{PORT}", f"localhost:{PORT}"):
        headers = {"host": host, "origin": f"http://{host}"}
        assert bare.client.get("/api/state", headers=headers).status_code == 200


def test_a_change_needs_the_pages_own_header(bare: Opened) -> None:
    body = {"revision": 0, "changes": [{"file": "aeroplane.toml", "path": "name", "text": "Stolen"}]}
    plain = TestClient(bare.client.app, base_url=BASE, headers={"host": OWN["host"]})
    assert plain.post("/api/edit", json=body).status_code == 403
    for site in ("cross-site", "same-site"):
        other = {"sec-fetch-site": site}
        assert bare.client.post("/api/edit", json=body, headers=other).status_code == 403
        assert bare.client.get("/api/state", headers=other).status_code == 403
    assert "Stolen" not in bare.text()


@pytest.mark.parametrize(
    "headers",
    [
        {"host": "testserver"},
        {"host": OWN["host"], "origin": "http://evil.example"},
        {"host": OWN["host"]},
        {"host": "evil.example", "origin": BASE},
    ],
)
def test_foreign_socket_is_refused(bare: Opened, headers: dict[str, str]) -> None:
    with pytest.raises(WebSocketDisconnect) as refused, bare.client.websocket_connect("/ws", headers=headers):
        pass
    assert refused.value.code == 1008


def test_own_socket_hears_of_saves(bare: Opened) -> None:
    with bare.client.websocket_connect("/ws", headers={"host": OWN["host"], "origin": BASE}) as socket:
        assert socket.receive_json()["kind"] == "hello"
        assert bare.set("name", "Heard").status_code == 200
        heard = socket.receive_json()
        assert (heard["kind"], heard["by"], heard["files"]) == ("state", "page", ["aeroplane.toml"])


TRAVERSALS = [
    "../secret.toml", "..%2fsecret.toml", "%2e%2e/secret.toml", "....//secret.toml", "/etc/hostname",
    "trials/../../secret.toml",
    "C:\\secret.toml", "..\\secret.toml", "aeroplane.toml%00.png",
    ".planewright/history/log.jsonl", "trials/a/../../b.toml",
]  # fmt: skip


@pytest.mark.parametrize("name", TRAVERSALS)
def test_no_way_out_of_the_folder(bare: Opened, name: str) -> None:
    (bare.folder.parent / "secret.toml").write_text("secret = 1\n", encoding="utf-8")
    for route in (f"/api/download/{name}", f"/api/file?name={name}"):
        got = bare.client.get(route)
        assert got.status_code in (403, 404), route
        assert "secret = 1" not in got.text
    assert "secret = 1" not in bare.client.get(f"/{name}").text
    body = {"name": name, "text": "stolen = 1\n", "hash": ""}
    assert bare.client.post("/api/file", json=body).status_code == 400
    assert (bare.folder.parent / "secret.toml").read_text(encoding="utf-8") == "secret = 1\n"


def test_a_link_out_of_the_folder_is_not_followed(bare: Opened) -> None:
    secret = bare.folder.parent / "secret.toml"
    secret.write_text("secret = 1\n", encoding="utf-8")
    (bare.folder / "site.toml").symlink_to(secret)
    (bare.folder / "out").mkdir()
    (bare.folder / "out" / "book.pdf").symlink_to(secret)
    assert bare.client.get("/api/download/book.pdf").status_code == 404
    assert bare.client.get("/api/file?name=site.toml").status_code == 404
    assert bare.set("secret", "2", file="site.toml").status_code == 400
    assert secret.read_text(encoding="utf-8") == "secret = 1\n"


def test_the_built_page_keeps_its_files_inside(tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("secret", encoding="utf-8")
    place = tmp_path / "_web"
    (place / "assets").mkdir(parents=True)
    (place / "index.html").write_text("<!doctype html><title>page</title>", encoding="utf-8")
    (place / "assets" / "a.js").write_text("1", encoding="utf-8")
    assert answer(place, "").status_code == answer(place, "assets/a.js").status_code == 200
    assert answer(place, "the-weight").status_code == 200
    for wrong in ("../secret.txt", "assets/../../secret.txt", "assets/b.js", "assets\\a.js"):
        assert answer(place, wrong).status_code == 404


def test_a_page_that_is_not_built_says_so(tmp_path: Path) -> None:
    got = answer(tmp_path, "")
    assert got.status_code == 503
    assert b"not built" in bytes(got.body)


class Counting:
    """A body of a gigabyte in pieces; counts how many were asked for."""

    def __init__(self, total: int = 1_000_000_000, piece: int = 65_536) -> None:
        self.left, self.piece, self.given = total, b"x" * piece, 0

    async def receive(self) -> Message:
        """The next piece."""
        self.left -= len(self.piece)
        self.given += len(self.piece)
        return {"type": "http.request", "body": self.piece, "more_body": self.left > 0}


def put(app: Any, path: str, headers: dict[str, str], body: Counting) -> int:
    """PUT by hand, so that the body is only made when asked for; the status."""
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "PUT", "path": path,
        "raw_path": path.encode(), "query_string": b"", "root_path": "", "scheme": "http", "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", PORT), "headers": [(k.encode(), v.encode()) for k, v in {**OWN, **headers}.items()],
    }  # fmt: skip
    with ThreadPoolExecutor(1) as own:  # a browser's test session may keep a loop running in this thread
        own.submit(lambda: asyncio.run(app(scope, body.receive, send))).result()
    return int(sent[0]["status"])


@pytest.mark.parametrize("headers", [{"content-length": "1000000000"}, {"transfer-encoding": "chunked"}])
def test_a_gigabyte_is_refused_without_being_read(bare: Opened, headers: dict[str, str]) -> None:
    body = Counting()
    assert put(bare.client.app, "/api/trial/2026-01-01-bend/readings", headers, body) == 413
    assert body.given <= UPLOAD + 2 * 65_536


def test_a_large_record_is_refused(bare: Opened) -> None:
    got = bare.client.post("/api/file", content=b'{"name": "' + b"x" * 7_000_000 + b'"}')
    assert got.status_code == 413


NASTY = "<script>alert(1)</script><img src=x onerror=alert(1)>\"'& \u202e"


def nasty_texts(folder: Path) -> Iterator[Path]:
    """Files whose every free text is a script."""
    words = NASTY.replace('"', '\\"')
    (folder / "aeroplane.toml").write_text(f'name = "{words}"\nconfiguration = "B"\n', encoding="utf-8")
    yield folder / "aeroplane.toml"


def test_script_in_names_stays_text(bare: Opened) -> None:
    list(nasty_texts(bare.folder))
    bare.desk.take_in()
    got = bare.client.get("/api/state")
    assert got.headers["content-type"] == "application/json"
    assert got.json()["document"]["project"].startswith("<script>")
    policy = got.headers["content-security-policy"]
    assert "script-src 'self'" in policy and "default-src 'none'" in policy and "unsafe-eval" not in policy
    assert "unsafe-inline" not in policy
    assert got.headers["x-content-type-options"] == "nosniff"


def test_script_in_names_is_escaped_in_pictures(starter: Opened) -> None:
    assert starter.set("name", NASTY.replace("\u202e", "")).status_code == 200
    starter.desk.settled(60.0)
    wait_for_sheets(starter)
    picture = starter.client.get("/api/sheets/1.svg")
    assert picture.status_code == 200
    assert (
        "<script" not in picture.text
        and "<img" not in picture.text
        and "onerror=alert" not in picture.text.replace("onerror=alert(1)&gt;", "")
    )
    assert "default-src 'none'" in picture.headers["content-security-policy"]


def wait_for_sheets(opened: Opened) -> None:
    """Until the parts were drawn."""
    import time

    end = time.monotonic() + 60.0
    while opened.desk.view.cuts is None and time.monotonic() < end:
        time.sleep(0.05)


def test_the_policy_covers_refusals_too(bare: Opened) -> None:
    got = bare.client.get("/api/state", headers={"host": "evil.example"})
    assert "default-src 'none'" in got.headers["content-security-policy"]
