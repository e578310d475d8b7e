"""Names as people write them: a space, a hyphen, an underscore and capitals make no difference."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence

_GAP = re.compile(r"[\s_\-]+")


def canonical(text: str) -> str:
    """The one spelling of a name: lower case, gaps as underscores ("Own supply" is "own_supply")."""
    return _GAP.sub("_", text.strip()).casefold()


def nearest(name: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """The known name most like ``name``, or None when none is near."""
    by_form = {canonical(one): one for one in known}
    found = difflib.get_close_matches(canonical(name)[:60], list(by_form), n=1, cutoff=cutoff)
    return by_form[found[0]] if found else None


def in_words(path: Sequence[str | int]) -> str:
    """A path in builders' words: dotted, or "wing, station 2, chord" where something is counted."""
    if not any(isinstance(step, int) for step in path):
        return ".".join(str(step) for step in path)
    said: list[str] = []
    for step in path:
        if isinstance(step, int):
            said[-1] = f"{_singular(said[-1])} {step + 1}"
        else:
            said.append(step)
    return ", ".join(said)


def _singular(word: str) -> str:
    return word[:-1] if word in ("stations", "folds") else word


def listed(names: Iterable[str]) -> str:
    """Names as a list for advice: "small, standard", or "none"."""
    return ", ".join(names) or "none"
