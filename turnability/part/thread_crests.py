"""What of a thread is its own: its crest's cylinder, and the faces that its screw motion carries.

A cutter may have gone on into a shoulder, and holes or slots may cross the thread: neither changes
its diameters.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from OCP.TopoDS import TopoDS_Edge

from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import cross, lengths
from turnability.part.winding import edge_points, winding

FOLLOWS = 0.05
"""Greatest mean departure of a flank from the screw motion, as a share of its lead."""
_NO_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Crest:
    """The radius of a thread's crests and where they begin and end along the axis (mm)."""

    r_mm: float
    z_mm: tuple[float, float]


def crest_of(
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
    others: Collection[int],
    members: Collection[int],
    outside: bool,
    middle_mm: float,
) -> Crest | None:
    """Where the thread meets a turned cylinder along its windings, on the crest's side of the
    radius `middle_mm`; None where it meets none over the greater part of its turns there."""
    wound: dict[float, list[tuple[float, float, float, float]]] = defaultdict(list)
    for edge, owners in edges:
        if not any(i in members for i in owners) or all(i in others for i in owners):
            continue
        found = winding(edge)
        if found is None or (found.radius_mm > middle_mm) != outside:
            continue
        z = edge_points(edge, 2)[:, 2]
        wound[round(found.radius_mm, 2)].append(
            (found.turn_rad, found.radius_mm, float(z.min()), float(z.max()))
        )
    if not wound:
        return None
    lot = max(wound.values(), key=lambda lot: sum(turn for turn, *_ in lot))
    turns = sum(turn for turn, *_ in lot)
    if turns < math.tau:
        return None
    radius = sum(turn * r for turn, r, *_ in lot) / turns
    return Crest(radius, (min(low for *_, low, _ in lot), max(high for *_, high in lot)))


def is_carried(face: KernelFace, h: float, taper: float) -> bool:
    """The screw motion carries the face: a root or a crest, no hole or slot that meets them."""
    inner, held = face.inner, face.inner_held
    if not held.any():
        return True
    points, su, sv = (a[held] for a in (inner.points, inner.along_u, inner.along_v))
    normals = cross(su, sv)
    sizes = lengths(normals)
    kept = sizes > 0.0
    normals = normals[kept] / sizes[kept, None]
    points = points[kept]
    around = normals[:, 1] * points[:, 0] - normals[:, 0] * points[:, 1]
    r = np.maximum(np.hypot(points[:, 0], points[:, 1]), _NO_MM)
    n_r = (normals[:, 0] * points[:, 0] + normals[:, 1] * points[:, 1]) / r
    off = np.abs(around + h * (normals[:, 2] + 0.5 * taper * n_r))
    return bool(float(off.mean()) <= FOLLOWS * math.tau * abs(h)) if kept.any() else True
