"""A steady: on which cylinder its pads run, and what is turned before it stands there."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace

from turnability.cited import Cited
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward
from turnability.setups.holding.drawn_in import (
    BESIDE_JAWS_MM,
    are_apart,
    with_out,
)
from turnability.setups.holding.supported import Supported, naming, only
from turnability.setups.model import Grip, Land, Operation

_SAME_MM = 1e-3
LONG = 3.0
"""Beyond so many of the pads' own width much of their cylinder lies behind them (our choice)."""
STEADY_LAND_MM = Cited(
    10.0,
    "mm",
    "common practice",
    "shortest straight cylinder that the pads of a steady run on, from memory",
    verified=False,
)
STEADY_LEAST_MM = Cited(
    6.0,
    "mm",
    "common practice",
    "least diameter that the pads of a steady or follow rest run on, from memory",
    verified=False,
)
_ASIDE_MM = Cited(
    5.0,
    "mm",
    "common practice",
    "between the pads of a steady and the edge that a tool works beside them, from memory",
    verified=False,
)


def on_steady(
    profile: Profile,
    toward: Toward,
    operations: Sequence[Operation],
    outside: Sequence[Operation],
    hollow: Sequence[Operation],
    land: Land,
    done: frozenset[str],
) -> Supported:
    """The cylinder of the pads is turned without it; once it stands there it stays to the end.

    Tools that come before the last one on that cylinder, and this one where what lies in front is
    thicker than it, have cut all from there outwards to get at it. So does what roughs the whole:
    what it takes from the pads to the chuck waits for them.
    """
    own = frozenset(land.segments)
    out = beyond(profile, toward, land)
    cutters = [n for n, o in enumerate(operations) if o in outside and own & set(o.segments) - done]
    last = max(cutters, default=-1)
    front = [
        s
        for s in profile.segments
        if s.surface != "inner" and s.id not in own and _is_before(s, toward, land)
    ]
    aside = bool(front) and any(
        o in outside and set(o.segments) & {s.id for s in front} for o in operations[last + 1 :]
    )
    pads = pads_on(toward, land, _ASIDE_MM.value if aside else 0.0)
    inward = pads[0] - land.z_mm[0] if toward == "low" else land.z_mm[1] - pads[1]
    # behind the pads the rest of their own cylinder, and its shoulder, wait until they carry it
    again = own if inward > STEADY_LAND_MM.value else frozenset[str]()
    if again:
        foot = land.z_mm[0 if toward == "low" else 1]
        out -= {
            s.id
            for s in profile.segments
            if all(abs(p[0] - foot) <= _SAME_MM for p in (s.curve.start, s.curve.end))
        }
    passed = all(
        2.0 * p[1] <= land.diameter_mm + _SAME_MM
        for s in front
        for p in (s.curve.start, s.curve.end)
    )
    made: list[Operation] = []
    waiting: list[Operation] = []
    for n, operation in enumerate(operations):
        one = naming(profile, operations, n)
        names = {*one.segments, *one.leaves}
        if operation in outside and names and n <= last:
            at_once = own if n == last and passed and again else out
            early = (names & at_once) - done
            late = (names - early) | (names & again)
            if early:
                made.append(only(one, early))
            if late:
                waiting.append(replace(only(one, late), support="steady"))
        elif operation in hollow or (
            n > last and (operation in outside or operation.kind == "face")
        ):
            made.append(replace(operation, support="steady"))
        else:
            made.append(operation)
        if n == last:
            made += waiting
    return Supported("steady", tuple(made), pads)


def reach_mm(profile: Profile, toward: Toward, pads: tuple[float, float] | None) -> float:
    """How far raw work stands out where the place of a steady's pads is turned beside the jaws."""
    if pads is None:
        return math.inf
    return BESIDE_JAWS_MM + (profile.length_mm - pads[0] if toward == "low" else pads[1])


def spot_first(way: Supported, out: float, related: Sequence[Collection[str]]) -> Supported:
    """The same, drawn in until the place of its pads is turned, where nothing is split by that."""
    n = next(n for n, o in enumerate(way.operations) if o.support == "steady")
    early, late = way.operations[:n], way.operations[n:]
    if not are_apart(related, early, late):
        return way
    return replace(way, operations=(*with_out(early, out), *late))


def steady_land(
    toward: Toward,
    grip: Grip,
    operations: Sequence[Operation],
    lands: Sequence[Land],
    done: frozenset[str],
) -> Land | None:
    """The cylinder nearest to the free end that a steady may run on, clear of the jaws."""
    turned = done | {s for o in operations if o.kind == "turn" for s in o.segments}
    able = [
        land
        for land in lands
        if land.surface == "outer"
        and land.across_flats_mm is None
        and land.diameter_mm >= STEADY_LEAST_MM.value - _SAME_MM
        and land.z_mm[1] - land.z_mm[0] >= STEADY_LAND_MM.value - _SAME_MM
        and set(land.segments) <= turned
        and not (land.z_mm[0] < grip.z_mm[1] and grip.z_mm[0] < land.z_mm[1])
    ]
    if toward == "low":
        return max(able, key=lambda land: land.z_mm[1], default=None)
    return min(able, key=lambda land: land.z_mm[0], default=None)


def pads_on(toward: Toward, land: Land, aside_mm: float = 0.0) -> tuple[float, float]:
    """Where on its cylinder the steady stands: at the free side, or so far from it."""
    low, high = land.z_mm
    width = STEADY_LAND_MM.value
    aside = min(aside_mm, max(0.0, high - low - width))
    at = high - aside - width if toward == "low" else low + aside
    return (at, at + width)


def _is_before(segment: Segment, toward: Toward, land: Land) -> bool:
    """Whether it lies between the land and the free end."""
    low, high = segment.ends_z_mm
    if toward == "low":
        return low >= land.z_mm[1] - _SAME_MM
    return high <= land.z_mm[0] + _SAME_MM


def beyond(profile: Profile, toward: Toward, land: Land) -> frozenset[str]:
    """The land and all of the outside between it and the free end."""
    low, high = land.z_mm
    return frozenset(
        s.id
        for s in profile.outline.segments
        if s.surface != "axis"
        and (
            s.ends_z_mm[0] >= low - _SAME_MM
            if toward == "low"
            else s.ends_z_mm[1] <= high + _SAME_MM
        )
    )
