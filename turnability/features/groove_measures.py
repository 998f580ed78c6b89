"""What is measured of a groove or recess: its sizes, its section's form, how many there are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.found import Found
from turnability.features.grooving import Cut, taper_deg
from turnability.features.sides import is_parallel, is_radial, turn_deg
from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Parameter


def measures(chain: Chain, groove: Cut, reverse: bool) -> dict[str, Parameter]:
    """Width, depth, floor radius, wall angles; `reverse` where the chain runs from high to low."""
    first, last = groove.hollow.slopes_deg
    measured: dict[str, Parameter] = {
        "width_mm": groove.hollow.width_mm,
        "depth_mm": groove.depth_mm,
        "floor_radius_mm": floor_radius_mm(chain, groove),
        "wall_angles_deg": (last, first) if reverse else (first, last),
        "form": form(groove),
    }
    if groove.relief is not None:
        measured["at_shoulder"] = groove.relief.shoulder
        if groove.relief.face is not None:
            measured["length_mm"] = groove.relief.length_mm
            measured["face_depth_mm"] = groove.relief.face_mm
    return measured


def form(
    groove: Cut,
) -> Literal["square", "T", "V", "U", "round", "dovetail", "half dovetail", "trapezoidal"] | None:
    """What the trade calls its section; None for any other.

    Square: two upright walls on a flat floor; T: below the mouth it is wider than that. V: two
    walls that meet, or run into one arc. U: two upright walls that run into one arc. Round: one
    arc. Dovetail: two undercut walls on a flat floor; half dovetail: one undercut, one upright.
    Trapezoidal: two walls that open outward.
    """
    first, last = groove.hollow.slopes_deg
    own = groove.own
    if len(own) == 1 and isinstance(own[0].curve, Arc):
        return "round"
    most = limits.UPRIGHT_DEG + limits.STRAIGHT_DEG
    upright = max(abs(first), abs(last)) <= most
    curved = [side.curve for side in own if not isinstance(side.curve, Line)]
    if curved and not (len(own) == 3 and len(curved) == 1 and isinstance(curved[0], Arc)):
        return None
    steepest = 90.0 - limits.SHALLOW_FLANK_DEG + limits.STRAIGHT_DEG
    if len(own) - len(curved) == 2 and min(first, last) > limits.DOUBT_DEG:
        return "V" if max(first, last) <= steepest else None
    if curved:
        return "U" if upright else None
    if upright:
        return "T" if len(own) > 3 and _is_wider_below(groove) else "square"
    if max(first, last) < -most:
        return "dovetail"
    if min(first, last) < -most:
        return "half dovetail" if max(first, last) <= most else None
    flat = len(own) == 3 and is_parallel(own[1].curve) != is_radial(own[1].curve)
    return "trapezoidal" if flat and min(first, last) > most else None


def _is_wider_below(groove: Cut) -> bool:
    """Its own sides reach farther than its mouth, along the mouth."""
    (z0, r0), (z1, r1) = groove.hollow.mouth
    z, d = spread(side.curve for side in groove.own)
    along = abs(z1 - z0) >= abs(r1 - r0)
    low, high = sorted((z0, z1)) if along else sorted((2.0 * r0, 2.0 * r1))
    span = z if along else d
    return span[0] < low - limits.SAME_MM or span[1] > high + limits.SAME_MM


def floor_radius_mm(chain: Chain, groove: Cut) -> float | None:
    """The smallest radius of its inside corners and floor arcs: 0 where a corner is sharp.

    None where nothing at the floor has a radius that could be told (a spline).
    """
    radii: list[float] = []
    for before, after in pairwise(groove.hollow.sides):
        if not any(side is own for own in groove.own for side in (before, after)):
            continue
        if turn_deg(before.curve, after.curve) > -limits.CORNER_DEG:
            continue
        corner = [f for f in chain.finishes if f.between == before.ids + after.ids]
        fillets = [f for f in corner if f.kind == "fillet" and isinstance(f.curve, Arc)]
        radii += [f.curve.radius for f in fillets if isinstance(f.curve, Arc)] or [0.0]
    for side in groove.own:
        if isinstance(side.curve, Arc) and side.curve.clockwise:
            radii.append(side.curve.radius)
    return min(radii) if radii else None


def in_taper_deg(chain: Chain, groove: Cut) -> dict[str, Parameter]:
    """The slope of the taper that a groove is sunk into, where both its lips stand on one."""
    slope = taper_deg(chain, groove.hollow)
    return {} if slope is None else {"in_taper_deg": slope}


def alike(found: Sequence[Found]) -> list[Found]:
    """Each of several equal hollows knows how many they are and, where even, their spacing."""
    told = []
    for one in found:
        same = [other for other in found if _equal(one, other)]
        if len(same) > 1:
            places = sorted(0.5 * sum(other.z_mm) for other in same)
            steps = [b - a for a, b in pairwise(places)]
            even = max(steps) - min(steps) <= 2.0 * limits.SAME_MM
            more: dict[str, Parameter] = {
                "alike": len(same),
                "spacing_mm": sum(steps) / len(steps) if even else None,
            }
            told.append(replace(one, parameters={**one.parameters, **more}))
        else:
            told.append(one)
    return told


def _equal(a: Found, b: Found) -> bool:
    spans = (*a.diameter_mm, *_sizes(a)), (*b.diameter_mm, *_sizes(b))
    return len(spans[0]) == len(spans[1]) and all(
        abs(x - y) <= 2.0 * limits.SAME_MM for x, y in zip(*spans, strict=True)
    )


def _sizes(one: Found) -> tuple[float, ...]:
    walls = one.parameters.get("wall_angles_deg")
    floor = one.parameters.get("floor_radius_mm")
    mirrored = tuple(sorted(walls)) if isinstance(walls, tuple) else ()
    radius = (floor,) if isinstance(floor, float | int) else ()
    return (one.z_mm[1] - one.z_mm[0], *mirrored, *radius)
