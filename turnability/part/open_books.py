"""Where along the axis a turned body is not its solid's, asked of the kernel point by point.

Only where the books stand open: every circle within the turned body must meet the solid, and none
outside it may. Circles are asked for at odd angles, through the kernel's classifier, which knows
nothing of the meridian.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS_Shape

from turnability.half_plane.curves import Point, Points, Ring, flatten_ring
from turnability.half_plane.inside import polygon_holds
from turnability.part.kernel_faces import KernelFace
from turnability.part.model import Departure, Profile

_SLICES, _FEWEST = 48, 12
_WORK = 20_000
"""Faces times slices: of solids with more faces fewer slices are asked for."""
_DEAR = 80
"""A surface without a formula takes the kernel as long as so many others."""
_RADII = 4
_ANGLES = 0.317 + np.arange(7) * (math.tau / 7)
_CHORD_MM = 1e-3
_CLEAR = 1e-3
"""Share of the greatest radius by which circles keep clear of the rim."""


def where_open(
    solid: TopoDS_Shape,
    faces: Sequence[KernelFace],
    profile: Profile,
    departures: Sequence[Departure],
    z_low_mm: float,
) -> tuple[float, float] | None:
    """From where to where, along z, some slice of the body is not the solid's (mm).

    `solid` in the axis frame, where the part's low end is at `z_low_mm`. None where no slice
    shows it: then gaps between faces make the difference, or what is narrower than a slice.
    Circles that a departure may take away altogether, as a cross hole does round the axis, are let
    go.
    """
    rings = [loop.ring for loop in profile.loops]
    polygons = [flatten_ring(ring, _CHORD_MM) for ring in rings]
    classifier = BRepClass3d_SolidClassifier(solid)
    work = sum(1 if face.has_formula else _DEAR for face in faces)
    most_slices = max(_FEWEST, _WORK // max(1, work))
    bounds = _bounds(rings, profile.length_mm, most_slices)
    most = profile.max_diameter_mm / 2.0
    found: list[tuple[float, float]] = []
    for low, high in itertools.pairwise(bounds):
        z = (low + high) / 2.0
        radii = _radii(polygons, z, most)
        places = np.column_stack((np.full(len(radii), z), radii))
        held = np.sum([polygon_holds(p, places) for p in polygons], axis=0) % 2 == 1
        for r, within in zip(radii, held.tolist(), strict=True):
            meets = _meets(classifier, z + z_low_mm, r)
            if meets != within and not (within and _may_be_cut(departures, z, r)):
                found.append((low, high))
                break
    return (found[0][0], found[-1][1]) if found else None


def _may_be_cut(departures: Sequence[Departure], z: float, r: float) -> bool:
    for departure in departures:
        radii = departure.parameters.get("r_mm")
        out = float(radii[1]) if isinstance(radii, tuple) else math.inf
        if departure.z_mm[0] <= z <= departure.z_mm[1] and r <= out:
            return True
    return False


def _bounds(rings: Sequence[Ring], length_mm: float, most: int) -> list[float]:
    """Heights that part the body into slices: ends of its segments, and even steps."""
    if most < _SLICES:
        return list(np.linspace(0.0, length_mm, most + 1).tolist())
    ends: list[Point] = [curve.start for ring in rings for curve in ring]
    steps = np.linspace(0.0, length_mm, _SLICES + 1).tolist()
    wanted = sorted({*(round(z, 6) for z, _ in ends), *steps})
    kept = [wanted[0]]
    for z in wanted[1:]:
        if z - kept[-1] > length_mm / (8 * _SLICES):
            kept.append(z)
    return kept if len(kept) <= most else kept[: -1 : math.ceil(len(kept) / most)] + kept[-1:]


def _radii(polygons: Sequence[Points], z: float, most: float) -> list[float]:
    """Radii in the middle between the body's own at a height, a few in each gap, and beyond."""
    crossed = [0.0, 1.1 * most]
    for polygon in polygons:
        a, b = polygon, np.roll(polygon, -1, axis=0)
        through = (a[:, 0] > z) != (b[:, 0] > z)
        a, b = a[through], b[through]
        share = (z - a[:, 0]) / (b[:, 0] - a[:, 0])
        crossed.extend((a[:, 1] + share * (b[:, 1] - a[:, 1])).tolist())
    crossed.sort()
    found = []
    for low, high in itertools.pairwise(crossed):
        if high - low > 4.0 * _CLEAR * most:
            clear = min(0.1 * (high - low), 10.0 * _CLEAR * most)
            many = max(1, round(_RADII * (high - low) / (1.1 * most)))
            found.extend(np.linspace(low + clear, high - clear, many + 1).tolist())
    return found


def _meets(classifier: BRepClass3d_SolidClassifier, z: float, r: float) -> bool:
    for angle in _ANGLES.tolist():
        classifier.Perform(gp_Pnt(r * math.cos(angle), r * math.sin(angle), z), 1e-9)
        if classifier.State() == TopAbs_IN:
            return True
    return False
