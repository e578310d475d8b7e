"""The table of materials as a page of the manual: ``python -m planewright.analysis.strength.reference``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planewright.analysis.strength.materials import known_materials, tables

HEAD = """# Materials

What strength is worked out from. **No published modulus or strength of paper-faced foam board was found**: its rows
are judgement until your own coupon is bent. Weigh five sheets and every stick; bend one strip of board both ways at two
spans; crush ten short pieces of stick with their knots; glue ten short laps of board edge to stick and pull them. Each
test takes the place of the value here, and `planewright calibrate` says what it moved.

*published*: read in the source named. *assumed*: judgement or common practice. A value marked with the name of an entry
is the one the tool starts from; factors with bands stand on it.
"""
TAIL = """## With heat and damp

Values hold in a dry room near 20 degC. Paper loses stiffness in damp (from memory; take 30 % off the share of the skins
on a wet morning); hot melt softens from about 50 degC, polystyrene from about 70 (both from memory), tape creeps and
peels in the sun: a parked car reaches all three. Wood is weaker wet. Nothing here is a
permission: local rules and licensed practice come first.
"""


def rows() -> Iterator[str]:
    """The table, a heading for each material."""
    before = ""
    for one in known_materials():
        if one["material"] != before:
            before = one["material"]
            yield f"\n## {before[:1].upper()}{before[1:]}\n"
            yield "| what | value | band | kind | from |\n|---|---|---|---|---|"
        yield row_of(one)


def row_of(one: Mapping[str, Any]) -> str:
    """One line of the table."""
    unit = one["unit"]
    value = f"{one['value']:g} {unit}".strip() if "value" in one else ""
    band = f"{one['low']:g} to {one['high']:g}" if "low" in one else ""
    used = f" (`{one['used']}`)" if "used" in one else ""
    more = f". {one['says'][:1].upper()}{one['says'][1:]}" if "says" in one else ""
    return f"| {one['what']}{used} | {value} | {band} | {one['kind']} | {one['source']}{more} |"


def pines() -> Iterator[str]:
    """The pines that the line through densities rests on."""
    table = tables()["pines"]
    yield f"\n## Pines\n\n{table['source']}; {table['note']}.\n"
    yield "| species | specific gravity | modulus, MPa | crushing, MPa | across, MPa |\n|---|---|---|---|---|"
    columns = zip(
        *(table[key] for key in ("names", "gravity", "modulus", "compression", "across")), strict=True
    )
    yield from (f"| {name} | {g:g} | {e:g} | {c:g} | {a:g} |" for name, g, e, c, a in columns)


def page() -> str:
    """The whole page."""
    return "\n".join((HEAD.rstrip(), *rows(), *pines(), "", TAIL))


if __name__ == "__main__":
    print(page(), end="")
