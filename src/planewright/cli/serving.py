"""The ``open`` command: a page for one folder, on this machine only."""

from __future__ import annotations

import os
from pathlib import Path

from planewright.errors import Fault, InputError

DONE = 0


def open_command(folder: Path, port: int = 0, browser: bool = True, page: str = "") -> int:
    """Serve one folder until it is stopped by hand (exit code 0).

    Arguments:
        folder: of a project, or an empty one to start in; it must exist.
        port: on the loopback address; 0 takes 8737, or any free one when that is taken.
        browser: open the browser.
        page: address (host:port) of a page under development, besides the built one.
    """
    os.environ.setdefault(
        "OPENBLAS_NUM_THREADS", "1"
    )  # small matrices: more threads only wait for each other
    from planewright.web.serving import serve

    if not folder.is_dir():
        advice = "Make the folder, or start one with: planewright new FOLDER"
        raise InputError([Fault(folder.name, 0, "", "is no folder.", "A project folder is wanted.", advice)])
    serve(folder, port, browser, page)
    return DONE
