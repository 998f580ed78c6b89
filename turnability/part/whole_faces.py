"""Which faces are all that their bounds hold, their areas, and the volumes that they close.

Over a rectangle of parameters the integrals along the angle come in closed form, and those along
the other parameter by a quadrature that is exact to rounding: nothing is asked of the rims.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve2d
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face

from turnability.part.canonical_points import Formula, generated
from turnability.part.rims import gauss

Array: TypeAlias = NDArray[np.float64]

_RIM = 1e-9
_NODES = 24
"""Along up to a whole turn of a torus, whose integrands are of the third order in sine and cosine:
what is left is below rounding."""


class Whole(Protocol):
    """What is asked of a face here."""

    face: TopoDS_Face
    kind: str
    bounds: tuple[float, float, float, float]

    @property
    def formula(self) -> Formula:
        """What its surface is."""


def whole_moments(faces: Sequence[Whole], about: Array) -> list[tuple[float, float]]:
    """Each face's area (mm2), and the volume (mm3) between it and a point, outwards.

    Of planes, cylinders, cones, spheres and tori that are whole within their bounds.
    """
    found = [(0.0, 0.0)] * len(faces)
    lots: dict[str, list[int]] = defaultdict(list)
    for i, face in enumerate(faces):
        lots[face.kind].append(i)
    for kind, members in lots.items():
        areas, cones = _lot(kind, [faces[i] for i in members], about)
        for i, area, cone in zip(members, areas.tolist(), cones.tolist(), strict=True):
            side = -1.0 if faces[i].face.Orientation() == TopAbs_REVERSED else 1.0
            found[i] = area, side * cone
    return found


def _lot(kind: str, faces: Sequence[Whole], about: Array) -> tuple[Array, Array]:
    """Areas and cones (n,) of faces of one kind, along the surface's own normal."""
    origin, x, y, z = np.array([face.formula.frame for face in faces]).transpose(1, 0, 2)
    u0, u1, v0, v1 = np.array([face.bounds for face in faces]).T
    away = origin - about
    side = np.array([face.formula.side for face in faces])
    ox, oy, oz = ((away * way).sum(axis=1) for way in (x, y, z))
    if kind == "plane":
        area = (u1 - u0) * (v1 - v0)
        return area, side * oz * area / 3.0
    nodes, weights = gauss(_NODES)
    v = v0[:, None] + (v1 - v0)[:, None] * (nodes + 1.0) / 2.0
    weight = (v1 - v0)[:, None] * weights / 2.0
    first, second = np.array([face.formula.sizes for face in faces]).T
    r, dr, h, dh = generated(kind, (first[:, None], second[:, None]), v)
    turn = u1 - u0
    across = ox * (np.sin(u1) - np.sin(u0)) - oy * (np.cos(u1) - np.cos(u0))
    area = turn * (np.abs(r) * np.hypot(dr, dh) * weight).sum(axis=1)
    cone = across * (r * dh * weight).sum(axis=1)
    cone += turn * (r * (r * dh - dr * (h + oz[:, None])) * weight).sum(axis=1)
    return area, side * cone / 3.0


def runs_round(
    face: TopoDS_Face, edges: Sequence[TopoDS_Edge], bounds: tuple[float, float, float, float]
) -> bool:
    """Whether edges along the four sides of the bounds cover those sides, and no edge leaves them.

    A seam runs along two sides, a pole along one.
    """
    u0, u1, v0, v1 = bounds
    covered = [0.0, 0.0, 0.0, 0.0]
    for edge in edges:
        trace = BRepAdaptor_Curve2d(edge, face)
        if trace.GetType() != GeomAbs_CurveType.GeomAbs_Line:
            return False
        a, b = trace.Value(trace.FirstParameter()), trace.Value(trace.LastParameter())
        au, av, bu, bv = a.X(), a.Y(), b.X(), b.Y()
        for side, (at, other, low, high, length) in enumerate(
            ((au, bu, u0, u1, v1 - v0), (au, bu, u1, u0, v1 - v0),
             (av, bv, v0, v1, u1 - u0), (av, bv, v1, v0, u1 - u0))
        ):  # fmt: skip
            if max(abs(at - low), abs(other - low)) <= _RIM * abs(high - low):
                covered[side] += (abs(bv - av) if side < 2 else abs(bu - au)) / length
                break
        else:
            return False
    return all(abs(share - 1.0) <= 1e-6 for share in covered)
