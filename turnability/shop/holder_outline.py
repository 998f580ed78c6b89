"""Bodies behind a cutting corner: the outside holder's head and shank, the boring bar.

Drawn in the frame of `corner.py` (an outside tool, the body toward +r); bars are mirrored later.
"""

from __future__ import annotations

import math

from turnability.half_plane.curves import Point, Ring, line_ring
from turnability.shop.books import practice
from turnability.shop.corner import Corner
from turnability.shop.rings import box, hull

ENDLESS_MM = 400.0
"""How long the last piece of a body is drawn; it goes on without end beyond (report contract)."""


def holder_body(
    corner: Corner, f_mm: float, shank_mm: float, head_mm: float | None
) -> tuple[Ring, Ring]:
    """Head and shank of an outside holder.

    `f_mm` lies between the shank's back side (toward +z) and the programmed point. The head stands
    back behind the insert's edges, goes on along the lines of its two edges to the shank's sides
    and ends at `head_mm` above the programmed point, or higher where the insert needs it.
    """
    setback = practice("seat_setback").value
    seat = corner.seat(setback)
    back, front = f_mm, f_mm - shank_mm
    if head_mm is None:
        head_mm = practice("head_length_per_shank").value * shank_mm
    head = max(head_mm, max(r for _, r in seat) + setback)
    corners: list[Point] = list(seat)
    if corner.angles_deg:
        (z0, r0), trailing, leading = seat[0], seat[1], seat[-1]
        minor, lead = math.radians(corner.minor_deg), math.radians(corner.leading_deg)
        if back > trailing[0]:
            corners.append((back, r0 + (back - z0) * math.tan(minor)))
            head = max(head, corners[-1][1])
        if corner.leading_deg > 90.0 + 1e-9:
            if front < leading[0]:
                corners.append((front, r0 + (front - z0) * math.tan(lead)))
                head = max(head, corners[-1][1])
            corners.append((min(front, leading[0]), head))
        else:
            top = z0 + (head - r0) / math.tan(lead)
            if top <= front or front <= z0:  # the shank begins as a step beside the head
                corners.append((top, head))
            else:
                meets = r0 + (front - z0) * math.tan(lead)
                if meets > leading[1]:
                    corners.append((front, meets))
                corners.append((front, head))
    else:
        corners.append((max(front, -corner.nose_mm), head))
    corners.append((back, head))
    return line_ring(hull(corners)), box(front, head, back, head + ENDLESS_MM)


def bar_body(
    corner: Corner,
    sides_mm: tuple[float, float],
    overhang_mm: float,
    block_mm: tuple[float, float] | None,
    *,
    head_near_mm: float | None = None,
    clipped: bool = False,
    with_head: bool = True,
) -> tuple[Ring, ...]:
    """Head, bar and clamping block of a boring bar, by their distance from the tip's radius.

    The bar lies between the two `sides_mm`, f - d/2 and f + d/2; the block that holds it begins
    at the overhang and lies between the two `block_mm`. The head's front follows the leading edge
    to the bar's far side; its back follows the trailing edge to the bar's near side, or falls to
    it under 45 degrees from where the insert ends (`head_near_mm` keeps that place for a bar drawn
    thinner). `clipped` cuts the head off at the bar's far side.
    """
    near, far = sides_mm
    seat = corner.seat(practice("seat_setback").value)
    root = _root(corner, seat, near if head_near_mm is None else head_near_mm)
    if head_near_mm is not None:
        root = max(root, max(seat)[0])
    front = min(z for z, _ in seat)
    if corner.angles_deg and corner.leading_deg < 90.0 - 1e-9:
        front = seat[0][0] + (far - seat[0][1]) / math.tan(math.radians(corner.leading_deg))
    if clipped:
        seat = [(z, min(r, far)) for z, r in seat]
    foot = max(root, front)
    end = max(overhang_mm, foot + 1.0)
    rings: list[Ring] = []
    if with_head:
        rings.append(line_ring(hull([*seat, (front, far), (foot, far), (root, near)])))
    rings.append(line_ring([(root, near), (end, near), (end, far), (foot, far)]))
    if block_mm is not None:
        rings.append(box(end, block_mm[0], end + ENDLESS_MM, block_mm[1]))
    return tuple(rings)


def _root(corner: Corner, seat: list[Point], near: float) -> float:
    """Where the bar's near side begins behind the insert."""
    if corner.angles_deg and seat[1][1] >= near:
        (z, r), minor = seat[0], math.radians(corner.minor_deg)
        return max(z, z + (near - r) / math.tan(minor))
    return near + max(z - r for z, r in seat)
