"""The smallest change of a part, in round steps, with which its work bends no more than it may.

Each try is the whole calculation again on the changed part, held the same way: thicker where the
outside gives most, or shorter there. What is found is what holds, not what a formula hopes for.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from turnability.half_plane.curves import Arc, Curve, Line, Point
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile, Segment
from turnability.part.profile import make_profile
from turnability.setups.bending.bend import with_bending
from turnability.setups.bending.carry import share_of
from turnability.setups.holding.slender import stick_out_mm
from turnability.setups.model import Setup
from turnability.shop.model import Shop
from turnability.stock.choose import choose_stock

STEP_MM = 0.5
"""Diameters are tried in steps of so much, and lengths where they are short."""
STEPS = 0.02
"""Lengths are tried in steps of this share of theirs."""
THICKEST = 1.6
"""A diameter is asked to grow by no more than this factor, nor beyond the part's largest."""
SHORTEST = 0.4
"""A stretch is asked to keep no less than this share of its length."""
_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Stiffer:
    """What would hold: the outside of `diameter_mm` (over `z_mm`) thicker, or shorter by so much.

    Each is None where no step within bounds holds. `most_mm` is the thickest that was tried,
    `cut_mm` the most that was taken off; None where the shape does not let that be tried.
    """

    diameter_mm: float
    z_mm: tuple[float, float]
    thicker_mm: float | None
    shorter_by_mm: float | None
    most_mm: float | None = None
    cut_mm: float | None = None


def stiffer(
    part: Part,
    setups: Sequence[Setup],
    n: int,
    shop: Shop,
    intent: Intent | None = None,
    lathe: str | None = None,
) -> Stiffer | None:
    """For the n-th of the setups; None where its free length has no straight outside."""
    profile = part.profile
    if profile is None:
        return None
    setup = setups[n]
    weak = _weakest(profile, setup)
    if not weak:
        return None
    diameter = 2.0 * weak[0].curve.start[1]
    longest = max(weak, key=lambda s: s.curve.length())
    low, high = longest.ends_z_mm

    def holds(changed: Profile | None, by: float = 0.0) -> bool:
        if changed is None:
            return False
        moved = [_moved(one, by) for one in setups[: n + 1]]
        other = replace(part, profile=changed)
        bent = with_bending(
            other,
            moved,
            choose_stock(changed, shop),
            shop,
            intent,
            lathe=lathe,
            lands_alone=True,
        )
        return 0.0 < share_of(bent[n]) <= 1.0

    most = min(THICKEST * diameter, max(profile.max_diameter_mm, diameter + STEP_MM))
    if diameter >= profile.max_diameter_mm - _SAME_MM:
        most = THICKEST * diameter
    first = math.floor(diameter / STEP_MM + 1.0) * STEP_MM
    sizes = [first + k * STEP_MM for k in range(max(0, int((most - first) / STEP_MM) + 1))]
    thicker = _least(sizes, lambda d: holds(thickened(profile, diameter, d)))
    step = max(STEP_MM, STEP_MM * round(STEPS * (high - low) / STEP_MM))
    lengths = [step * (k + 1) for k in range(int((1.0 - SHORTEST) * (high - low) / step))]
    shorter = _least(
        lengths,
        lambda by: holds(shortened(profile, high, by), by if setup.toward_chuck == "high" else 0.0),
    )
    thick = [d for d in sizes[-1:] if thickened(profile, diameter, d) is not None]
    less = [by for by in lengths[-1:] if shortened(profile, high, by) is not None]
    return Stiffer(
        diameter, (low, high), thicker, shorter, next(iter(thick), None), next(iter(less), None)
    )


def thickened(profile: Profile, from_mm: float, to_mm: float) -> Profile | None:
    """All straight outsides of one diameter at another; None where a curve runs into them."""
    ids = {s.id for s in profile.segments if _is_outside(s, from_mm)}
    ends = {p for s in profile.segments if s.id in ids for p in (s.curve.start, s.curve.end)}

    def place(point: Point) -> Point:
        return (point[0], to_mm / 2.0) if point in ends else point

    return _changed(profile, place)


def shortened(profile: Profile, at_mm: float, by_mm: float) -> Profile | None:
    """All beyond a place nearer by so much; None where more than cylinders lies between."""

    def place(point: Point) -> Point:
        return (point[0] - by_mm, point[1]) if point[0] >= at_mm - _SAME_MM else point

    for segment in profile.segments:
        for z, _ in (segment.curve.start, segment.curve.end):
            if at_mm - by_mm < z < at_mm - _SAME_MM:
                return None
    return _changed(profile, place)


def _least(steps: Sequence[float], holds: Callable[[float], bool]) -> float | None:
    """The first step that holds, where all after it hold too; None where the last does not."""
    if not steps or not holds(steps[-1]):
        return None
    low, high = -1, len(steps) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(steps[middle]) else (middle, high)
    return steps[high]


def _weakest(profile: Profile, setup: Setup) -> list[Segment]:
    """Straight outsides of the one diameter that gives most where it stands free."""
    low, high = stick_out_mm(profile, setup.toward_chuck, setup.grip.z_mm)
    groups: dict[float, list[Segment]] = {}
    for segment in profile.outline.segments:
        if _is_outside(segment):
            z = segment.ends_z_mm
            if min(z[1], high) - max(z[0], low) > _SAME_MM:
                groups.setdefault(round(segment.curve.start[1], 6), []).append(segment)
    if not groups:
        return []
    r = max(groups, key=lambda r: sum(s.curve.length() for s in groups[r]) / r**4)
    return groups[r]


def _is_outside(segment: Segment, diameter_mm: float | None = None) -> bool:
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    return (
        segment.surface == "outer"
        and isinstance(segment.curve, Line)
        and abs(r1 - r0) <= _SAME_MM
        and abs(z1 - z0) > _SAME_MM
        and (diameter_mm is None or abs(2.0 * r0 - diameter_mm) <= 2.0 * _SAME_MM)
    )


def _changed(profile: Profile, place: Callable[[Point], Point]) -> Profile | None:
    """The profile with its corners elsewhere; curves may only move as they are."""
    loops: list[list[tuple[Curve, tuple[int, ...]]]] = []
    for loop in profile.loops:
        pieces: list[tuple[Curve, tuple[int, ...]]] = []
        for segment in loop.segments:
            curve = segment.curve
            start, end = place(curve.start), place(curve.end)
            if (start, end) != (curve.start, curve.end):
                other = _between(curve, start, end)
                if other is None:
                    return None
                curve = other
            pieces.append((curve, segment.faces))
        loops.append(pieces)
    try:
        made = make_profile(loops)
    except ValueError:
        return None
    # the same surfaces by the same names, or the setups speak of others
    same = [s.surface for s in made.segments] == [s.surface for s in profile.segments]
    return made if same else None


def _between(curve: Curve, start: Point, end: Point) -> Curve | None:
    """The curve with its ends elsewhere; a curved one only as a whole along the axis."""
    if isinstance(curve, Line):
        return Line(start, end)
    by = start[0] - curve.start[0]
    alike = end[0] - curve.end[0] == by and (start[1], end[1]) == (curve.start[1], curve.end[1])
    if not alike or not isinstance(curve, Arc):
        return None
    return replace(curve, start=start, end=end, centre=(curve.centre[0] + by, curve.centre[1]))


def _moved(setup: Setup, by_mm: float) -> Setup:
    """A setup held at the high end of a part that grew shorter."""
    if by_mm == 0.0:
        return setup
    low, high = setup.grip.z_mm
    steady = setup.steady_z_mm
    return replace(
        setup,
        grip=replace(setup.grip, z_mm=(low - by_mm, high - by_mm)),
        steady_z_mm=None if steady is None else (steady[0] - by_mm, steady[1] - by_mm),
    )
