"""The scale of a drawing, and where a thin ring or disc is drawn shortened across (broken view).

A ring of 200 mm whose section is 5 by 3 mm would be a speck if all of its bore were drawn. What
lies between its axis and its section, and is the same all along, is left out between two break
lines; everything else stays true to one scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from turnability.half_plane.curves import Point
from turnability.outputs._palette import FAINT_INK, PAPER
from turnability.outputs.drawing.scale import Scale
from turnability.outputs.drawing.sheet import Sheet
from turnability.part.model import Profile

TOO_THIN_PX = 60.0
"""A section that would be drawn thinner than this is worth a break."""
WISHED_PX = 120.0
GAP_PX = 30.0
_WORTH = 1.3
_KEEP_SHARE = 0.04
_CHORD_MM = 0.01
_UPRIGHT_MM = 1e-6
_TOOTH_PX = 9.0


def fitting_scale(
    profile: Profile,
    regions: Iterable[Sequence[Point]],
    levels_mm: Iterable[float],
    room_px: float,
    tallest_px: float,
) -> Scale:
    """The largest scale for that room, placed at 0, 0; broken where that shows much more.

    `regions` are polygons that are drawn too, `levels_mm` radii at which else something ends.
    """
    length, top = profile.length_mm, 0.5 * profile.max_diameter_mm
    plain = min(room_px / length, 0.5 * tallest_px / top)
    wall = top - 0.5 * (profile.through_bore_mm or 0.0)
    thin = min(length, wall)
    if thin * plain >= TOO_THIN_PX:
        return Scale(0.0, 0.0, plain)
    low, high = _plainest(profile, regions, levels_mm)
    wished = min(room_px / length, WISHED_PX / thin)
    true_px = 0.5 * tallest_px - GAP_PX
    cut = min(top - true_px / wished, high - low)
    if cut <= 0.0:
        return Scale(0.0, 0.0, plain)
    broken = min(wished, true_px / (top - cut))
    if broken < _WORTH * plain:
        return Scale(0.0, 0.0, plain)
    spare = 0.5 * (high - low - cut)
    return Scale(0.0, 0.0, broken, (low + spare, low + spare + cut), GAP_PX)


def draw_break(sheet: Sheet, scale: Scale, length_mm: float) -> None:
    """Two break lines above the axis and two below it, nothing between them."""
    if scale.gap_mm is None:
        return
    left, _ = scale.place((0.0, 0.0))
    right, _ = scale.place((length_mm, 0.0))
    for below in (False, True):
        ends = sorted(scale.place((0.0, r), below)[1] for r in scale.gap_mm)
        top, bottom = ends[0] + 0.25 * GAP_PX, ends[1] - 0.25 * GAP_PX
        sheet.box(left - 4.0, top, right - left + 8.0, bottom - top, fill=PAPER)
        for y in (top, bottom):
            sheet.polyline(_zigzag(left - 12.0, right + 12.0, y), FAINT_INK, 0.9)


def _zigzag(left: float, right: float, y: float) -> list[tuple[float, float]]:
    """A thin straight line with one tooth in its middle."""
    middle, half = 0.5 * (left + right), 0.5 * _TOOTH_PX
    return [
        (left, y),
        (middle - half, y),
        (middle - 0.5 * half, y - 0.4 * _TOOTH_PX),
        (middle + 0.5 * half, y + 0.4 * _TOOTH_PX),
        (middle + half, y),
        (right, y),
    ]


def _plainest(
    profile: Profile, regions: Iterable[Sequence[Point]], levels_mm: Iterable[float]
) -> tuple[float, float]:
    """The widest range of r that only lines at right angles to the axis cross, less a margin."""
    top = 0.5 * profile.max_diameter_mm
    taken = [(r, r) for r in levels_mm]
    chains = [
        [(float(z), float(r)) for z, r in segment.curve.flatten(_CHORD_MM)]
        for segment in profile.segments
    ]
    for chain in (*chains, *([*ring, ring[0]] for ring in regions if ring)):
        for (z0, r0), (z1, r1) in pairwise(chain):
            low, high = min(r0, r1), max(r0, r1)
            upright = abs(z1 - z0) <= _UPRIGHT_MM
            taken += [(low, low), (high, high)] if upright else [(low, high)]
    best, reached = (0.0, 0.0), 0.0
    for low, high in sorted([*taken, (top, top)]):
        if low - reached > best[1] - best[0]:
            best = (reached, low)
        reached = max(reached, high)
    margin = _KEEP_SHARE * (best[1] - best[0])
    return (best[0] + margin, best[1] - margin)
