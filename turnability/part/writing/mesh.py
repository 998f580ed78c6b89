"""The solid as a mesh of triangles, in one binary glTF 2.0 file (GLB), for viewers.

The spindle axis lies along +X, the part's low end at X = 0, lengths are in metres (glTF's unit).
Each corner carries the index of its face as `_FACE`, so that a viewer can colour faces. Positions
are 16-bit and normals 8-bit integers (KHR_mesh_quantization): a part of 200 mm is true to 3 µm
beside what its chords leave. Sources: glTF 2.0 (ISO/IEC 12113:2022), sections 3 and 4.4;
KHR_mesh_quantization of the Khronos registry.
"""

from __future__ import annotations

import json
import struct
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from turnability.errors import PartUnreadable
from turnability.part.model import Axis

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape

MOST_TRIANGLES = 60_000
"""More would make the page heavy; then the chords are allowed to stand off farther."""
_CHORD_SHARE = 0.001
"""Chord error by the solid's size (diagonal)."""
_TURN_RAD = 0.22
"""Greatest turn of the surface between two corners."""
_COARSER = 3.0
_TRIES = 3
_STEPS = 65535
_ARRAY, _ELEMENTS = 34962, 34963
_BYTE, _USHORT, _UINT = 5120, 5123, 5125
_MM_PER_M = 1000.0

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def glb_of(solid: TopoDS_Shape, axis: Axis | None) -> bytes | None:
    """The GLB of a solid; None where it has no mesh. Without an axis as its product draws it.

    The solid itself is left without triangles, as it came. Faces that the kernel cannot divide
    are left out.
    """
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy

    copy = BRepBuilderAPI_Copy(solid, False, False).Shape()
    chord, turn = _CHORD_SHARE * _size(copy), _TURN_RAD
    if chord <= 0.0:
        return None
    for _ in range(_TRIES):
        count = _divide(copy, chord, turn)
        if count == 0:
            return None
        if count <= MOST_TRIANGLES:
            points, normals, faces, triangles = _corners(copy)
            origin, turned = _laid(axis)
            return _glb((points - origin) @ turned.T, normals @ turned.T, faces, triangles)
        chord, turn = _COARSER * chord, min(_COARSER * turn, 1.0)
    return None


def glb_in(path: str, solid: int, sha256: str | None, axis: Axis | None) -> bytes | None:
    """The GLB of a file's solid (1-based), None where the file is not the one of that hash.

    `turnability.part.apart.mesh` calls it in the kernel's own process. Raises PartUnreadable.
    """
    from turnability.part.parts import last_solids

    solids = last_solids(path, sha256)
    if not 1 <= solid <= len(solids):
        return None
    read = solids[solid - 1]
    if isinstance(read, PartUnreadable) or read.source.sha256 != sha256:
        return None
    return glb_of(read.shape, axis)


def _laid(axis: Axis | None) -> tuple[Floats, Floats]:
    """The point that becomes the origin, and the rows that turn the axis to +X."""
    if axis is None:
        return np.zeros(3), np.eye(3)
    along = np.array(axis.direction) / np.linalg.norm(axis.direction)
    least = np.eye(3)[np.abs(along).argmin()]
    across = np.cross(along, least)
    across /= np.linalg.norm(across)
    return np.array(axis.origin_mm), np.array([along, across, np.cross(along, across)])


def _size(shape: TopoDS_Shape) -> float:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box, False)
    return 0.0 if box.IsVoid() else float(box.SquareExtent() ** 0.5)


def _divide(shape: TopoDS_Shape, chord_mm: float, turn_rad: float) -> int:
    """Divide all faces anew; how many triangles there are then."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.BRepTools import BRepTools
    from OCP.TopLoc import TopLoc_Location

    BRepTools.Clean_s(shape)
    BRepMesh_IncrementalMesh(shape, chord_mm, False, turn_rad, False)
    there = (BRep_Tool.Triangulation_s(face, TopLoc_Location()) for face in _faces(shape))
    return sum(one.NbTriangles() for one in there if one is not None)


def _faces(shape: TopoDS_Shape) -> list[Any]:
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedMapOfShape

    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_ShapeEnum.TopAbs_FACE, found)
    return [TopoDS.Face_s(found.FindKey(i)) for i in range(1, found.Extent() + 1)]


def _corners(shape: TopoDS_Shape) -> tuple[Floats, Floats, Ints, Ints]:
    """Corners (n, 3) in mm, their normals (n, 3), their faces' indices (n,), triangles (m, 3)."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepLib import BRepLib_ToolTriangulatedShape
    from OCP.TopAbs import TopAbs_Orientation
    from OCP.TopLoc import TopLoc_Location

    points: list[tuple[float, float, float]] = []
    normals: list[tuple[float, float, float]] = []
    faces: list[int] = []
    triangles: list[tuple[int, int, int]] = []
    for index, face in enumerate(_faces(shape), 1):
        place = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face, place)
        if mesh is None:
            continue
        BRepLib_ToolTriangulatedShape.ComputeNormals_s(face, mesh)
        move = place.Transformation()
        first, count = len(points), mesh.NbNodes()
        back = face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
        for k in range(1, count + 1):
            p, n = mesh.Node(k).Transformed(move), mesh.Normal(k).Transformed(move)
            points.append((p.X(), p.Y(), p.Z()))
            normals.append((n.X(), n.Y(), n.Z()))
        faces += [index] * count
        for k in range(1, mesh.NbTriangles() + 1):
            a, b, c = mesh.Triangle(k).Get()
            if back:
                b, c = c, b
            triangles.append((first + a - 1, first + b - 1, first + c - 1))
    facing = np.array(normals, dtype=np.float64)
    corners, three = np.array(points, dtype=np.float64), np.array(triangles, dtype=np.int64)
    return corners, _outward(corners, facing, three), np.array(faces, dtype=np.int64), three


def _outward(points: Floats, normals: Floats, triangles: Ints) -> Floats:
    """Normals on the side that the triangles show; the kernel gives the surface's own."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    shown = np.cross(b - a, c - a)
    against = np.zeros(len(points))
    for k in range(3):
        np.add.at(against, triangles[:, k], (shown * normals[triangles[:, k]]).sum(axis=1))
    return np.where(against[:, None] < 0.0, -normals, normals)


def _glb(points: Floats, normals: Floats, faces: Ints, triangles: Ints) -> bytes:
    low = points.min(axis=0)
    step = float((points.max(axis=0) - low).max()) / _STEPS
    whole = np.rint((points - low) / step)
    record = np.zeros(len(points), dtype=[("at", "<u2", 3), ("face", "<u2"), ("up", "i1", 4)])
    record["at"] = whole
    record["face"] = np.minimum(faces, _STEPS)
    record["up"][:, :3] = np.rint(127.0 * normals)
    small = len(points) <= _STEPS
    index = triangles.astype("<u2" if small else "<u4").tobytes()
    index += b"\0" * (-len(index) % 4)
    corners = record.tobytes()
    count = len(points)

    def accessor(view: int, offset: int, kind: int, of: int, form: str, **more: Any) -> Any:
        given = {"bufferView": view, "byteOffset": offset, "componentType": kind}
        return {**given, "count": of, "type": form, **more}

    content = {
        "asset": {"version": "2.0", "generator": "turnability"},
        "extensionsUsed": ["KHR_mesh_quantization"],
        "extensionsRequired": ["KHR_mesh_quantization"],
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [
            {
                "mesh": 0,
                "translation": (low / _MM_PER_M).tolist(),
                "scale": [step / _MM_PER_M] * 3,
            }
        ],
        "meshes": [
            {"primitives": [{"attributes": {"POSITION": 0, "NORMAL": 1, "_FACE": 2}, "indices": 3}]}
        ],
        "accessors": [
            accessor(
                0,
                0,
                _USHORT,
                count,
                "VEC3",
                min=whole.min(axis=0).tolist(),
                max=whole.max(axis=0).tolist(),
            ),
            accessor(0, 8, _BYTE, count, "VEC3", normalized=True),
            accessor(0, 6, _USHORT, count, "SCALAR"),
            accessor(1, 0, _USHORT if small else _UINT, triangles.size, "SCALAR"),
        ],
        "bufferViews": [
            {
                "buffer": 0,
                "byteOffset": 0,
                "byteLength": len(corners),
                "byteStride": record.itemsize,
                "target": _ARRAY,
            },
            {
                "buffer": 0,
                "byteOffset": len(corners),
                "byteLength": len(index),
                "target": _ELEMENTS,
            },
        ],
        "buffers": [{"byteLength": len(corners) + len(index)}],
    }
    text = json.dumps(content, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    body = corners + index
    chunks = struct.pack("<I4s", len(text), b"JSON") + text
    chunks += struct.pack("<I4s", len(body), b"BIN\0") + body
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks
