"""Where a lathe's follow rest is planned: along cylinders that bend too much on their centre."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.part.model import Profile
from turnability.setups.model import BentLand, Support
from turnability.setups.slender import FOLLOW_REST_LIMIT
from turnability.shop.model import Machine


def followed_lands(
    profile: Profile,
    support: Support,
    lands: Sequence[BentLand],
    length_to_diameter: float,
    lathe: Machine | None,
) -> tuple[BentLand, ...]:
    """Outside cylinders that vary by more than they may without it; none where it can't help."""
    if support == "none" or lathe is None or not lathe.follow_rest:
        return ()
    if length_to_diameter > FOLLOW_REST_LIMIT.value:
        return ()
    known = {s.id: s for s in profile.segments}
    return tuple(
        land
        for land in lands
        if land.limit is not None
        and land.error_mm > land.limit.value
        and all(
            known[s].surface == "outer" and known[s].curve.start[1] == known[s].curve.end[1]
            for s in land.segments
        )
    )
