"""Tool tapers, Morse 0 to 6 (ISO 296) and 7/24 (ISO 297), on cones that reach the gauge plane.

Only the cone's angle and its gauge diameter are looked at: a Morse cone ends between the shank's
small end and a little beyond the gauge plane. The angle is held to what a gauge would show: 0.02 mm
on the diameter over the cone's length (our choice; ISO 1947 grade AT7 is of that size).
"""

from __future__ import annotations

from collections.abc import Sequence

from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import FeatureKind, StandardMatch
from turnability.features.standards import DRAWN_MM, rows

KINDS: tuple[FeatureKind, ...] = ("taper",)
_OFF_MM = 0.02
_LEAST_SHARE = 0.5
"""The cone runs over at least this share of its gauge diameter (our choice)."""
_BEYOND_SHARE = 0.025
"""Morse shanks begin up to this share of the gauge diameter beyond the gauge plane (ISO 296)."""


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """The taper's number; the residual is that of the diameter over the cone's length."""
    small, large = one.diameter_mm
    length = one.z_mm[1] - one.z_mm[0]
    matches = []
    for row in rows("tool_taper"):
        gauge, taper = float(row["gauge_mm"]), float(row["taper"])
        off = (large - small) - taper * length
        if abs(off) > _OFF_MM or length < _LEAST_SHARE * gauge:
            continue
        if not small < gauge <= large + DRAWN_MM or large > gauge * (1.0 + _BEYOND_SHARE):
            continue
        if row["small_mm"] and small < float(row["small_mm"]) - 0.05 * gauge:
            continue
        matches.append(StandardMatch(row["standard"], row["designation"], off))
    return matches
