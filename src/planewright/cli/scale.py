"""Our aeroplane beside a full-size one, on the terminal, as a picture and as JSON."""

from __future__ import annotations

from pathlib import Path

from planewright.cli.engine import section
from planewright.cli.opening import opened
from planewright.cli.printing import console, plain_table, print_faults
from planewright.documents.opening import compact, study_of, system_of
from planewright.draw.charts import chart_scene
from planewright.draw.svg import svg
from planewright.errors import Fault, InputError
from planewright.files import write_atomically
from planewright.geometry import derive
from planewright.plane.reader import read_plane
from planewright.study.scale import scale_sheet
from planewright.units import read
from planewright.units.showing import show

DONE = 0
NO_WING = Fault(
    "aeroplane.toml", 0, "wing", "one of the two has no wing", "Scale is taken from the span of both.",
    "Describe a [wing] in both files.",
)  # fmt: skip


def scale_command(
    folder: Path,
    full: Path,
    mass: str | None,
    speed: str | None,
    units: str | None = None,
    json_: bool = False,
) -> int:
    """Show the scale table, what is not scale, tails and speeds; write out/scale-overlay.svg.

    ``full``: an aeroplane.toml of the full size (or its folder), in the same language. Raises InputError with every
    fault. Returns 0.
    """
    one = opened(folder)
    path = full / "aeroplane.toml" if full.is_dir() else full
    theirs, faults = read_plane(path)
    if theirs is None or any(fault.severity == "fault" for fault in faults):
        raise InputError(faults)
    kilograms = None if mass is None else read(mass, "mass", "--mass")
    fast = None if speed is None else read(speed, "speed", "--speed")
    sheet = scale_sheet(study_of(one), derive(theirs), kilograms, fast)
    if sheet is None:
        raise InputError((NO_WING,))
    (folder / "out").mkdir(exist_ok=True)
    name = "scale-overlay.svg"
    write_atomically(folder / "out" / name, svg(chart_scene(sheet.charts[0], 160.0, 130.0), "#ffffff"))
    if json_:
        print(compact({**sheet.as_dict(), "pictures": [f"out/{name}"]}))
        return DONE
    system = system_of(one, units)
    print_faults(one.faults)
    screen = console()
    section(screen, f"{sheet.project} beside {sheet.full_size}", sheet.says)
    table = plain_table("", "full size", "scale by Froude", "ours", "ours over it")
    for row in (*sheet.table, *sheet.tail_volumes):
        values = (show(value, row.unit, system) for value in (row.full, row.froude, row.ours))
        table.add_row(row.words, *values, f"{row.ratio:.2f}")
    screen.print(table)
    shapes = plain_table("shape", "by scale", "ours", "")
    for one_shape in sheet.shapes:
        shapes.add_row(
            one_shape.words,
            show(one_shape.scale, one_shape.unit, system),
            show(one_shape.ours, one_shape.unit, system),
            "scale" if one_shape.same else "not scale",
        )
    screen.print(shapes)
    section(screen, "Picture", (f"out/{name}",))
    return DONE
