"""Tapers longer than the topslide travels: a chucking each between centres, the tailstock set over.

The work then stands aslant on its centres, by half the included angle, so that the taper's front
lies along the ways. What drives it is a dog on a straight outside beside the taper.
"""

from __future__ import annotations

from collections.abc import Sequence

from turnability.features.model import Feature
from turnability.intent.model import Intent
from turnability.part.model import Profile
from turnability.reach.model import Toward, other_end
from turnability.setups.model import Land, Setup
from turnability.setups.set_over.tapers import LEAST_DOG_MM, TaperSetting, tapers_of
from turnability.setups.taper_model import TaperChucking
from turnability.shop.holding import takes
from turnability.shop.model import Holding, Machine, Shop

_SAME_MM = 1e-3


def taper_chuckings(
    profile: Profile,
    setups: Sequence[Setup],
    features: Sequence[Feature],
    lands: Sequence[Land],
    shop: Shop,
    lathe: Machine | None,
    intent: Intent | None = None,
) -> tuple[TaperChucking, ...]:
    """All of a plan, in its order."""
    wanted = [s for f in features if f.kind == "taper" for s in f.segments]
    return tuple(
        _chucking(profile, setup, one, lands, shop)
        for setup in setups
        for one in tapers_of(profile, setup, wanted, lathe, intent)
        if one.too_long and one.set_over_mm is not None
    )


def _chucking(
    profile: Profile, setup: Setup, one: TaperSetting, lands: Sequence[Land], shop: Shop
) -> TaperChucking:
    assert one.set_over_mm is not None
    points = [
        p for s in profile.segments if s.id in one.segments for p in (s.curve.start, s.curve.end)
    ]
    thick: Toward = "low" if max(points, key=lambda p: p[1])[0] <= _middle(points) else "high"
    thin = other_end(thick)
    centres: list[Holding | None] = [h for h in shop.holdings if h.kind == "between-centres"]
    ways = [
        (end, holding, land)
        for end in (thick, thin)
        for holding in centres or [None]
        for land in lands
        if _carries_dog(profile, land, holding, end)
    ]
    end, holding, land = ways[0] if ways else (thick, centres[0] if centres else None, None)
    return TaperChucking(
        cut_in=setup.order,
        segments=one.segments,
        tools=tuple(
            dict.fromkeys(
                o.tool
                for o in setup.operations
                if o.kind == "turn" and set(o.segments) & set(one.segments)
            )
        ),
        half_angle_deg=one.half_angle_deg,
        set_over_mm=one.set_over_mm,
        toward_you=end == thick,
        toward_chuck=end,
        straight_mm=2.0 * max(p[1] for p in points),
        holding=None if holding is None else holding.name,
        dog_z_mm=None if land is None else _dog_mm(land, holding, end),
        dog_diameter_mm=None if land is None else land.diameter_mm,
    )


def _middle(points: Sequence[tuple[float, float]]) -> float:
    return (min(p[0] for p in points) + max(p[0] for p in points)) / 2.0


def _carries_dog(profile: Profile, land: Land, holding: Holding | None, end: Toward) -> bool:
    """Whether a straight outside at that very end is long enough for it."""
    wide = holding is None or takes(holding, land.diameter_mm)
    at = land.z_mm[0] if end == "low" else profile.length_mm - land.z_mm[1]
    long = land.z_mm[1] - land.z_mm[0] >= _least_mm(holding) - _SAME_MM
    return land.surface == "outer" and wide and long and at <= _least_mm(holding)


def _least_mm(holding: Holding | None) -> float:
    return LEAST_DOG_MM if holding is None else holding.least_grip_mm


def _dog_mm(land: Land, holding: Holding | None, end: Toward) -> tuple[float, float]:
    long = _least_mm(holding)
    low, high = land.z_mm
    return (low, low + long) if end == "low" else (high - long, high)
