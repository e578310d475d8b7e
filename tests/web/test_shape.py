"""The aeroplane as triangles: closed, right way out, as large as drawn; every ring drags what it says."""

from __future__ import annotations

import struct
import tomllib
from collections import Counter

import numpy as np
import pytest

from planewright.geometry import overall
from planewright.project.starting import example_names
from planewright.units import read
from planewright.web.evaluation import start_study
from planewright.web.fields import key_at, si_value, written_unit
from planewright.web.mesh import Piece, make_mesh, mesh_parts
from web.conftest import Opener


def edges(piece: Piece) -> Counter[tuple[int, int]]:
    """Directed edges, points at one place taken as one, flat triangles left out."""
    names: dict[tuple[float, ...], int] = {}
    ids = [names.setdefault(tuple(np.round(point, 9)), len(names)) for point in piece.points]
    found: Counter[tuple[int, int]] = Counter()
    for face in piece.faces:
        a, b, c = (ids[k] for k in face)
        if len({a, b, c}) == 3:
            found.update(((a, b), (b, c), (c, a)))
    return found


def volume(piece: Piece) -> float:
    """Enclosed volume, m3."""
    a, b, c = (piece.points[piece.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6


@pytest.mark.parametrize("kind", example_names())
def test_every_part_is_closed_and_right_way_out(open_kind: Opener, kind: str) -> None:
    study = start_study(open_kind(kind).desk.view.project)
    assert study is not None
    mesh = make_mesh(study)
    for piece in mesh.pieces:
        found = edges(piece)
        assert all(found[one] == found[one[::-1]] for one in found), piece.name
        assert volume(piece) > 0, piece.name
    wing = [one for one in mesh.pieces if one.part.startswith("wing.")]
    assert np.ptp(np.concatenate([one.points for one in wing])[:, 1]) == pytest.approx(
        study.models.geometry.wing.span
    )  # type: ignore[union-attr]
    lengths = overall(study.models.geometry)
    assert np.ptp(np.concatenate([one.points for one in mesh.pieces])[:, 0]) == pytest.approx(
        lengths[0], rel=0.05
    )


def test_lift_along_the_wing_has_the_mean_one(open_kind: Opener) -> None:
    study = start_study(open_kind("plover").desk.view.project)
    assert study is not None
    parts = [one for one in mesh_parts(make_mesh(study), study) if one.lift is not None]
    assert {one.part for one in parts} == {"wing.left", "wing.right"}
    assert np.mean([one.lift for one in parts]) == pytest.approx(1.0, abs=0.08)
    right = [one.lift for one in parts if one.part == "wing.right"]
    assert right[0] > right[-1]  # type: ignore[operator]


def test_the_mesh_reads_back(open_kind: Opener) -> None:
    opened = open_kind("starter")
    shape = opened.state()["shape"]
    data = opened.client.get("/api/mesh").content
    points, faces = struct.unpack("<II", data[:8])
    assert len(data) == 8 + 12 * points + 12 * faces
    indices = np.frombuffer(data[8 + 12 * points :], dtype="<u4")
    assert indices.max() < points and sum(one["count"] for one in shape["parts"]) == faces
    firsts = [one["first"] for one in shape["parts"]]
    assert firsts == sorted(firsts) and firsts[0] == 0
    changed = opened.set("wing.span", "2.2 m").json()["state"]["shape"]
    assert changed["mesh"] != shape["mesh"]
    assert changed["size"][1] == pytest.approx(2.2, abs=1e-6)


def test_every_ring_drags_what_it_says(open_kind: Opener) -> None:
    """Moving a ring by 10 mm and writing the value it stands for puts the ring where it was dragged to."""
    opened = open_kind("plover")
    fields = [one for one in opened.state()["fields"] if one["handle"] and one["file"] == "aeroplane.toml"]
    assert len(fields) > 60
    tried = ("wing.stations.2.out", "battery.x", "body.stations.1.height", "fin.x", "control.aileron.from")
    for field in (one for one in fields if one["path"] in tried):
        handle = field["handle"]
        value = field["value"] + 0.01 * handle["per"]
        got = opened.set(field["path"], f"{value * 1000:.3f} mm")
        assert got.status_code == 200, (field["path"], got.text)
        after = next(one for one in got.json()["state"]["fields"] if one["path"] == field["path"])
        moved = np.array(after["handle"]["at"]) - np.array(handle["at"])
        assert moved @ np.array(handle["along"]) == pytest.approx(0.01, abs=2e-6), field["path"]


@pytest.mark.parametrize("kind", example_names())
def test_fields_are_what_the_file_says(open_kind: Opener, kind: str) -> None:
    opened = open_kind(kind)
    whole = tomllib.loads(opened.text())
    fields = [
        one for one in opened.state()["fields"] if one["file"] == "aeroplane.toml" and not one["defaulted"]
    ]
    lines = opened.text().splitlines()
    for field in fields:
        here = whole
        for step in field["path"].split("."):
            here = here[int(step)] if isinstance(here, list) else here[step]
        assert str(here) == field["text"], field["path"]
        assert field["text"] in lines[field["line"] - 1], field["path"]
        assert field["says"], field["path"]


def test_values_and_units_of_fields() -> None:
    assert si_value("360 mm", "length") == read("360 mm", "length")
    assert si_value("12 x 6 in", "length") is None and si_value("3", None) == 3.0
    assert [written_unit(one) for one in ("360 mm", "-2 deg", "6 1/2 in", "0", "12 x 6 in")] == [
        "mm",
        "deg",
        "in",
        "",
        "",
    ]
    assert key_at(["wing", "stations", "1", "chord"]).says == "chord"  # type: ignore[union-attr]
    assert key_at(["wing", "nonsense"]) is None and key_at(["name", "deeper"]) is None
