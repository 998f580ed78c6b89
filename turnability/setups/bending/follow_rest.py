"""Where a lathe's follow rest is planned: along cylinders that bend too much on their centre."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.cited import Cited
from turnability.part.model import Profile, Segment
from turnability.setups.bending_model import BentLand
from turnability.setups.holding.slender import FOLLOW_REST_LIMIT
from turnability.setups.holding.steady import STEADY_LEAST_MM
from turnability.setups.model import Support
from turnability.shop.model import Machine

LEAST_RUN = Cited(
    30.0, "mm", "common practice", "shortest run that a follow rest is set for, from memory", False
)
_SAME_MM = 1e-6


def runs_along(segment: Segment) -> bool:
    """Whether a follow rest runs along it: outside, and of one diameter as files hold it."""
    (_, r0), (_, r1) = segment.curve.start, segment.curve.end
    return segment.surface == "outer" and abs(r1 - r0) <= _SAME_MM


def is_worth_it(diameter_mm: float, run_mm: float) -> bool:
    """Whether a cylinder is thick and long enough for pads that ride behind the tool."""
    thick = diameter_mm >= STEADY_LEAST_MM.value - _SAME_MM
    return thick and run_mm >= LEAST_RUN.value - _SAME_MM


def may_follow(support: Support, length_to_diameter: float, lathe: Machine | None) -> bool:
    """Whether the lathe has one, and the work is carried and not too slender even so."""
    if support == "none" or lathe is None or not lathe.follow_rest:
        return False
    return length_to_diameter <= FOLLOW_REST_LIMIT.value


def followed_lands(
    profile: Profile,
    support: Support,
    lands: Sequence[BentLand],
    length_to_diameter: float,
    lathe: Machine | None,
) -> tuple[BentLand, ...]:
    """Outside cylinders that vary by more than they may without it; none where it can't help."""
    if not may_follow(support, length_to_diameter, lathe):
        return ()
    known = {s.id: s for s in profile.segments}
    return tuple(
        land
        for land in lands
        if land.limit is not None
        and land.error_mm > land.limit.value
        and is_worth_it(land.diameter_mm, land.z_mm[1] - land.z_mm[0])
        and all(runs_along(known[s]) for s in land.segments)
    )
