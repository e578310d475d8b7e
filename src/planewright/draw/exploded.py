"""The aeroplane taken apart: each part pushed out along the way it is assembled, seen from above, front and left.

Parts that know the strips they were unrolled from are drawn from these; where none does, the whole surface or body
stands for its parts. Nearer facets are laid over farther ones. The view is a dimetric one of our own, no measures are
taken from it; the words name the numbers that belong to each group.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
import numpy.typing as npt
from shapely import Polygon, polygons, union_all

from planewright.draw import paper as sheets
from planewright.draw.paper import LETTERING, Paper, Title
from planewright.draw.place import around, placed
from planewright.draw.scene import Scene, Shape, bounds, moved, polygon, polyline
from planewright.draw.solid import Shell, shells
from planewright.geometry.model import Geometry
from planewright.geometry.parts import Part

Array = npt.NDArray[np.float64]
AROUND, ABOVE = radians(-135.0), radians(42.0)
"""Where the eye stands: turned about the upright from aft, and above the level."""
LIGHT = np.array([-0.25, 0.45, 0.86]) / np.linalg.norm([-0.25, 0.45, 0.86])
CREASE = cos(radians(25.0))
SHADES = ("#ffffff", "#f2f2f2", "#e4e4e4", "#d6d6d6")


@dataclass(frozen=True)
class Block:
    """Something drawn as one: ``points`` (n, 3) m, already pushed out, its ``faces``, and the word beside it."""

    words: str
    points: Array
    faces: npt.NDArray[np.int64]


def exploded(geometry: Geometry, parts: Sequence[Part], paper: Paper, title: Title) -> Scene:
    """The exploded view on one sheet, landscape, as large as fits. Raises ``ValueError`` when nothing is drawn."""
    blocks = blocks_of(geometry, parts)
    if not blocks:
        raise ValueError("nothing to draw: the file holds no surface and no body")
    base = sheets.framed(paper, title, (1, 1), "no scale", landscape=True)
    left, low, right, high = sheets.room(paper, landscape=True)
    raw, anchors = _picture(blocks)
    box = bounds(raw)
    scale = min((right - left - 30.0) / (box[2] - box[0]), (high - low - 24.0) / (box[3] - box[1]))
    shift = (
        (left + right) / 2 - scale * (box[0] + box[2]) / 2,
        (low + high) / 2 - scale * (box[1] + box[3]) / 2,
    )
    drawn = moved(_scaled(raw, scale), *shift)
    scene = base.plus(drawn)
    wanted = [
        around((x * scale + shift[0], y * scale + shift[1]), words, LETTERING, 3.0, True)
        for words, (x, y) in anchors
    ]
    return scene.plus(placed(scene, wanted))


def blocks_of(geometry: Geometry, parts: Sequence[Part]) -> tuple[Block, ...]:
    """Shells pushed apart with the numbers of their parts."""
    names = _numbers(parts)
    size = (
        float(np.ptp(np.concatenate([one.points for one in shells(geometry)]), axis=0).max())
        if (geometry.surfaces or geometry.bodies)
        else 0.0
    )
    found = []
    for shell in shells(geometry):
        if shell.name.startswith("gear"):
            continue
        push = _push(geometry, shell) * size
        words = names.get(_word(geometry, shell.name), "")
        found.append(Block(words, shell.points + push, shell.faces))
    return tuple(found)


def _word(geometry: Geometry, name: str) -> str:
    """Word of the part numbers of a shell: WING, TAIL, FIN, BODY, POD."""
    base = name.removesuffix(".right").removesuffix(".left")
    shape = geometry.surfaces.get(base)
    if shape is not None:
        return {"wing": "WING", "tailplane": "TAIL", "fin": "FIN"}[shape.surface.kind]
    return "BODY" if base == "body" else "POD"


def _push(geometry: Geometry, shell: Shell) -> Array:
    """Which way a part is pulled off, as part of the size of the whole."""
    word, side = _word(geometry, shell.name), -1.0 if shell.name.endswith(".left") else 1.0
    paired = shell.name.endswith((".left", ".right"))
    y = side if paired else 0.0
    return np.array(
        {
            "WING": [0.0, 0.08 * y, 0.20],
            "TAIL": [0.18, 0.10 * y, 0.0],
            "FIN": [0.06, 0.0, 0.20],
            "BODY": [0.0, 0.0, -0.04],
            "POD": [-0.12, 0.0, -0.02],
        }[word]
    )


def _numbers(parts: Iterable[Part]) -> dict[str, str]:
    """ "WING 1 to 12" for each word."""
    by_word: dict[str, list[int]] = {}
    for one in parts:
        word, number = one.number.split(" ")[0], one.number.split(" ")[-1]
        if number.isdecimal():
            by_word.setdefault(word, []).append(int(number))
    return {
        word: f"{word} {min(found)}" + (f" to {max(found)}" if max(found) > min(found) else "")
        for word, found in by_word.items()
    }


def _picture(blocks: Sequence[Block]) -> tuple[list[Shape], list[tuple[str, tuple[float, float]]]]:
    """Blocks far to near, each with its shaded facets, creases and outline; and where each word points."""
    c, s, ca, sa = cos(AROUND), sin(AROUND), cos(ABOVE), sin(ABOVE)
    right, toward = np.array([-s, c, 0.0]), np.array([c * ca, s * ca, sa])
    matrix = np.column_stack((right, np.cross(toward, right), toward))
    turned = [block.points @ matrix for block in blocks]
    order = sorted(range(len(blocks)), key=lambda k: float(turned[k][:, 2].mean()))
    shapes = [shape for k in order for shape in _block(turned[k], blocks[k].faces)]
    middles = [((one.min(axis=0) + one.max(axis=0)) / 2)[:2] for one in turned]
    anchors = [(block.words, (float(at[0]), float(at[1]))) for block, at in zip(blocks, middles, strict=True)]
    return shapes, anchors


def _block(points: Array, faces: npt.NDArray[np.int64]) -> list[Shape]:
    """One block seen along its third axis: facets that face the reader, far to near, creases, and its outline."""
    corners = points[faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-15)
    front = np.flatnonzero(normal[:, 2] > 1e-6)
    tones = np.clip((4 * (1.0 - np.abs(normal @ LIGHT))).astype(int), 0, 3)
    shapes: list[Shape] = []
    for k in front[np.argsort(corners[front, :, 2].mean(axis=1))]:
        ring = [(float(x), float(y)) for x, y in corners[k][:, :2]]
        shapes.append(polygon(ring, "thin", fill=SHADES[tones[k]], ink=SHADES[tones[k]], width=0.05))
    shapes += [polyline([(float(x), float(y)) for x, y in points[list(edge)][:, :2]], "thin")
               for edge in _creases(faces, normal)]  # fmt: skip
    hull = union_all(polygons(corners[front][:, :, :2])).buffer(1e-5)
    rings = (
        [hull.exterior] if isinstance(hull, Polygon) else [one.exterior for one in getattr(hull, "geoms", ())]
    )
    shapes += [
        polygon([(float(x), float(y)) for x, y in ring.coords[:-1]], "wide", width=0.35) for ring in rings
    ]
    return shapes


def _creases(faces: npt.NDArray[np.int64], normal: Array) -> list[tuple[int, int]]:
    """Edges between two facets that face the reader and differ by more than 25 degrees."""
    seen: dict[tuple[int, int], int] = {}
    found = []
    for k, face in enumerate(faces):
        for a, b in zip(face, np.roll(face, -1), strict=True):
            edge = (int(min(a, b)), int(max(a, b)))
            other = seen.get(edge)
            if other is None:
                seen[edge] = k
            elif min(normal[k, 2], normal[other, 2]) > 1e-6 and normal[k] @ normal[other] < CREASE:
                found.append(edge)
    return found


def _scaled(shapes: Iterable[Shape], scale: float) -> list[Shape]:
    from dataclasses import replace

    from planewright.draw.scene import Path

    return [
        replace(one, rings=tuple(tuple((x * scale, y * scale) for x, y in ring) for ring in one.rings))
        for one in shapes
        if isinstance(one, Path)
    ]
