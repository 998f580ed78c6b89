"""Whether a tool gets at an eccentric beside shoulders that swing round it.

Set over, all that is round the part's axis swings round the eccentric's: nothing of it comes nearer
than its radius and the offset, so that the work is taken for round there, as large as that. What
tools reach of the eccentric in that body is asked as of any part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from turnability.part.model import Profile, Segment
from turnability.part.profile import drawn_profile
from turnability.reach.model import Toward
from turnability.reach.removal import removed_by
from turnability.setups.surfaces.cuts import samples_of
from turnability.setups.surfaces.shares import rank_of
from turnability.shop.model import Tool

_SAME_MM = 1e-3
_CHORD_MM = 0.05
_WHOLE = 0.99

Round = tuple[float, tuple[float, float]]
"""A cylinder round the axis that is turned about: its diameter, its z range."""


@dataclass(frozen=True, slots=True)
class Room:
    """The tools that get at all of a cylinder, one or two together; none where none do.

    `deep_mm` is how far a tool reaches down to it between what swings beside it.
    """

    tools: tuple[str, ...]
    deep_mm: float


def rooms_of(
    profile: Profile,
    swept: Sequence[str],
    rounds: Sequence[Round],
    offset_mm: float,
    toward: Toward,
    tools: Sequence[Tool],
    rather: Sequence[str],
) -> list[Room] | None:
    """For each of the cylinders what gets at it, of `rather` first; None where it is not known.

    `swept` are the segments in whose place the cylinders come.
    """
    body = swinging_body(profile, swept, rounds, offset_mm)
    if body is None:
        return None
    able = [t for t in tools if t.access == "outer" and not t.on_axis]
    samples = samples_of(body)
    asked = samples.asked.reshape(len(samples.ids), -1)
    works = sorted(
        removed_by(body, able, (toward,)).works,
        key=lambda w: (w.tool.name not in rather, rank_of(w.tool), w.tool.weight, w.tool.name),
    )
    touched = {work.tool.name: samples.within(work.swept) for work in works}
    names = list(touched)
    made = []
    for d, z in rounds:
        own = np.array(
            [cylinder_of(s, "outer", d, z) for s in body.segments if s.surface != "axis"]
        )
        ways = [*((name,) for name in names), *combinations(names, 2)]
        found = next((w for w in ways if _whole(touched, w, own, asked)), ())
        made.append(Room(found, _deep_mm(body, d, z)))
    return made


def _whole(
    touched: dict[str, NDArray[np.bool_]],
    names: Sequence[str],
    own: NDArray[np.bool_],
    asked: NDArray[np.bool_],
) -> bool:
    if not own.any():
        return False
    together = np.logical_or.reduce([touched[name] for name in names])
    places = asked & own[:, None]
    return float((together & places).sum()) >= _WHOLE * float(places.sum())


def swinging_body(
    profile: Profile, swept: Sequence[str], rounds: Sequence[Round], offset_mm: float
) -> Profile | None:
    """The part as it swings, the cylinders finished; None where its outside goes back on itself."""
    chain: list[tuple[float, float]] = []
    for s in profile.outline.segments:
        if s.surface != "outer" or s.id in swept:
            continue
        along = s.ends_z_mm
        if any(d <= _SAME_MM or _over(along, z) for d, z in rounds):
            return None  # what it sweeps cannot be told from what stands round the part's own axis
        chain += [(z, r + offset_mm) for z, r in s.curve.flatten(_CHORD_MM).tolist()]
    if any(b[0] > a[0] + _SAME_MM for a, b in pairwise(chain)):
        return None
    for d, (low, high) in rounds:
        at = next((n for n, (z, _) in enumerate(chain) if z <= low + _SAME_MM), len(chain))
        if at and chain[at - 1][0] < high - _SAME_MM:
            return None
        chain[at:at] = [(high, d / 2.0), (low, d / 2.0)]
    whole = profile.length_mm
    if abs(chain[0][0] - whole) > _SAME_MM or abs(chain[-1][0]) > _SAME_MM:
        return None
    ends = [(0.0, 0.0), (whole, 0.0), (whole, chain[0][1])]
    corners = [*ends, *chain, (0.0, chain[-1][1])]
    return drawn_profile(
        [a for a, b in pairwise((*corners, corners[0])) if math.dist(a, b) > _SAME_MM]
    )


def _over(a: Sequence[float], b: Sequence[float]) -> bool:
    return min(a[1], b[1]) - max(a[0], b[0]) > _SAME_MM


def cylinder_of(segment: Segment, surface: str, d: float, z_mm: tuple[float, float]) -> bool:
    """Whether a segment lies along this cylinder, within its range."""
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    level = abs(r0 - d / 2.0) <= _SAME_MM and abs(r1 - d / 2.0) <= _SAME_MM
    return (
        segment.surface == surface
        and level
        and min(z0, z1) >= z_mm[0] - _SAME_MM
        and max(z0, z1) <= z_mm[1] + _SAME_MM
    )


def _deep_mm(body: Profile, d: float, z_mm: tuple[float, float]) -> float:
    """To the lower of the shoulders on either side; nothing where one side is open."""
    sides = []
    for low, high in ((-_SAME_MM, z_mm[0]), (z_mm[1], body.length_mm + _SAME_MM)):
        radii = [
            r
            for s in body.segments
            if s.surface == "outer"
            for z, r in (s.curve.start, s.curve.end)
            if low - _SAME_MM <= z <= high + _SAME_MM
        ]
        sides.append(max(radii, default=0.0) - d / 2.0)
    return max(0.0, min(sides))
