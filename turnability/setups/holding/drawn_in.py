"""Long raw work that is drawn into the spindle, and out to length once something carries its end.

So little stands out that the chuck alone carries it: the end is bored, or the place of a steady
turned. What a centre or a steady carries then runs true to that end; at the chuck the bar is
gripped anew, so nothing is split by it that a tolerance relates.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.setups.holding.free import passes_the_spindle
from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT
from turnability.setups.model import ROUGH, Grip, Operation
from turnability.shop.model import Machine

BESIDE_JAWS_MM = 5.0
"""So far from the jaws drawn-in work is still turned: a holder wants room (common practice)."""


def out_mm(
    profile: Profile,
    toward: Toward,
    grip: Grip,
    lathe: Machine | None,
    through_mm: float,
    wanted_mm: float | None = None,
) -> tuple[bool, float | None]:
    """Whether raw stock can stand out by no more than the chuck carries, and by how much then.

    None for as far as it does anyway; `wanted_mm` for less than could be.
    """
    if grip.kind not in (RAW_BAR, RAW_PIECE):
        return False, None
    low, high = grip.z_mm
    free = profile.length_mm - high if toward == "low" else low
    most = CHUCK_ONLY_LIMIT.value * grip.diameter_mm
    if free <= most:
        return True, None
    out = most if wanted_mm is None else wanted_mm
    if out > most or not passes_the_spindle(lathe, through_mm):
        return False, None
    return True, out


def with_out(operations: Iterable[Operation], out: float | None) -> tuple[Operation, ...]:
    """The operations done while so much stands out."""
    return tuple(replace(o, out_mm=out) for o in operations)


def bored_first(
    operations: Sequence[Operation],
    outside: Sequence[Operation],
    hollow: Sequence[Operation],
    out: float | None,
) -> tuple[Operation, ...] | None:
    """The end bored while so much stands out, then all of the outside on a centre in the mouth.

    None where something is done that is neither.
    """
    faces = [o for o in operations if o.kind == "face"]
    off = [o for o in operations if o.kind == "part off"]
    if len(faces) + len(outside) + len(hollow) + len(off) < len(operations):
        return None
    return (
        *with_out([*faces, *(o for o in operations if o in hollow)], out),
        *(replace(o, support="tailstock") for o in operations if o in outside),
        *off,
    )


def bored_last(
    operations: Sequence[Operation], hollow: Collection[Operation]
) -> tuple[Operation, ...]:
    """The same operations in the usual order: outside, end, what waits for that."""
    last = max((n for n, o in enumerate(operations) if o.kind in (ROUGH, "turn")), default=-1)

    def turn(n: int, o: Operation) -> int:
        if o.kind == "part off":
            return 4
        if o in hollow:
            return 2
        waits = (o.after_bore or o.over_thin_wall) and not o.only_roughs
        late = waits or (o.kind == "groove" and n > last)
        return 0 if o.kind == "face" else 3 if late else 1

    numbers = sorted(range(len(operations)), key=lambda n: turn(n, operations[n]))
    return tuple(operations[n] for n in numbers)


def are_apart(
    related: Sequence[Collection[str]], some: Iterable[Operation], others: Iterable[Operation]
) -> bool:
    """Whether no tolerance relates what these operations cut with what the others do."""
    here, there = ({s for o in ops for s in (*o.segments, *o.leaves)} for ops in (some, others))
    return not any(here.intersection(group) and there.intersection(group) for group in related)
