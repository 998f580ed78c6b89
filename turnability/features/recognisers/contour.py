"""Contours: runs of arcs, splines and chords that are no finish of a corner."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.doubts import near_fillet
from turnability.features.drawing import ArcTo, SplineThrough
from turnability.features.found import Example, Found
from turnability.features.grooving import near_groove
from turnability.features.model import Alternative, FeatureKind
from turnability.features.places import end_form, throat
from turnability.features.sides import Side, is_parallel, is_slanted, turn_deg
from turnability.half_plane.curves import Arc, Curve, Line
from turnability.part.model import Parameter

KIND: FeatureKind = "contour"
RANK = 45
_CHORD_SHARE = 1.5
"""Chords of one curve are about as long (our choice)."""


def find(chain: Chain) -> list[Found]:
    """Runs of free curves without an edge between them, each with its steepest slopes."""
    found = []
    for run in _runs(chain):
        segments = [side.segment for side in run if side.segment]
        z, diameter = spread(segment.curve for segment in segments)
        surfaces = {segment.surface for segment in segments}
        surface: Literal["outer", "inner", "end"] = "end"
        if "outer" in surfaces or "inner" in surfaces:
            surface = "inner" if "inner" in surfaces and "outer" not in surfaces else "outer"
        ids = tuple(segment.id for segment in segments)
        found.append(
            Found(
                KIND,
                surface,
                z,
                diameter,
                ids,
                _parameters(chain, run, surface),
                alternative=_other(chain, run),
            )
        )
    return found


def _other(chain: Chain, run: Sequence[Side]) -> Alternative | None:
    """A single arc may be a radius groove; one tangent at both ends a large fillet."""
    curve = run[0].curve
    if len(run) > 1 or not isinstance(curve, Arc):
        return None
    if (groove := near_groove(chain, run[0])) is not None:
        return groove
    place = next(i for i, side in enumerate(chain.sides) if side is run[0])
    before, after = chain.sides[place - 1], chain.sides[(place + 1) % len(chain.sides)]
    joints = (turn_deg(before.curve, curve), turn_deg(curve, after.curve))
    tangent = all(abs(turn) <= limits.TANGENT_DEG for turn in joints)
    if not tangent or "axis" in (before.surface, after.surface):
        return None
    return near_fillet(curve)


def _runs(chain: Chain) -> list[list[Side]]:
    """Free curves in a row; slanted lines only where at least `limits.CHORDS` follow on."""
    free = {id(side) for side, _ in chain.free()}
    sides = chain.sides
    n = len(sides)
    chords = _chords(sides)
    curved = [
        id(side) in free and (not isinstance(side.curve, Line) or i in chords)
        for i, side in enumerate(sides)
    ]

    def joined(i: int) -> bool:
        """Side i goes on from the one before it."""
        before = sides[i - 1]
        return (
            curved[i]
            and curved[i - 1]
            and abs(turn_deg(before.curve, sides[i].curve)) < limits.EDGE_DEG
            and before.surface == sides[i].surface
        )

    runs: list[list[Side]] = []
    begin = next((i for i in range(n) if not joined(i)), 0)
    for k in range(n):
        i = (begin + k) % n
        if not curved[i]:
            continue
        if runs and joined(i) and runs[-1][-1] is sides[i - 1]:
            runs[-1].append(sides[i])
        else:
            runs.append([sides[i]])
    return runs


def _chords(sides: Sequence[Side]) -> set[int]:
    """Slanted lines in rows of at least `limits.CHORDS` that turn a little at each joint."""
    chords: set[int] = set()
    row: list[int] = []
    for i, side in enumerate(sides):
        goes_on = bool(row) and abs(turn_deg(sides[i - 1].curve, side.curve)) < limits.EDGE_DEG
        if is_slanted(side.curve) and side.surface != "axis" and (goes_on or not row):
            row.append(i)
        else:
            row = [i] if is_slanted(side.curve) and side.surface != "axis" else []
        if len(row) >= limits.CHORDS:
            chords.update(row)
    return chords | {i for i in range(len(sides)) if _is_level_chord(sides, i, chords)}


def _is_level_chord(sides: Sequence[Side], i: int, chords: set[int]) -> bool:
    """A line along the axis that is no longer than the chords that it joins without an edge: where
    their curve is level."""
    side, n = sides[i], len(sides)
    if not is_parallel(side.curve) or side.surface not in ("outer", "inner"):
        return False
    beside = [
        sides[k].curve.length()
        for k, turn in (
            ((i - 1) % n, turn_deg(sides[i - 1].curve, side.curve)),
            ((i + 1) % n, turn_deg(side.curve, sides[(i + 1) % n].curve)),
        )
        if k in chords and abs(turn) < limits.EDGE_DEG
    ]
    return bool(beside) and side.curve.length() <= _CHORD_SHARE * max(beside)


def _parameters(chain: Chain, run: Sequence[Side], surface: str) -> dict[str, Parameter]:
    """Steepest slope (degrees from the axis) where the diameter falls toward either end, radius;
    whether it closes an end, and the throat that it makes or leads to inside."""
    falls = {"low": 0.0, "high": 0.0}
    for side in run:
        for dz, dr in _directions(side.curve):
            steep = math.degrees(math.atan2(abs(dr), abs(dz)))
            if steep > limits.STRAIGHT_DEG:
                toward = "low" if dz * dr > 0.0 else "high"
                falls[toward] = max(falls[toward], steep)
    arcs = [side.curve.radius for side in run if isinstance(side.curve, Arc)]
    return {
        "steepest_toward_low_deg": falls["low"],
        "steepest_toward_high_deg": falls["high"],
        "radius_mm": arcs[0] if len(run) == 1 and arcs else None,
        "form": next((form for form in (end_form(chain, side) for side in run) if form), None),
        "throat_diameter_mm": _throat(chain, run) if surface == "inner" else None,
    }


def _throat(chain: Chain, run: Sequence[Side]) -> float | None:
    """The narrowest diameter of an inside curve, or beside it, from which it widens both ways."""
    (_, _), (small, _) = spread(side.curve for side in run)
    ends = (2.0 * run[0].curve.start[1], 2.0 * run[-1].curve.end[1])
    if small <= 2.0 * limits.SAME_MM:
        return None
    if min(ends) > small + 2.0 * limits.SAME_MM:
        return small
    found = [throat(chain, side) for side in run]
    return next((at[1] for at in found if at is not None), None)


def _directions(curve: Curve) -> list[tuple[float, float]]:
    """Directions among which the steepest ones are: an arc's lie at its ends and quarters."""
    if isinstance(curve, Arc):
        inset = 1e-9
        begin, sweep = curve.start_angle(), curve.sweep()
        quarters = [(k * math.pi / 2.0 - begin) / sweep for k in range(-8, 9)]
        shares = [inset, 1.0 - inset]
        shares += [q + d for q in quarters if inset < q < 1.0 - inset for d in (-inset, inset)]
        return [curve.direction(t) for t in shares]
    points = curve.flatten(limits.SAME_MM)
    steps = [(float(dz), float(dr)) for dz, dr in points[1:] - points[:-1]]
    return [step for step in steps if step != (0.0, 0.0)]


EXAMPLES = (
    Example("a plain pin", ((0, 0), (20, 0), (20, 5), (0, 5))),
    Example(
        "a rounded edge is a fillet",
        ((0, 0), (20, 0), (20, 4), ArcTo(19, 5, (19, 4), False), (0, 5)),
    ),
    Example(
        "three cones in a row are three tapers",
        ((0, 0), (60, 0), (60, 8), (40, 10), (20, 11), (0, 9)),
    ),
    Example(
        "a half ball at the high end",
        ((0, 0), (20, 0), ArcTo(15, 5, (15, 0), False), (0, 5)),
        ({"z_mm": (15, 20), "diameter_mm": (0, 10), "radius_mm": 5.0, "surface": "outer",
          "steepest_toward_high_deg": 90.0, "steepest_toward_low_deg": 0.0,
          "form": "convex end"},),
    ),
    Example(
        "a round seat in an end, as a ball sits in",
        ((0, 0), (50, 0), ArcTo(60, 10, (60, 0), True), (60, 15), (0, 15)),
        ({"z_mm": (50, 60), "surface": "inner", "form": "concave end", "radius_mm": 10.0},),
    ),
    Example(
        "the round throat of a nozzle",
        ((0, 9), (10, 9), ArcTo(30, 9, (20, 19), False), (40, 9), (40, 20), (0, 20)),
        ({"z_mm": (10, 30), "surface": "inner",
          "throat_diameter_mm": 2 * (19 - 200**0.5)},),
    ),
    Example(
        "a ball track nearly narrow enough for a groove",
        ((0, 0), (60, 0), (60, 15), (35, 15), ArcTo(25, 15, (30, 18.75), True), (0, 15)),
        ({"z_mm": (25, 35), "radius_mm": 6.25, "alternative": "groove"},),
    ),
    Example(
        "a spline body",
        ((0, 0), (40, 0), (40, 6), SplineThrough(((30, 8), (20, 9), (10, 8), (0, 6)))),
        ({"z_mm": (0, 40), "diameter_mm": (12, 18), "radius_mm": None},),
    ),
    Example(
        "a curve saved as short cones",
        ((0, 0), (50, 0), (50, 10), (40, 9.5), (30, 8.5), (20, 7), (10, 5), (0, 2.5)),
        ({"z_mm": (0, 50), "diameter_mm": (5, 20), "steepest_toward_high_deg": 0.0},),
    ),
    Example(
        "a crown saved as chords, the middle one level",
        ((0, 0), (90, 0), (90, 8.4), (80, 9.1), (70, 9.6), (60, 9.9), (50, 10), (40, 10),
         (30, 9.9), (20, 9.6), (10, 9.1), (0, 8.4)),
        ({"z_mm": (0, 90), "diameter_mm": (16.8, 20)},),
    ),
    Example(
        "a nose saved as chords that runs into its shank: the shank is none of them",
        ((0, 0), (90, 0), (90, 8.4), (80, 9.1), (70, 9.6), (60, 9.9), (50, 10), (0, 10)),
        ({"z_mm": (50, 90), "diameter_mm": (16.8, 20)},),
    ),
)  # fmt: skip
