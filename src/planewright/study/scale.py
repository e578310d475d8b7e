"""Our aeroplane beside the full-size one it is drawn after: scale table, what is not scale, tails, speeds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import numpy as np
from pydantic import Field

from planewright import __version__
from planewright.analysis.scaling import froude_factor, look_speeds
from planewright.findings.model import Record
from planewright.geometry import Geometry, tail_volumes
from planewright.study.chart import Axis, Chart, Series
from planewright.study.study import Study

SAME = 0.03
"""Difference below which a length counts as scale (common practice, no source)."""
SAME_ANGLE = np.deg2rad(0.5)


class ScaleRow(Record):
    """One quantity, SI: ``full`` as it is, ``froude`` of a model at like Froude number, ``ours``; ``ratio`` ours over
    Froude's."""

    words: str
    unit: str
    full: float
    froude: float
    ours: float
    ratio: float


class CheatRow(Record):
    """One shape, SI: ``scale`` what the drawing asks, ``ours``; ``same`` within 3 % (angles half a degree)."""

    words: str
    unit: str
    scale: float
    ours: float
    same: bool


class ScaleSheet(Record):
    """Everything `planewright scale` shows. ``ratio``: our span over the full one."""

    schema_: Literal["planewright/scale/1"] = Field("planewright/scale/1", serialization_alias="schema")
    version: str
    project: str
    full_size: str
    ratio: float
    table: tuple[ScaleRow, ...]
    shapes: tuple[CheatRow, ...]
    not_scale: tuple[str, ...]
    tail_volumes: tuple[ScaleRow, ...]
    says: tuple[str, ...]
    charts: tuple[Chart, ...]

    def as_dict(self) -> dict[str, object]:
        """The JSON document."""
        data = self.model_dump(mode="json", exclude_none=True)
        return {"schema": data.pop("schema_"), **data}


def scale_sheet(
    study: Study, full: Geometry, mass: float | None = None, speed: float | None = None
) -> ScaleSheet | None:
    """The sheet; None without a wing on both.

    Arguments: full: geometry of the full-size aeroplane as drawn. mass: its mass, kg; speed: its approach or cruising
    speed, m/s, None where not known: those rows are left out.
    """
    ours = study.models.geometry
    if ours.wing is None or full.wing is None:
        return None
    ratio = ours.wing.span / full.wing.span
    shapes = tuple(shape_rows(ours, full, ratio))
    table = tuple(table_rows(study, full, ratio, mass, speed))
    return ScaleSheet(
        version=__version__,
        project=study.plane.name,
        full_size=full.plane.name,
        ratio=ratio,
        table=table,
        shapes=shapes,
        not_scale=tuple(one.words for one in shapes if not one.same),
        tail_volumes=tuple(volume_rows(study, full)),
        says=tuple(sentences(study, shapes, table, ratio, speed)),
        charts=(overlay(ours, full, ratio),),
    )


def _row(words: str, unit: str, quantity: str, full: float, ours: float, ratio: float) -> ScaleRow:
    froude = full * froude_factor(quantity, ratio)
    return ScaleRow(words=words, unit=unit, full=full, froude=froude, ours=ours, ratio=ours / froude)


def table_rows(
    study: Study, full: Geometry, ratio: float, mass: float | None, speed: float | None
) -> Iterator[ScaleRow]:
    """Froude's model against ours."""
    wing, whole = study.models.geometry.wing, full.wing
    assert wing is not None and whole is not None
    found = study.outer[0]
    yield _row("span", "m", "length", whole.span, wing.span, ratio)
    yield _row("wing area", "m2", "area", whole.area, wing.area, ratio)
    if mass is not None and "mass" in found:
        ours = float(np.nanmedian(found["mass"]))
        yield _row("mass", "kg", "mass", mass, ours, ratio)
        yield _row("wing loading", "kg/m2", "wing loading", mass / whole.area, ours / wing.area, ratio)
        cube = (mass / whole.area**1.5, ours / wing.area**1.5)
        yield _row("cube loading", "kg/m3", "cube loading", *cube, ratio)
    if speed is not None and "level_speed" in found:
        fast = float(np.nanmedian(found["level_speed"]))
        yield _row("speed", "m/s", "speed", speed, fast, ratio)
        chords = (speed * whole.mean_chord, fast * wing.mean_chord)
        yield _row("speed times chord (Reynolds number)", "m2/s", "Reynolds number", *chords, ratio)


def volume_rows(study: Study, full: Geometry) -> Iterator[ScaleRow]:
    """Tail volumes, free of scale, both about the quarter chord of their own wing's mean chord."""
    ours = study.models.geometry
    assert ours.wing is not None and full.wing is not None
    mine, theirs = (tail_volumes(one, one.wing.centre_x) for one in (ours, full) if one.wing is not None)
    for words, here, there in zip(("tailplane", "fin"), mine, theirs, strict=True):
        if here and there:
            yield ScaleRow(
                words=f"{words} volume", unit="1", full=there, froude=there, ours=here, ratio=here / there
            )


def shape_rows(ours: Geometry, full: Geometry, ratio: float) -> Iterator[CheatRow]:
    """Lengths, areas and angles of each surface, and the body, ours against the drawing's at our span."""
    for words, kind in (("wing", "wing"), ("tailplane", "tailplane"), ("fin", "fin")):
        pair = [
            next((one for one in each.surfaces.values() if one.surface.kind == kind), None)
            for each in (ours, full)
        ]
        mine, theirs = pair
        if mine is None or theirs is None:
            continue
        yield _shape(f"{words} root chord", "m", theirs.chord[0] * ratio, mine.chord[0])
        yield _shape(f"{words} tip chord", "m", theirs.chord[-1] * ratio, mine.chord[-1])
        yield _shape(f"{words} area", "m2", theirs.area * ratio**2, mine.area)
        yield _shape(
            f"{words} thickness over chord", "1", float(theirs.thickness[0]), float(mine.thickness[0])
        )
        for angle, one, other in zip(
            ("sweep", "dihedral", "washout"), _angles(theirs), _angles(mine), strict=True
        ):
            if kind != "fin" or angle == "sweep":
                yield _shape(f"{words} {angle}", "rad", one, other, angle=True)
    bodies = [next((one for one in each.bodies if one.body.y == 0), None) for each in (ours, full)]
    if bodies[0] is not None and bodies[1] is not None:
        yield _shape("body length", "m", bodies[1].length * ratio, bodies[0].length)
        for words, column in (("body width", 1), ("body height", 2)):
            widths = [float(one.stations[:, column].max()) for one in bodies if one is not None]
            yield _shape(words, "m", widths[1] * ratio, widths[0])


def _angles(shape: object) -> tuple[float, float, float]:
    """Sweep of the quarter chord, dihedral and washout from root to tip, rad."""
    leading, chord, twist = shape.leading, shape.chord, shape.twist  # type: ignore[attr-defined]
    quarter = leading[:, 0] + 0.25 * chord
    step = leading[-1] - leading[0]
    along = float(np.hypot(step[1], step[2]))
    return (
        float(np.arctan2(quarter[-1] - quarter[0], along)),
        float(np.arctan2(step[2], step[1])),
        float(twist[0] - twist[-1]),
    )


def _shape(words: str, unit: str, scale: float, ours: float, angle: bool = False) -> CheatRow:
    same = (
        abs(ours - scale) <= SAME_ANGLE if angle else abs(ours / scale - 1.0) <= SAME if scale else ours == 0
    )
    return CheatRow(words=words, unit=unit, scale=float(scale), ours=float(ours), same=bool(same))


def overlay(ours: Geometry, full: Geometry, ratio: float) -> Chart:
    """Both from above at our span, noses together: the drawing's outline dashed, ours whole."""
    lines = []
    for geometry, factor, words, look in (
        (full, ratio, "scale drawing", "dashed"),
        (ours, 1.0, "ours", "line"),
    ):
        for number, shape in enumerate(
            one for one in geometry.surfaces.values() if one.surface.kind != "fin"
        ):
            edge = np.vstack((shape.leading, shape.trailing[::-1], shape.leading[:1])) * factor * 1e3
            lines += [
                Series.model_validate(
                    {
                        "words": words if number == 0 and side > 0 else "",
                        "x": tuple(map(float, side * edge[:, 1])),
                        "y": tuple(map(float, edge[:, 0])),
                        "look": look,
                        "kind": "drawn",
                    }
                )
                for side in (1.0, -1.0)
            ]
    return Chart(
        id="scale_overlay",
        title="Before and after: the drawing at our span, and ours",
        x=Axis(words="out from the middle", unit="mm"),
        y=Axis(words="behind the nose", unit="mm"),
        series=tuple(lines),
        notes=("Seen from above, nose at the foot. Dashed: the full size at our span.",),
    )


def sentences(
    study: Study,
    shapes: tuple[CheatRow, ...],
    table: tuple[ScaleRow, ...],
    ratio: float,
    speed: float | None,
) -> Iterator[str]:
    """What the table says."""
    yield f"Scale 1 to {1 / ratio:.1f} by span."
    found = study.outer[0]
    rows = {one.words: one.ratio for one in table}
    if "mass" in rows:
        weight, loading = rows["mass"], rows["wing loading"]
        yield (
            f"Ours weighs {100 * weight:.0f} % of its scale mass and carries {100 * loading:.0f} % of its scale wing "
            f"loading: at like lift it flies at {100 * loading**0.5:.0f} % of its scale speed. Light is slow, and "
            "feels gusts."
        )
    if speed is not None:
        looks = look_speeds(speed, ratio)
        yield (
            f"To look like the full size at {speed:.0f} m/s it flies {looks.froude:.1f} m/s (Froude); the plain scale "
            f"speed of {looks.linear:.1f} m/s passes as many lengths a second and may not be flyable."
        )
        if "stall_speed" in found:
            slow = float(np.nanmedian(found["stall_speed"]))
            which = "both can" if looks.linear > slow else "only the first can"
            yield f"Ours stalls at {slow:.1f} m/s: {which} be flown."
    off = [one for one in shapes if not one.same]
    yield f"{len(off)} of {len(shapes)} shapes are not scale."
    yield "The full size's balance point does not carry over when tail or section changed: ours is worked out anew."
