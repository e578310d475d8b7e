"""The bar of long work, on stderr."""

from __future__ import annotations

import sys

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn


def progress() -> Progress:
    """The bar, on stderr; only on a terminal does it move."""
    return Progress(
        TextColumn("{task.description:<34}"),
        BarColumn(),
        TextColumn("{task.percentage:.0f} %"),
        console=Console(file=sys.stderr, highlight=False, markup=False),
        transient=False,
    )
