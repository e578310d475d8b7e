"""Scenes, their measurements, and the files written from them."""

from __future__ import annotations

import io
from math import pi
from xml.etree import ElementTree

import ezdxf
import pymupdf
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, union_all

from planewright.draw import fonts
from planewright.draw.dxf import dxf
from planewright.draw.lettering import outlines
from planewright.draw.pdf import TypesettingFault, pdf, typeset
from planewright.draw.scene import (
    Arc,
    Circle,
    Path,
    Scene,
    Shape,
    Text,
    bounds,
    box,
    hatch,
    line,
    moved,
    polygon,
    stripes,
    turned,
)
from planewright.draw.svg import svg

MM = 72 / 25.4


def sheet() -> Scene:
    shapes: tuple[Shape, ...] = (
        box(5, 5, 90, 50, "cut"),
        Text((50, 30), "WING 4 RIGHT", 6, "middle", face="head", bold=True),
        Text((50, 18), "INSIDE FACE UP, 2 m²", 4, "middle", angle=0.3, halo=0.4),
        Circle((20, 40), 5, fill="#cccccc"),
        Arc((70, 40), 6, 0.0, 2.0, "score"),
        line((10, 10), (90, 10), "hidden"),
    )
    return Scene(100, 60, shapes, "a sheet")


def test_texts_that_overlap_are_found_and_others_are_not() -> None:
    one = Text((10, 10), "plane", 5)
    assert Scene(50, 30, (one, Text((18, 11), "wright", 5))).overlaps() == (("plane", "wright"),)
    assert Scene(50, 30, (one, Text((10, 17), "wright", 5))).overlaps() == ()
    assert Scene(50, 30, (one, Text((18, 11), "across", 5, over=True))).overlaps() == ()


def test_turned_texts_are_measured_along_their_own_axes() -> None:
    level = Text((20, 20), "long words here", 4)
    steep = Text((20, 24), "long words here", 4, angle=pi / 4)
    assert Scene(80, 80, (level, steep)).overlaps() == ()
    assert Scene(80, 80, (level, Text((25, 17), "up", 4, angle=pi / 2))).overlaps() != ()


def test_what_leaves_the_sheet_or_its_margin_is_named() -> None:
    near = Scene(50, 30, (Text((40, 10), "too far right", 5), line((1, 1), (20, 1), "thin")))
    assert near.outside() == ("too far right",)
    assert Scene(50, 30, (line((1, 1), (20, 1), "thin"),), margin=2.0).outside() == ("thin",)


def test_width_of_a_text_agrees_with_what_the_typesetter_set() -> None:
    words = "Measure this bar; print at actual size 0123456789"
    page = pymupdf.open(stream=pdf([Scene(150, 20, (Text((5, 8), words, 5),))], "w"))[0]
    spans = page.get_text("dict")["blocks"][0]["lines"][0]["spans"]
    left, right = spans[0]["bbox"][0], spans[-1]["bbox"][2]
    assert (right - left) / MM == pytest.approx(fonts.width(words, 5), abs=0.6)
    assert left / MM == pytest.approx(5, abs=0.1)


def test_letters_that_the_font_lacks_are_replaced_and_said() -> None:
    assert fonts.missing("a ≤ b") == "≤"
    assert fonts.printable("a ≤ b") == "a ? b"
    assert Text((0, 0), "→", 4).length == pytest.approx(fonts.width("?", 4))


def test_wrapped_lines_hold_their_words_and_their_room() -> None:
    lines = fonts.wrap("nobody has shown that the wing holds", 4, 30)
    assert " ".join(lines) == "nobody has shown that the wing holds"
    assert all(fonts.width(one, 4) <= 30 for one in lines)


@given(st.floats(0.6, 5), st.floats(-3, 3))
@settings(max_examples=30, deadline=None)
def test_stripes_cover_their_share_of_the_area_and_stay_inside(pitch: float, angle: float) -> None:
    ring = ((0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0))
    pieces = [Polygon(one.rings[0]) for one in stripes(ring, pitch, pitch / 2, angle)]
    covered = union_all(pieces)
    assert covered.area == pytest.approx(1200, rel=0.15)
    assert Polygon(ring).buffer(1e-6).contains(covered)


def test_hatching_stays_inside_a_hollow_sided_polygon() -> None:
    ring = ((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (20.0, 8.0), (0.0, 30.0))
    area = Polygon(ring).buffer(1e-6)
    lines = hatch(ring, 2.0)
    assert len(lines) > 15
    assert all(area.contains_properly(Polygon(one.rings[0] + one.rings[0][:1]).centroid) for one in lines)
    assert all(area.covers(Polygon([*one.rings[0], one.rings[0][0]]).boundary) for one in lines)


def test_moving_and_turning_keep_lengths() -> None:
    shapes = moved(turned(sheet().shapes, 0.7, (10, 10)), 3, 4)
    first = next(one for one in shapes if isinstance(one, Path)).rings[0]
    assert Polygon(first).area == pytest.approx(4500)
    assert bounds(moved((line((0, 0), (3, 4)),), 1, 1)) == (1, 1, 4, 5)


def test_svg_has_one_user_unit_a_millimetre_and_is_the_same_twice() -> None:
    text = svg(sheet())
    root = ElementTree.fromstring(text)
    assert (root.attrib["width"], root.attrib["height"]) == ("100mm", "60mm")
    assert root.attrib["viewBox"] == "0 0 100 60"
    assert text == svg(sheet())
    assert "WING 4 RIGHT" in text


def test_svg_of_awkward_words_is_still_well_formed() -> None:
    words = "<b> & \"quoted\" 'ring'"
    root = ElementTree.fromstring(svg(Scene(80, 20, (Text((2, 5), words, 4),), title=words)))
    assert [one.text for one in root.iter() if one.tag.endswith("text")] == [words]


def test_pdf_pages_are_exact_and_ask_for_actual_size() -> None:
    made = pdf([sheet(), Scene(210, 297, (line((20, 20), (190, 20)),))], "two sheets")
    assert made == pdf([sheet(), Scene(210, 297, (line((20, 20), (190, 20)),))], "two sheets")
    assert made.startswith(b"%PDF-1.7")
    reader = pypdf.PdfReader(io.BytesIO(made))
    sizes = [(float(one.mediabox.width) / MM, float(one.mediabox.height) / MM) for one in reader.pages]
    assert sizes[0] == pytest.approx((100, 60), abs=1e-3) and sizes[1] == pytest.approx((210, 297), abs=1e-3)
    root = reader.trailer["/Root"].get_object()
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"  # type: ignore[index]


def test_pdf_carries_its_own_fonts_and_its_words_can_be_read() -> None:
    page = pymupdf.open(stream=pdf([sheet()], "fonts"))[0]
    names = {one[3].split("+")[-1] for one in page.get_fonts()}
    assert names == {"NationalPark-Bold", "AtkinsonHyperlegibleNext-Regular"}
    assert "WING 4 RIGHT" in page.get_text()


def test_a_line_in_the_pdf_has_its_length_in_the_vectors() -> None:
    page = pymupdf.open(stream=pdf([Scene(210, 297, (line((20, 20), (190, 20)),))], "line"))[0]
    (x0, _, x1, _) = page.get_drawings()[0]["rect"]
    assert (x1 - x0) / MM == pytest.approx(170, abs=0.31)
    ((_, a, b),) = page.get_drawings()[0]["items"]
    assert (b.x - a.x) / MM == pytest.approx(170, abs=1e-3)
    assert (297 - a.y / MM) == pytest.approx(20, abs=1e-3)


def test_a_warning_of_the_typesetter_is_a_failure() -> None:
    with pytest.raises(TypesettingFault):
        typeset('#set text(font: "No Such Face")\nwords', {})
    with pytest.raises(TypesettingFault):
        typeset("#unknown-call()", {})
    with pytest.raises(ValueError, match="at least one sheet"):
        pdf([], "empty")


def test_dxf_is_sound_in_millimetres_with_layers_and_text() -> None:
    text = dxf(sheet())
    assert text == dxf(sheet())
    document = ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined]
    assert not document.audit().errors
    assert document.units == 4 and document.header["$MEASUREMENT"] == 1
    space = document.modelspace()
    ring = space.query("LWPOLYLINE[layer=='CUT']").first
    assert ring is not None and ring.closed
    xs = [point[0] for point in ring.get_points()]
    assert max(xs) - min(xs) == pytest.approx(90)
    assert {one.dxf.text for one in space.query("TEXT")} == {"WING 4 RIGHT", "INSIDE FACE UP, 2 m²"}
    assert document.layers.get("HIDDEN").dxf.linetype == "HIDDEN"


def test_hollow_letters_have_no_strokes_inside() -> None:
    rings = outlines("NO")
    areas = sorted(Polygon(one).area for one in rings)
    assert len(rings) == 3
    assert areas[0] > 0.05
    assert all(Polygon(one).is_valid for one in rings)


def test_a_polygon_is_closed_in_both_formats() -> None:
    scene = Scene(20, 20, (polygon(((1, 1), (9, 1), (5, 8)), "cut"),))
    assert "Z" in svg(scene)
    assert 'stroke-width="0.7"' in svg(scene)
