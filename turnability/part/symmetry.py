"""Whether a solid is a turned body: stated measures, and the reason in a designer's words.

Area alone misleads (two parallel planes hold nearly all of a plate's area), so two measures
decide: how much of its turned body the solid fills, and how much of that body's round outside
the solid really has. A cone turned on the corners of a bar stands for the latter: nothing but
turning makes it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.TopoDS import TopoDS_Edge

from turnability.half_plane.curves import Curve
from turnability.part.axis import SAME_LINE_MM, Line3, contract_direction
from turnability.part.kernel_faces import KernelFace
from turnability.part.profile import Piece, surface_of

LEAST_FILL = 0.55
"""A solid that fills less of its turned body is no turned part: most would be milled away."""
LEAST_COVER = 0.15
"""Least share of the turned body's outer lateral surface that the solid's turned faces cover."""
FULL_ENOUGH = 0.8
"""A solid that fills this much of its turned body needs no round outside (a hexagon fills 0.83)."""
LEAST_FILL_CUT = 0.35
"""Instead of `LEAST_FILL` where it is plain that a turned body was cut into, as a bar with a cross
hole nearly as wide as itself: all its outside turns but where it is cut, and somewhere whole."""
LEAST_COVER_CUT = 0.5
"""Likewise instead of `LEAST_COVER`."""
_ALL_CARRIED = 0.95
_WHOLE_TURN = 2.0 * math.pi - 1e-3
_CHORDS = 16

HEAVIEST = "about which the most round surface turns"
FILLED_BEST = "whose turned body the part fills best"
"""What makes an axis the nearest one of a part that none carries."""
LEAST_ROUND = 1e-3
"""Least share of the surface that turns about the nearest axis; below it none is looked into."""
LEAST_OF_BENT = 0.1
"""Likewise of the surface that is not flat."""


@dataclass(frozen=True, slots=True)
class Measures:
    """Shares from 0 to 1; see the module.

    `astray`: of the surface that is not flat and square to the axis, what does not turn about it.
    `gross_fill` counts bores as full. `coned`: a cone about the axis bounds the outside, as where
    the corners of a square bar are turned off. `cut_into`: turned faces carry all of the outside,
    and somewhere on it a whole circle, so that what is missing was cut out of a turned body.
    `at_most`: the fill is no more than a bound, and the other shares were not asked for.
    """

    turned_area: float
    astray: float
    fill: float
    cover: float
    gross_fill: float
    coned: bool = False
    cut_into: bool = False
    at_most: bool = False

    def reason(self, axis: str, which: str = HEAVIEST) -> str | None:
        """Why the solid is no turned body, or None.

        `axis`: where it lies, in words; `which`: what makes it the nearest one.
        """
        if self.cut_into and self.fill >= LEAST_FILL_CUT and self.cover >= LEAST_COVER_CUT:
            return None
        if self.fill < LEAST_FILL:
            how = "at most" if self.at_most else "only"
            short = (
                f"fills {how} {self.fill:.0%} of the body that turning about this axis would "
                f"give (a turned part fills at least {LEAST_FILL:.0%})"
            )
        elif self.cover < LEAST_COVER and self.gross_fill < FULL_ENOUGH and not self.coned:
            short = (
                f"has only {self.cover:.0%} of the round outside that turning about this axis "
                f"would give, and fills only {self.gross_fill:.0%} of what is inside it (a turned "
                f"part has at least {LEAST_COVER:.0%} of its outside round, or a cone turned on "
                f"its corners, or fills at least {FULL_ENOUGH:.0%})"
            )
        else:
            return None
        return (
            f"{self.astray:.0%} of the surface, its end faces left out, turns about no common "
            f"axis; the nearest axis, {which}, runs {axis}; the part {short}"
        )


def no_axis(
    faces: Sequence[KernelFace], line: Line3 | None, enlarged_by: float = 1.0
) -> str | None:
    """Why no axis is worth looking into, in words; None where one is."""
    total = math.fsum(face.area_mm2 for face in faces)
    bent = math.fsum(face.area_mm2 for face in faces if face.kind != "plane")
    if line is None or line.weight_mm2 <= LEAST_ROUND**2 * total:
        return "no surface of the part is round"
    if line.weight_mm2 < LEAST_ROUND * total:
        return (
            f"only {line.weight_mm2 / total:.2%} of the surface is round about one axis (a turned "
            f"part has at least {LEAST_ROUND:.1%}); the nearest axis runs "
            f"{axis_words(line, enlarged_by)}"
        )
    if line.weight_mm2 < LEAST_OF_BENT * bent:
        return (
            f"{1.0 - line.weight_mm2 / bent:.0%} of the surface that is not flat turns about no "
            f"common axis (a turned part: at most {1.0 - LEAST_OF_BENT:.0%}); the nearest axis "
            f"runs {axis_words(line, enlarged_by)}"
        )
    return None


def axis_words(line: Line3, enlarged_by: float = 1.0) -> str:
    """Where a line lies in the model: "along z through (10, 0, 0)", mm before it was enlarged."""
    direction = np.array(contract_direction(line.direction))
    foot = np.array(line.point) - float(np.dot(line.point, direction)) * direction
    along = f"({', '.join(_short(c) for c in direction)})"
    for name, unit in zip("xyz", np.eye(3), strict=True):
        if float(np.abs(direction - unit).max()) < 1e-6:
            along = name
    return f"along {along} through ({', '.join(_short(c / enlarged_by) for c in foot)}) mm"


def _short(number: float) -> str:
    return f"{round(float(number), 3) + 0.0:g}"


def measure(
    faces: Sequence[KernelFace],
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
    turned: frozenset[int],
    loops: Sequence[Sequence[Piece]],
    solid_volume_mm3: float,
    body_volume_mm3: float,
) -> Measures:
    """Measure a solid in its axis frame against its turned body.

    `turned`: indices of turned faces; `edges`: with those of the faces that they bound.
    """
    total = math.fsum(face.area_mm2 for face in faces)
    round_area = math.fsum(face.area_mm2 for face in faces if face.index in turned)
    lateral, gross, carried = 0.0, 0.0, 0.0
    bounding: set[int] = set()
    for loop in loops:
        for curve, indices in loop:
            if surface_of(curve) != "outer":
                continue
            swept = _swept_area(curve)
            lateral += swept
            if not turned.isdisjoint(indices):
                carried += swept
            gross += curve.swept_volume()
            bounding.update(indices)
    covered = math.fsum(
        face.area_mm2
        for face in faces
        if face.index in turned and face.index in bounding and face.kind != "plane"
    )
    cones = {face.index for face in faces if face.kind == "cone"} & bounding & turned
    level = math.fsum(f.area_mm2 for f in faces if f.index in turned and f.kind == "plane")
    fill = min(1.0, solid_volume_mm3 / body_volume_mm3) if body_volume_mm3 > 0.0 else 0.0
    cut_into = (
        LEAST_FILL_CUT <= fill < LEAST_FILL
        and carried >= _ALL_CARRIED * lateral > 0.0
        and has_whole_circle([edge for edge, of in edges if not bounding.isdisjoint(of)])
    )
    return Measures(
        round_area / total if total > 0.0 else 0.0,
        (total - round_area) / max(total - level, 1e-300),
        fill,
        min(1.0, covered / lateral) if lateral > 0.0 else round_area / max(total, 1e-300),
        max(0.0, 1.0 - (body_volume_mm3 - solid_volume_mm3) / gross) if gross > 0.0 else 0.0,
        bool(cones),
        cut_into,
    )


def has_whole_circle(edges: Sequence[TopoDS_Edge]) -> bool:
    """Whether some of the edges make up a whole circle about z."""
    arcs: list[list[float]] = []  # z, r and the radians that are there
    for edge in edges:
        curve = BRepAdaptor_Curve(edge)
        low, high = curve.FirstParameter(), curve.LastParameter()
        at = (curve.Value(low + (high - low) * k / _CHORDS) for k in range(_CHORDS + 1))
        p = np.array([(q.X(), q.Y(), q.Z()) for q in at])
        r = np.hypot(p[:, 0], p[:, 1])
        if max(np.ptp(p[:, 2]), np.ptp(r)) > SAME_LINE_MM or r[0] <= SAME_LINE_MM:
            continue
        turn = float(np.abs(np.diff(np.unwrap(np.arctan2(p[:, 1], p[:, 0])))).sum())
        for arc in arcs:
            if max(abs(arc[0] - p[0, 2]), abs(arc[1] - r[0])) <= 2.0 * SAME_LINE_MM:
                arc[2] += turn
                break
        else:
            arcs.append([float(p[0, 2]), float(r[0]), turn])
    return any(turn >= _WHOLE_TURN for _, _, turn in arcs)


def _swept_area(curve: Curve) -> float:
    """Area in mm2 that a curve sweeps round the axis (Pappus on its chords)."""
    p = curve.flatten(1e-2)
    step = np.hypot(*np.diff(p, axis=0).T)
    return float((math.pi * (p[:-1, 1] + p[1:, 1]) * step).sum())
