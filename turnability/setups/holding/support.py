"""What carries the free end of a chucking: nothing, the tailstock's centre, a steady.

A centre stands where a drill would come in. Where raw stock stands out no farther than the chuck
carries, or is drawn into the spindle for it, the end is bored first, and the outside turned on a
centre in its mouth. Else that is turned first, from a solid end that is faced and centre-drilled;
then the centre is taken away, or a steady set on what was turned, and the end is drilled and bored.
What waits for the bore is only roughed by then, and finished with the centre in the bored mouth
where that is narrow enough. Facing and parting off are done without it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from turnability.intent.model import End
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward, other_end
from turnability.setups.holding.centres import no_centre, seats_centre
from turnability.setups.holding.drawn_in import (
    are_apart,
    bored_first,
    out_mm,
)
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, slenderness
from turnability.setups.holding.steady import (
    LONG,
    STEADY_LAND_MM,
    beyond,
    on_steady,
    pads_on,
    reach_mm,
    spot_first,
    steady_land,
)
from turnability.setups.holding.supported import Supported, ToCarry
from turnability.setups.model import ROUGH, Grip, Operation

_SAME_MM = 1e-3


def support_of(work: ToCarry) -> Supported:
    """None up to 4 diameters out of the jaws (common practice), else the first way there is."""
    ways = ways_of_support(work)
    plain = next(ways)
    needed = (way for way in ways if not way.spare)
    return next(needed, plain) if wants_support(work.profile, work.toward, work.grip) else plain


def ways_of_support(work: ToCarry) -> Iterator[Supported]:
    """The chuck alone, then what the lathe has and the work allows: a centre, a steady.

    A bored end has the centre in its mouth. With one in a solid end the outside is turned on it.
    What is done in the end then has a steady where the lathe has one and a straight cylinder of the
    outside is turned by then; so has it all, after that cylinder, where the end takes no centre or
    that does not carry it enough.
    """
    profile, toward, grip, lathe = work.profile, work.toward, work.grip, work.lathe
    operations, done = work.operations, work.done
    yield Supported("none", operations)
    free = other_end(toward)
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
    land = steady_land(toward, grip, operations, work.lands, done)
    if lathe is None:
        return
    if on_centre and lathe.tailstock:
        solid = bool(hollow) and not _bored(profile, free, done)
        able, out = out_mm(profile, toward, grip, lathe, work.through_mm)
        if solid and able and seats_centre(profile, free):
            first = bored_first(operations, on_centre, hollow, out)
            if first is not None and (out is None or are_apart(work.related, hollow, on_centre)):
                yield Supported("tailstock", first)
        if no_centre(profile, free, work.intent, solid=solid) is None:
            steadied = bool(hollow) and lathe.steady and land is not None
            # a mouth that is bored by then carries the centre again for what waits for the bore
            if not hollow or no_centre(profile, free, work.intent) is not None:
                late = []
            yield Supported(
                "tailstock",
                _in_order(operations, on_centre, hollow if steadied else (), late),
                pads_on(toward, land) if steadied and land is not None else None,
            )
    if land is None or not lathe.steady:
        return
    behind = any(set(o.segments) - beyond(profile, toward, land) for o in on_centre)
    if hollow or behind or land.z_mm[1] - land.z_mm[0] > LONG * STEADY_LAND_MM.value:
        way = on_steady(profile, toward, operations, on_centre, hollow, land, done)
        wanted = reach_mm(profile, toward, way.steady_z_mm)
        _, out = out_mm(profile, toward, grip, lathe, work.through_mm, wanted)
        way = replace(way, spare=not hollow and not behind)
        yield way if out is None else spot_first(way, out, work.related)


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


def wants_support(profile: Profile, toward: Toward, grip: Grip) -> bool:
    """Whether the work stands out of the jaws farther than a chuck alone carries."""
    return slenderness(profile, toward, grip.z_mm) > CHUCK_ONLY_LIMIT.value
