"""The whole aeroplane as closed shells, and two formats that carry them: STL (binary) and GLB (glTF 2.0).

STL is in millimetres in the drawing axes (x aft, y right, z up). glTF wants metres, +Y up and the front toward +Z: a
point goes from (x, y, z) to (-y, z, -x), which keeps its hand. Each shell is closed and its faces run anticlockwise
seen from outside, so each encloses a positive volume; shells of parts that join stand in each other, as the parts do.

Sources: glTF 2.0 specification, Khronos (2021), sections on coordinate system, units and the GLB container (section
numbers from memory). The layout of binary STL is common practice: 80 bytes of words, a count, then 50 bytes a triangle.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from planewright.geometry.bodies import cross_section
from planewright.geometry.model import BodyShape, Geometry, SurfaceShape
from planewright.geometry.rings import section_rings
from planewright.plane.model import Wheel

Array = npt.NDArray[np.float64]
Faces = npt.NDArray[np.int64]

RING, ROUND = 41, 24
MIRROR = np.array([1.0, -1.0, 1.0])
TO_GLTF = np.array([[0.0, -1.0, 0.0], [0.0, 0.0, 1.0], [-1.0, 0.0, 0.0]])


@dataclass(frozen=True)
class Shell:
    """One closed skin: ``points`` (n, 3) m in the drawing axes, ``faces`` (m, 3) indices, anticlockwise outside."""

    name: str
    points: Array
    faces: Faces

    @property
    def volume(self) -> float:
        """What it encloses, m3."""
        a, b, c = (self.points[self.faces[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)

    def mirrored(self, name: str) -> Shell:
        """The other hand."""
        return Shell(name, self.points * MIRROR, self.faces[:, ::-1])


def loft(name: str, rings: Sequence[Array]) -> Shell:
    """A closed skin through rings of like points, each (k, 3) m; both ends shut by fans, points that fall together
    taken as one and faces without area left out."""
    stack = np.array(rings)
    count, size = stack.shape[:2]
    start = np.arange(count - 1)[:, None] * size + np.arange(size)[None]
    follow = np.arange(count - 1)[:, None] * size + (np.arange(size)[None] + 1) % size
    a, b, c, d = start.ravel(), follow.ravel(), (follow + size).ravel(), (start + size).ravel()
    sides = np.concatenate((np.column_stack((a, b, c)), np.column_stack((a, c, d))))
    fan = np.column_stack((np.zeros(size - 2, int), np.arange(1, size - 1), np.arange(2, size)))
    faces = np.concatenate((sides, fan[:, ::-1], fan + (count - 1) * size))
    points, index = np.unique(np.round(stack.reshape(-1, 3), 7), axis=0, return_inverse=True)
    faces = index.ravel()[faces]
    same = (faces[:, 0] == faces[:, 1]) | (faces[:, 1] == faces[:, 2]) | (faces[:, 2] == faces[:, 0])
    shell = Shell(name, points, faces[~same])
    return shell if shell.volume >= 0 else Shell(name, points, shell.faces[:, ::-1])


def shells(geometry: Geometry) -> tuple[Shell, ...]:
    """Every surface, body and wheel of an aeroplane, both hands, as closed shells."""
    found: list[Shell] = []
    for shape in geometry.surfaces.values():
        found += _both(_surface(shape), shape.surface.paired)
    for body in geometry.bodies:
        found += _both(_body(body), body.body.paired)
    for wheel in geometry.plane.wheels:
        found += _both(_wheel(wheel), wheel.y > 0)
    return tuple(found)


def _both(shell: Shell, paired: bool) -> Iterator[Shell]:
    if not paired:
        yield shell
        return
    yield Shell(f"{shell.name}.right", shell.points, shell.faces)
    yield shell.mirrored(f"{shell.name}.left")


def _surface(shape: SurfaceShape) -> Shell:
    return loft(shape.surface.name, section_rings(shape, RING))


def _body(shape: BodyShape) -> Shell:
    rings = []
    for x, width, height, z in shape.stations:
        flat = cross_section(shape.body.build, float(width), float(height))
        rings.append(np.column_stack((np.full(len(flat), x), flat[:, 0] + shape.body.y, flat[:, 1] + z)))
    return loft(shape.body.name, rings)


def _wheel(wheel: Wheel) -> Shell:
    turn = np.linspace(0.0, 2 * np.pi, ROUND, endpoint=False)
    radius = wheel.diameter / 2
    ring = np.column_stack((radius * np.cos(turn), np.zeros(ROUND), radius * np.sin(turn)))
    middle, half = np.array([wheel.x, wheel.y, wheel.z + radius]), np.array([0.0, wheel.diameter / 6, 0.0])
    return loft(f"gear.{wheel.name}", [middle + ring - half, middle + ring + half])


def stl(found: Sequence[Shell], words: str) -> bytes:
    """All shells as one binary STL, mm. ``words``: at most 80 bytes of head, never beginning with "solid"."""
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    corners = np.concatenate([one.points[one.faces] for one in found]) * 1000.0
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    rows = np.zeros(len(corners), dtype=record)
    rows["normal"], rows["corners"] = normal, corners
    head = words.encode("ascii", "replace")[:80].ljust(80, b" ")
    return head + struct.pack("<I", len(rows)) + rows.tobytes()


def glb(found: Sequence[Shell], name: str) -> bytes:
    """All shells as one GLB, a mesh and a node each, flat-shaded, m."""
    data, views, accessors, meshes = b"", list[object](), list[object](), list[object]()
    for shell in found:
        corners = (shell.points @ TO_GLTF.T)[shell.faces].reshape(-1, 3)
        normal = np.repeat(_normals(corners), 3, axis=0)
        attributes = {}
        for key, values in (("POSITION", corners), ("NORMAL", normal)):
            packed = values.astype("<f4")
            views.append({"buffer": 0, "byteOffset": len(data), "byteLength": packed.nbytes, "target": 34962})
            ends = {"min": packed.min(axis=0).tolist(), "max": packed.max(axis=0).tolist()}
            accessors.append(
                {"bufferView": len(views) - 1, "componentType": 5126, "count": len(packed), "type": "VEC3"}
                | (ends if key == "POSITION" else {})
            )
            attributes[key] = len(accessors) - 1
            data += packed.tobytes()
        meshes.append({"name": shell.name, "primitives": [{"attributes": attributes, "material": 0}]})
    colour = {"baseColorFactor": [0.93, 0.92, 0.88, 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.9}
    tree = {
        "asset": {"version": "2.0", "generator": "planewright"},
        "scene": 0,
        "scenes": [{"name": name, "nodes": list(range(len(meshes)))}],
        "nodes": [{"name": one.name, "mesh": k} for k, one in enumerate(found)],
        "meshes": meshes,
        "materials": [{"name": "board", "pbrMetallicRoughness": colour}],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": len(data)}],
    }
    text = json.dumps(tree, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    body = data + b"\0" * (-len(data) % 4)
    whole = 12 + 8 + len(text) + 8 + len(body)
    head = struct.pack("<4sII", b"glTF", 2, whole)
    return (
        head
        + struct.pack("<I4s", len(text), b"JSON")
        + text
        + struct.pack("<I4s", len(body), b"BIN\0")
        + body
    )


def _normals(corners: Array) -> Array:
    triangles = corners.reshape(-1, 3, 3)
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    return np.asarray(normal / np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12))
