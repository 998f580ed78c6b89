"""How a taper is turned on a lathe moved by hand: topslide swivelled, or tailstock set over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from turnability.cited import Cited
from turnability.features.model import Feature
from turnability.half_plane.curves import Line
from turnability.intent.model import Intent
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward
from turnability.setups.holding.centres import no_centre
from turnability.setups.model import Setup
from turnability.shop.model import Machine

RUN_IN_MM = Cited(
    2.0,
    "mm",
    "common practice",
    "travel before a cut, for the slack, from memory",
    False,
)
MOST_SET_OVER = Cited(
    1.0 / 50.0,
    "-",
    "handbooks of the trade",
    "tailstock set over, in lengths of the work: beyond it centres no longer seat, from memory",
    verified=False,
)
LEAST_DOG_MM = 8.0
"""So much straight outside a dog wants (our choice)."""
_SAME_MM = 1e-3
_FLANK_MM = 2.0
"""Shorter slants of a groove are edges broken by the way (our choice)."""
_CUTS = ("turn", "bore", "groove")


@dataclass(frozen=True, slots=True)
class TaperSetting:
    """One taper, or pieces of one that are cut at one setting.

    `half_angle_deg` is what the topslide is swivelled by from parallel to the axis, `anticlockwise`
    seen from above, the chuck at the left. `travel_mm` is what it moves along itself with what it
    runs in. `set_over_mm` is by how much the tailstock is set over instead, where that can be done:
    `toward_you` for a taper that narrows to the tailstock. `limit_mm` is the lathe's own travel.
    `by_blade`: the flank of a groove, that a square blade cuts with its corner.
    """

    segments: tuple[str, ...]
    half_angle_deg: float
    anticlockwise: bool
    travel_mm: float
    limit_mm: float | None
    set_over_mm: float | None
    toward_you: bool
    by_blade: bool = False

    @property
    def too_long(self) -> bool:
        """Whether the lathe's topslide is known not to travel so far."""
        return self.limit_mm is not None and self.travel_mm > self.limit_mm + _SAME_MM


def tapers_of(
    profile: Profile,
    setup: Setup,
    wanted: Sequence[str],
    lathe: Machine | None,
    intent: Intent | None = None,
) -> tuple[TaperSetting, ...]:
    """The settings for those segments of a setup that are turned or bored; none where CNC cuts.

    `wanted` are the ids of tapers.
    """
    if lathe is None or lathe.control != "manual":
        return ()
    cut = {s for o in setup.operations if o.kind in _CUTS for s in o.segments} & set(wanted)
    sunk = {s for o in setup.operations if o.kind == "groove" for s in o.segments}
    groups: dict[tuple[float, bool, bool], list[Segment]] = {}
    for segment in profile.segments:
        if segment.id in cut and isinstance(segment.curve, Line):
            angle, narrows = _slope(segment, setup.toward_chuck)
            way = (round(angle, 6), narrows, segment.id in sunk)
            groups.setdefault(way, []).append(segment)
    return tuple(
        _setting(profile, some, angle, narrows, blade, lathe, intent)
        for (angle, narrows, blade), some in groups.items()
        if 0.0 < angle < 90.0
    )


def set_over_tapers(
    profile: Profile,
    setups: Sequence[Setup],
    features: Sequence[Feature],
    lathe: Machine | None,
    intent: Intent | None = None,
) -> tuple[TaperSetting, ...]:
    """Those turned between centres with the tailstock set over: each is a chucking of its own."""
    wanted = [s for f in features if f.kind == "taper" for s in f.segments]
    return tuple(
        one
        for setup in setups
        for one in tapers_of(profile, setup, wanted, lathe, intent)
        if one.too_long and one.set_over_mm is not None
    )


def flanks_of(profile: Profile, setup: Setup) -> tuple[str, ...]:
    """Slanted walls of outside grooves, no mere chamfers, that a blade cuts in this setup."""
    sunk = {s for o in setup.operations if o.kind == "groove" for s in o.segments}
    return tuple(
        s.id
        for s in profile.segments
        if s.id in sunk
        and s.surface == "outer"
        and s.curve.length() >= _FLANK_MM
        and 0.0 < _slope(s, setup.toward_chuck)[0] < 90.0
    )


def _slope(segment: Segment, toward: Toward) -> tuple[float, bool]:
    """Half angle in degrees, and whether it narrows away from the chuck."""
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    angle = math.degrees(math.atan2(abs(r1 - r0), abs(z1 - z0)))
    falls = (r1 - r0) * (z1 - z0) < 0.0
    return angle, falls if toward == "low" else not falls


def _setting(
    profile: Profile,
    some: Sequence[Segment],
    angle_deg: float,
    narrows: bool,
    blade: bool,
    lathe: Machine,
    intent: Intent | None,
) -> TaperSetting:
    outside = all(s.surface == "outer" for s in some)
    off = profile.length_mm * math.tan(math.radians(angle_deg))
    ends = [no_centre(profile, "low", intent), no_centre(profile, "high", intent)]
    able = outside and not blade and lathe.tailstock and ends == [None, None] and _dog(profile)
    return TaperSetting(
        segments=tuple(s.id for s in some),
        half_angle_deg=angle_deg,
        anticlockwise=narrows,
        travel_mm=max(s.curve.length() for s in some) + RUN_IN_MM.value,
        limit_mm=lathe.topslide_travel_mm,
        set_over_mm=off if able and off <= MOST_SET_OVER.value * profile.length_mm else None,
        toward_you=narrows,
        by_blade=blade,
    )


def _dog(profile: Profile) -> bool:
    """Whether a straight outside at either end has room for a dog."""
    for s in profile.segments:
        (z0, r0), (z1, r1) = s.curve.start, s.curve.end
        near = min(z0, z1, profile.length_mm - z0, profile.length_mm - z1)
        straight = s.surface == "outer" and abs(r0 - r1) <= _SAME_MM
        if straight and abs(z0 - z1) >= LEAST_DOG_MM - _SAME_MM and near <= LEAST_DOG_MM:
            return True
    return False
