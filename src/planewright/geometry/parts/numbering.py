"""Numbers of parts: given in building order, easy to call out, never given twice.

A part keeps its number as long as the thing it is stays in the description. What it is, is its ``key``, derived from
the description and the same whatever the sizes are ("wing/skin/1"). The numbers once given are kept by the caller as a
mapping from key to number, retired ones included: only so can a number never come back for something else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import count as counting


def numbers() -> Iterator[int]:
    """1 to 12, 21 to 29, 31 to 39 and so on: numbers that are not mistaken for each other when called out."""
    return (n for n in counting(1) if n <= 12 or (n % 100 not in range(10, 20) and n % 10))


def numbered(keys: Iterable[tuple[str, str]], given: Mapping[str, str] | None = None) -> dict[str, str]:
    """Numbers for all parts.

    Arguments:
        keys: (word, key) of each part in building order, such as ("WING", "wing/skin/1").
        given: numbers given before by key ("wing/skin/1" to "WING 4"), those of parts that are gone included.
    Returns:
        key to number for everything in ``given`` and ``keys``. What had a number keeps it; a new part gets the first
        number of its word above all that were ever given, or the first of all where none was.
    """
    found = dict(given or {})
    for word, key in keys:
        if key not in found:
            taken = [int(one.split()[-1]) for one in found.values() if one.rsplit(" ", 1)[0] == word]
            highest = max(taken, default=0)
            found[key] = f"{word} {next(n for n in numbers() if n > highest)}"
    return found
