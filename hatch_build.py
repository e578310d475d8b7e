"""Builds the page into the package before a wheel or a source archive is made.

From a source archive the page is there already; an editable install takes the page as it stands in the source folder
(``make page`` builds it). Both need no Node. Without a built page and without npm the build stops and says what to do.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

COMMANDS = (("ci",), ("run", "build"))


class FrontEnd(BuildHookInterface):
    """Runs ``npm ci`` and ``npm run build`` in web/; the page lands in src/planewright/_web."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build the page unless it is there and need not be built again."""
        root = Path(self.root)
        built = (root / "src/planewright/_web/index.html").is_file()
        if version == "editable" or (built and (root / "PKG-INFO").is_file()):
            return
        npm = shutil.which("npm")
        if npm is not None:
            for command in COMMANDS:
                subprocess.run([npm, *command], cwd=root / "web", check=True)
        elif not built:
            raise RuntimeError(
                "The page is not built and npm was not found. Install planewright from a wheel, or install "
                "Node 20 or newer and try again."
            )
