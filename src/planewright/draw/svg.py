"""A scene as SVG 1.1: one user unit is one millimetre, y turned down as the format has it. Deterministic text."""

from __future__ import annotations

from math import degrees
from xml.sax.saxutils import escape

from planewright.draw import fonts
from planewright.draw.scene import PAPER, Arc, Circle, Path, Pen, Scene, Shape, Text


def svg(scene: Scene, background: str = "") -> str:
    """The scene as one SVG document. ``background`` is a colour, or "" for none."""
    w, h = number(scene.width), number(scene.height)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">'
    title = f"<title>{escape(scene.title)}</title>" if scene.title else ""
    ground = f'<rect width="{w}" height="{h}" fill="{background}"/>' if background else ""
    body = "\n".join(element(shape, scene.height) for shape in scene.shapes)
    return f"{head}{title}{ground}\n{body}\n</svg>\n"


def number(value: float) -> str:
    """A length with at most four decimals (a ten-thousandth of a millimetre) and no idle zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def element(shape: Shape, height: float) -> str:
    """One shape as SVG elements, with its halo before it."""
    if isinstance(shape, Text):
        return _text(shape, height)
    geometry = _geometry(shape, height)
    halo = getattr(shape, "halo", 0.0)
    under = ""
    if halo:
        thick = number(shape.pen.width + 2 * halo)
        under = f'<{geometry} fill="none" stroke="{PAPER}" stroke-width="{thick}" stroke-linejoin="round"/>'
    fill = getattr(shape, "fill", "") or "none"
    return f'{under}<{geometry} fill="{fill}"{_even(fill)}{_stroke(shape.pen, shape.ink)}/>'


def _even(fill: str) -> str:
    return ' fill-rule="evenodd"' if fill != "none" else ""


def _stroke(pen: Pen, ink: str) -> str:
    if pen.width <= 0:
        return ""
    dash = f' stroke-dasharray="{" ".join(number(d) for d in pen.dash)}"' if pen.dash else ""
    return f' stroke="{ink}" stroke-width="{number(pen.width)}"{dash}'


def _geometry(shape: Path | Circle | Arc, height: float) -> str:
    if isinstance(shape, Circle):
        x, y = shape.centre
        return f'circle cx="{number(x)}" cy="{number(height - y)}" r="{number(shape.radius)}"'
    rings = (shape.points(),) if isinstance(shape, Arc) else shape.rings
    close = "Z" if isinstance(shape, Path) and shape.closed else ""
    parts = ("M" + "L".join(f"{number(x)} {number(height - y)}" for x, y in ring) + close for ring in rings)
    return f'path d="{"".join(parts)}"'


def _text(text: Text, height: float) -> str:
    x, y = text.start
    x, y = x, height - y
    turn = (
        f' transform="rotate({number(-degrees(text.angle))} {number(x)} {number(y)})"' if text.angle else ""
    )
    weight = ' font-weight="700"' if text.bold else ""
    place = f'x="{number(x)}" y="{number(y)}"{turn}'
    font = f'font-family="{fonts.FAMILY[text.face]}" font-size="{number(text.size)}"{weight}'
    words = escape(text.printable)
    under = _paper(text, height) if text.halo else ""
    if text.outline:
        look = f'fill="none" stroke="{text.ink}" stroke-width="{number(text.outline)}"'
    else:
        look = f'fill="{text.ink}"'
    return f'{under}<text {place} {font} {look} xml:space="preserve">{words}</text>'


def _paper(text: Text, height: float) -> str:
    corners, h = text.points(), text.halo
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners
    ux, uy = (bx - ax) / max(text.length, 1e-9) * h, (by - ay) / max(text.length, 1e-9) * h
    wide = ((ax - ux, ay - uy), (bx + ux, by + uy), (cx + ux, cy + uy), (dx - ux, dy - uy))
    return f'<{_geometry(Path((wide,), closed=True), height)} fill="{PAPER}"/>'
