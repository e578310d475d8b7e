"""A scene as DXF (release 2010), millimetres, one layer for each meaning, text as text. ezdxf is loaded on use."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from math import degrees
from typing import Any

from planewright.draw.scene import PENS, Arc, Circle, Path, Scene, Text

MILLIMETRES = 4
_STROKES = (13, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100)


def dxf(scene: Scene) -> str:
    """The scene as DXF text. Fills are left out: a cutter reads outlines. Same scene, same text."""
    with _without_clock():
        document = _document()
        space = document.modelspace()
        for shape in scene.shapes:
            if shape.layer not in ("fill", "overlay"):
                _add(space, shape)
        held = io.StringIO()
        document.write(held)
    return held.getvalue()


@contextmanager
def _without_clock() -> Iterator[None]:
    """Meanwhile the format's time stamps and random identifiers are fixed."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _document() -> Any:
    from ezdxf.document import Drawing

    document = Drawing.new("R2010")
    document.units = MILLIMETRES
    document.header["$MEASUREMENT"] = 1
    document.header["$LWDISPLAY"] = 1
    for name, pen in PENS.items():
        style = _line_type(document, name, pen.dash)
        layer = document.layers.add(_layer(name), linetype=style)
        layer.dxf.lineweight = min(_STROKES, key=lambda w: abs(w - 100 * pen.width))
    return document


def _line_type(document: Any, name: str, dash: tuple[float, ...]) -> str:
    if not dash:
        return "CONTINUOUS"
    lengths = [length if i % 2 == 0 else -length for i, length in enumerate(dash)]
    document.linetypes.add(_layer(name), [sum(dash), *lengths], description=name)
    return _layer(name)


def _layer(name: str) -> str:
    return name.upper().replace(" ", "_")


def _add(space: Any, shape: Path | Circle | Arc | Text) -> None:
    how: dict[str, Any] = {"layer": _layer(shape.layer)}
    if isinstance(shape, Circle):
        space.add_circle(shape.centre, shape.radius, dxfattribs=how)
    elif isinstance(shape, Arc):
        space.add_arc(shape.centre, shape.radius, degrees(shape.start), degrees(shape.end), dxfattribs=how)
    elif isinstance(shape, Path):
        for ring in shape.rings:
            space.add_lwpolyline(ring, close=shape.closed, dxfattribs=how)
    else:
        _add_text(space, shape, how)


def _add_text(space: Any, text: Text, how: dict[str, Any]) -> None:
    from planewright.draw import fonts

    height = fonts.metrics(text.face, text.bold).cap_height * text.size
    entity = space.add_text(text.printable, height=height, rotation=degrees(text.angle), dxfattribs=how)
    entity.set_placement(text.start)
