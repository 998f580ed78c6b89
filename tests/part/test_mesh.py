"""The mesh of a part as binary glTF: read back here by the standard's own layout.

Source of the layout: glTF 2.0 specification (ISO/IEC 12113:2022), section 4.4 (GLB) and 3.6
(buffers and accessors).
"""

from __future__ import annotations

import json
import math
import struct
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from turnability.part.apart.mesh import mesh_of
from turnability.part.model import Axis
from turnability.part.writing.mesh import MOST_TRIANGLES, glb_of

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
_KINDS = {5120: "<i1", 5123: "<u2", 5125: "<u4"}
_SIZES = {"VEC3": 3, "SCALAR": 1}


def read_glb(data: bytes) -> dict[str, NDArray[np.float64]]:
    """Positions in metres, normals, faces and triangles, by the standard alone."""
    magic, version, length = struct.unpack_from("<4sII", data, 0)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    assert size % 4 == 0
    content: dict[str, Any] = json.loads(data[20 : 20 + size])
    size_bin, kind = struct.unpack_from("<I4s", data, 20 + size)
    assert kind == b"BIN\0"
    body = data[28 + size :]
    assert size_bin == len(body)

    def values(number: int) -> NDArray[np.float64]:
        accessor = content["accessors"][number]
        view = content["bufferViews"][accessor["bufferView"]]
        one = np.dtype(_KINDS[accessor["componentType"]])
        columns = _SIZES[accessor["type"]]
        start = view["byteOffset"] + accessor["byteOffset"]
        stride = view.get("byteStride", one.itemsize * columns)
        found = np.ndarray(
            (accessor["count"], columns), one, body, start, (stride, one.itemsize)
        ).astype(np.float64)
        return found / 127.0 if accessor.get("normalized") else found

    (primitive,) = content["meshes"][0]["primitives"]
    node, at = content["nodes"][0], primitive["attributes"]
    return {
        "points": values(at["POSITION"]) * node["scale"] + node["translation"],
        "normals": values(at["NORMAL"]),
        "faces": values(at["_FACE"])[:, 0],
        "triangles": values(primitive["indices"])[:, 0].reshape(-1, 3),
    }


def volume(mesh: dict[str, NDArray[np.float64]]) -> float:
    """Of the closed surface (divergence theorem), positive where triangles face outward; mm3."""
    index = mesh["triangles"].astype(int)
    a, b, c = (mesh["points"][index[:, k]] * 1000.0 for k in range(3))
    return float((a * np.cross(b, c)).sum() / 6.0)


@pytest.mark.parametrize("name", ["float_housing", "release_pin", "mooring_clamp"])
def test_a_file_s_mesh_is_its_solid(name: str, parts_of: Any) -> None:
    part, *_ = parts_of(FIXTURES / f"{name}.step")
    data = mesh_of(part)
    assert data is not None
    mesh = read_glb(data)
    assert set(mesh["faces"]) == {face.index for face in part.faces}
    assert np.abs(np.linalg.norm(mesh["normals"], axis=1) - 1.0).max() < 0.02
    profile = part.profile
    if profile is None or profile.solid_volume_mm3 is None:
        return
    # chords lie inside round surfaces: the share lost of a circle is about turn²/6
    assert volume(mesh) == pytest.approx(profile.solid_volume_mm3, rel=0.22**2 / 6.0)
    x, y, z = (mesh["points"] * 1000.0).T
    assert x.min() == pytest.approx(0.0, abs=0.01)
    assert x.max() == pytest.approx(profile.length_mm, abs=0.01)
    assert np.hypot(y, z).max() == pytest.approx(profile.max_diameter_mm / 2.0, abs=0.01)


def test_normals_stand_out_of_the_material(parts_of: Any) -> None:
    part, *_ = parts_of(FIXTURES / "float_housing.step")
    mesh = read_glb(mesh_of(part) or b"")
    index = mesh["triangles"].astype(int)
    a, b, c = (mesh["points"][index[:, k]] for k in range(3))
    shown = np.cross(b - a, c - a)
    for k in range(3):
        assert ((shown * mesh["normals"][index[:, k]]).sum(axis=1) > 0.0).all()


def test_another_file_in_its_place_gives_no_mesh(parts_of: Any) -> None:
    part, *_ = parts_of(FIXTURES / "release_pin.step")
    assert mesh_of(replace(part, source=replace(part.source, sha256="0" * 64))) is None
    assert mesh_of(replace(part, source=replace(part.source, path=None))) is None
    assert mesh_of(replace(part, source=replace(part.source, path="not/there.step"))) is None


def test_a_shape_stays_without_triangles_and_its_axis_becomes_x() -> None:
    cadquery = pytest.importorskip("cadquery")
    from OCP.BRepTools import BRepTools

    made = cadquery.Workplane("YZ", origin=(7, 8, 9)).circle(5.0).extrude(20.0)
    shape = made.val().wrapped
    data = glb_of(shape, Axis((7.0, 8.0, 9.0), (1.0, 0.0, 0.0)))
    assert data is not None
    assert not BRepTools.Triangulation_s(shape, 1e6, False)
    mesh = read_glb(data)
    assert mesh["points"].min(axis=0) * 1000.0 == pytest.approx([0.0, -5.0, -5.0], abs=0.05)
    assert mesh["points"].max(axis=0) * 1000.0 == pytest.approx([20.0, 5.0, 5.0], abs=0.05)
    assert volume(mesh) == pytest.approx(math.pi * 25.0 * 20.0, rel=0.01)
    assert len(mesh["triangles"]) <= MOST_TRIANGLES
