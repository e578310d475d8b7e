"""The cut list: one line a part and hand."""

from __future__ import annotations

from collections.abc import Iterable

from planewright.geometry.parts.model import Part


def cut_list(found: Iterable[Part]) -> str:
    """The cut list as comma-separated text (RFC 4180), one line a part and hand; heads carry the unit."""
    head = "number,name,hand,copies,material,thickness_mm,length_mm,width_mm,area_cm2,mass_goal_g,sheet,note"
    return "\n".join([head, *(_row(one) for one in found)]) + "\n"


def _row(part: Part) -> str:
    width, height = part.size
    cells = (
        part.number,
        part.name,
        part.hand,
        str(part.copies),
        part.material,
        f"{part.thickness:.1f}",
        f"{max(width, height):.0f}",
        f"{min(width, height):.0f}",
        f"{part.area * 1e4:.1f}",
        "" if part.mass_goal is None else f"{part.mass_goal * 1000:.1f}",
        part.sheet,
        part.note,
    )
    return ",".join(f'"{cell}"' if "," in cell or '"' in cell else cell for cell in cells)
