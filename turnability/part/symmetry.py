"""Whether a solid is a turned body: stated measures, and the reason in a designer's words.

Area alone misleads (two parallel planes hold nearly all of a plate's area), so two measures
decide: how much of its turned body the solid fills, and how much of that body's round outside
the solid really has.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from turnability.half_plane.curves import Curve
from turnability.part.kernel_faces import KernelFace
from turnability.part.profile import Piece, surface_of

LEAST_FILL = 0.55
"""A solid that fills less of its turned body is no turned part: most would be milled away."""
LEAST_COVER = 0.15
"""Least share of the turned body's outer lateral surface that the solid's turned faces cover."""
FULL_ENOUGH = 0.8
"""A solid that fills this much of its turned body needs no round outside (a hexagon fills 0.83)."""


@dataclass(frozen=True, slots=True)
class Measures:
    """Shares from 0 to 1; see the module. `gross_fill` counts bores as full."""

    turned_area: float
    fill: float
    cover: float
    gross_fill: float

    def reason(self) -> str | None:
        """Why the solid is no turned body, or None."""
        if self.fill < LEAST_FILL:
            return (
                f"the part fills only {self.fill:.0%} of the body that turning about the nearest "
                f"axis would give (a turned part fills at least {LEAST_FILL:.0%})"
            )
        if self.cover < LEAST_COVER and self.gross_fill < FULL_ENOUGH:
            return (
                f"only {self.cover:.0%} of the round outside about the nearest axis is there, and "
                f"the part fills only {self.gross_fill:.0%} of what is inside it (a turned part "
                f"has at least {LEAST_COVER:.0%} of its outside round, or fills at least "
                f"{FULL_ENOUGH:.0%})"
            )
        return None


def measure(
    faces: Sequence[KernelFace],
    turned: Collection[int],
    loops: Sequence[Sequence[Piece]],
    solid_volume_mm3: float,
    body_volume_mm3: float,
) -> Measures:
    """Measure a solid against its turned body. `turned`: indices of turned faces."""
    total = math.fsum(face.area_mm2 for face in faces)
    round_area = math.fsum(face.area_mm2 for face in faces if face.index in turned)
    lateral, gross = 0.0, 0.0
    bounding: set[int] = set()
    for loop in loops:
        for curve, indices in loop:
            if surface_of(curve) != "outer":
                continue
            lateral += _swept_area(curve)
            gross += curve.swept_volume()
            bounding.update(indices)
    covered = math.fsum(
        face.area_mm2
        for face in faces
        if face.index in turned and face.index in bounding and face.kind != "plane"
    )
    return Measures(
        round_area / total if total > 0.0 else 0.0,
        min(1.0, solid_volume_mm3 / body_volume_mm3) if body_volume_mm3 > 0.0 else 0.0,
        min(1.0, covered / lateral) if lateral > 0.0 else round_area / max(total, 1e-300),
        max(0.0, 1.0 - (body_volume_mm3 - solid_volume_mm3) / gross) if gross > 0.0 else 0.0,
    )


def _swept_area(curve: Curve) -> float:
    """Area in mm2 that a curve sweeps round the axis (Pappus on its chords)."""
    p = curve.flatten(1e-2)
    step = np.hypot(*np.diff(p, axis=0).T)
    return float((math.pi * (p[:-1, 1] + p[1:, 1]) * step).sum())
