"""Outsides over so thin a wall that the bore goes first, while stock stands outside.

A boring cut pushes the wall outward, a turning cut inward: of the two the outside is finished last,
for a plug, a mandrel or the rest of the hoop's stiffness carries it against that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection

import numpy as np
from numpy.typing import NDArray

from turnability.cited import Cited
from turnability.part.model import Profile, Segment

THIN = Cited(
    1.0 / 30.0,
    "-",
    "common practice",
    "wall over diameter under which the outside is finished last, from memory",
    verified=False,
)
SPRINGY = 5.0
"""Mean radius over wall from which a wall gives as a ring does, by the cube of it: jaws rather hold
elsewhere, and both sides are roughed before either is finished (common practice, no source)."""
STIFFENED = 2.44
"""√(mean radius times wall), times this, is how far an edge stiffens a thin tube: π/β of shell
theory, from memory."""
LEAST_MM = 0.5
"""Thinner is thin whatever the diameter (common practice, no source)."""
_CHORD_MM = 0.01
_PLACES = 48
_SAME_MM = 1e-6


def thin_outsides(
    profile: Profile, turned: Collection[str], bored: Collection[str]
) -> frozenset[str]:
    """Those of the turned outsides that stand over half their length over a thin wall.

    The wall is what a setup that bores these leaves between the two.
    """
    return _over(profile, turned, bored, _least_mm)


def springy_outsides(
    profile: Profile, turned: Collection[str], bored: Collection[str]
) -> frozenset[str]:
    """The same over a wall that gives as a ring: mean radius over `SPRINGY` times the wall.

    None where they are no longer together than what the bar behind them stiffens: a washer.
    """
    found = _over(profile, turned, bored, lambda out: out / (SPRINGY + 0.5))
    inner = [s for s in profile.segments if s.id in bored and s.surface == "inner"]
    long, stiff = 0.0, 0.0
    for segment in (s for s in profile.segments if s.id in found):
        out, bore = _walls(segment, inner)
        over = (bore > 0.0) & (bore < out)
        long += abs(segment.curve.end[0] - segment.curve.start[0])
        middle = float(np.median((out + bore)[over])) / 2.0
        wall = float(np.median((out - bore)[over]))
        stiff = max(stiff, STIFFENED * math.sqrt(middle * wall))
    return found if long > stiff else frozenset()


def _least_mm(out: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.maximum(LEAST_MM, 2.0 * THIN.value * out)


def _over(
    profile: Profile,
    turned: Collection[str],
    bored: Collection[str],
    least: Callable[[NDArray[np.float64]], NDArray[np.float64]],
) -> frozenset[str]:
    by_id = {s.id: s for s in profile.segments}
    inner = [by_id[s] for s in bored if by_id[s].surface == "inner"]
    return frozenset(
        s
        for s in turned
        if by_id[s].surface == "outer" and inner and _is_thin(by_id[s], inner, least)
    )


def _is_thin(
    outside: Segment,
    inner: Collection[Segment],
    least: Callable[[NDArray[np.float64]], NDArray[np.float64]],
) -> bool:
    if abs(outside.curve.end[0] - outside.curve.start[0]) <= _SAME_MM:
        return False
    out, bore = _walls(outside, inner)
    thin = out - bore < least(out) - _SAME_MM
    # what is bored round about it, beyond a ring, is no wall of its own
    return bool((thin & (bore > 0.0) & (bore < out)).mean() >= 0.5)


def _walls(
    outside: Segment, inner: Collection[Segment]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Radii outside and inside at places along it, 0 where nothing is bored."""
    low, high = outside.ends_z_mm
    z = low + (np.arange(_PLACES) + 0.5) / _PLACES * (high - low)
    return _radii(outside, z), np.max([_radii(one, z) for one in inner], axis=0)


def _radii(segment: Segment, z: NDArray[np.float64]) -> NDArray[np.float64]:
    """Its radius at each z, 0 where it does not lie."""
    points = np.array(sorted(segment.curve.flatten(_CHORD_MM).tolist()))
    radii: NDArray[np.float64] = np.interp(z, points[:, 0], points[:, 1], left=0.0, right=0.0)
    return radii
