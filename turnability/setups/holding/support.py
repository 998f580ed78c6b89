"""What carries the free end of a chucking: nothing, the tailstock's centre, a steady.

A centre stands where a drill would come in. Where raw stock stands out no farther than the chuck
carries, or is drawn into the spindle for it, the end is bored first, and the outside turned on a
centre in its mouth. Else that is turned first, from a solid end that is faced and centre-drilled;
then the centre is taken away, or a steady set on what was turned, and the end is drilled and bored.
What waits for the bore is only roughed by then, and finished with the centre in the bored mouth
where that is narrow enough. Facing and parting off are done without it.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.intent.model import End, Intent
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward
from turnability.setups.holding.centres import no_centre, seats_centre
from turnability.setups.holding.drawn_in import (
    BESIDE_JAWS_MM,
    are_apart,
    bored_first,
    out_mm,
    with_out,
)
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, slenderness
from turnability.setups.model import ROUGH, Grip, Land, Operation, Support
from turnability.shop.model import Machine

_SAME_MM = 1e-3
_LONG = 3.0
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


@dataclass(frozen=True, slots=True)
class Supported:
    """One way to carry the free end: the most that does, the operations in their order with it.

    `spare`: nobody takes the trouble but where the work bends too much.
    """

    support: Support
    operations: tuple[Operation, ...]
    steady_z_mm: tuple[float, float] | None = None
    spare: bool = False


def support_of(
    profile: Profile,
    toward: Toward,
    grip: Grip,
    operations: Sequence[Operation],
    lathe: Machine | None,
    intent: Intent | None = None,
    lands: Sequence[Land] = (),
    done: frozenset[str] = frozenset(),
    through_mm: float = math.inf,
    related: Sequence[Collection[str]] = (),
) -> Supported:
    """None up to 4 diameters out of the jaws (common practice), else the first way there is.

    `lathe` is the one that makes it, `lands` are those of the part, `done` the segments that setups
    before have finished; `through_mm` is what the spindle has to pass of raw stock, `related` the
    surfaces that must run true to one another.
    """
    ways = ways_of_support(
        profile, toward, grip, operations, lathe, intent, lands, done, through_mm, related
    )
    plain = next(ways)
    needed = (way for way in ways if not way.spare)
    return next(needed, plain) if wants_support(profile, toward, grip) else plain


def ways_of_support(
    profile: Profile,
    toward: Toward,
    grip: Grip,
    operations: Sequence[Operation],
    lathe: Machine | None,
    intent: Intent | None = None,
    lands: Sequence[Land] = (),
    done: frozenset[str] = frozenset(),
    through_mm: float = math.inf,
    related: Sequence[Collection[str]] = (),
) -> Iterator[Supported]:
    """The chuck alone, then what the lathe has and the work allows: a centre, a steady.

    A bored end has the centre in its mouth. With one in a solid end the outside is turned on it.
    What is done in the end then has a steady where the lathe has one and a straight cylinder of the
    outside is turned by then; so has it all, after that cylinder, where the end takes no centre or
    that does not carry it enough.
    """
    yield Supported("none", tuple(operations))
    free: End = "high" if toward == "low" else "low"
    hollow = [o for o in operations if is_hollow(profile, o)]
    under = {s.id for s in profile.segments if s.surface == "end" and _is_at(profile, s, free)}
    on_centre = [
        o
        for o in operations
        if o.kind in (ROUGH, "turn", "groove")
        and o not in hollow
        and not o.over_thin_wall
        and not under.intersection(o.segments)
    ]
    late = [o for o in on_centre if o.after_bore and not o.only_roughs]
    land = _steady_land(toward, grip, operations, lands, done)
    if lathe is None:
        return
    if on_centre and lathe.tailstock:
        solid = bool(hollow) and not _bored(profile, free, done)
        able, out = out_mm(profile, toward, grip, lathe, through_mm)
        if solid and able and seats_centre(profile, free):
            first = bored_first(operations, on_centre, hollow, out)
            if first is not None and (out is None or are_apart(related, hollow, on_centre)):
                yield Supported("tailstock", first)
        if no_centre(profile, free, intent, solid=solid) is None:
            steadied = bool(hollow) and lathe.steady and land is not None
            # a mouth that is bored by then carries the centre again for what waits for the bore
            if not hollow or no_centre(profile, free, intent) is not None:
                late = []
            yield Supported(
                "tailstock",
                _in_order(operations, on_centre, hollow if steadied else (), late),
                _pads(toward, land) if steadied and land is not None else None,
            )
    if land is None or not lathe.steady:
        return
    behind = any(set(o.segments) - _beyond(profile, toward, land) for o in on_centre)
    if hollow or behind or land.z_mm[1] - land.z_mm[0] > _LONG * STEADY_LAND_MM.value:
        way = _on_steady(profile, toward, operations, on_centre, hollow, land, done)
        wanted = _reach_mm(profile, toward, way.steady_z_mm)
        _, out = out_mm(profile, toward, grip, lathe, through_mm, wanted)
        way = replace(way, spare=not hollow and not behind)
        yield way if out is None else _spot_first(way, out, related)


def _in_order(
    operations: Sequence[Operation],
    on_centre: Sequence[Operation],
    steadied: Sequence[Operation],
    late: Sequence[Operation],
) -> tuple[Operation, ...]:
    """All that runs on the centre together, before what is done in the end; `late` ones after."""
    first = [o for o in operations if o.kind == "face"]
    rest = [o for o in operations if o.kind != "face" and o not in on_centre]
    off = [o for o in rest if o.kind == "part off"]
    return (
        *first,
        *(replace(o, support="tailstock") for o in on_centre if o not in late),
        *(replace(o, support="steady") if o in steadied else o for o in rest if o not in off),
        *(replace(o, support="tailstock") for o in late),
        *off,
    )


def _on_steady(
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
    out = _beyond(profile, toward, land)
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
    pads = _pads(toward, land, _ASIDE_MM.value if aside else 0.0)
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


def _reach_mm(profile: Profile, toward: Toward, pads: tuple[float, float] | None) -> float:
    """How far raw work stands out where the place of a steady's pads is turned beside the jaws."""
    if pads is None:
        return math.inf
    return BESIDE_JAWS_MM + (profile.length_mm - pads[0] if toward == "low" else pads[1])


def _spot_first(way: Supported, out: float, related: Sequence[Collection[str]]) -> Supported:
    """The same, drawn in until the place of its pads is turned, where nothing is split by that."""
    n = next(n for n, o in enumerate(way.operations) if o.support == "steady")
    early, late = way.operations[:n], way.operations[n:]
    if not are_apart(related, early, late):
        return way
    return replace(way, operations=(*with_out(early, out), *late))


def naming(profile: Profile, operations: Sequence[Operation], n: int) -> Operation:
    """One operation; if it roughs the whole, with the surfaces that are turned after it."""
    operation = operations[n]
    if operation.kind != ROUGH or operation.leaves:
        return operation
    turned = {s for o in operations[n + 1 :] if o.kind == "turn" for s in o.segments}
    return replace(operation, leaves=tuple(s.id for s in profile.segments if s.id in turned))


def only(operation: Operation, names: Collection[str]) -> Operation:
    """The operation on these of its surfaces alone."""
    return replace(
        operation,
        segments=tuple(s for s in operation.segments if s in names),
        leaves=tuple(s for s in operation.leaves if s in names),
    )


def is_hollow(profile: Profile, operation: Operation) -> bool:
    """Whether a centre in the end would stop it."""
    if operation.kind in ("drill", "bore", "ream", "end groove"):
        return True
    inner = {s.id for s in profile.segments if s.surface == "inner"}
    return operation.kind == "groove" and bool(inner & set(operation.segments))


def _bored(profile: Profile, end: End, done: frozenset[str]) -> bool:
    """Whether the mouth at this end was bored in a setup before."""
    z = 0.0 if end == "low" else profile.length_mm
    return any(
        s.id in done
        for s in profile.segments
        if s.surface == "inner"
        and any(abs(p[0] - z) <= _SAME_MM for p in (s.curve.start, s.curve.end))
    )


def _is_at(profile: Profile, segment: Segment, end: End) -> bool:
    z = 0.0 if end == "low" else profile.length_mm
    return all(abs(p[0] - z) <= _SAME_MM for p in (segment.curve.start, segment.curve.end))


def _steady_land(
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


def _pads(toward: Toward, land: Land, aside_mm: float = 0.0) -> tuple[float, float]:
    """Where on its cylinder the steady stands: at the free side, or so far from it."""
    low, high = land.z_mm
    width = STEADY_LAND_MM.value
    aside = min(aside_mm, max(0.0, high - low - width))
    at = high - aside - width if toward == "low" else low + aside
    return (at, at + width)


def _is_before(segment: Segment, toward: Toward, land: Land) -> bool:
    """Whether it lies between the land and the free end."""
    z = (segment.curve.start[0], segment.curve.end[0])
    if toward == "low":
        return min(z) >= land.z_mm[1] - _SAME_MM
    return max(z) <= land.z_mm[0] + _SAME_MM


def _beyond(profile: Profile, toward: Toward, land: Land) -> frozenset[str]:
    """The land and all of the outside between it and the free end."""
    low, high = land.z_mm
    return frozenset(
        s.id
        for s in profile.outline.segments
        if s.surface != "axis"
        and (
            min(s.curve.start[0], s.curve.end[0]) >= low - _SAME_MM
            if toward == "low"
            else max(s.curve.start[0], s.curve.end[0]) <= high + _SAME_MM
        )
    )


def wants_support(profile: Profile, toward: Toward, grip: Grip) -> bool:
    """Whether the work stands out of the jaws farther than a chuck alone carries."""
    return slenderness(profile, toward, grip.z_mm) > CHUCK_ONLY_LIMIT.value
