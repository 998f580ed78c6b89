"""On which side of a turned face's generatrix the solid lies, from the face's own outward normal.

Beside a face that turns about the axis the whole circle is solid or void wherever it meets nothing
that does not turn; so the face tells what the kernel would have to be asked, which is dear.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Line
from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import cross

LEFT, RIGHT, UNKNOWN = 1, -1, 0
_LEVEL = 0.5
"""Least part of a unit normal that must stand on its curve's left or right."""


def solid_side(face: KernelFace, curve: Curve) -> int:
    """Whether the solid lies on the left or right of a curve that a turned face is swept from."""
    if face.has_formula:
        point, normal = _by_formula(face, curve)
    else:
        even = face.even
        k = len(even.u) // 4  # the middle of a disc lies on the axis
        p, n = even.points[k, k], cross(even.along_u[k, k], even.along_v[k, k])
        r, size = math.hypot(p[0], p[1]), float(np.linalg.norm(n))
        if r == 0.0 or size == 0.0:
            return UNKNOWN
        point = (float(p[2]), r)
        normal = (float(n[2]) / size, float(n[0] * p[0] + n[1] * p[1]) / (r * size))
    dz, dr = _way(curve, point)
    out = normal[1] * dz - normal[0] * dr  # along the left of the way
    if abs(out) < _LEVEL:
        return UNKNOWN
    return RIGHT if (out > 0.0) != face.reversed else LEFT


def told_side(piece: Curve, origins: Sequence[tuple[Curve, int]]) -> int:
    """The same of a piece that runs along curves whose sides are known, where all of them agree."""
    a, b = piece.at(0.45), piece.at(0.55)
    found: Collection[int] = {
        side if dz * (b[0] - a[0]) + dr * (b[1] - a[1]) > 0.0 else -side
        for curve, side in origins
        for dz, dr in [_way(curve, piece.at(0.5))]
    }
    return next(iter(found)) if len(found) == 1 else UNKNOWN


def _by_formula(face: KernelFace, curve: Curve) -> tuple[tuple[float, float], tuple[float, float]]:
    """A place on the curve and the surface's own normal there, in the half plane."""
    frame = face.canonical.Position()
    sense = 1.0 if frame.Direct() else -1.0
    z, r = curve.at(0.5)
    if face.kind == "plane":
        return (z, r), (sense * frame.Direction().Z(), 0.0)
    if face.kind in ("cylinder", "cone") or not isinstance(curve, Arc):
        dz, dr = _way(curve, (z, r))
        if face.kind == "torus" or dz == 0.0:
            return (z, r), (0.0, 0.0)
        side = sense * math.copysign(1.0, dz)  # it points away from the axis
        return (z, r), (-side * dr, side * dz)
    out = z - curve.centre[0], r - curve.centre[1]
    size = math.hypot(*out)
    return (z, r), (sense * out[0] / size, sense * out[1] / size)


def _way(curve: Curve, point: tuple[float, float]) -> tuple[float, float]:
    """The direction in which a curve runs next to a point, of length 1; (0, 0) for none."""
    if isinstance(curve, Arc):
        z, r = point[0] - curve.centre[0], point[1] - curve.centre[1]
        dz, dr = (r, -z) if curve.clockwise else (-r, z)
    elif isinstance(curve, Line):
        dz, dr = curve.end[0] - curve.start[0], curve.end[1] - curve.start[1]
    else:
        steps = np.diff(curve.table, axis=0)
        off = curve.table[:-1] + 0.5 * steps - point
        dz, dr = steps[int((off * off).sum(axis=1).argmin())].tolist()
    size = math.hypot(dz, dr)
    return (dz / size, dr / size) if size > 0.0 else (0.0, 0.0)
