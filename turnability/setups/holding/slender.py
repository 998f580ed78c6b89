"""How slender a part may stick out, and what is known of it.

Ratio of unsupported length to diameter. The numbers are common practice without a published
source (as are most of them in the trade): they stand as such in what people see.
"""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from turnability.cited import Cited
from turnability.half_plane.curves import Points
from turnability.part.model import Profile
from turnability.reach.ground import Itself
from turnability.reach.model import Toward

_PLACE = "unsupported length to diameter, steel, from memory"
CHUCK_ONLY_OK = Cited(3.0, "-", "common practice", _PLACE, verified=False)
CHUCK_ONLY_LIMIT = Cited(4.0, "-", "common practice", _PLACE, verified=False)
TAILSTOCK_OK = Cited(8.0, "-", "common practice", _PLACE, verified=False)
TAILSTOCK_LIMIT = Cited(12.0, "-", "common practice", _PLACE, verified=False)
FOLLOW_REST_LIMIT = Cited(40.0, "-", "common practice", _PLACE, verified=False)
"""With a centre and a follow rest."""

PARTED_FREE_LIMIT = Cited(
    6.0,
    "-",
    "common practice",
    "diameters that may hang free of the chuck while work is parted off slowly, no centre in: "
    "beyond it sags, pinches the blade and whips as the neck thins, from memory",
    verified=False,
)

_CHORD_MM = 0.05
_STEPS = 400
_AT_ONCE = 500


def mean_outside_mm(profile: Profile, z_mm: tuple[float, float]) -> float:
    """Mean outside diameter in mm over a z range, from the outline's greatest r at 400 places."""
    return float(_outside_mm(profile, z_mm).mean())


def mean_standing_mm(
    profile: Profile, z_mm: tuple[float, float], cut: Collection[str], size_mm: float
) -> float:
    """The same while only these outer surfaces are cut: the blank stands at all other places."""
    low, high = sorted(z_mm)
    places = _places(low, high)
    outside = np.full(_STEPS, size_mm)
    as_drawn = _outside_mm(profile, (low, high))
    for segment in profile.segments:
        if segment.id in cut and segment.surface == "outer":
            least, most = segment.ends_z_mm
            beside = (places >= least) & (places <= most)
            outside[beside] = as_drawn[beside]
    return float(outside.mean())


def largest_outside_mm(profile: Profile, z_mm: tuple[float, float]) -> float:
    """Largest outside diameter in mm over a z range, at 400 places."""
    return float(_outside_mm(profile, z_mm).max())


def _outside_mm(profile: Profile, z_mm: tuple[float, float]) -> NDArray[np.float64]:
    return _outside(Itself(profile), *sorted(z_mm))


@lru_cache(maxsize=64)
def _outside(key: Itself, low: float, high: float) -> NDArray[np.float64]:
    """Outside diameters at the places, which are not to be changed."""
    starts, ends = _edges(key)
    places, outside = _places(low, high), np.zeros(_STEPS)
    for k in range(0, len(starts), _AT_ONCE):
        z0, r0 = starts[k : k + _AT_ONCE].T[:, :, None]
        z1, r1 = ends[k : k + _AT_ONCE].T[:, :, None]
        share = (places - z0) / (z1 - z0)
        r = np.where((share >= 0.0) & (share <= 1.0), r0 + share * (r1 - r0), 0.0)
        outside = np.maximum(outside, r.max(axis=0))
    outside *= 2.0
    outside.flags.writeable = False
    return outside


@lru_cache(maxsize=4)
def _edges(key: Itself) -> tuple[Points, Points]:
    """Starts and ends (n, 2) of the outline's edges but those square to the axis."""
    ring = [curve.flatten(_CHORD_MM) for curve in key.profile.outline.ring]
    starts = np.concatenate([points[:-1] for points in ring])
    ends = np.concatenate([points[1:] for points in ring])
    along = starts[:, 0] != ends[:, 0]
    return starts[along], ends[along]


def _places(low: float, high: float) -> NDArray[np.float64]:
    return low + (np.arange(_STEPS) + 0.5) / _STEPS * (high - low)


def stick_out_mm(
    profile: Profile, toward: Toward, grip_z_mm: tuple[float, float]
) -> tuple[float, float]:
    """The z range of the part that stands free of the jaws."""
    if toward == "low":
        return (max(0.0, min(grip_z_mm[1], profile.length_mm)), profile.length_mm)
    return (0.0, min(profile.length_mm, max(grip_z_mm[0], 0.0)))


def slenderness(profile: Profile, toward: Toward, grip_z_mm: tuple[float, float]) -> float:
    """Length that stands free of the jaws over its mean outside diameter."""
    low, high = stick_out_mm(profile, toward, grip_z_mm)
    if high - low <= 0.0:
        return 0.0
    return (high - low) / mean_outside_mm(profile, (low, high))
