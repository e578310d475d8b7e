"""The server itself: a free port on the loopback address, one server a folder, a graceful end."""

from __future__ import annotations

import contextlib
import os
import socket
import sys
import webbrowser
from collections.abc import Iterator
from pathlib import Path
from typing import IO

import uvicorn

from planewright.errors import Fault, InputError
from planewright.web.app import Page, make_app
from planewright.web.desk import Desk
from planewright.web.disk import HIDDEN
from planewright.web.page import NOT_BUILT, is_built

BACKLOG = 128
HOST, FIRST = "127.0.0.1", 8737


def bound(port: int) -> socket.socket:
    """A socket on the loopback address: at ``port``; for 0 at the usual one, or any free one when that is taken.

    Raises InputError when the wanted port is taken.
    """
    wanted = (port,) if port else (FIRST, 0)
    for one in wanted:
        found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if os.name == "posix":
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            found.bind((HOST, one))
            found.listen(BACKLOG)
        except (OSError, OverflowError):
            found.close()
            continue
        return found
    advice = "Name another, or leave --port out."
    raise InputError([Fault("command line", 0, "--port", f"{port} is taken or no port.", "", advice)])


@contextlib.contextmanager
def only_one(folder: Path) -> Iterator[IO[str]]:
    """Hold the folder's lock while the server runs; the system lets go of it whatever way the server ends.

    Raises InputError when another server holds it, with the address it wrote there.
    """
    place = folder / HIDDEN
    try:
        place.mkdir(parents=True, exist_ok=True)
        stream = (place / "lock").open("a+", encoding="utf-8")
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise InputError([Fault(folder.name, 0, "", f"cannot be written: {why}.", "", "")]) from error
    with stream:
        stream.seek(0)
        if not _lock(stream):
            address = stream.read(200).strip() or "another window"
            advice = f"Go to {address}, or stop that one first."
            raise InputError([Fault(folder.name, 0, "", "is open already.", "", advice)])
        yield stream


def _lock(stream: IO[str]) -> bool:
    """Take the lock without waiting; True when it is ours."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def note(stream: IO[str], address: str) -> None:
    """Write the address into the lock for whoever comes second."""
    stream.seek(0)
    stream.truncate()
    stream.write(address)
    stream.flush()


class Server(uvicorn.Server):
    """A server that says good-bye to its pages before it closes, and opens the browser once it answers."""

    def __init__(self, config: uvicorn.Config, page: Page, address: str, browser: bool) -> None:
        super().__init__(config)
        self.page, self.address, self.browser = page, address, browser

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to answer, then say where."""
        await super().startup(sockets)
        print(f"planewright is open at {self.address}", flush=True)
        print("Stop it with Ctrl+C; nothing saved is lost.", flush=True)
        if not is_built():
            print(NOT_BUILT, file=sys.stderr, flush=True)
        elif self.browser:
            webbrowser.open(self.address)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Tell the pages, then close."""
        self.page.say_goodbye()
        await super().shutdown(sockets)


def serve(folder: Path, port: int = 0, browser: bool = True, page: str = "") -> None:
    """Serve one folder until stopped by hand. Raises InputError when the folder or the port is not to be had."""
    with only_one(folder) as lock, bound(port) as own:
        number = int(own.getsockname()[1])
        address = f"http://{HOST}:{number}/"
        note(lock, address)
        app, inner = make_app(Desk(folder), number, (page,) if page else ())
        config = uvicorn.Config(
            app, host=HOST, port=number, ws="websockets-sansio", log_level="warning", access_log=False,
            timeout_graceful_shutdown=5, ws_max_size=65536, server_header=False, date_header=False,
        )  # fmt: skip
        with contextlib.suppress(KeyboardInterrupt):
            Server(config, inner, address, browser).run(sockets=[own])
