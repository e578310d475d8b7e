"""The reference page of the description language, generated from the schema the reader walks."""

from __future__ import annotations

from planewright.plane import schema
from planewright.plane.schema import Key, Table
from planewright.plane.values import example
from planewright.units import DIMENSIONS
from planewright.units.symbols import noun

TABLES: tuple[Table, ...] = (
    schema.TOP,
    schema.FIRST_FLIGHT,
    schema.LIMITS,
    schema.STOCK,
    schema.PILE,
    schema.DAMAGE,
    schema.SURFACE,
    schema.STATION,
    schema.BUILD,
    schema.SPAR,
    schema.JOINT,
    schema.BODY,
    schema.BODY_STATION,
    schema.BODY_BUILD,
    schema.CONTROL,
    schema.SERVO,
    schema.GEAR,
    schema.WHEEL,
    schema.ENGINE,
    schema.ENGINE_SIDE,
    schema.MOTOR,
    schema.CONTROLLER,
    schema.PROPELLER,
    schema.FAN,
    schema.BATTERY,
    schema.EQUIPMENT,
)

_HEAD = """# The description language: every table, key and unit

This page is generated from the schema that the reader walks (`planewright.plane.reference`); do not edit it.

## How it is read

- Files are TOML 1.0 in UTF-8. Order does not matter, except of stations, which run outward (of a body: aft).
- A quantity is a text with its unit, as read from the tape or scale: `"1.2 m"`, `"5 lb 4 oz"`, `"6 1/2 in"`. A
  plain `0` needs no unit. Counts are bare numbers. A decimal comma is refused.
- In names a space, a hyphen, an underscore and capitals make no difference.
- A value left out takes the default of its key, if it has one, and is listed as assumed.
- Without `[stock]`, or without one of its sorts, this is taken: {assumed}. Nothing is assumed of its mass here.
- With one foam board and one stick in `[stock]` no part needs to name them.
- Besides `[wing]`, `[tailplane]` and `[fin]`, any number of further surfaces are written as `[surface.NAME]` with a
  `kind`; further bodies as `[pod.NAME]`. A control may be on any surface: `on = "fin"`, `on = "surface.NAME"`.
- A wing and a tailplane are built on both sides. A fin, a body, an engine or equipment with a `y` is one each side;
  `side` makes it single. `[engine.left]` and `[engine.right]` hold only what differs on that side.
- An aileron or flap on a surface that is built on both sides has two servos, any other control one; `count` says
  otherwise. A serial left out is `left-1`, `right-1`, `engine-1` or `pack-1`. Engines of like motor, propeller or fan
  are of one make and share what is learned about it, whatever their serials.
- `span` is tip to tip; `out` is from the centreline. `sweep` is that of the leading edge.
- `section` is one of {sections}, `"NACA"` and four figures, `"flat"`, or `{{ file = "mine.csv" }}` (x,y on a
  chord of 1, from the trailing edge over the top to the nose and back below).

## Tables
"""


_SORTS = {
    "named": "tables by name",
    "list": "a table or a list",
    "choice": "word",
    "mass of stock": "a mass, or a mass per length or area",
    "file": "file name",
    "steering": "text",
}


def _sort(key: Key) -> str:
    if key.dimension is not None:
        sort = noun(key.dimension)
    else:
        sort = f"name of a {key.names}" if key.kind == "name" else _SORTS.get(key.kind, key.kind)
    two = {"pair": "two: ", "ends": "one or two: ", "fractions": "list: "}.get(key.kind, "")
    return two + sort


def _meaning(key: Key) -> str:
    says = key.says
    if key.choices:
        says += ": " + ", ".join(key.choices)
    if key.table is not None:
        says += f" (see {key.table.title})" if key.table.title != f"[{key.name}]" else ""
    return says


def _silence(key: Key) -> str:
    if key.required:
        return "**needed**"
    return f"`{key.default}`" if key.default is not None else key.silent


def _rows(table: Table) -> str:
    head = "| key | says | is | if left out | for example |\n|---|---|---|---|---|\n"
    return head + "".join(
        f"| `{key.name}` | {_meaning(key)} | {_sort(key)} | {_silence(key)} | `{example(key)}` |\n"
        for key in table.keys
    )


def _units() -> str:
    rows = [
        f"| {noun(dimension)} | " + ", ".join(f"`{unit.symbol}`" for unit in units) + " | "
        + ", ".join(f"`{spelling}`" for unit in units for spelling in unit.spellings) + " |\n"
        for dimension, units in DIMENSIONS.items()
    ]  # fmt: skip
    return "## Units\n\n| of | units | also written |\n|---|---|---|\n" + "".join(rows)


def _worked_out() -> str:
    rows = "".join(f"| `{name}` | {source} |\n" for name, source in schema.WORKED_OUT.items())
    return "\n## Never written, because it is worked out\n\n| word | from |\n|---|---|\n" + rows.replace(
        "| from ", "| "
    )


def reference() -> str:
    """The page as markdown."""
    from planewright.plane.stock import ASSUMED

    assumed = ", ".join(f"`{name} = {written}`" for name, (written, _) in ASSUMED.items())
    sections = ", ".join(f'`"{name}"`' for name in schema.SECTIONS)
    parts = [_HEAD.format(assumed=assumed, sections=sections)]
    parts += [
        f"\n### {table.title}\n\n{table.says[0].upper()}{table.says[1:]}.\n\n{_rows(table)}"
        for table in TABLES
    ]
    return "".join(parts) + "\n" + _units() + _worked_out()


if __name__ == "__main__":
    print(reference(), end="")
