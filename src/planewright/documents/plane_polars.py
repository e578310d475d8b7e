"""Polars of an aeroplane's own sections: which it needs, those that are kept, and the aeroplane that carries them.

A section that was measured, or that ships worked out, needs nothing. Any other (a file, another four-digit section, a
kinked sheet) is worked out once for each outline and kept by content; the plane then carries the answer in its
sections, so every study, calibration and page made from it uses the same.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from planewright.analysis.air.polars import SAME, has_measurement
from planewright.analysis.section.driver import Progress, nothing
from planewright.analysis.section.making import Wanted
from planewright.analysis.section.outlines import Outline, drawn, from_points, kinked
from planewright.analysis.section.polars import SectionPolars
from planewright.analysis.section.shipped import shipped
from planewright.documents.polars import cache_folder, kept, polars_of
from planewright.geometry.sections import thickness_ratio
from planewright.geometry.surfaces import sheet_thickness
from planewright.plane.model import Plane, Section, Surface

Needs = dict[tuple[str, int], Wanted]


def needs(plane: Plane) -> Needs:
    """What has to be worked out, by surface and number of the station."""
    found: Needs = {}
    same: dict[tuple[object, ...], Wanted] = {}
    for surface in plane.surfaces:
        for number, station in enumerate(surface.stations):
            mark = _mark(surface, station.section)
            if mark is None:
                continue
            if mark not in same:
                same[mark] = Wanted(_outline(plane, surface, station.section))
            found[surface.name, number] = same[mark]
    return found


def _mark(surface: Surface, section: Section) -> tuple[object, ...] | None:
    """What tells one outline from another; None when nothing has to be worked out."""
    if section.kind == "flat":
        return (surface.name,) if surface.build.way == "kinked" else None
    if has_measurement(section):
        return None
    ready = shipped(section.name)
    if (
        ready is not None
        and section.kind != "file"
        and abs(thickness_ratio(section) - ready.thickness) < SAME
    ):
        return None
    return (section.kind, section.name, section.points)


def _outline(plane: Plane, surface: Surface, section: Section) -> Outline:
    if section.kind == "flat":
        chord = float(np.mean([one.chord for one in surface.stations]))
        return kinked(surface.build.kink, surface.build.camber, sheet_thickness(surface, plane.stock) / chord)
    if section.kind == "file":
        return from_points(section.name, np.array(section.points))
    return drawn(section)


def carrying(plane: Plane, found: dict[str, SectionPolars], asked: Needs) -> Plane:
    """The plane with polars in its sections, by digest."""
    surfaces = tuple(
        replace(
            surface,
            stations=tuple(
                replace(one, section=replace(one.section, figures=found[asked[surface.name, k].digest]))
                if (surface.name, k) in asked and asked[surface.name, k].digest in found
                else one
                for k, one in enumerate(surface.stations)
            ),
        )
        for surface in plane.surfaces
    )
    return replace(plane, surfaces=surfaces)


def with_kept(plane: Plane, folder: Path | None = None) -> tuple[Plane, tuple[Wanted, ...]]:
    """The plane with those polars that are kept, and what is missing. Quick: nothing is solved."""
    asked = needs(plane)
    if not asked:
        return plane, ()
    each = {one.digest: one for one in asked.values()}
    place = cache_folder() if folder is None else folder
    found = {digest: polars for digest, one in each.items() if (polars := kept(one, place)) is not None}
    missing = tuple(one for digest, one in each.items() if digest not in found)
    return carrying(plane, found, asked) if found else plane, missing


def with_polars(
    plane: Plane,
    folder: Path | None = None,
    progress: Progress = nothing,
    watch: Callable[[], None] = nothing,
    workers: int | None = None,
) -> Plane:
    """The plane with all its polars: those kept are read, the others solved and kept. Arguments as for
    :func:`planewright.documents.polars.polars_of`."""
    asked = needs(plane)
    if not asked:
        return plane
    each = {one.digest: one for one in asked.values()}
    made = polars_of(list(each.values()), folder, progress, watch, workers)
    return carrying(plane, dict(zip(each, made, strict=True)), asked)
