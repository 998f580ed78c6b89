"""Centre holes for a lathe centre: a pilot and a seat of 60 degrees, or a curved one, in an end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from turnability.features import limits
from turnability.features.chain import Chain, Facing, spread
from turnability.features.drawing import ArcTo, Drawing, Step
from turnability.features.found import Example, Found
from turnability.features.model import FeatureKind
from turnability.features.sides import slope_deg
from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Segment

KIND: FeatureKind = "centre-hole"
RANK = 6
SEAT_DEG = 30.0
PROTECTED_DEG = 60.0
SAME_DEG = 0.5
_TIP_DEG = (55.0, 60.5)
"""Half of the pilot's point angle, 110 to 121 degrees (centre drills have 118 or 120)."""
_LONGEST_PILOT = 3.0
"""Longer pilots, in diameters, are bores with a countersink (common practice)."""
_SEAT = (1.5, 4.0)
"""The seat's mouth in pilot diameters (the standard has 2.1)."""


@dataclass(frozen=True, slots=True)
class _Hole:
    form: Literal["A", "B", "C", "R"]
    pilot_mm: float
    seat_mm: float
    segments: tuple[Segment, ...]


def find(chain: Chain) -> list[Found]:
    """The centre hole of either end: form, pilot `d_mm`, seat `mouth_mm`, all its segments."""
    segments = chain.segments
    on_axis = [i for i, segment in enumerate(segments) if segment.surface == "axis"]
    if not on_axis:
        return []
    found = []
    n = len(segments)
    outward: dict[Facing, list[Segment]] = {
        "high": [segments[(on_axis[-1] + k) % n] for k in range(1, n)],
        "low": [segments[(on_axis[0] - k) % n] for k in range(1, n)],
    }
    for end, run in outward.items():
        hole = _read(run)
        if hole is None:
            continue
        z, diameter = spread(segment.curve for segment in hole.segments)
        level = 0.0 if end == "low" else chain.length_mm
        if min(abs(z[0] - level), abs(z[1] - level)) > limits.SAME_MM:
            continue
        found.append(
            Found(
                KIND,
                "inner",
                z,
                diameter,
                tuple(segment.id for segment in hole.segments),
                {
                    "form": hole.form,
                    "d_mm": hole.pilot_mm,
                    "seat_mm": hole.seat_mm,
                    "depth_mm": z[1] - z[0],
                    "facing": end,
                },
            )
        )
    return found


def _read(run: Sequence[Segment]) -> _Hole | None:
    """From the axis outward: point, pilot, seat, a protecting countersink, and then the face."""
    if len(run) < 4:
        return None
    tip, pilot, seat, after = run[:4]
    if not is_inner_cone(tip, *_TIP_DEG) and tip.surface != "end":
        return None
    if not isinstance(pilot.curve, Line) or slope_deg(pilot.curve) > limits.STRAIGHT_DEG:
        return None
    d = 2.0 * pilot.curve.start[1]
    (low, high), _ = spread([tip.curve, pilot.curve])
    if high - low > _LONGEST_PILOT * d or pilot.surface != "inner" or seat.surface != "inner":
        return None
    mouth = 2.0 * max(seat.curve.start[1], seat.curve.end[1])
    if not _SEAT[0] * d <= mouth <= _SEAT[1] * d:
        return None
    if is_inner_cone(seat, SEAT_DEG - SAME_DEG, SEAT_DEG + SAME_DEG):
        if is_inner_cone(after, PROTECTED_DEG - SAME_DEG, PROTECTED_DEG + SAME_DEG):
            return _Hole("B", d, mouth, tuple(run[:4])) if is_end_face(run[4]) else None
        if not is_end_face(after):
            return None
        guard = run[4] if len(run) > 5 else after
        if is_inner_cone(guard, SEAT_DEG - SAME_DEG, SEAT_DEG + SAME_DEG) and is_end_face(run[5]):
            return _Hole("C", d, mouth, tuple(run[:5]))
        return _Hole("A", d, mouth, tuple(run[:3]))
    if isinstance(seat.curve, Arc) and is_convex(seat.curve) and is_end_face(after):
        return _Hole("R", d, mouth, tuple(run[:3]))
    return None


def is_inner_cone(segment: Segment, least: float, most: float) -> bool:
    """A line of the inside whose angle to the axis lies between two (degrees)."""
    return (
        isinstance(segment.curve, Line)
        and segment.surface == "inner"
        and least <= slope_deg(segment.curve) <= most
    )


def is_end_face(segment: Segment) -> bool:
    """A flat surface that looks along the axis."""
    return segment.surface == "end" and isinstance(segment.curve, Line)


def is_convex(arc: Arc) -> bool:
    """The seat bulges toward the axis, so that a centre touches it in a ring."""
    return not arc.clockwise and abs(arc.sweep()) < math.pi / 2.0 + 1e-6


def _holed(*seat: Step, d: float = 2.5, pilot: float = 2.0) -> Drawing:
    """A bar of 40 by 60 with a centre hole in its high end, its point of 120 degrees."""
    tip = 0.5 * d / math.tan(math.radians(60.0))
    z, r = seat[0] if isinstance(seat[0], tuple) else (0.0, 0.0)
    return (
        (0, 0), (z - pilot - tip, 0), (z - pilot, d / 2), (z, r), *seat[1:], (60, 20), (0, 20),
    )  # fmt: skip


_DEEP = 1.4 / math.tan(math.radians(30.0))
"""Axial length of the seat from 2.5 to 5.3."""
_WIDE = 1.35 / math.tan(math.radians(60.0))
"""Axial length of the protecting countersink from 5.3 to 8."""

_GUARD = 0.5 / math.tan(math.radians(30.0))
"""Axial length of form C's guard from 9 to 10."""

EXAMPLES = (
    Example(
        "a countersunk blind hole of 90 degrees",
        ((0, 0), (40, 0), (41.5, 2.5), (57.5, 2.5), (60, 5), (60, 20), (0, 20)),
    ),
    Example(
        "a deep hole with a seat of 60 degrees is a bore with a countersink",
        _holed((60 - _DEEP, 1.25), (60, 2.65), pilot=12.0),
    ),
    Example(
        "form A 2.5",
        _holed((60 - _DEEP, 1.25), (60, 2.65)),
        ({"form": "A", "d_mm": 2.5, "seat_mm": 5.3, "facing": "high", "matches": ("A2.5/5.3",),
          "surface": "inner"},),
    ),
    Example(
        "form B 2.5",
        _holed(
            (60 - _WIDE - _DEEP, 1.25), (60 - _WIDE, 2.65), (60, 4)
        ),
        ({"form": "B", "d_mm": 2.5, "seat_mm": 5.3, "diameter_mm": (0, 8),
          "matches": ("B2.5/8",)},),
    ),
    Example(
        "form C 2.5: behind a flat ring a truncated guard",
        _holed(
            (60 - _GUARD - _DEEP, 1.25), (60 - _GUARD, 2.65), (60 - _GUARD, 4.5), (60, 5.0)
        ),
        ({"form": "C", "d_mm": 2.5, "seat_mm": 5.3, "diameter_mm": (0, 10),
          "matches": ("C2.5/10",)},),
    ),
    Example(
        "form R 4",
        _holed(
            (60 - 6.6, 2.0), ArcTo(60, 4.25, (53.67572796, 11.99619798), False),
            d=4.0, pilot=3.0,
        ),
        ({"form": "R", "d_mm": 4.0, "matches": ("R4/8.5",)},),
    ),
)  # fmt: skip
