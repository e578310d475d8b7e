"""Making an AirModel from a geometry: solve the lattice, gather its columns, add bodies."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from planewright.analysis.air.bodies import pitch_slope
from planewright.analysis.air.build_up import pieces
from planewright.analysis.air.forms import Reference, Solution, solve
from planewright.analysis.air.layout import sheets_of
from planewright.analysis.air.model import AirModel, StripSet
from planewright.analysis.air.polars import Mixed, Polar, has_measurement, polar, section_key, worked_out
from planewright.analysis.section import SectionPolars
from planewright.errors import Fault, InputError
from planewright.geometry import Geometry, SurfaceShape, zero_lift
from planewright.plane.model import Control

Array = npt.NDArray[np.float64]


def polar_of(shape: SurfaceShape, number: int) -> Polar:
    """Figures of the section at one station of a surface."""
    section = shape.surface.stations[number].section
    figures, lift = section.figures, -2 * np.pi * zero_lift(section)[0]
    if isinstance(figures, SectionPolars) and not has_measurement(section):
        return worked_out(section_key(section), figures, lift)
    return polar(section_key(section), round(float(shape.thickness[number]), 4), lift)


def place_along(shape: SurfaceShape, points: Array) -> Array:
    """Place of points (n, 3) along a surface from its root 0 to its tip 1, (n,)."""
    axis = 2 if shape.surface.kind == "fin" else 1
    start, end = shape.leading[0, axis], shape.leading[-1, axis]
    return np.asarray((points[:, axis] - start) / (end - start))


def polars_along(shape: SurfaceShape, part: Array) -> tuple[Mixed, ...]:
    """Section figures at places ``part`` (n,) between 0 (root) and 1 (tip), each between its two stations."""
    stations = place_along(shape, shape.leading)
    figures = [polar_of(shape, number) for number in range(stations.size)]
    lower = np.clip(np.searchsorted(stations, part, side="right") - 1, 0, stations.size - 2)
    blend = np.clip((part - stations[lower]) / np.diff(stations)[lower], 0, 1)
    return tuple(Mixed(figures[k], figures[k + 1], float(b)) for k, b in zip(lower, blend, strict=True))


def _columns(solution: Solution, wing: str, elevators: tuple[Control, ...]) -> Array:
    """Selector (m, 4): built-in shape, alpha, wing incidence, elevator."""
    pick = np.zeros((len(solution.names), 4))
    pick[solution.index("u"), 0] = 1.0
    pick[solution.index("w"), 1] = 1.0
    pick[solution.index("incidence " + wing), 2] = 1.0
    for control in elevators:
        pick[solution.index(control.name), 3] = 1.0
    return pick


def _strips(solution: Solution, geometry: Geometry, pick: Array) -> StripSet:
    """Right-half strips with their lift columns and section figures."""
    grid = solution.grid
    keep = ~grid.left
    lift = 2 * (solution.strip_gain @ pick)[keep] / grid.chord[keep, None]
    sheet = grid.sheet[keep]
    shapes = [geometry.surfaces[name] for name in grid.names]
    part = np.concatenate(
        [place_along(shape, grid.middle[keep][sheet == number]) for number, shape in enumerate(shapes)]
    )
    figures = [polars_along(shape, part[sheet == number]) for number, shape in enumerate(shapes)]
    both = np.array([2.0 if shapes[int(one)].surface.paired else 1.0 for one in sheet])
    polars = tuple(one for some in figures for one in some)
    return StripSet(grid.middle[keep], grid.chord[keep], grid.width[keep], both, lift, sheet, polars, part)


def _require_wing(geometry: Geometry) -> SurfaceShape:
    """The reference wing, or a fault in builders' words."""
    if geometry.wing is None:
        raise InputError(
            [
                Fault(
                    "aeroplane.toml", 0, "wing", "no wing was found",
                    "Lift and drag are worked out on a wing.",
                    "Describe one under [wing], with its stations from the centreline outward.",
                )
            ]
        )  # fmt: skip
    return geometry.wing


def _limits(elevators: tuple[Control, ...]) -> tuple[float, float]:
    """Smallest and largest elevator angle, rad, trailing edge down positive."""
    if not elevators:
        return 0.0, 0.0
    return -min(one.up for one in elevators), min(one.down for one in elevators)


def air_model(geometry: Geometry) -> AirModel:
    """Solve the lattice of a geometry and gather its figures.

    Arguments: geometry: with a wing; tails, fins and bodies as far as it has them.
    Returns: AirModel, about the quarter chord of the wing's mean chord.
    Raises: InputError when there is no wing.
    Valid: attached flow, aspect ratio above 1, Mach below 0.3, flat wake along the body line.
    Sources: see :mod:`planewright.analysis.air.lattice` and :mod:`planewright.analysis.air.bodies`.
    """
    wing = _require_wing(geometry)
    reference = Reference(wing.area, wing.span, wing.mean_chord)
    about = np.array([wing.centre_x, 0.0, wing.mean_chord_z])
    solution = solve(sheets_of(geometry), about)
    elevators = tuple(
        one for one in geometry.plane.controls if one.kind == "elevator" and one.on in geometry.surfaces
    )
    pick = _columns(solution, wing.surface.name, elevators)
    scale = 2 / wing.area
    mine = solution.grid.of(wing.surface.name)
    body = sum(pitch_slope(shape, solution.grid, solution.gain[:, 2]) for shape in geometry.bodies)
    return AirModel(
        geometry=geometry,
        solution=solution,
        reference=reference,
        about_x=float(about[0]),
        lift=scale * (solution.lift_rows.sum(axis=0) @ pick),
        pitch=scale / wing.mean_chord * (solution.pitch_rows.sum(axis=0) @ pick),
        body_pitch=body / (wing.area * wing.mean_chord),
        wing_lift=scale * (solution.lift_rows[mine].sum(axis=0) @ pick),
        drag_form=scale * (pick.T @ solution.drag_form @ pick),
        strips=_strips(solution, geometry, pick),
        pieces=pieces(geometry),
        elevator=tuple(one.name for one in elevators),
        elevator_limits=_limits(elevators),
    )
