"""Scenes as one PDF: vectors in exact millimetres, our fonts inside, the same bytes for the same scenes.

typst lays each scene on a page of its size; pypdf then asks viewers to print at actual size
(ISO 32000-1:2008, 12.2, table 150: ViewerPreferences, PrintScaling, from PDF 1.6 on).
"""

from __future__ import annotations

import io
import json
from collections.abc import Sequence

from planewright.draw import fonts
from planewright.draw.scene import Scene
from planewright.draw.svg import svg
from planewright.errors import PlanewrightError

_SOURCE = """
#let d = json(bytes(sys.inputs.d))
#set document(title: d.title, date: none)
#set text(font: "Atkinson Hyperlegible Next", size: 3mm)
#set page(margin: 0mm)
#for p in d.pages {
  page(width: p.w * 1mm, height: p.h * 1mm, place(top + left,
    image(bytes(p.svg), format: "svg", width: p.w * 1mm, height: p.h * 1mm, alt: p.title)))
}
"""


class TypesettingFault(PlanewrightError):
    """The typesetter warned or stopped; its own words are carried."""


def typeset(source: str, inputs: dict[str, str]) -> bytes:
    """A typst source set with our fonts only. Any warning (a missing letter, an unknown font) is a failure."""
    import typst

    try:
        compiler = typst.Compiler(font_paths=[str(fonts.FOLDER)], ignore_system_fonts=True)
        pdf, warnings = compiler.compile_with_warnings(source.encode(), sys_inputs=inputs)
    except typst.TypstError as error:
        raise TypesettingFault(str(error)) from error
    if warnings:
        raise TypesettingFault("; ".join(str(one) for one in warnings))
    if not isinstance(pdf, bytes):
        raise TypesettingFault("the typesetter gave no document")
    return pdf


def actual_size(pdf: bytes) -> bytes:
    """The document with "print at actual size" set and the version stated."""
    from pypdf import PdfWriter
    from pypdf.generic import DictionaryObject, NameObject

    writer = PdfWriter(clone_from=io.BytesIO(pdf))
    writer.pdf_header = "%PDF-1.7"
    wish = DictionaryObject({NameObject("/PrintScaling"): NameObject("/None")})
    writer.root_object[NameObject("/ViewerPreferences")] = wish
    held = io.BytesIO()
    writer.write(held)
    return held.getvalue()


def pdf(scenes: Sequence[Scene], title: str) -> bytes:
    """One page for each scene, of its own size. ``title`` goes into the document's properties.

    Raises ``ValueError`` without scenes, ``TypesettingFault`` when the typesetter warns.
    """
    if not scenes:
        raise ValueError("a document needs at least one sheet")
    pages = [
        {"w": one.width, "h": one.height, "svg": svg(one), "title": one.title or title} for one in scenes
    ]
    return actual_size(typeset(_SOURCE, {"d": json.dumps({"title": title, "pages": pages})}))
