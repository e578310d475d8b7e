"""Names as people write them: a space, a hyphen and an underscore are the same, and so are capitals."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

MOST_LISTED = 24
LONGEST = 80
"""Longest name that is compared; what is longer has no near neighbour."""


def tidy_name(name: str) -> str:
    """The name in lower case with single underscores: ``"Look-over"`` and ``"look over"`` are one name."""
    return "_".join(name.strip().lower().replace("-", " ").replace("_", " ").split())


def same_name(name: str, known: Iterable[str]) -> str | None:
    """The known name that ``name`` is after tidying, or None."""
    wanted = tidy_name(name)
    return next((one for one in known if tidy_name(one) == wanted), None)


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name that looks most like ``name``, or "" if none comes near."""
    if not name or len(name) > LONGEST:
        return ""
    spellings = {tidy_name(one): one for one in known}
    found = difflib.get_close_matches(tidy_name(name), list(spellings), n=1, cutoff=0.6)
    return spellings[found[0]] if found else ""


def meant(name: str, known: Iterable[str], what: str) -> tuple[str, str]:
    """What a fault says of an unknown name: (the known ones, the one that was probably meant or "")."""
    names = sorted(known)
    listed = ", ".join(names[:MOST_LISTED]) + (" and more" if len(names) > MOST_LISTED else "")
    near = nearest(name, names)
    return f"{what}: {listed}.", f'Did you mean "{near}"?' if near else ""
