"""Drawn mass of bodies and nacelles: sides, formers, corner sticks, floor, tape and glue from their geometry.

Formers are frames with a rim of 18 mm; those of a nacelle are whole plates, because what they carry is bolted to them,
and stand at its stations when no pitch is written. Four sticks and four tape seams run along the corners of a box, or
halfway up the quarters of a shell. A floor of 250 mm carries the nose leg. Common practice and judgement, no source.
"""

from __future__ import annotations

import itertools

import numpy as np
import numpy.typing as npt

from planewright.analysis.mass.items import GLUE_TAPE, Item, item
from planewright.analysis.mass.materials import Sheet, glue_share, sheet, stick, tape
from planewright.geometry.bodies import facets, inside
from planewright.geometry.model import BodyShape
from planewright.plane.model import Plane

Array = npt.NDArray[np.float64]

RIM = 0.018
"""Width of the rim that a former keeps, m (common practice, no source)."""
SLICE = 0.05
"""Longest slice of a bay over which its mass is spread, m."""
FLOOR_AHEAD = 0.025
FLOOR_LENGTH = 0.250
"""Length of a floor, m, and how far it reaches ahead of the nose leg (judgement)."""
CORNERS = np.array([[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]])


def body_items(plane: Plane, shape: BodyShape) -> tuple[Item, ...]:
    """Items of one body or nacelle, both of a pair."""
    body = shape.body
    part = f"{body.name}.right" if body.paired else body.name
    rows = slices(shape.stations)
    board = [_sides(plane, part, shape, rows), *_formers(plane, part, shape)]
    share = glue_share(plane)
    items = [*board, *(one.scaled("glue", share, (*one.factors, GLUE_TAPE)) for one in board)]
    items += [
        *_sticks(plane, part, shape, rows),
        *_floor(plane, part, shape),
        _tape(plane, part, shape, rows),
    ]
    if body.paired:
        items += [one.mirrored(f"{body.name}.left") for one in items]
    return tuple(items)


def slices(stations: Array) -> Array:
    """The stations with more between them, none further than 50 mm apart, (n, 4)."""
    at = stations[:, 0]
    runs = [
        np.linspace(a, b, max(1, int(np.ceil((b - a) / SLICE))), endpoint=False)
        for a, b in itertools.pairwise(at)
    ]
    x = np.append(np.concatenate(runs), at[-1])
    return np.column_stack([x, *(np.interp(x, at, stations[:, i]) for i in (1, 2, 3))])


def _moved(points: Array, y: float) -> Array:
    return np.asarray(points + np.array([0.0, y, 0.0]))


def _sides(plane: Plane, part: str, shape: BodyShape, rows: Array) -> Item:
    skin, body = sheet(plane, shape.body.build.skin), shape.body
    found = [facets(body.build, before, after) for before, after in itertools.pairwise(rows)]
    areas = np.concatenate([one for one, _ in found])
    places = _moved(np.vstack([one for _, one in found]), body.y)
    return item(part, "sides", areas * skin.areal_mass, places, 0.0, skin.factors)


def former_places(shape: BodyShape) -> Array:
    """Where formers stand, m behind the nose tip: at every pitch and the end, or at the stations of a nacelle."""
    first, last = float(shape.stations[0, 0]), float(shape.stations[-1, 0])
    pitch = shape.body.build.former_pitch
    if pitch is None:
        return shape.stations[:, 0] if shape.body.y != 0 else np.array([])
    return np.append(np.arange(first, last - 0.25 * pitch, pitch), last)


def _formers(plane: Plane, part: str, shape: BodyShape) -> list[Item]:
    x = former_places(shape)
    if len(x) == 0:
        return []
    body = shape.body
    board, skin = sheet(plane, body.build.former or body.build.skin), sheet(plane, body.build.skin)
    size = [np.interp(x, shape.stations[:, 0], shape.stations[:, i]) for i in (1, 2, 3)]
    area = [_former_area(shape, w, h, skin) for w, h in zip(size[0], size[1], strict=True)]
    places = np.column_stack((x, np.full_like(x, body.y), size[2]))
    return [item(part, "formers", np.array(area) * board.areal_mass, places, 0.0, board.factors)]


def _former_area(shape: BodyShape, width: float, height: float, skin: Sheet) -> float:
    """Area of one former inside the skin: whole in a nacelle, else its rim only."""
    build, border = shape.body.build, 2 * skin.thickness
    width, height = max(width - border, 0.0), max(height - border, 0.0)
    whole = inside(build, width, height)
    if shape.body.y != 0 or min(width, height) <= 2 * RIM:
        return whole
    return whole - inside(build, width - 2 * RIM, height - 2 * RIM)


def _corner_runs(shape: BodyShape, rows: Array) -> tuple[Array, Array]:
    """Lengths and middles of the slices of four corner lines, (4 (n - 1),) and (4 (n - 1), 3) m.

    Of a box its corners; of a shell the four places halfway along the quarters, where its width and height are 0.707
    of the full ones.
    """
    half = 0.5 * (1.0 if shape.body.build.way == "box" else np.sqrt(0.5))
    lines = [
        np.column_stack((rows[:, 0], side * half * rows[:, 1], rows[:, 3] + up * half * rows[:, 2]))
        for side, up in CORNERS
    ]
    lengths = np.concatenate([np.linalg.norm(np.diff(one, axis=0), axis=1) for one in lines])
    return lengths, _moved(np.vstack([(one[:-1] + one[1:]) / 2 for one in lines]), shape.body.y)


def _sticks(plane: Plane, part: str, shape: BodyShape, rows: Array) -> list[Item]:
    if shape.body.build.corners is None:
        return []
    wood = stick(plane, shape.body.build.corners)
    lengths, places = _corner_runs(shape, rows)
    return [item(part, "corner sticks", lengths * wood.line_mass, places, 0.0, wood.factors)]


def _tape(plane: Plane, part: str, shape: BodyShape, rows: Array) -> Item:
    line_mass, factors = tape(plane)
    lengths, places = _corner_runs(shape, rows)
    return item(part, "tape", lengths * line_mass, places, 0.0, factors)


def floor_ends(plane: Plane, shape: BodyShape) -> tuple[float, float]:
    """Front and rear end of the floor, m behind the nose tip, kept inside the body.

    A nose leg is screwed to it 25 mm behind its front end; without one it lies under the battery; without a battery
    under the first quarter of the body.
    """
    first, last = float(shape.stations[0, 0]), float(shape.stations[-1, 0])
    leg = next((one for one in plane.wheels if one.name == "nose"), None)
    middle = plane.battery.x if plane.battery else first + 0.25 * (last - first)
    front = leg.x - FLOOR_AHEAD if leg else middle - FLOOR_LENGTH / 2
    return max(front, first), min(front + FLOOR_LENGTH, last)


def _floor(plane: Plane, part: str, shape: BodyShape) -> list[Item]:
    front, rear = floor_ends(plane, shape)
    if shape.body.build.floor is None or rear <= front:
        return []
    board, skin = sheet(plane, shape.body.build.floor), sheet(plane, shape.body.build.skin)
    x = (front + rear) / 2
    width, height, z = (float(np.interp(x, shape.stations[:, 0], shape.stations[:, i])) for i in (1, 2, 3))
    mass = (rear - front) * max(width - 2 * skin.thickness, 0.0) * board.areal_mass
    place = np.array([x, shape.body.y, z - height / 2 + skin.thickness])
    return [item(part, "floor", np.array([mass]), place, (rear - front) ** 2 / 12, board.factors)]
