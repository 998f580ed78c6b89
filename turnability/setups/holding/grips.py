"""Which holding of the shop grips which land, and what keeps it from the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from turnability.cited import Cited
from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.setups.model import Grip, Land, Setup
from turnability.shop.holding import (
    JAWS,
    gentleness,
    holdings_for_bar,
    least_grip_mm,
    takes,
    within,
)
from turnability.shop.model import Holding, Shop
from turnability.units import length_text, span_text

__all__ = ["grips_for", "holdings_for_bar", "is_short", "least_grip_mm", "passable"]

SHORT_GRIP = Cited(
    3.0,
    "mm",
    "common practice",
    "least that soft jaws bored with a shoulder hold of a disc for light cuts, from memory",
    verified=False,
)
SHORT_STICK_OUT = Cited(
    1.0,
    "-",
    "common practice",
    "what stands out of a short grip, in diameters of what is gripped, from memory",
    verified=False,
)
"""A land shorter than a holding asks for is still held where it is no shorter, and the part
stands out no farther, than these: discs and rings are, every day. It costs a warning."""
HARDLY = Cited(
    0.05,
    "-",
    "common practice",
    "grip in diameters of what is gripped below which jaws alone hold hardly anything, from memory",
    verified=False,
)
_SAME_MM = 1e-3
_CHORD_MM = 0.01


@dataclass(frozen=True, slots=True)
class LandGrip:
    """One land in one holding; `least_mm` is the length of land that the holding asks for.

    `obstacle` is None where the land can be held, else the reason in words. `fits` says whether
    the holding takes the diameter on that side at all; `shortest_mm` is the least that its jaws
    hold of the land at all, where they do and the holding asks for more (a short grip).
    """

    land: Land
    holding: Holding
    least_mm: float
    obstacle: str | None
    fits: bool
    shortest_mm: float | None = None

    @property
    def length_mm(self) -> float:
        """Length of the land in mm."""
        return self.land.z_mm[1] - self.land.z_mm[0]


def grips_for(lands: Sequence[Land], shop: Shop) -> tuple[LandGrip, ...]:
    """Every land with every holding, held or not and why; gentlest holding first.

    A holding grips a land outside or inside when the land's diameter lies in its range and the
    land is at least max(`least_grip_mm`, `least_grip_per_diameter` x diameter) long (where the
    shop file says nothing: 10 mm and half the diameter, common practice).
    """
    return tuple(
        _grip(land, holding, shop.inch)
        for land in lands
        for holding in sorted(shop.holdings, key=gentleness)
        if holding.kind in (*JAWS, "mandrel")
    )


def shortest_grip_mm(holding: Holding, diameter_mm: float) -> float | None:
    """Length of land in mm below which even a short grip is none; None for collet and mandrel.

    A collet held at its mouth alone closes askew and lets go, and so does a mandrel.
    """
    if holding.kind in ("collet", "mandrel"):
        return None
    return min(SHORT_GRIP.value, least_grip_mm(holding, diameter_mm))


def holding_of(setup: Setup, shop: Shop) -> Holding | None:
    """What has the work in a setup; None where the shop lists nothing of that name."""
    return setup.holding or next((h for h in shop.holdings if h.name == setup.grip.kind), None)


def is_short(grip: Grip, holding: Holding) -> bool:
    """Whether less is gripped than this holding asks for."""
    return grip.length_mm < least_grip_mm(holding, grip.held_mm) - _SAME_MM


def holds_hardly(grip: Grip) -> bool:
    """Whether so little of its diameter is gripped that jaws alone do not do."""
    return grip.length_mm < HARDLY.value * grip.held_mm - _SAME_MM


def passable(profile: Profile, land: Land, toward: Toward) -> bool:
    """Whether plain jaws get to the land from the end that stands toward the chuck.

    Jaws come along the axis: on the way to an outer land nothing may be larger, to an inner land
    nothing smaller. Jaws cut to reach round a head are a craft that this does not judge.
    """
    r = land.diameter_mm / 2.0
    low, high = land.z_mm
    for curve in profile.outline.ring:
        for z, radius in curve.flatten(_CHORD_MM):
            if not (z < low - _SAME_MM if toward == "low" else z > high + _SAME_MM):
                continue
            if land.surface == "outer" and radius > r + _SAME_MM:
                return False
            if land.surface == "inner" and radius < r - _SAME_MM:
                return False
    return True


def _grip(land: Land, holding: Holding, inch: bool) -> LandGrip:
    side = holding.outside_mm if land.surface == "outer" else holding.inside_mm
    where = "outside" if land.surface == "outer" else "inside"
    least = least_grip_mm(holding, land.held_mm)
    length = land.z_mm[1] - land.z_mm[0]
    if side is None:
        return LandGrip(land, holding, least, f"{holding.name} does not grip {where}", fits=False)
    outside = land.surface == "outer"
    if land.across_flats_mm is not None and holding.kind != "three-jaw":
        words = f"{holding.name} holds no hexagon by its flats, as three hard jaws do"
        return LandGrip(land, holding, least, words, fits=False)
    if not (takes(holding, land.held_mm) if outside else within(land.diameter_mm, side)):
        words = f"{holding.name} takes ⌀{span_text(side, inch)} {where}"
        return LandGrip(land, holding, least, words, fits=False)
    words = f"{holding.name} wants {length_text(least, inch)}"
    shortest = shortest_grip_mm(holding, land.held_mm)
    if shortest is not None and (length < shortest - _SAME_MM or shortest >= least):
        shortest = None
    return LandGrip(
        land, holding, least, None if length >= least - _SAME_MM else words, True, shortest
    )
