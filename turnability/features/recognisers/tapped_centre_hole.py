"""Centre holes with a thread (DIN 332-2): a seat of 60 degrees or a curved one, and a relief.

The relief keeps the centre off the thread; the core below it stays a bore, a thread a thread.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from turnability.features import limits
from turnability.features.chain import Chain, Facing, spread
from turnability.features.drawing import Drawing, Step
from turnability.features.found import Example, Found
from turnability.features.model import Alternative, FeatureKind
from turnability.features.recognisers.centre_hole import (
    PROTECTED_DEG,
    SAME_DEG,
    SEAT_DEG,
    is_convex,
    is_end_face,
    is_inner_cone,
)
from turnability.features.sides import slope_deg
from turnability.features.standards.centre_holes import threaded_fitting
from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Segment

KIND: FeatureKind = "centre-hole"
RANK = 8


def find(chain: Chain) -> list[Found]:
    """Seat, relief and protecting countersink of either end, where their sizes are the standard's.

    `d_mm` is the core below, `relief_mm` the relief, `seat_mm` the seat's mouth. Sizes that are no
    standard's stay what they are: a stepped bore with a countersink.
    """
    found = []
    for end, face in _faces(chain):
        inward = _inward(chain, end, face)
        one = _read(chain, end, inward)
        if one is not None:
            found.append(one)
    return found


def _faces(chain: Chain) -> list[tuple[Facing, int]]:
    """The innermost face of either end, by its place among the segments."""
    found: list[tuple[Facing, int]] = []
    ends: tuple[tuple[Facing, float], ...] = (("low", 0.0), ("high", chain.length_mm))
    for end, level in ends:
        places = [
            (min(segment.curve.start[1], segment.curve.end[1]), i)
            for i, segment in enumerate(chain.segments)
            if is_end_face(segment)
            and abs(segment.curve.start[0] - level) <= limits.SAME_MM
            and abs(segment.curve.end[0] - level) <= limits.SAME_MM
        ]
        if places:
            found.append((end, min(places)[1]))
    return found


def _inward(chain: Chain, end: Facing, face: int) -> list[Segment]:
    """The five segments from the face's inner edge into the part."""
    n, step = len(chain.segments), 1 if end == "low" else -1
    return [chain.segments[(face + step * k) % n] for k in range(1, min(6, n))]


def _read(chain: Chain, end: Facing, inward: Sequence[Segment]) -> Found | None:
    if len(inward) < 5:
        return None
    protected = is_inner_cone(inward[0], PROTECTED_DEG - SAME_DEG, PROTECTED_DEG + SAME_DEG)
    seat, relief, step = inward[1:4] if protected else inward[:3]
    curved = isinstance(seat.curve, Arc) and seat.surface == "inner" and is_convex(seat.curve)
    if not curved and not is_inner_cone(seat, SEAT_DEG - SAME_DEG, SEAT_DEG + SAME_DEG):
        return None
    if curved and protected:
        return None
    if relief.surface != "inner" or not isinstance(relief.curve, Line):
        return None
    if slope_deg(relief.curve) > limits.STRAIGHT_DEG:
        return None
    core = 2.0 * min(step.curve.start[1], step.curve.end[1])
    form = "DR" if curved else "DS" if protected else "D"
    own = [*inward[: 2 if protected else 1], relief, step]
    d3 = 2.0 * relief.curve.start[1]
    mouth = 2.0 * max(seat.curve.start[1], seat.curve.end[1])
    z, diameter = spread(segment.curve for segment in own)
    if core >= d3 or not any(threaded_fitting(form, core, d3, mouth, diameter[1])):
        return None
    wound = any(
        thread.surface == "inner" and thread.z_mm[0] < z[1] + core and z[0] - core < thread.z_mm[1]
        for thread in chain.threads
    )
    return Found(
        KIND,
        "inner",
        z,
        diameter,
        tuple(segment.id for segment in own if segment.id not in chain.taken),
        {
            "form": form,
            "d_mm": core,
            "relief_mm": d3,
            "seat_mm": mouth,
            "depth_mm": z[1] - z[0],
            "facing": end,
        },
        alternative=None
        if wound
        else Alternative("bore", "its sizes suit a tapped centre hole; nothing in the solid winds"),
    )


def _tapped(*mouth: Step, core: float = 5.0, relief: float = 6.4) -> Drawing:
    """A bar of 40 by 60 with a tapped hole in its high end, 21 deep, relieved to 5 mm."""
    tip = 0.5 * core / math.tan(math.radians(60.0))
    return (
        (0, 0), (39 - tip, 0), (39, core / 2), (55, core / 2), (55, relief / 2), *mouth, (60, 20),
        (0, 20),
    )  # fmt: skip


_SEAT = 1.6 / math.tan(math.radians(30.0))
"""Axial length of the seat from 6.4 to 9.6."""
_GUARD = 0.45 / math.tan(math.radians(60.0))
"""Axial length of the protecting countersink from 9.6 to 10.5."""

EXAMPLES = (
    Example(
        "a counterbored hole with a chamfered mouth",
        ((0, 0), (39, 0), (39, 2.5), (55, 2.5), (55, 4), (59, 4), (60, 5), (60, 20), (0, 20)),
    ),
    Example(
        "a countersink of 60 degrees over a stepped bore of no standard's sizes",
        _tapped((60 - _SEAT, 3.5), (60, 5.1), relief=7.0),
    ),
    Example(
        "form D M6: d3 6.4, d4 9.6, t3 5",
        _tapped((60 - _SEAT, 3.2), (60, 4.8)),
        ({"form": "D", "d_mm": 5.0, "seat_mm": 9.6, "depth_mm": 5.0, "facing": "high",
          "matches": ("D M6",), "surface": "inner", "alternative": "bore"},),
    ),
    Example(
        "form DS M6: protected to 10.5",
        _tapped((60 - _GUARD - _SEAT, 3.2), (60 - _GUARD, 4.8), (60, 5.25)),
        ({"form": "DS", "diameter_mm": (5.0, 10.5), "matches": ("DS M6",)},),
    ),
)  # fmt: skip
