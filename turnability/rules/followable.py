"""Which changes a designer can make at all: of a size that leaves the part what it is.

The shares are this program's own choice, no source: beyond them one draws another part.
"""

from __future__ import annotations

import numpy as np

from turnability.half_plane.curves import Points
from turnability.part.model import Profile
from turnability.rules.elsewhere import milled_segments
from turnability.rules.model import View

MOST_OF_OUTSIDE = 0.15
"""An outside is not asked to change by more than this share of itself."""
MOST_OF_HOLE = 0.25
"""Nor a hole by more than this."""
LEAST_WALL_MM = 0.5
"""What a wider hole must leave of the wall round it (common practice, no source)."""
_CHORD_MM = 0.01
_SAME_MM = 1e-3


def modest(drawn: float, to: float, most_share: float) -> bool:
    """Whether a size stays within a share of what is drawn."""
    return abs(to - drawn) <= most_share * drawn


def hole_fits(view: View, to_mm: float, z_mm: tuple[float, float]) -> bool:
    """Whether the wall round a hole of this diameter stays thick enough along z."""
    profile = view.part.profile
    return profile is not None and least_outside_mm(profile, z_mm) - to_mm >= 2.0 * LEAST_WALL_MM


def least_outside_mm(profile: Profile, z_mm: tuple[float, float]) -> float:
    """Smallest outside diameter between two z, its ends as seen from within."""
    low, high = z_mm
    inset = min(_SAME_MM, 0.25 * (high - low))
    chains = [curve.flatten(_CHORD_MM) for curve in profile.outline.ring]
    corners = np.concatenate([chain[:, 0] for chain in chains])
    inside = corners[(corners > low + inset) & (corners < high - inset)]
    places = np.concatenate([inside - inset, inside + inset, [low + inset, high - inset]])
    return 2.0 * float(min(_outermost(chains, z) for z in places))


def largest_is_turned(view: View) -> bool:
    """Whether any turned face has the part's largest diameter (a hexagon's corners are none)."""
    profile = view.part.profile
    if profile is None:
        return False
    top = 0.5 * profile.max_diameter_mm - _SAME_MM
    heights = {
        s.id: s.curve.flatten(_CHORD_MM)[:, 1]
        for s in profile.outline.segments
        if s.surface == "outer"
    }
    # a chamfer that ends at a hexagon's corner has not its diameter
    along = {name for name, r in heights.items() if float(r.min()) >= top}
    at = along or {name for name, r in heights.items() if float(r.max()) >= top}
    return not at <= milled_segments(view)


def _outermost(chains: list[Points], z: float) -> float:
    best = 0.0
    for chain in chains:
        (z0, r0), (z1, r1) = chain[:-1].T, chain[1:].T
        across = (np.minimum(z0, z1) <= z) & (z <= np.maximum(z0, z1)) & (z0 != z1)
        if across.any():
            share = (z - z0[across]) / (z1[across] - z0[across])
            best = max(best, float((r0[across] + share * (r1[across] - r0[across])).max()))
    return best
